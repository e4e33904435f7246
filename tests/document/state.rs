//! When the document is a draft, and that it says so.

use crate::markup::text;
use crate::{GOOSE, day, read};
use bourn::document::Paper;
use chrono::NaiveDate;

const MARK: &str = "<div class=\"watermark\" aria-hidden=\"true\">DRAFT</div>";

#[test]
fn a_plan_in_force_without_blanks_is_no_draft_but_unsigned() {
    let read = read(GOOSE);
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    let html = read.html();
    let said = text(&html);
    assert!(!html.contains("class=\"watermark\"") && !html.contains("Draft: not for use"));
    assert!(said.contains("Sign-off state\nunsigned"));
    assert!(said.contains("no value blank; no error found by the check of 2026-09-30"));
    assert!(said.contains("needs sign-off by people trained in HACCP"));
    assert!(!said.contains("Values still to be set"));
}

#[test]
fn a_blank_makes_a_draft_and_is_listed_with_its_owner() {
    let text_with_blank = GOOSE.replace(
        "limit cold        air <= 7 °C",
        "limit cold        air <= ___ °C \"by trial\" by coordinator before 2026-12-01",
    );
    assert_ne!(text_with_blank, GOOSE);
    let read = read(&text_with_blank);
    assert_eq!(read.plan.blanks.len(), 1);
    let html = read.html();
    let said = text(&html);
    assert!(html.contains(MARK));
    assert!(said.contains("1 value is still to be set by the plant."));
    assert!(said.contains("limit cold air <= ___ °C"));
    let line = 1 + text_with_blank.lines().position(|line| line.contains("___")).unwrap();
    assert!(said.contains(&format!("plan.haccp, line {line}")), "file without its folder, and the line");
    assert!(!said.contains("folder/"));
    assert!(said.contains("Food safety coordinator, before 2026-12-01"));
    assert!(said.contains("at most ________\u{a0}°C at every moment"), "a line to write on in the limit itself");
    assert!(html.contains("DRAFT\\2c  unsigned"), "the foot of each page says so too");
}

#[test]
fn no_day_in_force_makes_a_draft() {
    let read = read(&GOOSE.replace("  in-force        from 2026-09-01\n", ""));
    let html = read.html();
    assert!(html.contains(MARK));
    assert!(text(&html).contains("No day is set from which the plan is in force."));
}

#[test]
fn an_error_makes_a_draft_that_counts_it() {
    let read = read(&GOOSE.replace("uses   oven-1, oven-2", "uses   oven-1, oven-3"));
    assert!(!read.findings.is_empty());
    let html = read.html();
    assert!(html.contains(MARK));
    assert!(text(&html).contains("The check of 2026-09-30 found 1 error"));
}

#[test]
fn a_day_ahead_is_said() {
    let before = NaiveDate::from_ymd_opt(2026, 8, 20).unwrap();
    let said = text(&read(GOOSE).html_on(Paper::A4, before));
    assert!(said.contains("2026-09-01 (not yet in force on 2026-08-20)"));
    assert!(!text(&read(GOOSE).html_on(Paper::A4, day())).contains("not yet in force"));
}

/// The cautions that every document carries.
#[test]
fn the_cautions_are_there() {
    let said = text(&read(GOOSE).html());
    for caution in [
        "Validation is the plant's duty.",
        "are for demonstration",
        "competent authority",
        "low-acid or shelf-stable",
        "recognised process authority",
        "When in doubt, hold the product.",
    ] {
        assert!(said.contains(caution), "{caution}");
    }
}
