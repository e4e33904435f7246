//! What was understood of a record file: as a table, as JSON, and as a short account.

use crate::finding::Finding;
use crate::log::plain::View;
use crate::log::plain::dialect;
use crate::log::plain::layout::Class;
use crate::log::plain::series::Stretch;
use crate::source::Place;
use chrono::DateTime;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io::{Result, Write};

/// The table as comma-separated text: one line of headings where the file has any, then its rows as they stand.
///
/// # Errors
/// What stands against writing.
pub fn csv(view: &View, to: impl Write) -> Result<()> {
    let plain = |error: csv::Error| match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        _ => std::io::Error::other("a row cannot be written"),
    };
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(to);
    if let Some(headings) = &view.headings {
        writer.write_record(headings).map_err(plain)?;
    }
    for (row, _) in view.table() {
        writer.write_record(view.rows.cells(row)).map_err(plain)?;
    }
    writer.flush()
}

/// Everything as JSON.
#[must_use]
pub fn json(view: &View) -> Value {
    let sign = |sign: Option<char>| sign.map(String::from);
    let lines = |class: Class| -> Vec<u64> {
        view.rows
            .rows
            .iter()
            .zip(&view.classes)
            .filter(|(_, other)| **other == class)
            .map(|(row, _)| row.line)
            .collect()
    };
    let stretch = |one: &Stretch, length: &str| json!({ "from_line": one.from, "to_line": one.to, length: one.length });
    let course = &view.course;
    let time = view.time.as_ref().map(|time| {
        json!({
            "columns": time.columns.iter().map(|at| view.column(*at)).collect::<Vec<_>>(),
            "formats": time.formats,
            "order_proved": time.formats.len() == 1,
            "unread": time.unread,
            "first": course.first.map(show),
            "last": course.last.map(show),
            "steps": course.steps.iter().take(20).map(|(step, count)| json!({ "seconds": step, "count": count })).collect::<Vec<_>>(),
            "gaps": course.gaps.iter().map(|gap| stretch(gap, "seconds")).collect::<Vec<_>>(),
            "out_of_order_lines": course.back,
            "repeated_lines": course.twice,
            "conflicting_lines": course.conflicts,
        })
    });
    let numbers: Vec<Value> = view
        .numbers
        .iter()
        .map(|one| {
            json!({
                "column": view.column(one.column),
                "count": one.count,
                "least": one.least,
                "greatest": one.greatest,
                "codes": one.codes,
                "still": one.still.as_ref().map(|still| stretch(still, "rows")),
                "pinned": one.pinned && one.still.is_some(),
            })
        })
        .collect();
    let findings: Vec<Value> = view
        .findings
        .iter()
        .map(|finding| {
            json!({ "code": finding.rule.code, "severity": finding.rule.severity.word(), "line": line(finding), "message": finding.message })
        })
        .collect();
    json!({
        "file": view.name,
        "sha256": view.sha256,
        "bytes": view.bytes,
        "encoding": view.encoding.name(),
        "dialect": {
            "delimiter": dialect::name(&view.dialect.parting),
            "quote": sign(view.dialect.quote),
            "escape": sign(view.dialect.escape),
        },
        "lines": {
            "preamble": lines(Class::Preamble),
            "headings": lines(Class::Heading),
            "headings_again": lines(Class::HeadingAgain),
            "blank": lines(Class::Blank),
            "damaged": lines(Class::Damaged),
            "footer": lines(Class::Footer),
            "empty": view.rows.empty,
        },
        "row_count": view.table().count(),
        "time": time,
        "numbers": numbers,
        "findings": findings,
        "headings": view.headings,
        "rows": view.table().map(|(row, class)| {
            json!({ "line": row.line, "sound": class != Class::Damaged, "cells": view.rows.cells(row).collect::<Vec<_>>() })
        }).collect::<Vec<_>>(),
    })
}

