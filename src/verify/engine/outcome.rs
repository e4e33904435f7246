//! What comes out: verdict, interval, evidence.

use crate::verdict::Verdict;

/// What kind of number the interval is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The value of the trace, in the unit in which it was recorded, accuracy not counted in.
    Value,
    /// A length of time in nanoseconds. For a share: time less the share of the duration.
    Nanoseconds,
    /// A sum of rate over time: decimal reductions or growth.
    Decades,
    /// Value units times seconds.
    ValueSeconds,
}

/// One end of an interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    /// This number, itself included.
    Closed(f64),
    /// This number, itself not included.
    Open(f64),
    /// No lower bound.
    UnboundedBelow,
    /// No upper bound.
    UnboundedAbove,
    /// No such instant: the condition does not occur.
    Nothing,
}

impl End {
    /// The number, if there is one.
    #[must_use]
    pub fn number(self) -> Option<f64> {
        match self {
            End::Closed(value) | End::Open(value) => Some(value),
            End::UnboundedBelow | End::UnboundedAbove | End::Nothing => None,
        }
    }

    pub(super) fn time(nanoseconds: i64) -> Self {
        if nanoseconds == i64::MAX { End::UnboundedAbove } else { End::Closed(nanoseconds as f64) }
    }

    pub(super) fn time_or_nothing(nanoseconds: Option<i64>) -> Self {
        nanoseconds.map_or(End::Nothing, End::time)
    }
}

/// The smallest and the largest value of the limit's quantity over all histories that the record allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// What the numbers are in.
    pub kind: Kind,
    /// Smallest.
    pub least: End,
    /// Largest.
    pub most: End,
}

/// A value and its instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Nanoseconds UTC.
    pub at: i64,
    /// The value as recorded.
    pub value: f64,
}

/// A span of time, nanoseconds UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Its start.
    pub from: i64,
    /// Its end; `i64::MAX` where nothing ends it.
    pub to: i64,
}

impl Span {
    /// Its length in nanoseconds.
    #[must_use]
    pub fn length(&self) -> i64 {
        self.to.saturating_sub(self.from)
    }
}

/// A run of neighbouring readings that have something in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Instant of its first reading.
    pub from: i64,
    /// Instant of its last reading.
    pub to: i64,
    /// How many readings.
    pub readings: u64,
    /// Its lowest reading.
    pub lowest: Point,
    /// Its highest reading.
    pub highest: Point,
    /// Whether at least one of its readings breaks the condition for certain (accuracy counted).
    pub certain: bool,
}

/// The first few of a list, and how many there were.
#[derive(Debug, Clone, PartialEq)]
pub struct Capped<T> {
    /// At most [`Capped::CAP`] of them, the first in time.
    pub items: Vec<T>,
    /// How many in all.
    pub count: usize,
}

impl<T> Default for Capped<T> {
    fn default() -> Self {
        Self { items: Vec::new(), count: 0 }
    }
}

impl<T> Capped<T> {
    /// How many are kept.
    pub const CAP: usize = 64;

    pub(super) fn add(&mut self, item: T) {
        if self.items.len() < Self::CAP {
            self.items.push(item);
        }
        self.count += 1;
    }
}

/// How the start or the end of the window was covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum EdgeUse {
    /// A reading stands on it, or joined readings span it.
    #[default]
    Covered,
    /// Uncovered for so many nanoseconds, no longer than the allowance. Bound and range judge it by its
    /// nearest reading; see `docs/limits.md` for the other forms.
    Nearest(i64),
    /// Uncovered for so many nanoseconds and could have been anything; `i64::MAX` if no end is recorded.
    Missing(i64),
}

/// Why a verdict is *not shown*.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// No reading in the window, or nothing that the form could be applied to.
    NothingToJudge,
    /// An end before its start, or rows that step back in time.
    Contradiction,
    /// The window has no recorded end.
    NoEnd,
    /// No reading shows where the passage started from.
    StartNotShown,
    /// The interval holds values that meet the limit and values that do not.
    Undecided,
}

/// The evidence: what a person needs to redo the judgement with a pencil.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Witness {
    /// Readings used, those just outside the window that cover its edges included.
    pub readings: u64,
    /// Readings in the widest window.
    pub inside: u64,
    /// Sum of the readings in the widest window; the middle of two values at one instant. Described, never judged.
    pub sum: f64,
    /// First and last instant of a reading used.
    pub used: Option<Span>,
    /// Longest step between two joined readings.
    pub longest_step: i64,
    /// Time in the widest window between joined readings.
    pub joined: i64,
    /// Time in the widest window that no joined readings cover.
    pub missing: i64,
    /// The longest stretch in the widest window that no joined readings cover; `i64::MAX` if no end is recorded.
    pub longest_gap: i64,
    /// Readings of more than one value at one instant.
    pub spreads: u64,
    /// Breaking rows in the widest window.
    pub broken: u64,
    /// The start of the window.
    pub start_edge: EdgeUse,
    /// The end of the window.
    pub end_edge: EdgeUse,
    /// Whether the verdict takes a short uncovered edge to be like its nearest reading.
    pub edge_by_nearest: bool,
    /// The stretches that are not covered.
    pub gaps: Capped<Span>,
    /// Lowest reading in the window.
    pub lowest: Option<Point>,
    /// Highest reading in the window.
    pub highest: Option<Point>,
    /// Time certainly in the condition.
    pub credited: Option<i64>,
    /// Time possibly in the condition.
    pub possible: Option<i64>,
    /// Longest stretch certainly in the condition.
    pub longest_certain: Option<Span>,
    /// Longest stretch possibly in the condition.
    pub longest_possible: Option<Span>,
    /// Earliest and latest instant at which the clock started.
    pub clock_start: Option<Span>,
    /// Earliest and latest instant at which the clock stopped.
    pub clock_stop: Option<Span>,
    /// Readings back at or over the starting line after the clock had started.
    pub rewarmings: Capped<Stretch>,
    /// Where a fall was smallest: the two instants of its span.
    pub slowest: Option<Span>,
    /// The textbook trapezoid sum over joined readings. Printed, never compared.
    pub trapezoid: Option<f64>,
}

/// The answer for one limit over one trace and one window.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Met, not met or not shown.
    pub verdict: Verdict,
    /// Why, if it is *not shown*.
    pub reason: Option<Reason>,
    /// The interval. For a range the one of its highest value.
    pub extent: Extent,
    /// For a range the interval of its lowest value.
    pub lower: Option<Extent>,
    /// The evidence.
    pub witness: Witness,
    /// Stretches of readings that break the condition: for at-least forms readings not certainly in
    /// it, for at-most forms readings possibly in it.
    pub breaks: Capped<Stretch>,
}
