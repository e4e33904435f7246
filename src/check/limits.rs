//! Limits: each CCP has a critical one, it can be read, and nothing beside it is weaker.

use super::Desk;
use super::compare::{SAMPLES, Strictness, compare};
use crate::finding::Finding;
use crate::plan::limit::RangeForm;
use crate::plan::{Condition, Control, Instrument, Limit, LimitKind, Name, Plan};
use crate::quantity::Quantity;

crate::rules! {
    /// A CCP without a limit.
    CCP_WITHOUT_LIMIT = "L201" "ccp-without-limit" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// A CCP whose limits are all operating limits, guides or identity values.
    ///
    /// An operating limit says when to adjust; only a critical limit parts acceptable from unacceptable.
    NO_CRITICAL_LIMIT = "L202" "no-critical-limit" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// An operating limit that is not stricter than the critical limit beside it.
    WEAK_OPERATING_LIMIT = "L203" "weak-operating-limit" Error;
    /// A limit on something that this control does not monitor.
    ///
    /// A computed parameter counts as monitored where both parameters that it is computed from are; a fact about the lot
    /// where it is recorded.
    UNMONITORED_LIMIT = "L204" "unmonitored-limit" Error ["codex.monitor", "fsis.417.2.c4", "fish.123.6.c4", "juice.120.8.b", "pc.117.145.a", "eu.852.5.2d"];
    /// A limit names a stage of a step at which the control does not work.
    STAGE_ELSEWHERE = "L205" "stage-elsewhere" Error;
    /// A limit lies outside the range of the instrument that reads it.
    OUT_OF_RANGE = "L206" "limit-out-of-range" Error ["codex.monitor", "fsis.417.2.c4", "fish.123.6.c4", "juice.120.8.b", "pc.117.145.a", "eu.852.5.2d"];
    /// An operating limit that stands beside no critical limit on the same parameter.
    LONE_OPERATING_LIMIT = "L207" "lone-operating-limit" Warning;
    /// An inactivation without its D or its z.
    INCOMPLETE_INACTIVATION = "L208" "incomplete-inactivation" Error ["codex.limit.validated", "fsis.417.5.a2", "pc.117.160.a"];
    /// An inactivation that does not say for which temperatures it holds, or on what it rests.
    UNBOUNDED_INACTIVATION = "L209" "unbounded-inactivation" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in &plan.controls {
        exists(desk, control);
        for limit in &control.limits {
            monitored(desk, control, limit);
            stages(desk, control, limit);
            readable(desk, control, limit);
            if limit.kind == LimitKind::Operating {
                stricter(desk, control, limit);
            }
        }
    }
    for model in &plan.inactivations {
        inactivation(desk, model);
    }
}

fn exists(desk: &mut Desk<'_>, control: &Control) {
    if !control.is_ccp() || control.limits.iter().any(|limit| limit.kind == LimitKind::Critical) {
        return;
    }
    match control.limits.first() {
        None => desk.lacks(
            &CCP_WITHOUT_LIMIT,
            control.loc,
            "limit",
            format!("`{}` has no limit", control.name),
            "add `limit NAME PARAMETER >= VALUE`: what parts acceptable from unacceptable",
        ),
        Some(limit) => desk.say(
            Finding::at(&NO_CRITICAL_LIMIT, control.loc, format!("`{}` has no critical limit", control.name))
                .also(limit.loc, format!("an `{}` stands here", limit.kind.word()))
                .help("add a `limit`: what parts acceptable from unacceptable"),
        ),
    }
}

/// Whether a control shows a parameter: it monitors it, monitors what it is computed from, or the lot's record holds it.
pub(super) fn shows(plan: &Plan, control: &Control, parameter: &Name) -> bool {
    if control.monitor_of(&parameter.text).is_some() {
        return true;
    }
    plan.parameter(&parameter.text).is_none_or(|declared| {
        declared.recorded.is_some()
            || declared.formula.is_some() && {
                let ends = |name: &Name| control.monitor_of(&name.text).is_some();
                plan.rests_on(declared, &ends).iter().all(|input| {
                    control.monitor_of(&input.text).is_some()
                        || plan.parameter(&input.text).is_none_or(|declared| declared.recorded.is_some())
                })
            }
    })
}

