//! Which results can be trusted: calibrations held against the plan.

use crate::log::{Calibration, Records, RegisterKind, RegisterRow};
use crate::plan::{Instrument, Plan, Term};
use crate::quantity::Rational;
use crate::source::Cell;
use crate::time::{Instant, WorkingDays, Zone};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// One calibration as the plan judges it.
#[derive(Debug, Clone)]
pub struct CalibrationState {
    /// When it was done.
    pub at: Instant,
    /// How far the instrument was off, in the unit of the record; `None` if a cell is blank or unreadable.
    pub off_by: Option<Rational>,
    /// Whether it was within what the plan allows.
    pub good: bool,
    /// The unit of `off_by`.
    pub unit: &'static str,
    /// Where it stands.
    pub cell: Cell,
    /// The day on which it fell due, if it was done after it.
    pub late_since: Option<chrono::NaiveDate>,
}

/// One instrument over the period.
#[derive(Debug, Clone)]
pub struct InstrumentState {
    /// Its name.
    pub name: String,
    /// Its calibrations, in order of time.
    pub calibrations: Vec<CalibrationState>,
    /// Spans in which its results show nothing, nanoseconds UTC, both ends excluded where a good calibration stands.
    pub untrusted: Vec<(i64, i64)>,
    /// Why, one line a span.
    pub why: Vec<String>,
}

impl InstrumentState {
    /// Whether a result at this instant shows nothing.
    #[must_use]
    pub fn distrusts(&self, at: i64) -> bool {
        self.untrusted.iter().any(|(from, to)| *from < at && at < *to)
    }

    /// Whether some instant of the span is not trusted.
    #[must_use]
    pub fn distrusts_within(&self, from: i64, to: i64) -> bool {
        self.untrusted.iter().any(|(a, b)| *a < to && from < *b)
    }
}

/// Results of an instrument in a span in which it was not trusted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InQuestion {
    /// The record.
    pub record: String,
    /// The parameter.
    pub parameter: String,
    /// The lot; none for readings of a place.
    pub lot: Option<String>,
    /// How many rows or samples.
    pub results: usize,
}

/// The results of an instrument that one of its spans without trust puts in question, by record, parameter and lot.
#[must_use]
pub fn in_question(records: &Records, name: &str, (from, to): (i64, i64)) -> Vec<InQuestion> {
    let inside = |at: i64| from < at && at < to;
    // Each in the place in which it was first met.
    let mut all: Vec<InQuestion> = Vec::new();
    let mut known: BTreeMap<(String, String, Option<String>), usize> = BTreeMap::new();
    let mut add = |record: &str, parameter: &str, lot: Option<&str>, results: usize| {
        let key = (record.to_owned(), parameter.to_owned(), lot.map(str::to_owned));
        match known.get(&key).and_then(|index| all.get_mut(*index)) {
            Some(one) => one.results += results,
            None => {
                let (record, parameter, lot) = key.clone();
                known.insert(key, all.len());
                all.push(InQuestion { record, parameter, lot, results });
            }
        }
    };
    for channel in records.channels.iter().filter(|channel| channel.instrument.as_deref() == Some(name)) {
        let count = channel.count_within(from, to);
        if count > 0 {
            add(&channel.record, &channel.parameter, channel.lot.as_deref(), count);
        }
    }
    for sample in records.samples.iter().filter(|sample| sample.instrument.as_deref() == Some(name)) {
        if inside(sample.at.0) {
            add(&sample.record, &sample.parameter, Some(&sample.lot), 1);
        }
    }
    all
}

/// The state of every instrument of the plan that has a calibration duty, or of which a check is on record.
pub(super) fn states(plan: &Plan, records: &Records, zone: Zone) -> Vec<InstrumentState> {
    let worked = plan.worked();
    plan.instruments
        .iter()
        .map(|instrument| {
            let checks: Vec<&RegisterRow> = records
                .registers
                .iter()
                .filter(|row| row.kind == RegisterKind::InstrumentChecks)
                .filter(|row| instrument.name == *row.word("instrument"))
                .collect();
            (instrument, checks)
        })
        .filter(|(instrument, checks)| instrument.calibration.is_some() || !checks.is_empty())
        .map(|(instrument, checks)| {
            let done: Vec<&Calibration> = records
                .calibrations
                .iter()
                .filter(|calibration| instrument.name == *calibration.instrument.as_str())
                .collect();
            let mut state = state(instrument, &done, &worked, zone);
            failed(&mut state, &checks, zone);
            state
        })
        .collect()
}

