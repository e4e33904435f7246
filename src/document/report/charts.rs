//! One chart for a limit that was not met or not shown: the readings, the limit, the stage, the holes.

use super::Order;
use crate::chart::{self, Chart, LimitKind, LimitLine, Side, Tick, Trace, Window, WindowKind};
use crate::document::page::Block;
use crate::document::sections::food::inline;
use crate::plan::condition::Condition;
use crate::plan::limit::{Limit, Range};
use crate::quantity::Unit;
use crate::time::{Instant, MINUTE, Zone};
use crate::verify::Part;
use crate::verify::engine::Row;

/// The chart of the parts that have readings; none for checks.
pub(super) fn chart(order: &Order<'_>, limit: &Limit, parts: &[Part], lot: &str, id: &str) -> Option<Block> {
    let zone = order.verification.zone;
    let mut drawn: Vec<&Part> = Vec::new();
    for part in parts.iter().filter(|part| !part.trace.is_empty()) {
        // Two forms over one trace are drawn once.
        if !drawn.iter().any(|other| other.what == part.what && other.unit == part.unit) {
            drawn.push(part);
        }
    }
    let unit = drawn.first()?.unit?;
    drawn.retain(|part| part.unit == Some(unit));
    let (from, to) = bounds(&drawn)?;
    let traces: Vec<Trace> = drawn.iter().map(|part| trace(part, from, to)).collect();
    if traces.iter().all(|trace| trace.pieces.is_empty() && trace.breaks.is_empty()) {
        return None;
    }
    let title = format!("Lot {lot}: {}", limit.symbols());
    let ticks = chart::time_ticks(from, to, 8, |at| offset(zone, at))
        .into_iter()
        .map(|at_ns| Tick { at_ns, label: label(zone, at_ns, to - from) })
        .collect();
    let drawing = Chart {
        // What the limit says in full stands under the drawing; a long line would run out of it.
        title: if title.chars().count() > 70 { format!("Lot {lot}: {}", limit.name) } else { title.clone() },
        description: Some(format!(
            "Readings of {} around the stage that was judged, with the limit and the times that no reading covers.",
            names(&drawn)
        )),
        y_label: if unit.dimension.bare() { names(&drawn) } else { unit.symbol.to_owned() },
        x_label: format!("Local time, {zone}, from {}", zone.show_local(Instant(from - from.rem_euclid(MINUTE)))),
        from_ns: from,
        to_ns: to,
        ticks,
        traces,
        limits: lines(limit, unit),
        windows: windows(&drawn, from, to),
        ..Chart::default()
    };
    Some(Block::Figure {
        id: format!("chart-{id}"),
        shown: "both",
        svg: inline(&chart::svg(&drawing, &format!("{id}-"))),
        caption: title,
    })
}

fn names(parts: &[&Part]) -> String {
    parts.iter().map(|part| part.what.as_str()).collect::<Vec<_>>().join(", ")
}

/// The stage with a margin, no wider than the readings; around the hole or the break where the stage is long.
fn bounds(parts: &[&Part]) -> Option<(i64, i64)> {
    let first = parts.iter().filter_map(|part| part.trace.first()).map(|row| row.at).min()?;
    let last = parts.iter().filter_map(|part| part.trace.last()).map(|row| row.at).max()?;
    let (mut from, mut to) = (first, last);
    if let Some((start, end)) = parts.iter().find_map(|part| part.window) {
        from = from.max(start);
        to = to.min(end.unwrap_or(i64::MAX));
    }
    if to - from > 12 * 60 * MINUTE {
        let focus = parts.iter().filter_map(|part| part.outcome.as_ref()).find_map(|outcome| {
            let broken =
                outcome.breaks.items.iter().find(|stretch| stretch.certain).map(|stretch| (stretch.from, stretch.to));
            let hole =
                outcome.witness.gaps.items.iter().max_by_key(|gap| gap.length()).map(|gap| (gap.from, gap.to.min(to)));
            broken.or(hole)
        });
        if let Some((a, b)) = focus {
            let margin = ((b - a).max(30 * MINUTE)).saturating_mul(2);
            from = from.max(a.saturating_sub(margin));
            to = to.min(b.saturating_add(margin));
        }
    }
    if to <= from {
        (from, to) = (first, last);
    }
    let margin = ((to - from) / 20).max(MINUTE);
    Some((from.saturating_sub(margin), to.saturating_add(margin)))
}