fn monitored(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    for parameter in limit.parameters() {
        if shows(desk.plan, control, parameter) {
            continue;
        }
        let finding = Finding::at(
            &UNMONITORED_LIMIT,
            parameter.loc,
            format!("`{}` sets a limit on `{parameter}`, and does not monitor it", control.name),
        );
        let formula = desk.plan.parameter(&parameter.text).filter(|declared| declared.formula.is_some());
        let mut finding = match formula {
            Some(declared) => {
                let ends = |name: &Name| control.monitor_of(&name.text).is_some();
                let inputs: Vec<String> =
                    desk.plan.rests_on(declared, &ends).iter().map(|name| format!("`{name}`")).collect();
                finding.also(declared.loc, "computed here").help(format!("add `monitor` for {}", inputs.join(" and ")))
            }
            None => finding.help(format!("add `monitor {parameter} HOW-OFTEN by ROLE using INSTRUMENT on RECORD`")),
        };
        if let Some(before) = super::place::before(desk.plan, control.loc, "monitor") {
            finding = finding.also(before, "`monitor` would follow here");
        }
        let declared = desk
            .plan
            .parameter(&parameter.text)
            .filter(|declared| declared.formula.is_none() && declared.pairing.is_some());
        if let Some(before) = declared.and_then(|declared| super::place::before(desk.plan, declared.loc, "from")) {
            finding = finding.also(before, "if it is computed, `from` would follow here");
        }
        desk.say(finding);
    }
}

fn stages(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    for name in limit.stages() {
        let Some((step, stage)) = desk.plan.stage(&name.text) else { continue };
        // A check may run over the stage of a step directly before or after: the detector stands in the packing line.
        let near = control.at.iter().filter_map(|at| desk.order.index(&at.text)).any(|at| {
            let own = desk.order.index(&step.name.text);
            own == Some(at) || own.is_some_and(|own| desk.order.before.get(at).is_some_and(|list| list.contains(&own)))
        });
        if !near && !control.at.is_empty() {
            desk.say(
                Finding::at(
                    &STAGE_ELSEWHERE,
                    name.loc,
                    format!("`{name}` is a stage of `{}`, and `{}` does not work there", step.name, control.name),
                )
                .also(stage.name.loc, "declared here")
                .help("name a stage of the step at which the control works"),
            );
        }
    }
}

/// The instruments that read a parameter for a control, for a computed one those of its inputs.
pub(super) fn instruments<'a>(plan: &'a Plan, control: &Control, parameter: &Name) -> Vec<&'a Instrument> {
    let Some(monitor) = control.monitor_of(&parameter.text) else { return Vec::new() };
    let using = monitor.using.iter().filter_map(|name| plan.instrument(&name.text));
    using.filter(|instrument| instrument.measures.contains(parameter)).collect()
}

/// The values that an instrument must be able to read.
pub(super) fn levels(condition: Option<&Condition>) -> Vec<Quantity> {
    match condition {
        Some(Condition::Level { range, .. } | Condition::Never { range, .. }) => {
            let edges = [&range.lower, &range.upper].into_iter().flatten();
            edges
                .filter_map(|edge| {
                    if matches!(range.form, RangeForm::Tolerance(..) | RangeForm::ShareOfValue(..)) {
                        None
                    } else {
                        edge.at.quantity
                    }
                })
                .collect()
        }
        Some(Condition::Passage { from, to, .. }) => [from, to].iter().filter_map(|value| value.quantity).collect(),
        Some(Condition::Reaches { at, .. }) => at.quantity.into_iter().collect(),
        _ => Vec::new(),
    }
}

