//! Results of single samples: each must meet the limit, and there must be enough of them.

use super::Part;
use super::accuracy::{Off, higher, lower};
use super::adjusted::{Fate, fate};
use super::engine::{Band, Row};
use super::limits::{Context, NOT_TRUSTED};
use super::traces;
use super::workings::Workings;
use crate::log::{EntryKind, Lot, Outcome as Tested};
use crate::plan::limit::Range;
use crate::plan::{Control, Name, Parameter};
use crate::quantity::{Quantity, Rational, Unit, plain};
use crate::verdict::Verdict;
use std::collections::BTreeSet;

/// One result, wherever it was recorded.
pub(super) struct Result {
    pub sample: String,
    pub at: i64,
    lo: f64,
    hi: f64,
    lo_open: bool,
    hi_open: bool,
    /// Whether the value is a number, exact or bounded.
    pub known: bool,
    pub trusted: bool,
    pub unit: Option<Unit>,
    pub place: String,
    /// The record on which it stands.
    record: String,
    /// The answer of a result that is one.
    pub answer: Option<String>,
    /// The declared word for *not detected*.
    pub not_detected: bool,
    /// The mass that was tested.
    pub mass: Option<Quantity>,
    /// How far off the value may be, where the limit counts it.
    pub off: Off,
}

/// Judges a limit on every sample of a lot. All results count, retests too; a retest is no further sample.
pub(super) fn judge(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    range: &Range,
    at_least: u32,
    lot: &Lot,
) -> Part {
    let results = gather(context, control, parameter, lot, &[]);
    let mut judged = Vec::new();
    for result in &results {
        let verdict = if result.known { against(range, result) } else { Verdict::NotShown };
        judged.push((result, verdict));
    }
    // A retest is no adjustment: what puts a miss right is a good result of another sample, taken later.
    let mut adjusted = Vec::new();
    let mut open = false;
    let fates: Vec<Fate> = judged
        .iter()
        .map(|(result, verdict)| {
            if *verdict != Verdict::NotMet || !result.trusted {
                return Fate::Stands;
            }
            let good = judged.iter().filter(|(other, one)| {
                *one == Verdict::Met && other.trusted && other.sample != result.sample && other.record == result.record
            });
            fate(context, control, lot, (result.at, &result.record), good.map(|(other, _)| other.at))
        })
        .collect();
    for ((result, verdict), fate) in judged.iter_mut().zip(&fates) {
        let miss =
            || format!("sample {} is {}, limit {} ({})", result.sample, shown(result), range.words(), result.place);
        match fate {
            Fate::Stands => {}
            Fate::Perhaps(why) => {
                (*verdict, open) = (Verdict::NotShown, true);
                adjusted.push(format!("{}; whether it was adjusted in time is not shown: {why}", miss()));
            }
            Fate::Adjusted(how) => {
                *verdict = Verdict::Met;
                adjusted.push(format!("a miss that was adjusted: {}; {how}", miss()));
            }
        }
    }
    let samples: BTreeSet<&str> = results
        .iter()
        .zip(&fates)
        .filter(|(result, fate)| result.trusted && !matches!(fate, Fate::Adjusted(_)))
        .map(|(result, _)| result.sample.as_str())
        .collect();
    let enough = samples.len() >= usize::try_from(at_least).unwrap_or(usize::MAX);
    let each = |trusted_only: bool| {
        let worst = Verdict::all(
            judged
                .iter()
                .map(|(result, verdict)| if trusted_only && !result.trusted { Verdict::NotShown } else { *verdict }),
        );
        if worst == Verdict::Met && !enough { Verdict::NotShown } else { worst }
    };
    let verdict = each(true);
    let distrusted = results.iter().any(|result| !result.trusted);
    let mut evidence: Vec<String> = adjusted.clone();
    let adjusted_lines = evidence.len();
    let wanted = range.words();
    let over = judged.iter().find(|(result, verdict)| *verdict == Verdict::NotMet && result.trusted);
    if let Some((result, _)) = over.filter(|_| verdict == Verdict::NotMet) {
        evidence.insert(0, format!("sample {} is {}, limit {wanted} ({})", result.sample, shown(result), result.place));
    }
    if !enough {
        let on_record: BTreeSet<&str> = results.iter().map(|result| result.sample.as_str()).collect();
        let beside = on_record.len() - samples.len();
        let more = if beside == 0 {
            String::new()
        } else {
            format!("; {beside} more on record count for nothing (instrument not trusted, or adjusted)")
        };
        evidence.push(format!("{} of {at_least} samples on record{more}", samples.len()));
    }
    for (result, one) in &judged {
        if *one == Verdict::NotShown {
            evidence.push(format!(
                "sample {} is {}, which decides nothing ({})",
                result.sample,
                shown(result),
                result.place
            ));
        }
    }
    if distrusted {
        evidence.push(format!("the instrument of some results {NOT_TRUSTED}; they show nothing"));
    }
    if evidence.len() == adjusted_lines {
        let list: Vec<String> = results.iter().map(shown).collect();
        evidence.push(format!("{} samples: {}", samples.len(), list.join(", ")));
    }
    let trace = if verdict == Verdict::Met {
        Vec::new()
    } else {
        results.iter().filter(|result| result.known).map(row).collect()
    };
    Part {
        unit: results.first().and_then(|result| result.unit),
        verdict,
        as_read: distrusted.then(|| each(false)),
        adjusted: if open { Vec::new() } else { adjusted },
        evidence,
        trace,
        workings: Workings::told(context, || {
            let mut lines: Vec<String> = judged
                .iter()
                .map(|(result, one)| {
                    let trust = if result.trusted { "" } else { ", but its instrument is not trusted: shows nothing" };
                    format!("sample {}: {}, {one}{trust} ({})", result.sample, shown(result), result.place)
                })
                .collect();
            lines.push(format!("{} different samples counted, asked for at least {at_least}", samples.len()));
            lines
        }),
        ..Part::silent(parameter.name.text.clone(), format!("{wanted} in every sample, at least {at_least}"))
    }
}

