//! Every limit of a lot.

use super::compile::{self, Asked};
use super::engine::{Outcome, Row, Sampling, Window, judge, judge_restarting, judge_telling};
use super::thin::thin;
use super::traces::{self, Found, Track};
use super::windows::{self, Stretch, stages};
use super::workings::{Workings, formulas, thresholds};
use super::{
    InstrumentState, LimitVerdict, Part, checks, diverted, evidence, facts, judged, rates, resets, stage_end, until,
};
use crate::log::{Lot, Records};
use crate::plan::{Condition, Control, Limit, LimitKind, Name, Over, Plan};
use crate::quantity::Rational;
use crate::time::{Zone, show_duration};
use crate::verdict::Verdict;

/// How the evidence says that an instrument is not trusted.
pub(super) const NOT_TRUSTED: &str = "is not trusted";

/// What every judgement needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Context<'a> {
    pub plan: &'a Plan,
    pub records: &'a Records,
    pub zone: Zone,
    pub instruments: &'a [InstrumentState],
    /// The stretch to which every window is cut, nanoseconds UTC.
    pub cut: Option<(i64, i64)>,
    /// Windows of affected product, worked out once.
    pub windows: &'a [checks::Windows<'a>],
    /// Whether the workings are kept.
    pub workings: bool,
    /// Whether the traces of limits that are not met or not shown are kept for drawing.
    pub drawn: bool,
    /// Whether the limit that is judged counts the accuracy of instruments.
    pub accuracy: bool,
}

impl Context<'_> {
    pub fn instrument(&self, name: &str) -> Option<&InstrumentState> {
        self.instruments.iter().find(|state| state.name == name)
    }
}

/// Judges every limit of every control for one lot, in the order of the plan.
pub(super) fn judge_lot(context: &Context<'_>, lot: &Lot) -> Vec<LimitVerdict> {
    judge_chosen(context, lot, &|_, _| true, &mut |_, _| {})
}

/// Judges the limits chosen; those that a guard takes away from this lot are handed to `not_counted`.
pub(super) fn judge_chosen(
    context: &Context<'_>,
    lot: &Lot,
    chosen: &dyn Fn(&Control, &Limit) -> bool,
    not_counted: &mut dyn FnMut(&Control, &Limit),
) -> Vec<LimitVerdict> {
    let mut verdicts = Vec::new();
    for control in &context.plan.controls {
        for limit in control.limits.iter().filter(|limit| chosen(control, limit)) {
            match one(context, control, limit, lot) {
                Some(verdict) => verdicts.push(verdict),
                None => not_counted(control, limit),
            }
        }
    }
    verdicts
}

/// One limit; nothing where a guard says that it does not count for this lot.
fn one(context: &Context<'_>, control: &Control, limit: &Limit, lot: &Lot) -> Option<LimitVerdict> {
    let mut verdict = LimitVerdict {
        control: control.name.text.clone(),
        limit: limit.name.text.clone(),
        kind: limit.kind,
        symbols: limit.symbols(),
        beside: limit.beside(context.plan, control),
        verdict: Verdict::NotShown,
        why: String::new(),
        as_read: None,
        not_yet: false,
        parts: Vec::new(),
        joined: Vec::new(),
    };
    if let Some(guard) = &limit.guard {
        match facts::guarded(context.plan, guard, lot) {
            Some(true) => {}
            Some(false) => return None,
            None => {
                verdict.why = "the fact that decides whether this limit counts is not recorded".to_owned();
                return Some(verdict);
            }
        }
    }
    let Some(condition) = limit.condition.as_ref().filter(|_| !limit.is_blank()) else {
        verdict.why = "the limit is still blank in the plan".to_owned();
        return Some(verdict);
    };
    let context = &Context { accuracy: limit.shape.accuracy.is_some(), ..*context };
    let counted = match limit.enough(context.plan) {
        Ok(enough) => enough.is_some(),
        Err(why) => {
            verdict.why = why;
            return Some(verdict);
        }
    };
    let answer = judged::judge(context, control, limit, condition, lot, &mut verdict);
    let alternatives = matches!(condition, Condition::Any(_) | Condition::Chosen { .. } | Condition::ChosenRow { .. });
    conclude(&mut verdict, answer, counted || alternatives);
    Some(verdict)
}

