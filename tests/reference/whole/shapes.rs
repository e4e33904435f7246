//! What stands around a condition: excursions, probes, facts, rows, options, loads, days and shifts.

use super::lot::{ALLOWANCE, EVERY, FIRST, Lot, Run, record};
use crate::exact::{Q, q};
use crate::limit::{Asked, Limit};
use crate::record::Entry;
use crate::rules::{Answer, Condition};
use crate::timeline::Timeline;
use chrono::{Datelike, NaiveDate, TimeDelta};

/// What a limit comes to for a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Found {
    Answer(Answer),
    /// A guard takes it away.
    NotCounted,
    /// The rules say nothing that this evaluator could hold against the engine.
    Skipped,
}

pub use super::lot::Window;

/// Rule 12: the smallest of not met, not shown, met.
pub fn all(answers: impl IntoIterator<Item = Answer>) -> Answer {
    answers.into_iter().min().unwrap_or(Answer::NotShown)
}

/// Rule 12: the largest.
pub fn any(answers: impl IntoIterator<Item = Answer>) -> Answer {
    answers.into_iter().max().unwrap_or(Answer::NotShown)
}

/// Rule 12: what all agree on.
fn common(answers: &[Answer]) -> Answer {
    match answers {
        [first, rest @ ..] if rest.iter().all(|one| one == first) => *first,
        _ => Answer::NotShown,
    }
}

pub fn at_least(value: i64) -> Condition {
    Condition { lower: Some((q(value), false)), upper: None }
}

pub fn at_most(value: i64) -> Condition {
    Condition { lower: None, upper: Some((q(value), false)) }
}

/// Rule 2: 2.5 intervals, or the held time where that is shorter.
pub const GAP: i64 = EVERY * 5 / 2;

/// A form over rows; times in seconds.
pub fn over(rows: Vec<Entry>, steps: i64, window: Window, gap: i64, asked: Asked, threshold: i64) -> Answer {
    let line = Timeline::new(&record(rows, steps, window, gap));
    Limit { form: 0, asked, threshold: q(threshold * super::lot::SECOND), strict: false }.judge(&line)
}

pub fn bound(rows: Vec<Entry>, window: Window, condition: Condition) -> Answer {
    over(rows, 1, window, GAP, Asked::Bound(condition), 0)
}

pub fn held(rows: Vec<Entry>, window: Window, condition: Condition, seconds: i64) -> Answer {
    over(rows, 1, window, GAP.min(seconds), Asked::Held(condition), seconds)
}

/// `reaches`: a stretch of nought, with the ordinary gap.
pub fn reaches(rows: Vec<Entry>, window: Window, value: i64) -> Answer {
    over(rows, 1, window, GAP, Asked::Held(at_least(value)), 0)
}

/// Rule 13: the limit at the excursion, and the stay beyond the limit itself.
pub fn allowed(rows: Vec<Entry>, window: Window, outer: Condition, beyond: Condition, seconds: i64) -> Answer {
    let stay = over(rows.clone(), 1, window, GAP, Asked::StretchAtMost(beyond), seconds);
    all([bound(rows, window, outer), stay])
}

/// Rule 8: each declared probe by itself; so many of them are enough.
pub fn probes(lot: &Lot, enough: usize, each: impl Fn(Vec<Entry>) -> Answer) -> Answer {
    let answers = ["core-1", "core-2", "core-3"].map(|probe| each(lot.rows(probe)));
    let count = |wanted: Answer| answers.iter().filter(|answer| **answer == wanted).count();
    if count(Answer::Met) >= enough {
        Answer::Met
    } else if count(Answer::Met) + count(Answer::NotShown) < enough {
        Answer::NotMet
    } else {
        Answer::NotShown
    }
}

/// A guard whose tests may be unknown: false if one is, unknown if one is.
pub fn guarded(tests: &[Option<bool>], answer: impl FnOnce() -> Answer) -> Found {
    if tests.contains(&Some(false)) {
        Found::NotCounted
    } else if tests.contains(&None) {
        Found::Answer(Answer::NotShown)
    } else {
        Found::Answer(answer())
    }
}

/// Fat in a closed range; nothing where the fact is not recorded.
pub fn fat_between(lot: &Lot, low: i64, high: i64) -> Option<bool> {
    lot.fat().map(|fat| q(low) <= fat && fat <= q(high))
}

pub fn fat_below(lot: &Lot, limit: i64) -> Option<bool> {
    lot.fat().map(|fat: Q| fat < q(limit))
}

