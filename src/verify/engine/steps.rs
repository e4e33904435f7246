//! The workings: what each piece and each reading did to a form's sums, told by the fold that did it.
//!
//! The weave asks the fold for its [`Tally`] before and after each step and hands both to a [`Tape`]. Where nobody
//! asked for the workings the tape is [`Silent`] and the compiler leaves all of it out.

use super::outcome::Span;

/// What is known of the time of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cover {
    /// A reading, or two joined readings with the time between them.
    Shown,
    /// A short uncovered edge that has a nearest reading; some forms are judged by it.
    Nearest,
    /// Nothing is known: a gap, a broken row, an uncovered edge.
    Anything,
}

/// What a form has added up so far. Times are nanoseconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tally {
    /// The form keeps no sum that can be told step by step.
    Nothing,
    /// Highest and lowest value.
    Value {
        /// What every history reaches, and what none passes, upwards.
        high: (f64, f64),
        /// What every history reaches, and what none passes, downwards.
        low: (f64, f64),
        /// Some of the time could have been anything.
        open: bool,
        /// The last reading is not certainly in the condition.
        breaking: bool,
    },
    /// Time in a condition.
    Time {
        /// Sum over certain pieces.
        least: i64,
        /// Sum over possible pieces.
        most: i64,
        /// The stretch certainly in the condition that is still running.
        certain: Option<Span>,
        /// The stretch possibly in the condition that is still running.
        possible: Option<Span>,
    },
    /// Rate times time.
    Rate {
        /// The rate that was last counted towards the smallest sum, per second.
        low: f64,
        /// The rate that was last counted towards the largest sum, per second; none where nothing bounds it.
        high: Option<f64>,
        /// Smallest sum.
        least: f64,
        /// Largest sum, without the time that nothing bounds.
        most: f64,
        /// Some of the time has no bound.
        unbounded: bool,
    },
    /// A clock that starts and stops.
    Clock {
        /// Earliest and latest instant at which it started, as far as known.
        start: (Option<i64>, Option<i64>),
        /// Earliest and latest instant at which it stopped, as far as known.
        stop: (Option<i64>, Option<i64>),
    },
    /// A fall over a span: the smallest from the lowest before to the highest after, and the other way.
    Fall {
        /// Smallest possible fall so far.
        least: Option<f64>,
        /// Smallest fall so far that every history shares.
        most: Option<f64>,
    },
}

/// One reading (`from == to`), or the time between two neighbouring readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Instant of the first reading; `i64::MIN` where there is none.
    pub from: i64,
    /// Instant of the second reading; `i64::MAX` where there is none.
    pub to: i64,
    /// Lowest value of the hull.
    pub lo: f64,
    /// Highest value of the hull.
    pub hi: f64,
    /// What is known of it.
    pub cover: Cover,
    /// The part that may lie in the window.
    pub outer: Option<Span>,
    /// The part that lies in the window for certain.
    pub core: Option<Span>,
    /// The form's sums before it.
    pub before: Tally,
    /// The form's sums after it.
    pub after: Tally,
}

impl Step {
    /// Whether it is a reading and not the time between two.
    #[must_use]
    pub fn is_reading(&self) -> bool {
        self.from == self.to
    }
}

/// Takes the steps of one judgement in order of time.
pub trait Tape: Default {
    /// Whether steps are wanted at all.
    const ON: bool;
    /// The next step.
    fn take(&mut self, step: Step);
}

/// A tape that nobody listens to.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Tape for Silent {
    const ON: bool = false;
    fn take(&mut self, _: Step) {}
}

impl Tape for Vec<Step> {
    const ON: bool = true;
    fn take(&mut self, step: Step) {
        self.push(step);
    }
}
