//! Checks with closed answers: what they show about the product made between them.
//!
//! A check speaks for its own instant alone. Product between two good checks is shown; product between a check
//! that was not good, or was missed, and its good neighbours is in question.

use super::adjusted::{Fate, fate};
use super::compile::interval;
use super::limits::Context;
use super::windows::{Stretch, ends, stages, stretch};
use super::workings::Workings;
use super::{CLOCK_ALLOWANCE, Part};
use crate::log::{Check, Lot, Records};
use crate::plan::{Control, Limit, Name};
use crate::time::show_duration;
use crate::verdict::Verdict;
use std::collections::BTreeMap;

/// One look at every piece of a limit at one instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// When, nanoseconds UTC.
    pub at: i64,
    /// Every answer is there and as the limit demands.
    pub good: bool,
    /// Some answer is there and is another than the limit demands.
    pub against: bool,
    /// File and row; empty for a check that was due and was not made.
    pub place: String,
    /// What was answered otherwise, or what is missing.
    pub remark: String,
}

/// Product in question between checks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Affected {
    /// The control.
    pub control: String,
    /// The limit.
    pub limit: String,
    /// The last good check before, nanoseconds UTC; none means back to the start of the records.
    pub from: Option<i64>,
    /// The first of the good checks that close it; none means still open.
    pub to: Option<i64>,
    /// What opened it.
    pub cause: String,
    /// Codes of the lots that share an instant with it.
    pub lots: Vec<String>,
}

/// Windows of affected product for the answers that one limit, or a part of it, asks for.
#[derive(Debug)]
pub(super) struct Windows<'p> {
    /// The limit.
    pub limit: &'p Limit,
    /// Whether the limit needs these answers whatever else is met.
    pub needed: bool,
    /// The answers.
    pub answers: &'p [(Name, Name)],
    /// The windows.
    pub affected: Vec<Affected>,
}

/// The record and place of a series of checks.
pub(super) type Line = (String, Option<String>);

/// The rounds of a limit, by line, in order of time. The rows of one instant are one round: where they answer
/// differently nothing is shown, and they are never two good checks in a row.
pub(super) fn rounds(records: &Records, answers: &[(Name, Name)]) -> BTreeMap<Line, Vec<Round>> {
    let mut rows: BTreeMap<(Line, i64), Vec<&Check>> = BTreeMap::new();
    for check in &records.checks {
        if answers.iter().any(|(parameter, _)| *parameter == *check.parameter.as_str()) {
            let line = (check.record.clone(), check.place.clone());
            rows.entry((line, check.at.0)).or_default().push(check);
        }
    }
    let mut lines: BTreeMap<Line, Vec<Round>> = BTreeMap::new();
    for ((line, at), mut checks) in rows {
        checks.sort_by_key(|check| (&check.cell.file, check.cell.row));
        let place =
            checks.first().map_or(String::new(), |check| format!("{}, row {}", check.cell.file, check.cell.row));
        let mut round = Round { at, good: true, against: false, place, remark: String::new() };
        for (parameter, wanted) in answers {
            let said: Vec<Option<&str>> = checks
                .iter()
                .filter(|check| check.parameter == parameter.text)
                .map(|check| check.answer.as_deref())
                .collect();
            let kept = said.iter().filter(|answer| **answer == Some(wanted.text.as_str())).count();
            let against = said.iter().flatten().find(|answer| **answer != wanted.text);
            let remark = match (against, said.contains(&None)) {
                _ if said.is_empty() => format!("{parameter} is missing"),
                _ if kept == said.len() => continue,
                (_, true) => format!("{parameter} has an answer that nobody declared"),
                (Some(answer), _) if kept == 0 => {
                    round.against = true;
                    format!("{parameter} is {answer}")
                }
                (Some(answer), _) => format!("{parameter} is {wanted} and {answer} at one instant"),
                (None, _) => continue,
            };
            round.good = false;
            if !round.remark.is_empty() {
                round.remark.push_str("; ");
            }
            round.remark.push_str(&remark);
        }
        lines.entry(line).or_default().push(round);
    }
    lines
}

