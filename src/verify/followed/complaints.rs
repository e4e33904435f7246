//! Complaints: how many came when, and whether they are about lots with a deviation.

use super::deviations::Deviation;
use super::{actions, rules};
use crate::finding::Finding;
use crate::log::{Records, RegisterKind, RegisterRow};
use crate::source::Place;
use crate::verify::Verification;
use std::collections::BTreeMap;

/// Complaints over all that the register holds, and those about lots of the period.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Complaints {
    /// How many were received in each month, as in `2026-10`; those without a time under an empty name.
    pub by_month: Vec<(String, usize)>,
    /// Numbers of complaints about each lot of the period, in the order of the register.
    pub by_lot: Vec<(String, Vec<String>)>,
    /// How many name no lot.
    pub without_lot: usize,
    /// How many have no answer on record.
    pub unanswered: usize,
}

impl Complaints {
    /// How many came when and about what, in words.
    #[must_use]
    pub fn words(&self) -> String {
        let months = self.by_month.iter().map(|(month, count)| {
            let month = if month.is_empty() { "without a time" } else { month };
            format!("{month} {count}")
        });
        let lots = self.by_lot.iter().map(|(lot, numbers)| format!("{lot} ({})", numbers.join(", ")));
        let or_none = |list: Vec<String>| if list.is_empty() { "none".to_owned() } else { list.join(", ") };
        format!(
            "Complaints by month: {}; about lots of this period: {}; {} without a lot, {} without an answer.",
            or_none(months.collect()),
            or_none(lots.collect()),
            self.without_lot,
            self.unanswered
        )
    }
}

/// Counts complaints, and reports those about lots on which a deviation is on record.
pub(super) fn hold(
    records: &Records,
    whole: &Verification,
    deviations: &[Deviation],
    findings: &mut Vec<Finding>,
) -> Complaints {
    let rows: Vec<(usize, &RegisterRow)> =
        records.registers.iter().enumerate().filter(|(_, row)| row.kind == RegisterKind::Complaints).collect();
    actions::twice(&rows, "complaint", findings);
    let mut months: BTreeMap<String, usize> = BTreeMap::new();
    let mut lots: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let mut out = Complaints::default();
    let codes = whole.codes();
    for (_, row) in &rows {
        let month = row.time("received").map(|at| whole.zone.local(at).format("%Y-%m").to_string());
        *months.entry(month.unwrap_or_default()).or_default() += 1;
        out.without_lot += usize::from(row.lots.is_empty());
        out.unanswered += usize::from(row.word("answer").is_empty());
        for code in row.lots.iter().filter(|code| codes.contains(code.as_str())) {
            lots.entry(code).or_default().push(row.word("number").to_owned());
            let about: Vec<String> = deviations
                .iter()
                .filter(|one| one.lots.iter().any(|share| share.code == *code))
                .map(|one| format!("{} ({})", one.about(), one.event.words()))
                .collect();
            if !about.is_empty() {
                let message = format!(
                    "complaint `{}` is about lot {code}, on which there is: {}",
                    row.word("number"),
                    about.join("; ")
                );
                findings.push(
                    Finding::new(&rules::COMPLAINT_AND_DEVIATION, Place::Cell(row.cell.clone()), message)
                        .help("look whether the two belong together, and whether other lots have left with the same"),
                );
            }
        }
    }
    out.by_month = months.into_iter().collect();
    out.by_lot = lots.into_iter().map(|(lot, numbers)| (lot.to_owned(), numbers)).collect();
    out
}
