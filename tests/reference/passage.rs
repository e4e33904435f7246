//! A passage between two lines (rule 13), and the time until a line is reached.

use crate::exact::{End, Interval, Q};
use crate::rules::Condition;
use crate::timeline::{Hull, Piece, Reading, Timeline};

fn apart(from: i64, to: i64) -> Q {
    Q::from_integer(i128::from(to) - i128::from(from))
}

fn not_below_nought(length: Q) -> End {
    End::Number(length.max(Q::from_integer(0)))
}

/// `b − a`: from the first instant that has left `before` to the first instant in `arrived` after it.
pub fn passage(line: &Timeline, before: &Condition, arrived: &Condition) -> Interval {
    let (s1, s2) = (line.widest.from, line.surest.from);
    let shown: Vec<&Reading> = line.readings.iter().filter(|reading| reading.hull.is_some()).collect();
    // Rule 13: the last reading at or before the start that is certainly on the starting side.
    let hot = shown.iter().rev().find(|reading| reading.at <= s1 && before.certain(reading.hull));
    // Rule 13: without any reading before the stage, its first must be on the starting side.
    let first_is_hot = shown.first().is_some_and(|first| first.at >= s1 && before.certain(first.hull));
    let start_is_shown = hot.is_some() || first_is_hot;
    // The clock runs from that last reading; without one no earlier than the stage begins.
    let clock = hot.map_or(s1, |reading| reading.at);
    let stage = |piece: &Piece| match hot {
        Some(_) => piece.from >= clock,
        None => line.widest.part(piece).is_some(),
    };
    let later = |reading: &Reading| match hot {
        Some(_) => reading.at > clock,
        None => line.widest.holds(reading.at),
    };
    // First possible a: where the value need not be on the starting side any more.
    let a_first = line
        .pieces
        .iter()
        .filter(|piece| stage(piece) && !before.certain(piece.hull))
        .map(|piece| piece.from.max(clock))
        .chain(shown.iter().filter(|r| later(r) && !before.certain(r.hull)).map(|r| r.at))
        .min();
    // First reading certainly left. One before the stage has begun counts only if the start is shown, and
    // (docs/limits.md) only if the value cannot have been back on the starting side before the stage began.
    // No window starts after its end.
    let latest_start = s2.min(line.widest.to);
    let never_back = |from: i64| {
        line.pieces.iter().filter(|p| p.from >= from && p.from < latest_start).all(|p| !before.possible(p.hull))
    };
    let a_last = shown
        .iter()
        .filter(|r| r.at > clock || hot.is_none())
        .filter(|r| r.at >= s2 || start_is_shown)
        .filter(|r| r.at <= line.widest.to)
        .find(|r| !before.possible(r.hull) && never_back(r.at))
        .map(|r| r.at);
    // First possible b. In the starting edge (docs/limits.md) only if its nearest reading allows it,
    // unless the clock runs from a reading before the stage.
    let hull_for_arrival = |piece: &Piece| -> Hull {
        if piece.at_start && hot.is_none() { piece.hull.or(piece.nearest) } else { piece.hull }
    };
    let b_first = a_first.and_then(|a| {
        line.pieces
            .iter()
            .filter(|piece| stage(piece) && arrived.possible(hull_for_arrival(piece)))
            .map(|piece| piece.from.max(clock))
            .chain(shown.iter().filter(|r| later(r) && arrived.possible(r.hull)).map(|r| r.at))
            .filter(|at| *at >= a && *at <= line.widest.to)
            .min()
    });
    // First reading certainly arrived, in every window that the record allows.
    let b_last = shown.iter().find(|r| line.surest.holds(r.at) && arrived.certain(r.hull)).map(|r| r.at);
    let least = match (a_last, b_first) {
        (None, _) => End::Number(Q::from_integer(0)),
        (Some(a), Some(b)) => not_below_nought(apart(a, b)),
        // No b is possible inside the stage: it is not before its end.
        (Some(_), None) if line.endless => End::Above,
        (Some(a), None) => not_below_nought(apart(a, line.widest.to)),
    };
    let most = match (start_is_shown, a_first, b_last) {
        (true, Some(a), Some(b)) => End::Number(apart(a, b)),
        _ => End::Above,
    };
    Interval::new(least, most)
}

/// From the start of the window to the first instant in the condition.
pub fn reached(line: &Timeline, condition: &Condition) -> Interval {
    let (s1, s2) = (line.widest.from, line.surest.from);
    let first = line
        .pieces
        .iter()
        .filter(|piece| {
            let hull = if piece.at_start { piece.hull.or(piece.nearest) } else { piece.hull };
            condition.possible(hull)
        })
        .filter_map(|piece| line.widest.part(piece).map(|part| part.from))
        .chain(
            line.readings
                .iter()
                .filter(|r| line.widest.holds(r.at) && r.hull.is_some() && condition.possible(r.hull))
                .map(|r| r.at),
        )
        .min();
    let least = match first {
        Some(first) => not_below_nought(apart(s2, first)),
        None if line.endless => End::Above,
        None => not_below_nought(apart(s2, line.widest.to)),
    };
    // Every stay that is certainly in the condition, cut at the surest end.
    let stays: Vec<(i64, i64)> = line
        .pieces
        .iter()
        .filter(|piece| condition.certain(piece.hull))
        .map(|piece| (piece.from, piece.to))
        .chain(line.readings.iter().filter(|r| condition.certain(r.hull)).map(|r| (r.at, r.at)))
        .map(|(from, to)| (from, to.min(line.surest.to)))
        .filter(|(from, to)| from <= to)
        .collect();
    // The wait from one start to the next instant of a stay that passes the test.
    let wait = |start: i64, passes: &dyn Fn(i64) -> bool| {
        let next = stays.iter().filter(|(_, to)| passes(*to)).map(|(from, _)| (*from).max(start)).min();
        next.map(|at| at - start)
    };
    // The wait shrinks as the start moves on, until a stay has passed: the longest is at the earliest
    // start or just after the end of a stay, for which only a stay that ends later counts.
    let mut longest = wait(s1, &|to| to >= s1);
    for (_, end) in &stays {
        if s1 <= *end && *end < s2 {
            longest = longest.and_then(|longest| wait(*end, &|to| to > *end).map(|next| longest.max(next)));
        }
    }
    let most = longest.map_or(End::Above, |wait| End::Number(Q::from_integer(wait.into())));
    Interval::new(least, most)
}
