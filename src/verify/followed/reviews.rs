//! Were records reviewed in time, was monitoring observed, and were instruments found in order?

use super::rules;
use crate::finding::Finding;
use crate::log::{Records, RegisterKind, RegisterRow};
use crate::plan::{Control, Plan, Rhythm, Term, VerifyWhen};
use crate::source::Place;
use crate::time::{HOUR, Instant, Zone};
use crate::verify::Verification;
use crate::verify::windows::{Stretch, stretch};
use std::collections::BTreeMap;

/// How one promise of verification was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reviewed {
    /// The control, or the record.
    pub what: String,
    /// What was promised.
    pub promised: String,
    /// How many were done.
    pub done: usize,
    /// What was late or is missing, in words.
    pub late: Vec<String>,
}

pub(super) fn hold(plan: &Plan, records: &Records, whole: &Verification, findings: &mut Vec<Finding>) -> Vec<Reviewed> {
    let mut out = Vec::new();
    if records.kept.contains(&RegisterKind::RecordReviews) {
        names(plan, records, findings);
        out.extend(in_time(plan, records, whole, findings));
    }
    if records.kept.contains(&RegisterKind::Observations) {
        out.extend(observed(plan, records, whole, findings));
    }
    if records.kept.contains(&RegisterKind::InstrumentChecks) {
        in_order(plan, records, whole, findings);
    }
    out
}

fn rows(records: &Records, kind: RegisterKind) -> impl Iterator<Item = &RegisterRow> {
    records.registers.iter().filter(move |row| row.kind == kind)
}

/// Records under review that the plan does not have.
fn names(plan: &Plan, records: &Records, findings: &mut Vec<Finding>) {
    for row in rows(records, RegisterKind::RecordReviews) {
        for name in row.list("records").filter(|name| !plan.records.iter().any(|own| own.name == **name)) {
            let message = format!("the plan has no record called `{name}`");
            findings.push(Finding::new(&rules::REGISTER_UNKNOWN, Place::Cell(row.cell.clone()), message));
        }
    }
}

/// The end of a term that begins at an instant: of the day, where it is a matter of the calendar.
fn end_of(term: &Term, at: Instant, plan: &Plan, zone: Zone) -> Option<Instant> {
    match term {
        Term::Calendar(every) => {
            let due = every.after(zone.local(at).date(), &plan.worked())?;
            zone.start_of(due.succ_opt()?)
        }
        Term::Clock(every) => Some(Instant(at.0.checked_add(every.nanoseconds()?)?)),
        Term::Blank => None,
    }
}

/// Records reviewed within the term of the plan: for each lot, what was written over the stages of each control.
fn in_time(plan: &Plan, records: &Records, whole: &Verification, findings: &mut Vec<Finding>) -> Vec<Reviewed> {
    let now = known_until(records, whole);
    let mut promises: BTreeMap<(String, String), Reviewed> = BTreeMap::new();
    for control in &plan.controls {
        let terms = control.verify.iter().filter(|verify| verify.activity == *"record-review");
        for verify in terms {
            let VerifyWhen::Within(term) = &verify.when else { continue };
            for record in control.monitors.iter().map(|monitor| &monitor.record.text) {
                let key = (record.clone(), format!("within {term}"));
                let entry = promises.entry(key).or_insert_with(|| Reviewed {
                    what: record.clone(),
                    promised: format!("review within {term}"),
                    done: 0,
                    late: Vec::new(),
                });
                for lot in &whole.lots {
                    let Some((from, to)) = written(plan, control, records, lot.lot, record) else { continue };
                    let Some(due) = end_of(term, to, plan, whole.zone) else { continue };
                    match reviewed(records, record, from, to, whole.zone) {
                        Some(at) if at < due => entry.done += 1,
                        Some(at) => {
                            late(&mut entry.late, &format!("reviewed {}:", whole.zone.show_local(at)), &lot.code);
                        }
                        None if now.is_some_and(|now| due <= now) => {
                            late(&mut entry.late, "not reviewed:", &lot.code);
                        }
                        None => {}
                    }
                }
            }
        }
    }
    for one in promises.values().filter(|one| !one.late.is_empty()) {
        let message = format!("`{}` was not reviewed as promised, {}: {}", one.what, one.promised, one.late.join("; "));
        findings.push(Finding::new(&rules::RECORDS_UNREVIEWED, Place::Named("record reviews".to_owned()), message));
    }
    promises.into_values().collect()
}

/// Adds a lot to the line that begins with these words.
fn late(lines: &mut Vec<String>, words: &str, lot: &str) {
    match lines.iter_mut().find(|line| line.starts_with(words)) {
        Some(line) if line.split([' ', ',']).any(|known| known == lot) => {}
        Some(line) => {
            line.push_str(", ");
            line.push_str(lot);
        }
        None => lines.push(format!("{words} {lot}")),
    }
}

/// The last instant that anything on record speaks of, times of registers included.
fn known_until(records: &Records, whole: &Verification) -> Option<Instant> {
    let registers = records.registers.iter().flat_map(|row| row.times.values()).max().copied();
    whole.last.max(registers)
}

/// From when to when something was written about a lot at a control; from the checks and samples themselves where the
/// control has no stage.
fn written(plan: &Plan, control: &Control, records: &Records, lot: usize, record: &str) -> Option<(Instant, Instant)> {
    let lot = records.lots.get(lot)?;
    let steps = control.at.iter().filter_map(|step| plan.step(&step.text));
    let stages: Vec<_> = steps.flat_map(|step| &step.stages).filter(|stage| stage.ends_when().is_none()).collect();
    if let Stretch::Known(window) = stretch(&stages, lot, record) {
        let end = window.end.map_or(window.start.0, |(first, _)| first);
        return (window.start.0 <= end).then_some((Instant(window.start.0), Instant(end)));
    }
    let checks = records.checks.iter().filter(|check| check.record == record);
    let checks = checks.filter(|check| check.lot.as_deref() == Some(lot.code.as_str())).map(|check| check.at);
    let samples = records.samples.iter().filter(|sample| sample.record == record && sample.lot == lot.code);
    let mut all: Vec<Instant> = checks.chain(samples.map(|sample| sample.at)).collect();
    all.sort();
    Some((*all.first()?, *all.last()?))
}

