//! Corrective actions: each held against the deviations that it names.

use super::deviations::{Deviation, Event};
use super::{rules, shares};
use crate::finding::{Finding, nearest};
use crate::log::{Records, RegisterKind, RegisterRow};
use crate::plan::{Control, Plan};
use crate::source::Place;
use crate::time::Instant;
use crate::verify::Verification;
use chrono::Months;
use std::collections::{BTreeMap, BTreeSet};

/// A corrective action on record.
#[derive(Debug, Clone, PartialEq)]
pub struct Action {
    /// Its number.
    pub number: String,
    /// Index in [`Records::registers`].
    pub row: usize,
    /// What it leaves out, in words.
    pub missing: Vec<&'static str>,
    /// Earlier actions at the same control within twelve months: number, and whether the cause is in the same words.
    pub earlier: Vec<(String, bool)>,
    /// Whether it is about a deviation that the records show.
    pub matched: bool,
}

/// What a row says it is about: a control, and a limit of it where it names one.
type Target = (String, Option<String>);

/// Fields with what is missing without them, and the clauses that ask for them.
type Asked = (&'static [(&'static str, &'static str)], &'static [&'static str]);

/// The four parts, each as fields with what is missing, and the clauses that ask for it.
const PARTS: &[Asked] = &[
    (
        &[("cause", "the cause"), ("removed", "how the cause was removed")],
        &["fsis.417.3.a1", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2"],
    ),
    (
        &[("restored", "when control was restored"), ("shown-by", "the reading that shows control restored")],
        &["fsis.417.3.a2"],
    ),
    (&[("prevention", "what keeps it from happening again")], &["fsis.417.3.a3", "pc.117.150.a2"]),
    (
        &[
            ("disposition", "what was decided about the product"),
            ("quantity", "how much product"),
            ("decided-by", "who decided"),
            ("decided", "when it was decided"),
        ],
        &["codex.corrective.hold", "fsis.417.3.a4", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2"],
    ),
    (&[("found", "when it was found"), ("by", "who made the record")], &["fsis.417.5.b", "codex.monitor.sign"]),
];

/// What an unforeseen event asks for beside.
const UNFORESEEN: Asked = (
    &[
        ("held", "when the product was held"),
        ("acceptable", "who reviewed whether the product is acceptable"),
        ("reassessed", "when the plan was reassessed"),
        ("reassessed-by", "who reassessed the plan"),
    ],
    &["fsis.417.3.b1", "fsis.417.3.b2", "fsis.417.3.b4", "fish.123.7.c", "juice.120.10.b", "pc.117.150.b"],
);

/// Matches the corrective actions of the period to its deviations, and reports what is missing or out of order.
pub(super) fn hold(
    plan: &Plan,
    records: &Records,
    whole: &Verification,
    deviations: &mut [Deviation],
    findings: &mut Vec<Finding>,
) -> Vec<Action> {
    let rows: Vec<(usize, &RegisterRow)> =
        records.registers.iter().enumerate().filter(|(_, row)| row.kind == RegisterKind::CorrectiveActions).collect();
    let targets: Vec<Vec<Target>> = rows.iter().map(|(_, row)| targets(plan, row, findings)).collect();
    twice(&rows, "corrective action", findings);
    let codes = whole.codes();
    let mut actions = Vec::new();
    for ((index, row), own) in rows.iter().zip(&targets) {
        if !concerns(row, whole, &codes) {
            continue;
        }
        let number = actions.len();
        let matched = cover(row, own, number, deviations);
        let missing = missing(row, findings);
        order(row, deviations, number, findings);
        let earlier = earlier(row, own, whole, rows.iter().map(|(_, row)| *row).zip(&targets));
        if !matched {
            unmatched(row, own, records, whole, findings);
        }
        actions.push(Action { number: row.word("number").to_owned(), row: *index, missing, earlier, matched });
    }
    for deviation in deviations.iter_mut() {
        for share in &mut deviation.lots {
            share.decided_before = share.actions.iter().any(|action| {
                let row = actions.get(*action).and_then(|action| records.registers.get(action.row));
                row.is_some_and(|row| decided(row, share.shipped))
            });
        }
    }
    short(records, &actions, deviations, findings);
    unshown(records, whole, &actions, deviations, findings);
    uncovered(records, deviations, findings);
    actions
}

/// Whether a decision with a name and a time, before any shipping, stands in a row.
fn decided(row: &RegisterRow, shipped: Option<Instant>) -> bool {
    !row.word("disposition").is_empty()
        && !row.word("decided-by").is_empty()
        && row.time("decided").is_some_and(|at| shipped.is_none_or(|shipped| at <= shipped))
}

/// What the cell of limits names; a finding for each name that the plan does not have.
fn targets(plan: &Plan, row: &RegisterRow, findings: &mut Vec<Finding>) -> Vec<Target> {
    let mut found = Vec::new();
    for name in row.list("limits") {
        let (control, limit) = name.split_once('.').map_or((name, None), |(control, limit)| (control, Some(limit)));
        match (named(plan, control), limit) {
            (Some(own), None) => found.push((own.name.text.clone(), None)),
            (Some(own), Some(limit))
                if own.limits.iter().any(|known| known.name == *limit)
                    || own.series.iter().any(|known| known.name == *limit) =>
            {
                found.push((own.name.text.clone(), Some(limit.to_owned())));
            }
            _ => {
                let names: Vec<String> = plan
                    .controls
                    .iter()
                    .flat_map(|own| own.limits.iter().map(move |limit| format!("{}.{}", own.name, limit.name)))
                    .collect();
                let help = match nearest(name, names.iter().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "write the CCP, or CCP.limit, as the plan names them".to_owned(),
                };
                let message = format!("the plan has no CCP or limit called `{name}`");
                findings
                    .push(Finding::new(&rules::REGISTER_UNKNOWN, Place::Cell(row.cell.clone()), message).help(help));
            }
        }
    }
    let instrument = row.word("instrument");
    if !instrument.is_empty() && !plan.instruments.iter().any(|own| own.name == *instrument) {
        let message = format!("the plan has no instrument called `{instrument}`");
        findings.push(Finding::new(&rules::REGISTER_UNKNOWN, Place::Cell(row.cell.clone()), message));
    }
    found
}

/// The control of this name, or of this number as the document prints it (`CCP 1`), if one alone has it.
fn named<'p>(plan: &'p Plan, name: &str) -> Option<&'p Control> {
    let same = |own: &&Control| own.number.as_ref().is_some_and(|number| number.eq_ignore_ascii_case(name.trim()));
    let mut numbered = plan.controls.iter().filter(same);
    let by_name = plan.controls.iter().find(|own| own.name == *name);
    by_name.or_else(|| numbered.next().filter(|_| numbered.next().is_none()))
}

/// Two records under one number.
pub(super) fn twice(rows: &[(usize, &RegisterRow)], what: &str, findings: &mut Vec<Finding>) {
    let mut seen: BTreeMap<&str, &RegisterRow> = BTreeMap::new();
    for (_, row) in rows {
        let number = row.word("number");
        if number.is_empty() {
            continue;
        }
        match seen.get(number) {
            Some(first) => findings.push(
                Finding::new(
                    &rules::NUMBER_TWICE,
                    Place::Cell(row.cell.clone()),
                    format!("{what} `{number}` stands in row {} and again here", first.cell.row),
                )
                .with(Place::Cell(first.cell.clone()), "the first row")
                .help("give each record a number of its own; both rows are kept"),
            ),
            None => {
                seen.insert(number, row);
            }
        }
    }
}

/// Whether a row is about a lot of the period, or was found within it.
fn concerns(row: &RegisterRow, whole: &Verification, codes: &BTreeSet<&str>) -> bool {
    let within = |at: Instant| whole.period.holds(whole.zone.local(at).date());
    row.lots.iter().any(|code| codes.contains(code.as_str()))
        || (row.lots.is_empty() && row.time("found").is_some_and(within))
}

/// Notes the action at every lot of every deviation that it names.
fn cover(row: &RegisterRow, targets: &[Target], number: usize, deviations: &mut [Deviation]) -> bool {
    let mut matched = false;
    for deviation in deviations {
        let named = match (&deviation.instrument, deviation.event) {
            (Some(instrument), _) => row.word("instrument") == instrument,
            (None, Event::Missed) => targets.iter().any(|(control, _)| *control == deviation.control),
            (None, _) => targets.iter().any(|(control, limit)| {
                *control == deviation.control && limit.as_ref().is_none_or(|limit| *limit == deviation.limit)
            }),
        };
        if !named {
            continue;
        }
        for share in deviation.lots.iter_mut().filter(|share| row.lots.contains(&share.code)) {
            share.actions.push(number);
            matched = true;
        }
    }
    matched
}

/// What a record leaves out, with a finding.
fn missing(row: &RegisterRow, findings: &mut Vec<Finding>) -> Vec<&'static str> {
    let unforeseen = !matches!(row.word("unforeseen").to_lowercase().as_str(), "" | "no" | "n" | "-");
    let parts = PARTS.iter().chain(unforeseen.then_some(&UNFORESEEN));
    let mut missing = Vec::new();
    let mut clauses: Vec<&'static str> = Vec::new();
    for (fields, rests_on) in parts {
        let before = missing.len();
        for (field, what) in *fields {
            let there = match *field {
                "quantity" => row.quantity.is_some(),
                "restored" | "decided" | "found" | "held" | "reassessed" => row.time(field).is_some(),
                field => !row.word(field).is_empty(),
            };
            if !there {
                missing.push(*what);
            }
        }
        if missing.len() > before {
            clauses.extend(rests_on.iter().filter(|key| !clauses.contains(key)).copied().collect::<Vec<_>>());
        }
    }
    if !missing.is_empty() {
        let message = format!("corrective action `{}` does not record: {}", row.word("number"), missing.join("; "));
        let mut finding = Finding::new(&rules::INCOMPLETE_ACTION, Place::Cell(row.cell.clone()), message)
            .help("write what is missing, with the time of writing, and have the record reviewed again");
        for clause in clauses.into_iter().filter(|key| !rules::INCOMPLETE_ACTION.clauses.contains(key)) {
            finding = finding.resting_on(clause);
        }
        findings.push(finding);
    }
    missing
}

/// Times and names of one record that do not fit each other.
fn order(row: &RegisterRow, deviations: &[Deviation], number: usize, findings: &mut Vec<Finding>) {
    let place = || Place::Cell(row.cell.clone());
    let name = row.word("number");
    let (found, restored) = (row.time("found"), row.time("restored"));
    if found.zip(restored).is_some_and(|(found, restored)| restored < found) {
        let message = format!("in corrective action `{name}` control is restored before the deviation was found");
        findings.push(Finding::new(&rules::ACTION_REVERSED, place(), message));
    }
    let (decided, reviewed) = (row.time("decided"), row.time("reviewed"));
    let late = [restored, decided].into_iter().flatten().max();
    if reviewed.zip(late).is_some_and(|(reviewed, late)| reviewed < late) {
        let message = format!("corrective action `{name}` was reviewed before its last step");
        findings.push(
            Finding::new(&rules::REVIEWED_BEFORE_ACTION, place(), message)
                .help("have the finished record reviewed, and add that review; leave the early one as it is"),
        );
    }
    if reviewed.is_none() || row.word("reviewed-by").is_empty() {
        let message = format!("corrective action `{name}` has no review with a name and a time");
        findings.push(Finding::new(&rules::ACTION_NOT_REVIEWED, place(), message));
    } else if row.word("reviewed-by").eq_ignore_ascii_case(row.word("by")) {
        let message =
            format!("corrective action `{name}` was reviewed by `{}`, who made the record", row.word("reviewed-by"));
        findings.push(Finding::new(&rules::OWN_REVIEW, place(), message));
    }
    let mut late: Vec<&str> = Vec::new();
    let held = deviations.iter().filter(|deviation| deviation.event != Event::SeriesNotMet);
    for share in held.flat_map(|deviation| &deviation.lots).filter(|share| share.actions.contains(&number)) {
        let after = share.shipped.zip(decided).is_some_and(|(shipped, decided)| shipped < decided);
        if after && !late.contains(&share.code.as_str()) {
            late.push(&share.code);
        }
    }
    if !late.is_empty() {
        let message = format!("corrective action `{name}` was decided after shipping: {}", late.join(", "));
        findings.push(
            Finding::new(&rules::DECIDED_AFTER_SHIPPING, place(), message)
                .help("find out where the product is and ask whoever answers for it; correct the times only where they were typed wrongly"),
        );
    }
}

/// Earlier actions at the same control within twelve months.
fn earlier<'r>(
    row: &RegisterRow,
    targets: &[Target],
    whole: &Verification,
    all: impl Iterator<Item = (&'r RegisterRow, &'r Vec<Target>)>,
) -> Vec<(String, bool)> {
    let Some(found) = row.time("found") else { return Vec::new() };
    let day = whole.zone.local(found).date();
    let Some(from) = day.checked_sub_months(Months::new(12)) else { return Vec::new() };
    let cause = |row: &RegisterRow| row.word("cause").to_lowercase();
    all.filter(|(other, _)| other.cell != row.cell)
        .filter(|(other, _)| other.time("found").is_some_and(|at| at < found && from <= whole.zone.local(at).date()))
        .filter(|(_, theirs)| theirs.iter().any(|(control, _)| targets.iter().any(|(own, _)| own == control)))
        .map(|(other, _)| (other.word("number").to_owned(), !cause(row).is_empty() && cause(other) == cause(row)))
        .collect()
}

