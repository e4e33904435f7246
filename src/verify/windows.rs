//! When a lot was at a step: stages as windows with uncertain ends.

use super::CLOCK_ALLOWANCE;
use super::engine::Window;
use crate::log::{Event, Lot};
use crate::plan::{Control, Limit, Plan, Stage};
use crate::time::{Instant, SECOND};

/// What is known of the stretch of time over which a limit is judged for a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Stretch {
    /// It began; its end may be missing.
    Known(Window),
    /// Nothing says that it began.
    NotBegun,
    /// The plan names no stage for it.
    NoStage,
}

/// The stages over which a limit is judged: those it names, else all stages of the control's steps.
pub(super) fn stages<'p>(plan: &'p Plan, control: &Control, limit: &Limit) -> Vec<&'p Stage> {
    if let Some(named) = limit.stages().first() {
        return plan.stage(&named.text).map(|(_, stage)| stage).into_iter().collect();
    }
    control.at.iter().filter_map(|step| plan.step(&step.text)).flat_map(|step| &step.stages).collect()
}

/// The window of a lot over these stages, for readings that stand on the given record.
pub(super) fn stretch(stages: &[&Stage], lot: &Lot, record: &str) -> Stretch {
    let (Some(first), Some(last)) = (stages.first(), stages.last()) else {
        return Stretch::NoStage;
    };
    let Some(start) = lot.event(&first.from.text) else {
        return Stretch::NotBegun;
    };
    Stretch::Known(Window {
        start: spread(start, record),
        end: lot.event(&last.to.text).map(|end| spread(end, record)),
    })
}

/// An event of another record is uncertain by the clock allowance; on the same record by the resolution of its times,
/// where that is coarser than a second.
fn spread(event: &Event, record: &str) -> (i64, i64) {
    let by = if event.record != record {
        CLOCK_ALLOWANCE
    } else if event.resolution > SECOND {
        event.resolution
    } else {
        0
    };
    (event.at.0.saturating_sub(by), event.at.0.saturating_add(by))
}

/// When the first stage of the flow began for a lot; without one, its first event of any kind.
pub(super) fn begun(plan: &Plan, lot: &Lot) -> Option<Instant> {
    let first_stage = plan.steps.iter().flat_map(|step| &step.stages).find_map(|stage| lot.event(&stage.from.text));
    first_stage.or(lot.events.first()).map(|event| event.at)
}
