//! A fall over every span of a given length.

use super::fold::Answer;
use super::outcome::{End, Extent, Kind, Reason, Span, Witness};
use super::row::Bounds;
use super::steps::Tally;
use super::weave::{Answers, Mark, Piece, Sink};
use crate::quantity::Rational;
use crate::verdict::Verdict;
use std::cmp::Ordering;
use std::collections::VecDeque;

/// A reading (`from == to`) or the open time between two.
#[derive(Debug, Clone, Copy)]
struct Element {
    from: i64,
    to: i64,
    lo: f64,
    hi: f64,
    /// Between the first and the last reading of every window, not just of the widest.
    core: bool,
}

impl Element {
    fn is_instant(&self) -> bool {
        self.from == self.to
    }

    /// Whether some instant of `self`, moved on by `every`, lies in `later`.
    fn meets(&self, later: &Element, every: i64) -> bool {
        let (from, to) = (self.from.saturating_add(every), self.to.saturating_add(every));
        match (self.is_instant(), later.is_instant()) {
            (true, true) => from == later.from,
            (true, false) => later.from < from && from < later.to,
            (false, true) => from < later.from && later.from < to,
            (false, false) => from.max(later.from) < to.min(later.to),
        }
    }
}

/// The smallest of many differences of recorded values, and where it was.
#[derive(Debug, Clone, Copy)]
struct Smallest {
    difference: f64,
    pair: (f64, f64),
    at: i64,
}

impl Smallest {
    fn take(held: &mut Option<Self>, pair: (f64, f64), at: i64) {
        let difference = pair.0 - pair.1;
        if held.is_none_or(|held| difference < held.difference) {
            *held = Some(Self { difference, pair, at });
        }
    }

    fn end(held: Option<Self>, unbounded: End) -> End {
        let exact = held
            .filter(|held| held.difference.is_finite())
            .and_then(|held| Rational::from_double(held.pair.0)?.minus(Rational::from_double(held.pair.1)?));
        exact.map_or(unbounded, |value| End::Closed(value.to_f64()))
    }
}

/// How the difference of two recorded decimals stands to an exact number.
fn compare(from: f64, to: f64, exact: Rational, near: f64) -> Ordering {
    let difference = from - to;
    let doubt = 4.0 * f64::EPSILON * (from.abs() + to.abs() + near.abs());
    if difference > near + doubt {
        return Ordering::Greater;
    }
    if difference < near - doubt {
        return Ordering::Less;
    }
    let exactly = || Rational::from_double(from)?.minus(Rational::from_double(to)?);
    exactly().map_or_else(|| difference.total_cmp(&near), |value| value.cmp(&exact))
}

/// Keeps the elements of one span, and of each new element the differences that end in it.
#[derive(Debug)]
pub(super) struct FallFold {
    /// A rise is the fall of the values below nought.
    rises: bool,
    strict: bool,
    shown_by: (Rational, f64),
    denied_below: (Rational, f64),
    every: i64,
    kept: VecDeque<Element>,
    least: Option<Smallest>,
    most: Option<Smallest>,
    short: bool,
    broken: bool,
    open: bool,
}

impl FallFold {
    pub fn new((rises, strict): (bool, bool), shown_by: Rational, denied_below: Rational, every: i64) -> Self {
        Self {
            rises,
            strict,
            shown_by: (shown_by, shown_by.to_f64()),
            denied_below: (denied_below, denied_below.to_f64()),
            every: every.max(0),
            kept: VecDeque::new(),
            least: None,
            most: None,
            short: false,
            broken: false,
            open: false,
        }
    }

    /// Whether a difference that stands so to the figure is too little.
    fn too_little(&self, side: Ordering) -> bool {
        if self.strict { side != Ordering::Greater } else { side == Ordering::Less }
    }

    fn take(&mut self, mut later: Element) {
        if self.rises {
            (later.lo, later.hi) = (-later.hi, -later.lo);
        }
        while self.kept.front().is_some_and(|first| first.to.saturating_add(self.every) < later.from) {
            self.kept.pop_front();
        }
        self.kept.push_back(later);
        let (mut short, mut broken) = (false, false);
        for earlier in &self.kept {
            if earlier.from.saturating_add(self.every) > later.to {
                break;
            }
            if !earlier.meets(&later, self.every) {
                continue;
            }
            let at = earlier.from.max(later.from.saturating_sub(self.every));
            Smallest::take(&mut self.least, (earlier.lo, later.hi), at);
            short |= self.too_little(compare(earlier.lo, later.hi, self.shown_by.0, self.shown_by.1));
            if earlier.core && later.core {
                Smallest::take(&mut self.most, (earlier.hi, later.lo), at);
                let (exact, near) = self.denied_below;
                broken |= self.too_little(compare(earlier.hi, later.lo, exact, near));
            }
        }
        self.short |= short;
        self.broken |= broken;
    }
}

impl Sink for FallFold {
    fn piece(&mut self, bounds: &Bounds, piece: &Piece) {
        if piece.outer.is_none() {
            return;
        }
        let (from, to) = (piece.first.at, piece.second.at);
        if from < bounds.s1 || to > bounds.e2 || to == i64::MAX {
            self.open |= !piece.joined && piece.near.is_none();
            return;
        }
        let core = bounds.holds(from) && bounds.holds(to);
        self.take(Element { from, to, lo: piece.lo, hi: piece.hi, core });
    }

    fn reading(&mut self, bounds: &Bounds, mark: &Mark) {
        self.take(Element { from: mark.at, to: mark.at, lo: mark.lo, hi: mark.hi, core: bounds.holds(mark.at) });
    }

    fn tally(&self) -> Tally {
        let difference = |held: Option<Smallest>| held.map(|held| held.difference);
        Tally::Fall { least: difference(self.least), most: difference(self.most) }
    }
}

impl Answers for FallFold {
    fn finish(&mut self, judged: bool, bounds: &Bounds, witness: &mut Witness) -> Answer {
        // A span must fit between the first and the last reading of every window.
        let applies = judged && self.most.is_some();
        let open = self.open || bounds.endless();
        let verdict = match (applies, self.broken, self.short || open) {
            (true, true, _) => Verdict::NotMet,
            (true, false, false) => Verdict::Met,
            _ => Verdict::NotShown,
        };
        let slowest = if self.broken { self.most } else { self.least };
        witness.slowest = slowest.map(|slowest| Span { from: slowest.at, to: slowest.at.saturating_add(self.every) });
        let extent = Extent {
            kind: Kind::Value,
            least: if open { End::UnboundedBelow } else { Smallest::end(self.least, End::UnboundedBelow) },
            most: Smallest::end(self.most, End::UnboundedAbove),
        };
        let reason = (!applies).then_some(Reason::NothingToJudge);
        Answer { reason, ..Answer::new(verdict, extent) }
    }
}
