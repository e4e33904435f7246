//! Findings told in sentences, for screen readers and plain printers: no drawing, no columns, no colour.

use crate::clause::clause;
use crate::finding::Finding;
use crate::report::terminal::clean;
use crate::source::{Place, Sources};

/// Each finding as a few lines: what kind, where, what is wrong, what to do, what it rests on.
#[must_use]
pub fn findings(sources: &Sources, findings: &[Finding]) -> String {
    let mut out = String::new();
    for (at, finding) in findings.iter().enumerate() {
        let rule = finding.rule;
        out.push_str(&format!(
            "{} {} of {}, {} {}.\n",
            capital(rule.severity.word()),
            at + 1,
            findings.len(),
            rule.code,
            rule.name.replace('-', " ")
        ));
        out.push_str(&format!("{}.\n", place(sources, &finding.place)));
        out.push_str(&format!("What is wrong: {}.\n", clean(&finding.message)));
        if let Some(text) = line(sources, &finding.place) {
            out.push_str(&format!("The line reads: {text}\n"));
        }
        for (also, label) in &finding.related {
            let label = if label.is_empty() { "see also" } else { label };
            out.push_str(&format!("See also {}: {}.\n", place(sources, also), clean(label)));
        }
        if let Some(help) = &finding.help {
            let stop = if help.ends_with(['?', '.', '!']) { "" } else { "." };
            out.push_str(&format!("Next step: {}{stop}\n", clean(help)));
        }
        for clause in finding.clauses.iter().filter_map(|id| clause(id)) {
            out.push_str(&format!("Rests on {}\n", clause.note()));
        }
        out.push('\n');
    }
    out
}

fn place(sources: &Sources, place: &Place) -> String {
    match place {
        Place::Text(loc) => sources.get(loc.source).map_or_else(String::new, |source| {
            let at = source.line_col(loc.span.start);
            format!("File {}, line {}, column {}", clean(source.name()), at.line, at.column)
        }),
        other => capital(&super::terminal::place(sources, other)),
    }
}

/// The first line of the place, in the words of the text.
fn line(sources: &Sources, place: &Place) -> Option<String> {
    let Place::Text(loc) = place else { return None };
    let source = sources.get(loc.source)?;
    let text = source.slice(source.line_span(source.line_of(loc.span.start))).trim();
    (!text.is_empty()).then(|| clean(text))
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
