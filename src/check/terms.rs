//! Terms that the regimes set: how often a plan is reassessed, what is reviewed, how long records are kept and what they hold.

use super::Desk;
use super::people::days;
use crate::finding::{Finding, narrow};
use crate::plan::{Head, Product, RecordKind};
use std::collections::HashSet;

crate::rules! {
    /// The plan is reassessed less often than a regime asks.
    RARE_REASSESSMENT = "T114" "rare-reassessment" Error ["fsis.417.4.a3i", "fish.123.8.a1", "juice.120.11.c", "pc.117.170.a"];
    /// A reassessment that does not say whether it changed the plan, or why.
    REASSESSMENT_WITHOUT_OUTCOME = "T115" "reassessment-without-outcome" Error ["fsis.417.4.a3ii", "pc.117.170.c"];
    /// A reassessment changed the plan, and the text was not revised since.
    NOT_REVISED = "T116" "not-revised" Error ["fsis.417.4.a3i.modify", "pc.117.170.c"];
    /// Nobody reviews the records of calibration.
    NO_CALIBRATION_REVIEW = "P120" "no-calibration-review" Error ["fish.123.8.a3iii", "pc.117.165.a4ii"];
    /// Nobody reviews the records of a lot before it is shipped.
    NO_PRE_SHIPMENT_REVIEW = "P116" "no-pre-shipment-review" Error ["fsis.417.5.c"];
    /// The plant or the product is new, its first 90 days are over, and a CCP has no data from the plant itself.
    LATE_FIRST_VALIDATION = "P117" "late-first-validation" Error ["fsis.304.3.90d"];
    /// A test of product or surroundings, or a calibration, without a word on how it is done.
    UNWRITTEN_PROCEDURE = "P118" "unwritten-procedure" Error ["pc.117.165.b"];
    /// A record is kept for less time than a regime asks.
    KEPT_TOO_SHORT = "B119" "kept-too-short" Error ["fsis.417.5.e1", "fsis.416.16.c", "fsis.310.22.e4", "fish.123.9.b1", "fish.123.11.c", "juice.120.12.d1", "pc.117.315.a", "fish.123.9.b2", "pc.117.315.b"];
    /// A record does not say that its entries hold what a regime asks for.
    ///
    /// An entry without its time, its result and the mark of the person who made it proves nothing.
    THIN_ENTRIES = "B120" "thin-entries" Error ["codex.monitor.sign", "fsis.417.5.b", "fish.123.9.a", "juice.120.12.b", "pc.117.305.f"];
    /// A part of an entry that is not known.
    UNKNOWN_ENTRY = "B121" "unknown-entry" Error;
}

/// What a regime sets.
struct Terms {
    regime: &'static str,
    /// Longest time between two reassessments, in months, with the words for it.
    reassess: Option<(f64, &'static str)>,
    /// Years that records of the plan are kept: refrigerated product, other product.
    keep: Option<(u32, u32)>,
    /// What each entry holds.
    entries: &'static [&'static str],
}

const TERMS: &[Terms] = &[
    Terms { regime: "codex", reassess: None, keep: None, entries: &["date", "time", "result", "signature"] },
    Terms {
        regime: "us-meat-poultry",
        reassess: Some((12.0, "every year")),
        keep: Some((1, 2)),
        entries: &["date", "time", "result", "signature"],
    },
    Terms {
        regime: "us-seafood",
        reassess: Some((12.0, "every year")),
        keep: Some((1, 2)),
        entries: &["place", "date", "time", "product", "lot", "result", "signature"],
    },
    Terms {
        regime: "us-juice",
        reassess: Some((12.0, "every year")),
        keep: Some((1, 2)),
        entries: &["place", "date", "time", "product", "lot", "result", "signature"],
    },
    Terms {
        regime: "us-preventive-controls",
        reassess: Some((36.0, "every 3 years")),
        keep: Some((2, 2)),
        entries: &["place", "date", "time", "product", "lot", "result", "signature"],
    },
];

