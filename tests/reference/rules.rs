//! Rule 5, the bound, and from an interval to a verdict.

use crate::exact::{End, Interval, Q};
use crate::timeline::{Hull, Timeline, Window};

/// A half line or a band; each end with whether it is strict.
#[derive(Debug, Clone, Copy)]
pub struct Condition {
    pub lower: Option<(Q, bool)>,
    pub upper: Option<(Q, bool)>,
}

impl Condition {
    fn above_lower(&self, value: Q) -> bool {
        self.lower.is_none_or(|(at, strict)| value > at || (value == at && !strict))
    }

    fn below_upper(&self, value: Q) -> bool {
        self.upper.is_none_or(|(at, strict)| value < at || (value == at && !strict))
    }

    /// Rule 5: the hull lies inside. "Anything" lies inside nothing.
    pub fn certain(&self, hull: Hull) -> bool {
        hull.is_some_and(|(lo, hi)| self.above_lower(lo) && self.below_upper(hi))
    }

    /// Rule 5: the hull touches the condition. "Anything" touches everything.
    pub fn possible(&self, hull: Hull) -> bool {
        hull.is_none_or(|(lo, hi)| self.above_lower(hi) && self.below_upper(lo))
    }
}

/// In order, as rule 12 has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    NotMet,
    NotShown,
    Met,
}

/// "Met: every number from least to most satisfies the limit. Not met: none does."
pub fn answer(met: bool, not_met: bool) -> Answer {
    match (met, not_met) {
        (true, _) => Answer::Met,
        (_, true) => Answer::NotMet,
        _ => Answer::NotShown,
    }
}

pub fn at_least(interval: Interval, threshold: Q) -> Answer {
    answer(interval.least >= End::Number(threshold), interval.most < End::Number(threshold))
}

pub fn at_most(interval: Interval, threshold: Q) -> Answer {
    answer(interval.most <= End::Number(threshold), interval.least > End::Number(threshold))
}

pub fn more_than(interval: Interval, threshold: Q) -> Answer {
    answer(interval.least > End::Number(threshold), interval.most <= End::Number(threshold))
}

pub fn less_than(interval: Interval, threshold: Q) -> Answer {
    answer(interval.most < End::Number(threshold), interval.least >= End::Number(threshold))
}

/// Hulls of all readings and pieces in a window.
///
/// `near`: rule 4, a short edge like its nearest reading. It keeps a limit and never breaks one: a
/// reading that only may lie in the window denies nothing.
fn hulls(line: &Timeline, window: Window, near: bool) -> Vec<Hull> {
    let readings = line.readings.iter().filter(|reading| window.holds(reading.at)).map(|reading| reading.hull);
    let pieces = line.pieces.iter().filter(|piece| window.part(piece).is_some());
    readings.chain(pieces.map(|piece| if near { piece.hull.or(piece.nearest) } else { piece.hull })).collect()
}

/// Table, bound: the highest value. Least is the highest of all lo, most the highest of all hi.
pub fn highest(line: &Timeline) -> Interval {
    let sure = hulls(line, line.surest, false).into_iter().flatten().map(|(lo, _)| End::Number(lo)).max();
    let wide =
        hulls(line, line.widest, true).into_iter().map(|hull| hull.map_or(End::Above, |(_, hi)| End::Number(hi)));
    Interval::new(sure.unwrap_or(End::Below), wide.max().unwrap_or(End::Above))
}

/// The mirror image: the lowest value.
pub fn lowest(line: &Timeline) -> Interval {
    let sure = hulls(line, line.surest, false).into_iter().flatten().map(|(_, hi)| End::Number(hi)).min();
    let wide =
        hulls(line, line.widest, true).into_iter().map(|hull| hull.map_or(End::Below, |(lo, _)| End::Number(lo)));
    Interval::new(wide.min().unwrap_or(End::Below), sure.unwrap_or(End::Above))
}

/// Table, bound and range: two bounds, *and*. Rule 13: a bound binds every instant of its window.
pub fn bound(line: &Timeline, condition: &Condition) -> Answer {
    let mut parts = Vec::new();
    if let Some((x, strict)) = condition.upper {
        let Interval { least, most } = highest(line);
        let x = End::Number(x);
        parts.push(if strict { answer(most < x, least >= x) } else { answer(most <= x, least > x) });
    }
    if let Some((x, strict)) = condition.lower {
        let Interval { least, most } = lowest(line);
        let x = End::Number(x);
        parts.push(if strict { answer(least > x, most <= x) } else { answer(least >= x, most < x) });
    }
    answer(parts.iter().all(|part| *part == Answer::Met), parts.contains(&Answer::NotMet))
}
