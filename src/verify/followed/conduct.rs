//! How entries were made: with initials, where the record has them.

use super::rules;
use crate::finding::Finding;
use crate::log::Records;
use crate::source::{Cell, Place};
use crate::verify::Verification;
use std::collections::BTreeMap;

/// Entries without initials, on records whose other entries have them.
pub(super) fn hold(records: &Records, whole: &Verification, findings: &mut Vec<Finding>) {
    let of_period = |lot: Option<&str>| lot.is_none_or(|code| whole.lots.iter().any(|lot| lot.code == code));
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
