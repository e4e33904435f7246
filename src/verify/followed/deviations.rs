//! What happened: limits not met or not shown, checks missed, instruments not trusted, each with its lots.

use super::shares::Share;
use crate::log::Records;
use crate::plan::{Control, Limit, LimitKind, Plan};
use crate::verdict::Verdict;
use crate::verify::windows::{Stretch, stages, stretch};
use crate::verify::{LotVerdicts, Verification, WatchKind};

/// The kinds of event, which are never mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Event {
    /// A limit was not met: product is in question.
    NotMet,
    /// A limit was not shown: product is treated as in question until it is shown.
    NotShown,
    /// A rule over successive lots or samples was not met: the process is in question, and with it the lots that missed.
    SeriesNotMet,
    /// A check was missed: a fault of monitoring.
    Missed,
    /// An instrument was not trusted: its results show nothing.
    NotTrusted,
}

impl Event {
    /// The words that reports print.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Event::NotMet => "limit not met",
            Event::NotShown => "limit not shown",
            Event::SeriesNotMet => "rule over successive lots or samples not met",
            Event::Missed => "check missed",
            Event::NotTrusted => "instrument not trusted",
        }
    }
}

/// One event with the lots that it bears on.
#[derive(Debug, Clone, PartialEq)]
pub struct Deviation {
    /// Which of them.
    pub event: Event,
    /// The control; empty for an instrument.
    pub control: String,
    /// The limit, or the parameters that were not checked.
    pub limit: String,
    /// The instrument that was not trusted.
    pub instrument: Option<String>,
    /// What was seen.
    pub why: String,
    /// From when product is in question, where it is a matter of time; nanoseconds UTC.
    pub from: Option<i64>,
    /// Until when.
    pub to: Option<i64>,
    /// The lots.
    pub lots: Vec<Share>,
}

impl Deviation {
    /// What it is about, in the names of the plan.
    #[must_use]
    pub fn about(&self) -> String {
        match (&self.instrument, self.event) {
            (Some(instrument), _) => instrument.clone(),
            (None, Event::Missed) => format!("{} ({})", self.control, self.limit),
            (None, _) => format!("{}.{}", self.control, self.limit),
        }
    }

    /// The lots that no corrective action covers.
    pub fn uncovered(&self) -> impl Iterator<Item = &Share> {
        self.lots.iter().filter(|share| share.actions.is_empty())
    }
}

/// Every deviation of the period, in the order of the plan.
pub(super) fn all(plan: &Plan, records: &Records, whole: &Verification) -> Vec<Deviation> {
    let mut found: Vec<Deviation> = Vec::new();
    for (verdict, event) in [(Verdict::NotMet, Event::NotMet), (Verdict::NotShown, Event::NotShown)] {
        for control in &plan.controls {
            for limit in control.limits.iter().filter(|limit| limit.kind == LimitKind::Critical) {
                let from = found.len();
                for lot in &whole.lots {
                    let missed = lot
                        .limits
                        .iter()
                        .find(|one| one.verdict == verdict && !one.not_yet && one.is_of(control, limit));
                    let Some(missed) = missed.filter(|_| !waits(plan, records, (control, limit), lot)) else {
                        continue;
                    };
                    let share = Share::of(records, &lot.code);
                    match found.iter_mut().skip(from).find(|one| one.why == missed.why) {
                        Some(same) => same.lots.push(share),
                        None => found.push(Deviation {
                            event,
                            control: control.name.text.clone(),
                            limit: limit.name.text.clone(),
                            instrument: None,
                            why: missed.why.clone(),
                            from: None,
                            to: None,
                            lots: vec![share],
                        }),
                    }
                }
            }
        }
    }
    series(records, whole, &mut found);
    missed(records, whole, &mut found);
    untrusted(plan, records, whole, &mut found);
    found
}

