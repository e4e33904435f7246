//! Was something looked at as often as the plan promises by working days?
//!
//! From one look to the next no more working days may pass than promised. The day of a look is that of the plan's zone;
//! which days are worked the plan says, and Monday to Friday count without it.

use super::watch::{Watch, WatchKind};
use super::windows;
use crate::log::{Lot, Records};
use crate::plan::{Monitor, Plan, Rhythm, Term};
use crate::time::{CalendarUnit, Instant, Zone};
use crate::verdict::Verdict;
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// Holds the days from the first to the last lot of the period against a promise by working days; nothing for another
/// promise.
pub(super) fn hold(plan: &Plan, records: &Records, period: &[&Lot], monitor: &Monitor, watch: &mut Watch) {
    let Rhythm::Every(Term::Calendar(every)) = &monitor.often.rhythm else { return };
    if every.unit != CalendarUnit::WorkingDay {
        return;
    }
    watch.kept = Some(Verdict::NotShown);
    let zone = plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
    let day = |at: Instant| zone.local(at).date();
    let mut lots: Vec<(NaiveDate, &str)> = Vec::new();
    for lot in period {
        match windows::begun(plan, lot) {
            Some(at) => lots.push((day(at), &lot.code)),
            None => watch.open.push((lot.code.clone(), "no time on record says when it was made".to_owned())),
        }
    }
    lots.sort_unstable();
    let (Some(first), Some(last)) = (lots.first().copied(), lots.last().copied()) else { return };
    let worked = plan.worked();
    for name in &monitor.parameters {
        let looks: BTreeSet<NaiveDate> = looks(records, &name.text).into_iter().map(day).collect();
        let mut seen = looks.range(..=first.0).next_back().copied();
        if seen.is_none() {
            // The day before stands for the last look that nobody gave: a look by then is late whatever came before.
            let why = format!("no look is on record up to {}, so that the first may be late", first.0);
            watch.open.push((first.1.to_owned(), why));
            seen = first.0.pred_opt();
        }
        while let Some(due) = seen.and_then(|seen| every.after(seen, &worked)).filter(|due| *due <= last.0) {
            let next = seen.and_then(|seen| looks.range(seen.succ_opt()?..).next().copied());
            if next.is_some_and(|next| next <= due) {
                seen = next;
                continue;
            }
            let lot = lots.iter().rev().find(|(at, _)| *at <= due).map_or(first.1, |(_, lot)| lot);
            watch.faults.push((WatchKind::Missed, lot.to_owned(), zone.start_of(due).map_or(0, |at| at.0)));
            seen = Some(due);
        }
    }
    watch.faults.sort_by_key(|(_, _, at)| *at);
    watch.kept = Some(if !watch.faults.is_empty() {
        Verdict::NotMet
    } else if !watch.open.is_empty() {
        Verdict::NotShown
    } else {
        Verdict::Met
    });
}

/// Every instant at which a parameter was looked at.
fn looks(records: &Records, parameter: &str) -> Vec<Instant> {
    let samples = records.samples.iter().filter(|one| one.parameter == parameter).map(|one| one.at);
    let checks = records.checks.iter().filter(|one| one.parameter == parameter).map(|one| one.at);
    let channels = records.channels.iter().filter(|channel| channel.parameter == parameter);
    let rows = channels.flat_map(|channel| channel.rows.iter().map(|entry| Instant(entry.at)));
    samples.chain(checks).chain(rows).collect()
}
