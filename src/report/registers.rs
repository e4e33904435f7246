//! Empty registers for a plan, and the stretch of a mapping that reads them.

use crate::log::{Field, Holds, RegisterKind};
use crate::plan::{Plan, VerifyWhen};
use std::fmt::Write;

/// The name of the file with the stretch of mapping.
pub const MAPPING: &str = "registers.yaml";

/// Every empty register with its name, headings alone, and last the stretch of mapping that reads them.
#[must_use]
pub fn templates(plan: &Plan) -> Vec<(String, String)> {
    let mut files = vec![("lots.csv".to_owned(), lots_head(plan))];
    for kind in RegisterKind::ALL {
        let headings: Vec<&str> = kind.fields().iter().map(|field| field.heading).collect();
        files.push((format!("{}.csv", kind.word()), format!("{}\n", headings.join(","))));
    }
    files.push((MAPPING.to_owned(), mapping(plan)));
    files
}

/// The heading over an event: its name with blanks.
fn heading(event: &str) -> String {
    let spaced = event.replace('-', " ");
    let mut letters = spaced.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

fn lots_head(plan: &Plan) -> String {
    let mut headings = vec!["Lot".to_owned(), "Product".to_owned(), "Line".to_owned(), "Quantity".to_owned()];
    headings.extend(plan.events.iter().map(|event| heading(&event.name.text)));
    headings.push("Shipped".to_owned());
    format!("{}\n", headings.join(","))
}

/// The record of the plan that a register is, where the plan names one; else a blank that a person fills.
fn record(plan: &Plan, kind: RegisterKind) -> String {
    let verified = |activity: &str| {
        let mut all = plan.controls.iter().flat_map(|control| &control.verify);
        let found = all.find(|verify| {
            verify.activity == *activity && matches!(verify.when, VerifyWhen::Often(_) | VerifyWhen::Within(_))
        });
        found.and_then(|verify| verify.record.as_ref()).map(|name| name.text.clone())
    };
    let found = match kind {
        RegisterKind::CorrectiveActions => plan
            .controls
            .iter()
            .filter_map(|control| control.deviation.as_ref())
            .find_map(|deviation| deviation.record.as_ref())
            .map(|name| name.text.clone()),
        RegisterKind::RecordReviews => verified("record-review"),
        RegisterKind::Observations => verified("direct-observation"),
        RegisterKind::PreShipmentReviews => verified("pre-shipment-review").or_else(|| verified("record-review")),
        RegisterKind::InstrumentChecks => plan
            .instruments
            .iter()
            .filter_map(|instrument| instrument.calibration.as_ref())
            .map(|duty| duty.record.text.clone())
            .next(),
        RegisterKind::Training | RegisterKind::Complaints => None,
    };
    found.unwrap_or_else(|| "A-RECORD-OF-THE-PLAN".to_owned())
}

fn mapping(plan: &Plan) -> String {
    let zone = plan.head.as_ref().and_then(|head| head.zone.as_ref());
    let mut out = String::from(
        "# How bourn reads the registers beside the readings. Copy what you keep into your mapping.\n# A register that is named here and has no row counts as empty, not as missing.\n",
    );
    if let Some(zone) = zone {
        let _ = writeln!(out, "zone: {}", zone.value);
    }
    let lots = plan.events.first().map_or("A-RECORD-OF-THE-PLAN", |event| event.record.text.as_str());
    let _ = writeln!(
        out,
        "\nlots:\n  - files: [lots.csv]\n    record: {lots}\n    time: {{ format: \"%Y-%m-%d %H:%M\" }}\n    lot: Lot\n    product: Product\n    line: Line\n    quantity: {{ column: Quantity, unit: kg }}\n    shipped: Shipped\n    events:"
    );
    for event in &plan.events {
        let _ = writeln!(out, "      {}: {}", event.name.text, heading(&event.name.text));
    }
    out.push_str("\nregisters:\n");
    for kind in RegisterKind::ALL {
        let _ = writeln!(
            out,
            "  - files: [{}.csv]\n    record: {}\n    holds: {}\n    time: {{ format: \"%Y-%m-%d %H:%M\" }}",
            kind.word(),
            record(plan, kind),
            kind.word()
        );
        if kind.fields().iter().any(|field| field.holds == Holds::Amount) {
            out.push_str("    unit: kg\n");
        }
        out.push_str("    fields:\n");
        for Field { name, heading, says, .. } in kind.fields() {
            let _ = writeln!(out, "      {:28} # {says}", format!("{name}: {heading}"));
        }
    }
    out
}
