//! Time between events of two records, order, the length of a stage, and how often an event is recorded.

use super::lot::{ALLOWANCE, Lot, Served};
use super::shapes::{all, undivided};
use crate::rules::{Answer, answer};
use std::collections::BTreeSet;

/// Least and most of second less first, in seconds. Rule 10: on two records wider by the allowance in each direction.
fn difference(first: Option<i64>, second: Option<i64>, apart: bool) -> Option<(i64, i64)> {
    let by = if apart { ALLOWANCE } else { 0 };
    Some((second? - first? - by, second? - first? + by))
}

/// Between events: not below nought; missing, or surely reversed: not shown.
fn between(found: Option<(i64, i64)>, judge: impl Fn(i64, i64) -> Answer) -> Answer {
    match found {
        Some((least, most)) if most >= 0 => judge(least.max(0), most),
        _ => Answer::NotShown,
    }
}

/// `from soak-end to cook-start` at most so long: the soaking stands on the soak record; of several loads the last start
/// counts, and none while a load has no start.
pub fn soaked_at_most(lot: &Lot, judge: impl Fn(i64, i64) -> Answer) -> Answer {
    let last =
        if lot.runs.iter().any(|run| run.0.is_none()) { None } else { lot.runs.iter().filter_map(|run| run.0).max() };
    between(difference(lot.soak.1, last, true), judge)
}

/// The same at least so long: every load by itself.
pub fn soaked_at_least(lot: &Lot, judge: impl Fn(i64, i64) -> Answer) -> Answer {
    all(lot.runs.iter().map(|run| between(difference(lot.soak.1, run.0, true), &judge)))
}

pub fn soaking_lasts(lot: &Lot, seconds: i64) -> Answer {
    between(difference(lot.soak.0, lot.soak.1, false), |least, most| answer(least >= seconds, most < seconds))
}

/// The stage of a lot that is not divided, on one record.
pub fn cooking_lasts(lot: &Lot, seconds: i64) -> Option<Answer> {
    let run = undivided(lot)?;
    Some(between(difference(run.0, run.1, false), |least, most| answer(most <= seconds, least > seconds)))
}

/// Order: the start of the second less the end of the first is not below nought.
pub fn soaked_first(lot: &Lot) -> Answer {
    match difference(lot.soak.1, lot.whole().0, true) {
        Some((least, most)) => answer(least >= 0, most < 0),
        None => Answer::NotShown,
    }
}

/// Fewest and most reheats: distinct instants, and every time and every cell that may be one. No row of the lot that
/// holds a time: no most. Of several loads each would need such a row, and this register knows none.
pub fn reheats(lot: &Lot) -> (usize, Option<usize>) {
    let times: Vec<i64> =
        lot.served.iter().filter_map(|row| if let Served::At(at) = row.1 { Some(at) } else { None }).collect();
    let unread = lot.served.iter().filter(|row| row.1 == Served::Unreadable).count();
    let asked = !lot.loads && lot.served.iter().any(|row| row.0.is_some() || matches!(row.1, Served::At(_)));
    let fewest = times.iter().collect::<BTreeSet<_>>().len();
    (fewest, asked.then_some(times.len() + unread))
}
