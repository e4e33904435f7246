//! What goes in: rows of one trace, the window of the run, how often the trace was to be read.

/// One row of a trace: an instant and the interval in which the value lay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Nanoseconds UTC.
    pub at: i64,
    /// Lowest value the row allows.
    pub lo: f64,
    /// Highest value the row allows.
    pub hi: f64,
}

impl Row {
    /// A reading. A value that is not a number, or not finite, is a breaking row.
    #[must_use]
    pub fn reading(at: i64, value: f64) -> Self {
        Self { at, lo: value, hi: value }
    }

    /// A reading known only to lie between two values, such as two rows of other value at one instant.
    #[must_use]
    pub fn spread(at: i64, lo: f64, hi: f64) -> Self {
        Self { at, lo: lo.min(hi), hi: lo.max(hi) }
    }

    /// A row that breaks the join where it stands: out of range, an over- or under-range code, an
    /// unknown code. At the instant of a reading it makes that reading's interval "anything".
    #[must_use]
    pub fn broken(at: i64) -> Self {
        Self { at, lo: f64::NEG_INFINITY, hi: f64::INFINITY }
    }

    /// Whether the row breaks the join instead of showing a value.
    #[must_use]
    pub fn is_broken(&self) -> bool {
        !(self.lo.is_finite() && self.hi.is_finite())
    }
}

/// The run or stage that is judged. Start and end are closed and may each be known only as an interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// Earliest and latest start, nanoseconds UTC.
    pub start: (i64, i64),
    /// Earliest and latest end; `None` where no end is recorded, which is never taken to be the last reading.
    pub end: Option<(i64, i64)>,
}

impl Window {
    /// A window whose start and end are both known.
    #[must_use]
    pub fn exact(start: i64, end: i64) -> Self {
        Self { start: (start, start), end: Some((end, end)) }
    }

    /// A window with no recorded end.
    #[must_use]
    pub fn open(start: i64) -> Self {
        Self { start: (start, start), end: None }
    }
}

/// How far apart two readings may lie, and how long an edge may stay uncovered. Both in nanoseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampling {
    /// Neighbouring readings no further apart than this are joined.
    pub credit_gap: i64,
    /// One monitoring interval plus the allowance for lateness.
    pub edge_allowance: i64,
}

/// A window as four instants: `s1 <= S <= s2`, `e1 <= E <= e2`; `e2 == i64::MAX` for no end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds {
    pub s1: i64,
    pub s2: i64,
    pub e1: i64,
    pub e2: i64,
    /// False if the record contradicts itself.
    pub sound: bool,
}

impl Bounds {
    pub fn new(window: Window) -> Self {
        let (s1, s2) = window.start;
        let (e1, e2) = window.end.unwrap_or((s1, i64::MAX));
        Self { s1, s2, e1, e2, sound: s1 <= s2 && e1 <= e2 && e2 >= s1 }
    }

    /// No end is recorded.
    pub fn endless(&self) -> bool {
        self.e2 == i64::MAX
    }

    /// Possibly inside the window.
    pub fn may_hold(&self, at: i64) -> bool {
        self.s1 <= at && at <= self.e2
    }

    /// Certainly inside the window.
    pub fn holds(&self, at: i64) -> bool {
        self.s2 <= at && at <= self.e1
    }

    /// The part of the open piece that lies in the widest window.
    pub fn outer(&self, from: i64, to: i64) -> Option<(i64, i64)> {
        (from < self.e2 && to > self.s1).then(|| (from.max(self.s1), to.min(self.e2)))
    }

    /// The part of the open piece that lies in every window.
    pub fn core(&self, from: i64, to: i64) -> Option<(i64, i64)> {
        (self.s2 <= self.e1 && from < self.e1 && to > self.s2).then(|| (from.max(self.s2), to.min(self.e1)))
    }
}
