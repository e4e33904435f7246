//! Instruments, parameters and rhythms.

use crate::plan::limit::Measured;
use crate::plan::{Name, Said};
use crate::quantity::Unit;
use crate::source::Loc;
use crate::time::Calendar;

/// A measuring instrument.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// What it measures.
    pub measures: Vec<Name>,
    /// Serial number.
    pub serial: Option<String>,
    /// Range.
    pub range: Option<(Measured, Measured)>,
    /// Smallest step.
    pub resolution: Option<Measured>,
    /// Accuracy, a difference.
    pub accuracy: Option<Measured>,
    /// Calibration.
    pub calibration: Option<Calibration>,
    /// After how long an unchanged reading shows nothing.
    pub stuck_after: Option<Measured>,
    /// First line.
    pub loc: Loc,
}

/// How an instrument is calibrated.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// How often.
    pub every: Term,
    /// Within what, a difference.
    pub within: Measured,
    /// By whom.
    pub by: Name,
    /// On which record.
    pub record: Name,
    /// How.
    pub method: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// Something measured, answered or computed.
#[derive(Debug, Clone)]
pub struct Parameter {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Unit in which it is shown.
    pub unit: Option<Said<Unit>>,
    /// Closed set of answers; empty for a measured one.
    pub answers: Vec<Name>,
    /// Formula.
    pub formula: Option<Formula>,
    /// How far apart paired readings may be.
    pub pairing: Option<Measured>,
    /// Places at which it is measured.
    pub probes: Vec<Name>,
    /// For a fact about the lot: once each what, on which record.
    pub recorded: Option<(String, Name)>,
    /// First line.
    pub loc: Loc,
}

/// How a parameter is computed from others.
#[derive(Debug, Clone)]
pub enum Formula {
    /// Relative humidity from dry and wet bulb, at a pressure if stated.
    Humidity {
        /// Dry bulb.
        dry: Name,
        /// Wet bulb.
        wet: Name,
        /// Air pressure; the standard atmosphere if not stated.
        pressure: Option<Measured>,
    },
    /// Two parameters and a sign.
    Arithmetic {
        /// First.
        left: Name,
        /// `/`, `-` or `+`.
        sign: char,
        /// Second.
        right: Name,
    },
}

impl Formula {
    /// The parameters it is computed from.
    #[must_use]
    pub fn inputs(&self) -> [&Name; 2] {
        match self {
            Formula::Humidity { dry, wet, .. } => [dry, wet],
            Formula::Arithmetic { left, right, .. } => [left, right],
        }
    }
}

/// How often something is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cadence {
    /// The rhythm.
    pub rhythm: Rhythm,
    /// Allowance on it.
    pub late_after: Option<Measured>,
    /// Where it stands.
    pub loc: Loc,
}

/// The rhythm of a cadence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rhythm {
    /// By a recorder, with its step.
    Continuously(Option<Measured>),
    /// Every so often.
    Every(Term),
    /// So many times per period.
    TimesPer(u32, String),
    /// For each lot, load, delivery, batch, shift or day.
    Each(String),
    /// When an event happens.
    At(Name),
    /// After an event has happened.
    After(Name),
}

/// A length of time by the clock or by the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Term {
    /// By the calendar.
    Calendar(Calendar),
    /// By the clock.
    Clock(Measured),
    /// Left blank.
    Blank,
}