/// When the last day of a stretch had been reviewed, each day by the first review that holds it; none while a day is
/// without one. Days count whole.
fn reviewed(records: &Records, record: &str, from: Instant, to: Instant, zone: Zone) -> Option<Instant> {
    let day = |at: Instant| zone.local(at).date();
    let own: Vec<_> = rows(records, RegisterKind::RecordReviews)
        .filter(|row| row.list("records").any(|name| name == record))
        .filter_map(|row| Some((day(row.time("from")?), day(row.time("to")?), row.time("reviewed")?)))
        .collect();
    let mut last: Option<Instant> = None;
    let mut next = day(from);
    while next <= day(to) {
        let first = own.iter().filter(|(from, to, _)| *from <= next && next <= *to).map(|(.., at)| *at).min()?;
        last = last.max(Some(first));
        next = next.succ_opt()?;
    }
    last
}

/// Direct observation in its rhythm: from one to the next, and from the last to the end of what is known.
fn observed(plan: &Plan, records: &Records, whole: &Verification, findings: &mut Vec<Finding>) -> Vec<Reviewed> {
    let mut out = Vec::new();
    for row in rows(records, RegisterKind::Observations) {
        for name in row.list("controls").filter(|name| !plan.controls.iter().any(|own| own.name == **name)) {
            let message = format!("the plan has no CCP called `{name}`");
            findings.push(Finding::new(&rules::REGISTER_UNKNOWN, Place::Cell(row.cell.clone()), message));
        }
        if !row.word("of").is_empty() && row.word("of").eq_ignore_ascii_case(row.word("by")) {
            let message = format!("`{}` observed their own monitoring", row.word("by"));
            findings.push(Finding::new(&rules::OWN_REVIEW, Place::Cell(row.cell.clone()), message));
        }
    }
    let begun = whole.lots.iter().filter_map(|lot| lot.begun);
    let (Some(first), Some(last)) = (begun.clone().min(), begun.max()) else { return out };
    for control in &plan.controls {
        for verify in control.verify.iter().filter(|verify| verify.activity == *"direct-observation") {
            let VerifyWhen::Often(cadence) = &verify.when else { continue };
            let Rhythm::Every(term) = &cadence.rhythm else { continue };
            let mut done: Vec<Instant> = rows(records, RegisterKind::Observations)
                .filter(|row| row.list("controls").any(|name| control.name == *name))
                .filter_map(|row| row.time("observed"))
                .collect();
            done.sort();
            let mut late = Vec::new();
            let within = done.iter().filter(|at| first <= **at && **at <= last).count();
            // With none before the period, the first is due one term after its first lot.
            let mut previous = done.iter().rev().find(|at| **at < first).copied().unwrap_or(first);
            for at in done.iter().filter(|at| first <= **at).copied().chain([Instant(last.0.saturating_add(HOUR))]) {
                if previous > last {
                    break;
                }
                if let Some(due) = end_of(term, previous, plan, whole.zone)
                    && due <= at
                {
                    late.push(format!(
                        "none from {} to {}",
                        whole.zone.show_local(previous),
                        whole.zone.show_local(at.min(last))
                    ));
                }
                previous = at;
            }
            if !late.is_empty() {
                let message =
                    format!("monitoring of `{}` was to be observed {cadence}: {}", control.name, late.join(", "));
                let place = Place::Named("direct observations".to_owned());
                findings.push(Finding::new(&rules::OBSERVATION_OVERDUE, place, message));
            }
            out.push(Reviewed {
                what: control.name.text.clone(),
                promised: format!("observation {cadence}"),
                done: within,
                late,
            });
        }
    }
    out
}

/// Instruments that a check found not in order, back to when they were last found in order.
fn in_order(plan: &Plan, records: &Records, whole: &Verification, findings: &mut Vec<Finding>) {
    for row in rows(records, RegisterKind::InstrumentChecks) {
        let name = row.word("instrument");
        if !plan.instruments.iter().any(|own| own.name == *name) && !plan.equipment.iter().any(|own| own.name == *name)
        {
            let message = format!("the plan has no instrument called `{name}`");
            findings.push(Finding::new(&rules::REGISTER_UNKNOWN, Place::Cell(row.cell.clone()), message));
        }
        if row.in_order() {
            continue;
        }
        let at = row.time("checked");
        let good = rows(records, RegisterKind::InstrumentChecks)
            .filter(|other| other.word("instrument") == name && other.cell != row.cell)
            .filter(|other| other.in_order())
            .filter_map(|other| other.time("checked"))
            .chain(
                whole
                    .instruments
                    .iter()
                    .filter(|state| state.name == name)
                    .flat_map(|state| state.calibrations.iter().filter(|one| one.good).map(|one| one.at)),
            )
            .filter(|good| at.is_some_and(|at| *good < at))
            .max();
        let back = good.map_or("the start of the records".to_owned(), |good| whole.zone.show_local(good));
        let message = format!(
            "`{name}` was found `{}`; what it measured since {back}, when it was last in order, is in question",
            row.word("result")
        );
        findings.push(Finding::new(&rules::NOT_IN_ORDER, Place::Cell(row.cell.clone()), message));
    }
}
