//! Conditions with parts, and conditions on stages and events.

use super::engine::{self, Moment, Outcome};
use super::evidence::span_words;
use super::facts::{self, Standing};
use super::limits::{Context, over_time};
use super::windows::{self, moment};
use super::workings::Workings;
use super::{CLOCK_ALLOWANCE, LimitVerdict, Part, attributes, checks, samples, stage_end};
use crate::log::{Event, Lot};
use crate::plan::limit::Measured;
use crate::plan::{Condition, Control, Limit, Name, Over, Stage, TableRow};
use crate::time::show_duration;
use crate::verdict::Verdict;

/// Judges a condition for a lot. What was judged is added to the verdict's parts.
pub(super) fn judge(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    condition: &Condition,
    lot: &Lot,
    verdict: &mut LimitVerdict,
) -> Verdict {
    let before = verdict.parts.len();
    match condition {
        Condition::Any(options) => {
            let mut answers = Vec::new();
            for (name, option) in options {
                let from = verdict.parts.len();
                answers.push(judge(context, control, limit, option, lot, verdict));
                for part in verdict.parts.iter_mut().skip(from) {
                    part.what = format!("{name}: {}", part.what);
                }
            }
            let answer = Verdict::any(answers.iter().copied());
            if context.workings {
                let names = options.iter().zip(&answers).map(|((name, _), one)| format!("{name} {one}"));
                verdict.joined.push(joined("one of these is enough", names, answer));
            }
            return answer;
        }
        Condition::Chosen { fact, options } => {
            let options = options.iter().map(|(name, one)| (name, one.clone())).collect();
            return chosen(context, control, limit, (fact, options), lot, verdict);
        }
        Condition::ChosenRow { parameter, table, fact } => {
            let rows = context.plan.table(&table.text).into_iter().flat_map(|table| &table.rows);
            let options = rows.filter_map(|row| Some((row.name.as_ref()?, level(parameter, row)))).collect();
            return chosen(context, control, limit, (fact, options), lot, verdict);
        }
        Condition::All(parts) => {
            let answers: Vec<Verdict> =
                parts.iter().map(|part| judge(context, control, limit, part, lot, verdict)).collect();
            let answer = Verdict::all(answers.iter().copied());
            if context.workings {
                let names = answers.iter().enumerate().map(|(index, one)| format!("part {} {one}", index + 1));
                verdict.joined.push(joined("all of these are asked for", names, answer));
            }
            return answer;
        }
        Condition::AnyRow { parameter, table } => {
            return any_row(context, control, limit, (parameter, table), lot, verdict);
        }
        Condition::Level { parameter, range, over: Over::Samples(count) } => {
            if let Some(parameter) = context.plan.parameter(&parameter.text) {
                verdict.parts.push(samples::judge(context, control, parameter, range, *count, lot));
            }
        }
        Condition::Attributes { parameter, plan, m, big_m } => {
            if let Some(parameter) = context.plan.parameter(&parameter.text) {
                let plan = (*plan, m, big_m.as_ref());
                verdict.parts.push(attributes::over_figures(context, control, parameter, plan, lot));
            }
        }
        Condition::Absent { parameter, mass, plan } => {
            if let Some(parameter) = context.plan.parameter(&parameter.text) {
                verdict.parts.push(attributes::absence(context, control, parameter, (mass, *plan), lot));
            }
        }
        Condition::Sampled { parameter, answer, plan } => {
            if let Some(parameter) = context.plan.parameter(&parameter.text) {
                verdict.parts.push(attributes::answered(context, control, parameter, (answer, *plan), lot));
            }
        }
        Condition::Bands { parameter, bands, at_least } => {
            if let Some(parameter) = context.plan.parameter(&parameter.text) {
                verdict.parts.push(attributes::banded(context, control, parameter, (bands, *at_least), lot));
            }
        }
        Condition::Answers(answers) => verdict.parts.push(checks::judge(context, control, limit, answers, lot)),
        Condition::Lasts { stage, least, time } => {
            verdict.parts.extend(each_run(*least, lot, |run| lasts(context, stage, *least, time, run)));
        }
        Condition::Order { first, then } => verdict.parts.push(order(context, first, then, lot)),
        Condition::Counted { event, least, times } => verdict.parts.push(counted(context, event, *least, *times, lot)),
        Condition::Events { from, to, least, time } => {
            verdict.parts.extend(each_run(*least, lot, |run| events(context, from, to, (*least, time), run)));
        }
        Condition::Level { .. }
        | Condition::Passage { .. }
        | Condition::Reduction { .. }
        | Condition::Never { .. }
        | Condition::Reaches { .. }
        | Condition::Falls { .. }
        | Condition::Equivalent { .. }
        | Condition::Growth { .. }
        | Condition::DegreeHours { .. } => over_time(context, control, limit, condition, lot, verdict),
    }
    Verdict::all(verdict.parts.iter().skip(before).map(|part| part.verdict))
}

