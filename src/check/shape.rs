//! What the block of a limit says beside its condition, held against the limit.

use super::Desk;
use super::compare::{Strictness, compare};
use crate::finding::{Finding, nearest};
use crate::plan::shape::Per;
use crate::plan::{Condition, Control, Limit, Plan};

crate::rules! {
    /// A limit that is weaker than the legal value written beside it.
    ///
    /// A plant may ask more of itself than the rule does, never less. For a hold both the level and the time count.
    WEAKER_THAN_REQUIRED = "L241" "weaker-than-required" Error ["codex.limit"];
    /// A limit and the legal value beside it that cannot be compared.
    ///
    /// They differ in form, in the model or in the stretch of time; whether the limit is as strict is then for a person
    /// to show.
    NOT_COMPARED = "L242" "required-not-compared" Note;
    /// A legal value that does not say where it stands.
    REQUIRED_WITHOUT_SOURCE = "L243" "required-without-source" Error ["codex.limit.validated"];
    /// A limit that stands for a value of the laboratory, with no study that shows that it may.
    PROXY_WITHOUT_STUDY = "L244" "proxy-without-study" Error ["codex.limit.validated"];
    /// An excursion that is allowed up to a value that the limit itself allows.
    EXCURSION_INSIDE = "L245" "excursion-inside-limit" Error ["codex.limit"];
    /// A count of probes that does not fit the parameter.
    ///
    /// The number declared with the parameter is the one that counts; a limit that speaks of another number was written
    /// for other probes.
    PROBES_MISCOUNTED = "L246" "probes-miscounted" Error ["codex.monitor"];
    /// A limit is judged per shift, and the plan does not say when shifts begin.
    SHIFTS_UNKNOWN = "L247" "shifts-unknown" Error ["codex.limit"];
    /// A limit is judged over parts of a lot that its records cannot tell apart.
    ///
    /// Samples belong to a lot and to none of its loads; checks and times between events are not cut into days.
    PARTS_NOT_TOLD_APART = "L248" "parts-not-told-apart" Error ["codex.limit"];
    /// A reset stands beside a limit that sums nothing up and runs no clock.
    ///
    /// A total time at most, a passage, a growth and degree-hours without an end point can start anew; what binds every
    /// moment cannot.
    NOTHING_TO_RESET = "L249" "nothing-to-reset" Error ["codex.limit"];
    /// The limit that is to start a sum or clock anew cannot do so.
    ///
    /// It must be another limit of the same control on the same parameter, and one that a record shows to be met at an
    /// instant: held for a time, reached, or a row of a table.
    UNFIT_RESET = "L250" "unfit-reset" Error ["codex.limit"];
    /// A divert that can excuse nothing.
    ///
    /// It goes with a bound or a range over every moment, and its answer must be monitored by the same control on the
    /// record of the readings, so that one clock says which readings it was recorded with.
    UNFIT_DIVERT = "L253" "unfit-divert" Error ["codex.monitor"];
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for (control, limit) in
        plan.controls.iter().flat_map(|control| control.limits.iter().map(move |limit| (control, limit)))
    {
        required(desk, control, limit);
        proxy(desk, limit);
        excursion(desk, limit);
        probes(desk, plan, limit);
        judged(desk, plan, limit);
        reset(desk, control, limit);
        diverted(desk, control, limit);
    }
}

fn required(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    for required in &limit.shape.required {
        if required.cites.is_empty() {
            desk.say(
                Finding::at(&REQUIRED_WITHOUT_SOURCE, required.loc, "this legal value does not say where it stands")
                    .help("add `cites SOURCE at \"where\"` behind it"),
            );
        }
        let Some(own) = limit.condition.as_ref().filter(|_| !limit.is_blank()) else { continue };
        let facts = limit.guard.as_ref().map_or(&[][..], |guard| &guard.facts);
        let same_stretch = required.during == limit.during && required.since == limit.since;
        let answer = compare(desk.plan, own, &required.condition, facts);
        let resets = limit.shape.reset.is_some();
        let diverts = limit.shape.diverted.is_some();
        let weak_probes = limit.shape.probes.as_ref().and_then(|probes| probes.enough).is_some_and(|(n, m)| n < m);
        match answer {
            Strictness::Weaker(what) => desk.say(
                Finding::at(
                    &WEAKER_THAN_REQUIRED,
                    limit.condition_loc,
                    format!("`{}` of `{}` is weaker than the legal value beside it: {what}", limit.name, control.name),
                )
                .also(required.loc, "the legal value")
                .help("make the limit as strict as the rule, or stricter, in every part"),
            ),
            Strictness::Stricter | Strictness::Same if same_stretch && !weak_probes && !resets && !diverts => {}
            _ => {
                let why = if !matches!(answer, Strictness::Unknown) && weak_probes {
                    "not every probe must meet the limit"
                } else if !matches!(answer, Strictness::Unknown) && diverts {
                    "the limit excuses diverted readings, and the legal value does not say that it may"
                } else if !matches!(answer, Strictness::Unknown) && resets {
                    "the limit starts anew, and the legal value does not say that it may"
                } else if !matches!(answer, Strictness::Unknown) {
                    "they are for different stretches of time"
                } else {
                    "they differ in form or in what they are about"
                };
                desk.say(
                    Finding::at(
                        &NOT_COMPARED,
                        limit.condition_loc,
                        format!("`{}` and the legal value beside it cannot be compared: {why}", limit.name),
                    )
                    .also(required.loc, "the legal value")
                    .help("write both in one form, or say in `because` and by a study why the limit is as strict"),
                );
            }
        }
    }
}

