//! Where a sum ends: when another parameter is first in a range.

use super::compile;
use super::engine::Window;
use super::limits::Context;
use super::traces;
use crate::log::{EntryKind, Lot, Outcome};
use crate::plan::Name;
use crate::plan::limit::Range;

/// The earliest and latest instant at which the parameter came into the range: after the last reading that is
/// certainly outside it, and no later than the first that is certainly inside. `None` if none is inside: the sum has
/// no end then.
pub(super) fn end(context: &Context<'_>, lot: &Lot, name: &Name, range: &Range, window: Window) -> Option<(i64, i64)> {
    let mut readings: Vec<(i64, bool, bool)> = Vec::new();
    for (_, channel) in traces::channels(context, lot, &name.text) {
        let Some(condition) = compile::condition(range, channel.unit) else { continue };
        let known = channel.rows.iter().filter(|entry| entry.kind == EntryKind::Reading);
        readings.extend(
            known.map(|entry| {
                (entry.at, condition.certainly(entry.lo, entry.hi), condition.possibly(entry.lo, entry.hi))
            }),
        );
    }
    for sample in
        context.records.samples.iter().filter(|sample| sample.parameter == name.text && sample.lot == lot.code)
    {
        let Some(condition) = compile::condition(range, sample.unit) else { continue };
        if sample.outcome == Outcome::Value {
            let (lo, hi) = (sample.lo, sample.hi);
            readings.push((sample.at.0, condition.certainly(lo, hi), condition.possibly(lo, hi)));
        }
    }
    readings.retain(|(at, ..)| window.start.0 <= *at);
    readings.sort_unstable();
    let inside = readings.iter().position(|(_, certainly, _)| *certainly)?;
    let (last, ..) = *readings.get(inside)?;
    let outside = readings.iter().take(inside).rev().find(|(_, _, possibly)| !possibly);
    Some((outside.map_or(window.start.1, |(at, ..)| *at), last))
}
