//! Every instant of the window in a condition.

use super::condition::Condition;
use super::fold::Answer;
use super::outcome::{End, Extent, Kind, Witness};
use super::row::Bounds;
use super::steps::Tally;
use super::stretch::Stretches;
use super::weave::{Answers, Mark, Piece, Sink};
use crate::verdict::Verdict;

/// Highest and lowest value. Of each, what every history reaches (`seen`) and what none passes (`may`).
#[derive(Debug)]
pub(super) struct BoundFold {
    condition: Condition,
    high_seen: f64,
    high_may: f64,
    low_seen: f64,
    low_may: f64,
    open: bool,
    by_nearest: bool,
    breaks: Stretches,
}

impl BoundFold {
    pub fn new(condition: Condition) -> Self {
        Self {
            condition,
            high_seen: f64::NEG_INFINITY,
            high_may: f64::NEG_INFINITY,
            low_seen: f64::INFINITY,
            low_may: f64::INFINITY,
            open: false,
            by_nearest: false,
            breaks: Stretches::default(),
        }
    }

    fn may(&mut self, lo: f64, hi: f64) {
        self.high_may = self.high_may.max(hi);
        self.low_may = self.low_may.min(lo);
    }

    fn seen(&mut self, lo: f64, hi: f64) {
        self.high_seen = self.high_seen.max(lo);
        self.low_seen = self.low_seen.min(hi);
    }
}

impl Sink for BoundFold {
    fn piece(&mut self, _: &Bounds, piece: &Piece) {
        if piece.outer.is_none() {
            return;
        }
        if piece.joined {
            self.may(piece.lo, piece.hi);
            if piece.core.is_some() {
                self.seen(piece.lo, piece.hi);
            }
        } else if let Some((lo, hi)) = piece.near {
            self.by_nearest = true;
            self.may(lo, hi);
        } else {
            self.open = true;
        }
    }

    fn reading(&mut self, bounds: &Bounds, mark: &Mark) {
        if mark.void {
            self.open = true;
            return;
        }
        self.may(mark.lo, mark.hi);
        if bounds.holds(mark.at) {
            self.seen(mark.lo, mark.hi);
        }
        let breaking = !self.condition.certainly(mark.lo, mark.hi);
        let certain = breaking && !self.condition.possibly(mark.lo, mark.hi);
        self.breaks.take(mark, breaking, certain);
    }

    fn tally(&self) -> Tally {
        Tally::Value {
            high: (self.high_seen, self.high_may),
            low: (self.low_seen, self.low_may),
            open: self.open,
            breaking: self.breaks.is_open(),
        }
    }
}

impl Answers for BoundFold {
    fn finish(&mut self, judged: bool, _: &Bounds, witness: &mut Witness) -> Answer {
        let Condition { certain, possible } = self.condition;
        let verdict = if !judged {
            Verdict::NotShown
        } else if !possible.below_upper(self.high_seen) || !possible.above_lower(self.low_seen) {
            Verdict::NotMet
        } else if !self.open && certain.contains(self.low_may, self.high_may) {
            Verdict::Met
        } else {
            Verdict::NotShown
        };
        let number = |value: f64, none: End| if value.is_finite() { End::Closed(value) } else { none };
        let highest = Extent {
            kind: Kind::Value,
            least: number(self.high_seen, End::UnboundedBelow),
            most: if self.open { End::UnboundedAbove } else { number(self.high_may, End::UnboundedAbove) },
        };
        let lowest = Extent {
            kind: Kind::Value,
            least: if self.open { End::UnboundedBelow } else { number(self.low_may, End::UnboundedBelow) },
            most: number(self.low_seen, End::UnboundedAbove),
        };
        let (extent, lower) = match (certain.lower, certain.upper) {
            (Some(_), None) => (lowest, None),
            (Some(_), Some(_)) => (highest, Some(lowest)),
            (None, _) => (highest, None),
        };
        witness.edge_by_nearest = self.by_nearest && verdict == Verdict::Met;
        Answer { lower, breaks: self.breaks.finish(), ..Answer::new(verdict, extent) }
    }
}