/// An action about something that the records do not show, with the lot's row beside it.
fn unmatched(
    row: &RegisterRow,
    targets: &[Target],
    records: &Records,
    whole: &Verification,
    findings: &mut Vec<Finding>,
) {
    let name = row.word("number");
    let about: Vec<String> = targets
        .iter()
        .map(|(control, limit)| limit.as_ref().map_or(control.clone(), |limit| format!("{control}.{limit}")))
        .collect();
    let message = format!(
        "corrective action `{name}` is about {} of {}, for which the records show no deviation",
        if about.is_empty() { "no limit of the plan".to_owned() } else { about.join(", ") },
        if row.lots.is_empty() { "no lot".to_owned() } else { row.lots.join(", ") },
    );
    let mut finding = Finding::new(&rules::ACTION_WITHOUT_DEVIATION, Place::Cell(row.cell.clone()), message)
        .help("look whether it names the right lot and limit; where a person saw what no reading shows, say so in it");
    for code in &row.lots {
        let lot = whole.lots.iter().find(|lot| lot.code == *code).and_then(|lot| records.lots.get(lot.lot));
        if let Some(lot) = lot {
            finding = finding.with(Place::Cell(lot.cell.clone()), format!("lot {code} in the register of lots"));
        }
    }
    findings.push(finding);
}

