//! The forms a limit can have on one trace.

use super::condition::Condition;
use crate::quantity::{Cut, Rational};
use std::fmt::Debug;

/// Rates of reduction (or of an F-value) that never fall when the value rises.
///
/// Outside the stated range of the model the rate is nothing below it and flat above it.
pub trait DeathRates: Sync + Debug {
    /// The rate at a value, rounded down, per second.
    fn low(&self, value: f64) -> f64;
    /// The rate at a value, rounded up, per second.
    fn high(&self, value: f64) -> f64;
    /// The rate at the top of the stated range, rounded up; `None` if the model states no top.
    fn top(&self) -> Option<f64>;
}

/// Rates of growth, of any shape over the value.
pub trait GrowthRates: Sync + Debug {
    /// Not above the lowest rate anywhere from `lo` to `hi`, per second.
    fn lowest(&self, lo: f64, hi: f64) -> f64;
    /// Not below the highest rate anywhere from `lo` to `hi`, per second.
    fn highest(&self, lo: f64, hi: f64) -> f64;
    /// The rate at the optimum, rounded up, per second.
    fn optimum(&self) -> f64;
}

/// One form of limit with its thresholds. Times are nanoseconds.
#[derive(Debug, Clone, Copy)]
pub enum Form<'a> {
    /// Every instant of the window lies in the condition: a bound, or a range with both ends.
    Bound(Condition),
    /// No instant of the window lies in the condition: a forbidden band.
    Never(Condition),
    /// The longest unbroken stretch in the condition. Nought means *reaches*: one instant is enough,
    /// and no instant at all is not.
    Held {
        /// What is held.
        condition: Condition,
        /// For how long at least.
        at_least: i64,
    },
    /// Time in the condition, summed, at least.
    TotalAtLeast {
        /// What is summed over.
        condition: Condition,
        /// For how long at least.
        at_least: i64,
    },
    /// Time in the condition, summed, at most.
    TotalAtMost {
        /// What is summed over.
        condition: Condition,
        /// For how long at most.
        at_most: i64,
    },
    /// The longest single stay in the condition, at most.
    StretchAtMost {
        /// What counts as a stay.
        condition: Condition,
        /// For how long at most.
        at_most: i64,
    },
    /// Time in the condition as a share of the window's duration, at least.
    ShareAtLeast {
        /// What is summed over.
        condition: Condition,
        /// The share: 1/4 for 25 %.
        share: Rational,
        /// Whether the share itself is too little.
        strict: bool,
    },
    /// Time in the condition as a share of the window's duration, at most.
    ShareAtMost {
        /// What is summed over.
        condition: Condition,
        /// The share: 1/4 for 25 %.
        share: Rational,
        /// Whether the share itself is too much.
        strict: bool,
    },
    /// From the first instant that has left `before` to the first instant in `arrived` after it.
    ///
    /// Cooling from 54.4 to 26.7 °C: `before` is `>= 54.4`, `arrived` is `<= 26.7`. A come-up mirrors
    /// both. The clock never restarts inside the window.
    Passage {
        /// Where the value stood before the clock started.
        before: Condition,
        /// Where the value must come to.
        arrived: Condition,
        /// Within how long.
        within: i64,
    },
    /// From the start of the window to the first instant in the condition.
    ReachesWithin {
        /// What must be reached.
        condition: Condition,
        /// Within how long.
        within: i64,
    },
    /// The value falls (or rises) at least so much in every span of a given length, judged from the first to the
    /// last reading in the window. Both thresholds are exact and in the unit of the readings.
    FallsAtLeast {
        /// Whether it rises.
        rises: bool,
        /// Whether the figure itself is too little.
        strict: bool,
        /// A recorded fall that shows it: the limit, raised by twice the accuracy where that is counted.
        shown_by: Rational,
        /// A recorded fall below this denies it: the limit, lowered by twice the accuracy.
        denied_below: Rational,
        /// The span.
        every: i64,
    },
    /// Rate summed over time at least: decimal reductions, or an F-value in its own unit.
    Reduction {
        /// Rate over value.
        rates: &'a dyn DeathRates,
        /// The sum that must be shown.
        at_least: Cut,
    },
    /// Growth summed over time at most.
    GrowthAtMost {
        /// Rate over value.
        rates: &'a dyn GrowthRates,
        /// The sum that must not be passed.
        at_most: Cut,
    },
    /// Height above a base summed over time, at most, in value units times seconds (degree-hours times 3600).
    SumAboveAtMost {
        /// The base for the smallest sum: with an accuracy counted, the base raised by it.
        base_least: f64,
        /// The base for the largest sum: with an accuracy counted, the base lowered by it.
        base_most: f64,
        /// A value that the trace cannot have passed where nothing was read; `None` leaves gaps unbounded.
        top: Option<f64>,
        /// The sum that must not be passed.
        at_most: Cut,
    },
}
