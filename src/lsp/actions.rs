//! The changes that findings offer, one by one and all that are sure at once.

use super::diagnose;
use super::snapshot::{File, Snapshot};
use crate::finding::{Care, Finding};
use lsp_types::{CodeAction, CodeActionKind, Range, TextEdit, Uri, WorkspaceEdit};
use std::collections::HashMap;

/// What may be done about the findings in a range, of these kinds only if any are named.
pub(super) fn actions(
    snapshot: &Snapshot,
    file: &File,
    range: Range,
    only: Option<&[CodeActionKind]>,
) -> Vec<CodeAction> {
    let mut all = every(snapshot, file, range);
    if let Some(only) = only {
        // A kind stands for those below it: `source` for `source.fixAll`.
        let below = |kind: &CodeActionKind, wanted: &CodeActionKind| {
            let (kind, wanted) = (kind.to_string(), wanted.to_string());
            wanted.is_empty() || kind == wanted || kind.starts_with(&format!("{wanted}."))
        };
        all.retain(|one| one.kind.as_ref().is_some_and(|kind| only.iter().any(|wanted| below(kind, wanted))));
    }
    all
}

fn every(snapshot: &Snapshot, file: &File, range: Range) -> Vec<CodeAction> {
    let here = super::texts::uri_of(&file.path);
    let mut all = Vec::new();
    for finding in &snapshot.findings {
        let Some(edit) = edit(snapshot, std::slice::from_ref(&finding)) else { continue };
        let (uri, diagnostic) = diagnose::one(snapshot, finding);
        if uri != here || diagnostic.range.start > range.end || diagnostic.range.end < range.start {
            continue;
        }
        let Some(fix) = &finding.fix else { continue };
        let old = snapshot.sources.slice(fix.at);
        let title = match (old.is_empty(), fix.text.is_empty()) {
            (true, _) => format!("Write `{}`", short(&fix.text)),
            (false, true) => format!("Take out `{}`", short(old)),
            (false, false) => format!("Write `{}` in place of `{}`", short(&fix.text), short(old)),
        };
        all.push(CodeAction {
            title,
            kind: Some(CodeActionKind::QuickFix),
            diagnostics: Some(vec![diagnostic]),
            is_preferred: Some(fix.care == Care::Safe),
            edit: Some(edit),
            ..CodeAction::default()
        });
    }
    let safe = |finding: &&Finding| finding.fix.as_ref().is_some_and(|fix| fix.care == Care::Safe);
    let safe: Vec<&Finding> = snapshot.findings.iter().filter(safe).collect();
    if let Some(edit) = edit(snapshot, &safe) {
        all.push(CodeAction {
            title: "Mend everything whose meaning is certain".to_owned(),
            kind: Some(CodeActionKind::SourceFixAll),
            edit: Some(edit),
            ..CodeAction::default()
        });
    }
    all
}

fn edit(snapshot: &Snapshot, findings: &[&Finding]) -> Option<WorkspaceEdit> {
    let mut changes: HashMap<Uri, Vec<TextEdit>> = HashMap::new();
    let mut taken: Vec<crate::source::Loc> = Vec::new();
    for fix in findings.iter().filter_map(|finding| finding.fix.as_ref()) {
        // Of two changes of one place the first is made; the next check offers the other.
        let meets = |at: &crate::source::Loc| {
            at.source == fix.at.source && at.span.start <= fix.at.span.end && fix.at.span.start <= at.span.end
        };
        if taken.iter().any(meets) {
            continue;
        }
        taken.push(fix.at);
        let (uri, range) = snapshot.place(fix.at)?;
        changes.entry(uri).or_default().push(TextEdit { range, new_text: fix.text.clone() });
    }
    (!changes.is_empty()).then(|| WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() })
}

fn short(text: &str) -> String {
    let line = text.lines().next().unwrap_or("").trim();
    if line.chars().count() > 40 { line.chars().take(39).chain(['…']).collect() } else { line.to_owned() }
}