/// A row of a table as a condition.
fn level(parameter: &Name, row: &TableRow) -> Condition {
    Condition::Level { parameter: parameter.clone(), range: row.range.clone(), over: row.over.clone() }
}

/// The option that was chosen beforehand, alone; where the choice is not recorded, what all options agree on.
fn chosen(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    (fact, options): (&Name, Vec<(&Name, Condition)>),
    lot: &Lot,
    verdict: &mut LimitVerdict,
) -> Verdict {
    let said = facts::answered(context.plan, &fact.text, lot);
    let mut answers = Vec::new();
    for (name, option) in options.iter().filter(|(name, _)| said.is_none_or(|said| name.text == said)) {
        let from = verdict.parts.len();
        answers.push(judge(context, control, limit, option, lot, verdict));
        for part in verdict.parts.iter_mut().skip(from) {
            part.what = format!("{name}: {}", part.what);
        }
    }
    let answer = common(answers.iter().copied());
    if context.workings {
        let judged = options.iter().filter(|(name, _)| said.is_none_or(|said| name.text == said));
        let names = judged.zip(&answers).map(|((name, _), one)| format!("{name} {one}"));
        let rule = match said {
            Some(said) => format!("`{fact}` is {said} on record, so that alone is judged"),
            None => format!("`{fact}` is not on record, so all must agree"),
        };
        verdict.joined.push(joined(&rule, names, answer));
    }
    if answer == Verdict::NotShown && said.is_none() {
        verdict.why = format!("which was chosen is not recorded (`{fact}`), and not all agree");
    }
    answer
}

/// The answer that all agree on; where they differ, or there is none, nothing is shown.
fn common(answers: impl IntoIterator<Item = Verdict>) -> Verdict {
    let mut answers = answers.into_iter();
    let Some(first) = answers.next() else { return Verdict::NotShown };
    if answers.all(|answer| answer == first) { first } else { Verdict::NotShown }
}

/// Any row will do; a row that hangs on a fact counts only where the fact is recorded.
///
/// Where a fact is not recorded, the rows that hang on it decide nothing by themselves: the answer stands only if all
/// of them agree with it.
fn any_row(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    (parameter, table): (&Name, &Name),
    lot: &Lot,
    verdict: &mut LimitVerdict,
) -> Verdict {
    let Some(table) = context.plan.table(&table.text) else {
        verdict.why = format!("`{table}` is not in the plan");
        return Verdict::NotShown;
    };
    let (mut known, mut unknown) = (Vec::new(), Vec::new());
    let standing = facts::standing(context.plan, &table.rows, lot);
    for (index, (row, counts)) in table.rows.iter().zip(standing).enumerate() {
        if counts == Standing::Out {
            continue;
        }
        let condition = level(parameter, row);
        let from = verdict.parts.len();
        let answer = judge(context, control, limit, &condition, lot, verdict);
        for part in verdict.parts.iter_mut().skip(from) {
            part.what = format!("row {}: {}", index + 1, part.what);
        }
        if counts == Standing::Counts { known.push((index + 1, answer)) } else { unknown.push((index + 1, answer)) }
    }
    let by_known = (!known.is_empty()).then(|| Verdict::any(known.iter().map(|(_, answer)| *answer)));
    let answer = if by_known == Some(Verdict::Met) {
        Verdict::Met
    } else {
        common(by_known.into_iter().chain(unknown.iter().map(|(_, answer)| *answer)))
    };
    if context.workings {
        let counted = known.iter().map(|(row, one)| format!("row {row} {one}"));
        let open = unknown.iter().map(|(row, one)| format!("row {row} {one}, and whether it counts is not recorded"));
        verdict.joined.push(joined("one row is enough", counted.chain(open), answer));
    }
    answer
}

