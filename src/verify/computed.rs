//! Computed parameters: two recorded ones paired reading by reading.

use super::engine::{Row, Window};
use super::limits::Context;
use super::traces::{Found, Track, channels, plain, promised};
use crate::log::Lot;
use crate::plan::{Control, Formula, Parameter};
use crate::quantity::{Rational, Unit, UnitDef};
use crate::science::humidity::{STANDARD_ATMOSPHERE_PA, relative_humidity_bounds};

/// The computed traces of a parameter for a lot: one for each channel of its first input.
pub(super) fn find(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    formula: &Formula,
    lot: &Lot,
    window: Option<Window>,
) -> Vec<Found> {
    let [left, right] = formula.inputs().map(|name| channels(context, lot, &name.text));
    let [left_name, right_name] = formula.inputs().map(|name| name.text.clone());
    if left.is_empty() {
        return vec![Found::Silent(left_name)];
    }
    let Some(unit) = parameter.unit.as_ref().map(|unit| unit.value) else {
        return vec![Found::Silent(parameter.name.text.clone())];
    };
    let pairing = parameter
        .pairing
        .as_ref()
        .and_then(|pairing| pairing.nanoseconds())
        .or_else(|| promised(control, parameter).map(|(every, _)| every / 2))
        .unwrap_or(0);
    left.into_iter()
        .map(|(_, a)| {
            let partner = right
                .iter()
                .find(|(_, b)| (&b.record, &b.place, b.unit.symbol) == (&a.record, &a.place, a.unit.symbol));
            let Some((_, b)) = partner.or(right.first()) else { return Found::Silent(right_name.clone()) };
            let (a, b) = (
                plain(context, control, 0, a, left_name.clone(), window),
                plain(context, control, 0, b, right_name.clone(), window),
            );
            let combine = |x: &[Row], y: &[Row]| pair(formula, (x, a.unit), (y, b.unit), pairing);
            let as_read = (a.as_read.is_some() || b.as_read.is_some())
                .then(|| combine(a.as_read.as_ref().unwrap_or(&a.rows), b.as_read.as_ref().unwrap_or(&b.rows)));
            let mut remarks = vec![format!(
                "computed from {left_name} and {right_name}, paired within {}",
                crate::time::show_duration(pairing)
            )];
            remarks.extend(a.remarks.iter().chain(&b.remarks).cloned());
            remarks.dedup();
            Found::Track(Track {
                what: parameter.name.text.clone(),
                channel: None,
                unit,
                rows: combine(&a.rows, &b.rows),
                as_read,
                remarks,
                missing: a.missing.max(b.missing),
                spot: a.spot || b.spot,
                own: a.own && b.own,
            })
        })
        .collect()
}

/// One row an instant: a broken row takes the reading beside it away, and two values are the interval between them.
fn merged(rows: &[Row]) -> Vec<Row> {
    let mut out: Vec<Row> = Vec::with_capacity(rows.len());
    for row in rows {
        match out.last_mut() {
            Some(last) if last.at == row.at => {
                *last = match last.is_broken() || row.is_broken() {
                    true => Row::broken(row.at),
                    false => Row::spread(row.at, last.lo.min(row.lo), last.hi.max(row.hi)),
                };
            }
            _ => out.push(*row),
        }
    }
    out
}

/// Each reading of the first with the nearest of the second, if near enough. A broken row of either breaks the pairs
/// where it stands.
fn pair(formula: &Formula, (a, a_unit): (&[Row], Unit), (b, b_unit): (&[Row], Unit), within: i64) -> Vec<Row> {
    let (a, b) = (merged(a), merged(b));
    let mut out = Vec::with_capacity(a.len());
    let mut next = 0;
    let mut broken = b.iter().filter(|row| row.is_broken()).peekable();
    for left in &a {
        while let Some(row) = broken.next_if(|row| row.at <= left.at) {
            out.push(*row);
        }
        while b.get(next + 1).is_some_and(|row| row.at <= left.at) {
            next += 1;
        }
        let nearest = [b.get(next), b.get(next + 1)]
            .into_iter()
            .flatten()
            .min_by_key(|row| row.at.abs_diff(left.at))
            .filter(|row| row.at.abs_diff(left.at) <= within.unsigned_abs());
        match nearest {
            _ if left.is_broken() => out.push(Row::broken(left.at)),
            None => {}
            Some(right) => out.push(match value(formula, left, a_unit, right, b_unit) {
                Some((lo, hi)) => Row::spread(left.at, lo, hi),
                None => Row::broken(left.at),
            }),
        }
    }
    out.extend(broken.copied());
    out
}

/// The computed value as an interval, rounded outwards; `None` where it cannot be computed.
fn value(formula: &Formula, left: &Row, left_unit: Unit, right: &Row, right_unit: Unit) -> Option<(f64, f64)> {
    if left.is_broken() || right.is_broken() {
        return None;
    }
    let (a, b) = (base(left, left_unit)?, base(right, right_unit)?);
    match formula {
        Formula::Humidity { pressure, .. } => {
            let pressure = match pressure {
                Some(pressure) => pressure.quantity?.base()?.to_f64(),
                None => STANDARD_ATMOSPHERE_PA,
            };
            relative_humidity_bounds(a.0, a.1, b.0, b.1, pressure).ok()
        }
        Formula::Arithmetic { sign, .. } => {
            let corners = |f: fn(f64, f64) -> f64| {
                let all = [f(a.0, b.0), f(a.0, b.1), f(a.1, b.0), f(a.1, b.1)];
                let lo = all.iter().copied().fold(f64::INFINITY, f64::min).next_down();
                let hi = all.iter().copied().fold(f64::NEG_INFINITY, f64::max).next_up();
                Some((lo, hi))
            };
            match sign {
                '/' if b.0 <= 0.0 && 0.0 <= b.1 => None,
                '/' => corners(|x, y| x / y),
                '+' => corners(|x, y| x + y),
                _ => corners(|x, y| x - y),
            }
        }
    }
}

/// A reading in the base unit of its dimension; unchanged where that is its unit, else rounded outwards.
fn base(row: &Row, unit: &UnitDef) -> Option<(f64, f64)> {
    if matches!(unit.symbol, "°C" | "aw" | "pH" | "ratio") {
        return Some((row.lo, row.hi));
    }
    let exact = |value: f64| Some(unit.point_to_base(Rational::from_double(value)?)?.to_f64());
    Some((exact(row.lo)?.next_down(), exact(row.hi)?.next_up()))
}
