//! When a limit came to be met again, and what that starts anew.

use super::accuracy::Off;
use super::compile;
use super::engine::{self, End, Leg, Resets, Restarted, Row, Sampling, Span, Window};
use super::evidence::Told;
use super::facts::{self, Standing};
use super::limits::{Context, credit_gap};
use super::traces::{self, Track};
use super::windows::{self, Stretch};
use crate::log::Lot;
use crate::plan::limit::{EdgeAt, RangeForm};
use crate::plan::{Condition, Control, Limit, Name, Over, Range};
use crate::quantity::{Rational, Unit};

/// More stretches or resets than this are counted and not listed.
const LISTED: usize = 6;

/// A limit whose being met matters, held against one trace.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    pub control: &'a Control,
    /// Its name in the plan.
    pub name: &'a Name,
    /// The limit; nothing where the plan names one that cannot serve.
    pub other: Option<&'a Limit>,
    pub lot: &'a Lot,
    /// The record that the readings stand on.
    pub record: &'a str,
    pub unit: Unit,
    /// How often readings are promised, and their allowance.
    pub promised: (i64, i64),
    /// Single values are never joined.
    pub spot: bool,
    /// How far off a reading may be, where that limit counts it; nothing where it counts it and nobody says how far.
    pub off: Option<Rational>,
}

/// How far off the readings of a trace may be for a limit, which may count what another one on the trace does not.
pub(super) fn off(context: &Context<'_>, control: &Control, limit: &Limit, track: &Track) -> Option<Rational> {
    let counts = limit.shape.accuracy.is_some();
    match track.channel.and_then(|index| context.records.channels.get(index)) {
        Some(channel) => {
            let own = Context { accuracy: counts, ..*context };
            let measured = (channel.parameter.as_str(), traces::instrument(control, channel));
            Off::of(&own, control, measured, channel.unit).by()
        }
        // The values of a computed trace are widened already, or not.
        None => (!counts || context.accuracy).then_some(Rational::ZERO),
    }
}

/// Everywhere perhaps, nowhere surely.
fn perhaps_anywhere() -> Resets {
    Resets { certain: Vec::new(), possible: vec![Span { from: i64::MIN, to: i64::MAX }] }
}

/// When a limit stands met on one trace. A guard or a choice that is not recorded leaves it perhaps so.
pub(super) fn met(context: &Context<'_>, asked: &Asked<'_>, rows: &[Row]) -> Resets {
    let Asked { control, other, lot, record, .. } = *asked;
    let Some(limit) = other else { return perhaps_anywhere() };
    let counts = limit.guard.as_ref().map_or(Some(true), |guard| facts::guarded(context.plan, guard, lot));
    if counts == Some(false) {
        return Resets::default();
    }
    let Some(condition) = limit.condition.as_ref().filter(|_| !limit.is_blank()) else { return perhaps_anywhere() };
    let stages = windows::stages(context.plan, control, limit);
    let Stretch::Known(window) = windows::counted(limit, condition, &stages, lot, record) else {
        return perhaps_anywhere();
    };
    let found = ways(context, condition, lot).and_then(|ways| {
        ways.iter().try_fold(Resets::default(), |all, (way, standing)| {
            let one = way_met(asked, limit, way, window, rows)?;
            Some(all.or(if *standing == Standing::Counts { one } else { one.perhaps() }))
        })
    });
    match (found, counts) {
        (None, _) => perhaps_anywhere(),
        (Some(found), Some(true)) => found,
        (Some(found), _) => found.perhaps(),
    }
}

/// When one way of meeting a limit stands met.
fn way_met(asked: &Asked<'_>, limit: &Limit, way: &Condition, window: Window, rows: &[Row]) -> Option<Resets> {
    let held = Limit::held(way)?;
    let range = match way {
        Condition::Level { range, .. } => range.clone(),
        Condition::Reaches { at, .. } => Range {
            lower: Some(EdgeAt { at: at.clone(), strict: false }),
            upper: None,
            form: RangeForm::Compared,
            loc: at.loc,
        },
        _ => return None,
    };
    let condition = compile::condition(&range, asked.unit, asked.off?)?;
    let (every, late) = asked.promised;
    let sampling = if asked.spot {
        Sampling { credit_gap: 0, edge_allowance: 0 }
    } else {
        let gap = credit_gap(limit, way, every);
        Sampling { credit_gap: gap, edge_allowance: every.saturating_add(late) }
    };
    Some(engine::resets(condition, held, window, sampling, rows.iter().copied()))
}

