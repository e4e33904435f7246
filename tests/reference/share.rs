//! Table, share of a stage: time in the condition less the share of the duration.

use crate::exact::{End, Interval, Q, q};
use crate::rules::Condition;
use crate::timeline::{Piece, Timeline, Window};

fn time(line: &Timeline, window: Window, passes: &dyn Fn(&Piece) -> bool) -> Q {
    let parts = line.pieces.iter().filter(|piece| passes(piece)).filter_map(|piece| window.part(piece));
    parts.fold(q(0), |sum, part| sum + part.length())
}

/// The instants between two ends at which the quantity can turn.
fn candidates(line: &Timeline, (first, last): (i64, i64)) -> Vec<i64> {
    let inside = line.readings.iter().map(|reading| reading.at).filter(|at| first < *at && *at < last);
    [first, last].into_iter().chain(inside).collect()
}

/// Every start and every end that the quantity can turn at is tried; nothing is divided. As the table has
/// it (the rise of a running sum G), an end before a start counts backwards where the two intervals
/// overlap: the interval is wider than it need be, and never too narrow. Only for windows with a
/// recorded end.
///
/// A share that is allowed, and not asked for, is charged with a short edge in full.
pub fn share(line: &Timeline, condition: &Condition, share: Q, allowed: bool) -> Interval {
    let certain = |piece: &Piece| condition.certain(piece.hull);
    // Rule 4: a short edge counts towards most as its nearest reading says.
    let nearest = |piece: &Piece| if allowed { None } else { piece.nearest };
    let possible = |piece: &Piece| condition.possible(piece.hull.or(nearest(piece)));
    let mut least = End::Above;
    let mut most = End::Below;
    // No window starts after the latest end or ends before the earliest start.
    let starts = (line.widest.from, line.surest.from.min(line.widest.to));
    let ends = (line.surest.to.max(line.widest.from), line.widest.to);
    for from in candidates(line, starts) {
        for to in candidates(line, ends) {
            let window = Window { from: from.min(to), to: from.max(to) };
            let sign = if from <= to { q(1) } else { q(-1) };
            let asked = share * window.length();
            least = least.min(End::Number(sign * (time(line, window, &certain) - asked)));
            most = most.max(End::Number(sign * (time(line, window, &possible) - asked)));
        }
    }
    Interval::new(least, most)
}
