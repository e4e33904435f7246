"""What machines read of `bourn check`: every finding once in every form, and each form valid by its own schema.

SARIF against the schema of the standard (OASIS SARIF 2.1.0, as the crate serde-sarif ships it), JUnit XML against the
common schema of build servers (junit-10.xsd, as the source package of pytest ships it), JSON against our own schema in
docs/schemas. The plans are those of plans/ and every faulty text of tests/findings/cases. `bourn compare` tells the
changes between every two plans of plans/, by its own schema. `bourn render` writes each plan as JSON, by its own schema,
and its worksheets as a spreadsheet, which openpyxl reads.
`bourn verify` tells the demo month as JSON by its own schema. `bourn clauses` tells every plan and regime by its own schema. Colours come with a pseudo-terminal, and only there.

usage: python tests/machine.py BOURN FOLDER RECORDS
FOLDER holds serde-sarif/src/schema.json and junit-10.xsd, RECORDS the records of the demo month; tests/run.sh fills both.
"""

import collections
import json
import os
import pathlib
import pty
import re
import subprocess
import sys
import tempfile

import jsonschema
import xmlschema

ROOT = pathlib.Path(__file__).resolve().parent.parent
DAY = "2026-06-01"


def part(text, word):
    found = re.search(rf"^```{word}\n(.*?)^```$", text, re.S | re.M)
    return found.group(1) if found else None


def texts():
    """Every plan of plans/ and every case with its fault, by a name that is a file name."""
    for path in sorted((ROOT / "plans").glob("*.haccp")):
        yield path.name, path.read_text(encoding="utf-8")
    base = (ROOT / "tests/findings/base.haccp").read_text(encoding="utf-8")
    for path in sorted((ROOT / "tests/findings/cases").glob("*.md")):
        text = path.read_text(encoding="utf-8")
        fault, replaced = part(text, "with"), part(text, "replace")
        if fault is None:
            # Cases of sign-off files: the text of the plan is that of another case.
            continue
        whole = fault
        if replaced is not None:
            whole = base
            for old, new in zip(replaced.split("…\n"), fault.split("…\n"), strict=True):
                assert whole.count(old) == 1, path.name
                whole = whole.replace(old, new, 1)
        yield path.stem + ".haccp", whole


def run(bourn, folder, names, form):
    command = [bourn, "check", "--on", DAY, "--format", form, *names]
    done = subprocess.run(command, cwd=folder, capture_output=True, check=False)
    assert done.returncode in (0, 1, 2), (form, done.returncode, done.stderr[-2000:])
    return (done.stdout if form != "terminal" else done.stderr).decode("utf-8")


def counts_in_json(value):
    return {one["plan"]: collections.Counter(found["code"] for found in one["findings"]) for one in value["checked"]}


def counts_in_sarif(value, names):
    counts = {name: collections.Counter() for name in names}
    for result in value["runs"][0]["results"]:
        where = result["locations"][0]
        counts[where["physicalLocation"]["artifactLocation"]["uri"]][result["ruleId"]] += 1
    return counts


def counts_in_junit(root):
    counts = {}
    for suite in root.iter("testsuite"):
        codes = [case.get("name").split(" ")[0] for case in suite.iter("testcase")]
        counts[suite.get("name")] = collections.Counter(code for code in codes if code != "no")
    return counts


def counts_in_lines(text, names, pattern):
    counts = {name: collections.Counter() for name in names}
    for found in re.finditer(pattern, text, re.M):
        counts[found.group("file")][found.group("code")] += 1
    return counts


