//! When a lot was at a step: stages as windows with uncertain ends.

use super::CLOCK_ALLOWANCE;
use super::engine::{Moment, Window};
use super::limits::Context;
use super::workings::end_words;
use crate::log::{Event, Lot};
use crate::plan::{Condition, Control, Limit, Name, Plan, Stage};
use crate::time::{Instant, SECOND};

/// What is known of the stretch of time over which a limit is judged for a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Stretch {
    /// It began; its end may be missing.
    Known(Window),
    /// Nothing says that it began.
    NotBegun,
    /// The plan names no stage for it.
    NoStage,
}

/// The stages over which a limit is judged: those it names, else all stages of the control's steps.
pub(super) fn stages<'p>(plan: &'p Plan, control: &Control, limit: &Limit) -> Vec<&'p Stage> {
    if let Some(named) = limit.stages().first().copied().or(limit.shape.run_of()) {
        return plan.stage(&named.text).map(|(_, stage)| stage).into_iter().collect();
    }
    let own = control.at.iter().filter_map(|step| plan.step(&step.text)).flat_map(|step| &step.stages);
    // A stage that a limit ends must be named.
    own.filter(|stage| stage.ends_when().is_none()).collect()
}

/// The event that ended a stage for a lot; none where a limit ends it.
pub(super) fn ended<'l>(stage: &Stage, lot: &'l Lot) -> Option<&'l Event> {
    lot.ended(&stage.from.text, &stage.ends_at()?.text)
}

/// The window of a lot over these stages, for readings that stand on the given record.
pub(super) fn stretch(stages: &[&Stage], lot: &Lot, record: &str) -> Stretch {
    let (Some(first), Some(last)) = (stages.first(), stages.last()) else {
        return Stretch::NoStage;
    };
    let Some(start) = lot.event(&first.from.text) else {
        return Stretch::NotBegun;
    };
    Stretch::Known(Window { start: spread(start, record), end: ended(last, lot).map(|end| spread(end, record)) })
}

/// The event from which a limit counts, where it names one.
pub(super) fn since<'l>(limit: &'l Limit, condition: &'l Condition) -> Option<&'l Name> {
    match condition {
        Condition::Reaches { within: Some((_, event)), .. } => Some(event),
        _ => limit.since.as_ref(),
    }
}

/// The window of a limit: over its stages, or from the event from which it counts.
pub(super) fn counted(limit: &Limit, condition: &Condition, stages: &[&Stage], lot: &Lot, record: &str) -> Stretch {
    let whole = stretch(stages, lot, record);
    let Some(event) = since(limit, condition) else { return whole };
    let Some(start) = lot.event(&event.text) else { return Stretch::NotBegun };
    let end = match whole {
        // Counted from the end of the stage itself: nothing says until when.
        Stretch::Known(_) if stages.last().and_then(|last| last.ends_at()).is_some_and(|to| to.text == event.text) => {
            None
        }
        Stretch::Known(window) => window.end,
        Stretch::NotBegun | Stretch::NoStage => None,
    };
    Stretch::Known(Window { start: spread(start, record), end })
}

/// An event as the engine takes it: uncertain by the resolution of its times, on the record that it stands in.
pub(super) fn moment(event: &Event, records: &[String]) -> Option<Moment> {
    let by = if event.resolution > SECOND { event.resolution } else { 0 };
    let record = records.iter().position(|record| *record == event.record)?;
    Some(Moment { first: event.at.0.saturating_sub(by), last: event.at.0.saturating_add(by), record })
}

/// An event is uncertain by the resolution of its times, where that is coarser than a second; one of another record by
/// no less than the clock allowance.
pub(super) fn spread(event: &Event, record: &str) -> (i64, i64) {
    let coarse = if event.resolution > SECOND { event.resolution } else { 0 };
    let by = if event.record == record { coarse } else { CLOCK_ALLOWANCE.max(coarse) };
    (event.at.0.saturating_sub(by), event.at.0.saturating_add(by))
}

/// When the first stage of the flow began for a lot; without one, its first event of any kind.
pub(super) fn begun(plan: &Plan, lot: &Lot) -> Option<Instant> {
    let first_stage = plan.steps.iter().flat_map(|step| &step.stages).find_map(|stage| lot.event(&stage.from.text));
    first_stage.or(lot.events.first()).map(|event| event.at)
}

/// Where the two ends of a window come from, with file and row.
pub(super) fn ends(
    context: &Context<'_>,
    since: Option<&Name>,
    stages: &[&Stage],
    lot: &Lot,
    window: Window,
) -> Vec<String> {
    let local = |at: i64| context.zone.show_local(Instant(at));
    let start = since.or(stages.first().map(|stage| &stage.from)).and_then(|event| lot.event(&event.text));
    let end = stages.last().and_then(|stage| ended(stage, lot));
    let met = stages.last().and_then(|stage| stage.ends_when());
    let mut out = Vec::new();
    out.extend(start.map(|event| format!("start: {}", end_words(context, event, window.start))));
    out.push(match (window.end, end) {
        (None, _) => match met {
            Some(limit) => format!("end: {limit} is not shown to have been met"),
            None => "end: not recorded".to_owned(),
        },
        (Some((first, last)), _) if met.is_some() => {
            let limit = met.map_or("", |limit| limit.text.as_str());
            format!("end: when {limit} was met, from {} to {}", local(first), local(last))
        }
        (Some(spread), Some(event)) => format!("end: {}", end_words(context, event, spread)),
        (Some((first, last)), None) => format!("end: from {} to {}", local(first), local(last)),
    });
    if let Some((from, to)) = context.cut {
        let to = if to == i64::MAX { "no recorded end".to_owned() } else { local(to) };
        out.push(format!("cut to the time from {} to {to}", local(from)));
    }
    out
}
