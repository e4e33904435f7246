//! Sampling plans by attributes, absence in a mass, and graded bands, over all results of a lot.
//!
//! Every result counts, retests too; a retest is no further sample. A sample that is missing may be anything.

use super::Part;
use super::limits::{Context, NOT_TRUSTED};
use super::samples::{self, Result};
use super::workings::Workings;
use crate::log::Lot;
use crate::plan::limit::{EdgeAt, Measured, Range, RangeForm};
use crate::plan::sampling::{Grade, GradedBand, Sampled};
use crate::plan::{Condition, Control, Name, Over, Parameter};
use crate::verdict::Verdict;
use std::collections::BTreeSet;

/// The results of a lot that count, and how many samples they are of.
struct Counted {
    results: Vec<Result>,
    samples: usize,
    distrusted: bool,
}

fn counted(context: &Context<'_>, control: &Control, parameter: &Parameter, lot: &Lot) -> Counted {
    let all = samples::gather(context, control, parameter, lot, &[]);
    let distrusted = all.iter().any(|result| !result.trusted);
    let results: Vec<Result> = all.into_iter().filter(|one| one.trusted).collect();
    let samples = results.iter().map(|result| result.sample.as_str()).collect::<BTreeSet<_>>().len();
    Counted { results, samples, distrusted }
}

/// How many results are certainly and how many possibly against a limit.
fn against(results: &[Result], each: impl Fn(&Result) -> Verdict) -> (usize, usize) {
    let (mut certain, mut possible) = (0, 0);
    for result in results {
        match each(result) {
            Verdict::NotMet => {
                certain += 1;
                possible += 1;
            }
            Verdict::NotShown => possible += 1,
            Verdict::Met => {}
        }
    }
    (certain, possible)
}

fn whole(count: u32) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
}

/// From the counts to the verdict: certainly more than c, or surely no more with the missing samples against the lot.
fn decide(plan: Sampled, counted: &Counted, certain: usize, possible: usize) -> Verdict {
    let missing = whole(plan.n).saturating_sub(counted.samples);
    if certain > whole(plan.c) {
        Verdict::NotMet
    } else if counted.results.is_empty() || possible.saturating_add(missing) > whole(plan.c) {
        Verdict::NotShown
    } else {
        Verdict::Met
    }
}

fn up_to(figure: &Measured) -> Range {
    let upper = Some(EdgeAt { at: figure.clone(), strict: false });
    Range { lower: None, upper, form: RangeForm::Compared, loc: figure.loc }
}

fn by_range(range: &Range, result: &Result) -> Verdict {
    if result.known { samples::against(range, result) } else { Verdict::NotShown }
}

/// An attributes plan with two or three classes: at most c over m, none over M.
pub(super) fn over_figures(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    (plan, m, big_m): (Sampled, &Measured, Option<&Measured>),
    lot: &Lot,
) -> Part {
    let counted = counted(context, control, parameter, lot);
    let (over, may_be) = against(&counted.results, |result| by_range(&up_to(m), result));
    let by_m = decide(plan, &counted, over, may_be);
    let by_big = big_m.map(|figure| {
        let (over, may_be) = against(&counted.results, |result| by_range(&up_to(figure), result));
        (figure, over, decide(Sampled { c: 0, ..plan }, &counted, over, may_be))
    });
    let verdict = Verdict::all(std::iter::once(by_m).chain(by_big.map(|(.., verdict)| verdict)));
    let upper = by_big.map_or_else(String::new, |(figure, over, _)| format!(", {over} over {}", figure.shown()));
    let line = format!(
        "{} of {} samples on record: {over} over {}, {may_be} possibly{upper}; asked for: at most {} over",
        counted.samples,
        plan.n,
        m.shown(),
        plan.c
    );
    let told = |result: &Result| {
        let upper =
            big_m.map_or_else(String::new, |figure| format!(", {}", side(by_range(&up_to(figure), result), figure)));
        format!("{}{upper}", side(by_range(&up_to(m), result), m))
    };
    part((context, parameter), plan.to_string(), verdict, vec![line], (&counted, plan.n), &told)
}

