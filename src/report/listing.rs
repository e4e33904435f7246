//! Findings as a list for other programs: CSV that a spreadsheet cannot mistake for formulas, and JSON lines.

use super::json;
use crate::finding::Finding;
use crate::source::{Place, Sources};

/// The columns of the CSV.
const COLUMNS: [&str; 9] = ["code", "name", "severity", "file", "row", "column", "message", "help", "clauses"];

/// A cell that no spreadsheet takes for a formula: one that begins with a sign of a formula gets an apostrophe first.
///
/// Spreadsheets run what begins with `=`, `+`, `-`, `@`, a tabulator or a line end; a record or a plan may hold any text.
#[must_use]
pub fn inert(text: &str) -> String {
    match text.chars().next() {
        Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠') => format!("'{text}"),
        _ => text.to_owned(),
    }
}

/// Findings as CSV, a row each, with headings.
#[must_use]
pub fn csv(sources: &Sources, findings: &[Finding]) -> String {
    let mut out = format!("{}\r\n", COLUMNS.join(","));
    for finding in findings {
        let (file, row, column) = place(sources, finding);
        let cells = [
            finding.rule.code.to_owned(),
            finding.rule.name.to_owned(),
            finding.rule.severity.word().to_owned(),
            file,
            row,
            column,
            finding.message.clone(),
            finding.help.clone().unwrap_or_default(),
            finding.clauses.join(" "),
        ];
        let cells: Vec<String> = cells.iter().map(|cell| quoted(&inert(cell))).collect();
        out.push_str(&cells.join(","));
        out.push_str("\r\n");
    }
    out
}

/// RFC 4180: in quotation marks where a cell holds a comma, a quotation mark or a line end.
fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\r', '\n']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.to_owned() }
}

/// File, row (or line) and column of a finding; blank where it has none.
fn place(sources: &Sources, finding: &Finding) -> (String, String, String) {
    match &finding.place {
        Place::Text(loc) => sources.get(loc.source).map_or_else(Default::default, |source| {
            let at = source.line_col(loc.span.start);
            (source.name().to_owned(), at.line.to_string(), at.column.to_string())
        }),
        Place::Cell(cell) => {
            let row = if cell.row > 0 { cell.row.to_string() } else { String::new() };
            (cell.file.clone(), row, cell.column.clone().unwrap_or_default())
        }
        Place::Named(name) => (name.clone(), String::new(), String::new()),
    }
}

/// Findings as JSON lines: one object a line, the same as in the list of `--json`.
#[must_use]
pub fn lines(sources: &Sources, findings: &[Finding]) -> String {
    let mut out = String::new();
    if let serde_json::Value::Array(all) = json::findings(sources, findings) {
        for one in all {
            out.push_str(&one.to_string());
            out.push('\n');
        }
    }
    out
}