/// A short account for a person.
#[must_use]
pub fn summary(view: &View) -> String {
    let mut out = String::new();
    let quote = view.dialect.quote.map_or("no quotation mark".to_owned(), |quote| format!("quotation mark {quote}"));
    let escape = view.dialect.escape.map_or(String::new(), |escape| format!(", escape {escape}"));
    let mut say = |name: &str, text: String| {
        // Writing to a text cannot fail.
        let _ = writeln!(out, "{name:<12} {text}");
    };
    say("file", format!("{}, {} bytes", view.name, view.bytes));
    say("sha256", view.sha256.clone());
    say(
        "written",
        format!("{}, cells parted by {}, {quote}{escape}", view.encoding.name(), dialect::name(&view.dialect.parting)),
    );
    let count = |class| view.count(class);
    say(
        "rows",
        format!(
            "{} in the table, {} damaged, {} without a value",
            view.table().count(),
            count(Class::Damaged),
            count(Class::Blank)
        ),
    );
    let aside: Vec<String> = [
        (count(Class::Preamble), "before the headings"),
        (count(Class::Heading), "of headings"),
        (count(Class::HeadingAgain), "of headings again"),
        (count(Class::Footer), "below the table"),
        (view.rows.empty.len(), "empty"),
    ]
    .iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, what)| format!("{count} {what}"))
    .collect();
    say("other lines", if aside.is_empty() { "none".to_owned() } else { aside.join(", ") });
    if let Some(time) = &view.time {
        let names: Vec<String> = time.columns.iter().map(|at| format!("`{}`", view.column(*at))).collect();
        let order = if time.formats.len() == 1 { "" } else { "; no row proves which" };
        let formats = time.formats.iter().map(|format| format!("`{format}`")).collect::<Vec<_>>().join(" or ");
        say("time", format!("{} as {formats}{order}", names.join(" and ")));
        let course = &view.course;
        if let (Some(first), Some(last)) = (course.first, course.last) {
            say("", format!("from {} to {}", show(first), show(last)));
        }
        let steps: Vec<String> =
            course.steps.iter().take(4).map(|(step, count)| format!("{} {count} times", span(*step))).collect();
        say("steps", if steps.is_empty() { "none".to_owned() } else { steps.join(", ") });
        for gap in course.gaps.iter().take(12) {
            say("gap", format!("{} between lines {} and {}", span(gap.length), gap.from, gap.to));
        }
        if course.gaps.len() > 12 {
            say("", format!("and {} more gaps", course.gaps.len() - 12));
        }
        for (name, lines) in
            [("out of order", &course.back), ("repeated", &course.twice), ("in conflict", &course.conflicts)]
        {
            if let Some(first) = lines.first() {
                say(name, format!("{} rows, the first in line {first}", lines.len()));
            }
        }
    } else {
        say("time", "no column of times was found".to_owned());
    }
    for one in &view.numbers {
        let name = view.column(one.column);
        say("numbers", format!("`{name}`: {} from {} to {}", one.count, one.least, one.greatest));
        if !one.codes.is_empty() {
            let codes: Vec<String> = one.codes.iter().map(|(code, count)| format!("`{code}` {count} times")).collect();
            say("", format!("codes? {}", codes.join(", ")));
        }
        if let Some(still) = &one.still {
            let stop = if one.pinned { ", at the end of its range" } else { "" };
            say("", format!("stands still for {} rows, lines {} to {}{stop}", still.length, still.from, still.to));
        }
    }
    out
}

/// One line for each finding: file, line, weight, words and code.
#[must_use]
pub fn findings(name: &str, findings: &[Finding]) -> String {
    let mut out = String::new();
    let mut helped: Vec<&str> = Vec::new();
    for finding in findings {
        let at = line(finding);
        let at = if at == 0 { String::new() } else { format!("{at}:") };
        // Writing to a text cannot fail.
        let _ =
            writeln!(out, "{name}:{at} {}: {} [{}]", finding.rule.severity.word(), finding.message, finding.rule.code);
        if let Some(help) = finding.help.as_deref().filter(|help| !helped.contains(help)) {
            helped.push(help);
            let _ = writeln!(out, "  help: {help}");
        }
    }
    out
}

fn line(finding: &Finding) -> u64 {
    match &finding.place {
        Place::Cell(cell) => cell.row,
        _ => 0,
    }
}

fn show(at: i64) -> String {
    DateTime::from_timestamp_nanos(at).format("%Y-%m-%d %H:%M:%S%.f").to_string()
}

/// A span of seconds in the words of a clock.
fn span(seconds: i64) -> String {
    match seconds {
        s if s >= 172_800 && s % 3600 == 0 => format!("{} h", s / 3600),
        s if s >= 3600 && s % 3600 == 0 => format!("{} h", s / 3600),
        s if s >= 60 && s % 60 == 0 => format!("{} min", s / 60),
        s => format!("{s} s"),
    }
}
