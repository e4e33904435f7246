"""Second opinion on bounds, holds and exposures by a signal-temporal-logic monitor.

    pip install -r tests/requirements.txt
    python tests/reference/stl.py             print how often the two agree
    python tests/reference/stl.py --check     the same; exit 1 on any disagreement

The Rust test `signals_for_the_monitor` draws dense random signals (fixed seed)
and writes the engine's verdict on a few readings of each. Here the monitor
gets the whole signal. README.md beside this file says what is compared.
"""

import argparse
import csv
import os
import subprocess
import sys
import tempfile
from collections import Counter
from importlib.metadata import version
from pathlib import Path

import rtamt

ROOT = Path(__file__).resolve().parents[2]
# What the monitor must say where every tick was read and the engine says "not
# shown": the two ends of a stretch lie somewhere between two readings.
LEFT_OPEN = {"held": False, "reached": False, "stretch": True, "never": True}


def dump(path):
    """Has the Rust test write its signals."""
    subprocess.run(
        ["cargo", "test", "--quiet", "--test", "reference", "signals_for_the_monitor"],
        cwd=ROOT, env={**os.environ, "BOURN_SIGNALS": str(path)}, check=True, stdout=subprocess.DEVNULL)


def formula(row):
    """The limit in signal temporal logic, over samples 0 to `last`."""
    last, time = int(row["last"]), int(row["time"])
    low, high = row["lower"], row["upper"]
    match row["form"]:
        case "at-most":
            return f"always[0,{last}](x <= {high})"
        case "at-least":
            return f"always[0,{last}](x >= {low})"
        case "range":
            return f"always[0,{last}]((x >= {low}) and (x <= {high}))"
        case "never":
            return f"always[0,{last}]((x < {low}) or (x > {high}))"
        case "held":
            return f"eventually[0,{last - time}](always[0,{time}](x >= {low}))"
        case "stretch":
            return f"not(eventually[0,{last - time - 1}](always[0,{time + 1}](x >= {low})))"
        case "reached":
            return f"eventually[0,{time}](x >= {low})"
    raise SystemExit(f"no formula for {row['form']}")


def widest(row):
    """What must be true where every tick was read and the engine leaves it open: a run of samples
    that would do if each of its ends were up to one tick further out."""
    last, time, low = int(row["last"]), int(row["time"]), row["lower"]
    match row["form"]:
        case "held":
            run = max(time - 2, 0)
        case "stretch":
            run = max(time - 1, 0)
        case "reached":
            return f"eventually[0,{min(time + 1, last)}](x >= {low})"
        case _:
            return None
    return f"eventually[0,{last - run}](always[0,{run}](x >= {low}))"


def holds(row, text):
    """What the monitor says at sample 0. No value equals a threshold, so it is never undecided."""
    samples = [float(value) for value in row["samples"].split()]
    monitor = rtamt.StlDiscreteTimeSpecification()
    monitor.declare_var("x", "float")
    monitor.spec = text
    monitor.parse()
    robustness = monitor.evaluate({"time": list(range(len(samples))), "x": samples})[0][1]
    if robustness == 0:
        raise SystemExit(f"case {row['case']} is undecided for the monitor")
    return robustness > 0


def classify(row):
    """The class of a case, and whether it is a disagreement."""
    held, verdict = holds(row, formula(row)), row["verdict"]
    if verdict != "not shown":
        agree = held == (verdict == "met")
        return ("definite, agree" if agree else "DISAGREE"), not agree
    if row["complete"] == "0":
        return ("not shown, monitor true" if held else "not shown, monitor false"), False
    wide = widest(row)
    if LEFT_OPEN.get(row["form"]) == held and (wide is None or holds(row, wide)):
        return "complete, between two ticks", False
    return "DISAGREE", True


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="exit 1 on any disagreement")
    parser.add_argument("--signals", type=Path, help="read this file instead of running the Rust test")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = options.signals or Path(folder) / "signals.csv"
        if not options.signals:
            dump(path)
        with open(path, newline="") as file:
            rows = list(csv.DictReader(file))
    counts, wrong = {}, []
    for row in rows:
        kind, fault = classify(row)
        counts.setdefault(row["form"], Counter())[kind] += 1
        if fault:
            wrong.append(row)
    print(f"rtamt {version('rtamt')}, discrete time: {len(rows)} cases, {len(wrong)} disagree")
    for form, counter in counts.items():
        print(f"{form:>10}: " + "; ".join(f"{kind} {n}" for kind, n in sorted(counter.items())))
    for row in wrong[:5]:
        print("disagrees:", dict(row), formula(row))
    few = [form for form, counter in counts.items() if counter["definite, agree"] < 100]
    if options.check and (wrong or few or not rows):
        print("too few definite verdicts:", few)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