/// Where a regime asks how long the studies behind a plan are kept: regime, citation, clause.
const STUDIES: [(&str, &str, &str); 2] = [
    ("us-seafood", "21 CFR 123.9(b)(2)", "fish.123.9.b2"),
    ("us-preventive-controls", "21 CFR 117.315(b)", "pc.117.315.b"),
];

/// What an entry of a record may hold.
pub const ENTRIES: &[&str] = &["place", "date", "time", "product", "lot", "result", "signature"];

/// Days of the longest of so many months, so that a year of 366 days is still a year.
fn longest_months(months: f64) -> f64 {
    months * 365.25 / 12.0 + 0.5
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    entries_known(desk);
    reassessed(desk);
    let Some(head) = &plan.head else { return };
    let in_force = |regime: &str| head.answers_to(regime);
    for terms in TERMS.iter().filter(|terms| in_force(terms.regime)) {
        let from = desk.findings.len();
        rhythm(desk, terms);
        kept(desk, terms);
        if let Some(mine) = desk.findings.get_mut(from..) {
            narrow(mine, &[terms.regime]);
        }
    }
    entries(desk, head);
    let activity = |name: &str| {
        let all = plan.controls.iter().flat_map(|control| &control.verify);
        all.chain(plan.programmes.iter().flat_map(|programme| &programme.verify)).any(|verify| verify.activity == *name)
    };
    let reviewed = in_force("us-seafood") || in_force("us-preventive-controls");
    if reviewed && plan.instruments.iter().any(|one| one.calibration.is_some()) && !activity("calibration-review") {
        desk.say(
            Finding::at(&NO_CALIBRATION_REVIEW, head.loc, "nobody reviews the records of calibration")
                .help("add `verify calibration-review every 1 month by ROLE on RECORD` to a control or programme"),
        );
    }
    if in_force("us-meat-poultry") && plan.ccps().next().is_some() && !activity("pre-shipment-review") {
        desk.say(
            Finding::at(&NO_PRE_SHIPMENT_REVIEW, head.loc, "nobody reviews the records of a lot before it is shipped")
                .help("add `verify pre-shipment-review each lot by ROLE on RECORD` to a control or programme"),
        );
    }
    first_validation(desk);
    if in_force("us-preventive-controls") {
        procedures(desk);
    }
}

fn rhythm(desk: &mut Desk<'_>, terms: &Terms) {
    let Some(every) = desk.plan.head.as_ref().and_then(|head| head.reassess.as_ref()) else { return };
    if let Some((months, words)) = terms.reassess
        && every.value.days() > longest_months(months)
    {
        let message = format!("the plan is reassessed every {}; {} asks for it {words}", every.value, terms.regime);
        desk.say(Finding::at(&RARE_REASSESSMENT, every.loc, message).help("write the shorter term"));
    }
}

fn reassessed(desk: &mut Desk<'_>) {
    let Some(head) = &desk.plan.head else { return };
    let Some(done) = &head.reassessed else { return };
    let asked = head.answers_to("us-meat-poultry") || head.answers_to("us-preventive-controls");
    let (changed, said) = (done.changed, done.note.is_some());
    if asked && (changed.is_none() || changed == Some(true) && !said) {
        let missing = if changed.is_none() { "whether it changed the plan" } else { "why it changed the plan" };
        desk.say(
            Finding::at(&REASSESSMENT_WITHOUT_OUTCOME, done.loc, format!("the reassessment does not say {missing}"))
                .help("write `reassessed DATE by ROLE changed \"why\"`, or `unchanged \"why\"`"),
        );
    }
    let revised = head.revision.as_ref().and_then(|revision| revision.date);
    if let (Some(true), Some(date)) = (changed, done.date)
        && revised.is_none_or(|revised| revised < date)
    {
        let mut finding = Finding::at(
            &NOT_REVISED,
            done.loc,
            format!("the reassessment of {date} changed the plan, and the text was not revised since"),
        )
        .help("write the change into the plan, then the new `revision`");
        if let Some(revision) = &head.revision {
            finding = finding.also(revision.loc, "the last revision");
        }
        desk.say(finding);
    }
}

