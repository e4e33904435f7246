//! Findings as a list for other programs: CSV that a spreadsheet cannot mistake for formulas, a spreadsheet whose every
//! cell is text, and JSON lines.

use super::json;
use crate::finding::Finding;
use crate::source::{Place, Sources};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, XlsxError};

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
        let cells = cells(sources, finding);
        let cells: Vec<String> = cells.iter().map(|cell| quoted(&inert(cell))).collect();
        out.push_str(&cells.join(","));
        out.push_str("\r\n");
    }
    out
}

/// The cells of one finding, in the order of [`COLUMNS`].
fn cells(sources: &Sources, finding: &Finding) -> [String; 9] {
    let (file, row, column) = place(sources, finding);
    [
        finding.rule.code.to_owned(),
        finding.rule.name.to_owned(),
        finding.rule.severity.word().to_owned(),
        file,
        row,
        column,
        finding.message.clone(),
        finding.help.clone().unwrap_or_default(),
        finding.clauses.join(" "),
    ]
}

/// Findings as a spreadsheet, a row each. Every cell is text, rows and columns too, so that nothing can be a formula. The
/// same findings give the same bytes.
///
/// # Errors
/// Words for a person, if a text is longer than a cell of a spreadsheet may be, or there are more findings than rows.
pub fn book(sources: &Sources, findings: &[Finding]) -> Result<Vec<u8>, String> {
    sheet(sources, findings).map_err(|error| match error {
        XlsxError::MaxStringLengthExceeded => {
            "a text is longer than the 32,767 characters that a cell holds; write CSV".to_owned()
        }
        XlsxError::RowColumnLimitError => "there are more findings than rows in a worksheet; write CSV".to_owned(),
        other => other.to_string(),
    })
}

fn sheet(sources: &Sources, findings: &[Finding]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // A day that never changes: the tool reads no clock for what it writes.
    let day = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title("Findings").set_creation_datetime(&day));
    let sheet = book.add_worksheet();
    sheet.set_name("Findings")?;
    let head = Format::new().set_bold();
    let body = Format::new().set_text_wrap().set_align(FormatAlign::Top).set_num_format("@");
    for (at, (title, width)) in (0_u16..).zip(COLUMNS.iter().zip([8.0, 26.0, 10.0, 30.0, 8.0, 16.0, 70.0, 50.0, 30.0]))
    {
        sheet.write_string_with_format(0, at, *title, &head)?;
        sheet.set_column_width(at, width)?;
    }
    for (down, finding) in (1_u32..).zip(findings) {
        for (at, cell) in (0_u16..).zip(cells(sources, finding)) {
            sheet.write_string_with_format(down, at, cell, &body)?;
        }
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0);
    book.save_to_buffer()
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
