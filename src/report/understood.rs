//! What a record file says by a mapping: every reading, check, result, calibration and event, one a line.

use crate::log::{EntryKind, Outcome, Records};
use crate::source::Cell;
use crate::time::{Instant, Zone};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// The names of the columns.
const HEAD: [&str; 12] = [
    "line",
    "time_utc",
    "record",
    "lot",
    "what",
    "probe_or_sample",
    "instrument",
    "kind",
    "low",
    "high",
    "unit",
    "place_or_by",
];

type Line = [String; 12];

/// Everything that was understood, in the order of the file.
fn lines(records: &Records) -> Vec<Line> {
    let mut out: Vec<(u64, Line)> = Vec::new();
    let at = |at: Instant| Zone::UTC.show_local(at);
    let some = |text: &Option<String>| text.clone().unwrap_or_default();
    let row = |cell: &Cell| cell.row.to_string();
    for channel in &records.channels {
        for entry in &channel.rows {
            let broken = entry.kind == EntryKind::Broken;
            let value = |value: f64| if broken { String::new() } else { value.to_string() };
            out.push((
                u64::from(entry.row),
                [
                    entry.row.to_string(),
                    at(Instant(entry.at)),
                    channel.record.clone(),
                    some(&channel.lot),
                    channel.parameter.clone(),
                    some(&channel.probe),
                    some(&channel.instrument),
                    if broken { "broken" } else { "reading" }.to_owned(),
                    value(entry.lo),
                    value(entry.hi),
                    channel.unit.symbol.to_owned(),
                    some(&channel.place),
                ],
            ));
        }
        for missing in &channel.missing {
            out.push((
                u64::from(missing.row),
                [
                    missing.row.to_string(),
                    at(Instant(missing.at)),
                    channel.record.clone(),
                    some(&channel.lot),
                    channel.parameter.clone(),
                    some(&channel.probe),
                    some(&channel.instrument),
                    "missing".to_owned(),
                    String::new(),
                    String::new(),
                    channel.unit.symbol.to_owned(),
                    some(&channel.place),
                ],
            ));
        }
    }
    let plain =
        |cell: &Cell, when: Instant, record: &str, lot: &str, what: &str, kind: &str, value: &str| -> (u64, Line) {
            let mut line: Line = Default::default();
            for (slot, text) in line.iter_mut().zip([row(cell), at(when), record.into(), lot.into(), what.into()]) {
                *slot = text;
            }
            for (slot, text) in line.iter_mut().skip(7).zip([kind, value, value]) {
                *slot = text.to_owned();
            }
            (cell.row, line)
        };
    for check in &records.checks {
        let (kind, answer) = check.answer.as_ref().map_or(("unknown answer", ""), |answer| ("answer", answer.as_str()));
        let mut line = plain(&check.cell, check.at, &check.record, &some(&check.lot), &check.parameter, kind, answer);
        if let Some(last) = line.1.last_mut() {
            *last = check.by.clone().or_else(|| check.place.clone()).unwrap_or_default();
        }
        out.push(line);
    }
    for sample in &records.samples {
        let kind = match sample.outcome {
            Outcome::Value => "result",
            Outcome::Below => "below",
            Outcome::Above => "above",
            Outcome::Answer => "answer",
            Outcome::NotDetected => "not detected",
            Outcome::Unreadable => "unreadable",
        };
        let (low, high) = match &sample.answer {
            Some(answer) => (answer.clone(), answer.clone()),
            None => (sample.lo.to_string(), sample.hi.to_string()),
        };
        let mut line = plain(&sample.cell, sample.at, &sample.record, &sample.lot, &sample.parameter, kind, &low).1;
        let further = [(5, sample.sample.clone()), (6, some(&sample.instrument)), (9, high)];
        let unit = (10, sample.unit.map_or(String::new(), |unit| unit.symbol.to_owned()));
        for (place, text) in further.into_iter().chain([unit, (11, some(&sample.by))]) {
            if let Some(slot) = line.get_mut(place) {
                *slot = text;
            }
        }
        out.push((sample.cell.row, line));
    }
    for one in &records.calibrations {
        for (kind, value) in [("shown", &one.reading), ("reference", &one.reference)] {
            let value = value.as_ref().map_or(String::new(), ToString::to_string);
            let mut line = plain(&one.cell, one.at, &one.record, "", "calibration", kind, &value).1;
            for (place, text) in [(6, one.instrument.as_str()), (10, one.unit.symbol)] {
                if let Some(slot) = line.get_mut(place) {
                    *slot = text.to_owned();
                }
            }
            out.push((one.cell.row, line));
        }
    }
    for lot in &records.lots {
        for event in &lot.events {
            out.push(plain(&event.cell, event.at, &event.record, &lot.code, &event.event, "event", ""));
        }
    }
    out.sort_by_key(|(row, _)| *row);
    out.into_iter().map(|(_, line)| line).collect()
}

