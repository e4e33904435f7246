//! The reader's view: any delimited text without a plan, polluted files, and other people's files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]

mod binary;
mod pollute;
mod propose;
mod real;
mod tables;

use bourn::log::plain::{Options, look};
use bourn::source::Place;
use std::collections::{BTreeMap, BTreeSet};

/// What came of reading a file.
#[derive(Debug, PartialEq, Eq)]
enum Came {
    Exact,
    Refused,
    Named,
    Silent(String),
}

/// Reads a file and holds it against what it should be: every row that is not named by its line must be right.
fn came(file: &pollute::File, options: &Options) -> (Came, Option<String>) {
    let view = match look("a.csv", &file.bytes, options) {
        Ok(view) => view,
        Err(finding) => return (Came::Refused, Some(finding.message)),
    };
    let lines = view.findings.iter().map(|finding| match &finding.place {
        Place::Cell(cell) => cell.row,
        _ => 0,
    });
    let named: BTreeSet<u64> = lines.collect();
    let told = view.findings.first().map(|finding| format!("{:?} {}", finding.place, finding.message));
    let wanted: BTreeMap<u64, &Vec<String>> = file.rows.iter().map(|(line, row)| (*line, row)).collect();
    let mut seen = BTreeSet::new();
    for (row, _) in view.table() {
        seen.insert(row.line);
        if named.contains(&row.line) {
            continue;
        }
        let cells: Vec<String> = view.rows.cells(row).map(str::to_owned).collect();
        match wanted.get(&row.line) {
            Some(wanted) if **wanted == cells => {}
            Some(wanted) => return (Came::Silent(format!("line {}: {cells:?} for {wanted:?}", row.line)), told),
            None => return (Came::Silent(format!("line {} is no row: {cells:?}", row.line)), told),
        }
    }
    if let Some((line, row)) = file.rows.iter().find(|(line, _)| !seen.contains(line) && !named.contains(line)) {
        // Without headings declared, a first row of words alone may be taken for headings; it is still there.
        let head = view.headings.as_ref() == Some(row);
        if !(head && file.head.is_none()) {
            return (Came::Silent(format!("line {line} is lost: {row:?}")), told);
        }
    }
    match (&file.head, &view.headings) {
        (Some((0, _)), Some(_)) => {}
        (Some((line, head)), Some(found)) if head != found && !named.contains(line) => {
            return (Came::Silent(format!("headings {found:?} for {head:?}")), told);
        }
        (Some((line, _)), None) if !named.contains(line) && !seen.contains(line) => {
            return (Came::Silent("headings are lost".to_owned()), told);
        }
        _ => {}
    }
    (if named.is_empty() { Came::Exact } else { Came::Named }, told)
}

/// Writes each file and what it should be read as, for the comparison with other readers (`tests/readers.py`).
#[test]
fn the_files_for_other_readers() {
    let Some(folder) = std::env::var_os("BOURN_POLLUTED") else { return };
    let folder = std::path::Path::new(&folder);
    std::fs::create_dir_all(folder).unwrap();
    let mut list = String::new();
    for (number, file) in pollute::files().iter().enumerate() {
        std::fs::write(folder.join(format!("{number:04}.csv")), &file.bytes).unwrap();
        let said = &file.options.said;
        let sign = match &said.parting {
            Some(bourn::log::plain::split::Parting::Sign(sign)) => sign,
            other => panic!("{other:?}"),
        };
        let line = serde_json::json!({
            "file": format!("{number:04}.csv"),
            "what": file.what,
            "sound": file.sound,
            "head": file.head,
            "rows": file.rows,
            "sign": sign,
            "quote": said.quote.flatten(),
            "escape": said.escape.flatten(),
            "encoding": file.options.encoding.map(bourn::log::Encoding::name),
            "preamble": file.options.preamble,
            "headings": file.options.headings,
        });
        list += &format!("{line}\n");
    }
    std::fs::write(folder.join("files.jsonl"), list).unwrap();
}

#[test]
fn polluted_files_are_never_read_wrongly_in_silence() {
    let files = pollute::files();
    assert!(files.len() > 1000, "{}", files.len());
    let mut report = String::new();
    let mut silent = [0, 0];
    let mut sound_told = 0;
    for (given, slot) in [(true, 0), (false, 1)] {
        let mut counts = BTreeMap::from([("exact", 0), ("refused", 0), ("named", 0), ("silent", 0)]);
        for file in &files {
            let none = Options::default();
            let (came, told) = came(file, if given { &file.options } else { &none });
            if let (true, Some(told)) = (file.sound, told) {
                sound_told += 1;
                report += &format!("\nsound, and something was said (dialect given {given}): {}: {told}", file.what);
            }
            let word = match &came {
                Came::Exact => "exact",
                Came::Refused => "refused",
                Came::Named => "named",
                Came::Silent(why) => {
                    silent[slot] += 1;
                    report += &format!("\nsilent (dialect given {given}): {}: {why}", file.what);
                    "silent"
                }
            };
            *counts.get_mut(word).unwrap() += 1;
        }
        println!("{} files, dialect given {given}: {counts:?}", files.len());
    }
    println!("{report}");
    assert_eq!((silent, sound_told), ([0, 0], 0), "{report}");
}
