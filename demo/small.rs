//! The small months: one for each worked plan beside the demo's own.

use crate::frame::Month;

#[path = "smoked-turkey-strips/month.rs"]
mod smoked_turkey_strips;

/// All of them.
pub(crate) fn months() -> Vec<Month> {
    vec![smoked_turkey_strips::month()]
}