/// The ways in which a condition is met, each with whether it counts for the lot; nothing where no instant tells.
fn ways(context: &Context<'_>, condition: &Condition, lot: &Lot) -> Option<Vec<(Condition, Standing)>> {
    let chosen = |fact: &Name, name: Option<&Name>| match facts::answered(context.plan, &fact.text, lot) {
        Some(said) if name.is_some_and(|name| name.text == said) => Standing::Counts,
        Some(_) => Standing::Out,
        None => Standing::Open,
    };
    let mut found = Vec::new();
    match condition {
        Condition::AnyRow { parameter, table } | Condition::ChosenRow { parameter, table, .. } => {
            let rows = &context.plan.table(&table.text)?.rows;
            let standing = match condition {
                Condition::ChosenRow { fact, .. } => rows.iter().map(|row| chosen(fact, row.name.as_ref())).collect(),
                _ => facts::standing(context.plan, rows, lot),
            };
            for (row, standing) in rows.iter().zip(standing) {
                let way =
                    Condition::Level { parameter: parameter.clone(), range: row.range.clone(), over: row.over.clone() };
                found.push((way, standing));
            }
        }
        Condition::Any(options) | Condition::Chosen { options, .. } => {
            for (name, option) in options {
                let own = match condition {
                    Condition::Chosen { fact, .. } => chosen(fact, Some(name)),
                    _ => Standing::Counts,
                };
                for (way, standing) in ways(context, option, lot)? {
                    let both = if own == Standing::Counts { standing } else { own };
                    found.push((way, if standing == Standing::Out { Standing::Out } else { both }));
                }
            }
        }
        Condition::Level { over: Over::Held(_) | Over::StretchAtLeast(_), .. }
        | Condition::Reaches { within: None, .. } => found.push((condition.clone(), Standing::Counts)),
        _ => return None,
    }
    found.retain(|(_, standing)| *standing != Standing::Out);
    Some(found)
}

/// The stretch whose *most* is largest: its steps are those that are told.
pub(super) fn deciding(restarted: &Restarted) -> Option<&Leg> {
    let size = |leg: &&Leg| match leg.outcome.extent.most {
        End::Closed(value) | End::Open(value) => value,
        End::UnboundedAbove => f64::INFINITY,
        End::UnboundedBelow | End::Nothing => f64::NEG_INFINITY,
    };
    restarted.most.iter().max_by(|a, b| size(a).total_cmp(&size(b)))
}

/// Every reset, and every stretch between two of them, in words.
pub(super) fn told(told: &Told<'_>, name: &Name, window: Window, resets: &Resets, found: &Restarted) -> Vec<String> {
    let (first, last) = (window.start.0, window.end.map_or(i64::MAX, |(_, end)| end));
    let list = |spans: &[Span]| {
        let inside: Vec<String> = spans
            .iter()
            .filter(|span| span.to >= first && span.from <= last)
            .map(|span| told.span(span.from.max(first), span.to.min(last)))
            .collect();
        listed(inside)
    };
    let mut lines = Vec::new();
    match (list(&resets.certain), list(&resets.possible)) {
        (_, None) => lines.push(format!("not reset: `{name}` was not met in this time")),
        (None, Some(possible)) => {
            lines.push(format!("reset perhaps, which lowers least alone: `{name}` may have been met {possible}"))
        }
        (Some(certain), Some(possible)) => {
            lines.push(format!("reset: `{name}` was met {certain}"));
            if certain != possible {
                lines.push(format!("perhaps reset: `{name}` may have been met {possible}"));
            }
        }
    }
    if found.most.len() > 1 || found.least.len() > 1 || !resets.possible.is_empty() {
        for (word, legs) in [
            ("least, between resets that may have been", &found.least),
            ("most, between resets that surely were", &found.most),
        ] {
            let most = word.starts_with("most");
            let parts: Vec<String> = legs
                .iter()
                .map(|leg| {
                    let end = if most { leg.outcome.extent.most } else { leg.outcome.extent.least };
                    let to = leg.window.end.map_or(i64::MAX, |(_, end)| end);
                    format!("{} {}", told.span(leg.window.start.0, to), told.end(leg.outcome.extent.kind, end))
                })
                .collect();
            if let Some(parts) = listed(parts) {
                lines.push(format!("{word}: {parts}"));
            }
        }
    }
    lines
}

/// The first few, and how many more there are.
fn listed(parts: Vec<String>) -> Option<String> {
    let more = parts.len().saturating_sub(LISTED);
    let shown: Vec<String> = parts.into_iter().take(LISTED).collect();
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    (!shown.is_empty()).then(|| format!("{}{more}", shown.join("; ")))
}
