//! Misses that were adjusted before the lot left the step.
//!
//! Where the plan says `adjust before EVENT`, a check or sample that is not good and is followed by a good one before
//! that event is a miss that was adjusted. It is told as such, and is never silently met.

use super::limits::Context;
use super::windows::spread;
use crate::log::Lot;
use crate::plan::Control;

/// What became of a miss.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fate {
    /// It stands.
    Stands,
    /// A good check followed, and whether that was before the event is not shown.
    Perhaps(String),
    /// A good check followed before the event.
    Adjusted(String),
}

/// What became of a miss at an instant, from the good checks on the same record: the first one after it decides.
pub(super) fn fate(
    context: &Context<'_>,
    control: &Control,
    lot: &Lot,
    (at, record): (i64, &str),
    good: impl IntoIterator<Item = i64>,
) -> Fate {
    let Some(event) = control.deviation.as_ref().and_then(|deviation| deviation.adjust.as_ref()) else {
        return Fate::Stands;
    };
    let Some(next) = good.into_iter().filter(|good| *good > at).min() else { return Fate::Stands };
    let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
    let Some(left) = lot.event(&event.text) else {
        return Fate::Perhaps(format!("good again at {}, and no record says when {event} was", local(next)));
    };
    let (first, last) = spread(left, record);
    let words = format!("good again at {}, {event} at {}", local(next), local(left.at.0));
    if next < first {
        Fate::Adjusted(words)
    } else if next <= last && first < last {
        Fate::Perhaps(words)
    } else {
        Fate::Stands
    }
}
