//! The traces on which a limit is judged for a lot: one a probe, computed ones paired reading by reading.

use super::accuracy::Off;
use super::compile::interval;
use super::computed;
use super::engine::{Row, Window};
use super::limits::{Context, NOT_TRUSTED};
use super::workings::Paired;
use crate::log::{Channel, Entry, EntryKind, Lot};
use crate::plan::limit::Measured;
use crate::plan::{Control, Instrument, Name, Parameter, Plan};
use crate::quantity::{Cut, Unit};

/// One trace of a lot.
#[derive(Debug, Clone)]
pub(super) struct Track {
    /// The probe, or the parameter where no probe is named.
    pub what: String,
    /// The channel it was read from; none for a computed one.
    pub channel: Option<usize>,
    /// The channels it stands in, two for a computed one.
    pub sources: Vec<usize>,
    /// The unit of its readings.
    pub unit: Unit,
    /// Rows with the readings of trusted instruments alone.
    pub rows: Vec<Row>,
    /// What each row of a computed trace was computed from; kept only for the workings.
    pub pairs: Vec<Paired>,
    /// Rows as read, where some were not trusted.
    pub as_read: Option<Vec<Row>>,
    /// Remarks for the evidence.
    pub remarks: Vec<String>,
    /// Cells without a reading in the window.
    pub missing: u64,
    /// Single values, never joined.
    pub spot: bool,
    /// The readings are of this lot alone, not of the place where it stood.
    pub own: bool,
    /// How far off each reading may be, where the limit counts it.
    pub off: Off,
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
pub(super) fn promised(plan: &Plan, control: &Control, parameter: &Parameter) -> Option<(i64, i64)> {
    let of = |name: &str| control.monitor_of(name).and_then(|monitor| interval(&monitor.often));
    let inputs = plan.rests_on(parameter, &|name| control.monitor_of(&name.text).is_some());
    let mut slowest: Option<(i64, i64)> = None;
    for input in inputs {
        let (every, late) = of(&input.text)?;
        let (held, held_late) = slowest.unwrap_or((every, late));
        slowest = Some((held.max(every), held_late.max(late)));
    }
    slowest
}

/// A window to be judged, and how far beyond it readings may still bear on it: a step between two joined readings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Judged {
    /// The window.
    pub window: Window,
    /// Nanoseconds on either side.
    pub beyond: i64,
}

impl Judged {
    /// With so much more on either side.
    pub fn wider(self, by: i64) -> Judged {
        Judged { beyond: self.beyond.saturating_add(by), ..self }
    }
}