/// How many probes are enough: a count of three-valued answers, never a mean. A probe is judged over all its parts.
pub(super) fn enough(enough: u32, parts: &mut [Part]) -> Verdict {
    let mut probes: Vec<(&str, Verdict)> = Vec::new();
    for part in parts.iter() {
        match probes.iter_mut().find(|(name, _)| *name == part.what) {
            Some((_, verdict)) => *verdict = Verdict::all([*verdict, part.verdict]),
            None => probes.push((&part.what, part.verdict)),
        }
    }
    let count = |wanted| probes.iter().filter(|(_, verdict)| *verdict == wanted).count();
    let (met, not_met, unknown) = (count(Verdict::Met), count(Verdict::NotMet), count(Verdict::NotShown));
    let line =
        format!("{enough} of {} probes are enough: {met} met, {not_met} not met, {unknown} not shown", probes.len());
    let enough = enough as usize;
    let verdict = if met >= enough {
        Verdict::Met
    } else if probes.is_empty() || met + unknown >= enough {
        Verdict::NotShown
    } else {
        Verdict::NotMet
    };
    for part in parts.iter_mut() {
        part.evidence.push(line.clone());
    }
    verdict
}

/// How several answers became one.
pub(super) fn joined(rule: &str, answers: impl Iterator<Item = String>, answer: Verdict) -> String {
    format!("{rule}: {}; together {answer}", answers.collect::<Vec<_>>().join("; "))
}

fn told(
    context: &Context<'_>,
    what: String,
    form: String,
    outcome: Outcome,
    ends: [(&Name, Option<&Event>); 2],
) -> Part {
    let words = span_words(&outcome);
    Part {
        verdict: outcome.verdict,
        evidence: vec![
            format!("{words}; asked for: {form}"),
            format!("clock allowance {}", show_duration(CLOCK_ALLOWANCE)),
        ],
        outcome: Some(outcome),
        workings: Workings::told(context, || moments(context, ends)),
        ..Part::silent(what, form)
    }
}

/// Two events with their places, and how far apart they are as written.
fn moments(context: &Context<'_>, ends: [(&Name, Option<&Event>); 2]) -> Vec<String> {
    let mut lines: Vec<String> = ends
        .into_iter()
        .map(|(name, event)| match event {
            Some(event) => {
                let at = context.zone.show_local(event.at);
                format!("{name} {at} (record {}, {}, row {})", event.record, event.cell.file, event.cell.row)
            }
            None => format!("{name} is not recorded"),
        })
        .collect();
    if let [(_, Some(first)), (_, Some(second))] = ends {
        lines.push(format!("second less first as written: {}", show_duration(second.at.0.saturating_sub(first.at.0))));
        lines.push(if first.record == second.record {
            "both stand on one record: the clock allowance does not count".to_owned()
        } else {
            format!("on two records: {} less and more", show_duration(CLOCK_ALLOWANCE))
        });
        if let Some(coarse) =
            [first, second].iter().map(|event| event.resolution).max().filter(|step| *step > crate::time::SECOND)
        {
            lines.push(format!("and each time is known to {} either way", show_duration(coarse)));
        }
    }
    lines
}

/// Two events of a lot, numbered by the record that each stands in.
fn pair(first: Option<&Event>, second: Option<&Event>) -> (Option<Moment>, Option<Moment>) {
    let records: Vec<String> = [first, second].into_iter().flatten().map(|event| event.record.clone()).collect();
    let of = |event: Option<&Event>| event.and_then(|event| moment(event, &records));
    (of(first), of(second))
}

/// A time between events of a lot. Of several loads a longest time is asked from the first start to the last end, a
/// shortest of every load by itself: what passed before a load began is no time of that load.
fn each_run(least: bool, lot: &Lot, part: impl Fn(&Lot) -> Part) -> Vec<Part> {
    if !least || lot.loads.is_empty() {
        return vec![part(lot)];
    }
    let one = |load: &Lot| {
        let part = part(load);
        Part { what: format!("load {}: {}", load.load.as_deref().unwrap_or(""), part.what), ..part }
    };
    lot.loads.iter().map(one).collect()
}

fn bounds(least: bool, time: &Measured) -> (Option<i64>, Option<i64>) {
    if least { (time.at_least(), None) } else { (None, time.at_most()) }
}

fn lasts(context: &Context<'_>, stage: &Name, least: bool, time: &Measured, lot: &Lot) -> Part {
    let form = if least { time.at_least_words() } else { time.at_most_words() };
    let Some((_, declared)) = context.plan.stage(&stage.text) else { return Part::silent(stage.text.clone(), form) };
    let begun = lot.event(&declared.from.text);
    let Some(stop) = declared.ends_at() else { return lasts_until_met(context, declared, (least, time), lot) };
    let ended = windows::ended(declared, lot);
    let (from, to) = pair(begun, ended);
    let (at_least, at_most) = bounds(least, time);
    let ends = [(&declared.from, begun), (stop, ended)];
    told(context, stage.text.clone(), form, engine::between(from, to, CLOCK_ALLOWANCE, at_least, at_most), ends)
}

