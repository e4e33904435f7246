//! Findings as diagnostics: the same findings, at the same places, as `bourn check` prints.

use super::snapshot::Snapshot;
use super::texts::uri_of;
use crate::clause::clause;
use crate::finding::{Finding, Severity};
use crate::source::Place;
use lsp_types::{Code, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, Message, Range, Uri};
use std::collections::BTreeMap;

/// The diagnostics of a plan by the address of the text they stand in; each text of the plan has an entry.
pub(super) fn diagnose(snapshot: &Snapshot) -> BTreeMap<String, Vec<Diagnostic>> {
    let mut all: BTreeMap<String, Vec<Diagnostic>> = BTreeMap::new();
    all.entry(uri_of(&snapshot.root).as_ref().to_owned()).or_default();
    for file in &snapshot.files {
        all.entry(uri_of(&file.path).as_ref().to_owned()).or_default();
    }
    for finding in &snapshot.findings {
        let (uri, diagnostic) = one(snapshot, finding);
        all.entry(uri.as_ref().to_owned()).or_default().push(diagnostic);
    }
    all
}

/// One finding with the address of the text it stands in.
pub(super) fn one(snapshot: &Snapshot, finding: &Finding) -> (Uri, Diagnostic) {
    let placed = match &finding.place {
        Place::Text(loc) => snapshot.place(*loc).map(|(uri, range)| (uri, range, String::new())),
        // What stands in another file than a text of the plan is shown at the plan's first line, with its place.
        Place::Cell(_) | Place::Named(_) => None,
    };
    let (uri, range, at) = placed.unwrap_or_else(|| {
        let place = crate::report::terminal::place(&snapshot.sources, &finding.place);
        (uri_of(&snapshot.root), Range::default(), format!("{place}: "))
    });
    let mut message = format!("{at}{}", finding.message);
    if !finding.label.is_empty() {
        message.push_str(&format!("\n{}", finding.label));
    }
    if let Some(help) = &finding.help {
        message.push_str(&format!("\n{help}"));
    }
    for clause in finding.clauses.iter().filter_map(|id| clause(id)) {
        message.push_str(&format!("\n{}", clause.note()));
    }
    let related = finding.related.iter().filter_map(|(place, label)| {
        let Place::Text(loc) = place else { return None };
        let location: Location = snapshot.location(*loc)?;
        Some(DiagnosticRelatedInformation { location, message: label.clone() })
    });
    let related: Vec<_> = related.collect();
    let diagnostic = Diagnostic {
        range,
        severity: Some(weight(finding.rule.severity)),
        code: Some(Code::String(finding.rule.code.to_owned())),
        source: Some("bourn".to_owned()),
        message: Message::String(message),
        related_information: (!related.is_empty()).then_some(related),
        ..Diagnostic::default()
    };
    (uri, diagnostic)
}

fn weight(severity: Severity) -> DiagnosticSeverity {
    match severity {
        Severity::Error => DiagnosticSeverity::Error,
        Severity::Warning => DiagnosticSeverity::Warning,
        Severity::Note => DiagnosticSeverity::Information,
    }
}
