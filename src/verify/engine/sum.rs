//! Sums of a rate over time: reduction, growth, height above a base.

use super::fold::Answer;
use super::form::{DeathRates, GrowthRates};
use super::outcome::{End, Extent, Kind, Witness};
use super::row::Bounds;
use super::steps::Tally;
use super::weave::{Answers, Mark, Piece, Sink};
use crate::quantity::Cut;
use crate::verdict::Verdict;
use std::cmp::Ordering;

/// Next double below a positive number; nought stays nought.
fn down(value: f64) -> f64 {
    if value > 0.0 { value.next_down() } else { value.max(0.0) }
}

/// Next double above a positive number; nought stays nought.
fn up(value: f64) -> f64 {
    if value > 0.0 { value.next_up() } else { value.max(0.0) }
}

/// How far the difference of two doubles can be from that of the decimals that they stand for.
fn doubt(a: f64, b: f64) -> f64 {
    f64::EPSILON * (a.abs() + b.abs())
}

/// Height above a base, rounded down.
fn height_down(value: f64, base: f64) -> f64 {
    if value > base { (value - base - doubt(value, base)).next_down().max(0.0) } else { 0.0 }
}

/// Height above a base, rounded up.
fn height_up(value: f64, base: f64) -> f64 {
    if value > base { (value - base + doubt(value, base)).next_up() } else { 0.0 }
}

/// A sum of rate times nanoseconds in time order, each step rounded towards one side.
#[derive(Debug, Clone, Copy)]
struct Rounded {
    sum: f64,
    towards: fn(f64) -> f64,
}

impl Rounded {
    fn add(&mut self, rate: f64, nanoseconds: i64) {
        let round = self.towards;
        let term = round(round(rate * round(nanoseconds as f64)) / 1e9);
        if term > 0.0 {
            self.sum = round(self.sum + term);
        }
    }
}

/// Where the rate comes from.
#[derive(Debug, Clone, Copy)]
pub(super) enum Rule<'a> {
    Death(&'a dyn DeathRates),
    Growth(&'a dyn GrowthRates),
    Above { least: f64, most: f64, top: Option<f64> },
}

/// The last two values whose rates were worked out: neighbouring pieces share a reading.
#[derive(Debug, Clone, Copy)]
struct Memo {
    kept: [(f64, f64); 2],
    next: usize,
}

impl Memo {
    fn new() -> Self {
        Self { kept: [(f64::NAN, 0.0); 2], next: 0 }
    }

    fn get(&mut self, value: f64, rate: impl FnOnce(f64) -> f64) -> f64 {
        if let Some((_, known)) = self.kept.iter().find(|(held, _)| *held == value) {
            return *known;
        }
        let fresh = rate(value);
        if let Some(slot) = self.kept.get_mut(self.next) {
            *slot = (value, fresh);
        }
        self.next = 1 - self.next;
        fresh
    }
}

#[derive(Debug)]
pub(super) struct SumFold<'a> {
    rule: Rule<'a>,
    threshold: Cut,
    least: Rounded,
    most: Rounded,
    unbounded: bool,
    trapezoid: f64,
    by_nearest: bool,
    credited: i64,
    low_memo: Memo,
    high_memo: Memo,
    /// The rates counted last, for the workings.
    low: f64,
    high: Option<f64>,
}

impl<'a> SumFold<'a> {
    pub fn new(rule: Rule<'a>, threshold: Cut) -> Self {
        Self {
            rule,
            threshold,
            least: Rounded { sum: 0.0, towards: down },
            most: Rounded { sum: 0.0, towards: up },
            unbounded: false,
            trapezoid: 0.0,
            by_nearest: false,
            credited: 0,
            low_memo: Memo::new(),
            high_memo: Memo::new(),
            low: 0.0,
            high: None,
        }
    }

    fn lowest(&mut self, lo: f64, hi: f64) -> f64 {
        match self.rule {
            Rule::Death(rates) => self.low_memo.get(lo, |value| rates.low(value)),
            Rule::Growth(rates) => rates.lowest(lo, hi),
            Rule::Above { least, .. } => height_down(lo, least),
        }
    }

