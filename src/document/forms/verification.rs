//! Sheets of verification: calibration, observation and review, and the look over a lot before it is shipped.

use super::{Sheet, blank, reviewed};
use crate::document::clean::anchor;
use crate::document::labels::Labels;
use crate::document::page::{Block, Cell, Row, Section, Table};
use crate::document::sections::ccp::verification_table;
use crate::plan::{Control, Name, Plan};

/// One sheet for each record of calibrations.
pub(super) fn calibration(labels: &Labels<'_>) -> Vec<Section> {
    let mut records: Vec<&Name> = Vec::new();
    for how in labels.plan().instruments.iter().filter_map(|one| one.calibration.as_ref()) {
        if !records.contains(&&how.record) {
            records.push(&how.record);
        }
    }
    records.into_iter().map(|record| sheet(labels, record)).collect()
}

fn sheet(labels: &Labels<'_>, record: &Name) -> Section {
    let rows: Vec<Row> = labels
        .plan()
        .instruments
        .iter()
        .filter_map(|one| Some((one, one.calibration.as_ref()?)))
        .filter(|(_, how)| how.record == *record)
        .map(|(one, how)| {
            Row::new(vec![
                Cell::text(Plan::title(&one.name, &one.title)).labelled("Serial number", one.serial.as_deref()),
                Cell::text(format!("every {}", how.every)),
                Cell::text(how.within.shown()),
                Cell::text(labels.role(&how.by)),
                Cell::said(how.method.as_deref()),
            ])
        })
        .collect();
    let columns = [("Instrument", 26), ("How often", 14), ("Within", 12), ("Who", 18), ("How", 30)];
    let mut blocks: Vec<Block> = Table::some("What the plan asks for", &columns, rows).into_iter().collect();
    let entries = [
        ("Date and time", 12),
        ("Instrument", 13),
        ("Reference used", 13),
        ("Reading", 9),
        ("Reference", 9),
        ("Within? yes / no", 9),
        ("If no: adjustment, and product since the last good check", 24),
        ("Initials", 11),
    ];
    blocks.push(blank("Entries", &entries, &blocks, Sheet::Across));
    blocks.push(reviewed());
    Section::new(anchor("calibration", &record.text), labels.record(record), blocks).across()
}

/// One sheet for each control with activities of verification.
pub(super) fn activities(labels: &Labels<'_>) -> Vec<Section> {
    labels
        .plan()
        .controls
        .iter()
        .filter(|control| !control.verify.is_empty())
        .map(|control| activity(labels, control))
        .collect()
}

fn activity(labels: &Labels<'_>, control: &Control) -> Section {
    let mut blocks: Vec<Block> = verification_table(labels, control, "What the plan asks for").into_iter().collect();
    let entries = [
        ("Date and time", 13),
        ("Activity", 15),
        ("Who was watched, or records from – to", 22),
        ("As written, and within limits? yes / no", 14),
        ("What was seen; corrective actions fit?", 25),
        ("Initials", 11),
    ];
    blocks.push(blank("Entries", &entries, &blocks, Sheet::Upright));
    blocks.push(reviewed());
    let title = format!("{}: verification", labels.control_title(control));
    Section::new(anchor("verification", &control.name.text), title, blocks)
}

/// 9 CFR 417.5(c), and good practice elsewhere: the records of a lot are looked over before it leaves.
pub(super) fn before_shipping(labels: &Labels<'_>) -> Section {
    let marks: Vec<String> = labels.plan().ccps().map(|control| labels.mark(control)).collect();
    let records = if marks.is_empty() { String::new() } else { format!(": {}", marks.join(", ")) };
    let title = format!("Records of every CCP looked over{records}");
    let entries = [
        ("Lot and quantity", 16),
        (title.as_str(), 19),
        ("All limits met? yes / no", 10),
        ("Corrective actions and disposition complete? yes / no / none", 17),
        ("Date and time", 12),
        ("Signature, not of who made the records", 15),
        ("Shipped when", 11),
    ];
    let blocks = vec![
        Block::Text {
            text: Cell::text(
                "Before a lot is shipped, its records are looked over by someone who did not make them. This sheet records a person's decision; it makes none.",
            ),
        },
        blank("Entries", &entries, &[], Sheet::Across),
    ];
    Section::new("before-shipping", "Review before shipping", blocks).across()
}