/// Not detected in at least the mass shows absence, detected in at most the mass denies it; anything else is not shown.
fn absent(mass: &Measured, result: &Result) -> Verdict {
    let detected = match result.answer.as_deref() {
        Some("not-detected") => false,
        Some("detected") => true,
        Some(_) => return Verdict::NotShown,
        None if result.not_detected => false,
        // A count above nothing is a detection; any other figure leaves open what the mass holds.
        None if result.known && result.lowest_is_positive() => true,
        None => return Verdict::NotShown,
    };
    let base = |quantity: Option<crate::quantity::Quantity>| quantity.and_then(|quantity| quantity.base());
    match (base(result.mass), base(mass.quantity)) {
        (Some(tested), Some(asked)) if !detected && tested >= asked => Verdict::Met,
        (Some(tested), Some(asked)) if detected && tested <= asked => Verdict::NotMet,
        _ => Verdict::NotShown,
    }
}

/// Absence in a mass, of every sample or by a plan.
pub(super) fn absence(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    (mass, plan): (&Measured, Option<Sampled>),
    lot: &Lot,
) -> Part {
    let counted = counted(context, control, parameter, lot);
    let (found, may_be) = against(&counted.results, |result| absent(mass, result));
    let asked = plan.unwrap_or(Sampled { n: 1, c: 0 });
    let verdict = decide(asked, &counted, found, may_be);
    let mut evidence = vec![format!(
        "{} of {} samples on record: {found} detected in {}, {may_be} possibly; asked for: at most {}",
        counted.samples,
        asked.n,
        mass.shown(),
        asked.c
    )];
    for result in counted.results.iter().filter(|result| absent(mass, result) != Verdict::Met) {
        let tested = result.mass.map_or_else(|| "a mass that is not recorded".to_owned(), |mass| mass.to_string());
        evidence.push(format!("sample {}: {} in {tested} ({})", result.sample, samples::shown(result), result.place));
    }
    let form = plan.map_or_else(|| "in every sample".to_owned(), |plan| plan.to_string());
    let told = |result: &Result| {
        let tested = result.mass.map_or_else(|| "a mass that is not recorded".to_owned(), |mass| mass.to_string());
        format!("tested {tested}; {}", absent(mass, result))
    };
    let form = format!("absent in {}, {form}", mass.shown());
    part((context, parameter), form, verdict, evidence, (&counted, asked.n), &told)
}

/// A plan over closed answers.
pub(super) fn answered(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    (answer, plan): (&Name, Sampled),
    lot: &Lot,
) -> Part {
    let counted = counted(context, control, parameter, lot);
    let (other, may_be) = against(&counted.results, |result| by_answer(answer, result));
    let verdict = decide(plan, &counted, other, may_be);
    let line = format!(
        "{} of {} samples on record: {other} other than {answer}, {may_be} possibly; asked for: at most {}",
        counted.samples, plan.n, plan.c
    );
    let told = |result: &Result| match &result.answer {
        Some(said) if *said == answer.text => "as asked for".to_owned(),
        Some(_) => "another answer".to_owned(),
        None => "no answer, may be either".to_owned(),
    };
    part((context, parameter), format!("{answer}, {plan}"), verdict, vec![line], (&counted, plan.n), &told)
}

/// The best and the worst band of one result: the first that it may be in and the first that it must be in.
fn spread(bands: &[GradedBand], result: &Result) -> (usize, usize) {
    let last = bands.len().saturating_sub(1);
    let mut best = last;
    for (index, band) in bands.iter().take(last).enumerate() {
        match by_range(&band.reach(), result) {
            Verdict::Met => return (best.min(index), index),
            Verdict::NotShown => best = best.min(index),
            Verdict::NotMet => {}
        }
    }
    (best, last)
}

/// What the bands from the best to the worst say together.
fn graded(bands: &[GradedBand], best: usize, worst: usize) -> Verdict {
    let grades: Vec<Grade> = bands.iter().skip(best).take(worst + 1 - best).map(|band| band.grade).collect();
    if grades.iter().all(|grade| *grade == Grade::NotMet) {
        Verdict::NotMet
    } else if grades.iter().all(|grade| *grade != Grade::NotMet) {
        Verdict::Met
    } else {
        Verdict::NotShown
    }
}

