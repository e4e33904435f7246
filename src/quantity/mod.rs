//! Numbers as written, with their unit and dimension; exact until something must be computed.

mod cut;
mod rational;
mod unit;

pub use cut::Cut;
pub use rational::Rational;
pub use unit::{Dimension, UNITS, Unit, UnitDef};

use std::fmt;

/// A number with its unit, as written in a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Quantity {
    /// The number in `unit`.
    pub value: Rational,
    /// The unit it was written in.
    pub unit: Unit,
}

impl std::hash::Hash for UnitDef {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.symbol.hash(state);
    }
}

impl Quantity {
    /// A number in a unit.
    #[must_use]
    pub fn new(value: Rational, unit: Unit) -> Self {
        Self { value, unit }
    }

    /// Its dimension.
    #[must_use]
    pub fn dimension(&self) -> Dimension {
        self.unit.dimension
    }

    /// As a point in the base unit (°C for temperatures).
    #[must_use]
    pub fn base(&self) -> Option<Rational> {
        self.unit.point_to_base(self.value)
    }

    /// As a difference in the base unit.
    #[must_use]
    pub fn base_difference(&self) -> Option<Rational> {
        self.unit.difference_to_base(self.value)
    }

    /// The same point in another unit of the same dimension.
    #[must_use]
    pub fn in_unit(&self, unit: Unit) -> Option<Rational> {
        (unit.dimension == self.unit.dimension).then(|| unit.point_from_base(self.base()?))?
    }

    /// A length of time in whole nanoseconds; `None` for other dimensions, or finer than a nanosecond.
    #[must_use]
    pub fn nanoseconds(&self) -> Option<i64> {
        if self.dimension() != Dimension::Time {
            return None;
        }
        self.base()?.times(Rational::whole(1_000_000_000))?.as_whole()
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.dimension().bare() {
            write!(f, "{}", self.value)
        } else {
            write!(f, "{}\u{a0}{}", self.value, self.unit.symbol)
        }
    }
}

/// A double as a person would write it: the shortest decimal, at most `places` places, no trailing zeros.
#[must_use]
pub fn plain(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text };
    if text == "-0" { "0".to_owned() } else { text }
}
