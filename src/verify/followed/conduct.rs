//! How entries were made: with initials where the record has them, and when they were written.

use super::rules;
use crate::finding::Finding;
use crate::log::{Records, Written};
use crate::source::{Cell, Place};
use crate::time::{MINUTE, show_duration};
use crate::verify::Verification;
use std::collections::BTreeMap;

/// Entries without initials, on records whose other entries have them.
pub(super) fn hold(records: &Records, whole: &Verification, findings: &mut Vec<Finding>) {
    let codes = whole.codes();
    let of_period = |lot: Option<&str>| lot.is_none_or(|code| codes.contains(code));
    let checks = records.checks.iter().map(|check| (&check.record, check.lot.as_deref(), &check.by, &check.cell));
    let samples = records.samples.iter().map(|one| (&one.record, Some(one.lot.as_str()), &one.by, &one.cell));
    let mut seen: BTreeMap<&str, (bool, Vec<&Cell>)> = BTreeMap::new();
    for (record, _, by, cell) in checks.chain(samples).filter(|(_, lot, ..)| of_period(*lot)) {
        let entry = seen.entry(record.as_str()).or_default();
        match by {
            Some(_) => entry.0 = true,
            None => entry.1.push(cell),
        }
    }
    for (record, (signed, mut bare)) in seen {
        bare.sort();
        bare.dedup_by(|a, b| (&a.file, a.row) == (&b.file, b.row));
        let Some(first) = bare.first().filter(|_| signed) else { continue };
        let message = match bare.len() {
            1 => format!("one row of `{record}` has no initials"),
            count => format!("{count} rows of `{record}` have no initials"),
        };
        findings.push(Finding::new(&rules::NO_INITIALS, Place::Cell((*first).clone()), message));
    }
}

/// How long after the event an entry may be written. A choice, printed; the rules say *at the time*, and no figure.
pub const WRITTEN_WITHIN: i64 = 15 * MINUTE;

/// When the entries of one record were written, over the lots of the period.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entries {
    /// The record.
    pub record: String,
    /// Written in time.
    pub in_time: usize,
    /// Written later than [`WRITTEN_WITHIN`].
    pub late: usize,
    /// Written before the time that they are about.
    pub before: usize,
    /// Without a time of writing that can be read.
    pub unsaid: usize,
    /// The longest time from event to entry, in nanoseconds.
    pub longest: i64,
}

/// When entries were written, record by record.
pub(super) fn written(records: &Records, whole: &Verification, findings: &mut Vec<Finding>) -> Vec<Entries> {
    let codes = whole.codes();
    let own = |one: &&Written| match &one.lot {
        Some(code) => codes.contains(code.as_str()),
        None => whole.period.holds(whole.zone.local(one.at).date()),
    };
    let mut by_record: BTreeMap<&str, Vec<&Written>> = BTreeMap::new();
    for one in records.written.iter().filter(own) {
        by_record.entry(one.record.as_str()).or_default().push(one);
    }
    let mut out = Vec::new();
    for (record, all) in by_record {
        let lag = |one: &Written| one.entered.map(|entered| entered.0.saturating_sub(one.at.0));
        let late: Vec<&Written> = all
            .iter()
            .copied()
            .filter(|one| lag(one).is_some_and(|lag| lag > WRITTEN_WITHIN.saturating_add(one.resolution)))
            .collect();
        let before: Vec<&Written> =
            all.iter().copied().filter(|one| lag(one).is_some_and(|lag| lag < -one.resolution)).collect();
        let unsaid = all.iter().filter(|one| one.entered.is_none()).count();
        let longest = late.iter().max_by_key(|one| lag(one));
        out.push(Entries {
            record: record.to_owned(),
            in_time: all.len().saturating_sub(late.len() + before.len() + unsaid),
            late: late.len(),
            before: before.len(),
            unsaid,
            longest: all.iter().filter_map(|one| lag(one)).max().unwrap_or(0).max(0),
        });
        if let Some(longest) = longest {
            let after = show_duration(lag(longest).unwrap_or(0));
            let message = format!(
                "{} of `{record}` written more than {} after the time of the event; the longest, {after} after {}",
                entries(late.len()),
                show_duration(WRITTEN_WITHIN),
                whole.zone.show_local(longest.at)
            );
            findings.push(
                Finding::new(&rules::WRITTEN_LATE, Place::Cell(longest.cell.clone()), message)
                    .help("ask how the entry came about; a late entry is marked as one, with the time of writing"),
            );
        }
        if let Some(first) = before.first() {
            let message = format!(
                "{} of `{record}` written before the time of the event; the first, of {}",
                entries(before.len()),
                whole.zone.show_local(first.at)
            );
            findings.push(
                Finding::new(&rules::WRITTEN_BEFORE, Place::Cell(first.cell.clone()), message)
                    .help("compare the two clocks, and look at the original"),
            );
        }
    }
    out
}

/// How many entries, before the record that they stand in.
fn entries(count: usize) -> String {
    if count == 1 { "one entry".to_owned() } else { format!("{count} entries") }
}
