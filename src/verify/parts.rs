//! A verification in parts: some lots at a time, so that memory is bounded whatever the length of the records.
//!
//! The records are read once without their traces, to see what there is, and then once for each part with the
//! readings of its lots alone.

use super::limits::{Context, judge_lot};
use super::series::{self, Tellings};
use super::{LimitVerdict, LotVerdicts, Period, Verification, frame};
use crate::log::{Keep, Lot, Records};
use crate::plan::{Plan, Rhythm};
use crate::time::HOUR;
use std::collections::BTreeSet;

/// Readings of a place this long before and after the lots of a part are read with it.
const MARGIN: i64 = 48 * HOUR;

/// Whether the first reading keeps a parameter's traces: those of checks in a rhythm, which tell late from missed.
#[must_use]
pub fn survey_keeps(plan: &Plan, parameter: &str) -> bool {
    plan.controls
        .iter()
        .filter_map(|control| control.monitor_of(parameter))
        .any(|monitor| !matches!(monitor.often.rhythm, Rhythm::Continuously(_)))
}

/// What is to be read again to judge one lot alone: its own readings, and those of places while it ran.
pub fn keeps_lot<'r>(plan: &'r Plan, lot: &'r Lot, of: &'r Records) -> impl Fn(&str, Option<&str>, i64) -> bool + 'r {
    // A lot with fewer events than another may still be open.
    let most = of.lots.iter().map(|lot| lot.events.len()).max().unwrap_or(0);
    let from = lot.events.first().map_or(i64::MIN, |event| event.at.0.saturating_sub(MARGIN));
    let last = lot.events.last().filter(|_| lot.events.len() >= most);
    let to = last.map_or(i64::MAX, |event| event.at.0.saturating_add(MARGIN));
    move |parameter, code, at| match code {
        Some(code) => code == lot.code,
        None => (from <= at && at <= to) || survey_keeps(plan, parameter),
    }
}

/// Holds records against a plan, the lots in parts of at most so many readings (or of one lot, where that has more).
///
/// `survey` is what was read with [`survey_keeps`]; `read` gives the records with the readings that it is asked to keep.
pub fn verify_in_parts(
    plan: &Plan,
    survey: &Records,
    period: Period,
    at_once: u64,
    read: &mut dyn FnMut(&Keep<'_>) -> Records,
) -> Verification {
    let (mut whole, windows) = frame(plan, survey, period);
    let mut told = Tellings::new(plan, period);
    let mut judged: Vec<Vec<LimitVerdict>> = Vec::new();
    let beside = series::beside(plan, survey, &whole.lots);
    for (lots, own) in [(&beside, false), (&whole.lots, true)] {
        for part in parts(survey, lots, at_once) {
            let mine: Vec<&LotVerdicts> = lots.iter().skip(part.0).take(part.1 - part.0).collect();
            let codes: BTreeSet<&str> = mine.iter().map(|lot| lot.code.as_str()).collect();
            let (from, to) = span(survey, &mine);
            let keep = |parameter: &str, lot: Option<&str>, at: i64| match lot {
                Some(code) => codes.contains(code),
                None => (from <= at && at <= to) || survey_keeps(plan, parameter),
            };
            let records = read(&keep);
            let context = Context {
                plan,
                records: &records,
                zone: whole.zone,
                instruments: &whole.instruments,
                cut: None,
                windows: &windows,
                workings: false,
                accuracy: false,
            };
            for lot in mine.iter().map(|lot| records.lots.get(lot.lot)) {
                let limits = lot.filter(|_| own).map(|lot| judge_lot(&context, lot));
                if let Some(lot) = lot {
                    told.tell(&context, lot, limits.as_deref());
                }
                if own {
                    judged.push(limits.unwrap_or_default());
                }
            }
            whole.findings.extend(records.findings);
        }
    }
    whole.conclude(plan, survey, judged, told);
    crate::finding::tidy(&mut whole.findings);
    whole
}

/// Runs of lots, by index, with at most so many readings of their own.
fn parts(survey: &Records, lots: &[LotVerdicts], at_once: u64) -> Vec<(usize, usize)> {
    let mut parts = Vec::new();
    let (mut start, mut held) = (0, 0);
    for (index, lot) in lots.iter().enumerate() {
        let own = survey.channels.iter().filter(|channel| channel.lot.as_deref() == Some(lot.code.as_str()));
        let own: u64 = own.map(|channel| channel.count).sum();
        if index > start && held + own > at_once {
            parts.push((start, index));
            (start, held) = (index, 0);
        }
        held += own;
    }
    if start < lots.len() {
        parts.push((start, lots.len()));
    }
    parts
}

/// From the first to the last event of some lots, with a margin; to the end where a lot is still open.
fn span(survey: &Records, lots: &[&LotVerdicts]) -> (i64, i64) {
    let registered = || lots.iter().filter_map(|lot| survey.lots.get(lot.lot));
    let events = || registered().flat_map(|lot| &lot.events).map(|event| event.at.0);
    let units =
        || registered().flat_map(|lot| if lot.loads.is_empty() { std::slice::from_ref(lot) } else { &lot.loads });
    let most = units().map(|lot| lot.events.len()).max().unwrap_or(0);
    let open = units().any(|lot| lot.events.len() < most);
    let from = events().min().unwrap_or(i64::MIN).saturating_sub(MARGIN);
    let to = if open { i64::MAX } else { events().max().unwrap_or(i64::MAX).saturating_add(MARGIN) };
    (from, to)
}
