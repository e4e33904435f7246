"""The work of `bourn verify` on these records, written for DuckDB: from the files to one line a lot and probe.

    python duck.py FOLDER FORM CLOCK OUT

The times are made zone-aware: a plain timestamp would drop the distance from UTC without a word. Where the clock was put
back, the rows before the step back in a file took place before it, and the others after it.
"""

import sys

import duckdb

STEP, BACK = "TIMESTAMP '2026-10-25 01:00:00'", "TIMESTAMP '2026-10-25 02:00:00'"


def readings(folder, form, clock):
    """Lot, probe, instant in seconds, and the cell as it stands."""
    files = f"'{folder}/{form}-{clock}-*.csv'"
    cells = "Sensor: 'VARCHAR', Reading: 'VARCHAR'" if form == "long" else ", ".join(
        f"'core-{n}': 'VARCHAR'" for n in range(1, 9)
    )
    kind = "VARCHAR" if clock == "aware" else "TIMESTAMP"
    asked = f"columns = {{Time: '{kind}', Lot: 'VARCHAR', {cells}}}, header = true, delim = ',', quote = '\"'"
    source = f"read_csv({files}, {asked})"
    if clock == "aware":
        # `CAST` to a type that knows zones, never to a plain one.
        timed = f"SELECT epoch(Time::TIMESTAMPTZ)::BIGINT AS t, * EXCLUDE (Time) FROM {source}"
    else:
        # The database takes a time that was there twice as the later one.
        timed = f"""
            SELECT epoch(Time AT TIME ZONE 'Europe/London')::BIGINT
                     - CASE WHEN Time >= {STEP} AND Time < {BACK} AND place < turn THEN 3600 ELSE 0 END AS t,
                   * EXCLUDE (Time, place, turn)
            FROM (SELECT *, row_number() OVER () AS place FROM {source}),
                 (SELECT coalesce(min(place), 0) AS turn
                  FROM (SELECT place, Time, lag(Time) OVER (ORDER BY place) AS before
                        FROM (SELECT Time, row_number() OVER () AS place FROM {source})
                        WHERE Time >= {STEP} AND Time < {BACK})
                  WHERE Time < before)"""
    if form == "wide":
        return f"UNPIVOT ({timed}) ON COLUMNS('core-.*') INTO NAME Sensor VALUE Reading"
    return timed


