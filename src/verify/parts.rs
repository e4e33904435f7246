//! A verification in parts: some lots at a time, so that memory is bounded whatever the length of the records.
//!
//! The readings lie in few bytes each; those of the lots of a part are held as rows while the part is judged.

use super::limits::{Context, judge_lot};
use super::series::{self, Tellings};
use super::{LimitVerdict, LotVerdicts, Period, Verification, frame};
use crate::log::{Channel, EVER, Lot, Manner, Records, each_of};
use crate::plan::{Plan, Rhythm};
use crate::time::HOUR;
use std::collections::{BTreeMap, HashMap};

/// Readings of a place this long before and after the lots of a part are read with it.
const MARGIN: i64 = 48 * HOUR;

/// Whether a parameter's traces are held throughout: those of checks in a rhythm, which tell late from missed.
pub fn survey_keeps(plan: &Plan, parameter: &str) -> bool {
    plan.controls
        .iter()
        .filter_map(|control| control.monitor_of(parameter))
        .any(|monitor| !matches!(monitor.often.rhythm, Rhythm::Continuously(_)))
}

/// What is held to judge one lot alone: its own readings, and those of places while it ran.
pub fn keeps_lot<'r>(plan: &'r Plan, lot: &'r Lot, of: &'r Records) -> impl Fn(&Channel) -> Option<(i64, i64)> + 'r {
    // A lot with fewer events than another may still be open.
    let most = of.lots.iter().map(|lot| lot.events.len()).max().unwrap_or(0);
    let from = lot.events.first().map_or(i64::MIN, |event| event.at.0.saturating_sub(MARGIN));
    let last = lot.events.last().filter(|_| lot.events.len() >= most);
    let to = last.map_or(i64::MAX, |event| event.at.0.saturating_add(MARGIN));
    move |channel| match &channel.lot {
        _ if channel.spot || survey_keeps(plan, &channel.parameter) => EVER,
        Some(code) if *code == lot.code => EVER,
        Some(_) => None,
        None => Some((from, to)),
    }
}

/// How a verification in parts is held in bounds.
#[derive(Clone, Copy)]
pub struct InParts<'k> {
    /// A part is of at most so many readings, or of one lot, where that has more.
    pub at_once: u64,
    /// Whether the traces of limits that are not met or not shown are kept for drawing.
    pub drawn: bool,
    /// The parameters whose traces are held throughout, those of [`survey_keeps`] at least.
    pub throughout: &'k (dyn Fn(&str) -> bool + Sync),
    /// On how many threads.
    pub manner: Manner,
}

/// Holds records against a plan, some lots at a time.
pub fn verify_in_parts(plan: &Plan, records: &mut Records, period: Period, bounds: InParts<'_>) -> Verification {
    let InParts { at_once, drawn, throughout, manner } = bounds;
    let always = |channel: &Channel| channel.spot || throughout(&channel.parameter);
    records.hold(manner, &|channel| always(channel).then_some(EVER).flatten());
    let (mut whole, windows) = frame(plan, records, period);
    let mut told = Tellings::new(plan, period);
    let mut judged: Vec<Vec<LimitVerdict>> = Vec::new();
    let beside = series::beside(plan, records, &whole.lots);
    for (lots, own) in [(&beside, false), (&whole.lots, true)] {
        let parts = parts(records, lots, at_once);
        let part_of = part_of(records, lots, &parts);
        for (number, part) in parts.into_iter().enumerate() {
            let mine: Vec<&LotVerdicts> = lots.iter().skip(part.0).take(part.1 - part.0).collect();
            let span = span(records, &mine);
            records.hold_by_place(manner, &|place, channel| match &channel.lot {
                _ if always(channel) => EVER,
                Some(_) => (part_of.get(place) == Some(&Some(number))).then_some(EVER).flatten(),
                None => Some(span),
            });
            let context = Context {
                plan,
                records,
                zone: whole.zone,
                instruments: &whole.instruments,
                cut: None,
                windows: &windows,
                workings: false,
                drawn,
                accuracy: false,
            };
            let mine: Vec<Option<&Lot>> = mine.iter().map(|lot| records.lots.get(lot.lot)).collect();
            if own {
                judged.append(&mut judge_all(&context, &mine, &mut told, manner));
            } else {
                mine.into_iter().flatten().for_each(|lot| told.tell(&context, lot, None));
            }
        }
    }
    records.hold(manner, &|channel| always(channel).then_some(EVER).flatten());
    whole.conclude(plan, records, judged, told);
    whole
}

/// Of each channel the part in which its lot is judged.
fn part_of(records: &Records, lots: &[LotVerdicts], parts: &[(usize, usize)]) -> Vec<Option<usize>> {
    let mut by_code: HashMap<&str, usize> = HashMap::new();
    for (number, (from, to)) in parts.iter().enumerate() {
        let own = lots.iter().skip(*from).take(to - from);
        by_code.extend(own.map(|lot| (lot.code.as_str(), number)));
    }
    let of = |channel: &Channel| channel.lot.as_deref().and_then(|code| by_code.get(code)).copied();
    records.channels.iter().map(of).collect()
}

/// Judges every limit of some lots, and tells the series of them in order.
pub(super) fn judge_all(
    context: &Context<'_>,
    lots: &[Option<&Lot>],
    told: &mut Tellings,
    manner: Manner,
) -> Vec<Vec<LimitVerdict>> {
    let judge = |lot: &Option<&Lot>| lot.map_or_else(Vec::new, |lot| judge_lot(context, lot));
    let judged = each_of(manner.threads, lots.iter(), &judge);
    for (lot, limits) in lots.iter().zip(&judged) {
        if let Some(lot) = lot {
            told.tell(context, lot, Some(limits));
        }
    }
    judged
}

/// Runs of lots, by index, with at most so many readings of their own.
fn parts(survey: &Records, lots: &[LotVerdicts], at_once: u64) -> Vec<(usize, usize)> {
    let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
    for channel in &survey.channels {
        *counts.entry(channel.lot.as_deref().unwrap_or_default()).or_default() += channel.count;
    }
    let mut parts = Vec::new();
    let (mut start, mut held) = (0, 0);
    for (index, lot) in lots.iter().enumerate() {
        let own = counts.get(lot.code.as_str()).copied().unwrap_or(0);
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