fn proxy(desk: &mut Desk<'_>, limit: &Limit) {
    let Some(proxy) = &limit.shape.stands_for else { return };
    let message = match &proxy.study {
        None => format!("no study shows that `{}` may stand for this value", limit.name),
        Some(study) if desk.plan.sources.iter().any(|source| source.name == *study) => {
            format!(
                "`{study}` is a publication, and a study must show that `{}` may stand for this value here",
                limit.name
            )
        }
        Some(_) => return,
    };
    let finding = Finding::at(&PROXY_WITHOUT_STUDY, proxy.loc, message);
    desk.say(finding.also(limit.condition_loc, "the limit").help("add `shown-by STUDY`, and declare the study"));
}

fn excursion(desk: &mut Desk<'_>, limit: &Limit) {
    let Some(Condition::All(parts)) = &limit.condition else { return };
    let Some(Condition::Level { range: outer, .. }) = parts.first() else { return };
    for (allowance, part) in limit.shape.allow.iter().zip(parts.iter().skip(1)) {
        let Condition::Level { range: beyond, .. } = part else { continue };
        let ends = if allowance.up { (&outer.upper, &beyond.lower) } else { (&outer.lower, &beyond.upper) };
        let (Some(far), Some(bound)) = ends else { continue };
        let value = |edge: &crate::plan::limit::EdgeAt| edge.at.quantity.and_then(|quantity| quantity.base());
        let (Some(far_at), Some(bound_at)) = (value(far), value(bound)) else { continue };
        let beyond_it = if allowance.up { far_at > bound_at } else { far_at < bound_at };
        if !beyond_it {
            let side = if allowance.up { "above" } else { "below" };
            desk.say(
                Finding::at(
                    &EXCURSION_INSIDE,
                    allowance.to.loc,
                    format!("an excursion to {} is not {side} the limit at {}", far.at.shown(), bound.at.shown()),
                )
                .also(limit.condition_loc, "the limit")
                .help("allow an excursion to the far side of the limit, or take it out"),
            );
        }
    }
}

fn judged(desk: &mut Desk<'_>, plan: &Plan, limit: &Limit) {
    let Some(judged) = &limit.shape.judged else { return };
    if judged.per == Per::Shift && plan.head.as_ref().is_none_or(|head| head.shifts.is_none()) {
        desk.say(
            Finding::at(&SHIFTS_UNKNOWN, judged.loc, "the plan does not say when shifts begin")
                .help("add `shifts from 06:00, 14:00, 22:00` to the plan block"),
        );
    }
    let apart = match judged.per {
        Per::Lot => true,
        Per::Load | Per::Stage(_) => !limit.on_samples(),
        Per::Day | Per::Shift => limit.over_time(),
    };
    if !apart {
        desk.say(
            Finding::at(
                &PARTS_NOT_TOLD_APART,
                judged.loc,
                format!("the records of `{}` are not told apart by {}", limit.name, judged.per.word()),
            )
            .also(limit.condition_loc, "the limit")
            .help("judge it per lot, or register what is judged by itself as a lot of its own"),
        );
    }
}

fn diverted(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    let Some(diverted) = &limit.shape.diverted else { return };
    let own = limit.parameters().first().and_then(|name| control.monitor_of(&name.text));
    let flag = control.monitor_of(&diverted.parameter.text);
    let (message, help) = if limit.condition.is_some() && !limit.binds_every_moment() {
        (
            format!("`{}` does not bind every moment, so that no single reading breaks it", limit.name),
            "divert goes with a bound or a range that holds at every moment",
        )
    } else if flag.is_none() || flag.zip(own).is_some_and(|(flag, own)| flag.record != own.record) {
        (
            format!("`{}` does not monitor `{}` on the record of the readings", control.name, diverted.parameter),
            "add a `monitor` of it on the same record, recorded at each reading",
        )
    } else {
        return;
    };
    desk.say(Finding::at(&UNFIT_DIVERT, diverted.loc, message).also(limit.condition_loc, "the limit").help(help));
}

fn reset(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    let Some(reset) = &limit.shape.reset else { return };
    if limit.condition.is_some() && !limit.can_start_anew() {
        let message = format!("`{}` sums nothing up and runs no clock that could start anew", limit.name);
        desk.say(
            Finding::at(&NOTHING_TO_RESET, reset.loc, message)
                .also(limit.condition_loc, "the limit")
                .help("take the reset out, or limit a total time, a passage, a growth or degree-hours"),
        );
    } else if let Some(message) = limit.unfit_reset(desk.plan, control) {
        let others: Vec<&str> = control
            .limits
            .iter()
            .filter(|other| other.condition.as_ref().is_some_and(|one| one.is_met_at_an_instant(desk.plan)))
            .map(|other| other.name.text.as_str())
            .collect();
        let finding = Finding::at(&UNFIT_RESET, reset.limit.loc, message).also(limit.condition_loc, "the limit");
        desk.say(
            finding.help(match nearest(&reset.limit.text, others.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    "name a limit of this control on the same parameter with `held for`, `reaches` or rows of a table"
                        .to_owned()
                }
            }),
        );
    }
}

fn probes(desk: &mut Desk<'_>, plan: &Plan, limit: &Limit) {
    let (Some(probes), Err(message)) = (&limit.shape.probes, limit.enough(plan)) else { return };
    let declared = limit.probed().and_then(|name| plan.parameter(&name.text));
    desk.say(
        Finding::at(&PROBES_MISCOUNTED, probes.loc, message)
            .also(declared.map_or(limit.condition_loc, |parameter| parameter.loc), "here")
            .help("list the probes of the parameter with `probes NAME, NAME`, and count them all here"),
    );
}
