//! What a limit is judged over: the lot, or each load, day, shift or run of a stage that belongs to it.
//!
//! The verdict of a lot is the worst over its parts. A part that only perhaps belongs to the lot can keep it from being
//! met, and never makes it *not met*.

use super::engine::Window;
use super::limits::Context;
use super::{CLOCK_ALLOWANCE, LimitVerdict, compose, windows};
use crate::log::Lot;
use crate::plan::shape::Per;
use crate::plan::{Condition, Control, Limit};
use crate::time::Instant;
use crate::verdict::Verdict;
use chrono::{NaiveDate, NaiveTime};

/// More days or shifts than this are no lot: its events contradict each other.
const MOST_CUTS: usize = 1_000;

/// Judges a limit for a lot, part by part where the plan says so. What was judged is added to the verdict's parts.
pub(super) fn judge(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    condition: &Condition,
    lot: &Lot,
    verdict: &mut LimitVerdict,
) -> Verdict {
    let whole = |context: &Context<'_>, lot: &Lot, verdict: &mut LimitVerdict| {
        let from = verdict.parts.len();
        let answer = compose::judge(context, control, limit, condition, lot, verdict);
        let parts = verdict.parts.get_mut(from..).unwrap_or_default();
        match limit.enough(context.plan) {
            Ok(Some(enough)) => {
                let answer = compose::enough(enough, parts);
                if context.workings {
                    let probes = parts.iter().map(|part| format!("{} {}", part.what, part.verdict));
                    verdict.joined.push(compose::joined(&format!("{enough} probes are enough"), probes, answer));
                }
                answer
            }
            _ => answer,
        }
    };
    let per = limit.shape.judged.as_ref().map_or(&Per::Lot, |judged| &judged.per);
    let apart = match per {
        Per::Lot => return whole(context, lot, verdict),
        Per::Load | Per::Stage(_) => !limit.on_samples(),
        Per::Day | Per::Shift => limit.over_time(),
    };
    if !apart {
        verdict.why = format!("the records do not tell apart what belongs to each {}", per.word());
        return Verdict::NotShown;
    }
    let mut answers = Vec::new();
    let mut waiting = true;
    let mut told = Vec::new();
    let mut one = |name: &str, certain: bool, context: &Context<'_>, lot: &Lot, verdict: &mut LimitVerdict| {
        let from = verdict.parts.len();
        verdict.not_yet = false;
        let mut answer = whole(context, lot, verdict);
        waiting &= verdict.not_yet;
        if !certain && answer == Verdict::NotMet {
            answer = Verdict::NotShown;
        }
        for part in verdict.parts.iter_mut().skip(from) {
            part.what = format!("{name}: {}", part.what);
            if !certain && part.verdict == Verdict::NotMet {
                part.verdict = Verdict::NotShown;
                part.evidence
                    .insert(0, format!("{name} belongs to this lot only perhaps: its ends are not that certain"));
            }
        }
        answers.push(answer);
        if context.workings {
            told.push(format!("{name} {answer}"));
        }
    };
    match per {
        Per::Lot => {}
        Per::Load => {
            for load in &lot.loads {
                let name = format!("load {}", load.load.as_deref().unwrap_or(""));
                one(&name, true, context, load, verdict);
            }
            if lot.loads.is_empty() {
                verdict.why = "the register of lots does not say which loads this lot is made of".to_owned();
            }
        }
        Per::Stage(stage) => {
            let Some((_, declared)) = context.plan.stage(&stage.text) else { return Verdict::NotShown };
            let runs = if lot.loads.is_empty() { std::slice::from_ref(lot) } else { &lot.loads };
            let begun: Vec<&Lot> = runs.iter().filter(|run| run.event(&declared.from.text).is_some()).collect();
            for (index, run) in begun.iter().enumerate() {
                let load = run.load.as_ref().map_or_else(String::new, |load| format!(" (load {load})"));
                one(&format!("{stage} {}{load}", index + 1), true, context, run, verdict);
            }
            if begun.is_empty() {
                verdict.not_yet = true;
                verdict.why = format!("not yet: the record of this lot has no start of {stage}");
                return Verdict::NotShown;
            }
        }
        Per::Day | Per::Shift => {
            let Some(cuts) = cuts(context, control, limit, lot, per) else {
                verdict.why = format!("the record does not say over which {}s this lot was made", per.word());
                return Verdict::NotShown;
            };
            for (from, to, certain) in cuts {
                let name = format!("{} from {}", per.word(), context.zone.show_local(Instant(from)));
                one(&name, certain, &Context { cut: Some((from, to)), ..*context }, lot, verdict);
            }
        }
    }
    verdict.not_yet = waiting && !answers.is_empty();
    let answer = if answers.is_empty() { Verdict::NotShown } else { Verdict::all(answers) };
    if context.workings {
        verdict.joined.push(compose::joined(&format!("judged per {}", per.word()), told.into_iter(), answer));
    }
    answer
}

/// The days or shifts that a lot may have a part in: from, to, and whether it certainly has.
fn cuts(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    lot: &Lot,
    per: &Per,
) -> Option<Vec<(i64, i64, bool)>> {
    let stages = super::windows::stages(context.plan, control, limit);
    let (first, last) = (stages.first()?, stages.last()?);
    let counted = limit.counts_from().unwrap_or(&first.from);
    let start = lot.event(&counted.text)?.at.0;
    let end = windows::ended(last, lot).map(|event| event.at.0);
    let begins: Vec<NaiveTime> = match per {
        Per::Shift => context.plan.head.as_ref()?.shifts.clone()?,
        _ => vec![NaiveTime::MIN],
    };
    let latest = end.or_else(|| context.records.files.iter().filter_map(|file| file.last).max().map(|at| at.0))?;
    let (from, to) = (start.saturating_sub(CLOCK_ALLOWANCE), latest.max(start).saturating_add(CLOCK_ALLOWANCE));
    let mut day: NaiveDate = context.zone.local(Instant(from)).date().pred_opt()?;
    let last_day = context.zone.local(Instant(to)).date().succ_opt()?;
    let mut marks: Vec<i64> = Vec::new();
    while day <= last_day {
        for begin in &begins {
            marks.push(context.zone.first_at(day.and_time(*begin))?.0);
        }
        if marks.len() > MOST_CUTS {
            return None;
        }
        day = day.succ_opt()?;
    }
    let mut cuts = Vec::new();
    for pair in marks.windows(2) {
        let (Some(&begin), Some(&close)) = (pair.first(), pair.last()) else { continue };
        if close < from || to < begin {
            continue;
        }
        let surely_begun = start.saturating_add(CLOCK_ALLOWANCE) < close;
        let surely_there = end.map_or(begin <= start, |end| begin < end.saturating_sub(CLOCK_ALLOWANCE));
        // With no recorded end the last part stays open.
        let close_or_open = if end.is_none() && close > latest { i64::MAX } else { close };
        cuts.push((begin, close_or_open, surely_begun && surely_there));
        if close_or_open == i64::MAX {
            break;
        }
    }
    Some(cuts)
}

/// A window cut to a stretch of time. Where its own end is not recorded, it may have ended anywhere in the stretch.
pub(super) fn cut(window: Window, (from, to): (i64, i64)) -> Window {
    let inside = |at: i64| at.clamp(from, to);
    let start = (inside(window.start.0), inside(window.start.1));
    let end = match window.end {
        Some((first, last)) => Some((inside(first), inside(last))),
        None if to == i64::MAX => None,
        None => Some((start.1, to)),
    };
    Window { start, end }
}
