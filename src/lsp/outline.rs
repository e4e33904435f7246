//! The document in the twelve steps of Codex (CXC 1-1969, chapter 2).

use super::snapshot::{File, Snapshot};
use crate::source::Span;
use lsp_types::{DocumentSymbol, SymbolKind};

/// Name, blocks by their word, statements by block and word.
type Step = (&'static str, &'static [&'static str], &'static [(&'static str, &'static str)]);

/// The steps, with what of a plan belongs to each.
const STEPS: &[Step] = &[
    ("1 Team and scope", &["plan", "team", "role", "include"], &[("plan", "scope")]),
    ("2 Product", &["product", "material", "equipment"], &[]),
    ("3 Intended use", &[], &[("product", "use"), ("product", "consumers")]),
    ("4 Flow", &["step"], &[]),
    ("5 Flow confirmed on site", &[], &[("plan", "flow-confirmed")]),
    ("6 Hazards", &["hazard"], &[("step", "hazard"), ("material", "hazard"), ("plan", "considered")]),
    ("7 Critical control points", &["ccp", "control"], &[]),
    (
        "8 Critical limits",
        &["table", "inactivation", "growth"],
        &[("ccp", "limit"), ("ccp", "operating-limit"), ("ccp", "guide"), ("ccp", "identity"), ("control", "limit")],
    ),
    ("9 Monitoring", &["parameter", "instrument"], &[("ccp", "monitor"), ("control", "monitor")]),
    ("10 Corrective actions", &[], &[("ccp", "deviation"), ("control", "deviation")]),
    (
        "11 Validation and verification",
        &["source", "study"],
        &[("ccp", "validated"), ("ccp", "verify"), ("control", "verify"), ("plan", "reassess"), ("plan", "reassessed")],
    ),
    ("12 Documents and records", &["record", "event", "programme", "exception"], &[("plan", "revision")]),
];

/// What a text holds, under the steps; a step of which it holds nothing is left out.
pub(super) fn outline(snapshot: &Snapshot, file: &File) -> Vec<DocumentSymbol> {
    let text = snapshot.text(file);
    let mut steps: Vec<Vec<DocumentSymbol>> = STEPS.iter().map(|_| Vec::new()).collect();
    let mut put = |step: usize, name: String, detail: Option<String>, kind: SymbolKind, whole: Span, head: Span| {
        if let Some(list) = steps.get_mut(step) {
            list.push(symbol(name, detail, kind, (snapshot.range(file, whole), snapshot.range(file, head)), None));
        }
    };
    for node in &file.tree.parts {
        let block = text.get(node.span.start..node.span.end).unwrap_or("");
        let word = first(block);
        let whole = Span::new(node.span.start, node.span.start + block.trim_end().len());
        let head = line(text, whole);
        let words = text.get(head.start..head.end).unwrap_or("");
        let Some(step) = STEPS.iter().position(|(_, blocks, _)| blocks.contains(&word)) else { continue };
        let (name, title) = named(words, word);
        put(step, name.clone(), title, kind(word), whole, head);
        for part in &node.parts {
            let statement = text.get(part.span.start..part.span.end).unwrap_or("");
            let begins = first(statement);
            let of = |list: &&[(&str, &str)]| list.contains(&(word, begins));
            let Some(step) = STEPS.iter().position(|(_, _, statements)| of(statements)) else { continue };
            let whole = Span::new(part.span.start, part.span.start + statement.trim_end().len());
            let head = line(text, whole);
            let words = text.get(head.start..head.end).unwrap_or("").trim_end_matches(['{', ' ']).to_owned();
            put(step, words, Some(name.clone()), kind(begins), whole, head);
        }
    }
    let with_name = STEPS.iter().zip(steps).filter(|(_, children)| !children.is_empty());
    with_name
        .map(|((name, ..), children)| {
            let hull = children
                .iter()
                .map(|child| child.range)
                .reduce(|a, b| lsp_types::Range { start: a.start.min(b.start), end: a.end.max(b.end) });
            let range = hull.unwrap_or_default();
            symbol((*name).to_owned(), None, SymbolKind::Namespace, (range, range), Some(children))
        })
        .collect()
}

fn symbol(
    name: String,
    detail: Option<String>,
    kind: SymbolKind,
    (range, selection_range): (lsp_types::Range, lsp_types::Range),
    children: Option<Vec<DocumentSymbol>>,
) -> DocumentSymbol {
    #[allow(deprecated)]
    DocumentSymbol { name, detail, kind, tags: None, deprecated: None, range, selection_range, children }
}

/// Name and title of a block from its first line; the word itself where it has no name.
fn named(head: &str, word: &str) -> (String, Option<String>) {
    let mut parts = head.splitn(3, ['"', '“', '”', '„']);
    let before = parts.next().unwrap_or("");
    let name = before.split_whitespace().skip(1).find(|part| *part != "model" && *part != "{").unwrap_or(word);
    (name.to_owned(), parts.next().map(str::to_owned))
}

fn first(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '-')).unwrap_or(text.len());
    text.get(..end).unwrap_or("")
}

/// The first line of a span.
fn line(text: &str, span: Span) -> Span {
    let body = text.get(span.start..span.end).unwrap_or("");
    Span::new(span.start, span.start + body.lines().next().unwrap_or("").trim_end().len())
}

fn kind(word: &str) -> SymbolKind {
    match word {
        "ccp" | "control" => SymbolKind::Class,
        "step" => SymbolKind::Module,
        "hazard" => SymbolKind::Event,
        "limit" | "operating-limit" => SymbolKind::Constant,
        "parameter" | "instrument" => SymbolKind::Variable,
        "record" | "event" => SymbolKind::File,
        _ => SymbolKind::Object,
    }
}
