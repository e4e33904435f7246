//! Was monitoring kept as the plan promises? Late and missed checks, and holes in recorded traces.
//!
//! A late or missed check is a fault of monitoring; it is never counted as a limit that is not met.

use super::amounts;
use super::compile::interval;
use super::windows::{Stretch, stretch};
use super::workdays;
use super::{LotVerdicts, Verification};
use crate::log::{Lot, Records};
use crate::plan::{Control, Monitor, Plan, Rhythm, Stage};
use crate::verdict::Verdict;
use std::collections::{BTreeMap, BTreeSet};

/// One promise of monitoring over the lots of the period.
#[derive(Debug, Clone)]
pub struct Watch {
    /// The control.
    pub control: String,
    /// The parameters watched.
    pub parameters: String,
    /// How often, as the plan says it.
    pub promised: String,
    /// Readings or checks on record for the lots of the period.
    pub made: usize,
    /// Cells without a reading.
    pub blank: u64,
    /// What was late or missed.
    pub faults: Vec<(WatchKind, String, i64)>,
    /// Lots for which the records cannot show that the promise was kept, each with the reason.
    pub open: Vec<(String, String)>,
    /// Whether a promise by what was made or by working days was kept; `None` for a promise by the clock or by the lot.
    pub kept: Option<Verdict>,
}

/// What went wrong with a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WatchKind {
    /// Made after due time and allowance.
    Late,
    /// Not made by the next due time.
    Missed,
}

impl WatchKind {
    /// The word that reports print.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            WatchKind::Late => "late",
            WatchKind::Missed => "missed",
        }
    }
}

/// Every promise of monitoring, in the order of the plan.
pub(super) fn watches(plan: &Plan, records: &Records, lots: &[LotVerdicts]) -> Vec<Watch> {
    let period: Vec<&Lot> = lots.iter().filter_map(|verdicts| records.lots.get(verdicts.lot)).collect();
    plan.controls
        .iter()
        .flat_map(|control| control.monitors.iter().map(move |monitor| (control, monitor)))
        .map(|(control, monitor)| watch(plan, records, &period, control, monitor))
        .collect()
}

fn watch(plan: &Plan, records: &Records, lots: &[&Lot], control: &Control, monitor: &Monitor) -> Watch {
    let names: Vec<&str> = monitor.parameters.iter().map(|name| name.text.as_str()).collect();
    let mut watch = Watch {
        control: control.name.text.clone(),
        parameters: names.join(", "),
        promised: monitor.often.to_string(),
        made: 0,
        blank: 0,
        faults: Vec::new(),
        open: Vec::new(),
        kept: None,
    };
    let codes: BTreeSet<&str> = lots.iter().map(|lot| lot.code.as_str()).collect();
    (watch.made, watch.blank) = count(records, &names, &|code| codes.contains(code));
    amounts::hold(plan, records, lots, monitor, &mut watch);
    workdays::hold(plan, records, lots, monitor, &mut watch);
    if matches!(monitor.often.rhythm, Rhythm::Every(_))
        && let Some((every, allowance)) = interval(&monitor.often)
    {
        let stages: Vec<&Stage> = control
            .at
            .iter()
            .filter_map(|step| plan.step(&step.text))
            .flat_map(|step| &step.stages)
            .filter(|stage| stage.ends_when().is_none())
            .collect();
        let stages = if stages.is_empty() { stages_of_limits(plan, control, &names) } else { stages };
        let times = times(records, &names);
        for lot in lots {
            if let Stretch::Known(window) = stretch(&stages, lot, &monitor.record.text)
                && let Some((_, end)) = window.end
            {
                faults(&times, &lot.code, (window.start.1, end), every, allowance, &mut watch.faults);
            }
        }
        watch.faults.sort_by_key(|(_, _, at)| *at);
    }
    watch
}

/// Readings, checks and samples of these parameters for the lots asked for, and cells without a reading.
fn count(records: &Records, names: &[&str], own: &dyn Fn(&str) -> bool) -> (usize, u64) {
    let of_period = |lot: Option<&str>| lot.is_none_or(own);
    let named = |name: &str| names.contains(&name);
    let channels = records.channels.iter().filter(|one| named(&one.parameter) && of_period(one.lot.as_deref()));
    let (mut made, mut blank) = (0, 0);
    for channel in channels {
        made += usize::try_from(channel.count).unwrap_or(usize::MAX);
        blank += channel.missing_count;
    }
    made += records.checks.iter().filter(|one| named(&one.parameter) && of_period(one.lot.as_deref())).count();
    made += records.samples.iter().filter(|one| named(&one.parameter) && of_period(Some(&one.lot))).count();
    (made, blank)
}

/// Counts anew what was made of each promise, over every lot of the period.
pub(super) fn recount(records: &Records, whole: &mut Verification) {
    let codes: BTreeSet<&str> = whole.lots.iter().map(|lot| lot.code.as_str()).collect();
    for watch in &mut whole.watches {
        let names: Vec<&str> = watch.parameters.split(", ").collect();
        (watch.made, watch.blank) = count(records, &names, &|code| codes.contains(code));
        watch.faults.sort_by_key(|(_, _, at)| *at);
    }
}

/// The stages that the limits on these parameters name, where the step itself has none.
fn stages_of_limits<'p>(plan: &'p Plan, control: &Control, names: &[&str]) -> Vec<&'p Stage> {
    control
        .limits
        .iter()
        .filter(|limit| limit.parameters().iter().any(|name| names.contains(&name.text.as_str())))
        .flat_map(|limit| limit.stages())
        .filter_map(|name| plan.stage(&name.text).map(|(_, stage)| stage))
        .take(1)
        .collect()
}

/// The instants at which any of the parameters was looked at.
fn times(records: &Records, names: &[&str]) -> Vec<i64> {
    let mut seen: BTreeMap<i64, ()> = BTreeMap::new();
    for check in records.checks.iter().filter(|check| names.contains(&check.parameter.as_str())) {
        seen.insert(check.at.0, ());
    }
    for channel in records.channels.iter().filter(|channel| names.contains(&channel.parameter.as_str())) {
        seen.extend(channel.rows.iter().map(|entry| (entry.at, ())));
    }
    seen.into_keys().collect()
}

/// Late: after due time and allowance. Missed: not by the next due time.
fn faults(
    times: &[i64],
    lot: &str,
    (start, end): (i64, i64),
    every: i64,
    allowance: i64,
    out: &mut Vec<(WatchKind, String, i64)>,
) {
    let first = times.partition_point(|at| *at <= start);
    let mut previous = first.checked_sub(1).and_then(|index| times.get(index)).copied().unwrap_or(i64::MIN);
    let mut coming = times.iter().skip(first).copied();
    loop {
        let next = coming.next().unwrap_or(i64::MAX);
        let mut due = previous.saturating_add(every).max(start);
        while due <= end && next > due.saturating_add(every) {
            out.push((WatchKind::Missed, lot.to_owned(), due));
            due = due.saturating_add(every);
        }
        if due <= end && next <= end && next > due.saturating_add(allowance) {
            out.push((WatchKind::Late, lot.to_owned(), next));
        }
        if next > end {
            return;
        }
        previous = next;
    }
}