/// The answer of one result by itself, for a condition on samples; `None` for any other condition.
pub(super) fn single(condition: &Condition, result: &Result) -> Option<Verdict> {
    Some(match condition {
        Condition::Level { range, over: Over::Samples(_), .. } => by_range(range, result),
        Condition::Attributes { m, .. } => by_range(&up_to(m), result),
        Condition::Absent { mass, .. } => absent(mass, result),
        Condition::Sampled { answer, .. } => by_answer(answer, result),
        Condition::Bands { bands, .. } => {
            let (best, worst) = spread(bands, result);
            graded(bands, best, worst)
        }
        _ => return None,
    })
}

/// An answer against the one that is asked for.
fn by_answer(answer: &Name, result: &Result) -> Verdict {
    match &result.answer {
        Some(said) if *said == answer.text => Verdict::Met,
        Some(_) => Verdict::NotMet,
        None => Verdict::NotShown,
    }
}

/// Graded bands: the worst sample decides, between the best and the worst band that the record allows it.
pub(super) fn banded(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    (bands, at_least): (&[GradedBand], u32),
    lot: &Lot,
) -> Part {
    let counted = counted(context, control, parameter, lot);
    let last = bands.len().saturating_sub(1);
    let spread = |result: &Result| spread(bands, result);
    let spreads: Vec<(usize, usize)> = counted.results.iter().map(spread).collect();
    let best = spreads.iter().map(|(best, _)| *best).max().unwrap_or(0);
    let enough = counted.samples >= whole(at_least) && !spreads.is_empty();
    let worst = if enough { spreads.iter().map(|(_, worst)| *worst).max().unwrap_or(last) } else { last };
    let verdict = if counted.results.is_empty() { Verdict::NotShown } else { graded(bands, best, worst) };
    let named = |index: usize| bands.get(index).map_or("", |band| band.name.text.as_str());
    let words = |index: usize| bands.get(index).map_or("", |band| band.grade.words());
    let mut line = if best == worst {
        format!("the lot falls in the band {} ({})", named(best), words(best))
    } else {
        format!("the lot may fall in any band from {} to {}", named(best), named(worst))
    };
    if !enough {
        line.push_str(&format!("; {} of {at_least} samples on record", counted.samples));
    }
    let list: Vec<String> = counted.results.iter().map(samples::shown).collect();
    let mut evidence = vec![line];
    if !list.is_empty() {
        evidence.push(format!("{} samples: {}", counted.samples, list.join(", ")));
    }
    let told = |result: &Result| match spread(result) {
        (best, worst) if best == worst => format!("band {}", named(best)),
        (best, worst) => format!("band {} to {}", named(best), named(worst)),
    };
    // Without a result nothing says in which band the lot falls: any of them.
    let bands = Some((named(best).to_owned(), named(worst).to_owned()));
    Part {
        bands,
        ..part((context, parameter), "by the worst sample".to_owned(), verdict, evidence, (&counted, at_least), &told)
    }
}

/// A result beside a figure, in words.
fn side(verdict: Verdict, figure: &Measured) -> String {
    match verdict {
        Verdict::Met => format!("not over {}", figure.shown()),
        Verdict::NotMet => format!("over {}", figure.shown()),
        Verdict::NotShown => format!("may be over {}", figure.shown()),
    }
}

fn part(
    (context, parameter): (&Context<'_>, &Parameter),
    form: String,
    verdict: Verdict,
    mut evidence: Vec<String>,
    (counted, wanted): (&Counted, u32),
    told: &dyn Fn(&Result) -> String,
) -> Part {
    if counted.distrusted {
        evidence.push(format!("the instrument of some results {NOT_TRUSTED}; they show nothing"));
    }
    let workings = Workings::told(context, || {
        let line = |result: &Result| {
            format!("sample {}: {}, {} ({})", result.sample, samples::shown(result), told(result), result.place)
        };
        let mut lines: Vec<String> = counted.results.iter().map(line).collect();
        lines.push(format!(
            "{} different samples of {wanted}; {} missing, each of which may be anything",
            counted.samples,
            whole(wanted).saturating_sub(counted.samples)
        ));
        if counted.distrusted {
            lines.push(format!("the instrument of some results {NOT_TRUSTED}; they are left out"));
        }
        lines
    });
    Part {
        workings,
        unit: counted.results.first().and_then(|result| result.unit),
        verdict,
        evidence,
        trace: counted.results.iter().filter(|result| result.known).map(samples::row).collect(),
        ..Part::silent(parameter.name.text.clone(), form)
    }
}
