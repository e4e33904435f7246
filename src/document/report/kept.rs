//! Rounds by shift, when entries were written, and how instruments move, with a chart each.

use super::Order;
use crate::chart::{self, Chart, LimitKind, LimitLine, Side, Tick, Trace};
use crate::document::page::{Block, Cell, Row, Table};
use crate::document::sections::food::inline;
use crate::quantity::plain;
use crate::science::drift::{CONFIDENCE, FEWEST};
use crate::time::show_duration;
use crate::verify::drift::Drift;
use crate::verify::followed::WRITTEN_WITHIN;
use crate::verify::in_question as results;

/// Rounds due and made of each promise by the clock, by shift where the plan knows shifts.
pub(super) fn shifts(order: &Order<'_>) -> Option<Block> {
    let rows: Vec<Row> = order
        .verification
        .watches
        .iter()
        .flat_map(|watch| watch.shifts.iter().map(move |shift| (watch, shift)))
        .map(|(watch, shift)| {
            let begins = shift.begins.map_or_else(|| "all".to_owned(), |at| format!("from {}", at.format("%H:%M")));
            let mut cells = vec![Cell::text(format!("{}: {}", watch.control, watch.parameters)), Cell::text(begins)];
            for count in [shift.due, shift.in_time, shift.early, shift.late, shift.missed] {
                cells.push(Cell::text(count.to_string()));
            }
            let by = watch.instruments.iter().map(|(name, count)| format!("{name}: {count}"));
            cells.push(Cell::texts(by).or("not named"));
            Row::new(cells)
        })
        .collect();
    Table::some(
        "Rounds by the clock; early and late ones count as made",
        &[
            ("Monitoring", 26),
            ("Shift", 12),
            ("Due", 8),
            ("In time", 9),
            ("Early", 8),
            ("Late", 8),
            ("Missed", 9),
            ("Readings by instrument", 20),
        ],
        rows,
    )
}

/// When entries were written, record by record.
pub(super) fn entries(order: &Order<'_>) -> Option<Block> {
    let rows = order.verification.followed.entries.iter().map(|one| {
        Row::new(vec![
            Cell::text(&one.record),
            Cell::text(one.in_time.to_string()),
            Cell::text(one.late.to_string()),
            Cell::text(one.before.to_string()),
            Cell::text(one.unsaid.to_string()),
            Cell::text(show_duration(one.longest)),
        ])
    });
    Table::some(
        &format!(
            "When entries were written; in time is within {} of the event, a choice",
            show_duration(WRITTEN_WITHIN)
        ),
        &[
            ("Record", 30),
            ("In time", 12),
            ("Late", 12),
            ("Before the event", 16),
            ("Without a time", 14),
            ("Longest after the event", 16),
        ],
        rows.collect(),
    )
}

/// The results that a span without trust puts in question, in words; nothing where there are none.
pub(super) fn in_question(order: &Order<'_>, name: &str, span: (i64, i64)) -> String {
    let mut by: Vec<(String, Vec<String>)> = Vec::new();
    for one in results(order.records, name, span) {
        let lot = one.lot.unwrap_or_else(|| "readings of the place".to_owned());
        let told = format!("{lot} ({})", one.results);
        let key = format!("{} of {}", one.parameter, one.record);
        match by.iter_mut().find(|(known, _)| *known == key) {
            Some((_, list)) => list.push(told),
            None => by.push((key, vec![told])),
        }
    }
    if by.is_empty() {
        return String::new();
    }
    let told: Vec<String> = by.into_iter().map(|(key, list)| format!("{key}: {}", list.join(", "))).collect();
    format!("; results in question, {}", told.join("; "))
}

