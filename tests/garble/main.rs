//! Every line of the demo's plan matters: each is taken out, then garbled, and a finding must stand on it or beside it.
//!
//! Lines that can go unnoticed are listed in `excused.txt` with the reason; an excuse that is no longer needed fails too.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

use bourn::finding::Finding;
use bourn::source::{Place, Source, Sources};
use std::collections::BTreeMap;
use std::fmt::Write as _;

const PLAN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/plans/smoked-goose-breast.haccp");
const NOISE: &str = "zzqx";

/// The findings of a plan text, each with the lines (from 0) on which it or what belongs to it stands.
fn findings(text: &str) -> Vec<(Finding, Vec<usize>)> {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = bourn::plan::read(&sources, &[id]);
    let on = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
    let mut found = reading.findings;
    found.extend(bourn::check::check(&reading.plan, on));
    let source = sources.get(id).unwrap();
    let lines = |place: &Place| -> Vec<usize> {
        match place {
            // A stretch of many lines points at its first and its last one.
            Place::Text(loc) => {
                vec![source.line_of(loc.span.start), source.line_of(loc.span.end.max(loc.span.start + 1) - 1)]
            }
            _ => Vec::new(),
        }
    };
    found
        .into_iter()
        .map(|finding| {
            let mut at = lines(&finding.place);
            at.extend(finding.related.iter().flat_map(|(place, _)| lines(place)));
            (finding, at)
        })
        .collect()
}

/// The words of a line that stand outside quotes and comments, as byte ranges.
fn words(line: &str) -> Vec<(usize, usize)> {
    let (mut found, mut start, mut quoted) = (Vec::new(), None, false);
    for (at, c) in line.char_indices() {
        if c == '#' && !quoted && line[..at].chars().next_back().is_none_or(char::is_whitespace) {
            break;
        }
        if c == '"' {
            quoted = !quoted;
        }
        if quoted || c == '"' || c.is_whitespace() {
            if let Some(start) = start.take() {
                found.push((start, at));
            }
        } else {
            start.get_or_insert(at);
        }
    }
    if let (Some(start), false) = (start, quoted) {
        found.push((start, line.len()));
    }
    found
}

/// The line with its middle word spoilt; where it is all prose, with a word before the quote.
fn garbled(line: &str) -> String {
    let words = words(line);
    match words.get(words.len() / 2) {
        Some(&(start, end)) => format!("{}{NOISE}{}", &line[..start], &line[end..]),
        None => {
            let quote = line.find('"').expect("a line has words or a quoted text");
            format!("{}{NOISE} {}", &line[..quote], &line[quote..])
        }
    }
}

/// `remove|garble` and the trimmed line → the code that must be found somewhere else (`-` for none).
/// The same text twice in the plan shares one excuse.
fn excuses() -> BTreeMap<(String, String), String> {
    let mut reason = false;
    let mut found = BTreeMap::new();
    for line in include_str!("excused.txt").lines().filter(|line| !line.trim().is_empty()) {
        if line.starts_with("# ") {
            reason = true;
            continue;
        }
        assert!(reason, "an excuse needs a reason above it: {line}");
        let (what, rest) = line.split_once(' ').expect("remove or garble");
        let (code, text) = rest.split_once(' ').expect("a code and a line");
        found.insert((what.to_owned(), text.trim().to_owned()), code.to_owned());
    }
    found
}

/// Where the findings of one change stand, if none stands on the changed line or beside it.
fn unnoticed(lines: &[&str], at: usize, what: &str) -> Option<Vec<(&'static str, Vec<usize>)>> {
    let mut changed: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
    // Beside a line are the lines next to it, blank ones passed over.
    let full = |line: &usize| !lines[*line].trim().is_empty();
    let above = (0..at).rev().find(full).unwrap_or(0);
    let below = (at + 1..lines.len()).find(full).unwrap_or(at + 1);
    let beside = if what == "remove" {
        changed.remove(at);
        above..=below.saturating_sub(1)
    } else {
        changed[at] = garbled(lines[at]);
        above..=below
    };
    let found = findings(&(changed.join("\n") + "\n"));
    if found.iter().any(|(_, at)| at.iter().any(|line| beside.contains(line))) {
        return None;
    }
    Some(found.into_iter().map(|(finding, at)| (finding.rule.code, at.iter().map(|n| n + 1).collect())).collect())
}

#[test]
fn no_line_goes_unnoticed() {
    let text = std::fs::read_to_string(PLAN).unwrap();
    assert!(findings(&text).is_empty(), "the plan itself must be clean");
    let lines: Vec<&str> = text.lines().collect();
    let excuses = excuses();
    let tries: Vec<(usize, &str)> = lines
        .iter()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty() && !line.trim().starts_with('#'))
        .flat_map(|(at, _)| [(at, "remove"), (at, "garble")])
        .collect();
    let workers = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let missed: Vec<_> = std::thread::scope(|scope| {
        let parts = tries.chunks(tries.len().div_ceil(workers)).map(|part| {
            let lines = &lines;
            scope.spawn(move || {
                part.iter().filter_map(|&(at, what)| Some((at, what, unnoticed(lines, at, what)?))).collect::<Vec<_>>()
            })
        });
        parts.collect::<Vec<_>>().into_iter().flat_map(|part| part.join().unwrap()).collect()
    });
    let tried = tries.len();
    let mut needed = std::collections::BTreeSet::new();
    let (mut elsewhere, mut silent, mut report) = (0, 0, String::new());
    for (at, what, found) in missed {
        let line = lines[at].trim();
        let key = (what.to_owned(), line.to_owned());
        match excuses.get(&key) {
            Some(code) if code == "-" && found.is_empty() => silent += 1,
            Some(code) if found.iter().any(|(other, _)| other == code) => elsewhere += 1,
            _ => writeln!(report, "{what} line {}: {line}\n    elsewhere: {found:?}", at + 1).unwrap(),
        }
        needed.insert(key);
    }
    println!(
        "{tried} changes tried on {} lines; {elsewhere} found elsewhere, {silent} unnoticed, all excused by reason",
        tried / 2
    );
    assert!(report.is_empty(), "unnoticed:\n{report}");
    let spare: Vec<_> = excuses.keys().filter(|key| !needed.contains(*key)).collect();
    assert!(spare.is_empty(), "these excuses are no longer needed: {spare:?}");
}

#[test]
fn words_inside_quotes_and_comments_are_left_alone() {
    assert_eq!(garbled("  kind  raw  # remark"), "  kind  zzqx  # remark");
    assert_eq!(garbled("  hold \"Tag the load\""), "  zzqx \"Tag the load\"");
    assert_eq!(garbled("      \"Two probes\""), "      zzqx \"Two probes\"");
}
