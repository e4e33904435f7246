"""The work of `bourn verify` on these records, written for polars: from the files to one line a lot and probe.

    POLARS_MAX_THREADS=2 python frames.py FOLDER FORM CLOCK OUT

The times are made zone-aware. Where the clock was put back, the rows before the step back in a file took place before it,
and the others after it. The rows of a lot stand in the files in the order of time, and a group keeps that order.
"""

import datetime
import sys

import polars as pl

BACK = datetime.datetime(2026, 10, 25, 1), datetime.datetime(2026, 10, 25, 2)
PROBES = [f"core-{n}" for n in range(1, 9)]


def timed(folder, form, clock):
    """The files with the instant of each row in seconds."""
    names = ["Time", "Lot", *(["Sensor", "Reading"] if form == "long" else PROBES)]
    files = pl.scan_csv(f"{folder}/{form}-{clock}-*.csv", schema={name: pl.String for name in names})
    seconds = {"local": "%Y-%m-%d %H:%M:%S", "aware": "%Y-%m-%dT%H:%M:%S%:z"}[clock]
    if clock == "aware":
        time = pl.col("Time").str.to_datetime(seconds, time_unit="us", time_zone="UTC")
    else:
        files = files.with_columns(pl.col("Time").str.to_datetime(seconds, time_unit="us")).with_row_index("place")
        twice = pl.scan_csv(f"{folder}/{form}-{clock}-*.csv", schema={name: pl.String for name in names})
        twice = twice.select(pl.col("Time").str.to_datetime(seconds, time_unit="us")).with_row_index("place")
        twice = twice.filter(pl.col("Time").is_between(*BACK, closed="left"))
        turn = twice.filter(pl.col("Time") < pl.col("Time").shift(1)).select(pl.col("place").min()).collect().item()
        before = pl.col("place") < (turn or 0)
        which = pl.when(before).then(pl.lit("earliest")).otherwise(pl.lit("latest"))
        time = pl.col("Time").dt.replace_time_zone("Europe/London", ambiguous=which)
    rows = files.select(time.dt.epoch("s").alias("t"), pl.exclude("Time", "place"))
    if form == "wide":
        rows = rows.unpivot(on=PROBES, index=["t", "Lot"], variable_name="Sensor", value_name="Reading")
    return rows


def work(rows, lots):
    cell = pl.col("Reading")
    rows = rows.filter(cell.is_not_null() & (cell != "-200"))
    rows = rows.select("t", "Lot", "Sensor", cell.cast(pl.Float64, strict=False).alias("v"), (cell == "OL").alias("ol"))
    rows = rows.with_columns(pl.col("Lot").cast(pl.Categorical), pl.col("Sensor").cast(pl.Categorical))
    key = ["Lot", "Sensor"]
    # A piece is the time between two neighbouring readings; `joined` says whether anything is known of it.
    v, t = pl.col("v"), pl.col("t")
    rows = rows.with_columns(pl.col("ol").cast(pl.Int32).cum_sum().over(key).alias("broken")).filter(v.is_not_null())
    rows = rows.with_columns(
        before=t.shift(1).over(key), u=v.shift(1).over(key), cut=pl.col("broken").shift(1).over(key)
    )
    # Without this the streaming engine hands rows on in another order, and a stretch comes apart now and then.
    rows = rows.join(lots.lazy(), on="Lot", maintain_order="left")
    s, m, e, before = pl.col("s"), pl.col("m"), pl.col("e"), pl.col("before")

    def inside(start, end):
        return pl.max_horizontal(pl.lit(0), pl.min_horizontal(t, end) - pl.max_horizontal(before, start))

    rows = rows.with_columns(
        joined=((t - before <= 25) & (pl.col("broken") == pl.col("cut"))).fill_null(value=False),
        lo=pl.min_horizontal("u", "v"),
        hi=pl.max_horizontal("u", "v"),
        cook=pl.when(before.is_null()).then(0).otherwise(inside(s, m)),
        chill=pl.when(before.is_null()).then(0).otherwise(inside(m, e)),
        in_cook=t.is_between(s, m),
        in_chill=t.is_between(m, e),
    )
    joined, lo, hi, cook, chill = (pl.col(name) for name in ("joined", "lo", "hi", "cook", "chill"))
    in_cook, in_chill = pl.col("in_cook"), pl.col("in_chill")
    over = (v > 80) & in_cook
    own = in_cook | (cook > 0)

    def chain(held, broken, after):
        """Seconds in a condition at a stretch, for the pieces of the cook. A break counts from the next piece on if `after`."""
        summed = (cook * held).cum_sum()
        at_break = pl.when(broken).then(summed).otherwise(0).cum_max()
        return (summed - (at_break.shift(1, fill_value=0) if after else at_break)).filter(own).max()

    def least(pieces, of):
        return (of * (joined & pieces)).sum()

    def most(pieces, of):
        return (of * (~joined | pieces).fill_null(value=True)).sum()

    gap = cook.filter(~joined & (cook > 0))
    rate = (pl.lit(10.0).pow((pl.min_horizontal(lo, pl.lit(75.0)) - 65) / 6)) / 18
    return rows.group_by(key).agg(
        count=v.filter(in_cook).len(),
        lowest=v.filter(in_cook).min(),
        highest=v.filter(in_cook).max(),
        mean=v.filter(in_cook).mean(),
        over=(over & ~over.shift(1, fill_value=False)).sum(),
        gaps=gap.len(),
        longest_gap=gap.max().fill_null(0),
        not_covered=gap.sum(),
        held_least=chain(joined & (lo >= 70), ~(joined & (lo >= 70)).fill_null(value=False), False),
        held_most=chain((~joined | (hi >= 70)).fill_null(value=True), v < 70, True),
        spell_least=chain(joined & (lo > 78), ~(joined & (lo > 78)).fill_null(value=False), False),
        spell_most=chain((~joined | (hi > 78)).fill_null(value=True), v <= 78, True),
        kill_least=(cook * rate).filter(joined & (lo >= 55)).sum(),
        passage_least=pl.max_horizontal(
            pl.lit(0),
            pl.max_horizontal(before, m).filter((chill > 0) & (~joined | (lo <= 26.7))).min()
            - t.filter((t >= m) & (v < 54.4)).min(),
        ),
        passage_most=t.filter(in_chill & (v <= 26.7)).min()
        - before.filter((t > m) & (~joined | (lo < 54.4))).min(),
        warm_least=least(lo > 10, chill),
        warm_most=most(hi > 10, chill),
    )


def main(folder, form, clock, out):
    lots = pl.read_csv(f"{folder}/lots.csv")
    second = [
        pl.col(name).str.to_datetime("%Y-%m-%dT%H:%M:%S%:z", time_zone="UTC").dt.epoch("s").alias(short)
        for name, short in (("Start", "s"), ("Cooked", "m"), ("Chilled", "e"))
    ]
    lots = lots.select(pl.col("Lot").cast(pl.Categorical), *second)
    found = work(timed(folder, form, clock), lots).collect(engine="streaming")
    found = found.with_columns(pl.col("Lot", "Sensor").cast(pl.String)).sort("Lot", "Sensor")
    found.rename({"Lot": "lot", "Sensor": "probe"}).write_csv(out)


if __name__ == "__main__":
    main(*sys.argv[1:])