def compared(bourn):
    """Every plan of plans/ beside every other, and beside itself: valid by schema, and silent only beside itself."""
    schema = json.loads((ROOT / "docs/schemas/compare.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    plans = sorted((ROOT / "plans").glob("*.haccp"))
    changes = 0
    for old in plans:
        for new in plans:
            done = subprocess.run([bourn, "compare", "--format", "json", old, new], capture_output=True, check=False)
            assert done.returncode == (0 if old == new else 1), (old, new, done.stderr[-2000:])
            value = json.loads(done.stdout)
            validator.validate(value)
            assert (old == new) == (not value["changes"])
            changes += len(value["changes"])
    assert changes > 500, changes
    return changes


def rendered(bourn):
    """Every plan as JSON and as a spreadsheet; one with formulas in all its texts too."""
    import openpyxl

    schema = json.loads((ROOT / "docs/schemas/plan.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    plans = {path.name: path.read_text(encoding="utf-8") for path in sorted((ROOT / "plans").glob("*.haccp"))}
    goose = plans["smoked-goose-breast.haccp"]
    plans["formulas.haccp"] = re.sub(r'"([^"\\n]*)"', r'"=1+1 \1"', goose)
    plans["bare.haccp"] = 'plan bare "Bare" {\n}\n'
    cells = 0
    for name, text in plans.items():
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            (folder / name).write_text(text, encoding="utf-8")
            again = []
            for _ in range(2):
                command = [bourn, "render", name, "--on", "2026-11-25", "--json", "p.json", "--xlsx", "p.xlsx"]
                done = subprocess.run(command, cwd=folder, capture_output=True, check=False)
                assert done.returncode in (0, 1), done.stderr[-2000:]
                again.append((folder / "p.xlsx").read_bytes())
            assert again[0] == again[1], "the same plan gives the same bytes"
            plan = json.loads((folder / "p.json").read_text(encoding="utf-8"))
            validator.validate(plan)
            book = openpyxl.load_workbook(folder / "p.xlsx")
        texts = []
        for sheet in book:
            for row in sheet.iter_rows():
                for cell in row:
                    assert cell.data_type in ("s", "n") and (cell.value is None or isinstance(cell.value, str)), cell
                    texts.append(cell.value or "")
        whole = "\n".join(texts)
        for thing in plan["hazards"] + plan["steps"] + [one for one in plan["controls"] if one["kind"] == "ccp"]:
            assert thing["title"] is None or thing["title"] in whole, thing["title"]
        for control in plan["controls"]:
            if control["kind"] == "ccp":
                for limit in control["limits"]:
                    assert limit["kind"] != "limit" or limit["words"] in whole, limit["words"]
        cells += sum(1 for text in texts if text)
    assert cells > 1000, cells
    return len(plans), cells


def stood(bourn, folder):
    """`bourn clauses` of every plan of plans/ and of the base of the cases, under its own regimes and under each alone:
    valid by schema, every standing of the schema but those of signatures met at least once, missing ones with findings
    that `bourn check` reports."""
    schema = json.loads((ROOT / "docs/schemas/clauses.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    regimes = schema["$defs"]["clause"]["properties"]["regimes"]["items"]["enum"]
    standings = collections.Counter()
    for path in [*sorted((ROOT / "plans").glob("*.haccp")), ROOT / "tests/findings/base.haccp"]:
        text = path.read_text(encoding="utf-8")
        for regime in [None, *regimes]:
            one = text if regime is None else re.sub(r"^(  regimes +).*$", rf"\1{regime}", text, count=1, flags=re.M)
            plan = pathlib.Path(folder) / "stood.haccp"
            plan.write_text(one, encoding="utf-8", newline="")
            done = subprocess.run(
                [bourn, "clauses", "--on", DAY, "--format", "json", plan], capture_output=True, check=False
            )
            value = json.loads(done.stdout)
            validator.validate(value)
            missing = [clause for clause in value["clauses"] if clause["standing"] == "missing"]
            assert done.returncode == (1 if missing else 0), (path, regime, done.returncode)
            found = {one["code"] for one in json.loads(run(bourn, folder, [plan.name], "json"))["checked"][0]["findings"]}
            for clause in missing:
                assert set(clause["findings"]) <= found, (path, regime, clause)
            standings.update(clause["standing"] for clause in value["clauses"])
    wanted = {"answered", "missing", "a person must judge", "not signed", "not said whether it applies", "does not apply"}
    assert wanted <= set(standings), standings
    return sum(standings.values())


def coloured(bourn):
    """Colour with a pseudo-terminal; none through a pipe, and none where NO_COLOR is set, unless it is asked for."""
    plan = ROOT / "tests/findings/base.haccp"

    def said(terminal, environment, *more):
        surroundings = {key: value for key, value in os.environ.items() if key != "NO_COLOR"} | environment
        command = [bourn, "check", "--on", DAY, *more, plan]
        if not terminal:
            return subprocess.run(command, capture_output=True, env=surroundings, check=False).stderr
        ours, theirs = pty.openpty()
        process = subprocess.Popen(command, stdout=theirs, stderr=theirs, env=surroundings)
        os.close(theirs)
        text = b""
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:
                # Linux says so when the last writer has closed its end.
                break
            if not piece:
                break
            text += piece
        process.wait()
        os.close(ours)
        return text

    for terminal, environment, more, colour in [
        (True, {}, [], True),
        (True, {"NO_COLOR": "1"}, [], False),
        (False, {}, [], False),
        (False, {}, ["--colour", "always"], True),
        (True, {}, ["--colour", "never"], False),
    ]:
        text = said(terminal, environment, *more)
        assert b"U102" in text, text
        assert (b"\x1b[" in text) == colour, (terminal, environment, more, text)


def verified(bourn, records):
    """The demo month as JSON, whole and by two texts of the plan, and without any lot: valid by its own schema."""
    schema = json.loads((ROOT / "docs/schemas/verification.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    goose = (ROOT / "plans/smoked-goose-breast.haccp").read_text(encoding="utf-8")
    lots = 0
    with tempfile.TemporaryDirectory() as folder:
        later = pathlib.Path(folder) / "later.haccp"
        moved = goose.replace("from 2026-09-01", "from 2026-10-15", 1)
        assert moved != goose
        later.write_text(moved, encoding="utf-8")
        whole = [bourn, "verify", ROOT / "plans/smoked-goose-breast.haccp"]
        both = [bourn, "verify", later, "--earlier", ROOT / "plans/smoked-goose-breast.haccp"]
        for command, month in ((whole, "2026-10"), (both, "2026-10"), (whole, "2027-01")):
            command = [*command, "--mapping", ROOT / "demo/mapping.yaml", "--records", records, "--month", month]
            done = subprocess.run([*command, "--format", "json"], capture_output=True, check=False)
            value = json.loads(done.stdout)
            validator.validate(value)
            lots += len(value["lots"])
    assert lots >= 150, lots
    return lots


def main(bourn, tools, records):
    from xml.etree import ElementTree

    bourn, tools = pathlib.Path(bourn).resolve(), pathlib.Path(tools).resolve()
    with tempfile.TemporaryDirectory() as folder:
        names = []
        for name, text in texts():
            (pathlib.Path(folder) / name).write_text(text, encoding="utf-8", newline="")
            names.append(name)
        said = {form: run(bourn, folder, names, form) for form in ("json", "sarif", "junit", "short", "plain", "terminal")}

    whole = json.loads(said["json"])
    ours = json.loads((ROOT / "docs/schemas/check.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(ours)
    jsonschema.Draft202012Validator(ours).validate(whole)
    wanted = counts_in_json(whole)
    assert list(wanted) == names
    total = sum(sum(counter.values()) for counter in wanted.values())
    assert total > 150, total

    sarif = json.loads(said["sarif"])
    standard = json.loads(next(tools.rglob("serde-sarif*/src/schema.json")).read_text(encoding="utf-8"))
    validator = jsonschema.validators.validator_for(standard)
    validator(standard).validate(sarif)
    run_ = sarif["runs"][0]
    taxa = [taxon["id"] for taxon in run_["taxonomies"][0]["taxa"]]
    for result in run_["results"]:
        assert run_["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == result["ruleId"]
        for taxon in result["taxa"]:
            assert taxa[taxon["index"]] == taxon["id"]

    junit = ElementTree.fromstring(said["junit"])
    xmlschema.XMLSchema(str(tools / "junit-10.xsd")).validate(junit)
    for one, counter in counts_in_junit(junit).items():
        assert counter == wanted[one], ("junit", one)
    for one, counter in counts_in_sarif(sarif, names).items():
        assert counter == wanted[one], ("sarif", one)
    short = counts_in_lines(said["short"], names, r"^(?P<file>[^:\n]+\.haccp):\d+:\d+: .*\[(?P<code>[A-Z]\d+) [a-z-]+\]$")
    assert short == wanted, "short"
    plain = counts_in_lines(
        said["plain"], names, r"^\w+ \d+ of \d+, (?P<code>[A-Z]\d+) [^\n]*\.\nFile (?P<file>[^,\n]+), line"
    )
    assert plain == wanted, "plain"
    drawn = collections.Counter(re.findall(r"^([A-Z]\d{3}) [a-z-]+$", said["terminal"], re.M))
    assert drawn == sum(wanted.values(), collections.Counter()), "terminal"
    changes = compared(bourn)
    plans, cells = rendered(bourn)
    print(f"counted: {plans} plans as JSON, valid by schema, and {cells} cells of their spreadsheets, none a formula")
    with tempfile.TemporaryDirectory() as folder:
        clauses = stood(bourn, folder)
    coloured(bourn)
    print(f"counted: {verified(bourn, records)} verified lots as JSON, valid by schema")
    print(f"counted: {clauses} clauses against plans, valid by schema; colour where it belongs")
    print(f"counted: {changes} changes between the plans, valid by schema")
    print(f"counted: {total} findings of {len(names)} plans, each once in six forms; SARIF, JUnit and JSON valid by schema")


if __name__ == "__main__":
    main(*sys.argv[1:])
