//! Food science as pure functions: lethality, growth, humidity, curing, sampling, reference points.
//!
//! Each function states its units, its source and the range in which it may be
//! used, and refuses ([`OutOfRange`]) instead of extrapolating without a word.
//! Nothing here reads a file or a clock, and nothing here judges: a number that
//! comes out is an aid for trained people, not a verdict. The plant validates
//! its own process; a thermal process for low-acid or shelf-stable food needs a
//! recognised process authority.
//!
//! Temperatures are in degrees Celsius, times in seconds, pressures in pascal.

use std::error::Error;
use std::fmt;

pub mod composition;
pub mod control_chart;
pub mod drift;
pub mod curing;
pub mod fermentation;
pub mod growth;
pub mod humidity;
pub mod lethality;
pub mod salts;
pub mod sampling;
pub mod weibull;

/// Why a function of this module refused its input.
///
/// The wording names the quantity in trade terms and carries the numbers, so
/// that a caller can print it as it stands.
#[derive(Debug, Clone, PartialEq)]
pub enum OutOfRange {
    /// A number is not finite (a missing or overflowing value).
    NotFinite {
        /// The quantity.
        what: &'static str,
    },
    /// A number that must be above zero is not.
    NotPositive {
        /// The quantity.
        what: &'static str,
        /// The value that was given.
        value: f64,
    },
    /// A number that must not be below zero is.
    Negative {
        /// The quantity.
        what: &'static str,
        /// The value that was given.
        value: f64,
    },
    /// A number lies below the range for which the formula or model is stated.
    Below {
        /// The quantity.
        what: &'static str,
        /// The value that was given.
        value: f64,
        /// The lowest value allowed.
        least: f64,
        /// The unit of both.
        unit: &'static str,
    },
    /// A number lies above the range for which the formula or model is stated.
    Above {
        /// The quantity.
        what: &'static str,
        /// The value that was given.
        value: f64,
        /// The highest value allowed.
        most: f64,
        /// The unit of both.
        unit: &'static str,
    },
    /// The lower end of a range is above its upper end.
    Reversed {
        /// The quantity.
        what: &'static str,
        /// The lower end as given.
        low: f64,
        /// The upper end as given.
        high: f64,
    },
    /// A part, or parts together, are more than the whole they belong to.
    MoreThanWhole {
        /// The part or parts.
        what: &'static str,
        /// The whole.
        whole: &'static str,
    },
    /// The wet bulb is above the dry bulb by more than two good thermometers
    /// can differ: bulbs exchanged, a dry wick, or a faulty probe.
    WetAboveDry {
        /// Dry-bulb temperature in °C.
        dry_c: f64,
        /// Wet-bulb temperature in °C.
        wet_c: f64,
        /// The excess that is still accepted, in °C.
        tolerance_c: f64,
    },
    /// The wet bulb is colder than it could be even in perfectly dry air at
    /// this dry bulb and pressure.
    DrierThanDry {
        /// Dry-bulb temperature in °C.
        dry_c: f64,
        /// Wet-bulb temperature in °C.
        wet_c: f64,
    },
    /// Too few points to integrate or to fit.
    TooFewPoints {
        /// How many there are.
        got: usize,
        /// How many are needed.
        need: usize,
    },
    /// A time is not later than the one before it.
    TimeNotRising {
        /// Which point, counted from 1.
        point: usize,
    },
    /// The points do not fix a line: temperatures all equal, or the time does
    /// not fall with temperature.
    NoSlope,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "{what} is not a finite number"),
            Self::NotPositive { what, value } => write!(f, "{what} must be above 0, not {value}"),
            Self::Negative { what, value } => write!(f, "{what} must not be below 0, not {value}"),
            Self::Below { what, value, least, unit } => {
                write!(f, "{what} of {value} {unit} is below {least} {unit}, where the formula begins to hold")
            }
            Self::Above { what, value, most, unit } => {
                write!(f, "{what} of {value} {unit} is above {most} {unit}, where the formula ceases to hold")
            }
            Self::Reversed { what, low, high } => {
                write!(f, "{what} runs backwards, from {low} to {high}")
            }
            Self::MoreThanWhole { what, whole } => write!(f, "{what} would be more than the whole {whole}"),
            Self::WetAboveDry { dry_c, wet_c, tolerance_c } => {
                write!(f, "wet bulb {wet_c} °C is above dry bulb {dry_c} °C by more than {tolerance_c} °C")
            }
            Self::DrierThanDry { dry_c, wet_c } => {
                write!(f, "wet bulb {wet_c} °C is colder than dry air at {dry_c} °C could make it")
            }
            Self::TooFewPoints { got, need } => {
                write!(f, "{got} points given, at least {need} needed")
            }
            Self::TimeNotRising { point } => {
                write!(f, "the time of point {point} is not after the one before it")
            }
            Self::NoSlope => f.write_str("the points fix no line that falls with temperature"),
        }
    }
}

impl Error for OutOfRange {}

/// Passes `value` on if it is finite.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    if value.is_finite() { Ok(value) } else { Err(OutOfRange::NotFinite { what }) }
}

/// Passes `value` on if it is finite and above 0.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    if finite(what, value)? > 0.0 { Ok(value) } else { Err(OutOfRange::NotPositive { what, value }) }
}

/// Passes `value` on if it is finite and not below 0.
pub(crate) fn not_negative(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    if finite(what, value)? >= 0.0 { Ok(value) } else { Err(OutOfRange::Negative { what, value }) }
}

/// Passes `value` on if it is finite and lies in `[least, most]`.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    (least, most): (f64, f64),
    unit: &'static str,
) -> Result<f64, OutOfRange> {
    finite(what, value)?;
    if value < least {
        Err(OutOfRange::Below { what, value, least, unit })
    } else if value > most {
        Err(OutOfRange::Above { what, value, most, unit })
    } else {
        Ok(value)
    }
}
