//! Faults of the mapping, each with its place in the text.

use crate::{iso, line, lines, one};
use bourn::finding::Finding;
use bourn::log::Mapping;
use bourn::source::{Source, SourceId};

/// The only finding, with line and column, what it points at, and its help.
fn fault(yaml: &str) -> (String, String) {
    let (mapping, findings) = Mapping::parse(yaml, SourceId(0));
    let [finding] = findings.as_slice() else { panic!("{:#?}", lines(&findings)) };
    assert!(mapping.is_none());
    (shown(yaml, finding), finding.help.clone().unwrap_or_default())
}

fn shown(yaml: &str, finding: &Finding) -> String {
    let source = Source::new("mapping", yaml);
    let span = finding.span().unwrap();
    let at = source.line_col(span.start);
    format!("{} {}:{} [{}] {}", finding.rule.code, at.line, at.column, source.slice(span), finding.message)
}

#[test]
fn the_demo_mapping_is_sound() {
    let text = include_str!("../../demo/mapping.yaml");
    let (mapping, findings) = Mapping::parse(text, SourceId(0));
    let mapping = mapping.unwrap_or_else(|| panic!("{:#?}", findings.iter().map(line).collect::<Vec<_>>()));
    assert!(findings.is_empty());
    assert_eq!(
        (mapping.lots.len(), mapping.readings.len(), mapping.samples.len(), mapping.calibrations.len()),
        (1, 5, 1, 1)
    );
    let marked = format!("\u{feff}{text}");
    assert!(Mapping::parse(&marked, SourceId(0)).0.is_some());
}

#[test]
fn an_unknown_key_has_a_suggestion() {
    let (said, help) = fault(&iso("    delimeter: \";\"\n"));
    assert_eq!(
        (said.as_str(), help.as_str()),
        ("R003 6:5 [delimeter] `delimeter` is no key of `readings[0]`", "did you mean `delimiter`?")
    );
    let (said, help) = fault(&iso("").replace("unit:", "units:"));
    assert!(said.starts_with("R003 8:29 [units] `units` is no key of"), "{said}");
    assert_eq!(help, "did you mean `unit`?");
}

#[test]
fn a_value_of_another_kind() {
    let (said, _) = fault(&iso("    preamble: four\n"));
    assert_eq!(said, "R004 6:15 [four] `readings[0].preamble` must be a whole number; it is the text `four`");
    let (said, _) = fault(&iso("    spot: maybe\n"));
    assert_eq!(said, "R004 6:11 [maybe] `readings[0].spot` must be true or false; it is the text `maybe`");
    let (said, _) = fault("zone: UTC\nreadings: records/a.csv\n");
    assert_eq!(
        said,
        "R004 2:11 [records/a.csv] `readings` must be a list, each entry after a hyphen; it is the text `records/a.csv`"
    );
    let (said, _) = fault(&iso("").replace("unit: °C", "unit: °C, range: [1, 2, 3]"));
    assert!(said.starts_with("R004 8:"), "{said}");
    let (said, _) = fault(&iso("").replace("unit: °C", "unit: °C, range: [a, 2]"));
    assert!(said.contains("must be a number; it is the text `a`"), "{said}");
}

#[test]
fn syntax_and_size() {
    let (said, _) = fault("zone: UTC\nreadings:\n  - files: [a.csv\n    record: r\n");
    assert!(said.starts_with("R002 4:"), "{said}");
    assert_eq!(fault("").0, "R005 1:1 [] the mapping names no files");
    assert!(fault("zone: UTC\n").0.starts_with("R005 1:1 [zone: UTC] the mapping names no files"));
    assert!(fault(&" ".repeat(2 << 20)).0.starts_with("R001"));
    let started = std::time::Instant::now();
    assert!(fault(&"[".repeat(1 << 20)).0.starts_with("R001"));
    let mut bomb = "a: &a [x,x,x,x,x,x,x,x,x]\n".to_owned();
    for pair in ["ab", "bc", "cd", "de", "ef", "fg", "gh"] {
        let (from, to) = pair.split_at(1);
        bomb += &format!("{to}: &{to} [*{from},*{from},*{from},*{from},*{from},*{from},*{from},*{from},*{from}]\n");
    }
    let nested = format!("{bomb}zone: UTC\n");
    assert!(fault(&nested).0.starts_with("R003"), "{}", fault(&nested).0);
    let deep = format!("readings:\n{}", "- ".repeat(20_000));
    assert!(fault(&deep).0.starts_with("R00"));
    assert!(started.elapsed().as_secs() < 20);
}

#[test]
fn keys_that_must_be_there() {
    assert!(
        fault(&iso("").replace("    record: r\n", ""))
            .0
            .starts_with("R005 3:5 [files: a.csv] `record` is missing in this entry")
    );
    assert!(fault(&one("")).0.contains("`time` is missing in this entry"));
    assert!(fault(&iso("").replace("column: Time, ", "")).0.starts_with("R005 5:5 [time] the time has no column"));
    assert!(
        fault(&iso("").replace("zone: Europe/London\n", ""))
            .0
            .contains("nothing says which zone the clock of this file keeps")
    );
    assert!(fault(&iso("").replace(", unit: °C", "")).0.starts_with("R005 8:7 [T] column `T` has no `unit`"));
    assert!(fault(&iso("").replace("parameter: core, ", "")).0.contains("column `T` has no `parameter`"));
}

