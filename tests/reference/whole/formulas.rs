//! Formulas and two parameters side by side: every reading of the first with the nearest of the others, the corners of
//! what they allow, in exact fractions.

use super::lot::{Lot, SECOND};
use crate::exact::{Q, q};
use crate::record::Entry;

/// Values of the computed traces have divisors of at most this: the least common multiple of 1 to 24.
pub const STEPS: i64 = 5_354_228_880;

/// What one instant of a trace allows: nothing where it is broken.
pub type At = (i64, Option<(Q, Q)>);

/// A trace of the lot, one element an instant.
pub fn recorded(lot: &Lot, name: &str) -> Vec<At> {
    let rows = lot.rows(name);
    let mut instants: Vec<i64> = rows.iter().map(|row| row.at).collect();
    instants.dedup();
    let at = |at: &i64| {
        let here: Vec<Option<(i64, i64)>> = rows.iter().filter(|row| row.at == *at).map(|row| row.value).collect();
        let values: Option<Vec<i64>> = here.into_iter().map(|value| value.map(|(value, _)| value)).collect();
        (*at, values.map(|values| (q(*values.iter().min().unwrap()), q(*values.iter().max().unwrap()))))
    };
    instants.iter().map(at).collect()
}

/// Any of three operations on what two values allow; nothing by a divisor that may be nought.
pub fn corners(sign: char, a: (Q, Q), b: (Q, Q)) -> Option<(Q, Q)> {
    if sign == '/' && b.0 <= q(0) && q(0) <= b.1 {
        return None;
    }
    let one = |x: Q, y: Q| match sign {
        '+' => x + y,
        '-' => x - y,
        _ => x / y,
    };
    let list = [one(a.0, b.0), one(a.0, b.1), one(a.1, b.0), one(a.1, b.1)];
    Some((*list.iter().min().unwrap(), *list.iter().max().unwrap()))
}

/// Each reading of the first with the nearest of the second, the earlier of two that are as near. Where either is
/// broken so is the pair, and a broken row of the second breaks the trace where it stands.
pub fn paired(first: &[At], second: &[At], within: i64, value: impl Fn((Q, Q), (Q, Q)) -> Option<(Q, Q)>) -> Vec<At> {
    let mut list: Vec<At> = Vec::new();
    for (at, one) in first {
        let near = second.iter().min_by_key(|(other, _)| ((other - at).abs(), *other));
        let near = near.filter(|(other, _)| (other - at).abs() <= within * SECOND);
        match (one, near) {
            (None, _) => list.push((*at, None)),
            (Some(_), None) => {}
            (Some(one), Some((_, other))) => list.push((*at, other.and_then(|other| value(*one, other)))),
        }
    }
    list.extend(second.iter().filter(|(_, value)| value.is_none()).copied());
    list.sort_by_key(|(at, _)| *at);
    list
}

/// As rows of the evaluator, in steps of `1 / STEPS`.
pub fn rows(trace: &[At]) -> Vec<Entry> {
    let steps = |x: Q| {
        let steps = x * q(STEPS);
        assert!(steps.is_integer(), "{x}");
        i64::try_from(steps.to_integer()).unwrap()
    };
    trace.iter().map(|(at, value)| Entry { at: *at, value: value.map(|(lo, hi)| (steps(lo), steps(hi))) }).collect()
}

/// `air - mark`.
pub fn gap(lot: &Lot) -> Vec<At> {
    paired(&recorded(lot, "air"), &recorded(lot, "mark"), 30, |a, b| corners('-', a, b))
}

/// `salt / (salt + water)` in per cent.
pub fn share(lot: &Lot) -> Vec<At> {
    let percent = |(lo, hi): (Q, Q)| (lo * q(100), hi * q(100));
    paired(&recorded(lot, "salt"), &recorded(lot, "water"), 60, |a, b| {
        corners('/', a, corners('+', a, b)?).map(percent)
    })
}

/// `salt / water`, a plain ratio.
pub fn ratio(lot: &Lot) -> Vec<At> {
    paired(&recorded(lot, "salt"), &recorded(lot, "water"), 30, |a, b| corners('/', a, b))
}

/// `(gap + air) - (mark - gap)`: a formula of a computed parameter. The lead is the gap, with the air and the mark
/// nearest to it.
pub fn twist(lot: &Lot) -> Vec<At> {
    let (gap, air, mark) = (gap(lot), recorded(lot, "air"), recorded(lot, "mark"));
    let mut list: Vec<At> = Vec::new();
    for (at, one) in &gap {
        let near = |trace: &[At]| {
            let near = trace.iter().min_by_key(|(other, _)| ((other - at).abs(), *other)).copied();
            near.filter(|(other, _)| (other - at).abs() <= 30 * SECOND)
        };
        let Some(one) = one else {
            list.push((*at, None));
            continue;
        };
        let (Some((_, a)), Some((_, m))) = (near(&air), near(&mark)) else { continue };
        let value = a.zip(m).and_then(|(a, m)| corners('-', corners('+', *one, a)?, corners('-', m, *one)?));
        list.push((*at, value));
    }
    list.extend(air.iter().chain(&mark).filter(|(_, value)| value.is_none()).copied());
    list.sort_by_key(|(at, _)| *at);
    list
}
