//! Folding of blocks and comments, and the formatter.

use super::lines::{Lines, Units, narrow};
use super::snapshot::{File, Snapshot};
use crate::finding::Finding;
use crate::source::{Source, SourceId};
use crate::syntax::{Rule, print};
use lsp_types::{FoldingRange, FoldingRangeKind, TextEdit};

/// Every block of more than one line, and every run of comment lines.
pub(super) fn folds(snapshot: &Snapshot, file: &File) -> Vec<FoldingRange> {
    let text = snapshot.text(file);
    let mut all = Vec::new();
    let mut fold = |first: usize, last: usize, kind: FoldingRangeKind| {
        if last > first {
            all.push(FoldingRange {
                start_line: narrow(first),
                end_line: narrow(last),
                kind: Some(kind),
                ..FoldingRange::default()
            });
        }
    };
    file.tree.walk(&mut |node| {
        if let (Some(open), Some(close)) = (node.part(Rule::open), node.part(Rule::close)) {
            let (first, last) = (file.lines.line_of(open.span.start), file.lines.line_of(close.span.start));
            fold(first, last.saturating_sub(1), FoldingRangeKind::Region);
        }
    });
    let mut run: Option<usize> = None;
    let mut line = 0;
    for words in text.lines() {
        let comment = words.trim_start().starts_with('#');
        match (comment, run) {
            (true, None) => run = Some(line),
            (false, Some(first)) => {
                fold(first, line - 1, FoldingRangeKind::Comment);
                run = None;
            }
            _ => {}
        }
        line += 1;
    }
    if let Some(first) = run {
        fold(first, line - 1, FoldingRangeKind::Comment);
    }
    all.sort_by_key(|fold| (fold.start_line, fold.end_line));
    all
}

/// The change that brings a text into its one form; none where it has it.
pub(super) fn formatted(text: &str, units: Units) -> Result<Vec<TextEdit>, Finding> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let formatted = print::format(SourceId(0), &Source::new("plan", text))?;
    if formatted.text == text {
        return Ok(Vec::new());
    }
    Ok(vec![TextEdit { range: Lines::new(text, units).whole(text), new_text: formatted.text }])
}
