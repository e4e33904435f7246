//! The flow: one connected way from materials to dispatch.

use super::Desk;
use crate::finding::Finding;
use crate::plan::Outcome;

crate::rules! {
    /// The plan has no steps.
    ///
    /// Without a flow there is nothing that a hazard could arise at or be controlled at.
    NO_STEPS = "F101" "no-steps" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// No step is marked as the start.
    NO_START = "F102" "no-start" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// No step is marked as the dispatch.
    NO_DISPATCH = "F103" "no-dispatch" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// Nothing leads to a step.
    ///
    /// Steps follow each other as written; a step after a dispatch needs `start`, or `after` with the step it follows.
    UNREACHABLE_STEP = "F104" "unreachable-step" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// Product that enters a step never leaves it.
    DANGLING_STEP = "F105" "dangling-step" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// Steps run in a circle that is not declared as rework.
    UNDECLARED_LOOP = "F106" "undeclared-loop" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// A second start cuts the flow in two.
    ///
    /// A line that begins with `start` does not follow the step above it; some later step must join both lines by `after`.
    SECOND_START = "F107" "second-start" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// A material that no step takes in.
    UNUSED_MATERIAL = "F108" "unused-material" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// Equipment that no step uses.
    UNUSED_EQUIPMENT = "F109" "unused-equipment" Warning;
    /// Rework goes to a step that does not come before the one that gives it.
    REWORK_NOT_BACK = "F110" "rework-not-back" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// Rework without the step to which it goes.
    REWORK_NOWHERE = "F111" "rework-nowhere" Error ["codex.flow", "fsis.417.2.a2.flow"];
    /// The flow was not confirmed on site.
    FLOW_NOT_CONFIRMED = "F112" "flow-not-confirmed" Error ["codex.flow.confirm"];
    /// A step that does not say what happens.
    SILENT_STEP = "F113" "silent-step" Warning;
}

/// Whether a rule says that the order of the steps cannot be relied on.
pub(super) fn breaks_order(rule: &crate::finding::Rule) -> bool {
    [&NO_STEPS, &UNREACHABLE_STEP, &DANGLING_STEP, &UNDECLARED_LOOP, &SECOND_START]
        .iter()
        .any(|other| other.code == rule.code)
}

pub(super) fn check(desk: &mut Desk<'_>) {
    confirmed(desk);
    if desk.plan.steps.is_empty() {
        no_steps(desk);
        return;
    }
    ends(desk);
    links(desk);
    loops(desk);
    rework(desk);
    inputs(desk);
    for step in &desk.plan.steps {
        if step.does.is_none() {
            desk.lacks(
                &SILENT_STEP,
                step.loc,
                "does",
                format!("`{}` does not say what happens", step.name),
                "add `does \"…\"`",
            );
        }
    }
}

fn no_steps(desk: &mut Desk<'_>) {
    if let Some(head) = &desk.plan.head {
        let finding = Finding::at(&NO_STEPS, head.loc, format!("`{}` has no steps", head.name));
        desk.say(finding.help("add a `step` block for each step of the flow, from receipt to dispatch"));
    }
}

fn confirmed(desk: &mut Desk<'_>) {
    let Some(head) = &desk.plan.head else { return };
    match &head.flow_confirmed {
        None => desk.lacks(
            &FLOW_NOT_CONFIRMED,
            head.loc,
            "flow-confirmed",
            "nobody has confirmed the flow on site",
            "walk the line in every shift, amend the flow, then add `flow-confirmed DATE by ROLE`",
        ),
        Some(dated) if dated.date.is_none() => desk.say(
            Finding::at(
                &FLOW_NOT_CONFIRMED,
                dated.loc,
                "the day on which the flow was confirmed on site is left blank",
            )
            .help("walk the line in every shift, then fill in the day"),
        ),
        Some(_) => {}
    }
}

fn ends(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    if let (Some(first), false) = (plan.steps.first(), plan.steps.iter().any(|step| step.starts)) {
        desk.lacks(
            &NO_START,
            first.loc,
            "start",
            "no step is marked as the start of the flow",
            "add `start` to the step at which materials come in",
        );
    }
    if let (Some(last), false) = (plan.steps.last(), plan.steps.iter().any(|step| step.dispatches)) {
        desk.lacks(
            &NO_DISPATCH,
            last.loc,
            "dispatch",
            "no step is marked as the dispatch",
            "add `dispatch` to the step at which product leaves",
        );
    }
}

