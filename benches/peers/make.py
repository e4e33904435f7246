"""Writes the records of an invented month: lots that are cooked and chilled, each with eight probes read every ten seconds.

The same readings come as long rows (one reading a row) and wide ones (one instant a row), with local times whose zone
stands in the mapping and with times that carry their distance from UTC: whoever reads them must find the same. A file
holds a local day, its rows in the order of time. October crosses the end of summer time, and one lot of it always does.

A probe goes silent for one to twelve readings, shows the code -200 (no reading) or OL (probe at fault). Some lots are
too hot, some too cold, some chill too slowly. Around the events of a lot the record is whole, so that no stage has an
edge without readings.
"""

import datetime
import json
import pathlib
import sys
import zoneinfo

import numpy as np
import polars as pl

LONDON = zoneinfo.ZoneInfo("Europe/London")
PROBES = [f"core-{n}" for n in range(1, 9)]
STEP = 10
WHOLE = 120  # seconds around an event without a fault
FORMS = ("long", "wide")
CLOCKS = ("local", "aware")
TIMES = {"local": "%Y-%m-%d %H:%M:%S", "aware": "%Y-%m-%dT%H:%M:%S%:z"}

MAPPING = """{zone}lots:
  - files: [lots.csv]
    record: cook-record
    time: {{ format: "%Y-%m-%dT%H:%M:%S%:z" }}
    lot: Lot
    events: {{ cook-start: Start, cook-end: Cooked, chill-end: Chilled }}
readings:
  - files: ["{form}-{clock}-*.csv"]
    record: cook-record
    lot: Lot
    missing: "-200"
    broken: OL
    time: {{ column: Time, format: "{time}"{order} }}
{long}    columns:
{columns}
"""


def mapping(form, clock):
    columns = "\n".join(f"      {name}: {{ parameter: core, probe: {name}, unit: °C }}" for name in PROBES)
    return MAPPING.format(
        zone="zone: Europe/London\n" if clock == "local" else "",
        form=form,
        clock=clock,
        time=TIMES[clock],
        order=", repeated-hour: row-order" if clock == "local" else "",
        long="    long: { name: Sensor, value: Reading }\n" if form == "long" else "",
        columns=columns,
    )


def curve(chance, seconds, events):
    """The core of a block: warmed to a plateau, held, and chilled; in hundredths of a degree, a column a probe."""
    start, cooked, _ = events
    plateau = chance.choice([68.5, 73.0, 76.0, 79.0, 81.0], p=[0.1, 0.4, 0.3, 0.1, 0.1])
    speed = chance.choice([25.0, 38.0, 70.0], p=[0.3, 0.5, 0.2]) * 60
    columns = []
    for _ in PROBES:
        lag = chance.uniform(0.8, 1.2)
        warm = plateau - (plateau - 6) * np.exp(-np.maximum(seconds - start, 0) / (900 * lag))
        end = plateau - (plateau - 6) * np.exp(-(cooked - start) / (900 * lag))
        cold = 2 + (end - 2) * np.exp(-np.maximum(seconds - cooked, 0) / (speed * lag))
        noise = chance.normal(0, 0.25, seconds.size)
        columns.append(np.rint((np.where(seconds < cooked, warm, cold) + noise) * 100).astype(np.int64))
    return np.column_stack(columns)


def faults(chance, seconds, events):
    """What a probe failed to show: 0 a reading, 1 no row or a blank, 2 the code -200, 3 OL."""
    kind = np.zeros((seconds.size, len(PROBES)), dtype=np.int8)
    for column in range(len(PROBES)):
        for word, most, often in ((1, 12, 1.0), (2, 3, 1.5), (3, 2, 0.5)):
            for _ in range(chance.poisson(often)):
                at = chance.integers(0, seconds.size)
                kind[at : at + chance.integers(1, most + 1), column] = word
    near = np.zeros(seconds.size, dtype=bool)
    for event in events:
        near |= np.abs(seconds - event) <= WHOLE
    kind[near] = 0
    return kind


