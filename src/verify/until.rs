//! Where a sum ends: when another parameter is first in a range.

use super::accuracy::Off;
use super::compile;
use super::engine::{Row, Window};
use super::limits::Context;
use super::traces;
use crate::log::{Lot, Outcome};
use crate::plan::limit::Range;
use crate::plan::{Control, Name};
use crate::quantity::Rational;

/// What is known at one instant.
#[derive(Debug, Clone, Copy)]
struct Seen {
    at: i64,
    /// Every value of that instant lies in the range.
    inside: bool,
    /// None of them does.
    outside: bool,
}

/// The earliest and latest instant at which the parameter came into the range: after the last reading that is
/// certainly outside it, and no later than the first that is certainly inside. `None` if none is inside: the sum has
/// no end then.
///
/// Single values and samples of the lot are one series; each probe is one of its own, and all of them must have come
/// there. Results of an instrument that is not trusted, and broken rows, show nothing.
pub(super) fn end(
    context: &Context<'_>,
    control: &Control,
    lot: &Lot,
    (name, range): (&Name, &Range),
    window: Window,
) -> Option<(i64, i64)> {
    let mut traced: Vec<Vec<Seen>> = Vec::new();
    let mut single: Vec<Seen> = Vec::new();
    for (index, channel) in traces::channels(context, lot, &name.text) {
        let track = traces::plain(context, control, index, channel, name.text.clone(), None);
        let Some(condition) = compile::condition(range, track.unit, track.off.by().unwrap_or(Rational::ZERO)) else {
            continue;
        };
        let see = |row: &Row| match row.is_broken() {
            true => Seen { at: row.at, inside: false, outside: false },
            false => Seen {
                at: row.at,
                inside: condition.certainly(row.lo, row.hi),
                outside: !condition.possibly(row.lo, row.hi),
            },
        };
        let seen = track.rows.iter().map(see);
        if track.spot { single.extend(seen) } else { traced.push(seen.collect()) }
    }
    for sample in
        context.records.samples.iter().filter(|sample| sample.parameter == name.text && sample.lot == lot.code)
    {
        let Some(unit) = sample.unit else { continue };
        let off = Off::of(context, control, (&name.text, sample.instrument.as_deref()), unit).by();
        let Some(condition) = off.and_then(|off| compile::condition(range, unit, off)) else { continue };
        let trusted = sample.instrument.as_deref().and_then(|name| context.instrument(name));
        if sample.outcome == Outcome::Value && trusted.is_none_or(|state| !state.distrusts(sample.at.0)) {
            let (lo, hi) = (sample.lo, sample.hi);
            let (inside, outside) = (condition.certainly(lo, hi), !condition.possibly(lo, hi));
            single.push(Seen { at: sample.at.0, inside, outside });
        }
    }
    if !single.is_empty() {
        traced.push(single);
    }
    let ends: Option<Vec<(i64, i64)>> = traced.into_iter().map(|series| one(series, window)).collect();
    let ends = ends?;
    Some((ends.iter().map(|end| end.0).min()?, ends.iter().map(|end| end.1).max()?))
}

/// The end by one series of readings.
fn one(mut series: Vec<Seen>, window: Window) -> Option<(i64, i64)> {
    series.retain(|seen| window.start.0 <= seen.at);
    series.sort_by_key(|seen| seen.at);
    // Two values at one instant decide only what both of them say.
    series.dedup_by(|next, kept| {
        let same = next.at == kept.at;
        if same {
            kept.inside &= next.inside;
            kept.outside &= next.outside;
        }
        same
    });
    let inside = series.iter().position(|seen| seen.inside)?;
    let last = series.get(inside)?.at;
    let outside = series.iter().take(inside).rev().find(|seen| seen.outside);
    Some((outside.map_or(window.start.1, |seen| seen.at), last))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_values_at_one_instant_end_nothing() {
        let seen = |at, inside| Seen { at, inside, outside: !inside };
        let window = Window::exact(0, 60);
        assert_eq!(one(vec![seen(10, false), seen(20, true)], window), Some((10, 20)));
        let doubled = vec![seen(10, false), seen(20, true), seen(20, false), seen(30, true)];
        assert_eq!(one(doubled, window), Some((10, 30)));
        assert_eq!(one(vec![seen(10, false)], window), None);
    }
}
