//! The traces on which a limit is judged for a lot: one a probe, computed ones paired reading by reading.

use super::compile::interval;
use super::engine::{Row, Window};
use super::limits::{Context, NOT_TRUSTED};
use crate::log::{Channel, Entry, EntryKind, Lot};
use crate::plan::{Control, Formula, Parameter};
use crate::quantity::{Rational, Unit, UnitDef};
use crate::science::humidity::{STANDARD_ATMOSPHERE_PA, relative_humidity_bounds};

/// One trace of a lot.
#[derive(Debug, Clone)]
pub(super) struct Track {
    /// The probe, or the parameter where no probe is named.
    pub what: String,
    /// The channel it was read from; none for a computed one.
    pub channel: Option<usize>,
    /// Record and unit of its readings.
    pub unit: Unit,
    /// The record that holds it.
    pub record: String,
    /// Rows with the readings of trusted instruments alone.
    pub rows: Vec<Row>,
    /// Rows as read, where some were not trusted.
    pub as_read: Option<Vec<Row>>,
    /// Remarks for the evidence.
    pub remarks: Vec<String>,
    /// Cells without a reading in the window.
    pub missing: u64,
}

/// What was found for a parameter.
#[derive(Debug)]
pub(super) enum Found {
    /// A trace.
    Track(Track),
    /// A probe or parameter with no reading for this lot.
    Silent(String),
}

/// The interval at which a control promises readings of a parameter, and its allowance.
pub(super) fn promised(control: &Control, parameter: &Parameter) -> Option<(i64, i64)> {
    let of = |name: &str| control.monitor_of(name).and_then(|monitor| interval(&monitor.often));
    match &parameter.formula {
        Some(formula) if control.monitor_of(&parameter.name.text).is_none() => {
            let [a, b] = formula.inputs().map(|name| of(&name.text));
            let ((a, late_a), (b, late_b)) = (a?, b?);
            Some((a.max(b), late_a.max(late_b)))
        }
        _ => of(&parameter.name.text),
    }
}

/// Every trace of a parameter for a lot, wide enough to judge a window.
pub(super) fn find(context: &Context<'_>, control: &Control, parameter: &Parameter, lot: &Lot, window: Option<Window>) -> Vec<Found> {
    if let Some(formula) = &parameter.formula
        && channels(context, lot, &parameter.name.text).is_empty()
    {
        return computed(context, control, parameter, formula, lot, window);
    }
    let all = channels(context, lot, &parameter.name.text);
    let track = |index: usize, channel: &Channel| {
        let what = channel.probe.clone().unwrap_or_else(|| parameter.name.text.clone());
        Found::Track(plain(context, control, index, channel, what, window))
    };
    if parameter.probes.is_empty() {
        if all.is_empty() {
            return vec![Found::Silent(parameter.name.text.clone())];
        }
        return all.into_iter().map(|(index, channel)| track(index, channel)).collect();
    }
    let mut found = Vec::new();
    for probe in &parameter.probes {
        let mut heard = false;
        for (index, channel) in &all {
            if channel.probe.as_deref() == Some(probe.text.as_str()) {
                found.push(track(*index, channel));
                heard = true;
            }
        }
        if !heard {
            found.push(Found::Silent(probe.text.clone()));
        }
    }
    found
}

/// Channels of a parameter that belong to a lot: those that name it, else those of the place it was at.
pub(super) fn channels<'c>(context: &Context<'c>, lot: &Lot, parameter: &str) -> Vec<(usize, &'c Channel)> {
    let all = context.records.channels.iter().enumerate().filter(|(_, channel)| channel.parameter == parameter);
    let own: Vec<_> = all.clone().filter(|(_, channel)| channel.lot.as_deref() == Some(lot.code.as_str())).collect();
    if !own.is_empty() {
        return own;
    }
    let shared: Vec<_> = all.filter(|(_, channel)| channel.lot.is_none()).collect();
    let mut places: Vec<Option<&str>> = shared.iter().map(|(_, channel)| channel.place.as_deref()).collect();
    places.sort_unstable();
    places.dedup();
    if places.len() <= 1 {
        return shared;
    }
    // Several places: the lot's own facts must say at which one it was.
    shared
        .into_iter()
        .filter(|(_, channel)| channel.place.as_ref().is_some_and(|place| lot.facts.iter().any(|(_, word)| word == place)))
        .collect()
}

/// The instrument that gave a channel: the one the mapping names, else the only one the plan has for it.
pub(super) fn instrument<'c>(control: &'c Control, channel: &'c Channel) -> Option<&'c str> {
    channel.instrument.as_deref().or_else(|| {
        let monitor = control.monitor_of(&channel.parameter)?;
        match monitor.using.as_slice() {
            [only] => Some(only.text.as_str()),
            _ => None,
        }
    })
}