/// How long a stage lasts that ends when a limit is met.
fn lasts_until_met(context: &Context<'_>, stage: &Stage, (least, time): (bool, &Measured), lot: &Lot) -> Part {
    let form = if least { time.at_least_words() } else { time.at_most_words() };
    let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
    let begun = lot.event(&stage.from.text);
    let met = stage_end::met(context, stage, lot);
    let records: Vec<String> =
        begun.map(|event| event.record.clone()).into_iter().chain(met.as_ref().map(|met| met.record.clone())).collect();
    let from = begun.and_then(|event| moment(event, &records));
    let to = met.as_ref().and_then(|met| met.moment(&records));
    let (at_least, at_most) = bounds(least, time);
    let outcome = engine::between(from, to, CLOCK_ALLOWANCE, at_least, at_most);
    let name = stage.ends_when().map_or("", |name| name.text.as_str());
    let mut evidence = vec![format!("{}; asked for: {form}", span_words(&outcome))];
    evidence.push(match &met {
        Some(met) => {
            format!("the stage ends when `{name}` is met: from {} to {}", local(met.between.0), local(met.between.1))
        }
        None => format!("the stage ends when `{name}` is met, and it is not shown to have been"),
    });
    evidence.push(format!("clock allowance {}", show_duration(CLOCK_ALLOWANCE)));
    let workings = Workings::told(context, || {
        let start = begun.map(|event| format!("{} {}", stage.from, local(event.at.0)));
        start.into_iter().chain(evidence.iter().cloned()).collect()
    });
    Part {
        verdict: outcome.verdict,
        evidence,
        outcome: Some(outcome),
        workings,
        ..Part::silent(stage.name.text.clone(), form)
    }
}

fn events(context: &Context<'_>, from: &Name, to: &Name, (least, time): (bool, &Measured), lot: &Lot) -> Part {
    let form = if least { time.at_least_words() } else { time.at_most_words() };
    let (begun, ended) = (lot.event(&from.text), lot.ended(&from.text, &to.text));
    let (first, second) = pair(begun, ended);
    let (at_least, at_most) = bounds(least, time);
    let outcome = engine::between(first, second, CLOCK_ALLOWANCE, at_least, at_most);
    told(context, format!("{from} to {to}"), form, outcome, [(from, begun), (to, ended)])
}

fn order(context: &Context<'_>, first: &Name, then: &Name, lot: &Lot) -> Part {
    let form = format!("{first} ends before {then} begins");
    let stages = context.plan.stage(&first.text).zip(context.plan.stage(&then.text));
    let Some(((_, first), (_, then))) = stages else { return Part::silent(form.clone(), form) };
    let Some(stop) = first.ends_at() else { return Part::silent(form.clone(), form) };
    let (ended, begun) = (windows::ended(first, lot), lot.event(&then.from.text));
    let (end, start) = pair(ended, begun);
    let ends = [(stop, ended), (&then.from, begun)];
    told(context, format!("{}, {}", first.name, then.name), form, engine::in_order(end, start, CLOCK_ALLOWANCE), ends)
}

/// How often an event is recorded. A record that does not ask for the event, or holds no time of the lot, shows nothing.
fn counted(context: &Context<'_>, event: &Name, least: bool, times: u32, lot: &Lot) -> Part {
    let form = format!("at {} {times} per lot", if least { "least" } else { "most" });
    let tally = lot.tallies.get(&event.text).cloned().unwrap_or_default();
    let mut evidence: Vec<String> =
        tally.times.iter().map(|one| format!("row {} of {}", one.cell.row, one.cell.file)).collect();
    if tally.unread > 0 {
        evidence.push(format!("{} cells could not be read as a time and may each be one", tally.unread));
    }
    let (fewest, most) = tally.bounds();
    let shown = most.map_or_else(|| "no upper bound".to_owned(), |most| most.to_string());
    evidence.insert(0, format!("recorded at least {fewest} times, at most {shown}; asked for: {form}"));
    if most.is_none() {
        evidence.insert(1, format!("not every record of the lot has a row with a time that asks for `{event}`"));
    }
    let verdict = match most {
        _ if least && fewest >= times => Verdict::Met,
        _ if !least && fewest > times => Verdict::NotMet,
        Some(most) if least && most < times => Verdict::NotMet,
        Some(most) if !least && most <= times => Verdict::Met,
        _ => Verdict::NotShown,
    };
    let workings = Workings::told(context, || evidence.clone());
    Part { verdict, evidence, workings, ..Part::silent(event.text.clone(), form) }
}
