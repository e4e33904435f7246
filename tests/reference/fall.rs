//! Table, falls at least x in every w: the smallest f(t) − f(t + w) from the first to the last reading.

use crate::exact::{End, Interval};
use crate::timeline::{Hull, Timeline, Window};

/// What the value can be at an instant. Instants are counted in half nanoseconds, so that there is
/// always one between two readings.
fn at(line: &Timeline, half: i128) -> Hull {
    if let Some(reading) = line.readings.iter().find(|reading| 2 * i128::from(reading.at) == half) {
        return reading.hull;
    }
    let inside = |from: i64, to: i64| 2 * i128::from(from) < half && half < 2 * i128::from(to);
    line.pieces.iter().find(|piece| inside(piece.from, piece.to)).and_then(|piece| piece.hull)
}

/// All instants at which one of the two hulls changes, and one instant between each two.
fn instants(line: &Timeline, window: Window, every: i64) -> Vec<i128> {
    let inside = || line.readings.iter().filter(|r| window.holds(r.at) && r.hull.is_some()).map(|r| r.at);
    let (Some(first), Some(last)) = (inside().min(), inside().max()) else { return Vec::new() };
    let mut turns: Vec<i128> = line
        .readings
        .iter()
        .flat_map(|reading| [reading.at, reading.at - every])
        .chain([first, last - every])
        .filter(|t| first <= *t && *t <= last - every)
        .map(|t| 2 * i128::from(t))
        .collect();
    turns.sort();
    turns.dedup();
    let between: Vec<i128> = turns.windows(2).map(|pair| (pair[0] + pair[1]) / 2).collect();
    turns.extend(between);
    turns
}

/// Whether a longer stretch of an end of the window is uncovered (a short one is left out).
fn long_edge(line: &Timeline) -> bool {
    line.endless
        || line.pieces.iter().any(|piece| {
            let on_an_end = |end: i64| piece.from < end && end < piece.to;
            (on_an_end(line.widest.from) || on_an_end(line.widest.to))
                && piece.hull.is_none()
                && piece.nearest.is_none()
        })
        || line.readings.iter().any(|r| (r.at == line.widest.from || r.at == line.widest.to) && r.hull.is_none())
}

/// A rise is f(t + w) − f(t).
pub fn fall(line: &Timeline, every: i64, rises: bool) -> Option<Interval> {
    let span = 2 * i128::from(every);
    let wide = instants(line, line.widest, every);
    let sure = if line.surest.from <= line.surest.to { instants(line, line.surest, every) } else { Vec::new() };
    // Nothing is met because there was nothing to judge: a span must fit in every window.
    if sure.is_empty() {
        return None;
    }
    let smallest = wide.into_iter().map(|t| match (at(line, t), at(line, t + span)) {
        (Some((_, hi)), Some((lo, _))) if rises => End::Number(lo - hi),
        (Some((lo, _)), Some((_, hi))) => End::Number(lo - hi),
        _ => End::Below,
    });
    let least = if long_edge(line) { End::Below } else { smallest.min().unwrap() };
    let largest = sure.into_iter().map(|t| match (at(line, t), at(line, t + span)) {
        (Some((lo, _)), Some((_, hi))) if rises => End::Number(hi - lo),
        (Some((_, hi)), Some((lo, _))) => End::Number(hi - lo),
        _ => End::Above,
    });
    Some(Interval::new(least, largest.min().unwrap_or(End::Above)))
}
