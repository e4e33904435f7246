//! Where a stage ends that a limit ends: when that limit has first been met.

use super::engine::{Moment, Span, Window};
use super::limits::Context;
use super::resets::{self, Asked};
use super::traces::{self, Found};
use super::windows::spread;
use crate::log::Lot;
use crate::plan::{Control, Limit, Name, Plan, Stage};

/// The end of a stage by a limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Met {
    /// The first instant at which the limit may have been met, and the first at which it surely had been.
    pub between: (i64, i64),
    /// The record that shows it.
    pub record: String,
}

impl Met {
    /// As an event, numbered among these records.
    pub fn moment(&self, records: &[String]) -> Option<Moment> {
        let record = records.iter().position(|record| *record == self.record)?;
        Some(Moment { first: self.between.0, last: self.between.1, record })
    }
}

/// The limit of this name, where the plan has one alone.
fn named<'p>(plan: &'p Plan, name: &Name) -> Option<(&'p Control, &'p Limit)> {
    let mut found = plan.controls.iter().filter_map(|control| Some((control, control.limit(&name.text)?)));
    let first = found.next()?;
    found.next().is_none().then_some(first)
}

/// When a stage that a limit ends was over for a lot; nothing unless the limit is shown to have been met.
///
/// Every probe must have come there (or as many as the limit says), each by its own trace.
pub(super) fn met(context: &Context<'_>, stage: &Stage, lot: &Lot) -> Option<Met> {
    let name = stage.ends_when()?;
    let (control, limit) = named(context.plan, name)?;
    if stage.unfit_end(context.plan).is_some() {
        return None;
    }
    let parameter = context.plan.parameter(&limit.parameters().first()?.text)?;
    let promised = traces::promised(context.plan, control, parameter)?;
    let record = traces::record_of(context, lot, parameter);
    let (s1, s2) = spread(lot.event(&stage.from.text)?, record);
    let window = Window { start: (s1, s2), end: None };
    let mut ends: Vec<(i64, i64)> = Vec::new();
    let context = &Context { accuracy: limit.shape.accuracy.is_some(), ..*context };
    for found in traces::find(context, control, parameter, lot, Some(traces::Judged { window, beyond: 0 })) {
        let Found::Track(track) = found else {
            ends.push((s1, i64::MAX));
            continue;
        };
        let (unit, spot) = (track.unit, track.spot);
        let off = resets::off(context, control, limit, &track);
        let asked = Asked { control, name, other: Some(limit), lot, record, unit, promised, spot, off };
        let met = resets::met(context, &asked, &track.rows);
        let from = |spans: &[Span], start: i64| {
            spans.iter().find(|span| span.to >= start).map_or(i64::MAX, |span| span.from.max(start))
        };
        ends.push((from(&met.possible, s1), from(&met.certain, s2)));
    }
    let enough = limit.enough(context.plan).ok()?.map_or(ends.len(), |enough| enough as usize);
    let (mut firsts, mut lasts): (Vec<i64>, Vec<i64>) = ends.into_iter().unzip();
    firsts.sort_unstable();
    lasts.sort_unstable();
    let at = enough.checked_sub(1)?;
    let between = (*firsts.get(at)?, *lasts.get(at)?);
    (between.1 < i64::MAX).then(|| Met { between, record: record.to_owned() })
}
