//! Dense histories that a record allows.
//!
//! A history gives a value to every instant of the tick grid and to every open interval between two:
//! element `2t` is the instant `t`, element `2t + 1` the time between `t` and `t + 1`. It jumps as it
//! likes inside what the record allows, which is more than any smooth signal does.

use crate::random::Random;
use crate::record::{HIGH, LAST, LOW, Record};

pub struct History {
    pub values: Vec<i64>,
    pub start: i64,
    pub end: i64,
}

/// What the record allows at each element, accuracy counted in.
///
/// With `keep_edges` a short uncovered edge is taken to be like its nearest reading; without, it may be anything.
pub fn allowed(record: &Record, keep_edges: bool) -> Vec<(i64, i64)> {
    let anything = (LOW - 6, HIGH + 6);
    let mut hull = vec![anything; 2 * LAST as usize + 1];
    let readings = record.readings();
    let a = record.accuracy;
    for pair in readings.windows(2) {
        let (x, y) = (pair[0], pair[1]);
        if !record.breaks_in(x.at, y.at) && y.at - x.at <= record.credit_gap {
            for slot in &mut hull[2 * x.at as usize + 1..2 * y.at as usize] {
                *slot = (x.lo.min(y.lo) - a, x.hi.max(y.hi) + a);
            }
        }
    }
    if keep_edges {
        edges(record, &mut hull);
    }
    for reading in readings {
        if !reading.void {
            hull[2 * reading.at as usize] = (reading.lo - a, reading.hi + a);
        }
    }
    hull
}

fn edges(record: &Record, hull: &mut [(i64, i64)]) {
    let readings = record.readings();
    let a = record.accuracy;
    let e2 = record.end.map_or(i64::MAX, |(_, e2)| e2);
    let s1 = record.start.0;
    let joined = |x: i64, y: i64| !record.breaks_in(x, y) && y - x <= record.credit_gap;
    let last_before = readings.iter().rev().find(|r| r.at < s1);
    if let Some(next) = readings.iter().find(|r| r.at >= s1 && r.at <= e2)
        && next.at - s1 <= record.edge_allowance
        && !record.breaks_in(s1, next.at)
        && last_before.is_none_or(|b| !joined(b.at, next.at))
    {
        let nearer = last_before.filter(|b| !b.void && s1 - b.at < next.at - s1);
        let (lo, hi) = nearer.map_or((next.lo, next.hi), |b| (next.lo.min(b.lo), next.hi.max(b.hi)));
        for slot in &mut hull[2 * s1 as usize..2 * next.at as usize] {
            *slot = (lo - a, hi + a);
        }
    }
    let first_after = readings.iter().find(|r| r.at > e2);
    if let Some(last) = readings.iter().rev().find(|r| r.at <= e2 && r.at >= s1)
        && record.end.is_some()
        && e2 - last.at <= record.edge_allowance
        && !record.breaks_in(last.at, e2)
        && first_after.is_none_or(|b| !joined(last.at, b.at))
    {
        let nearer = first_after.filter(|b| !b.void && b.at - e2 < e2 - last.at);
        let (lo, hi) = nearer.map_or((last.lo, last.hi), |b| (last.lo.min(b.lo), last.hi.max(b.hi)));
        for slot in &mut hull[2 * last.at as usize + 1..=2 * e2 as usize] {
            *slot = (lo - a, hi + a);
        }
    }
}

impl History {
    /// One history of those allowed; `None` if the window drawn would end before it starts.
    pub fn random(r: &mut Random, record: &Record, hull: &[(i64, i64)]) -> Option<Self> {
        let mood = r.within(0, 4);
        let stay = r.within(1, 8) as u64;
        let mut side = r.within(0, 2);
        let values = hull
            .iter()
            .map(|(lo, hi)| {
                if r.one_in(stay) {
                    side = r.within(0, 2);
                }
                match (mood, side) {
                    (0, _) | (2.., 0) => *lo,
                    (1, _) | (2.., 1) => *hi,
                    _ => r.within(*lo, *hi),
                }
            })
            .collect();
        let start = r.within(record.start.0, record.start.1);
        let end = match record.end {
            Some((e1, e2)) => r.within(e1, e2),
            None => r.within(start, LAST),
        };
        (start <= end).then_some(Self { values, start, end })
    }

    /// The elements of the window.
    pub fn window(&self) -> &[i64] {
        &self.values[2 * self.start as usize..=2 * self.end as usize]
    }
}
