//! The page of the preview.

use crate::clause::clause;
use crate::finding::{Finding, Severity};
use crate::report::terminal;
use crate::source::Sources;
use minijinja::{Environment, UndefinedBehavior, context};
use std::path::Path;

/// The script of the page.
pub(super) const SCRIPT: &str = include_str!("page.js");
/// Its style.
pub(super) const STYLE: &str = include_str!("page.css");

/// What stands in place of the document while there is none.
pub(super) fn no_document() -> String {
    "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>No document</title></head>\
     <body><p>There is no document. The findings say why.</p></body></html>"
        .to_owned()
}

/// The page with these findings.
pub(super) fn page(
    plan: &Path,
    version: u64,
    sources: &Sources,
    findings: &[Finding],
    document: bool,
) -> Result<String, minijinja::Error> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.add_template("page.html", include_str!("page.html"))?;
    let mut all: Vec<&Finding> = findings.iter().collect();
    all.sort_by_key(|finding| std::cmp::Reverse(finding.rule.severity));
    let shown = |finding: &&Finding| {
        let clauses: Vec<String> =
            finding.clauses.iter().filter_map(|id| clause(id)).map(|clause| clause.note()).collect();
        context! {
            severity => finding.rule.severity.word(),
            code => finding.rule.code,
            place => terminal::place(sources, &finding.place),
            message => terminal::clean(&finding.message),
            help => finding.help.as_deref().map(terminal::clean).unwrap_or_default(),
            clauses => clauses,
        }
    };
    let list: Vec<_> = all.iter().map(shown).collect();
    let worst = crate::finding::heaviest(findings);
    environment.get_template("page.html")?.render(context! {
        plan => terminal::clean(&plan.display().to_string()),
        version => version.to_string(),
        count => terminal::count(findings),
        errors => worst == Some(Severity::Error),
        findings => list,
        document => document,
    })
}
