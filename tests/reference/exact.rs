//! Exact fractions and the ends of an interval.

use num_rational::Ratio;

/// An exact fraction.
pub type Q = Ratio<i128>;

pub fn q(number: i64) -> Q {
    Q::from_integer(number.into())
}

/// The double nearest to a fraction whose two halves are below 2^53 (one division, correctly rounded).
pub fn double(x: Q) -> f64 {
    *x.numer() as f64 / *x.denom() as f64
}

/// One end of an interval, in order: no lower bound, no such instant, a number, no upper bound.
///
/// "No such instant" is less than every number: it fails even "at least 0 s" and keeps every "at most".
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    Below,
    Nothing,
    Number(Q),
    Above,
}

/// The smallest and the largest value of a quantity over all histories that a record allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    pub least: End,
    pub most: End,
}

impl Interval {
    pub fn new(least: End, most: End) -> Self {
        Self { least, most }
    }
}