    fn highest(&mut self, lo: f64, hi: f64) -> f64 {
        match self.rule {
            Rule::Death(rates) => self.high_memo.get(hi, |value| rates.high(value)),
            Rule::Growth(rates) => rates.highest(lo, hi),
            Rule::Above { most, .. } => height_up(hi, most),
        }
    }

    /// The highest rate that time without readings can have had; `None` if there is no such bound.
    fn ceiling(&self) -> Option<f64> {
        match self.rule {
            Rule::Death(rates) => rates.top(),
            Rule::Growth(rates) => Some(rates.optimum()),
            Rule::Above { most, top, .. } => top.map(|top| height_up(top, most)),
        }
    }

    /// The rate at a reading, for the textbook estimate.
    fn middle(&mut self, mark: &Mark) -> f64 {
        let value = f64::midpoint(mark.lo, mark.hi);
        f64::midpoint(self.lowest(value, value), self.highest(value, value))
    }

    fn estimate(&mut self, piece: &Piece, from: i64, to: i64) {
        let first = self.middle(&piece.first);
        let second = self.middle(&piece.second);
        let whole = piece.second.at.saturating_sub(piece.first.at) as f64;
        let at = |instant: i64| first + (second - first) * (instant.saturating_sub(piece.first.at) as f64 / whole);
        self.trapezoid += f64::midpoint(at(from), at(to)) * (to.saturating_sub(from) as f64 / 1e9);
    }
}

impl Sink for SumFold<'_> {
    fn piece(&mut self, _: &Bounds, piece: &Piece) {
        let Some((from, to)) = piece.outer else { return };
        let length = to.saturating_sub(from);
        if piece.joined {
            let high = self.highest(piece.lo, piece.hi);
            self.most.add(high, length);
            (self.low, self.high) = (0.0, Some(high));
            if let Some((from, to)) = piece.core {
                let low = self.lowest(piece.lo, piece.hi);
                self.low = low;
                self.least.add(low, to.saturating_sub(from));
                if low > 0.0 {
                    self.credited = self.credited.saturating_add(to.saturating_sub(from));
                }
            }
            self.estimate(piece, from, to);
            return;
        }
        let rate = match (piece.near, self.rule) {
            (Some((lo, hi)), Rule::Death(_)) => {
                self.by_nearest = true;
                Some(self.highest(lo, hi))
            }
            _ => self.ceiling(),
        };
        (self.low, self.high) = (0.0, rate);
        match rate {
            Some(rate) if to != i64::MAX || rate == 0.0 => self.most.add(rate, length),
            _ if length > 0 => self.unbounded = true,
            _ => {}
        }
    }

    fn reading(&mut self, _: &Bounds, _: &Mark) {}

    fn tally(&self) -> Tally {
        Tally::Rate {
            low: self.low,
            high: self.high,
            least: self.least.sum,
            most: self.most.sum,
            unbounded: self.unbounded,
        }
    }
}

impl Answers for SumFold<'_> {
    fn finish(&mut self, judged: bool, _: &Bounds, witness: &mut Witness) -> Answer {
        let least = self.threshold.side(self.least.sum);
        let most = if self.unbounded { Ordering::Greater } else { self.threshold.side(self.most.sum) };
        let (met, not_met) = match self.rule {
            Rule::Death(_) => (least != Ordering::Less, most == Ordering::Less),
            _ => (most != Ordering::Greater, least == Ordering::Greater),
        };
        let verdict = match (judged, met, not_met) {
            (true, true, _) => Verdict::Met,
            (true, _, true) => Verdict::NotMet,
            _ => Verdict::NotShown,
        };
        witness.trapezoid = Some(self.trapezoid);
        witness.credited = Some(self.credited);
        witness.edge_by_nearest = self.by_nearest && verdict == Verdict::NotMet;
        let kind = match self.rule {
            Rule::Above { .. } => Kind::ValueSeconds,
            _ => Kind::Decades,
        };
        let most = if self.unbounded || !judged { End::UnboundedAbove } else { End::Closed(self.most.sum) };
        Answer::new(verdict, Extent { kind, least: End::Closed(self.least.sum), most })
    }
}