/// Records on which the plan proves that its limits are met; the rest belong to programmes alone.
fn records_of_proof<'a>(desk: &Desk<'a>) -> HashSet<&'a str> {
    let mut names = HashSet::new();
    for control in &desk.plan.controls {
        names.extend(control.monitors.iter().map(|monitor| monitor.record.text.as_str()));
        names
            .extend(control.deviation.iter().filter_map(|deviation| deviation.record.as_ref()).map(|name| &*name.text));
        names.extend(control.verify.iter().filter_map(|verify| verify.record.as_ref()).map(|name| &*name.text));
    }
    let calibrations = desk.plan.instruments.iter().filter_map(|instrument| instrument.calibration.as_ref());
    names.extend(calibrations.map(|calibration| calibration.record.text.as_str()));
    names
}

fn chilled(product: &Product) -> bool {
    product.storage_class.as_ref().is_some_and(|class| *class == *"refrigerated")
}

fn kept(desk: &mut Desk<'_>, terms: &Terms) {
    let Some((chilled_years, other_years)) = terms.keep else { return };
    let plan = desk.plan;
    let proof = records_of_proof(desk);
    let all_chilled = !plan.products.is_empty() && plan.products.iter().all(chilled);
    let years = if all_chilled { chilled_years } else { other_years };
    let meat = terms.regime == "us-meat-poultry";
    for record in &plan.records {
        let Some(kept) = record.kept.as_ref().and_then(|(term, _)| days(term)) else { continue };
        let answers = |citation: &str| {
            plan.meets.iter().any(|meets| meets.head == record.loc && meets.citation.value == citation)
        };
        let adequacy = STUDIES.iter().find(|(regime, citation, _)| *regime == terms.regime && answers(citation));
        let (months, words, clause) = if let Some((_, _, clause)) = adequacy {
            (24, "2 years after a study was last used".to_owned(), Some(*clause))
        } else if meat && answers("9 CFR 310.22(e)(4)") {
            (12, "1 year for specified risk material".to_owned(), Some("fsis.310.22.e4"))
        } else if meat && !proof.contains(record.name.text.as_str()) {
            (6, "6 months for sanitation".to_owned(), Some("fsis.416.16.c"))
        } else {
            let class = if all_chilled { "refrigerated product" } else { "product that is not refrigerated" };
            (years * 12, format!("{years} year{} for {class}", if years == 1 { "" } else { "s" }), None)
        };
        if kept + 0.5 < f64::from(months) * 365.25 / 12.0 - 1.0 {
            desk.say(too_short(record, terms, &words, clause));
        }
    }
}

fn too_short(record: &RecordKind, terms: &Terms, words: &str, clause: Option<&'static str>) -> Finding {
    let term = record.kept.as_ref().map(|(term, _)| term.to_string()).unwrap_or_default();
    let message = format!("`{}` is kept for {term}; {} asks for {words}", record.name, terms.regime);
    let mut finding = Finding::at(&KEPT_TOO_SHORT, record.loc, message)
        .help("keep it longer; if every product is refrigerated, say so with `storage-class refrigerated`");
    match clause {
        Some(clause) => finding.clauses.retain(|id| *id == clause),
        None => finding.clauses.retain(|id| {
            !["fsis.416.16.c", "fsis.310.22.e4"].contains(id) && STUDIES.iter().all(|(_, _, clause)| clause != id)
        }),
    }
    finding
}

