//! A condition on a value: one interval of values, exact.

use crate::quantity::Cut;
use std::cmp::Ordering;

/// One end of a band of values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// The threshold, in the unit in which the channel was recorded.
    pub cut: Cut,
    /// Whether the threshold itself lies outside (`<` and `>`).
    pub strict: bool,
}

impl Edge {
    /// `<=` or `>=`.
    #[must_use]
    pub fn inclusive(cut: Cut) -> Self {
        Self { cut, strict: false }
    }

    /// `<` or `>`.
    #[must_use]
    pub fn strict(cut: Cut) -> Self {
        Self { cut, strict: true }
    }

    fn as_upper(&self, value: f64) -> bool {
        match self.cut.side(value) {
            Ordering::Less => true,
            Ordering::Equal => !self.strict,
            Ordering::Greater => false,
        }
    }

    fn as_lower(&self, value: f64) -> bool {
        match self.cut.side(value) {
            Ordering::Less => false,
            Ordering::Equal => !self.strict,
            Ordering::Greater => true,
        }
    }
}

/// A half line or a band of values.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Band {
    /// Lower end, if any.
    pub lower: Option<Edge>,
    /// Upper end, if any.
    pub upper: Option<Edge>,
}

impl Band {
    /// Everything up to an edge.
    #[must_use]
    pub fn up_to(edge: Edge) -> Self {
        Self { lower: None, upper: Some(edge) }
    }

    /// Everything from an edge on.
    #[must_use]
    pub fn from(edge: Edge) -> Self {
        Self { lower: Some(edge), upper: None }
    }

    /// Everything between two edges.
    #[must_use]
    pub fn between(lower: Edge, upper: Edge) -> Self {
        Self { lower: Some(lower), upper: Some(upper) }
    }

    /// Whether every value of the hull lies inside.
    #[must_use]
    pub fn contains(&self, lo: f64, hi: f64) -> bool {
        self.above_lower(lo) && self.below_upper(hi)
    }

    /// Whether some value of the hull lies inside.
    #[must_use]
    pub fn touches(&self, lo: f64, hi: f64) -> bool {
        self.above_lower(hi) && self.below_upper(lo)
    }

    pub(super) fn above_lower(&self, value: f64) -> bool {
        self.lower.is_none_or(|edge| edge.as_lower(value))
    }

    pub(super) fn below_upper(&self, value: f64) -> bool {
        self.upper.is_none_or(|edge| edge.as_upper(value))
    }
}

/// A condition, with the accuracy of the instrument already taken into its two bands.
///
/// A reading shows that the condition holds if it lies in the narrower band, and leaves it possible
/// if it lies in the wider one. Where no accuracy is counted the two are one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Condition {
    /// A reading in here is certainly in the condition.
    pub certain: Band,
    /// A reading outside here is certainly not in the condition.
    pub possible: Band,
}

impl Condition {
    /// A condition with no accuracy counted.
    #[must_use]
    pub fn exact(band: Band) -> Self {
        Self { certain: band, possible: band }
    }

    /// Whether every value of the hull certainly meets the condition.
    #[must_use]
    pub fn certainly(&self, lo: f64, hi: f64) -> bool {
        self.certain.contains(lo, hi)
    }

    /// Whether some value of the hull may meet the condition.
    #[must_use]
    pub fn possibly(&self, lo: f64, hi: f64) -> bool {
        self.possible.touches(lo, hi)
    }
}