/// Every trace of a parameter for a lot, wide enough to judge a window.
pub(super) fn find(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    lot: &Lot,
    window: Option<Judged>,
) -> Vec<Found> {
    if parameter.formula.is_some() && channels(context, lot, &parameter.name.text).is_empty() {
        return computed::find(context, control, parameter, lot, window);
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
    let own: Vec<_> = context.records.channels_of(parameter, &lot.code).collect();
    if !own.is_empty() {
        return own;
    }
    let shared: Vec<_> = context.records.channels_shared(parameter).collect();
    let mut places: Vec<Option<&str>> = shared.iter().map(|(_, channel)| channel.place.as_deref()).collect();
    places.sort_unstable();
    places.dedup();
    if places.len() <= 1 {
        return shared;
    }
    // Several places: the lot's own facts must say at which one it was.
    shared
        .into_iter()
        .filter(|(_, channel)| {
            channel.place.as_ref().is_some_and(|place| lot.facts.iter().any(|(_, word)| word == place))
        })
        .collect()
}

/// The recorded parameter behind a computed one.
fn source_of<'a>(context: &Context<'a>, lot: &Lot, parameter: &'a Parameter) -> &'a str {
    let recorded = |name: &Name| !channels(context, lot, &name.text).is_empty();
    context.plan.rests_on(parameter, &recorded).first().map_or(&parameter.name.text, |name| &name.text)
}

/// The record on which the readings of a parameter stand for a lot; empty where there are none.
pub(super) fn record_of<'c>(context: &Context<'c>, lot: &Lot, parameter: &'c Parameter) -> &'c str {
    channels(context, lot, source_of(context, lot, parameter))
        .first()
        .map_or("", |(_, channel)| channel.record.as_str())
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

/// The entries of a channel that bear on a window, and the index of the first: all of a lot's own, for a place the
/// neighbourhood of the window.
fn near(channel: &Channel, judged: Option<Judged>) -> (usize, &[Entry]) {
    let Some(Judged { window, beyond }) = judged.filter(|_| channel.lot.is_none()) else { return (0, &channel.rows) };
    // Out to the next reading on each side and the rows of its instant: a broken row is no neighbour.
    let inside = channel.rows.partition_point(|entry| entry.at < window.start.0.saturating_sub(beyond));
    let before = channel.rows.get(..inside).unwrap_or(&[]);
    let neighbour = before.iter().rev().find(|entry| entry.kind == EntryKind::Reading).map_or(i64::MIN, |one| one.at);
    let from = before.partition_point(|entry| entry.at < neighbour).min(inside.saturating_sub(2));
    let to = window.end.map_or(channel.rows.len(), |(_, end)| {
        let outside = channel.rows.partition_point(|entry| entry.at <= end.saturating_add(beyond));
        let after = channel.rows.get(outside..).unwrap_or(&[]);
        let neighbour = after.iter().find(|entry| entry.kind == EntryKind::Reading).map_or(i64::MAX, |one| one.at);
        outside + after.partition_point(|entry| entry.at <= neighbour)
    });
    (from, channel.rows.get(from..to.max(from)).unwrap_or(&[]))
}

/// Entries as rows. A value that the instrument cannot read breaks the trace.
fn rows(entries: &[Entry], range: Option<(Cut, Cut)>) -> Vec<Row> {
    let readable =
        |entry: &Entry| range.is_none_or(|(low, high)| low.side(entry.lo).is_ge() && high.side(entry.hi).is_le());
    entries
        .iter()
        .map(|entry| match entry.kind {
            EntryKind::Reading if readable(entry) => Row::spread(entry.at, entry.lo, entry.hi),
            EntryKind::Reading | EntryKind::Broken => Row::broken(entry.at),
        })
        .collect()
}

/// The range of an instrument in the unit of a channel.
fn range(instrument: &Instrument, unit: Unit) -> Option<(Cut, Cut)> {
    let (low, high) = instrument.range.as_ref()?;
    let cut = |value: &Measured| Some(Cut::new(value.quantity?.in_unit(unit)?));
    Some((cut(low)?, cut(high)?))
}

/// Which of the entries from an index on stand unchanged for longer than the instrument may: they show nothing.
fn stuck(channel: &Channel, first: usize, count: usize, after: i64) -> Vec<bool> {
    let same = |a: &Entry, b: &Entry| a.kind == b.kind && a.lo == b.lo && a.hi == b.hi;
    // The last reading that differed may stand before the entries that are judged.
    let mut differed = first;
    while differed > 0 && channel.rows.get(differed - 1).zip(channel.rows.get(first)).is_some_and(|(a, b)| same(a, b)) {
        differed -= 1;
    }
    let mut since = channel.rows.get(differed.saturating_sub(1)).map_or(i64::MIN, |entry| entry.at);
    let mut previous: Option<&Entry> = channel.rows.get(first);
    channel
        .rows
        .iter()
        .skip(first)
        .take(count)
        .map(|entry| {
            if let Some(before) = previous
                && !same(before, entry)
            {
                since = before.at;
            }
            previous = Some(entry);
            entry.kind == EntryKind::Reading && entry.at.saturating_sub(since) >= after
        })
        .collect()
}

/// One recorded channel as a trace.
pub(super) fn plain(
    context: &Context<'_>,
    control: &Control,
    index: usize,
    channel: &Channel,
    what: String,
    judged: Option<Judged>,
) -> Track {
    let (first, entries) = near(channel, judged);
    let window = judged.map(|judged| judged.window);
    let name = instrument(control, channel);
    let state = name.and_then(|name| context.instrument(name));
    let declared = name.and_then(|name| context.plan.instrument(name));
    let all = rows(entries, declared.and_then(|instrument| range(instrument, channel.unit)));
    let mut remarks = Vec::new();
    let stuck_after = declared.and_then(|instrument| instrument.stuck_after.as_ref()?.nanoseconds());
    let frozen =
        stuck_after.map_or_else(|| vec![false; entries.len()], |after| stuck(channel, first, entries.len(), after));
    if frozen.contains(&true) {
        remarks.push(format!("the sensor {NOT_TRUSTED}: its reading stood unchanged for longer than the plan allows"));
    }
    if let Some(state) = state {
        let bearing = state
            .untrusted
            .iter()
            .zip(&state.why)
            .filter(|((from, to), _)| all.iter().any(|row| *from < row.at && row.at < *to));
        remarks.extend(bearing.map(|(_, why)| format!("`{}` {NOT_TRUSTED}: {why}", state.name)));
        late(context, state, &all, &mut remarks);
    }
    let measured = (channel.parameter.as_str(), name);
    let off = Off::of(context, control, measured, channel.unit);
    remarks.extend(off.remark(context, control, measured, channel.unit));
    let trusted = |(row, frozen): (&Row, &bool)| {
        off != Off::Unknown && !frozen && state.is_none_or(|state| !state.distrusts(row.at))
    };
    let (kept, as_read) = if all.iter().zip(&frozen).all(trusted) {
        (all, None)
    } else {
        let kept = all.iter().zip(&frozen).filter(|pair| trusted(*pair)).map(|(row, _)| *row).collect();
        (kept, Some(all))
    };
    let missing = window.map_or(0, |window| {
        let end = window.end.map_or(i64::MAX, |(_, end)| end);
        let inside = channel.missing.iter().filter(|missing| window.start.0 <= missing.at && missing.at <= end);
        u64::try_from(inside.count()).unwrap_or(u64::MAX)
    });
    Track {
        what,
        channel: Some(index),
        sources: vec![index],
        unit: channel.unit,
        rows: kept,
        pairs: Vec::new(),
        as_read,
        remarks,
        missing,
        spot: channel.spot,
        own: channel.lot.is_some(),
        off,
    }
}

/// A calibration that was late and good lets the results stand, and says so.
fn late(context: &Context<'_>, state: &super::InstrumentState, rows: &[Row], remarks: &mut Vec<String>) {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return };
    for calibration in &state.calibrations {
        let Some(due) = calibration.late_since else { continue };
        let since = due.succ_opt().and_then(|next| context.zone.start_of(next)).map_or(i64::MAX, |at| at.0);
        if since <= last.at && first.at <= calibration.at.0 {
            remarks.push(format!(
                "calibration late: {} fell due on {due} and was good on {}",
                state.name,
                context.zone.show_local(calibration.at)
            ));
        }
    }
}