/// What all regimes in force ask for together, so that one finding says it once.
fn entries(desk: &mut Desk<'_>, head: &Head) {
    let plan = desk.plan;
    let monitors = || plan.controls.iter().flat_map(|control| &control.monitors);
    for record in plan.records.iter().filter(|record| monitors().any(|monitor| monitor.record == record.name)) {
        let said = record.carries.as_ref().map(|said| said.value.as_slice()).unwrap_or_default();
        let lacks = |entry: &str| !said.iter().any(|name| *name == *entry);
        let short = |terms: &&Terms| head.answers_to(terms.regime) && terms.entries.iter().any(|entry| lacks(entry));
        let asking: Vec<&Terms> = TERMS.iter().filter(short).collect();
        if asking.is_empty() {
            continue;
        }
        let asked = |entry: &&&str| asking.iter().any(|terms| terms.entries.contains(*entry));
        let lacking: Vec<&str> = ENTRIES.iter().filter(asked).copied().filter(|entry| lacks(entry)).collect();
        let whole: Vec<&str> =
            ENTRIES.iter().copied().filter(|entry| lacking.contains(entry) || !lacks(entry)).collect();
        desk.lacks(
            &THIN_ENTRIES,
            record.loc,
            "carries",
            format!("the entries of `{}` are not said to hold: {}", record.name, lacking.join(", ")),
            format!("if the form has them, write `carries {}`", whole.join(", ")),
        );
        let regimes: Vec<&str> = asking.iter().map(|terms| terms.regime).collect();
        if let Some(finding) = desk.findings.last_mut() {
            narrow(std::slice::from_mut(finding), &regimes);
        }
    }
}

fn entries_known(desk: &mut Desk<'_>) {
    let said = desk.plan.records.iter().filter_map(|record| record.carries.as_ref()).flat_map(|said| &said.value);
    for name in said.filter(|name| !ENTRIES.contains(&&*name.text)) {
        desk.findings.push(
            Finding::at(&UNKNOWN_ENTRY, name.loc, format!("no part of an entry is called `{name}`"))
                .help(format!("the parts are: {}", ENTRIES.join(", "))),
        );
    }
}

fn first_validation(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let Some(head) = &plan.head else { return };
    let new = head.concerned("new-establishment");
    let (Some(new), Some(from)) = (new, &head.in_force) else { return };
    let Some(end) = from.value.checked_add_days(chrono::Days::new(90)) else { return };
    if desk.on <= end || !head.answers_to("us-meat-poultry") {
        return;
    }
    let in_plant = |validated: &crate::plan::Validated| {
        validated.date.is_some_and(|date| date <= end)
            && validated.support.iter().any(|(kind, _)| *kind == crate::plan::SupportKind::InPlant)
    };
    for control in plan.ccps().filter(|control| !control.validated.iter().any(in_plant)) {
        desk.say(
            Finding::at(
                &LATE_FIRST_VALIDATION,
                control.loc,
                format!("`{}` has no data from the plant by {end}, the end of the first 90 days", control.name),
            )
            .also(new.loc, "said to be new")
            .also(from.loc, "in force from this day")
            .help("validate with data from the plant, and ask the authority how to go on"),
        );
    }
}

fn procedures(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let controls = plan.controls.iter().flat_map(|control| &control.verify);
    let verify = controls.chain(plan.programmes.iter().flat_map(|programme| &programme.verify));
    let mut found = Vec::new();
    for verify in verify.filter(|verify| verify.what.is_none()) {
        if verify.activity == *"product-test" || verify.activity == *"environmental-test" {
            let what = format!("how the {} is done is not said", verify.activity);
            found.push((verify.loc, what, "name the method, what is sampled and how, the laboratory and what is done with a result: `verify product-test \"…\" every …`"));
        }
    }
    for instrument in &plan.instruments {
        if let Some(calibration) = instrument.calibration.as_ref().filter(|calibration| calibration.method.is_none()) {
            let what = format!("how `{}` is calibrated is not said", instrument.name);
            found.push((calibration.loc, what, "add the method in quotes at the end of `calibrate`"));
        }
    }
    for (loc, what, help) in found {
        desk.say(Finding::at(&UNWRITTEN_PROCEDURE, loc, what).help(help));
    }
}