/// The answer of the whole condition, with the line that decided it.
fn conclude(verdict: &mut LimitVerdict, answer: Verdict, alternatives: bool) {
    verdict.verdict = answer;
    if verdict.parts.is_empty() {
        if verdict.why.is_empty() {
            verdict.why = "nothing in the records can be held against this limit".to_owned();
        }
        return;
    }
    if !alternatives && verdict.parts.iter().any(|part| part.as_read.is_some()) {
        verdict.as_read = Some(Verdict::all(verdict.parts.iter().map(|part| part.as_read.unwrap_or(part.verdict))));
    }
    let deciding = verdict.parts.iter().find(|part| part.verdict == verdict.verdict);
    if let Some(line) = deciding.and_then(|part| part.evidence.first()) {
        verdict.why = line.clone();
    }
    if verdict.verdict == Verdict::NotShown
        && let Some(as_read) = verdict.as_read.filter(|as_read| *as_read != Verdict::NotShown)
    {
        let reason = verdict.parts.iter().flat_map(|part| &part.evidence).find(|line| line.contains(NOT_TRUSTED));
        verdict.why = format!("{as_read} as read, but {}", reason.unwrap_or(&verdict.why));
    }
}

/// Judges a condition without parts over the traces of its parameter. Every trace adds a part; without one, the
/// verdict says why.
pub(super) fn over_time(
    context: &Context<'_>,
    control: &Control,
    limit: &Limit,
    condition: &Condition,
    lot: &Lot,
    verdict: &mut LimitVerdict,
) {
    let Some(name) = condition.own_parameters().first().copied() else { return };
    let Some(parameter) = context.plan.parameter(&name.text) else {
        verdict.why = format!("`{name}` is not in the plan");
        return;
    };
    let stages = stages(context.plan, control, limit);
    let record = traces::record_of(context, lot, parameter);
    let window = match windows::counted(limit, condition, &stages, lot, record) {
        Stretch::Known(window) => window,
        Stretch::NotBegun => {
            let stage = stages.first().map_or("", |stage| stage.name.text.as_str());
            verdict.not_yet = true;
            verdict.why = format!("not yet: the record of this lot has no start of {stage}");
            return;
        }
        Stretch::NoStage => {
            verdict.why = "the plan names no stage for this limit, so there is no stretch of time to judge".to_owned();
            return;
        }
    };
    let met = stages.last().and_then(|stage| stage_end::met(context, stage, lot));
    let window = Window { end: window.end.or(met.as_ref().map(|met| met.between)), ..window };
    let window = match condition {
        Condition::DegreeHours { until: Some((name, range)), .. } => {
            Window { end: until::end(context, control, lot, (name, range), window), ..window }
        }
        _ => window,
    };
    let Some((every, late)) = traces::promised(context.plan, control, parameter) else {
        verdict.why = format!("the plan does not say how often `{name}` is read");
        return;
    };
    let window = context.cut.map_or(window, |cut| judged::cut(window, cut));
    let sampling =
        Sampling { credit_gap: credit_gap(limit, condition, every), edge_allowance: every.saturating_add(late) };
    let from = verdict.parts.len();
    let judged = traces::Judged { window, beyond: sampling.credit_gap.max(sampling.edge_allowance) };
    for found in traces::find(context, control, parameter, lot, Some(judged)) {
        match found {
            Found::Silent(what) => {
                let evidence = vec![format!("`{what}`: the records hold no reading of it for this lot")];
                verdict.parts.push(Part { evidence, ..Part::silent(what, String::new()) });
            }
            // What a place or a probe showed for the load before says nothing of this one.
            Found::Track(mut track) => {
                track.own &= lot.load.is_none();
                if let Some(answer) = &limit.shape.diverted {
                    diverted::excuse(context, answer, condition, lot, &mut track);
                }
                let asked = limit.shape.reset.as_ref().map(|reset| {
                    let (unit, spot) = (track.unit, track.spot);
                    let other = control.limit(&reset.limit.text);
                    let fits = limit.unfit_reset(context.plan, control).is_none();
                    let other = other.filter(|_| fits);
                    let off = other.and_then(|other| resets::off(context, control, other, &track));
                    resets::Asked {
                        control,
                        name: &reset.limit,
                        other,
                        lot,
                        record,
                        unit,
                        promised: (every, late),
                        spot,
                        off,
                    }
                });
                judge_track(context, (condition, asked), window, sampling, &track, verdict);
            }
        }
    }
    if let (Some(met), Some(name)) = (&met, stages.last().and_then(|stage| stage.ends_when())) {
        let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
        let (first, last) = met.between;
        for part in verdict.parts.iter_mut().skip(from) {
            part.evidence.push(format!(
                "the stage ends when `{name}` is met: from {} to {}",
                local(first),
                local(last)
            ));
        }
    }
    if context.workings {
        let mut ends = windows::ends(context, windows::since(limit, condition), &stages, lot, window);
        if let Condition::DegreeHours { until: Some((name, range)), .. } = condition {
            ends.pop();
            let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
            ends.push(match window.end {
                Some((first, last)) => {
                    format!("end: when {name} came to {}, from {} to {}", range.words(), local(first), local(last))
                }
                None => format!("end: {name} is not shown to have come to {}", range.words()),
            });
        }
        for part in verdict.parts.iter_mut().skip(from) {
            let computed = part.channel.is_none();
            let Some(workings) = part.workings.as_mut() else { continue };
            workings.ends.clone_from(&ends);
            if computed {
                let recorded = |name: &Name| !traces::channels(context, lot, &name.text).is_empty();
                workings.formulas = formulas(context.plan, parameter, &recorded);
            }
        }
    }
}

