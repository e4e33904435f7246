//! Limits on events alone: duration, time between, order. No readings are needed.

use super::outcome::{Capped, End, Extent, Kind, Outcome, Reason, Witness};
use super::row::{Bounds, Window};
use crate::verdict::Verdict;

/// An event as one record gives it: earliest and latest instant, nanoseconds UTC. The two differ by
/// the declared resolution of the record's times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// Earliest instant.
    pub first: i64,
    /// Latest instant.
    pub last: i64,
    /// Which record it stands on; two events on one record share its clock.
    pub record: usize,
}

fn outcome(verdict: Verdict, reason: Reason, least: End, most: End) -> Outcome {
    Outcome {
        verdict,
        reason: (verdict == Verdict::NotShown).then_some(reason),
        extent: Extent { kind: Kind::Nanoseconds, least, most },
        lower: None,
        witness: Witness::default(),
        breaks: Capped::default(),
    }
}

fn nothing() -> Outcome {
    outcome(Verdict::NotShown, Reason::NothingToJudge, End::UnboundedBelow, End::UnboundedAbove)
}

fn within(least: i64, most: i64, at_least: Option<i64>, at_most: Option<i64>) -> Verdict {
    let low = at_least.map(|bound| (least >= bound, most < bound && most != i64::MAX));
    let high = at_most.map(|bound| (most <= bound && most != i64::MAX, least > bound));
    Verdict::all(low.into_iter().chain(high).map(|(met, not_met)| match (met, not_met) {
        (true, _) => Verdict::Met,
        (_, true) => Verdict::NotMet,
        _ => Verdict::NotShown,
    }))
}

/// How long a window lasts, at least or at most (nanoseconds).
///
/// A window with no recorded end shows no duration; one that surely ends before it starts
/// contradicts itself.
#[must_use]
pub fn duration(window: Window, at_least: Option<i64>, at_most: Option<i64>) -> Outcome {
    let Bounds { s1, s2, e1, e2, sound } = Bounds::new(window);
    if !sound {
        return outcome(Verdict::NotShown, Reason::Contradiction, End::Nothing, End::Nothing);
    }
    let least = e1.saturating_sub(s2).max(0);
    let most = if e2 == i64::MAX { i64::MAX } else { e2.saturating_sub(s1) };
    let reason = if e2 == i64::MAX { Reason::NoEnd } else { Reason::Undecided };
    outcome(within(least, most, at_least, at_most), reason, End::time(least), End::time(most))
}

/// The difference `second − first`, widened by the clock allowance if two records are involved.
fn difference(first: Moment, second: Moment, allowance: i64) -> (i64, i64) {
    let allowance = if first.record == second.record { 0 } else { allowance };
    (
        second.first.saturating_sub(first.last).saturating_sub(allowance),
        second.last.saturating_sub(first.first).saturating_add(allowance),
    )
}

/// Time from one event to a later one, at least or at most (nanoseconds).
///
/// A missing event, and a second that surely comes before the first, show nothing.
#[must_use]
pub fn between(
    first: Option<Moment>,
    second: Option<Moment>,
    allowance: i64,
    at_least: Option<i64>,
    at_most: Option<i64>,
) -> Outcome {
    let (Some(first), Some(second)) = (first, second) else {
        return nothing();
    };
    let (least, most) = difference(first, second, allowance);
    if most < 0 {
        return outcome(Verdict::NotShown, Reason::Contradiction, End::Nothing, End::Nothing);
    }
    let least = least.max(0);
    outcome(within(least, most, at_least, at_most), Reason::Undecided, End::time(least), End::time(most))
}

/// Whether the first thing ends no later than the second starts. Equal stamps on one record keep the order.
#[must_use]
pub fn in_order(end_of_first: Option<Moment>, start_of_second: Option<Moment>, allowance: i64) -> Outcome {
    let (Some(first), Some(second)) = (end_of_first, start_of_second) else {
        return nothing();
    };
    let (least, most) = difference(first, second, allowance);
    let verdict = if least >= 0 {
        Verdict::Met
    } else if most < 0 {
        Verdict::NotMet
    } else {
        Verdict::NotShown
    };
    outcome(verdict, Reason::Undecided, End::time(least), End::time(most))
}
