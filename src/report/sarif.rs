//! Findings as SARIF 2.1.0 (OASIS Static Analysis Results Interchange Format), with clauses as a taxonomy.

use crate::clause::{Clause, clause};
use crate::finding::{Finding, Rule, Severity};
use crate::report::terminal::clean;
use crate::source::{Loc, Place, Sources};
use serde_json::{Value, json};

/// One plan with what was found in it.
#[derive(Debug)]
pub struct Checked<'a> {
    /// Path of the plan as given.
    pub plan: String,
    /// Its texts.
    pub sources: &'a Sources,
    /// What was found.
    pub findings: &'a [Finding],
}

/// A whole log: one run over every plan.
#[must_use]
pub fn log(checked: &[Checked<'_>]) -> Value {
    let all = || checked.iter().flat_map(|one| one.findings);
    let mut rules: Vec<&'static Rule> = all().map(|finding| finding.rule).collect();
    rules.sort_by_key(|rule| rule.code);
    rules.dedup_by_key(|rule| rule.code);
    let mut clauses: Vec<&'static Clause> =
        all().flat_map(|finding| &finding.clauses).filter_map(|id| clause(id)).collect();
    clauses.sort_by_key(|clause| clause.id);
    clauses.dedup_by_key(|clause| clause.id);
    let results: Vec<Value> = checked
        .iter()
        .flat_map(|one| one.findings.iter().map(|finding| result(one.sources, finding, &rules, &clauses)))
        .collect();
    json!({
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "bourn",
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "rules": rules.iter().map(|rule| descriptor(rule, &clauses)).collect::<Vec<_>>(),
            }},
            "columnKind": "unicodeCodePoints",
            "taxonomies": [{
                "name": "clauses",
                "shortDescription": { "text": "Clauses of the rules that plans answer to, in our own words" },
                "taxa": clauses.iter().map(|clause| taxon(clause)).collect::<Vec<_>>(),
            }],
            "artifacts": checked.iter().map(|one| json!({ "location": { "uri": uri(&one.plan) } })).collect::<Vec<_>>(),
            "results": results,
        }],
    })
}

fn level(severity: Severity) -> &'static str {
    severity.word()
}

fn descriptor(rule: &Rule, clauses: &[&'static Clause]) -> Value {
    let doc: Vec<&str> = rule.doc.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    let relationships: Vec<Value> = rule
        .clauses
        .iter()
        .filter_map(|id| clauses.iter().position(|clause| clause.id == *id))
        .map(|index| json!({ "target": target(clauses, index), "kinds": ["relevant"] }))
        .collect();
    json!({
        "id": rule.code,
        "name": rule.name,
        "shortDescription": { "text": doc.first().copied().unwrap_or(rule.name) },
        "fullDescription": { "text": doc.join(" ") },
        "defaultConfiguration": { "level": level(rule.severity) },
        "help": { "text": format!("`bourn explain {}` says more.", rule.code) },
        "relationships": relationships,
    })
}

fn taxon(clause: &Clause) -> Value {
    json!({
        "id": clause.id,
        "name": clause.citation,
        "shortDescription": { "text": format!("{}{}", clause.gist, clause.caveat()) },
    })
}

fn target(clauses: &[&'static Clause], index: usize) -> Value {
    json!({
        "id": clauses.get(index).map_or("", |clause| clause.id),
        "index": index,
        "toolComponent": { "name": "clauses", "index": 0 },
    })
}

fn result(sources: &Sources, finding: &Finding, rules: &[&'static Rule], clauses: &[&'static Clause]) -> Value {
    let mut text = clean(&finding.message);
    if let Some(help) = &finding.help {
        text.push_str(&format!(". {}", clean(help)));
    }
    let mut value = json!({
        "ruleId": finding.rule.code,
        "ruleIndex": rules.iter().position(|rule| rule.code == finding.rule.code).unwrap_or(0),
        "level": level(finding.rule.severity),
        "message": { "text": text },
        "locations": [location(sources, &finding.place, &finding.label)],
        "relatedLocations": finding.related.iter().map(|(at, label)| location(sources, at, label)).collect::<Vec<_>>(),
        "taxa": finding
            .clauses
            .iter()
            .filter_map(|id| clauses.iter().position(|clause| clause.id == *id))
            .map(|index| target(clauses, index))
            .collect::<Vec<_>>(),
    });
    if let (Some(fix), Some(object)) = (&finding.fix, value.as_object_mut()) {
        object.insert("fixes".to_owned(), json!([self::fix(sources, fix)]));
    }
    value
}

fn fix(sources: &Sources, fix: &crate::finding::Fix) -> Value {
    json!({
        "description": { "text": format!("write `{}`", clean(&fix.text)) },
        "artifactChanges": [{
            "artifactLocation": { "uri": sources.get(fix.at.source).map_or_else(String::new, |source| uri(source.name())) },
            "replacements": [{ "deletedRegion": region(sources, fix.at), "insertedContent": { "text": fix.text } }],
        }],
    })
}

fn location(sources: &Sources, place: &Place, label: &str) -> Value {
    let mut value = match place {
        Place::Text(loc) => json!({ "physicalLocation": {
            "artifactLocation": { "uri": sources.get(loc.source).map_or_else(String::new, |source| uri(source.name())) },
            "region": region(sources, *loc),
        }}),
        Place::Cell(cell) if cell.row > 0 => json!({ "physicalLocation": {
            "artifactLocation": { "uri": uri(&cell.file) },
            "region": { "startLine": cell.row },
        }}),
        Place::Cell(cell) => json!({ "physicalLocation": { "artifactLocation": { "uri": uri(&cell.file) } } }),
        Place::Named(name) => json!({ "logicalLocations": [{ "name": clean(name) }] }),
    };
    if let (false, Some(object)) = (label.is_empty(), value.as_object_mut()) {
        object.insert("message".to_owned(), json!({ "text": clean(label) }));
    }
    value
}

fn region(sources: &Sources, loc: Loc) -> Value {
    let Some(source) = sources.get(loc.source) else { return json!({ "startLine": 1 }) };
    let (start, end) = (source.line_col(loc.span.start), source.line_col(loc.span.end));
    json!({
        "startLine": start.line, "startColumn": start.column,
        "endLine": end.line, "endColumn": end.column,
    })
}

/// A path as a reference by RFC 3986: forward strokes, and every byte that has another meaning there written as `%XX`.
fn uri(path: &str) -> String {
    let mut out = String::new();
    for byte in path.replace('\\', "/").bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}