/// How instruments move from calibration to calibration: a line each, and a chart of those that move.
pub(super) fn drifts(order: &Order<'_>) -> Vec<Block> {
    let shown: Vec<&Drift> = order.verification.drifts.iter().filter(|drift| drift.line.is_some()).collect();
    let rows = shown.iter().map(|drift| {
        let moves = drift.line.is_some_and(|line| line.moves());
        let expected = drift
            .next
            .map_or_else(|| "–".to_owned(), |(day, error)| format!("{} {} on {day}", plain(error, 3), drift.unit));
        Row::new(vec![
            Cell::text(&drift.instrument),
            Cell::text(drift.errors.len().to_string()),
            Cell::text(
                drift.a_month().map_or_else(|| "–".to_owned(), |change| format!("{} {}", plain(change, 3), drift.unit)),
            ),
            Cell::text(if moves { "more than scatter" } else { "no more than scatter" }),
            if drift.leaves() { Cell::styled("strong", expected) } else { Cell::text(expected) },
            Cell::text(format!("± {} {}", plain(drift.within, 3), drift.unit)),
        ])
    });
    let table = Table::some(
        "Errors found at calibrations, by a straight line through them; judges nothing",
        &[
            ("Instrument", 24),
            ("Calibrations", 14),
            ("In thirty days", 14),
            ("Movement", 18),
            ("Expected when next due", 18),
            ("Allowed", 12),
        ],
        rows.collect(),
    );
    let Some(table) = table else { return Vec::new() };
    let lead = Block::text(format!(
        "Least squares over at least {FEWEST} errors as they were found; the slope counts as more than scatter at {} % confidence, two-sided (NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1; the test from memory). Where an instrument is adjusted after each calibration the line shows what is left, not how it drifts in between.",
        CONFIDENCE * 100.0
    ));
    let mut blocks = vec![lead, table];
    let moving = shown.iter().filter(|drift| drift.line.is_some_and(|line| line.moves()));
    blocks.extend(moving.enumerate().map(|(index, drift)| drawn(order, drift, index)));
    blocks
}

/// Errors over time with what is allowed, and the line to the day on which the next calibration falls due.
fn drawn(order: &Order<'_>, drift: &Drift, index: usize) -> Block {
    let zone = order.verification.zone;
    let first = drift.errors.first().map_or(0, |(at, _)| at.0);
    let last = drift.errors.last().map_or(first, |(at, _)| at.0);
    let due = drift.next.and_then(|(day, _)| zone.start_of(day)).map_or(last, |at| at.0.max(last));
    let step = drift.errors.len().div_ceil(6).max(1);
    let ticks = drift
        .errors
        .iter()
        .step_by(step)
        .map(|(at, _)| Tick { at_ns: at.0, label: zone.local(*at).date().to_string() })
        .collect();
    let bound = |value: f64, side| LimitLine {
        label: format!("allowed {} {}", plain(value, 3), drift.unit),
        value,
        side,
        kind: LimitKind::Critical,
    };
    let fitted = drift.line.map_or_else(Vec::new, |line| {
        let value = |at: i64| line.at(drift.place(crate::time::Instant(at)));
        vec![(first, value(first)), (due, value(due))]
    });
    let title = format!("{}, errors found at calibrations", drift.instrument);
    let trace =
        |name: &str, points: Vec<(i64, f64)>| Trace { name: name.to_owned(), pieces: vec![points], breaks: Vec::new() };
    let drawing = Chart {
        title: title.clone(),
        description: Some(
            "The error found at each calibration, and a straight line to when the next falls due.".to_owned(),
        ),
        y_label: drift.unit.to_owned(),
        x_label: "Day of the calibration".to_owned(),
        from_ns: first,
        to_ns: due,
        ticks,
        traces: vec![
            trace("error found", drift.errors.iter().map(|(at, error)| (at.0, *error)).collect()),
            trace("line", fitted),
        ],
        limits: vec![bound(-drift.within, Side::AtLeast), bound(drift.within, Side::AtMost)],
        ..Chart::default()
    };
    Block::Figure {
        id: format!("chart-drift-{}", index + 1),
        shown: "both",
        svg: inline(&chart::svg(&drawing, &format!("drift-{}-", index + 1))),
        caption: title,
    }
}