fn readable(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    let Some(parameter) = limit.parameters().first().copied() else { return };
    for instrument in instruments(desk.plan, control, parameter) {
        let Some((low, high)) = &instrument.range else { continue };
        let (Some(bottom), Some(top)) = (low.quantity.and_then(|q| q.base()), high.quantity.and_then(|q| q.base()))
        else {
            continue;
        };
        for level in levels(limit.condition.as_ref()) {
            let same = low.dimension() == Some(level.dimension());
            if let (Some(at), true) = (level.base(), same)
                && (at < bottom || at > top)
            {
                desk.say(
                    Finding::at(
                        &OUT_OF_RANGE,
                        limit.condition_loc,
                        format!(
                            "`{}` reads from {} to {}, and this limit is at {level}",
                            instrument.name,
                            low.shown(),
                            high.shown()
                        ),
                    )
                    .also(low.loc, "its range")
                    .help(super::scale::other(level, bottom, top).map_or_else(
                        || "use an instrument that can read the limit, or correct the range".to_owned(),
                        |meant| format!("was `{meant}` meant? Else use an instrument that can read the limit"),
                    )),
                );
            }
        }
    }
}

fn stricter(desk: &mut Desk<'_>, control: &Control, own: &Limit) {
    let Some(parameter) = own.parameters().first().copied() else { return };
    let critical: Vec<&Limit> = control
        .limits
        .iter()
        .filter(|limit| {
            limit.kind == LimitKind::Critical
                && limit.parameters().contains(&parameter)
                && !matches!(limit.condition, Some(Condition::Reduction { .. }))
        })
        .collect();
    if critical.is_empty() && control.limits.iter().any(|limit| limit.kind == LimitKind::Critical) {
        desk.say(
            Finding::at(
                &LONE_OPERATING_LIMIT,
                own.loc,
                format!("`{}` stands beside no critical limit on `{parameter}`", own.name),
            )
            .help("add the `limit` that it is meant to keep clear of, or make it a `guide`"),
        );
    }
    for limit in critical {
        if weak(desk.plan, own, limit) {
            desk.say(
                Finding::at(
                    &WEAK_OPERATING_LIMIT,
                    own.condition_loc,
                    format!("`{}` is no stricter than the critical limit `{}`", own.name, limit.name),
                )
                .also(limit.condition_loc, "the critical limit")
                .help("set the operating limit so that there is time to adjust before the critical limit is reached"),
            );
        }
    }
}

/// Whether an operating limit is no stricter than a limit. It need not ask for as many samples, and one that alone
/// counts the accuracy is stricter at the same figure.
fn weak(plan: &Plan, own: &Limit, limit: &Limit) -> bool {
    let (Some(ours), Some(theirs)) = (&own.condition, &limit.condition) else { return false };
    let facts = own.guard.as_ref().map_or(&[][..], |guard| &guard.facts);
    match compare(plan, ours, theirs, facts) {
        _ if own.shape.accuracy.is_some() && limit.shape.accuracy.is_none() => false,
        Strictness::Weaker(what) => what != SAMPLES,
        Strictness::Same => true,
        Strictness::Stricter | Strictness::Unknown => false,
    }
}

fn inactivation(desk: &mut Desk<'_>, model: &crate::plan::Inactivation) {
    for (missing, word, help) in
        [(model.d.is_none(), "D", "add `D 18 s at 65 °C`"), (model.z.is_none(), "z", "add `z 6 °C`")]
    {
        if missing {
            desk.lacks(
                &INCOMPLETE_INACTIVATION,
                model.loc,
                word,
                format!("`{}` has no {word}", model.name),
                format!("{help}, with the values of the study"),
            );
        }
    }
    for (missing, word, message, help) in [
        (
            model.range.is_none(),
            "range",
            "does not say for which temperatures it holds",
            "add `range LOW to HIGH`; outside it the rate is not known",
        ),
        (model.cites.is_empty(), "cites", "rests on nothing", "add `cites STUDY at \"where\"`"),
    ] {
        if missing {
            desk.lacks(&UNBOUNDED_INACTIVATION, model.loc, word, format!("`{}` {message}", model.name), help);
        }
    }
}
