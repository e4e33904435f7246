//! Stages that end when a limit is met.

use super::Desk;
use crate::finding::{Finding, nearest};
use crate::plan::{Condition, Over};

crate::rules! {
    /// The limit that is to end a stage cannot do so.
    ///
    /// It must be one limit of the plan that a record shows to be met at an instant, held for a time, reached, or a row
    /// of a table, and it must be judged over another stage: over its own it would never be met.
    UNFIT_STAGE_END = "L251" "unfit-stage-end" Error ["codex.limit"];
    /// A limit needs an event at the end of a stage that ends when a limit is met.
    ///
    /// Checks and samples, and the order of two stages, are held against the moments that a record names.
    NO_END_EVENT = "L252" "no-end-event" Error ["codex.limit"];
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for stage in plan.steps.iter().flat_map(|step| &step.stages) {
        let (Some(name), Some(message)) = (stage.ends_when(), stage.unfit_end(plan)) else { continue };
        let limits = plan.controls.iter().flat_map(|control| &control.limits);
        let fitting = limits.filter(|limit| limit.condition.as_ref().is_some_and(|one| one.is_met_at_an_instant(plan)));
        let near = nearest(&name.text, fitting.map(|limit| limit.name.text.as_str()).filter(|text| *text != name.text));
        desk.say(
            Finding::at(&UNFIT_STAGE_END, name.loc, message).also(stage.name.loc, "the stage").help(match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    "name a limit with `held for`, `reaches` or rows of a table that is judged during another stage"
                        .to_owned()
                }
            }),
        );
    }
    for limit in plan.controls.iter().flat_map(|control| &control.limits) {
        for name in limit.stages() {
            let Some((_, stage)) = plan.stage(&name.text).filter(|(_, stage)| stage.ends_when().is_some()) else {
                continue;
            };
            let needs = limit.leaves().into_iter().any(|leaf| {
                matches!(leaf, Condition::Answers(_) | Condition::Level { over: Over::Samples(_), .. })
                    || matches!(leaf, Condition::Order { first, .. } if first == name)
            });
            if needs {
                let message =
                    format!("`{}` needs an event at the end of `{name}`, which ends when a limit is met", limit.name);
                desk.say(
                    Finding::at(&NO_END_EVENT, name.loc, message)
                        .also(stage.name.loc, "the stage")
                        .help("name a stage that an event ends"),
                );
            }
        }
    }
}
