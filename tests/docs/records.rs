//! The page on records: mapping examples, keys, codes.

use crate::page;
use bourn::log::{Mapping, RegisterKind};
use bourn::registry;
use bourn::source::{Source, Sources};
use std::collections::BTreeSet;

fn parse(text: &str) -> (bool, Vec<String>) {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("mapping.yaml", text));
    let (mapping, findings) = Mapping::parse(text, id);
    (mapping.is_some(), findings.iter().map(|finding| format!("{} {}", finding.rule.code, finding.message)).collect())
}

/// Every mapping on every page is read without a finding.
#[test]
fn mapping_examples_read_without_findings() {
    let mut seen = 0;
    for page in page::pages() {
        for example in page.examples().iter().filter(|example| example.kind() == "yaml") {
            let (read, findings) = parse(&example.text);
            assert!(read && findings.is_empty(), "{}: {findings:#?}", example.place);
            seen += 1;
        }
    }
    assert!(seen >= 5, "only {seen} mappings");
}

/// Every wrong mapping gives the code that the line before it names, and no other.
#[test]
fn wrong_mappings_give_the_code_they_promise() {
    let mut seen = 0;
    for page in page::pages() {
        for example in page.examples().iter().filter(|example| example.kind() == "yaml-wrong") {
            let (_, findings) = parse(&example.text);
            let codes: BTreeSet<&str> = findings.iter().map(|finding| &finding[..4]).collect();
            let promised = example.promised();
            assert_eq!(codes, promised.iter().map(String::as_str).collect(), "{}: {findings:#?}", example.place);
            seen += 1;
        }
    }
    assert!(seen >= 4, "only {seen} mappings");
}

/// Every key that the tool takes has a row in a table and stands in an example, and no row has another key.
#[test]
fn every_key_has_its_row_and_its_example() {
    let page = page::page("docs/records.md");
    let examples: String =
        page.examples().iter().filter(|example| example.kind() == "yaml").map(|example| example.text.clone()).collect();
    let mut keys = BTreeSet::new();
    // A key that nobody knows makes the tool list the keys that may stand there.
    for (place, indent) in [
        ("", ""),
        ("lots:\n  - ", "lots"),
        ("readings:\n  - ", "readings"),
        ("samples:\n  - ", "samples"),
        ("calibrations:\n  - ", "calibrations"),
    ] {
        keys.extend(known(&format!("{place}qqqqqqqqqq: 1\n")));
        assert!(!keys.is_empty(), "{indent}");
    }
    keys.extend(known("readings:\n  - time: { qqqqqqqqqq: 1 }\n"));
    keys.extend(known("readings:\n  - columns: { A: { qqqqqqqqqq: 1 } }\n"));
    keys.extend(known("readings:\n  - long: { qqqqqqqqqq: 1 }\n"));
    keys.extend(known("lots:\n  - quantity: { qqqqqqqqqq: 1 }\n"));
    keys.extend(known("calibrations:\n  - reading: { qqqqqqqqqq: 1 }\n"));
    assert!(keys.len() >= 35, "{keys:?}");
    let rows: BTreeSet<String> = page
        .text
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once('`'))
        .filter(|(key, _)| !key.contains(|c: char| c.is_ascii_uppercase() || c == '%'))
        .map(|(key, _)| key.to_owned())
        .collect();
    assert_eq!(rows, keys);
    for key in &keys {
        assert!(examples.contains(&format!("{key}:")), "no example shows `{key}`");
    }
}

/// The keys that may stand where an unknown one does.
fn known(text: &str) -> Vec<String> {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("mapping.yaml", text));
    let (_, findings) = Mapping::parse(text, id);
    let help = findings.iter().find_map(|finding| finding.help.clone()).unwrap_or_default();
    let (_, list) = help.split_once("the keys here are ").unwrap_or_else(|| panic!("{text}: {help}"));
    list.split(", ").map(str::to_owned).collect()
}

/// Each finding about the mapping, the records, or how they fit the plan has a line.
#[test]
fn every_finding_about_records_has_a_line() {
    let page = page::page("docs/records.md");
    let mut seen = 0;
    for rule in registry::rules().iter().filter(|rule| rule.code.starts_with(['R', 'V'])) {
        let line = page.text.lines().find(|line| line.starts_with(&format!("| `{}` ", rule.code)));
        let line = line.unwrap_or_else(|| panic!("docs/records.md has no line for {} {}", rule.code, rule.name));
        assert!(line.contains(rule.severity.word()), "{line}: {}", rule.severity.word());
        seen += 1;
    }
    assert!(seen >= 40, "only {seen} codes");
    for row in page.text.lines().filter_map(|line| line.strip_prefix("| `")) {
        let code = row.split('`').next().unwrap();
        if code.len() == 4 && code.starts_with(['R', 'V']) {
            assert!(registry::rule(code).is_some(), "{code} is no code");
        }
    }
}

/// Each field of each register has a line under its kind, in the order of the template, and each finding has one.
#[test]
fn every_field_of_a_register_has_a_line() {
    let page = page::page("docs/registers.md");
    let mut seen = 0;
    for kind in RegisterKind::ALL {
        let (_, rest) = page.text.split_once(&format!("\n## `{}`\n", kind.word())).unwrap();
        let own = rest.split("\n## ").next().unwrap();
        let lines: Vec<&str> = own.lines().filter(|line| line.starts_with("| `")).collect();
        let wanted: Vec<String> = kind
            .fields()
            .iter()
            .map(|field| {
                let must = if field.needed { "must be named" } else { "" };
                format!("| `{}` | {} | {must} |", field.name, field.says)
            })
            .collect();
        assert_eq!(lines, wanted, "{}", kind.word());
        seen += lines.len();
    }
    assert!(seen >= 50, "only {seen} fields");
    for rule in registry::rules().iter().filter(|rule| rule.code.starts_with('E')) {
        let line = page.text.lines().find(|line| line.starts_with(&format!("| `{}` {} ", rule.code, rule.name)));
        let line = line.unwrap_or_else(|| panic!("docs/registers.md has no line for {} {}", rule.code, rule.name));
        assert!(line.contains(rule.severity.word()), "{line}");
    }
}