/// Judges a limit on checks for one lot.
pub(super) fn judge(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    answers: &[(Name, Name)],
    lot: &Lot,
) -> Part {
    let what = answers.iter().map(|(parameter, _)| parameter.text.as_str()).collect::<Vec<_>>().join(", ");
    let mut part = Part::silent(what, "every check".to_owned());
    let series = rounds(context.records, answers);
    if series.is_empty() {
        part.evidence.push("the records hold no such check".to_owned());
        return part;
    }
    let stages = stages(context.plan, control, limit);
    let mut verdicts = Vec::new();
    let mut lines: Vec<Vec<String>> = Vec::new();
    for ((record, place), rounds) in &series {
        if series.len() > 1 && !at_this_line(context.records, lot, record, place.as_deref(), answers) {
            continue;
        }
        let window = match stretch(&stages, lot, record) {
            Stretch::Known(window) => window,
            Stretch::NotBegun => {
                part.evidence.push("not yet: the record of this lot has no start of this stage".to_owned());
                return part;
            }
            Stretch::NoStage => {
                part.evidence.push("the plan names no stage for this limit".to_owned());
                return part;
            }
        };
        part.window = Some((window.start.0, window.end.map(|(_, end)| end)));
        let own = context.windows.iter().find(|own| std::ptr::eq(own.limit, limit) && own.answers == answers);
        let windows = own.map_or(&[][..], |own| own.affected.as_slice());
        let from = part.evidence.len();
        let seen = part.evidence.len();
        let (verdict, adjusted) =
            judge_line(context, (control, answers, windows), lot, (record, rounds), window, &mut part.evidence);
        verdicts.push(verdict);
        // What was adjusted is said first, before whatever else decided.
        part.evidence.splice(seen..seen, adjusted.iter().cloned());
        part.adjusted.extend(adjusted);
        let decided = part.evidence.get(from..).unwrap_or_default().to_vec();
        if context.workings {
            let ends = ends(context, None, &stages, lot, window);
            lines.push(ends.into_iter().map(|end| format!("window {end}")).collect());
            lines.push(told(context, rounds, window, decided));
        }
    }
    part.verdict = Verdict::all(verdicts);
    part.workings = Workings::told(context, || lines.concat());
    part
}

/// The checks that bear on a window, one a line, and what was made of them.
fn told(context: &Context<'_>, rounds: &[Round], window: super::engine::Window, decided: Vec<String>) -> Vec<String> {
    let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
    let end = window.end.map_or(i64::MAX, |(_, end)| end);
    let mut lines = vec![format!(
        "the stage at its widest: from {} to {}",
        local(window.start.0),
        if end == i64::MAX { "no recorded end".to_owned() } else { local(end) }
    )];
    let first = rounds.iter().rposition(|round| round.at <= window.start.0).unwrap_or(0);
    let last = rounds.iter().position(|round| round.at >= end).unwrap_or(rounds.len());
    for round in rounds.iter().take(last.saturating_add(1)).skip(first) {
        let place = match round.at {
            at if at <= window.start.0 => "before the start",
            at if at >= end => "after the end",
            _ => "in the stage",
        };
        let answer = if round.good { "good" } else { round.remark.as_str() };
        lines.push(format!("{} {place}: {answer} ({})", local(round.at), round.place));
    }
    lines.extend(decided.into_iter().map(|line| format!("so: {line}")));
    lines
}

/// With several lines, the checks that name the lot say at which one it ran.
fn at_this_line(records: &Records, lot: &Lot, record: &str, place: Option<&str>, answers: &[(Name, Name)]) -> bool {
    records.checks.iter().any(|check| {
        check.record == record
            && check.place.as_deref() == place
            && check.lot.as_deref() == Some(lot.code.as_str())
            && answers.iter().any(|(parameter, _)| parameter.text == check.parameter)
    })
}