fn state(instrument: &Instrument, done: &[&Calibration], worked: &WorkingDays, zone: Zone) -> InstrumentState {
    let mut calibrations: Vec<CalibrationState> =
        done.iter().map(|calibration| judge(instrument, calibration)).collect();
    calibrations.sort_by_key(|calibration| calibration.at);
    let mut untrusted = Vec::new();
    let mut why = Vec::new();
    let mut distrust = |from: i64, to: i64, reason: String| {
        untrusted.push((from, to));
        why.push(reason);
    };
    let next_good = |after: usize, list: &[CalibrationState]| {
        list.iter().skip(after + 1).find(|later| later.good).map_or(i64::MAX, |good| good.at.0)
    };
    for index in 0..calibrations.len() {
        let Some(this) = calibrations.get(index) else { continue };
        if !this.good {
            let last_good =
                calibrations.iter().take(index).rev().find(|earlier| earlier.good).map_or(i64::MIN, |good| good.at.0);
            let off =
                this.off_by.map_or("cannot be read".to_owned(), |off| format!("was off by {off}\u{a0}{}", this.unit));
            distrust(
                last_good,
                next_good(index, &calibrations),
                format!("the calibration of {} {off}", zone.show_local(this.at)),
            );
        }
        // Due, late, and still open.
        let Some(due) = due_after(instrument, worked, zone, this.at) else { continue };
        let Some(end_of_due) = due.succ_opt().and_then(|next| zone.start_of(next)) else { continue };
        let following = calibrations.get(index + 1).map(|next| (next.at, next.good));
        match following {
            Some((at, good)) if at >= end_of_due => {
                if good {
                    if let Some(next) = calibrations.get_mut(index + 1) {
                        next.late_since = Some(due);
                    }
                } else {
                    distrust(
                        end_of_due.0 - 1,
                        next_good(index, &calibrations),
                        format!("calibration fell due on {due} and was not good when it was done"),
                    );
                }
            }
            None => distrust(
                end_of_due.0 - 1,
                i64::MAX,
                format!("calibration fell due on {due} and no later one is on record"),
            ),
            Some(_) => {}
        }
    }
    if calibrations.is_empty() && instrument.calibration.is_some() {
        distrust(i64::MIN, i64::MAX, "no calibration is on record".to_owned());
    }
    InstrumentState { name: instrument.name.text.clone(), calibrations, untrusted, why }
}

/// Takes trust away for each check that did not find the instrument in order: back to when it was last in order or well
/// calibrated, and on to when it was again. A check without a time takes it away throughout.
fn failed(state: &mut InstrumentState, checks: &[&RegisterRow], zone: Zone) {
    let good: Vec<i64> = checks
        .iter()
        .filter(|row| row.in_order())
        .filter_map(|row| row.time("checked"))
        .chain(state.calibrations.iter().filter(|one| one.good).map(|one| one.at))
        .map(|at| at.0)
        .collect();
    for row in checks.iter().filter(|row| !row.in_order()) {
        let (from, to, when) = match row.time("checked") {
            Some(at) => (
                good.iter().copied().filter(|good| *good < at.0).max().unwrap_or(i64::MIN),
                good.iter().copied().filter(|good| *good > at.0).min().unwrap_or(i64::MAX),
                format!("the check of {}", zone.show_local(at)),
            ),
            None => (i64::MIN, i64::MAX, "a check without a time that can be read".to_owned()),
        };
        state.untrusted.push((from, to));
        state.why.push(format!("{when} found it `{}`", row.word("result")));
    }
}

fn judge(instrument: &Instrument, calibration: &Calibration) -> CalibrationState {
    let off_by =
        calibration.reading.zip(calibration.reference).and_then(|(reading, reference)| reading.minus(reference));
    let within = instrument
        .calibration
        .as_ref()
        .and_then(|duty| duty.within.quantity)
        .and_then(|within| within.base_difference());
    let good =
        off_by.and_then(|off| calibration.unit.difference_to_base(off)).zip(within).is_some_and(|(off, within)| {
            let size = if off.is_negative() { Rational::ZERO.minus(off) } else { Some(off) };
            size.is_some_and(|size| size.cmp(&within) != Ordering::Greater)
        });
    CalibrationState {
        at: calibration.at,
        off_by,
        good,
        unit: calibration.unit.symbol,
        cell: calibration.cell.clone(),
        late_since: None,
    }
}

/// The day on which the next calibration is due.
pub(super) fn due_after(
    instrument: &Instrument,
    worked: &WorkingDays,
    zone: Zone,
    at: Instant,
) -> Option<chrono::NaiveDate> {
    let day = zone.local(at).date();
    match &instrument.calibration.as_ref()?.every {
        Term::Calendar(every) => every.after(day, worked),
        Term::Clock(every) => {
            let days = every.nanoseconds()?.checked_div(24 * crate::time::HOUR)?;
            day.checked_add_days(chrono::Days::new(u64::try_from(days).ok()?))
        }
        Term::Blank => None,
    }
}