pub(super) fn row(result: &Result) -> Row {
    Row::spread(result.at, result.lo, result.hi)
}

pub(super) fn gather(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    lot: &Lot,
    within: &[&Name],
) -> Vec<Result> {
    let name = &parameter.name.text;
    let only = control.monitor_of(name).and_then(|monitor| match monitor.using.as_slice() {
        [only] => Some(only.text.as_str()),
        _ => None,
    });
    let trusts = |instrument: Option<&str>, at: i64| {
        instrument.and_then(|name| context.instrument(name)).is_none_or(|state| !state.distrusts(at))
    };
    let mut results: Vec<Result> = context
        .records
        .samples
        .iter()
        .filter(|sample| sample.parameter == *name && sample.lot == lot.code)
        .map(|sample| Result {
            sample: sample.sample.clone(),
            at: sample.at.0,
            lo: sample.lo,
            hi: sample.hi,
            lo_open: sample.lo_open,
            hi_open: sample.hi_open,
            known: matches!(sample.outcome, Tested::Value | Tested::Below | Tested::Above),
            trusted: trusts(sample.instrument.as_deref().or(only), sample.at.0),
            unit: sample.unit,
            answer: sample.answer.clone(),
            not_detected: sample.outcome == Tested::NotDetected,
            mass: sample.mass,
            off: sample
                .unit
                .map_or(Off::NOTHING, |unit| Off::of(context, control, (name, sample.instrument.as_deref()), unit)),
            place: format!("{}, row {}", sample.cell.file, sample.cell.row),
            record: sample.record.clone(),
        })
        .collect();
    for (_, channel) in traces::channels(context, lot, name) {
        if !channel.spot || channel.lot.is_none() {
            continue;
        }
        for entry in &channel.rows {
            let file = context.records.files.get(usize::from(entry.file)).map_or("", |file| file.name.as_str());
            results.push(Result {
                sample: context.zone.show_local(crate::time::Instant(entry.at)),
                at: entry.at,
                lo: entry.lo,
                hi: entry.hi,
                lo_open: false,
                hi_open: false,
                known: entry.kind == EntryKind::Reading,
                trusted: trusts(traces::instrument(control, channel), entry.at),
                unit: Some(channel.unit),
                answer: None,
                not_detected: false,
                mass: None,
                off: Off::of(context, control, (name, traces::instrument(control, channel)), channel.unit),
                place: format!("{file}, row {}", entry.row),
                record: channel.record.clone(),
            });
        }
    }
    if results.is_empty() && !within.contains(&&parameter.name) {
        return computed(context, control, parameter, lot, within);
    }
    results
}

