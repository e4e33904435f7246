//! Checks with closed answers on one line: what they show of each lot, and windows of affected product.

use super::lot::Lot;
use crate::rules::Answer;

/// All rows of one instant, or a check that was due and was not made. Times are seconds after the first midnight.
#[derive(Debug, Clone, Copy)]
struct Round {
    at: i64,
    good: bool,
    against: bool,
}

const HOUR: i64 = 3600;

/// The rounds of the whole line, `midnights` apart for each lot.
fn rounds(lots: &[Lot], day: i64) -> Vec<Round> {
    let mut rows: Vec<(i64, &str, &str)> = lots
        .iter()
        .flat_map(|lot| lot.checks.iter().map(move |(at, piece, ring)| (lot.number * day + at, *piece, *ring)))
        .filter(|(_, piece, ring)| !piece.is_empty() || !ring.is_empty())
        .collect();
    rows.sort();
    let mut instants: Vec<i64> = rows.iter().map(|row| row.0).collect();
    instants.dedup();
    let round = |at: i64| {
        let said = |pick: fn(&(i64, &'static str, &'static str)) -> &'static str| -> Vec<&'static str> {
            let all =
                lots.iter().flat_map(|lot| lot.checks.iter().map(move |one| (lot.number * day + one.0, one.1, one.2)));
            all.filter(|one| one.0 == at).map(|one| pick(&one)).filter(|answer| !answer.is_empty()).collect()
        };
        let answers = [said(|one| one.1), said(|one| one.2)];
        // Good: each is there and as asked for. Against: of one parameter every answer is the other declared one.
        let good = answers.iter().all(|said| !said.is_empty() && said.iter().all(|answer| *answer == "found"));
        let against = answers.iter().any(|said| !said.is_empty() && said.iter().all(|answer| *answer == "lost"));
        Round { at, good, against }
    };
    instants.into_iter().map(round).collect()
}

/// Rule 17: due one interval after the check before it, not before the lot began; missed if it has not come by the time
/// at which the next is due.
fn missed(rounds: &[Round], start: i64, end: i64) -> Vec<i64> {
    let mut list = Vec::new();
    let before = rounds.iter().filter(|round| round.at <= start).map(|round| round.at).max();
    let mut after: Vec<i64> = rounds.iter().filter(|round| round.at > start).map(|round| round.at).collect();
    after.reverse();
    let mut due = before.map_or(start, |at| (at + HOUR).max(start));
    while due <= end {
        match after.last() {
            Some(next) if *next <= due + HOUR => due = (after.pop().unwrap() + HOUR).max(start),
            _ => {
                list.push(due);
                due += HOUR;
            }
        }
    }
    list
}

/// Whether a window of affected product shares an instant with the lot: for each check that is not good, from the last
/// good one before the first such since two good ones stood in a row, to the first of the next two good in a row.
fn affected(all: &[Round], start: i64, end: i64) -> bool {
    let pair = |index: usize| index + 1 < all.len() && all[index].good && all[index + 1].good;
    for bad in (0..all.len()).filter(|index| !all[*index].good) {
        let closed = (1..bad).rev().find(|index| pair(index - 1));
        let first = (closed.unwrap_or(0)..=bad).find(|index| !all[*index].good).unwrap();
        let from = if first == 0 { i64::MIN } else { all[first - 1].at };
        let to = (bad..all.len()).find(|index| pair(*index)).map_or(i64::MAX, |index| all[index].at);
        if start <= to && from <= end {
            return true;
        }
    }
    false
}

/// Every lot of the line.
pub fn judge(lots: &[Lot], day: i64) -> Vec<Answer> {
    let made = rounds(lots, day);
    let place = |lot: &Lot| {
        let (start, end) = lot.window(lot.whole())?;
        let far = |(a, b): (i64, i64)| (a + lot.number * day, b + lot.number * day);
        Some((far(start), end.map(far)))
    };
    let mut with_missed = made.clone();
    for lot in lots {
        if let Some((start, Some(end))) = place(lot) {
            with_missed.extend(missed(&made, start.0, end.1).into_iter().map(|at| Round {
                at,
                good: false,
                against: false,
            }));
        }
    }
    with_missed.sort_by_key(|round| round.at);
    let one = |lot: &Lot| {
        let Some((start, Some(end))) = place(lot) else { return Answer::NotShown };
        if made.iter().any(|round| round.against && start.1 <= round.at && round.at <= end.0) {
            return Answer::NotMet;
        }
        let before = made.iter().filter(|round| round.at <= start.0).max_by_key(|round| round.at);
        let after = made.iter().filter(|round| round.at >= end.1).min_by_key(|round| round.at);
        let mut within = made.iter().filter(|round| start.0 < round.at && round.at < end.1);
        let good = before.is_some_and(|round| round.good)
            && after.is_some_and(|round| round.good)
            && within.all(|round| round.good)
            && missed(&made, start.0, end.1).is_empty()
            && !affected(&with_missed, start.0, end.1);
        if good { Answer::Met } else { Answer::NotShown }
    };
    lots.iter().map(one).collect()
}
