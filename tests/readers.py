"""How often a reader of delimited text reads a polluted file wrongly without a word: `bourn read`, pandas, DuckDB.

    BOURN_POLLUTED=FOLDER cargo test --test read the_files_for_other_readers
    python tests/readers.py BOURN FOLDER

The files are those of tests/read: sound tables, each with one thing wrong or in another dialect. Every cell is read as
text. A file is read *rightly* if headings and rows are what they should be; it is *told* if the reader refuses it, warns,
or (bourn) names each row that it does not read rightly; else it was read *wrongly in silence*. Each reader is asked twice:
with the dialect worked out by itself, and with all of the dialect given that it has an option for.
"""

import collections
import concurrent.futures
import json
import pathlib
import re
import subprocess
import sys
import warnings

import duckdb
import pandas

RIGHT, TOLD, SILENT = "right", "told", "silent"


def judged(head, rows, wanted):
    """Of a reader that gives a table and nothing else."""
    blank = [row for row in rows if any(row)]
    rows_right = [row for row in (cells for _, cells in wanted["rows"]) if any(row)] == blank
    # Several rows of headings: how they are joined is not judged.
    head_right = wanted["head"] is None or wanted["head"][0] == 0 or list(head) == wanted["head"][1]
    return RIGHT if rows_right and head_right else SILENT


def text(cell):
    return "" if cell is None or cell != cell else str(cell)


def pandas_reads(path, wanted, given):
    options = {"dtype": str, "keep_default_na": False}
    if given:
        options |= {"sep": wanted["sign"], "encoding": {"utf-16": "utf-16", "windows-1252": "cp1252"}.get(wanted["encoding"], "utf-8")}
        options |= {"quotechar": wanted["quote"] or '"', "escapechar": wanted["escape"], "skiprows": wanted["preamble"], "engine": "python" if len(wanted["sign"]) > 1 else "c"}
        options["sep"] = re.escape(wanted["sign"]) if len(wanted["sign"]) > 1 else wanted["sign"]
        options["header"] = None if wanted["headings"] == 0 else 0 if wanted["headings"] == 1 else list(range(wanted["headings"]))
    else:
        options |= {"sep": None, "engine": "python"}
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        try:
            table = pandas.read_csv(path, **options)
        except Exception:  # Whatever it is, the reader did not stay silent.
            return TOLD
    if said:
        return TOLD
    rows = [[text(cell) for cell in row] for row in table.itertuples(index=False)]
    if not isinstance(table.index, pandas.RangeIndex):
        rows = [[text(part) for part in (index if isinstance(index, tuple) else (index,))] + row for index, row in zip(table.index, rows)]
    return judged([text(name) for name in table.columns], rows, wanted)


def duckdb_reads(path, wanted, given):
    options = ["all_varchar = true"]

    def literal(sign):
        return "'" + sign.replace("'", "''") + "'"

    if given:
        options += [f"delim = {literal(wanted['sign'])}", f"quote = {literal(wanted['quote'] or '')}"]
        options += [f"escape = {literal(wanted['escape'] or wanted['quote'] or '')}", f"skip = {wanted['preamble']}"]
        options += [f"header = {str(wanted['headings'] > 0).lower()}"]
        if wanted["encoding"] == "utf-16":
            options.append("encoding = 'utf-16'")
        elif wanted["encoding"] == "windows-1252":
            options.append("encoding = 'latin-1'")
    try:
        found = duckdb.sql(f"SELECT * FROM read_csv({literal(str(path))}, {', '.join(options)})")
        rows = [[text(cell) for cell in row] for row in found.fetchall()]
    except Exception:
        return TOLD
    return judged(found.columns, rows, wanted)


def bourn_reads(bourn, path, wanted, given):
    more = []
    if given:
        more = ["--delimiter", wanted["sign"], "--quote", wanted["quote"] or "none", "--escape", wanted["escape"] or "none"]
        more += ["--encoding", wanted["encoding"], "--preamble", str(wanted["preamble"]), "--heading-rows", str(wanted["headings"])]
    done = subprocess.run([bourn, "read", path, "--format", "json", *more], capture_output=True, check=False)
    if done.returncode == 2:
        return TOLD
    table = json.loads(done.stdout)
    named = {int(line) for line in re.findall(rb":(\d+): (?:error|warning|note)", done.stderr)}
    seen = {row["line"]: row["cells"] for row in table["rows"]}
    right = dict(map(tuple, ((line, cells) for line, cells in wanted["rows"])))
    wrong = [line for line, cells in seen.items() if right.get(line) != cells and line not in named]
    lost = [line for line in right if line not in seen and line not in named]
    head = wanted["head"]
    if head is None:
        # A first row of words alone may be taken for headings; it is still there.
        lost = [line for line in lost if right[line] != table["headings"]]
    elif head[0] and table["headings"] != head[1] and head[0] not in named:
        wrong.append(head[0])
    if wrong or lost:
        return SILENT
    return TOLD if named else RIGHT


def kind(what):
    """The kind of pollution, without table, place and dialect."""
    what = what.split(": ", 1)[1]
    return re.sub(r" in row .*", "", re.sub(r"^parted by .*", "another sign between cells", what))


def main(bourn, folder):
    bourn, folder = str(pathlib.Path(bourn).resolve()), pathlib.Path(folder)
    files = [json.loads(line) for line in (folder / "files.jsonl").read_text(encoding="utf-8").splitlines()]
    counts = collections.defaultdict(collections.Counter)
    kinds = collections.defaultdict(set)
    silent = []
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        for given in (False, True):
            came = {
                "bourn": list(pool.map(lambda one: bourn_reads(bourn, folder / one["file"], one, given), files)),
                "pandas": [pandas_reads(folder / one["file"], one, given) for one in files],
                "DuckDB": [duckdb_reads(folder / one["file"], one, given) for one in files],
            }
            for reader, results in came.items():
                for one, result in zip(files, results, strict=True):
                    counts[reader, given][result] += 1
                    if result == SILENT:
                        kinds[kind(one["what"])].add((reader, given))
                        silent += [f"{one['what']} ({one['file']}, dialect given: {given})"] if reader == "bourn" else []
    print(f"{len(files)} files")
    print("| reader | dialect | read rightly | refused, warned or named | wrongly in silence |")
    print("| --- | --- | --- | --- | --- |")
    for (reader, given), found in sorted(counts.items(), key=lambda item: (item[0][1], item[0][0])):
        print(f"| {reader} | {'given' if given else 'worked out'} | {found[RIGHT]} | {found[TOLD]} | {found[SILENT]} |")
    print("\nkinds of pollution with at least one file read wrongly in silence, the dialect given:")
    for name, readers in sorted(kinds.items()):
        print(f"  {name}: {', '.join(sorted(reader for reader, given in readers if given)) or 'none'}")
    print("\n".join(silent[:20]))
    sys.exit(bool(silent))


if __name__ == "__main__":
    main(*sys.argv[1:])