/// As comma-separated text.
#[must_use]
pub fn csv(records: &Records) -> String {
    let mut out = format!("{}\n", HEAD.join(","));
    for line in lines(records) {
        let cells: Vec<String> = line
            .iter()
            .map(|cell| {
                if cell.contains([',', '"', '\n']) {
                    format!("\"{}\"", cell.replace('"', "\"\""))
                } else {
                    cell.clone()
                }
            })
            .collect();
        out += &cells.join(",");
        out.push('\n');
    }
    out
}

/// As JSON: the file with its classes of rows, and each line.
#[must_use]
pub fn json(records: &Records) -> Value {
    let rows: Vec<Value> = lines(records)
        .into_iter()
        .map(|line| {
            HEAD.iter()
                .zip(line)
                .map(|(name, cell)| ((*name).to_owned(), Value::from(cell)))
                .collect::<serde_json::Map<_, _>>()
        })
        .map(Value::Object)
        .collect();
    let files: Vec<Value> = records
        .files
        .iter()
        .map(|file| {
            json!({
                "file": file.name, "record": file.record, "sha256": file.sha256, "bytes": file.bytes, "rows": file.rows,
                "used_rows": file.used_rows, "event_rows": file.event_rows, "blank_rows": file.blank_rows,
                "heading_rows": file.heading_rows, "footer_rows": file.footer_rows, "unplaced_rows": file.unplaced_rows,
                "bad_rows": file.bad_rows, "missing_cells": file.missing_cells, "broken_cells": file.broken_cells,
                "first": file.first.map(|at| Zone::UTC.show_local(at)), "last": file.last.map(|at| Zone::UTC.show_local(at)),
            })
        })
        .collect();
    json!({ "files": files, "rows": rows })
}

/// A short account.
#[must_use]
pub fn summary(records: &Records) -> String {
    let mut out = String::new();
    for file in &records.files {
        // Writing to a text cannot fail.
        let _ = writeln!(out, "{} as `{}`, SHA-256 {}", file.name, file.record, file.sha256);
        let _ = writeln!(
            out,
            "  {} rows: {} used, {} events, {} blank, {} headings, {} footers, {} not placed, {} bad",
            file.rows,
            file.used_rows,
            file.event_rows,
            file.blank_rows,
            file.heading_rows,
            file.footer_rows,
            file.unplaced_rows,
            file.bad_rows
        );
        let _ = writeln!(out, "  {} cells without a reading, {} broken", file.missing_cells, file.broken_cells);
        if let (Some(first), Some(last)) = (file.first, file.last) {
            let _ = writeln!(out, "  from {} to {} UTC", Zone::UTC.show_local(first), Zone::UTC.show_local(last));
        }
    }
    for channel in &records.channels {
        let name = [Some(&channel.parameter), channel.probe.as_ref(), channel.lot.as_ref(), channel.place.as_ref()];
        let name: Vec<&str> = name.into_iter().flatten().map(String::as_str).collect();
        let _ = writeln!(
            out,
            "  {}: {} rows in {}, {} without a reading, {} repeated",
            name.join(", "),
            channel.count,
            channel.unit.symbol,
            channel.missing_count,
            channel.repeated
        );
    }
    for (what, count) in [
        ("checks", records.checks.len()),
        ("results", records.samples.len()),
        ("calibrations", records.calibrations.len()),
        ("lots", records.lots.len()),
    ] {
        if count > 0 {
            let _ = writeln!(out, "  {count} {what}");
        }
    }
    out
}