fn judge_line(
    context: &Context<'_>,
    (control, answers, windows): (&Control, &[(Name, Name)], &[Affected]),
    lot: &Lot,
    (record, rounds): (&str, &[Round]),
    window: super::engine::Window,
    evidence: &mut Vec<String>,
) -> (Verdict, Vec<String>) {
    let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
    let (start, Some((end_first, end_last))) = (window.start, window.end) else {
        evidence.push("the end of this stage is not recorded".to_owned());
        return (Verdict::NotShown, Vec::new());
    };
    if end_last < start.0 {
        evidence.push("the record contradicts itself: the stage ends before it begins".to_owned());
        return (Verdict::NotShown, Vec::new());
    }
    let good = || rounds.iter().filter(|round| round.good).map(|round| round.at);
    let mut adjusted: Vec<String> = Vec::new();
    let mut put_right: Vec<i64> = Vec::new();
    let mut shown = true;
    for round in rounds.iter().filter(|round| round.against && start.1 <= round.at && round.at <= end_first) {
        let miss = format!("check of {}: {} ({})", local(round.at), round.remark, round.place);
        match fate(context, control, lot, (round.at, record), good()) {
            Fate::Stands => {
                evidence.push(miss);
                return (Verdict::NotMet, adjusted);
            }
            Fate::Perhaps(why) => {
                shown = false;
                evidence.push(format!("{miss}; whether it was adjusted in time is not shown: {why}"));
                put_right.push(round.at);
            }
            Fate::Adjusted(how) => {
                adjusted.push(format!("a miss that was adjusted: {miss}; {how}"));
                put_right.push(round.at);
            }
        }
    }
    let before = rounds.iter().rev().find(|round| round.at <= start.0);
    let after = rounds.iter().find(|round| round.at >= end_last);
    for (round, missing) in
        [(before, "no check is on record at or before the start"), (after, "no check is on record at or after the end")]
    {
        match round {
            Some(round) if round.good => {}
            Some(round) => {
                shown = false;
                evidence.push(format!("check of {}: {} ({})", local(round.at), round.remark, round.place));
            }
            None => {
                shown = false;
                evidence.push(missing.to_owned());
            }
        }
    }
    for round in rounds
        .iter()
        .filter(|round| !round.good && start.0 < round.at && round.at < end_last && !put_right.contains(&round.at))
    {
        shown = false;
        evidence.push(format!("check of {}: {} ({})", local(round.at), round.remark, round.place));
    }
    for due in missed(control, answers, rounds, (lot.code.as_str(), start.0, end_last)) {
        shown = false;
        evidence.push(format!("the check due at {} is missing, or its row has no certain time", local(due.at)));
    }
    // A window that holds no other miss than those that were adjusted for this lot is no doubt about it.
    let doubtful = |one: &&Affected| {
        let (from, to) = (one.from.unwrap_or(i64::MIN), one.to.unwrap_or(i64::MAX));
        let mut misses = rounds.iter().filter(|round| !round.good && from <= round.at && round.at <= to).peekable();
        misses.peek().is_none() || misses.any(|round| !put_right.contains(&round.at))
    };
    for one in windows.iter().filter(|one| one.lots.contains(&lot.code)).filter(doubtful) {
        shown = false;
        let from = one.from.map_or("the start of the records".to_owned(), local);
        let to = one.to.map_or("open".to_owned(), local);
        evidence.push(format!("made in a window of affected product, from {from} to {to}: {}", one.cause));
    }
    if shown {
        let inside = rounds.iter().filter(|round| start.0 <= round.at && round.at <= end_last).count();
        evidence.push(format!(
            "{inside} checks in the stage, the one before and the one after it, all good{} (clock allowance {})",
            if adjusted.is_empty() { "" } else { " or adjusted" },
            show_duration(CLOCK_ALLOWANCE)
        ));
        return (Verdict::Met, adjusted);
    }
    (Verdict::NotShown, adjusted)
}

/// Checks that fell due while a lot ran and were not made: each as a round that is not good.
pub(super) fn missed(
    control: &Control,
    answers: &[(Name, Name)],
    rounds: &[Round],
    (lot, start, end): (&str, i64, i64),
) -> Vec<Round> {
    let monitor = answers.first().and_then(|(parameter, _)| control.monitor_of(&parameter.text));
    let Some((every, _)) = monitor.and_then(|monitor| interval(&monitor.often)) else { return Vec::new() };
    let mut found = Vec::new();
    let mut previous = rounds.iter().rev().find(|round| round.at <= start).map_or(i64::MIN, |round| round.at);
    let mut coming = rounds.iter().filter(|round| round.at > start);
    loop {
        let next = coming.next().map_or(i64::MAX, |round| round.at);
        // Due one interval after the check before, but not before the line ran again; missed if it has not come
        // by the time at which the next one is due.
        let mut due = previous.saturating_add(every).max(start);
        while due <= end && next > due.saturating_add(every) {
            found.push(Round {
                at: due,
                good: false,
                against: false,
                place: String::new(),
                remark: format!("a check due while lot {lot} ran was missed"),
            });
            due = due.saturating_add(every);
        }
        if next > end {
            return found;
        }
        previous = next;
    }
}