/// Rows of a table with their guards. A default row is for a lot that no other row is for, and alone for a lot whose
/// fact is not recorded.
pub fn any_row(rows: &[(Option<bool>, Answer)], default: Option<Answer>) -> Answer {
    let counts: Vec<Answer> = rows.iter().filter(|(guard, _)| *guard == Some(true)).map(|row| row.1).collect();
    let open: Vec<Answer> = rows.iter().filter(|(guard, _)| guard.is_none()).map(|row| row.1).collect();
    match default {
        Some(default) if counts.is_empty() => default,
        _ if any(counts.iter().copied()) == Answer::Met => Answer::Met,
        _ => {
            let by_known = (!counts.is_empty()).then(|| any(counts.iter().copied()));
            common(&by_known.into_iter().chain(open).collect::<Vec<_>>())
        }
    }
}

/// Only the recorded choice counts; without it what both agree on.
pub fn chosen(lot: &Lot, quick: Answer, slow: Answer) -> Answer {
    match lot.way() {
        Some("quick") => quick,
        Some(_) => slow,
        None => common(&[quick, slow]),
    }
}

/// The whole lot.
pub fn whole(lot: &Lot, each: impl Fn(Window) -> Answer) -> Answer {
    lot.window(lot.whole()).map_or(Answer::NotShown, each)
}

/// Each load by itself; without loads on record nothing is shown.
pub fn per_load(lot: &Lot, each: impl Fn(Window) -> Answer) -> Answer {
    if !lot.loads {
        return Answer::NotShown;
    }
    all(lot.runs.iter().map(|run| lot.window(*run).map_or(Answer::NotShown, &each)))
}

/// Each run of the stage that has begun.
pub fn per_run(lot: &Lot, each: impl Fn(Window) -> Answer) -> Answer {
    all(lot.runs.iter().filter_map(|run| lot.window(*run)).map(each))
}

/// The offset of the plan's zone (central European time) from UTC in seconds: two hours from 01:00 UTC of the last
/// Sunday of March to 01:00 UTC of the last Sunday of October, else one.
fn offset(second: i64) -> i64 {
    let at = FIRST.and_hms_opt(0, 0, 0).unwrap() + TimeDelta::seconds(second);
    let turn = |month: u32| {
        let last = NaiveDate::from_ymd_opt(at.year(), month, 31).unwrap();
        let sunday = last - TimeDelta::days(last.weekday().num_days_from_sunday().into());
        sunday.and_hms_opt(1, 0, 0).unwrap()
    };
    if turn(3) <= at && at < turn(10) { 7200 } else { 3600 }
}

/// Whether a part of the lot's time begins at this minute, by the clock on the wall.
fn begins(second: i64, shifts: bool) -> bool {
    let wall = (second + offset(second)).rem_euclid(86_400);
    if shifts { [6, 14, 22].contains(&(wall / 3600)) && wall % 3600 == 0 } else { wall == 0 }
}

/// Each day or shift that the lot may have touched; `midnight` is the lot's own in seconds after the first. Every
/// minute is looked at.
pub fn per_part(lot: &Lot, midnight: i64, shifts: bool, each: impl Fn(Window) -> Answer) -> Found {
    let (Some(start), end) = lot.whole() else { return Found::Answer(Answer::NotShown) };
    let Some(end) = end.filter(|end| *end >= start) else { return Found::Skipped };
    let window = lot.window((Some(start), Some(end))).unwrap();
    let mut marks = Vec::new();
    let mut minute = start - start % 60 - 2 * 86_400;
    while minute <= end + 2 * 86_400 {
        if begins(midnight + minute, shifts) {
            marks.push(minute);
        }
        minute += 60;
    }
    let mut answers = Vec::new();
    for pair in marks.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        if to < start - ALLOWANCE || end + ALLOWANCE < from {
            continue;
        }
        let cut = |(a, b): (i64, i64)| (a.clamp(from, to), b.clamp(from, to));
        let answer = each((cut(window.0), window.1.map(cut)));
        // A part that only perhaps belongs to the lot never makes it not met.
        let surely = start + ALLOWANCE < to && from < end - ALLOWANCE;
        answers.push(if surely { answer } else { answer.max(Answer::NotShown) });
    }
    Found::Answer(all(answers))
}

/// The one run of a lot that is not divided, where it is recorded whole.
pub fn undivided(lot: &Lot) -> Option<Run> {
    (!lot.loads).then(|| lot.whole())
}
