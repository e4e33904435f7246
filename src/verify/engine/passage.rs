//! A passage between two lines, and the time until a line is reached.

use super::condition::Condition;
use super::fold::Answer;
use super::outcome::{End, Extent, Kind, Reason, Span, Witness};
use super::row::Bounds;
use super::steps::Tally;
use super::stretch::Stretches;
use super::weave::{Answers, Mark, Piece, Sink};
use crate::verdict::Verdict;

fn compare(judged: bool, least: i64, most: Option<i64>, within: i64) -> Verdict {
    if !judged {
        Verdict::NotShown
    } else if most.is_some_and(|time| time <= within) {
        Verdict::Met
    } else if least > within {
        Verdict::NotMet
    } else {
        Verdict::NotShown
    }
}

fn extent(least: i64, most: Option<i64>) -> Extent {
    Extent { kind: Kind::Nanoseconds, least: End::time(least), most: End::time(most.unwrap_or(i64::MAX)) }
}

/// The clock starts at `a`, the first instant that has left `before`, and stops at `b`, the first
/// instant in `arrived` after it. The largest time counts from the first possible `a` to the first
/// reading certainly arrived; the smallest from the first reading that has certainly left to the
/// first possible `b`.
#[derive(Debug)]
pub(super) struct PassageFold {
    before: Condition,
    arrived: Condition,
    within: i64,
    /// A reading has been seen.
    begun: bool,
    /// A reading before the window (or on its start) is certainly at or over the starting line.
    hot_before: bool,
    /// The start is shown, by such a reading or by the first one of the window.
    shown: bool,
    a_first: Option<i64>,
    a_last: Option<i64>,
    b_first: Option<i64>,
    b_last: Option<i64>,
    by_nearest: bool,
    rewarmings: Stretches,
}

impl PassageFold {
    pub fn new(before: Condition, arrived: Condition, within: i64) -> Self {
        Self {
            before,
            arrived,
            within,
            begun: false,
            hot_before: false,
            shown: false,
            a_first: None,
            a_last: None,
            b_first: None,
            b_last: None,
            by_nearest: false,
            rewarmings: Stretches::default(),
        }
    }
}

impl Sink for PassageFold {
    const BEFORE_WINDOW: bool = true;

    fn piece(&mut self, bounds: &Bounds, piece: &Piece) {
        // Up to the start of the stage the value may have been back on the starting side. (The reading
        // that ends the piece belongs to its hull.)
        if piece.first.at < bounds.s2 && (!piece.joined || self.before.possibly(piece.lo, piece.hi)) {
            self.a_last = None;
        }
        let from = match piece.outer {
            _ if self.hot_before => piece.first.at,
            Some((from, _)) => from,
            None => return,
        };
        if !piece.joined || !self.before.certainly(piece.lo, piece.hi) {
            self.a_first.get_or_insert(from);
        }
        if self.b_first.is_none() && self.a_first.is_some() {
            let possible = match piece.near {
                _ if piece.joined => self.arrived.possibly(piece.lo, piece.hi),
                Some((lo, hi)) if piece.at_start && !self.hot_before => {
                    self.by_nearest = true;
                    self.arrived.possibly(lo, hi)
                }
                _ => true,
            };
            self.b_first = possible.then_some(from);
        }
    }

    fn reading(&mut self, bounds: &Bounds, mark: &Mark) {
        if mark.void {
            return;
        }
        let at = mark.at;
        let hot = self.before.certainly(mark.lo, mark.hi);
        let left = !self.before.possibly(mark.lo, mark.hi);
        if !self.begun {
            self.begun = true;
            self.shown = at >= bounds.s1 && hot;
        }
        if hot && at <= bounds.s1 {
            (self.shown, self.hot_before) = (true, true);
            (self.a_first, self.a_last, self.b_first) = (None, None, None);
            return;
        }
        if self.hot_before || bounds.may_hold(at) {
            if !hot {
                self.a_first.get_or_insert(at);
            }
            if self.a_first.is_some() && self.arrived.possibly(mark.lo, mark.hi) {
                self.b_first.get_or_insert(at);
            }
        }
        if self.b_last.is_none() && self.a_last.is_some() && at > bounds.s2 {
            self.rewarmings.take(mark, !left, hot);
        }
        if left && (at >= bounds.s2 || self.shown) {
            self.a_last.get_or_insert(at);
        }
        if bounds.holds(at) && self.arrived.certainly(mark.lo, mark.hi) {
            self.b_last.get_or_insert(at);
        }
    }

