//! Real logs of other people (tests/logs/data), against the `csv` crate as a second opinion: each row exactly.

use crate::binary::run;
use bourn::log::plain::{Options, look};
use std::path::Path;
use std::process::Stdio;

fn file(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/logs/data").join(name)).unwrap()
}

#[test]
fn every_row_is_read_exactly() {
    for (name, before, rows, said) in [("ambient-hourly.csv", 0, 7267, 0), ("preamble-12h-clock.csv", 1, 1000, 1)] {
        let bytes = file(name);
        let view = look(name, &bytes, &Options::default()).unwrap();
        let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        let start = (0..before).fold(0, |at, _| at + body[at..].iter().position(|byte| *byte == b'\n').unwrap() + 1);
        let mut reader = csv::ReaderBuilder::new().from_reader(&body[start..]);
        assert_eq!(view.headings.clone().unwrap(), reader.headers().unwrap().iter().collect::<Vec<_>>());
        let theirs: Vec<Vec<String>> =
            reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
        let ours: Vec<Vec<String>> =
            view.table().map(|(row, _)| view.rows.cells(row).map(str::to_owned).collect()).collect();
        assert_eq!(ours.len(), rows);
        assert_eq!(ours, theirs);
        assert_eq!(view.findings.len(), said, "{:?}", view.findings);
    }
}

/// The gaps that the README of the data tells of.
#[test]
fn the_gaps_are_those_of_the_description() {
    let view = look("a.csv", &file("ambient-hourly.csv"), &Options::default()).unwrap();
    let mut hours: Vec<i64> = view.course.gaps.iter().map(|gap| gap.length / 3600).collect();
    hours.sort_unstable();
    // One gap of 2 h is less than two and a half steps; it stands among the steps.
    assert_eq!(hours, [3, 15, 30, 32, 48, 71, 96, 160, 174]);
    assert!(view.course.steps.contains(&(7200, 1)));
    let view = look("b.csv", &file("preamble-12h-clock.csv"), &Options::default()).unwrap();
    let humid = view.numbers.iter().find(|one| view.column(one.column).starts_with("RH")).unwrap();
    assert!(humid.pinned && humid.greatest == "100.000" && humid.still.is_some());
}

#[test]
fn a_mapping_shows_what_it_makes_of_a_file() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(
        folder.path().join("kiln-B7.csv"),
        "Time,Core,Note\n2026-10-05 10:00,70.5,\n2026-10-05 10:01,OL,x\n2026-10-05 10:02,,\n",
    )
    .unwrap();
    let mapping = "zone: Europe/London\nreadings:\n  - files: [kiln-*.csv]\n    record: kiln-record\n    lot-in-name: kiln-*.csv\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    columns:\n      Core: { parameter: core, unit: °C, broken: OL }\n";
    std::fs::write(folder.path().join("m.yaml"), mapping).unwrap();
    let ran = run(folder.path(), &["read", "kiln-B7.csv", "--mapping", "m.yaml"], Stdio::piped());
    assert_eq!(
        ran.out,
        "line,time_utc,record,lot,what,probe_or_sample,instrument,kind,low,high,unit,place_or_by\n2,2026-10-05 09:00:00,kiln-record,B7,core,,,reading,70.5,70.5,°C,\n3,2026-10-05 09:01:00,kiln-record,B7,core,,,broken,,,°C,\n4,2026-10-05 09:02:00,kiln-record,B7,core,,,missing,,,°C,\n"
    );
    assert!(
        ran.err.contains("kiln-B7.csv:3: note: `OL` in column `Core` is declared as a broken probe [R303]"),
        "{}",
        ran.err
    );
    assert_eq!(ran.status, 0);
    let json: serde_json::Value = serde_json::from_str(
        &run(folder.path(), &["read", "kiln-B7.csv", "--mapping", "m.yaml", "--format", "json"], Stdio::piped()).out,
    )
    .unwrap();
    assert_eq!(
        (&json["files"][0]["used_rows"], &json["rows"][0]["lot"]),
        (&serde_json::json!(2), &serde_json::json!("B7"))
    );
    // What is proposed is refused until it is answered, and is never written over.
    let ran = run(folder.path(), &["propose", "kiln-B7.csv", "--output", "p.yaml"], Stdio::piped());
    assert_eq!((ran.status, ran.out.as_str()), (0, ""), "{}", ran.err);
    let ran = run(folder.path(), &["propose", "kiln-B7.csv", "--output", "p.yaml"], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("is not written over")), (2, true), "{}", ran.err);
    let ran = run(folder.path(), &["read", "kiln-B7.csv", "--mapping", "p.yaml"], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("R013 mapping-unanswered")), (2, true), "{}", ran.err);
    std::fs::write(folder.path().join("other.csv"), "a\n").unwrap();
    let ran = run(folder.path(), &["read", "other.csv", "--mapping", "m.yaml"], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("no entry of the mapping fits its name")), (2, true), "{}", ran.err);
}