#[test]
fn values_that_mean_nothing() {
    for (from, to, said, help) in [
        ("unit: °C", "unit: celsius", "R007 8:35 [celsius] `celsius` is no known unit", "the units are"),
        ("unit: °C", "unit: C", "R007 8:35 [C] `C` is no known unit", "did you mean `°C`?"),
        (
            "Europe/London",
            "Europe/Londn",
            "R008 1:7 [Europe/Londn] `Europe/Londn` is no known zone",
            "did you mean `Europe/London`?",
        ),
        (
            "%Y-%m-%d %H:%M",
            "%d/%m/%Y %I:%M",
            "R010 5:36 [%d/%m/%Y %I:%M] time format `%d/%m/%Y %I:%M` has a 12-hour clock without AM or PM",
            "add %p",
        ),
        ("%Y-%m-%d %H:%M", "%H:%M", "R009 5:36 [%H:%M] time format `%H:%M` lacks a part of the date", "it needs year"),
        (
            "    columns",
            "    encoding: utf-9\n    columns",
            "R006 7:5 [encoding] `utf-9` is no known encoding",
            "did you mean `utf-8`?",
        ),
        ("    columns", "    decimal: \";\"\n    columns", "R006 7:5 [decimal] `;` is no decimal mark", "write"),
        ("    columns", "    delimiter: \"ab\"\n    columns", "R006 7:5 [delimiter] `ab` is no delimiter", "write"),
        (
            "    columns",
            "    thousands: \".\"\n    columns",
            "R006 7:5 [thousands] `.` is no thousands mark here",
            "write",
        ),
        (
            "%M\" }",
            "%M\", repeated-hour: first }",
            "R006 5:53 [repeated-hour] `first` is no way to settle the repeated hour",
            "write",
        ),
        (
            "unit: °C",
            "unit: °C, range: [9, 1]",
            "R006 8:39 [range] the range of column `T` is not from a lower to a higher number",
            "write",
        ),
        (
            "unit: °C",
            "unit: °C, range: [0, .inf]",
            "R006 8:39 [range] the range of column `T` is not from a lower to a higher number",
            "write",
        ),
        (
            "unit: °C",
            "unit: °C, answers: { ok: yes }",
            "R012 8:29 [unit] column `T` has `answers` and `unit`",
            "answers are words",
        ),
        (
            "unit: °C",
            "answers: { ok: yes, bad: [no, yes] }",
            "R011 8:59 [yes] `yes` means both `ok` and `bad` in column `T`",
            "give each",
        ),
        (
            "unit: °C",
            "unit: °C, missing: x, broken: x",
            "R011 8:59 [x] code `x` is both missing and broken",
            "a missing reading",
        ),
        (
            "      T:",
            "      U: { parameter: core, unit: °C }\n      T:",
            "R011 9:7 [T] columns `U` and `T` are both `core`, and nothing tells them apart",
            "give each its own `probe`",
        ),
        ("      T:", "      T: { parameter: core, unit: °C }\n      T:", "R011 9:7 [T] `T` stands twice in", ""),
        (
            "%M\" }",
            "%M\", zone: UTC, offset: \"+01:00\" }",
            "R012 5:64 [offset] `zone` and `offset` exclude each other",
            "keep one",
        ),
        (
            "unit: °C",
            "unit: °C, not-detected: nd",
            "R012 8:39 [not-detected] column `T` of readings has `not-detected`",
            "laboratory",
        ),
        ("    columns", "    thousands: \",\"\n    columns", "", ""),
        ("%M\" }", "%M%:z\", zone: UTC }", "R012 5:27 [format] the cells carry their own offset", "remove"),
    ] {
        let yaml = iso("").replace(from, to);
        if said.is_empty() {
            assert!(Mapping::parse(&yaml, SourceId(0)).0.is_some(), "{yaml}");
            continue;
        }
        let (found, advice) = fault(&yaml);
        assert!(found.starts_with(said), "{found}\nwanted {said}");
        assert!(advice.starts_with(help), "{found}: {advice}");
    }
}

#[test]
fn entries_repeated_by_alias_are_bounded() {
    let columns: String =
        (0..2_000).map(|number| format!("      C{number}: {{ parameter: p{number}, unit: °C }}\n")).collect();
    let entry = format!(
        "zone: UTC\nreadings:\n  - &e\n    files: a\n    record: r\n    time: {{ column: T, format: \"%F %R\" }}\n    columns:\n{columns}"
    );
    let yaml = entry + &"  - *e\n".repeat(50_000);
    let started = std::time::Instant::now();
    let (said, _) = fault(&yaml);
    assert!(said.starts_with("R001"), "{said}");
    assert!(started.elapsed().as_secs() < 20);
}

/// Each line of the demo's mapping in turn loses its first colon: the fault is found, on that line or beside it.
#[test]
fn a_garbled_line_is_found() {
    let text = include_str!("../../demo/mapping.yaml");
    let lines: Vec<&str> = text.lines().collect();
    let source = |text: &str| Source::new("mapping", text);
    let mut far = Vec::new();
    for (number, line) in lines.iter().enumerate() {
        if line.trim_start().starts_with('#') || !line.contains(':') {
            continue;
        }
        let garbled: Vec<String> = lines
            .iter()
            .enumerate()
            .map(|(other, line)| if other == number { line.replacen(':', "", 1) } else { (*line).to_owned() })
            .collect();
        let yaml = garbled.join("\n");
        let (mapping, findings) = Mapping::parse(&yaml, SourceId(0));
        assert!(mapping.is_none(), "line {}: {line}", number + 1);
        let near = findings.iter().any(|finding| {
            let at = source(&yaml).line_col(finding.span().unwrap().start).line;
            at.abs_diff(number + 1) <= 1
        });
        if !near {
            far.push((
                number + 1,
                lines[number],
                findings.iter().map(|finding| shown(&yaml, finding)).collect::<Vec<_>>(),
            ));
        }
    }
    assert!(far.is_empty(), "{far:#?}");
}