    fn tally(&self) -> Tally {
        Tally::Clock { start: (self.a_first, self.a_last), stop: (self.b_first, self.b_last) }
    }
}

impl Answers for PassageFold {
    fn finish(&mut self, judged: bool, bounds: &Bounds, witness: &mut Witness) -> Answer {
        let stop = self.b_first.unwrap_or(bounds.e2);
        let least = self.a_last.map_or(0, |start| stop.saturating_sub(start).max(0));
        let most = match (self.shown, self.a_first, self.b_last) {
            (true, Some(start), Some(stop)) => Some(stop.saturating_sub(start)),
            _ => None,
        };
        let verdict = compare(judged, least, most, self.within);
        let span = |from: Option<i64>, to: Option<i64>| {
            from.or(to).map(|start| Span { from: start, to: to.unwrap_or(i64::MAX) })
        };
        witness.clock_start = span(self.a_first, self.a_last);
        witness.clock_stop = span(self.b_first, self.b_last);
        witness.rewarmings = self.rewarmings.finish();
        witness.edge_by_nearest = self.by_nearest && verdict == Verdict::NotMet;
        let reason = (!self.shown).then_some(Reason::StartNotShown);
        Answer { reason, ..Answer::new(verdict, extent(least, most)) }
    }
}

/// From the start of the window to the first instant in the condition.
///
/// The largest time is the longest that any possible start has to wait for the next instant certainly
/// in the condition and certainly in the window.
#[derive(Debug)]
pub(super) struct ReachFold {
    condition: Condition,
    within: i64,
    /// First instant possibly in the condition.
    first: Option<i64>,
    /// Last instant so far that was certainly in it.
    last: Option<i64>,
    /// The longest wait so far; settled once `arrived`.
    wait: i64,
    /// The instant that settled it.
    arrived: Option<i64>,
    by_nearest: bool,
}

impl ReachFold {
    pub fn new(condition: Condition, within: i64) -> Self {
        Self { condition, within, first: None, last: None, wait: 0, arrived: None, by_nearest: false }
    }

    /// Takes a span that is certainly in the condition, both ends included.
    fn reached(&mut self, bounds: &Bounds, from: i64, to: i64) {
        let (from, to) = (from.max(bounds.s1), to.min(bounds.e1));
        if from > to || self.arrived.is_some() {
            return;
        }
        self.wait = self.wait.max(from.saturating_sub(self.last.unwrap_or(bounds.s1)));
        self.last = Some(to);
        if to >= bounds.s2 {
            self.arrived = Some(from);
        }
    }
}

impl Sink for ReachFold {
    fn piece(&mut self, bounds: &Bounds, piece: &Piece) {
        let Some((from, _)) = piece.outer else { return };
        if piece.joined && self.condition.certainly(piece.lo, piece.hi) {
            self.reached(bounds, piece.first.at, piece.second.at);
        }
        if self.first.is_some() {
            return;
        }
        let possible = match piece.near {
            _ if piece.joined => self.condition.possibly(piece.lo, piece.hi),
            Some((lo, hi)) if piece.at_start => {
                self.by_nearest = true;
                self.condition.possibly(lo, hi)
            }
            _ => true,
        };
        self.first = possible.then_some(from);
    }

    fn reading(&mut self, bounds: &Bounds, mark: &Mark) {
        if mark.void {
            return;
        }
        if self.condition.possibly(mark.lo, mark.hi) {
            self.first.get_or_insert(mark.at);
        }
        if self.condition.certainly(mark.lo, mark.hi) {
            self.reached(bounds, mark.at, mark.at);
        }
    }

    fn tally(&self) -> Tally {
        Tally::Clock { start: (None, None), stop: (self.first, self.arrived) }
    }
}

impl Answers for ReachFold {
    fn finish(&mut self, judged: bool, bounds: &Bounds, witness: &mut Witness) -> Answer {
        let stop = self.first.unwrap_or(bounds.e2);
        let least = stop.saturating_sub(bounds.s2).max(0);
        let most = self.arrived.map(|_| self.wait);
        let verdict = compare(judged, least, most, self.within);
        witness.clock_start = Some(Span { from: bounds.s1, to: bounds.s2 });
        witness.clock_stop =
            self.first.or(self.arrived).map(|from| Span { from, to: self.arrived.unwrap_or(i64::MAX) });
        witness.edge_by_nearest = self.by_nearest && verdict == Verdict::NotMet;
        Answer::new(verdict, extent(least, most))
    }
}
