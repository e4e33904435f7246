"""The page docs/fleet.md, tried: the verdicts of many plant-months as lines of JSON, asked by DuckDB and verified by Spark.

    python tests/fleet.py BOURN FOLDER [MONTHS]

Each plant-month has records of its own, by the generator of benches/peers. All are verified one after the other on this
machine; the questions of the page are asked of the lines and held against the same counted in Python; then Apache Spark,
in local mode, maps the program of the page over the plant-months, and every line must be the same. One plant-month more
has a record that was cut off: it must be named by both, and never be missing in silence.
"""

import collections
import concurrent.futures
import gzip
import json
import os
import pathlib
import re
import subprocess
import sys

import duckdb
import jsonschema

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "benches/peers"))
import make  # noqa: E402

PAGE = (ROOT / "docs/fleet.md").read_text(encoding="utf-8")


def blocks(word):
    return re.findall(rf"^```{word}\n(.*?)^```$", PAGE, re.S | re.M)


def simulated(fleet, months):
    """A folder for each plant-month, with its plan beside all of them."""
    fleet.mkdir(parents=True, exist_ok=True)
    (fleet / "plan.haccp").write_bytes((ROOT / "benches/peers/plan.haccp").read_bytes())
    for number in range(months + 1):
        plant, month = f"P{number // 4:02}", 7 + number % 4
        folder = fleet / f"plant={plant}" / f"month=2026-{month:02}"
        make.make(folder, 25_000, [("wide", "local")], seed=number, month=month)
        if number == months:
            # One that was cut off on its way.
            one = sorted(folder.glob("wide-local-*.csv"))[0]
            packed = gzip.compress(one.read_bytes())
            one.write_bytes(packed[: len(packed) // 2])
            (folder / "made.json").unlink()
    return sorted(fleet.glob("plant=*/month=*"))


def main(bourn, folder, months="24"):
    bourn, fleet = pathlib.Path(bourn).resolve(), pathlib.Path(folder).resolve() / months
    os.environ["PATH"] = f"{bourn.parent}:{os.environ['PATH']}"
    os.environ["PYSPARK_PYTHON"] = sys.executable
    folders = simulated(fleet, int(months))
    for old in fleet.rglob("verdicts.jsonl"):
        old.unlink()

    def alone(folder):
        mapping, lines = folder / "wide-local.yaml", folder / "verdicts.jsonl"
        command = ["bourn", "verify", fleet / "plan.haccp", "--mapping", mapping, "--lines", lines]
        return folder, subprocess.run(command, capture_output=True, check=False).returncode

    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        status = dict(pool.map(alone, folders))
    bad = [folder for folder, code in status.items() if code not in (0, 1, 3)]
    assert len(bad) == 1 and not (bad[0] / "verdicts.jsonl").exists(), bad
    single, counts = [], collections.Counter()
    schema = json.loads((ROOT / "docs/schemas/verdicts.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    valid = jsonschema.Draft202012Validator(schema)
    for folder in folders:
        if folder not in bad:
            for line in (folder / "verdicts.jsonl").read_text(encoding="utf-8").splitlines():
                one = json.loads(line)
                valid.validate(one)
                plant, month = (part.split("=")[1] for part in folder.parts[-2:])
                single.append((plant, month, line))
                counts[plant, one["control"], one["limit"], one["verdict"]] += 1
    assert len(single) > 6 * int(months), len(single)

    os.chdir(fleet)
    base = duckdb.connect()
    asked = [base.execute(block).fetchall() for block in blocks("sql")]
    assert len(asked) == 3 and all(asked), [len(rows) for rows in asked]
    by_plant, by_limit, holds = asked
    wanted = collections.Counter()
    for (plant, _, _, verdict), number in counts.items():
        wanted[plant, verdict] += number
    assert {(plant, verdict): number for plant, verdict, number in by_plant} == wanted
    wanted = collections.Counter()
    for (_, control, limit, verdict), number in counts.items():
        wanted[f"{control}.{limit}"] += number * (verdict != "met")
    assert {name: open_ for name, open_ in by_limit} == {name: number for name, number in wanted.items() if number}
    least = {}
    for plant, month, line in single:
        one = json.loads(line)
        if one["limit"] == "hold":
            ends = [part["interval"]["least"] for part in one["parts"]]
            least[plant, month, one["lot"]] = min(0.0 if isinstance(end, str) else end["value"] for end in ends)
    assert {tuple(row[:3]): row[3] for row in holds} == {key: value for key, value in least.items() if value < 600}

    program = {"__name__": "fleet"}
    exec("".join(blocks("python")), program)
    found, missing = program["verified"](str(fleet), "local[2]")
    assert sorted(found) == sorted(single), "Spark and one machine differ"
    assert [one[:2] for one in missing] == [tuple(part.split("=")[1] for part in bad[0].parts[-2:])], missing
    assert "R114" in missing[0][2], missing
    print(f"counted: {len(single)} verdicts of {months} plant-months, the same by Spark; {len(asked)} questions of the page, the same in Python")


if __name__ == "__main__":
    main(*sys.argv[1:])