/// Results computed from those of other parameters on the same sample; every pair of results counts, retests too.
fn computed(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    lot: &Lot,
    within: &[&Name],
) -> Vec<Result> {
    let Some((formula, unit)) = parameter.formula.as_ref().zip(parameter.unit.as_ref()) else { return Vec::new() };
    let way: Vec<&Name> = within.iter().copied().chain([&parameter.name]).collect();
    let names = formula.inputs();
    let inputs: Vec<Vec<Result>> = names
        .iter()
        .map(|name| context.plan.parameter(&name.text))
        .map(|input| input.map_or_else(Vec::new, |input| gather(context, control, input, lot, &way)))
        .collect();
    let mut samples: Vec<&str> = inputs.iter().flatten().map(|result| result.sample.as_str()).collect();
    samples.sort_unstable();
    samples.dedup();
    let mut results = Vec::new();
    for sample in samples {
        let of = |input: &Vec<Result>| input.iter().filter(|result| result.sample == sample).count();
        if inputs.iter().any(|input| of(input) == 0) {
            // Something was measured on it and something else was not: the computed value is not known.
            let seen = inputs.iter().flatten().find(|result| result.sample == sample);
            results.extend(seen.map(|seen| Result {
                sample: sample.to_owned(),
                at: seen.at,
                lo: f64::NEG_INFINITY,
                hi: f64::INFINITY,
                lo_open: false,
                hi_open: false,
                known: false,
                trusted: true,
                unit: Some(unit.value),
                answer: None,
                not_detected: false,
                mass: None,
                off: Off::NOTHING,
                place: seen.place.clone(),
                record: seen.record.clone(),
            }));
            continue;
        }
        // One way to take a result of each input, for every such way.
        let mut ways: Vec<Vec<&Result>> = vec![Vec::new()];
        for input in &inputs {
            let own = input.iter().filter(|result| result.sample == sample);
            ways = own
                .flat_map(|result| ways.iter().map(move |way| way.iter().copied().chain([result]).collect()))
                .collect();
        }
        results.extend(ways.iter().filter_map(|way| {
            let last = way.iter().max_by_key(|result| result.at)?;
            let values: Option<Vec<_>> = names
                .iter()
                .zip(way)
                .map(|(name, one)| {
                    let value = super::computed::base(one.widened()?, one.unit?).filter(|_| one.known)?;
                    Some((*name, value))
                })
                .collect();
            let value = values.and_then(|values| super::computed::value(formula, unit.value, &values));
            let (lo, hi) = value.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
            Some(Result {
                sample: sample.to_owned(),
                at: last.at,
                lo,
                hi,
                lo_open: false,
                hi_open: false,
                known: value.is_some(),
                trusted: way.iter().all(|result| result.trusted),
                unit: Some(unit.value),
                answer: None,
                not_detected: false,
                mass: None,
                // What each input may be off by is in the computed value already.
                off: Off::NOTHING,
                place: last.place.clone(),
                record: last.record.clone(),
            })
        }));
    }
    results
}

impl Result {
    /// The values that it leaves open; `None` where nobody says how far off it may be.
    fn widened(&self) -> Option<(f64, f64)> {
        let by = self.off.by()?;
        let wide = |end: f64, moved: fn(f64, Rational) -> f64| match by.is_zero() || !end.is_finite() {
            true => end,
            false => moved(end, by),
        };
        Some((wide(self.lo, lower), wide(self.hi, higher)))
    }

    /// Whether every value that it may be is greater than nothing.
    pub fn lowest_is_positive(&self) -> bool {
        self.widened().is_some_and(|(lo, _)| lo > 0.0 || lo == 0.0 && self.lo_open)
    }
}

/// A result against a range: every value it may be inside is met, every one outside is not met.
pub(super) fn against(range: &Range, result: &Result) -> Verdict {
    let off = result.unit.zip(result.off.by());
    let Some(condition) = off.and_then(|(unit, off)| super::compile::condition(range, unit, off)) else {
        return Verdict::NotShown;
    };
    let inside = condition.certain.contains(above(result.lo, result.lo_open), below(result.hi, result.hi_open));
    let touches = touches(&condition.possible, result);
    match (inside, touches) {
        (true, _) => Verdict::Met,
        (_, false) => Verdict::NotMet,
        _ => Verdict::NotShown,
    }
}

/// An open end is just inside of the figure, so that `<10` is below 10 and meets `< 10`.
fn above(value: f64, open: bool) -> f64 {
    if open { value.next_up() } else { value }
}

fn below(value: f64, open: bool) -> f64 {
    if open { value.next_down() } else { value }
}

fn touches(band: &Band, result: &Result) -> bool {
    band.touches(above(result.lo, result.lo_open), below(result.hi, result.hi_open))
}

pub(super) fn shown(result: &Result) -> String {
    let unit = result.unit.filter(|unit| !unit.dimension.bare());
    let unit = unit.map_or_else(String::new, |unit| format!("\u{a0}{}", unit.symbol));
    // How far off it may be, where that is counted.
    let unit = match result.off {
        Off::By(by) if by.is_zero() => unit,
        Off::By(by) => format!("{unit} ± {}{unit}", plain(by.to_f64(), 9)),
        Off::Unknown => format!("{unit}, off by nobody knows how much"),
    };
    if let Some(answer) = &result.answer {
        answer.clone()
    } else if result.not_detected {
        "not detected".to_owned()
    } else if !result.known {
        "unreadable".to_owned()
    } else if plain(result.lo, 9) == plain(result.hi, 9) {
        // A quotient that no double holds lies between two of them: to nine places it is one value.
        format!("{}{unit}", plain(result.lo, 9))
    } else if result.lo.is_infinite() {
        format!("{} {}{unit}", if result.hi_open { "<" } else { "≤" }, plain(result.hi, 9))
    } else if result.hi.is_infinite() {
        format!("{} {}{unit}", if result.lo_open { ">" } else { "≥" }, plain(result.lo, 9))
    } else {
        format!("{} to {}{unit}", plain(result.lo, 9), plain(result.hi, 9))
    }
}