fn links(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let has_start = plan.steps.iter().any(|step| step.starts);
    let mut cut = Vec::new();
    for (at, step) in plan.steps.iter().enumerate() {
        let alone = desk.order.before.get(at).is_none_or(Vec::is_empty);
        let unresolved = !step.after.is_empty();
        if alone && !step.starts && has_start && !unresolved {
            let mut finding = Finding::at(&UNREACHABLE_STEP, step.loc, format!("nothing leads to `{}`", step.name));
            if let Some(previous) = at.checked_sub(1).and_then(|previous| plan.steps.get(previous)) {
                finding = finding.also(previous.loc, "product leaves the flow here");
            }
            desk.say(finding.help("add `after` with the step that it follows, or `start` if materials come in here"));
        }
        let previous = at.checked_sub(1);
        if step.starts
            && let Some(previous) = previous
            && let Some(above) = plan.steps.get(previous)
            && !above.dispatches
            && desk.order.after.get(previous).is_none_or(Vec::is_empty)
        {
            cut.push(previous);
            desk.say(
                Finding::at(
                    &SECOND_START,
                    step.loc,
                    format!("`{}` begins a second line, and the first ends at `{}`", step.name, above.name),
                )
                .also(above.loc, "nothing follows this step")
                .help("take `start` out, or let the step where both lines meet say `after` with the last step of each"),
            );
        }
    }
    let has_dispatch = plan.steps.iter().any(|step| step.dispatches);
    for (at, step) in plan.steps.iter().enumerate() {
        let ends = desk.order.after.get(at).is_none_or(Vec::is_empty);
        if ends && !step.dispatches && has_dispatch && !cut.contains(&at) {
            let mut finding = Finding::at(
                &DANGLING_STEP,
                step.loc,
                format!("nothing follows `{}`, and it is no dispatch", step.name),
            );
            if let Some(next) = plan.steps.get(at + 1) {
                finding = finding.also(next.loc, "the next step as written follows another one");
            }
            desk.say(finding.help("name it in the `after` of the step that follows, or mark it as `dispatch`"));
        }
    }
}

fn loops(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for (at, step) in plan.steps.iter().enumerate() {
        for name in &step.after {
            let Some(earlier) = desk.order.index(&name.text) else { continue };
            if desk.order.at_or_after(at, earlier) && earlier >= at {
                let mut finding = Finding::at(
                    &UNDECLARED_LOOP,
                    name.loc,
                    format!("`{}` follows `{name}`, and `{name}` follows `{}`", step.name, step.name),
                );
                if let Some(other) = plan.steps.get(earlier).filter(|_| earlier != at) {
                    finding = finding.also(other.loc, "product comes here from the step that follows it");
                }
                desk.say(finding.help(format!(
                    "if product goes back, let the later step say `gives … as rework to {}`",
                    step.name
                )));
            }
        }
    }
}

fn rework(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for (at, step) in plan.steps.iter().enumerate() {
        for gives in step.gives.iter().filter(|gives| gives.outcome == Outcome::Rework) {
            let Some(to) = &gives.to else {
                desk.say(
                    Finding::at(
                        &REWORK_NOWHERE,
                        gives.name.loc,
                        format!("`{}` is rework, and no step takes it back", gives.name),
                    )
                    .help(format!("write `gives {} as rework to STEP`", gives.name)),
                );
                continue;
            };
            if let Some(target) = desk.order.index(&to.text)
                && (!desk.order.at_or_after(target, at) || target == at)
                && let Some(found) = plan.steps.get(target)
            {
                desk.say(
                    Finding::at(
                        &REWORK_NOT_BACK,
                        to.loc,
                        format!("`{}` goes back to `{to}`, which does not come before `{}`", gives.name, step.name),
                    )
                    .also(found.loc, "this step")
                    .help("rework returns to an earlier step; product that goes on needs no `gives`"),
                );
            }
        }
    }
}

fn inputs(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for material in &plan.materials {
        if desk.order.users(&material.name).is_empty() {
            desk.say(
                Finding::at(&UNUSED_MATERIAL, material.loc, format!("no step takes in `{}`", material.name))
                    .help(format!("add `uses {}` to the step at which it enters", material.name)),
            );
        }
    }
    for equipment in &plan.equipment {
        if desk.order.users(&equipment.name).is_empty() {
            desk.say(
                Finding::at(&UNUSED_EQUIPMENT, equipment.loc, format!("no step uses `{}`", equipment.name))
                    .help(format!("add `uses {}` to a step, or take it out", equipment.name)),
            );
        }
    }
}
