//! Published statements of limits, each written in the plan language, refused, or named as not yet possible.
//!
//! `docs/catalogue.md` is the table; `statements.haccp` holds what is written, `refused/` what the language turns down.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod checked;

use bourn::finding::{Finding, Severity};
use bourn::source::{Source, Sources};
use std::collections::BTreeMap;
use std::path::Path;

const PAGE: &str = include_str!("../../docs/catalogue.md");
const STATEMENTS: &str = include_str!("statements.haccp");
const FRAME: &str = include_str!("frame.haccp");

/// The numbers of the list of statements. They have gaps: the list was thinned.
const NUMBERS: &str = "1 2 4 6 7 9 11 12 14 16 17 19 21 22 24 26 27 29 31 32 34 36 37 39 41 42 44 46 47 49 51 52 54 \
    56 57 59 61 62 64 66 67 69 71 72 74 75b 75c 76 77 79 81 82 84 86 87 89 91 92 94 96 97 99 101 102 104 106 107 109 \
    111 112 114 116 117 119";

#[derive(Debug, PartialEq, Eq)]
enum Fate {
    Written(Vec<String>),
    Refused(String),
    NotYet,
}

struct Row {
    number: String,
    fate: Fate,
    in_part: bool,
}

/// The texts in ticks.
fn ticks(cell: &str) -> Vec<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

fn rows() -> Vec<Row> {
    let table = PAGE.lines().skip_while(|line| !line.starts_with("| no. |")).skip(2);
    table
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
            assert_eq!(cells.len(), 4, "{line}");
            assert!(!cells[1].is_empty(), "{line}");
            let fate = if cells[2] == "not yet" {
                Fate::NotYet
            } else if cells[2].starts_with("refused ") {
                Fate::Refused(ticks(cells[2])[0].clone())
            } else {
                Fate::Written(ticks(cells[2]))
            };
            if fate == Fate::NotYet {
                assert!(!cells[3].is_empty(), "what is missing is not said: {line}");
            }
            Row { number: cells[0].to_owned(), fate, in_part: cells[3].starts_with("In part: ") }
        })
        .collect()
}

/// The numbers of the comments `# 27: …` in a text, in order.
fn numbered(text: &str) -> Vec<String> {
    text.lines()
        .filter_map(|line| line.trim_start().strip_prefix("# ")?.split_once(": "))
        .map(|(number, _)| number.to_owned())
        .filter(|number| number.starts_with(|c: char| c.is_ascii_digit()))
        .collect()
}

/// A text without comments, every blank stretch as one blank.
fn plain(text: &str) -> String {
    let lines =
        text.lines().map(|line| line.split("  # ").next().unwrap()).filter(|line| !line.trim().starts_with('#'));
    lines.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
}

fn findings(texts: &[(&str, &str)]) -> Vec<Finding> {
    let mut sources = Sources::new();
    let ids: Vec<_> = texts.iter().map(|(name, text)| sources.add(Source::new(*name, *text))).collect();
    let reading = bourn::plan::read(&sources, &ids);
    let mut found = reading.findings;
    found.extend(bourn::check::check(&reading.plan, chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap()));
    bourn::finding::tidy(&mut found);
    found
}

#[test]
fn the_statements_can_be_read_and_check_finds_what_the_page_says() {
    let found = findings(&[("statements.haccp", STATEMENTS), ("frame.haccp", FRAME)]);
    let said: Vec<_> = found.iter().map(|finding| (finding.rule.code, finding.message.as_str())).collect();
    assert!(found.iter().all(|finding| finding.rule.severity != Severity::Error), "{said:#?}");
    let mut codes: Vec<&str> = said.iter().map(|(code, _)| *code).collect();
    let (_, named) = PAGE.split_once("## What check still says").unwrap();
    let named = ticks(named);
    let mut named: Vec<&str> = named
        .iter()
        .map(String::as_str)
        .filter(|text| text.len() == 4 && text[1..].bytes().all(|b| b.is_ascii_digit()))
        .collect();
    codes.sort_unstable();
    named.sort_unstable();
    assert_eq!(codes, named, "each as often as the page names it: {said:#?}");
}