/// A decision about less than was made of the lots that the action covers.
fn short(records: &Records, actions: &[Action], deviations: &[Deviation], findings: &mut Vec<Finding>) {
    for (number, action) in actions.iter().enumerate() {
        let Some(row) = records.registers.get(action.row) else { continue };
        let mut shares: Vec<&super::Share> = Vec::new();
        for share in deviations.iter().flat_map(|deviation| &deviation.lots) {
            if share.actions.contains(&number) && !shares.iter().any(|known| known.code == share.code) {
                shares.push(share);
            }
        }
        let known: Vec<_> = shares.iter().filter_map(|share| share.quantity).collect();
        let (Some(made), Some(covered)) = (shares::sum(&known), row.quantity) else { continue };
        if covered.in_unit(made.unit).is_some_and(|covered| covered < made.value) {
            let message = format!(
                "corrective action `{}` covers {covered}, and the register of lots has {made} made of the lots in it",
                action.number
            );
            findings.push(
                Finding::new(&rules::QUANTITY_SHORT, Place::Cell(row.cell.clone()), message)
                    .help("say what became of the rest, or why it is not in question"),
            );
        }
    }
}

/// Control restored at a time at which the records of checks show none.
fn unshown(
    records: &Records,
    whole: &Verification,
    actions: &[Action],
    deviations: &[Deviation],
    findings: &mut Vec<Finding>,
) {
    for (number, action) in actions.iter().enumerate() {
        let Some(row) = records.registers.get(action.row) else { continue };
        let Some(restored) = row.time("restored") else { continue };
        let window = whole.affected.iter().find(|window| {
            deviations.iter().any(|one| {
                one.control == window.control
                    && one.limit == window.limit
                    && one.lots.iter().any(|share| share.actions.contains(&number) && window.lots.contains(&share.code))
            })
        });
        let Some(window) = window else { continue };
        let early = window.to.is_none_or(|to| restored.0 < to - to.rem_euclid(crate::time::MINUTE));
        if early {
            let first = window.to.map_or("no good check is on record since".to_owned(), |to| {
                format!("the first of two good checks on record is at {}", whole.zone.show_local(Instant(to)))
            });
            let message = format!(
                "corrective action `{}` says that {} was under control from {}, and {first}",
                action.number,
                window.control,
                whole.zone.show_local(restored)
            );
            findings.push(Finding::new(&rules::RESTORED_UNSHOWN, Place::Cell(row.cell.clone()), message));
        }
    }
}

/// Deviations of which some lot has no corrective action.
fn uncovered(records: &Records, deviations: &[Deviation], findings: &mut Vec<Finding>) {
    for deviation in deviations {
        let open: Vec<&str> = deviation.uncovered().map(|share| share.code.as_str()).collect();
        let Some(first) = open.first() else { continue };
        let rule = match deviation.event {
            Event::Missed => &rules::MISSED_WITHOUT_ACTION,
            _ => &rules::NO_ACTION,
        };
        let place = records.lots.iter().find(|lot| lot.code == **first).map(|lot| Place::Cell(lot.cell.clone()));
        let message = format!(
            "no corrective action on record covers {}: {}, {}",
            deviation.about(),
            deviation.event.words(),
            open.join(", ")
        );
        let place = place.unwrap_or_else(|| Place::Named("register of lots".to_owned()));
        findings.push(Finding::new(rule, place, message).help(
            "write a record that names the lots and the limit: cause, control restored, recurrence, product, who, when",
        ));
    }
}
