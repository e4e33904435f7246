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
use crate::time::{Instant, Zone};
use crate::verdict::Verdict;
use chrono::NaiveTime;
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
    /// Rounds due and made by the clock, for each shift of the plan, or once where it knows none; empty for other promises.
    pub shifts: Vec<Shift>,
    /// Single readings by the instrument that they name.
    pub instruments: Vec<(String, u64)>,
    /// Whether a promise by what was made or by working days was kept; `None` for a promise by the clock or by the lot.
    pub kept: Option<Verdict>,
}

impl Watch {
    /// Adds the rounds of the same promise over other lots.
    pub(super) fn add(&mut self, shifts: &[Shift]) {
        for one in shifts {
            match self.shifts.iter_mut().find(|own| own.begins == one.begins) {
                Some(own) => {
                    own.due += one.due;
                    own.in_time += one.in_time;
                    own.late += one.late;
                    own.missed += one.missed;
                    own.early += one.early;
                }
                None => self.shifts.push(one.clone()),
            }
        }
    }
}

/// Rounds of a promise by the clock that fell into one shift.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shift {
    /// When the shift begins; none where the plan knows no shifts.
    pub begins: Option<NaiveTime>,
    /// Rounds due.
    pub due: usize,
    /// Made in time.
    pub in_time: usize,
    /// Made after due time and allowance.
    pub late: usize,
    /// Not made by the next due time.
    pub missed: usize,
    /// Made sooner than due by more than the allowance, or a quarter of the interval; they count as made.
    pub early: usize,
}

/// What came of one round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Round {
    InTime,
    Early,
    Late,
    Missed,
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
        shifts: Vec::new(),
        instruments: Vec::new(),
        kept: None,
    };
    let codes: BTreeSet<&str> = lots.iter().map(|lot| lot.code.as_str()).collect();
    let own = |code: &str| codes.contains(code);
    (watch.made, watch.blank) = count(records, &names, &own);
    watch.instruments = by_instrument(records, &names, &own);
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
        let mut rounds = Vec::new();
        for lot in lots {
            if let Stretch::Known(window) = stretch(&stages, lot, &monitor.record.text)
                && let Some((_, end)) = window.end
            {
                told(&times, &lot.code, (window.start.1, end), (every, allowance), &mut rounds);
            }
        }
        for (round, lot, at) in &rounds {
            match round {
                Round::Missed => watch.faults.push((WatchKind::Missed, lot.clone(), *at)),
                Round::Late => watch.faults.push((WatchKind::Late, lot.clone(), *at)),
                Round::InTime | Round::Early => {}
            }
        }
        watch.shifts = shifts(plan, &rounds);
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

/// Single readings and samples by instrument, of those that name one.
fn by_instrument(records: &Records, names: &[&str], own: &dyn Fn(&str) -> bool) -> Vec<(String, u64)> {
    let mut all: BTreeMap<&str, u64> = BTreeMap::new();
    for channel in records.channels.iter().filter(|one| names.contains(&one.parameter.as_str())) {
        if let Some(instrument) = channel.instrument.as_deref()
            && channel.lot.as_deref().is_none_or(own)
        {
            *all.entry(instrument).or_default() += channel.count;
        }
    }
    for sample in records.samples.iter().filter(|one| names.contains(&one.parameter.as_str()) && own(&one.lot)) {
        if let Some(instrument) = sample.instrument.as_deref() {
            *all.entry(instrument).or_default() += 1;
        }
    }
    all.into_iter().map(|(name, count)| (name.to_owned(), count)).collect()
}

/// Counts anew what was made of each promise, over every lot of the period.
pub(super) fn recount(records: &Records, whole: &mut Verification) {
    let codes: BTreeSet<&str> = whole.lots.iter().map(|lot| lot.code.as_str()).collect();
    for watch in &mut whole.watches {
        let names: Vec<&str> = watch.parameters.split(", ").collect();
        let own = |code: &str| codes.contains(code);
        (watch.made, watch.blank) = count(records, &names, &own);
        watch.instruments = by_instrument(records, &names, &own);
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

/// What came of each round of a lot. Late: after due time and allowance. Missed: not by the next due time. Early: sooner
/// than due by more than the allowance, or a quarter of the interval where that is longer (a choice); what follows a look
/// within as long belongs to the same round.
fn told(
    times: &[i64],
    lot: &str,
    (start, end): (i64, i64),
    (every, allowance): (i64, i64),
    out: &mut Vec<(Round, String, i64)>,
) {
    let first = times.partition_point(|at| *at <= start);
    let mut previous = first.checked_sub(1).and_then(|index| times.get(index)).copied().unwrap_or(i64::MIN);
    let mut coming = times.iter().skip(first).copied();
    let slack = allowance.max(every / 4);
    loop {
        let next = coming.next().unwrap_or(i64::MAX);
        let mut due = previous.saturating_add(every).max(start);
        while due <= end && next > due.saturating_add(every) {
            out.push((Round::Missed, lot.to_owned(), due));
            due = due.saturating_add(every);
        }
        if next <= end {
            let again = next.saturating_sub(previous) <= slack;
            let round = match () {
                () if due <= end && next > due.saturating_add(allowance) => Some(Round::Late),
                () if again => None,
                () if next < due.saturating_sub(slack) => Some(Round::Early),
                () => Some(Round::InTime),
            };
            out.extend(round.map(|round| (round, lot.to_owned(), next)));
        }
        if next > end {
            return;
        }
        previous = next;
    }
}

/// Rounds by the shift into which they fall, in the plan's zone.
fn shifts(plan: &Plan, rounds: &[(Round, String, i64)]) -> Vec<Shift> {
    let head = plan.head.as_ref();
    let zone = head.and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
    let mut begins: Vec<NaiveTime> = head.and_then(|head| head.shifts.clone()).unwrap_or_default();
    begins.sort();
    let mut all: Vec<Shift> = if begins.is_empty() {
        vec![Shift::default()]
    } else {
        begins.iter().map(|begins| Shift { begins: Some(*begins), ..Shift::default() }).collect()
    };
    for (round, _, at) in rounds {
        let time = zone.local(Instant(*at)).time();
        // Before the first shift of the day the last one of the day before still runs.
        let index = begins.iter().rposition(|begins| *begins <= time).unwrap_or(all.len().saturating_sub(1));
        let Some(shift) = all.get_mut(index) else { continue };
        shift.due += 1;
        match round {
            Round::InTime => shift.in_time += 1,
            Round::Early => shift.early += 1,
            Round::Late => shift.late += 1,
            Round::Missed => shift.missed += 1,
        }
    }
    all
}