/// 2.5 intervals, or the held time where that is shorter; the plan may say otherwise.
pub(super) fn credit_gap(limit: &Limit, condition: &Condition, every: i64) -> i64 {
    if let Some(own) = limit.credit_gap.as_ref().and_then(crate::plan::limit::Measured::nanoseconds) {
        return own;
    }
    let default = every.saturating_mul(5) / 2;
    match condition {
        Condition::Level { over: Over::Held(time) | Over::StretchAtLeast(time), .. } => {
            time.nanoseconds().map_or(default, |held| default.min(held))
        }
        _ => default,
    }
}

fn judge_track(
    context: &Context<'_>,
    (condition, reset): (&Condition, Option<resets::Asked<'_>>),
    window: Window,
    sampling: Sampling,
    track: &Track,
    verdict: &mut LimitVerdict,
) {
    // Where it is not known the trace holds no reading that counts, so that nothing is left to widen.
    let off = track.off.by().unwrap_or(Rational::ZERO);
    let declared = rates::rates(context.plan, condition, track.unit, off);
    let growth = rates::growth(context.plan, condition, track.unit, off);
    let forms = compile::forms(condition, (track.unit, off), declared.as_ref(), growth.as_ref());
    let Some(forms) = forms else {
        verdict.why =
            format!("the plan does not declare all that this limit needs for readings in {}", track.unit.symbol);
        return;
    };
    // Single values are never joined; before its stage a place says nothing about this lot.
    let sampling = if track.spot { Sampling { credit_gap: 0, edge_allowance: 0 } } else { sampling };
    let from = if matches!(condition, Condition::Passage { .. }) && !track.own { window.start.0 } else { i64::MIN };
    let told = evidence::Told {
        zone: context.zone,
        records: context.records,
        channel: track.channel,
        unit: track.unit,
        sampling,
        missing: track.missing,
    };
    let workings = |quantity, form: &super::engine::Form<'_>| Workings {
        quantity,
        thresholds: thresholds(form, track.unit),
        window: Some(window),
        sampling: Some(sampling),
        sources: track.sources.clone(),
        pairs: track.pairs.clone(),
        left_out: track.as_read.as_ref().map_or(0, |all| all.len().saturating_sub(track.rows.len())),
        ..Workings::default()
    };
    for Asked { words, quantity, form } in forms {
        let since = |rows: &[Row]| rows.iter().copied().filter(|row| row.at >= from).collect::<Vec<Row>>();
        let rows = track.rows.iter().copied().filter(|row| row.at >= from);
        let mut anew = Vec::new();
        let (outcome, workings) = if let Some(asked) = &reset {
            let rows: Vec<Row> = rows.collect();
            let met = resets::met(context, asked, &track.rows);
            let found = judge_restarting(form, window, sampling, &rows, &met, context.workings);
            anew = resets::told(&told, asked.name, window, &met, &found);
            let workings = context.workings.then(|| {
                let leg = resets::deciding(&found);
                let lines = leg.map(|leg| {
                    let to = leg.window.end.map_or(i64::MAX, |(_, end)| end);
                    format!("the steps are of the stretch with the largest most, {}", told.span(leg.window.start.0, to))
                });
                Box::new(Workings {
                    steps: leg.map_or_else(Vec::new, |leg| leg.steps.clone()),
                    lines: lines.into_iter().chain(anew.iter().cloned()).chain(track.remarks.iter().cloned()).collect(),
                    ..workings(quantity, &form)
                })
            });
            (found.outcome, workings)
        } else if context.workings {
            let (outcome, steps) = judge_telling(form, window, sampling, rows);
            let workings = Workings { steps, lines: track.remarks.clone(), ..workings(quantity, &form) };
            (outcome, Some(Box::new(workings)))
        } else {
            (judge(form, window, sampling, rows), None)
        };
        let as_read: Option<Outcome> = track.as_read.as_ref().map(|all| match &reset {
            Some(asked) => {
                let met = resets::met(context, asked, all);
                judge_restarting(form, window, sampling, &since(all), &met, false).outcome
            }
            None => judge(form, window, sampling, all.iter().copied().filter(|row| row.at >= from)),
        });
        let outcome = outcome.counting(compile::doubt(&form, off));
        let all = track.as_read.as_ref().unwrap_or(&track.rows);
        let drawn = context.drawn && outcome.verdict != Verdict::Met;
        let trace = if !drawn { Vec::new() } else { thin(all) };
        let thinned = !trace.is_empty() && trace.len() < all.len();
        let coarse = (outcome.verdict == Verdict::NotShown).then(|| coarse(&track.rows, window, sampling)).flatten();
        let evidence = coarse
            .into_iter()
            .chain(told.lines(&words, quantity, &outcome))
            .chain(anew)
            .chain(track.remarks.iter().cloned())
            .collect();
        verdict.parts.push(Part {
            adjusted: Vec::new(),
            what: track.what.clone(),
            form: words,
            channel: track.channel,
            unit: Some(track.unit),
            verdict: outcome.verdict,
            window: Some((window.start.0, window.end.map(|(_, end)| end))),
            credit_gap: Some(sampling.credit_gap),
            outcome: Some(outcome),
            bands: None,
            as_read: as_read.map(|outcome| outcome.verdict),
            evidence,
            trace,
            thinned,
            workings,
        });
    }
}

/// A record that is coarser throughout than the plan promises: said in place of one of its many gaps.
fn coarse(rows: &[Row], window: Window, sampling: Sampling) -> Option<String> {
    let inside = |row: &&Row| window.start.0 <= row.at && window.end.is_none_or(|(_, end)| row.at <= end);
    let times: Vec<i64> = rows.iter().filter(inside).map(|row| row.at).collect();
    let mut steps: Vec<i64> = times.windows(2).filter_map(|pair| Some(pair.get(1)? - pair.first()?)).collect();
    steps.sort_unstable();
    let usual = *steps.get(steps.len() / 2)?;
    (usual > sampling.credit_gap).then(|| {
        format!(
            "the record has a reading every {}, and readings further apart than {} are not joined: the plan promises more",
            show_duration(usual),
            show_duration(sampling.credit_gap)
        )
    })
}

/// Whether a limit is a critical one.
pub(super) fn is_critical(limit: &Limit) -> bool {
    limit.kind == LimitKind::Critical
}
