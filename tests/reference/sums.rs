//! Sums of a rate over time: reduction, growth, height above a base. Rates are exact, per second.

use crate::exact::{End, Interval, Q, q};
use crate::timeline::{Piece, Timeline, Window};

/// A rate for each step of value; below and above the table as at its ends. Invented for the test.
#[derive(Debug, Clone)]
pub struct Table {
    pub rates: Vec<Q>,
    /// Steps of value in one unit.
    pub steps: i64,
}

impl Table {
    /// The rates of all steps from one value to another.
    fn over(&self, lo: Q, hi: Q) -> &[Q] {
        let place = |value: Q| (value * q(self.steps)).to_integer().clamp(0, self.rates.len() as i128 - 1) as usize;
        &self.rates[place(lo)..=place(hi)]
    }

    pub fn lowest(&self, lo: Q, hi: Q) -> Q {
        *self.over(lo, hi).iter().min().unwrap()
    }

    pub fn highest(&self, lo: Q, hi: Q) -> Q {
        *self.over(lo, hi).iter().max().unwrap()
    }

    pub fn largest(&self) -> Q {
        *self.rates.iter().max().unwrap()
    }
}

fn sum(line: &Timeline, window: Window, rate: &dyn Fn(&Piece) -> Option<Q>) -> End {
    let mut sum = q(0);
    for piece in &line.pieces {
        let Some(part) = window.part(piece) else { continue };
        match rate(piece) {
            // A rate of nought adds nothing however long it lasts.
            Some(rate) if rate == q(0) => {}
            Some(_) if part.to == i64::MAX => return End::Above,
            Some(rate) => sum += rate * part.length() / q(1_000_000_000),
            None if part.from == part.to => {}
            None => return End::Above,
        }
    }
    End::Number(sum)
}

/// Table, reduction: the rate at lo, in gaps nothing; the rate at hi, in gaps the rate at the top of
/// the stated range, without bound if none is stated. Rule 4: a short edge counts towards most as its
/// nearest reading says.
pub fn reduction(line: &Timeline, table: &Table, top_stated: bool) -> Interval {
    let least = sum(line, line.surest, &|piece| Some(piece.hull.map_or(q(0), |(lo, _)| table.lowest(lo, lo))));
    let most = sum(line, line.widest, &|piece| match piece.hull.or(piece.nearest) {
        Some((_, hi)) => Some(table.highest(hi, hi)),
        None => top_stated.then(|| table.largest()),
    });
    Interval::new(least, most)
}

/// Table, growth: the lowest rate on the hull, in gaps nothing; the highest rate anywhere on the
/// hull, in gaps the rate at the optimum. Rule 4: at-most limits are charged with an edge in full.
pub fn growth(line: &Timeline, table: &Table) -> Interval {
    let least = sum(line, line.surest, &|piece| Some(piece.hull.map_or(q(0), |(lo, hi)| table.lowest(lo, hi))));
    let most =
        sum(line, line.widest, &|piece| Some(piece.hull.map_or(table.largest(), |(lo, hi)| table.highest(lo, hi))));
    Interval::new(least, most)
}

/// Form "accumulated above a base" (docs/limits.md): lower ends for least, upper ends for most, gaps
/// without bound unless a top is given.
pub fn above(line: &Timeline, base: Q, top: Option<Q>) -> Interval {
    let height = |value: Q| (value - base).max(q(0));
    let least = sum(line, line.surest, &|piece| Some(piece.hull.map_or(q(0), |(lo, _)| height(lo))));
    let most = sum(line, line.widest, &|piece| match piece.hull {
        Some((_, hi)) => Some(height(hi)),
        None => top.map(height),
    });
    Interval::new(least, most)
}