/// Whether a lot that is not yet through every stage has not begun the stage of a limit either.
fn waits(plan: &Plan, records: &Records, (control, limit): (&Control, &Limit), lot: &LotVerdicts) -> bool {
    let Some(kept) = records.lots.get(lot.lot) else { return false };
    lot.limits.iter().any(|limit| limit.not_yet)
        && stretch(&stages(plan, control, limit), kept, "") == Stretch::NotBegun
}

/// Rules over successive lots or samples that were not met, each with the lots of the deciding run that missed. What the
/// records do not reach back to is no deviation.
fn series(records: &Records, whole: &Verification, found: &mut Vec<Deviation>) {
    for series in whole.series.iter().filter(|series| series.verdict == Verdict::NotMet) {
        let mut lots: Vec<Share> = Vec::new();
        for member in series.run_members().iter().filter(|member| member.verdict != Verdict::Met) {
            if !lots.iter().any(|share| share.code == member.lot) {
                lots.push(Share::of(records, &member.lot));
            }
        }
        found.push(Deviation {
            event: Event::SeriesNotMet,
            control: series.control.clone(),
            limit: series.series.clone(),
            instrument: None,
            why: series.why.clone(),
            from: None,
            to: None,
            lots,
        });
    }
}

/// Checks missed, by control and lot.
fn missed(records: &Records, whole: &Verification, found: &mut Vec<Deviation>) {
    for watch in &whole.watches {
        let from = found.len();
        for (kind, lot, at) in &watch.faults {
            if *kind != WatchKind::Missed {
                continue;
            }
            let known = found.iter_mut().skip(from).find(|one| one.lots.iter().any(|share| share.code == *lot));
            if let Some(one) = known {
                one.to = Some(*at);
                continue;
            }
            found.push(Deviation {
                event: Event::Missed,
                control: watch.control.clone(),
                limit: watch.parameters.clone(),
                instrument: None,
                why: format!("promised {}", watch.promised),
                from: Some(*at),
                to: Some(*at),
                lots: vec![Share::of(records, lot)],
            });
        }
    }
}

/// Instruments that were not trusted while they measured a lot of the period.
fn untrusted(plan: &Plan, records: &Records, whole: &Verification, found: &mut Vec<Deviation>) {
    for state in &whole.instruments {
        for ((from, to), why) in state.untrusted.iter().zip(&state.why) {
            let mut lots = Vec::new();
            for lot in &whole.lots {
                let (Some(begun), Some(kept)) = (lot.begun, records.lots.get(lot.lot)) else { continue };
                let end = kept.events.last().map_or(begun, |event| event.at).max(begun);
                let measured = lot.limits.iter().any(|limit| {
                    let own = plan.control(&limit.control);
                    limit.as_read.is_some()
                        && own.is_some_and(|control| {
                            let mut using = control.monitors.iter().flat_map(|monitor| &monitor.using);
                            using.any(|name| *name == *state.name.as_str())
                        })
                });
                if measured && *from < end.0 && begun.0 < *to && touched(records, &state.name, &lot.code) {
                    lots.push(Share::of(records, &lot.code));
                }
            }
            if lots.is_empty() {
                continue;
            }
            let edge = |at: i64| (at != i64::MIN && at != i64::MAX).then_some(at);
            found.push(Deviation {
                event: Event::NotTrusted,
                control: String::new(),
                limit: String::new(),
                instrument: Some(state.name.clone()),
                why: why.clone(),
                from: edge(*from),
                to: edge(*to),
                lots,
            });
        }
    }
}

/// Whether the records hold anything of a lot that the instrument measured, or do not say which instrument it was.
fn touched(records: &Records, instrument: &str, lot: &str) -> bool {
    let mut own = records.channels.iter().filter(|channel| channel.lot.as_deref().is_none_or(|code| code == lot));
    let mut samples = records.samples.iter().filter(|sample| sample.lot == lot);
    own.any(|channel| channel.instrument.as_deref().is_none_or(|name| name == instrument))
        || samples.any(|sample| sample.instrument.as_deref().is_none_or(|name| name == instrument))
}