def lots(readings, seed, month=10):
    """Code, events and readings of each lot, by the time at which it begins; some more readings than asked for."""
    chance = np.random.default_rng(seed)
    first = int(datetime.datetime(2026, month, 1, tzinfo=LONDON).timestamp())
    change = int(datetime.datetime(2026, 10, 25, 1, tzinfo=datetime.UTC).timestamp())
    each = 8 * 1560
    count = max(2, -(-readings // each))
    starts = np.sort(chance.integers(first, first + 30 * 86_400, count))
    if month == 10:
        starts[np.searchsorted(starts, change).clip(0, count - 1)] = change - 5_400
    starts.sort()
    for number, start in enumerate(starts):
        start = int(start)
        cooked = start + int(chance.integers(4_000, 8_000))
        chilled = cooked + int(chance.integers(7_000, 12_000))
        events = (start, cooked, chilled)
        seconds = np.arange(start - WHOLE - int(chance.integers(0, STEP)), chilled + WHOLE, STEP, dtype=np.int64)
        yield f"L{number:06}", events, seconds, curve(chance, seconds, events), faults(chance, seconds, events)


def table(code, seconds, value, kind):
    text = {}
    for column, name in enumerate(PROBES):
        of = pl.Series(kind[:, column])
        shown = pl.Series(value[:, column] / 100).cast(pl.String)
        frame = pl.DataFrame({"k": of, "v": shown})
        chosen = pl.when(pl.col("k") == 1).then(None).when(pl.col("k") == 2).then(pl.lit("-200"))
        text[name] = frame.select(chosen.when(pl.col("k") == 3).then(pl.lit("OL")).otherwise(pl.col("v")).alias(name))[name]
    return pl.DataFrame({"at": seconds, "Lot": [code] * seconds.size, **text})


def write(folder, day, rows, kinds):
    """The files of one local day; their rows in the order of time."""
    rows = rows.sort("at", "Lot")
    instant = pl.from_epoch("at", time_unit="s").dt.replace_time_zone("UTC").dt.convert_time_zone("Europe/London")
    for clock in {clock for _, clock in kinds}:
        timed = rows.select(instant.dt.strftime(TIMES[clock]).alias("Time"), "Lot", *PROBES)
        if ("wide", clock) in kinds:
            timed.write_csv(folder / f"wide-{clock}-{day}.csv")
        if ("long", clock) in kinds:
            # Row by row, as a recorder would write them: the probes of one instant one after the other.
            long = timed.with_columns(pl.concat_list(PROBES).alias("Reading"), pl.lit(pl.Series([PROBES])).first().alias("Sensor"))
            long = long.select("Time", "Lot", "Sensor", "Reading").explode("Sensor", "Reading").drop_nulls("Reading")
            long.write_csv(folder / f"long-{clock}-{day}.csv")


def make(folder, readings, kinds, seed=20261025, month=10):
    """Writes records, register and mappings into a folder; gives what was written. Does nothing if it is there already."""
    folder = pathlib.Path(folder)
    done = folder / "made.json"
    asked = {"readings": readings, "kinds": sorted(map(list, kinds)), "seed": seed, "month": month}
    if done.exists() and (had := json.loads(done.read_text(encoding="utf-8")))["asked"] == asked:
        return had
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.csv"):
        old.unlink()
    register, held, count, cells = ["Lot,Start,Cooked,Chilled"], [], 0, 0

    def local(second):
        return datetime.datetime.fromtimestamp(second, LONDON)

    def flush(before):
        """Writes the days that no further lot touches."""
        nonlocal held
        if not held:
            return
        rows = pl.concat(held)
        zone = pl.from_epoch("at", time_unit="s").dt.replace_time_zone("UTC").dt.convert_time_zone("Europe/London")
        rows = rows.with_columns(zone.dt.date().alias("day"))
        for (day,), part in rows.partition_by("day", as_dict=True).items():
            if before is None or day < before:
                write(folder, day.isoformat(), part.drop("day"), kinds)
        held = [] if before is None else [rows.filter(pl.col("day") >= before).drop("day")]

    today = None
    for code, events, seconds, value, kind in lots(readings, seed, month):
        begun = local(int(seconds[0])).date()
        if today is not None and begun > today:
            flush(begun)
        today = begun
        register.append(",".join([code, *(local(event).isoformat() for event in events)]))
        held.append(table(code, seconds, value, kind))
        count += 1
        cells += int((kind != 1).sum())
    flush(None)
    (folder / "lots.csv").write_text("\n".join(register) + "\n", encoding="utf-8")
    for form, clock in kinds:
        (folder / f"{form}-{clock}.yaml").write_text(mapping(form, clock), encoding="utf-8")
    made = {"asked": asked, "lots": count, "readings": cells}
    done.write_text(json.dumps(made), encoding="utf-8")
    return made


if __name__ == "__main__":
    make(sys.argv[1], int(sys.argv[2]), [tuple(kind.split("-")) for kind in sys.argv[3:]])
