//! Training of the people who made records or reviewed them, as the register of training says.

use super::rules;
use crate::finding::Finding;
use crate::log::{Records, RegisterKind, RegisterRow};
use crate::source::{Cell, Place};
use crate::time::Instant;
use crate::verify::Verification;
use std::collections::BTreeMap;

/// What somebody did, and when.
struct Act<'r> {
    by: &'r str,
    at: Instant,
    what: &'static str,
    cell: &'r Cell,
}

/// Times and people of the registers: the kind, the field with the initials, the field with the time, what was done.
const DONE: &[(RegisterKind, &str, &str, &str)] = &[
    (RegisterKind::CorrectiveActions, "by", "found", "recorded a corrective action"),
    (RegisterKind::CorrectiveActions, "reviewed-by", "reviewed", "reviewed a corrective action"),
    (RegisterKind::PreShipmentReviews, "by", "reviewed", "reviewed a lot for shipping"),
    (RegisterKind::RecordReviews, "by", "reviewed", "reviewed records"),
    (RegisterKind::Observations, "by", "observed", "observed monitoring"),
    (RegisterKind::InstrumentChecks, "by", "checked", "checked an instrument"),
];

/// People who acted while no training of theirs held, and people of whom no training is on record.
pub(super) fn hold(records: &Records, whole: &Verification, findings: &mut Vec<Finding>) {
    let training: Vec<&RegisterRow> =
        records.registers.iter().filter(|row| row.kind == RegisterKind::Training).collect();
    let mut by_person: BTreeMap<String, Vec<Act<'_>>> = BTreeMap::new();
    for act in acts(records, whole) {
        by_person.entry(act.by.to_lowercase()).or_default().push(act);
    }
    let mut without: Vec<&Act<'_>> = Vec::new();
    for acts in by_person.values_mut() {
        acts.sort_by(|a, b| (a.at, a.cell).cmp(&(b.at, b.cell)));
        let Some(first) = acts.first() else { continue };
        let own: Vec<&RegisterRow> =
            training.iter().copied().filter(|row| row.word("who").eq_ignore_ascii_case(first.by)).collect();
        if own.is_empty() {
            without.push(first);
            continue;
        }
        let holds = |at: Instant| own.iter().any(|row| holds(row, at, whole));
        let outside: Vec<&Act<'_>> = acts.iter().filter(|act| !holds(act.at)).collect();
        let Some(first) = outside.first() else { continue };
        let end = own.iter().filter_map(|row| row.time("until")).filter(|until| *until <= first.at).max();
        let why = end.map_or("before any training on record".to_owned(), |end| {
            format!("after the training on record had run out on {}", whole.zone.local(end).date())
        });
        let count = match outside.len() {
            1 => "once".to_owned(),
            count => format!("{count} times"),
        };
        let message = format!(
            "`{}` recorded or reviewed {count} {why}; first, {} on {}",
            first.by,
            first.what,
            whole.zone.local(first.at).date()
        );
        let mut finding = Finding::new(&rules::TRAINING_RUN_OUT, Place::Cell(first.cell.clone()), message)
            .help("enter the training if there was one; else train, and have somebody trained look at these records");
        if let Some(row) = own.last() {
            finding = finding.with(Place::Cell(row.cell.clone()), "the last training on record");
        }
        findings.push(finding);
    }
    if let Some(first) = without.first() {
        let names: Vec<&str> = without.iter().map(|act| act.by).collect();
        let message = format!("the register of training does not hold: {}", names.join(", "));
        findings.push(
            Finding::new(&rules::NO_TRAINING, Place::Cell(first.cell.clone()), message)
                .help("enter their training, or use one spelling of initials everywhere"),
        );
    }
}

/// Whether a training holds at an instant: from its day on, to the end of the day until which it holds.
fn holds(row: &RegisterRow, at: Instant, whole: &Verification) -> bool {
    let day = |at: Instant| whole.zone.local(at).date();
    row.time("trained").is_some_and(|from| day(from) <= day(at))
        && match (row.time("until"), row.word("until").is_empty()) {
            (Some(until), _) => day(at) <= day(until),
            // A day that cannot be read shows nothing.
            (None, empty) => empty,
        }
}

/// What people did for the lots of the period, or within it.
fn acts<'r>(records: &'r Records, whole: &Verification) -> Vec<Act<'r>> {
    let codes = whole.codes();
    let ours = |lot: &str| codes.contains(lot);
    let within = |at: Instant| whole.period.holds(whole.zone.local(at).date());
    let mut all: Vec<Act<'r>> = Vec::new();
    let mut add = |by: Option<&'r str>, at: Option<Instant>, what: &'static str, cell: &'r Cell| {
        if let (Some(by), Some(at)) = (by.filter(|by| !by.is_empty()), at) {
            all.push(Act { by, at, what, cell });
        }
    };
    for check in &records.checks {
        if check.lot.as_deref().map_or_else(|| within(check.at), ours) {
            add(check.by.as_deref(), Some(check.at), "made a check", &check.cell);
        }
    }
    for sample in records.samples.iter().filter(|sample| ours(&sample.lot)) {
        add(sample.by.as_deref(), Some(sample.at), "tested a sample", &sample.cell);
    }
    for one in records.calibrations.iter().filter(|one| within(one.at)) {
        add(one.by.as_deref(), Some(one.at), "calibrated an instrument", &one.cell);
    }
    for row in &records.registers {
        for (_, by, at, what) in DONE.iter().filter(|(kind, ..)| *kind == row.kind) {
            let at = row.time(at);
            if row.lots.iter().any(|lot| ours(lot)) || (row.lots.is_empty() && at.is_some_and(within)) {
                add(Some(row.word(by)), at, what, &row.cell);
            }
        }
    }
    all
}