# A piece is the time between two neighbouring readings; `joined` says whether anything is known of it. Its parts in the
# two stages are `cook` and `chill`, in seconds.
WORK = """
CREATE TABLE lots AS
  SELECT Lot, epoch(Start)::BIGINT AS s, epoch(Cooked)::BIGINT AS m, epoch(Chilled)::BIGINT AS e
  FROM read_csv('{folder}/lots.csv', columns = {{Lot: 'VARCHAR', Start: 'TIMESTAMPTZ', Cooked: 'TIMESTAMPTZ',
                Chilled: 'TIMESTAMPTZ'}}, header = true, delim = ',', quote = '"');
COPY (
WITH cells AS ({readings}),
rows AS (
  SELECT Lot, Sensor, t, try_cast(Reading AS DOUBLE) AS v,
         count(*) FILTER (Reading = 'OL') OVER (PARTITION BY Lot, Sensor ORDER BY t) AS broken
  FROM cells WHERE Reading IS NOT NULL AND Reading <> '-200'),
pairs AS (
  SELECT *, lag(t) OVER w AS before, lag(v) OVER w AS u, lag(broken) OVER w AS cut
  FROM rows WHERE v IS NOT NULL
  WINDOW w AS (PARTITION BY Lot, Sensor ORDER BY t)),
pieces AS (
  SELECT Lot, Sensor, t, v, before, s, m, e,
         coalesce(t - before <= 25 AND broken = cut, false) AS joined,
         least(u, v) AS lo, greatest(u, v) AS hi,
         greatest(0, least(t, m) - greatest(before, s)) AS cook,
         greatest(0, least(t, e) - greatest(before, m)) AS chill,
         t >= s AND t <= m AS in_cook, t >= m AND t <= e AS in_chill
  FROM pairs JOIN lots USING (Lot)),
sums AS (
  SELECT *,
         sum(CASE WHEN joined AND lo >= 70 THEN cook ELSE 0 END) OVER w AS hold_least,
         sum(CASE WHEN NOT joined OR hi >= 70 THEN cook ELSE 0 END) OVER w AS hold_most,
         sum(CASE WHEN joined AND lo > 78 THEN cook ELSE 0 END) OVER w AS spell_least,
         sum(CASE WHEN NOT joined OR hi > 78 THEN cook ELSE 0 END) OVER w AS spell_most,
         lag(v > 80 AND in_cook) OVER w AS was_over
  FROM pieces
  WINDOW w AS (PARTITION BY Lot, Sensor ORDER BY t)),
chains AS (
  SELECT *,
         hold_least - coalesce(max(CASE WHEN NOT (joined AND lo >= 70) THEN hold_least END) OVER upto, 0) AS held_least,
         hold_most - coalesce(max(CASE WHEN v < 70 THEN hold_most END) OVER until, 0) AS held_most,
         spell_least - coalesce(max(CASE WHEN NOT (joined AND lo > 78) THEN spell_least END) OVER upto, 0) AS spelt_least,
         spell_most - coalesce(max(CASE WHEN v <= 78 THEN spell_most END) OVER until, 0) AS spelt_most
  FROM sums
  WINDOW upto AS (PARTITION BY Lot, Sensor ORDER BY t ROWS UNBOUNDED PRECEDING),
         until AS (PARTITION BY Lot, Sensor ORDER BY t ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING))
SELECT Lot AS lot, Sensor AS probe,
       count(*) FILTER (in_cook) AS count, min(v) FILTER (in_cook) AS lowest, max(v) FILTER (in_cook) AS highest,
       avg(v) FILTER (in_cook) AS mean,
       count(*) FILTER (in_cook AND v > 80 AND NOT coalesce(was_over, false)) AS over,
       count(*) FILTER (NOT joined AND cook > 0) AS gaps,
       coalesce(max(cook) FILTER (NOT joined), 0) AS longest_gap,
       coalesce(sum(cook) FILTER (NOT joined), 0) AS not_covered,
       max(held_least) FILTER (in_cook OR cook > 0) AS held_least, max(held_most) FILTER (in_cook OR cook > 0) AS held_most,
       max(spelt_least) FILTER (in_cook OR cook > 0) AS spell_least, max(spelt_most) FILTER (in_cook OR cook > 0) AS spell_most,
       sum(CASE WHEN joined AND lo >= 55 THEN cook / 18.0 * pow(10, (least(lo, 75) - 65) / 6) ELSE 0 END) AS kill_least,
       greatest(0, min(greatest(before, m)) FILTER (chill > 0 AND (NOT joined OR lo <= 26.7))
                   - min(t) FILTER (t >= m AND v < 54.4)) AS passage_least,
       min(t) FILTER (in_chill AND v <= 26.7)
         - min(before) FILTER (t > m AND (NOT joined OR lo < 54.4)) AS passage_most,
       sum(CASE WHEN joined AND lo > 10 THEN chill ELSE 0 END) AS warm_least,
       sum(CASE WHEN NOT joined OR hi > 10 THEN chill ELSE 0 END) AS warm_most
FROM chains GROUP BY ALL ORDER BY ALL
) TO '{out}' (FORMAT csv, HEADER);
"""


def main(folder, form, clock, out):
    base = duckdb.connect()
    base.execute("SET threads = 2; SET TimeZone = 'UTC'")
    base.execute(WORK.format(folder=folder, readings=readings(folder, form, clock), out=out))


if __name__ == "__main__":
    main(*sys.argv[1:])
