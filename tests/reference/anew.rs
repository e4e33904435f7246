//! A total time that another limit resets: from one cut of time to the next, back to nought at each reset.

use crate::exact::{End, Interval, Q, q};
use crate::rules::Condition;
use crate::timeline::{Hull, Timeline, Window};

/// The instants, as closed spans, at which a chain of passing elements has lasted for `held`.
fn resets(line: &Timeline, window: Window, held: i64, passes: &dyn Fn(Hull) -> bool) -> Vec<(i64, i64)> {
    // Every element of the window in order: a reading is as long as nought.
    let mut elements: Vec<(i64, i64, bool)> = Vec::new();
    for piece in &line.pieces {
        if let Some(part) = window.part(piece) {
            elements.push((part.from, part.to, passes(piece.hull)));
        }
    }
    for reading in line.readings.iter().filter(|reading| window.holds(reading.at)) {
        elements.push((reading.at, reading.at, passes(reading.hull)));
    }
    elements.sort();
    let mut found = Vec::new();
    for chain in elements.split(|(_, _, inside)| !inside) {
        if let (Some((from, ..)), Some((_, to, _))) = (chain.first(), chain.last())
            && to - from >= held
        {
            found.push((from + held, *to));
        }
    }
    found
}

/// The largest running sum of passing pieces: time goes from cut to cut, and each reset sets it to nought.
fn largest(line: &Timeline, window: Window, resets: &[(i64, i64)], passes: &dyn Fn(Hull) -> bool) -> Q {
    let ends = line.pieces.iter().flat_map(|piece| [piece.from, piece.to]);
    let mut cuts: Vec<i64> = ends.chain(resets.iter().flat_map(|(from, to)| [*from, *to])).collect();
    cuts.extend([window.from, window.to]);
    cuts.retain(|at| window.holds(*at));
    cuts.sort();
    cuts.dedup();
    let (mut sum, mut most) = (q(0), q(0));
    for pair in cuts.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let reset = |at: i64| resets.iter().any(|(a, b)| *a <= at && at <= *b);
        if reset(from) {
            sum = q(0);
        }
        let all = resets.iter().any(|(a, b)| *a <= from && to <= *b);
        let piece = line.pieces.iter().find(|piece| piece.from <= from && to <= piece.to);
        if !all && piece.is_some_and(|piece| passes(piece.hull)) {
            sum += q(to) - q(from);
        }
        most = most.max(sum);
    }
    most
}

/// Least: possible resets cut certain time. Most: certain resets cut possible time.
pub fn anew(line: &Timeline, counted: &Condition, reset: &Condition, held: i64) -> Interval {
    let surely = resets(line, line.surest, held, &|hull| reset.certain(hull));
    let perhaps = resets(line, line.widest, held, &|hull| reset.possible(hull));
    let least = largest(line, line.surest, &perhaps, &|hull| counted.certain(hull));
    let most = if line.endless {
        End::Above
    } else {
        End::Number(largest(line, line.widest, &surely, &|hull| counted.possible(hull)))
    };
    Interval::new(End::Number(least), most)
}