/// The entries of a channel that bear on a window: all of a lot's own, the neighbourhood of the window for a place.
fn near<'c>(channel: &'c Channel, window: Option<Window>) -> &'c [Entry] {
    let Some(window) = window.filter(|_| channel.lot.is_none()) else { return &channel.rows };
    let from = channel.rows.partition_point(|entry| entry.at < window.start.0).saturating_sub(2);
    let to = match window.end {
        Some((_, end)) => (channel.rows.partition_point(|entry| entry.at <= end) + 2).min(channel.rows.len()),
        None => channel.rows.len(),
    };
    channel.rows.get(from..to.max(from)).unwrap_or(&[])
}

fn row(entry: &Entry) -> Row {
    match entry.kind {
        EntryKind::Reading => Row::spread(entry.at, entry.lo, entry.hi),
        EntryKind::Broken => Row::broken(entry.at),
    }
}

fn plain(context: &Context<'_>, control: &Control, index: usize, channel: &Channel, what: String, window: Option<Window>) -> Track {
    let entries = near(channel, window);
    let all: Vec<Row> = entries.iter().map(row).collect();
    let state = instrument(control, channel).and_then(|name| context.instrument(name));
    let mut remarks = Vec::new();
    let trusted: Option<Vec<Row>> = state.filter(|state| all.iter().any(|row| state.distrusts(row.at))).map(|state| {
        let bearing = state.untrusted.iter().zip(&state.why).filter(|((from, to), _)| all.iter().any(|row| *from < row.at && row.at < *to));
        remarks.extend(bearing.map(|(_, why)| format!("`{}` {NOT_TRUSTED}: {why}", state.name)));
        all.iter().copied().filter(|row| !state.distrusts(row.at)).collect()
    });
    if let Some(state) = state {
        late(context, state, &all, &mut remarks);
    }
    let missing = window.map_or(0, |window| {
        let end = window.end.map_or(i64::MAX, |(_, end)| end);
        let inside = channel.missing.iter().filter(|missing| window.start.0 <= missing.at && missing.at <= end);
        u64::try_from(inside.count()).unwrap_or(u64::MAX)
    });
    let (rows, as_read) = match trusted {
        Some(trusted) => (trusted, Some(all)),
        None => (all, None),
    };
    Track { what, channel: Some(index), unit: channel.unit, record: channel.record.clone(), rows, as_read, remarks, missing }
}

/// A calibration that was late and good lets the results stand, and says so.
fn late(context: &Context<'_>, state: &super::InstrumentState, rows: &[Row], remarks: &mut Vec<String>) {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return };
    for calibration in &state.calibrations {
        let Some(due) = calibration.late_since else { continue };
        let since = due.succ_opt().and_then(|next| context.zone.start_of(next)).map_or(i64::MAX, |at| at.0);
        if since <= last.at && first.at <= calibration.at.0 {
            remarks.push(format!("calibration late: {} fell due on {due} and was good on {}", state.name, context.zone.show_local(calibration.at)));
        }
    }
}

fn computed(context: &Context<'_>, control: &Control, parameter: &Parameter, formula: &Formula, lot: &Lot, window: Option<Window>) -> Vec<Found> {
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
            let partner = right.iter().find(|(_, b)| (&b.record, &b.place, b.unit.symbol) == (&a.record, &a.place, a.unit.symbol));
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
                record: a.record.clone(),
                rows: combine(&a.rows, &b.rows),
                as_read,
                remarks,
                missing: a.missing.max(b.missing),
            })
        })
        .collect()
}

/// Each reading of the first with the nearest of the second, if near enough.
fn pair(formula: &Formula, (a, a_unit): (&[Row], Unit), (b, b_unit): (&[Row], Unit), within: i64) -> Vec<Row> {
    let mut out = Vec::with_capacity(a.len());
    let mut next = 0;
    for left in a {
        while b.get(next + 1).is_some_and(|row| row.at <= left.at) {
            next += 1;
        }
        let nearest = [b.get(next), b.get(next + 1)]
            .into_iter()
            .flatten()
            .min_by_key(|row| row.at.abs_diff(left.at))
            .filter(|row| row.at.abs_diff(left.at) <= within.unsigned_abs());
        let Some(right) = nearest else { continue };
        out.push(match value(formula, left, a_unit, right, b_unit) {
            Some((lo, hi)) => Row::spread(left.at, lo, hi),
            None => Row::broken(left.at),
        });
    }
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
