//! Time in a condition as a share of the window's duration.

use super::condition::Condition;
use super::fold::Answer;
use super::outcome::{End, Extent, Kind, Witness};
use super::row::Bounds;
use super::steps::Tally;
use super::stretch::Stretches;
use super::weave::{Answers, Mark, Piece, Sink};
use crate::quantity::Rational;
use crate::verdict::Verdict;
use std::cmp::Ordering;

/// The running sum of (1 in the condition − share) at an instant, kept as its two exact parts.
#[derive(Debug, Clone, Copy)]
struct Level {
    inside: i64,
    elapsed: i64,
}

/// `time − share · duration` between two levels, exactly.
fn balance(from: Level, to: Level, share: Rational) -> Option<Rational> {
    let duration = to.elapsed.checked_sub(from.elapsed)?;
    Rational::whole(to.inside.checked_sub(from.inside)?).minus(share.times(Rational::whole(duration))?)
}

/// The extreme level over an interval of instants.
#[derive(Debug, Clone, Copy, Default)]
struct Extreme(Option<Level>);

impl Extreme {
    fn take(&mut self, level: Level, share: Rational, wanted: Ordering) {
        let better = match self.0 {
            None => true,
            Some(held) if held.elapsed == level.elapsed && held.inside == level.inside => false,
            Some(held) => balance(held, level, share).is_some_and(|rise| rise.cmp(&Rational::ZERO) == wanted),
        };
        if better {
            self.0 = Some(level);
        }
    }
}

/// The level under one reading of the record, at the starts and ends the window may have.
#[derive(Debug, Default)]
struct Sum {
    inside: i64,
    at_start: Extreme,
    at_end: Extreme,
}

/// Whether the share is asked for, or allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wanted {
    /// At least so much.
    Least,
    /// At most so much.
    Most,
}

#[derive(Debug)]
pub(super) struct ShareFold {
    condition: Condition,
    share: Rational,
    /// Whether the share itself is left out.
    strict: bool,
    wanted: Wanted,
    bounds: Bounds,
    certain: Sum,
    possible: Sum,
    by_nearest: bool,
    breaks: Stretches,
}

impl Sum {
    /// Takes a stretch of time that is wholly inside the condition or wholly outside.
    fn take(&mut self, span: (i64, i64), inside: bool, share: Rational, bounds: &Bounds, start: Ordering) {
        let (from, to) = span;
        let level = |at: i64| Level {
            inside: self.inside.saturating_add(if inside { at.saturating_sub(from) } else { 0 }),
            elapsed: at.saturating_sub(bounds.s1),
        };
        for (extreme, (first, last), wanted) in [
            (&mut self.at_start, (bounds.s1, bounds.s2), start),
            (&mut self.at_end, (bounds.e1, bounds.e2), start.reverse()),
        ] {
            let (first, last) = (first.max(from), last.min(to));
            if first <= last {
                extreme.take(level(first), share, wanted);
                extreme.take(level(last), share, wanted);
            }
        }
        self.inside = level(to).inside;
    }

    fn balance(&self, share: Rational) -> Option<Rational> {
        balance(self.at_start.0?, self.at_end.0?, share)
    }
}

impl ShareFold {
    pub fn new(condition: Condition, (share, strict, wanted): (Rational, bool, Wanted), bounds: Bounds) -> Self {
        Self {
            condition,
            share,
            strict,
            wanted,
            bounds,
            certain: Sum::default(),
            possible: Sum::default(),
            by_nearest: false,
            breaks: Stretches::default(),
        }
    }
}

impl Sink for ShareFold {
    fn piece(&mut self, _: &Bounds, piece: &Piece) {
        let Some(span) = piece.outer else { return };
        let certain = piece.joined && self.condition.certainly(piece.lo, piece.hi);
        let possible = match piece.near {
            _ if piece.joined => self.condition.possibly(piece.lo, piece.hi),
            // An allowed share is charged with an uncovered edge in full.
            Some((lo, hi)) if self.wanted == Wanted::Least => {
                let possible = self.condition.possibly(lo, hi);
                self.by_nearest |= !possible;
                possible
            }
            _ => true,
        };
        self.certain.take(span, certain, self.share, &self.bounds, Ordering::Greater);
        self.possible.take(span, possible, self.share, &self.bounds, Ordering::Less);
    }

    fn reading(&mut self, _: &Bounds, mark: &Mark) {
        let certain = self.condition.certainly(mark.lo, mark.hi);
        let possible = self.condition.possibly(mark.lo, mark.hi);
        match self.wanted {
            Wanted::Least => self.breaks.take(mark, !certain, !possible),
            Wanted::Most => self.breaks.take(mark, possible, certain),
        }
    }

    fn tally(&self) -> Tally {
        Tally::Time { least: self.certain.inside, most: self.possible.inside, certain: None, possible: None }
    }
}

impl Answers for ShareFold {
    fn finish(&mut self, judged: bool, bounds: &Bounds, witness: &mut Witness) -> Answer {
        let least = self.certain.balance(self.share);
        let most = self.possible.balance(self.share);
        witness.credited = Some(self.certain.inside);
        witness.possible = Some(self.possible.inside);
        let may_be_empty = bounds.e1 <= bounds.s2;
        let empty = bounds.e2 <= bounds.s1;
        let bounded = judged && !bounds.endless() && !empty;
        let side = |value: Option<Rational>| value.map(|value| value.cmp(&Rational::ZERO));
        // How the two ends stand to nought; where the share itself is left out nought is on the wrong side of it.
        let (met, not_met) = match self.wanted {
            Wanted::Least => (
                side(least).is_some_and(|side| if self.strict { side.is_gt() } else { side.is_ge() }),
                side(most).is_some_and(|side| if self.strict { side.is_le() } else { side.is_lt() }),
            ),
            Wanted::Most => (
                side(most).is_some_and(|side| if self.strict { side.is_lt() } else { side.is_le() }),
                side(least).is_some_and(|side| if self.strict { side.is_ge() } else { side.is_gt() }),
            ),
        };
        let verdict = match (met, not_met) {
            (true, _) if bounded && !may_be_empty => Verdict::Met,
            (_, true) if bounded => Verdict::NotMet,
            _ => Verdict::NotShown,
        };
        witness.edge_by_nearest = self.by_nearest && verdict == Verdict::NotMet;
        let extent = Extent {
            kind: Kind::Nanoseconds,
            least: match least.and_then(|value| outward(value, Ordering::Less)) {
                Some(value) if bounded => End::Closed(value),
                _ => End::UnboundedBelow,
            },
            most: match most.and_then(|value| outward(value, Ordering::Greater)) {
                Some(value) if bounded => End::Closed(value),
                _ => End::UnboundedAbove,
            },
        };
        Answer { breaks: self.breaks.finish(), ..Answer::new(verdict, extent) }
    }
}

/// A whole number of nanoseconds not on the wrong side of the value.
fn outward(value: Rational, side: Ordering) -> Option<f64> {
    let whole = value.rounded()?;
    let inward = Rational::whole(whole).cmp(&value) == side.reverse();
    let step = match side {
        Ordering::Less => -1,
        Ordering::Equal => 0,
        Ordering::Greater => 1,
    };
    Some((if inward { whole.checked_add(step)? } else { whole }) as f64)
}
