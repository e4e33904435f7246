//! How an instrument has moved from calibration to calibration, and what to expect of the next.
//!
//! The errors are those found before anything was adjusted, as the calibration record holds them. A line through them says
//! nothing of the readings between; it is a reason to look sooner.

use super::InstrumentState;
use crate::plan::{Instrument, Plan};
use crate::quantity::plain;
use crate::science::drift::{FEWEST, Line, line};
use crate::time::{HOUR, Instant, WorkingDays, Zone};
use chrono::NaiveDate;

/// The errors of one instrument over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// The instrument.
    pub instrument: String,
    /// The unit of errors and tolerance.
    pub unit: &'static str,
    /// When each calibration was done, and the error found; in order of time.
    pub errors: Vec<(Instant, f64)>,
    /// The line through them, with days since the first as places; none of fewer than [`FEWEST`].
    pub line: Option<Line>,
    /// What the plan allows, to either side.
    pub within: f64,
    /// The day on which the next calibration falls due, and the error that the line gives for it.
    pub next: Option<(NaiveDate, f64)>,
}

impl Drift {
    /// Whether the errors move by more than scatter, and lie outside what is allowed when the next calibration falls due.
    #[must_use]
    pub fn leaves(&self) -> bool {
        let last_good = self.errors.last().is_some_and(|(_, error)| error.abs() <= self.within);
        last_good
            && self.line.is_some_and(|line| line.moves())
            && self.next.is_some_and(|(_, error)| error.abs() > self.within)
    }

    /// The change in thirty days.
    #[must_use]
    pub fn a_month(&self) -> Option<f64> {
        self.line.map(|line| line.slope * 30.0)
    }

    /// How it moves, in words.
    #[must_use]
    pub fn words(&self) -> String {
        let unit = self.unit;
        let (Some(change), Some((day, error))) = (self.a_month(), self.next) else {
            return format!("{}: {} calibrations, too few for a line", self.instrument, self.errors.len());
        };
        format!(
            "{}: {} {unit} in thirty days over {} calibrations; about {} {unit} expected when the next falls due on {day}, {} {unit} allowed",
            self.instrument,
            plain(change, 3),
            self.errors.len(),
            plain(error, 3),
            plain(self.within, 3)
        )
    }

    /// The place of an instant on the line: days since the first calibration.
    #[must_use]
    pub fn place(&self, at: Instant) -> f64 {
        let first = self.errors.first().map_or(at.0, |(first, _)| first.0);
        at.0.saturating_sub(first) as f64 / (24 * HOUR) as f64
    }
}

/// The drift of every instrument that was calibrated at least twice in one unit.
pub(super) fn drifts(plan: &Plan, states: &[InstrumentState], zone: Zone) -> Vec<Drift> {
    let worked = plan.worked();
    let mut out = Vec::new();
    for state in states {
        let own = plan.instruments.iter().find(|one| one.name == *state.name.as_str());
        out.extend(own.and_then(|instrument| drift(instrument, state, &worked, zone)));
    }
    out
}

fn drift(instrument: &Instrument, state: &InstrumentState, worked: &WorkingDays, zone: Zone) -> Option<Drift> {
    let unit = state.calibrations.last()?.unit;
    let errors: Vec<(Instant, f64)> = state
        .calibrations
        .iter()
        .filter(|one| one.unit == unit)
        .filter_map(|one| Some((one.at, one.off_by?.to_f64())))
        .collect();
    let (last, _) = *errors.last().filter(|_| errors.len() > 1)?;
    let unit_of = crate::quantity::UnitDef::find(unit)?;
    let within = instrument.calibration.as_ref()?.within.quantity?;
    // A tolerance is a difference: it is turned into the unit of the record as one.
    let one = unit_of.difference_to_base(crate::quantity::Rational::ONE)?.to_f64();
    let within = within.base_difference()?.to_f64() / one;
    let mut drift = Drift { instrument: state.name.clone(), unit, errors, line: None, within, next: None };
    let pairs: Vec<(f64, f64)> = drift.errors.iter().map(|(at, error)| (drift.place(*at), *error)).collect();
    drift.line = line(&pairs).filter(|line| line.count >= FEWEST);
    let due = super::instruments::due_after(instrument, worked, zone, last);
    drift.next = due.zip(drift.line).and_then(|(due, line)| {
        let at = zone.start_of(due)?;
        Some((due, line.at(drift.place(at))))
    });
    Some(drift)
}