#[test]
fn every_number_stands_once() {
    let rows = rows();
    let on_the_page: Vec<&str> = rows.iter().map(|row| row.number.as_str()).collect();
    assert_eq!(on_the_page, NUMBERS.split_whitespace().collect::<Vec<_>>());

    let mut written: BTreeMap<String, usize> = BTreeMap::new();
    for number in numbered(STATEMENTS).into_iter().chain(numbered(FRAME)) {
        *written.entry(number).or_default() += 1;
    }
    let mut counts = [0_usize; 4];
    for row in &rows {
        let times = written.remove(&row.number).unwrap_or(0);
        assert_eq!(times, usize::from(matches!(row.fate, Fate::Written(_))), "{} in the plan", row.number);
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/catalogue/refused/{}.haccp", row.number));
        assert_eq!(file.exists(), matches!(row.fate, Fate::Refused(_)), "{}", file.display());
        let at = match row.fate {
            Fate::Written(_) if row.in_part => 1,
            Fate::Written(_) => 0,
            Fate::Refused(_) => 2,
            Fate::NotYet => 3,
        };
        counts[at] += 1;
    }
    assert!(written.is_empty(), "in the plan and not in the list: {written:?}");
    let [whole, part, refused, not_yet] = counts;
    println!("{} statements: {whole} written, {part} in part, {refused} refused, {not_yet} not yet", rows.len());
}

#[test]
fn what_the_page_shows_stands_in_the_plan() {
    let plan = format!("{} {}", plain(STATEMENTS), plain(FRAME));
    for row in rows() {
        let Fate::Written(shown) = row.fate else { continue };
        assert!(!shown.is_empty(), "{} shows nothing", row.number);
        for text in shown {
            assert!(plan.contains(&text), "{}: `{text}` does not stand in the plan", row.number);
        }
    }
}

#[test]
fn what_is_refused_gives_its_code() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/catalogue/refused");
    let mut seen = 0;
    for row in rows() {
        let Fate::Refused(code) = row.fate else { continue };
        let text = std::fs::read_to_string(folder.join(format!("{}.haccp", row.number))).unwrap();
        assert_eq!(numbered(&text).join(" "), row.number);
        let found = findings(&[("refused.haccp", &text)]);
        assert!(found.iter().any(|finding| finding.rule.code == code), "{}: no {code} in {found:#?}", row.number);
        seen += 1;
    }
    assert_eq!(seen, std::fs::read_dir(folder).unwrap().count(), "a file that the page does not name");
}

/// What the page shows of the two model plans stands in them.
#[test]
fn what_the_page_shows_of_a_model_stands_in_its_plan() {
    let plans = [
        ("ham", plain(include_str!("../../plans/cured-cooked-ham.haccp"))),
        ("peanut butter", plain(include_str!("../../plans/peanut-butter.haccp"))),
    ];
    let mut shown = 0;
    for line in PAGE.lines().skip_while(|line| !line.starts_with("| plan |")).skip(2) {
        let Some(row) = line.strip_prefix('|') else { break };
        let cells: Vec<&str> = row.trim_end_matches('|').split('|').map(str::trim).collect();
        assert_eq!(cells.len(), 4, "{line}");
        let (_, plan) = plans.iter().find(|(name, _)| *name == cells[0]).unwrap();
        let texts = ticks(cells[2]);
        assert!(!texts.is_empty() || cells[2] == "not written" && !cells[3].is_empty(), "{line}");
        for text in texts {
            assert!(plan.contains(&text), "{}: `{text}` does not stand in the plan", cells[0]);
            shown += 1;
        }
    }
    assert!(shown >= 20, "{shown}");
}
