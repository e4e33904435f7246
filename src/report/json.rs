//! Findings as JSON: one object each, with line and column, for machines.

use crate::clause::clause;
use crate::finding::Finding;
use crate::report::terminal::harmful;
use crate::source::{Place, Sources};
use serde_json::{Value, json};

/// A value as JSON text. Characters that could repaint a terminal, or turn the direction of text, are escaped.
#[must_use]
pub fn text(value: &Value) -> String {
    let mut out = String::new();
    for c in serde_json::to_string_pretty(value).unwrap_or_default().chars() {
        if harmful(c) {
            out.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            out.push(c);
        }
    }
    out.push('\n');
    out
}

/// All findings as a list.
#[must_use]
pub fn findings(sources: &Sources, findings: &[Finding]) -> Value {
    findings.iter().map(|finding| one(sources, finding)).collect()
}

fn one(sources: &Sources, finding: &Finding) -> Value {
    let clauses: Vec<Value> = finding
        .clauses
        .iter()
        .filter_map(|id| clause(id))
        .map(|clause| json!({ "id": clause.id, "citation": clause.citation, "text-read": clause.text_read.word(), "gist": clause.gist }))
        .collect();
    let related: Vec<Value> =
        finding.related.iter().map(|(at, label)| json!({ "place": place(sources, at), "label": label })).collect();
    json!({
        "code": finding.rule.code,
        "name": finding.rule.name,
        "severity": finding.rule.severity,
        "message": finding.message,
        "place": place(sources, &finding.place),
        "related": related,
        "help": finding.help,
        "fix": finding.fix.as_ref().map(|fix| {
            json!({ "place": self::place(sources, &Place::Text(fix.at)), "text": fix.text, "care": fix.care })
        }),
        "clauses": clauses,
    })
}

/// A place as JSON: file with lines and columns (from 1), or file with row and column name.
#[must_use]
pub fn place(sources: &Sources, place: &Place) -> Value {
    match place {
        Place::Text(loc) => sources.get(loc.source).map_or(Value::Null, |source| {
            let (start, end) = (source.line_col(loc.span.start), source.line_col(loc.span.end));
            json!({
                "file": source.name(),
                "line": start.line, "column": start.column,
                "end-line": end.line, "end-column": end.column,
            })
        }),
        Place::Cell(cell) => json!({
            "file": cell.file,
            "row": if cell.row > 0 { Value::from(cell.row) } else { Value::Null },
            "column": cell.column,
        }),
        Place::Named(text) => json!({ "named": text }),
    }
}
