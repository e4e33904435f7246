//! Readings that are excused because product was diverted at the same instant.

use super::compile;
use super::engine::{Band, Row};
use super::limits::Context;
use super::traces::Track;
use crate::log::Lot;
use crate::plan::shape::Diverted;
use crate::plan::{Condition, Range};
use crate::time::Instant;
use std::collections::BTreeMap;

/// Rows in which every reading that breaks the limit and is excused lies at the limit itself, and the instants of these.
///
/// A reading is excused if the answer stands at its own instant, on its own record, and nothing else does: two answers
/// at one instant, an answer that nobody declared, or one on a record with another clock excuse nothing. A stretch
/// between two readings is then excused if each of its breaking ends is. A broken row shows no reading to excuse.
fn excused(
    context: &Context<'_>,
    diverted: &Diverted,
    condition: &Condition,
    lot: &Lot,
    (track, rows): (&Track, &[Row]),
) -> (Vec<Row>, Vec<i64>) {
    let untouched = || (rows.to_vec(), Vec::new());
    let Condition::Level { range, .. } = condition else { return untouched() };
    let Some(band) = band(range, track) else { return untouched() };
    let Some(channel) = track.channel.and_then(|index| context.records.channels.get(index)) else { return untouched() };
    let mut flags: BTreeMap<i64, bool> = BTreeMap::new();
    let here = context.records.checks.iter().filter(|check| {
        check.parameter == diverted.parameter.text
            && check.record == channel.record
            && check.place == channel.place
            && check.lot.as_deref().is_none_or(|code| code == lot.code)
    });
    for check in here {
        let says = check.answer.as_deref() == Some(diverted.answer.text.as_str());
        flags.entry(check.at.0).and_modify(|all| *all &= says).or_insert(says);
    }
    let mut at = Vec::new();
    let rows = rows
        .iter()
        .map(|row| {
            let breaks = !row.is_broken() && !band.contains(row.lo, row.hi);
            if !breaks || flags.get(&row.at) != Some(&true) {
                return *row;
            }
            match (inside(&band, row.lo), inside(&band, row.hi)) {
                (Some(lo), Some(hi)) => {
                    at.push(row.at);
                    Row::spread(row.at, lo, hi)
                }
                _ => *row,
            }
        })
        .collect();
    at.dedup();
    (rows, at)
}

/// Excuses the readings of a trace, and says so.
pub(super) fn excuse(context: &Context<'_>, diverted: &Diverted, condition: &Condition, lot: &Lot, track: &mut Track) {
    let (rows, at) = excused(context, diverted, condition, lot, (track, &track.rows));
    let as_read = track.as_read.as_ref().map(|all| excused(context, diverted, condition, lot, (track, all)).0);
    (track.rows, track.as_read) = (rows, as_read);
    if at.is_empty() {
        return;
    }
    let times: Vec<String> = at.iter().take(3).map(|at| context.zone.show_local(Instant(*at))).collect();
    let more = if at.len() > times.len() { format!(" and {} more", at.len() - times.len()) } else { String::new() };
    track.remarks.push(format!(
        "{} readings that break the limit are excused, since `{}` is {} at the same instant: {}{more}; they count as the limit itself",
        at.len(),
        diverted.parameter,
        diverted.answer,
        times.join(", ")
    ));
}

fn band(range: &Range, track: &Track) -> Option<Band> {
    let off = track.off.by()?;
    compile::condition(range, track.unit, off).map(|condition| condition.certain)
}

/// The value in a band that is nearest to another.
fn inside(band: &Band, value: f64) -> Option<f64> {
    if band.contains(value, value) {
        return Some(value);
    }
    let below = band.lower.is_some() && !Band { lower: band.lower, upper: None }.contains(value, value);
    let edge = if below { band.lower } else { band.upper }?;
    let near = edge.cut.near();
    let steps = if below { [near, near.next_up()] } else { [near, near.next_down()] };
    steps.into_iter().find(|value| band.contains(*value, *value))
}