/// Readings as joined pieces; a reading of two values is drawn as both.
fn trace(part: &Part, from: i64, to: i64) -> Trace {
    let gap = part.credit_gap.unwrap_or(0);
    // A long trace was thinned: its rows stand further apart, and the holes are those that the engine saw.
    let mut steps: Vec<i64> =
        part.trace.windows(2).filter_map(|pair| Some(pair.get(1)?.at - pair.first()?.at)).collect();
    steps.sort_unstable();
    let usual = steps.get(steps.len() / 2).copied().unwrap_or(0);
    let gap = if part.thinned { gap.max(usual.saturating_mul(6)) } else { gap };
    let holes = part.outcome.as_ref().map_or(&[][..], |outcome| &outcome.witness.gaps.items);
    let hole = |from: i64, to: i64| holes.iter().any(|gap| from <= gap.from && gap.to <= to);
    let mut pieces: Vec<Vec<(i64, f64)>> = Vec::new();
    let mut breaks = Vec::new();
    let mut last: Option<i64> = None;
    for row in part.trace.iter().filter(|row| from <= row.at && row.at <= to) {
        if row.is_broken() {
            breaks.push(row.at);
            last = None;
            continue;
        }
        let joined = last.is_some_and(|last| row.at - last <= gap && !hole(last, row.at));
        match pieces.last_mut().filter(|_| joined) {
            Some(piece) => piece.extend(points(row)),
            None => pieces.push(points(row)),
        }
        last = Some(row.at);
    }
    Trace { name: part.what.clone(), pieces, breaks }
}

fn points(row: &Row) -> Vec<(i64, f64)> {
    if row.lo == row.hi { vec![(row.at, row.lo)] } else { vec![(row.at, row.lo), (row.at, row.hi)] }
}

/// The values that the limit names, in the unit of the readings.
fn lines(limit: &Limit, unit: Unit) -> Vec<LimitLine> {
    let line = |measured: &crate::plan::limit::Measured, side: Side| {
        let exact = measured.quantity?.in_unit(unit)?;
        let label = if measured.unit == Some(unit) {
            measured.shown()
        } else {
            format!("{} ({exact}\u{a0}{})", measured.shown(), unit.symbol)
        };
        Some(LimitLine { label, value: exact.to_f64(), side, kind: LimitKind::Critical })
    };
    let range = |range: &Range| -> Vec<LimitLine> {
        let low = range.lower.as_ref().and_then(|edge| line(&edge.at, Side::AtLeast));
        let high = range.upper.as_ref().and_then(|edge| line(&edge.at, Side::AtMost));
        low.into_iter().chain(high).collect()
    };
    let mut found: Vec<LimitLine> = Vec::new();
    for leaf in limit.leaves() {
        let lines: Vec<LimitLine> = match leaf {
            Condition::Level { range: level, .. } | Condition::Never { range: level, .. } => range(level),
            Condition::Passage { from, to, .. } => {
                [line(from, Side::AtMost), line(to, Side::AtMost)].into_iter().flatten().collect()
            }
            Condition::Reaches { at, .. } => line(at, Side::AtLeast).into_iter().collect(),
            Condition::Bands { bands, .. } => {
                bands.iter().filter(|band| band.below()).filter_map(|band| line(&band.edge, Side::AtMost)).collect()
            }
            Condition::DegreeHours { base, .. } => line(base, Side::AtMost).into_iter().collect(),
            Condition::Attributes { m, big_m, .. } => {
                std::iter::once(m).chain(big_m).filter_map(|figure| line(figure, Side::AtMost)).collect()
            }
            _ => Vec::new(),
        };
        for one in lines {
            if !found.iter().any(|other| other.label == one.label) {
                found.push(one);
            }
        }
    }
    found
}

fn windows(parts: &[&Part], from: i64, to: i64) -> Vec<Window> {
    let mut windows = Vec::new();
    let mut add = |kind, a: i64, b: i64, label: &str| {
        let (a, b) = (a.max(from), b.min(to));
        if a < b {
            windows.push(Window { kind, from_ns: a, to_ns: b, label: label.to_owned() });
        }
    };
    if let Some((start, end)) = parts.iter().find_map(|part| part.window) {
        add(WindowKind::Stage, start, end.unwrap_or(i64::MAX), "stage");
    }
    if let Some(outcome) =
        parts.iter().find_map(|part| part.outcome.as_ref().filter(|outcome| !outcome.witness.gaps.items.is_empty()))
    {
        for gap in outcome.witness.gaps.items.iter().take(4) {
            add(WindowKind::Gap, gap.from, gap.to, "shows nothing");
        }
    }
    windows
}

fn offset(zone: Zone, at: i64) -> i64 {
    let local = zone.local(Instant(at)).and_utc().timestamp_nanos_opt().unwrap_or(at);
    local - at
}

/// The hour and minute; the day as well at midnight, seconds where the span is short.
fn label(zone: Zone, at: i64, span: i64) -> String {
    let local = zone.local(Instant(at));
    let format = if span < 10 * MINUTE {
        "%H:%M:%S"
    } else if local.format("%H:%M").to_string() == "00:00" {
        "%-d %b"
    } else {
        "%H:%M"
    };
    local.format(format).to_string()
}
