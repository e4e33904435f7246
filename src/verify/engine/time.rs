//! Time in a condition: the longest stretch, the sum, no instant at all.

use super::condition::Condition;
use super::fold::Answer;
use super::outcome::{End, Extent, Kind, Span, Witness};
use super::row::Bounds;
use super::steps::Tally;
use super::stretch::Stretches;
use super::weave::{Answers, Mark, Piece, Sink};
use crate::verdict::Verdict;

/// A chain of neighbouring pieces and readings, and the longest so far.
#[derive(Debug, Default)]
struct Chain {
    open: Option<Span>,
    longest: Option<Span>,
    total: i64,
}

impl Chain {
    fn extend(&mut self, from: i64, to: i64) {
        self.total = self.total.saturating_add(to.saturating_sub(from));
        match &mut self.open {
            Some(span) => span.to = to,
            none => *none = Some(Span { from, to }),
        }
    }

    fn close(&mut self) {
        if let Some(span) = self.open.take()
            && self.longest.is_none_or(|longest| span.length() > longest.length())
        {
            self.longest = Some(span);
        }
    }
}

/// Which number is compared, and how.
#[derive(Debug, Clone, Copy)]
pub(super) enum Test {
    Never,
    StretchAtLeast(i64),
    StretchAtMost(i64),
    TotalAtLeast(i64),
    TotalAtMost(i64),
}

impl Test {
    fn at_least(self) -> bool {
        matches!(self, Test::StretchAtLeast(_) | Test::TotalAtLeast(_))
    }
}

/// Certain pieces of the surest window, possible pieces of the widest.
#[derive(Debug)]
pub(super) struct TimeFold {
    condition: Condition,
    test: Test,
    certain: Chain,
    possible: Chain,
    endless: bool,
    by_nearest: bool,
    breaks: Stretches,
}

impl TimeFold {
    pub fn new(condition: Condition, test: Test) -> Self {
        Self {
            condition,
            test,
            certain: Chain::default(),
            possible: Chain::default(),
            endless: false,
            by_nearest: false,
            breaks: Stretches::default(),
        }
    }

    /// A short uncovered edge is charged in full against at-most limits; a forbidden band is a bound.
    fn near_counts(&self) -> bool {
        self.test.at_least() || matches!(self.test, Test::Never)
    }
}

impl Sink for TimeFold {
    fn piece(&mut self, _: &Bounds, piece: &Piece) {
        let Some((from, to)) = piece.outer else { return };
        let certain = piece.joined && self.condition.certainly(piece.lo, piece.hi);
        match piece.core {
            Some((from, to)) if certain => self.certain.extend(from, to),
            _ => self.certain.close(),
        }
        let possible = if piece.joined {
            self.condition.possibly(piece.lo, piece.hi)
        } else {
            match piece.near {
                Some((lo, hi)) if self.near_counts() => {
                    let possible = self.condition.possibly(lo, hi);
                    self.by_nearest |= !possible;
                    possible
                }
                _ => true,
            }
        };
        if possible {
            self.endless |= to == i64::MAX;
            self.possible.extend(from, to);
        } else {
            self.possible.close();
        }
    }

    fn reading(&mut self, bounds: &Bounds, mark: &Mark) {
        let certain = !mark.void && self.condition.certainly(mark.lo, mark.hi);
        let possible = mark.void || self.condition.possibly(mark.lo, mark.hi);
        if certain && bounds.holds(mark.at) {
            self.certain.extend(mark.at, mark.at);
        } else {
            self.certain.close();
        }
        if possible {
            self.possible.extend(mark.at, mark.at);
        } else {
            self.possible.close();
        }
        if self.test.at_least() {
            self.breaks.take(mark, !certain, !possible);
        } else {
            self.breaks.take(mark, possible, certain);
        }
    }

    fn tally(&self) -> Tally {
        Tally::Time {
            least: self.certain.total,
            most: if self.endless { i64::MAX } else { self.possible.total },
            certain: self.certain.open,
            possible: self.possible.open,
        }
    }
}

impl Answers for TimeFold {
    fn finish(&mut self, judged: bool, _: &Bounds, witness: &mut Witness) -> Answer {
        self.certain.close();
        self.possible.close();
        let certain = self.certain.longest;
        let possible = self.possible.longest;
        witness.longest_certain = certain;
        witness.longest_possible = possible;
        witness.credited = Some(self.certain.total);
        witness.possible = Some(self.possible.total);
        let most_total = if self.endless { i64::MAX } else { self.possible.total };
        let most_stretch = match (possible, self.endless) {
            (Some(_), true) => Some(i64::MAX),
            (longest, _) => longest.map(|span| span.length()),
        };
        let least_stretch = certain.map(|span| span.length());
        let least_total = self.certain.total;
        let (met, not_met) = match self.test {
            Test::Never => (possible.is_none(), certain.is_some()),
            Test::StretchAtLeast(least) => {
                (least_stretch.is_some_and(|time| time >= least), most_stretch.is_none_or(|time| time < least))
            }
            Test::StretchAtMost(most) => {
                (most_stretch.is_none_or(|time| time <= most), least_stretch.is_some_and(|time| time > most))
            }
            Test::TotalAtLeast(least) => (least_total >= least, most_total < least),
            Test::TotalAtMost(most) => (most_total <= most, least_total > most),
        };
        let verdict = match (judged, met, not_met) {
            (true, true, _) => Verdict::Met,
            (true, _, true) => Verdict::NotMet,
            _ => Verdict::NotShown,
        };
        let (least, most) = match self.test {
            Test::TotalAtLeast(_) | Test::TotalAtMost(_) => (End::time(least_total), End::time(most_total)),
            _ => (End::time_or_nothing(least_stretch), End::time_or_nothing(most_stretch)),
        };
        witness.edge_by_nearest =
            self.by_nearest && verdict == if self.test.at_least() { Verdict::NotMet } else { Verdict::Met };
        let extent = Extent { kind: Kind::Nanoseconds, least, most };
        Answer { breaks: self.breaks.finish(), ..Answer::new(verdict, extent) }
    }
}
