"""Verification of records, measured against two general data engines that do the same work on the same files.

    python benches/peers/run.py BOURN [--readings N] [--kinds long-local,…] [--runs 3] [--folder FOLDER] [--agree]

Each engine goes from the files to its answers in a process of its own, with two threads at most: bourn by plan and mapping
to lines of JSON, the others by a program written for these files to lines of CSV. Then every answer is held against
the others, lot by lot and probe by probe, and times and peak memory are printed as ratios. `--agree` runs each once and
prints no figures: that is the test. The status is 1 where answers differ.
"""

import argparse
import collections
import csv
import json
import math
import os
import pathlib
import statistics
import subprocess
import sys
import time

HERE = pathlib.Path(__file__).resolve().parent
KINDS = ["long-local", "long-aware", "wide-local", "wide-aware"]
# A sum is added up in another order by each engine; whole seconds and readings as they stand are equal.
TOLERANCE = {"mean": 1e-9, "kill_least": 1e-9}


def measured(command):
    """Seconds on the clock, seconds of the processors, and peak memory in bytes of a command.

    This process stays small: a child begins with the peak of its parent.
    """
    start = time.monotonic()
    child = subprocess.Popen(command, env={**os.environ, "POLARS_MAX_THREADS": "2"}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    told = child.stderr.read()
    _, status, usage = os.wait4(child.pid, 0)
    seconds = time.monotonic() - start
    code = os.waitstatus_to_exitcode(status)
    # A verification ends with 1 or 3 where a limit is not met or not shown.
    if code not in (0, 1, 3) or (code and command[0] == sys.executable):
        sys.exit(f"{command[:3]} ended with {code}: {told[-2000:].decode(errors='replace')}")
    return seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss * 1024


def commands(bourn, folder, kind, more):
    form, clock = kind.split("-")
    out = {name: str(folder / f"{name}-{kind}.out") for name in ("bourn", "duckdb", "polars")}
    mapping = str(folder / f"{kind}.yaml")
    return out, {
        "bourn": [bourn, "verify", str(HERE / "plan.haccp"), "--mapping", mapping, "--lines", out["bourn"], *more],
        "duckdb": [sys.executable, str(HERE / "duck.py"), str(folder), form, clock, out["duckdb"]],
        "polars": [sys.executable, str(HERE / "frames.py"), str(folder), form, clock, out["polars"]],
    }


def of_bourn(path):
    """The answers by lot and probe, under the names that the others have for them."""
    found = collections.defaultdict(dict)

    def number(end):
        # A condition that was never there lasted for nought; what nothing bounds is no number.
        return {"no such moment": 0.0, "unbounded": None}[end] if isinstance(end, str) else end["value"]

    with open(path, encoding="utf-8") as lines:
        for line in lines:
            one = json.loads(line)
            for part in one["parts"]:
                answers, interval = found[one["lot"], part["what"]], part["interval"]
                least, most = number(interval["least"]), number(interval["most"])
                match one["limit"]:
                    case "top":
                        read = part["readings"]
                        answers |= {
                            "count": read["count"],
                            "lowest": read["lowest"]["value"],
                            "highest": read["highest"]["value"],
                            "mean": read["mean"],
                            "over": read["breaking"]["count"],
                            "gaps": read["gaps"]["count"],
                            "longest_gap": read["gaps"]["longest-s"],
                            "not_covered": read["gaps"]["in-all-s"],
                        }
                    case "hold":
                        answers |= {"held_least": least, "held_most": most}
                    case "kill":
                        answers["kill_least"] = least
                    case other:
                        answers |= {f"{other}_least": least, f"{other}_most": most}
    return found


def of_csv(path):
    with open(path, encoding="utf-8", newline="") as rows:
        return {
            (row.pop("lot"), row.pop("probe")): {name: float(cell) if cell else None for name, cell in row.items()}
            for row in csv.DictReader(rows)
        }


def differences(ours, theirs):
    """Every answer that is not the same, in words; and how many were held against each other."""
    told, held = [], 0
    for key in sorted(set(ours) | set(theirs)):
        mine, other = ours.get(key), theirs.get(key)
        if mine is None or other is None or set(mine) != set(other):
            told.append(f"{key}: {mine} and {other}")
            continue
        for name, value in mine.items():
            held += 1
            beside = other[name]
            none = value is None or beside is None
            near = value is beside if none else math.isclose(value, beside, rel_tol=TOLERANCE.get(name, 0), abs_tol=0)
            if not near:
                told.append(f"{key} {name}: {value} and {beside}")
    return told, held


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("bourn")
    asked.add_argument("--readings", type=int, default=1_000_000)
    asked.add_argument("--kinds", type=lambda text: text.split(","), default=KINDS)
    asked.add_argument("--runs", type=int, default=3)
    asked.add_argument("--folder", type=pathlib.Path, default=HERE.parent.parent / "target/peers")
    asked.add_argument("--at-once", help="as the option of bourn verify")
    asked.add_argument("--agree", action="store_true")
    asked = asked.parse_args()
    folder = (asked.folder / str(asked.readings)).resolve()
    subprocess.run([sys.executable, str(HERE / "make.py"), str(folder), str(asked.readings), *asked.kinds], check=True)
    made = json.loads((folder / "made.json").read_text(encoding="utf-8"))
    print(f"{made['readings']:,} readings of {made['lots']} lots, eight probes each")
    if not asked.agree:
        start = [statistics.median(measured([sys.executable, "-c", f"import {name}"])[0] for _ in range(3)) for name in ("duckdb", "polars")]
        print(f"of each time below the start of Python is, with duckdb {start[0]:.2f} s, with polars {start[1]:.2f} s")
        print(f"{'':12}{'':8}{'time':>10}{'times bourn':>13}{'processors':>12}{'times bourn':>13}{'peak memory':>14}{'times bourn':>13}")
    wrong, held, first = [], 0, None
    for kind in asked.kinds:
        out, all_commands = commands(str(pathlib.Path(asked.bourn).resolve()), folder, kind, ["--at-once", asked.at_once] if asked.at_once else [])
        taken = collections.defaultdict(list)
        for _ in range(1 if asked.agree else asked.runs):
            for name, command in all_commands.items():
                taken[name].append(measured(command))
        if not asked.agree:
            middle = {name: [statistics.median(column) for column in zip(*runs)] for name, runs in taken.items()}
            first_of = middle["bourn"]
            for name, figures in middle.items():
                shown = f"{figures[0]:>8.2f} s", f"{figures[1]:>10.2f} s", f"{figures[2] / 2**20:>10.0f} MiB"
                ratios = [f"{figure / beside:>13.2f}" for figure, beside in zip(figures, first_of)]
                print(f"{kind:12}{name:8}" + "".join(cell + ratio for cell, ratio in zip(shown, ratios)))
        answers = {"bourn": of_bourn(out["bourn"]), "duckdb": of_csv(out["duckdb"]), "polars": of_csv(out["polars"])}
        # The same readings, however they are written down.
        first = first or answers["bourn"]
        pairs = [("bourn", "duckdb"), ("bourn", "polars")]
        for told, number in [differences(answers[a], answers[b]) for a, b in pairs] + [differences(first, answers["bourn"])]:
            wrong += [f"{kind}: {line}" for line in told]
            held += number
    for line in wrong[:20]:
        print(line)
    print(f"{held} answers held against each other, {len(wrong)} differ")
    sys.exit(bool(wrong) or not held)


if __name__ == "__main__":
    main()
