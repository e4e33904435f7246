//! Logs read through mappings: each known hazard, each bad input, and real exports.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]

mod bad_input;
mod declared;
mod formats;
mod hazards;
mod mapping;
mod real;
mod registers;
mod stretches;

use bourn::finding::Finding;
use bourn::log::{Channel, Mapping, Memory, Records, read};
use bourn::source::{Place, SourceId};

/// The mapping, which must be sound.
pub fn mapping(text: &str) -> Mapping {
    let (mapping, findings) = Mapping::parse(text, SourceId(0));
    mapping.unwrap_or_else(|| panic!("{:#?}", lines(&findings)))
}

/// Reads `a.csv` by a mapping.
pub fn read_file(yaml: &str, text: impl Into<Vec<u8>>) -> Records {
    read(&mapping(yaml), &Memory::default().with("a.csv", text))
}

/// A mapping of one file `a.csv` with these lines in the entry and one column `T` in °C.
pub fn one(extra: &str) -> String {
    format!(
        "zone: Europe/London\nreadings:\n  - files: a.csv\n    record: r\n{extra}\n    columns:\n      T: {{ parameter: core, unit: °C }}\n"
    )
}

/// A mapping with ISO times.
pub fn iso(extra: &str) -> String {
    one(&format!("    time: {{ column: Time, format: \"%Y-%m-%d %H:%M\" }}\n{extra}"))
}

/// Findings as `CODE file:row:column message`.
pub fn lines(findings: &[Finding]) -> Vec<String> {
    findings.iter().map(line).collect()
}

pub fn line(finding: &Finding) -> String {
    let place = match &finding.place {
        Place::Cell(cell) => format!("{}:{}:{}", cell.file, cell.row, cell.column.as_deref().unwrap_or("")),
        Place::Text(loc) => format!("mapping:{}", loc.span.start),
        Place::Named(name) => name.clone(),
    };
    format!("{} {place} {}", finding.rule.code, finding.message)
}

/// The findings with this code.
pub fn with<'a>(records: &'a Records, code: &str) -> Vec<&'a Finding> {
    records.findings.iter().filter(|finding| finding.rule.code == code).collect()
}

/// Exactly one finding with this code, as a line.
pub fn only(records: &Records, code: &str) -> String {
    match with(records, code).as_slice() {
        [finding] => line(finding),
        _ => panic!("one {code} among {:#?}", lines(&records.findings)),
    }
}

/// The readings of a channel.
pub fn values(channel: &Channel) -> Vec<f64> {
    let readings = channel.rows.iter().filter(|entry| entry.kind == bourn::log::EntryKind::Reading);
    readings
        .map(|entry| {
            assert_eq!(entry.lo, entry.hi);
            entry.lo
        })
        .collect()
}

/// The row classes of a file add up.
pub fn balanced(records: &Records) {
    for file in &records.files {
        let sum = file.used_rows
            + file.event_rows
            + file.blank_rows
            + file.heading_rows
            + file.footer_rows
            + file.unplaced_rows
            + file.bad_rows;
        assert_eq!(sum, file.rows, "{file:?}");
    }
}
