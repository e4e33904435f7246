//! What may stand at the cursor: words, names, units, citations and whole blocks.

use super::context::{Spot, spot};
use super::offer::kinds;
use super::skeleton::{Skeleton, skeletons};
use super::snapshot::{File, Known, Snapshot};
use crate::clause::{REGIMES, clauses, topics};
use crate::plan::names::Kind;
use crate::plan::uses::Thing;
use crate::plan::{Class, ControlKind, MaterialKind, Severity};
use crate::quantity::{Dimension, UNITS};
use crate::source::Span;
use crate::syntax::fits::fits;
use crate::syntax::words::{Use, words};
use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionItemTextEdit, Documentation, InsertTextFormat, MarkupContent,
    MarkupKind, Range, TextEdit,
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Every proposal at a byte of a text.
pub(super) fn complete(
    snapshot: &Snapshot,
    file: &File,
    at: usize,
    known: &Known,
    snippets: bool,
    plans: &dyn Fn(&Path) -> Vec<PathBuf>,
) -> Vec<CompletionItem> {
    let text = snapshot.text(file);
    let here = spot(text, at);
    if here.comment {
        return Vec::new();
    }
    if let Some(from) = here.quoted {
        if here.before.starts_with("include") {
            return includable(snapshot, snapshot.range(file, Span::new(from, at)), plans);
        }
        return citations(snapshot, &here, snapshot.range(file, Span::new(from, at)));
    }
    let list = List { items: Vec::new(), range: snapshot.range(file, here.word) };
    let begins = here.before.trim().is_empty();
    let column = file.lines.position(text, here.word.start).character;
    match (&here.block, begins) {
        (None, true) if column == 0 => blocks(list, None, snippets),
        (None, true) => Vec::new(),
        (Some(block), true) if list_of(block) => {
            statements(list, block, snippets, &" ".repeat(usize::try_from(column).unwrap_or(0)))
        }
        _ => inside(list, snapshot, &here, known),
    }
}

/// The files that may be included: those in the folder of the plan and below, but the plan itself and what it includes.
fn includable(snapshot: &Snapshot, range: Range, plans: &dyn Fn(&Path) -> Vec<PathBuf>) -> Vec<CompletionItem> {
    let mut list = List { items: Vec::new(), range };
    let folder = snapshot.root.parent().unwrap_or(Path::new(""));
    for path in plans(folder) {
        let Ok(inside) = path.strip_prefix(folder) else { continue };
        let parts: Vec<_> = inside.components().map(|part| part.as_os_str().to_string_lossy()).collect();
        if snapshot.file(&super::texts::plain(&path)).is_none() {
            list.put(&parts.join("/"), CompletionItemKind::File, "a text in the folder of the plan", None);
        }
    }
    list.items
}

struct List {
    items: Vec<CompletionItem>,
    range: Range,
}

impl List {
    fn put(&mut self, label: &str, kind: CompletionItemKind, detail: &str, meaning: Option<&str>) {
        self.items.push(CompletionItem {
            label: label.to_owned(),
            kind: Some(kind),
            detail: (!detail.is_empty()).then(|| detail.to_owned()),
            documentation: meaning.map(|words| {
                Documentation::MarkupContent(MarkupContent { kind: MarkupKind::Markdown, value: words.to_owned() })
            }),
            sort_text: Some(format!("{:04}", self.items.len())),
            text_edit: Some(CompletionItemTextEdit::TextEdit(TextEdit {
                range: self.range,
                new_text: label.to_owned(),
            })),
            ..CompletionItem::default()
        });
    }

    fn skeleton(&mut self, skeleton: &Skeleton, snippets: bool, indent: &str) {
        let text = if snippets { skeleton.snippet() } else { skeleton.text.trim_end().to_owned() };
        self.items.push(CompletionItem {
            label: format!("{} …", skeleton.word),
            filter_text: Some(skeleton.word.clone()),
            kind: Some(CompletionItemKind::Snippet),
            detail: Some(format!("the whole block: {}", skeleton.about)),
            documentation: Some(Documentation::MarkupContent(MarkupContent {
                kind: MarkupKind::Markdown,
                value: format!("```haccp\n{}```", skeleton.text),
            })),
            sort_text: Some(format!("{:04}", self.items.len())),
            insert_text_format: snippets.then_some(InsertTextFormat::Snippet),
            text_edit: Some(CompletionItemTextEdit::TextEdit(TextEdit {
                range: self.range,
                new_text: text.replace('\n', &format!("\n{indent}")),
            })),
            ..CompletionItem::default()
        });
    }
}

/// Blocks whose statements begin with a word of their own.
fn list_of(block: &str) -> bool {
    !matches!(block, "option" | "bands")
}

fn blocks(mut list: List, within: Option<&str>, snippets: bool) -> Vec<CompletionItem> {
    for word in words().iter().filter(|word| word.used == Use::Block) {
        list.put(&word.word, CompletionItemKind::Keyword, "begins a block", Some(&word.meaning));
        for skeleton in skeletons().iter().filter(|one| one.word == word.word && one.within.is_empty()) {
            debug_assert!(within.is_none());
            list.skeleton(skeleton, snippets, "");
        }
    }
    list.items
}

fn statements(mut list: List, block: &str, snippets: bool, indent: &str) -> Vec<CompletionItem> {
    let here = |word: &&crate::syntax::words::Word| word.blocks.iter().any(|name| name == block);
    for word in words().iter().filter(|word| word.used == Use::Statement).filter(here) {
        list.put(&word.word, CompletionItemKind::Keyword, &format!("statement of {block}"), Some(&word.meaning));
        let whole = |one: &&Skeleton| one.word == word.word && one.within.iter().any(|name| name == block);
        for skeleton in skeletons().iter().filter(whole) {
            list.skeleton(skeleton, snippets, indent);
        }
    }
    list.items
}

/// What may follow the beginning of a statement.
fn inside(mut list: List, snapshot: &Snapshot, here: &Spot, known: &Known) -> Vec<CompletionItem> {
    let fits = fits(here.block.as_deref(), &here.before);
    if fits.unit {
        let wanted = dimension(snapshot, &here.before);
        let mut units: Vec<_> = UNITS.iter().collect();
        units.sort_by_key(|unit| Some(unit.dimension) != wanted);
        for unit in units {
            list.put(unit.symbol, CompletionItemKind::Unit, unit.dimension.word(), None);
        }
    }
    let statement = here.before.split_whitespace().next().unwrap_or("");
    if fits.name {
        for value in values(here.block.as_deref(), statement) {
            list.put(value, CompletionItemKind::EnumMember, &format!("value of {statement}"), None);
        }
        names(&mut list, snapshot, known, kinds(here.block.as_deref(), &here.before));
    }
    for word in &fits.words {
        let entry = words().iter().find(|entry| entry.word == *word && entry.used != Use::Block);
        let meaning = entry.map(|entry| entry.meaning.as_str());
        list.put(word, CompletionItemKind::Keyword, meaning.unwrap_or(""), None);
    }
    list.items
}

/// What kind of quantity stands at the end of a statement: a time after the words that lead to one, else what its
/// parameter is measured in.
fn dimension(snapshot: &Snapshot, before: &str) -> Option<Dimension> {
    let words: Vec<&str> = before.split_whitespace().collect();
    let (_, led) = words.split_last()?;
    if led.last().is_some_and(|word| ["for", "within", "step", "after", "every", "than"].contains(word)) {
        return Some(Dimension::Time);
    }
    let measured = words.iter().rev().find_map(|word| snapshot.plan.parameter(word));
    measured.and_then(|parameter| parameter.unit.as_ref()).map(|unit| unit.value.dimension)
}

fn names(list: &mut List, snapshot: &Snapshot, known: &Known, kinds: Option<&[Kind]>) {
    let Some(kinds) = kinds else { return };
    let mut seen = BTreeSet::new();
    for (kind, name) in snapshot.plan.declared() {
        if kinds.contains(&kind) && seen.insert(name.text.as_str()) {
            let thing = Thing::Declared(kind, name.text.clone());
            let about = super::hover::thing(&snapshot.plan, &thing);
            list.put(&name.text, CompletionItemKind::Reference, kind.word(), about.as_deref());
        }
    }
    // What the last good reading knew, and what now stands in a block that cannot be read.
    for (kind, name) in known.of_kinds(kinds) {
        if seen.insert(name) {
            list.put(name, CompletionItemKind::Reference, kind.word(), known.about(name));
        }
    }
    for name in &snapshot.plan.broken {
        if seen.insert(name) {
            list.put(name, CompletionItemKind::Reference, "of a block that cannot be read yet", None);
        }
    }
}

/// The closed set of values that a statement takes.
fn values(block: Option<&str>, statement: &str) -> Vec<&'static str> {
    match (block, statement) {
        (_, "regimes") => REGIMES.to_vec(),
        (_, "tree") => crate::check::trees::names(),
        (_, "concerns" | "not-concerned") => topics().iter().map(|topic| topic.name).collect(),
        (_, "severity") => Severity::WORDS.to_vec(),
        (Some("material"), "kind") => MaterialKind::WORDS.to_vec(),
        (Some("hazard"), "kind") => Class::WORDS.to_vec(),
        (Some("ccp"), "kind") => ControlKind::WORDS.to_vec(),
        (_, "allergens" | "may-contain") => crate::check::allergens(),
        _ => Vec::new(),
    }
}

/// Clauses, where a block says which ones it answers.
fn citations(snapshot: &Snapshot, here: &Spot, range: Range) -> Vec<CompletionItem> {
    let mut list = List { items: Vec::new(), range };
    if !here.before.starts_with("meets") {
        return list.items;
    }
    let regimes = snapshot.plan.regimes();
    let mut seen = BTreeSet::new();
    for clause in clauses().iter().filter(|clause| regimes.is_empty() || clause.of_any(&regimes)) {
        if seen.insert(clause.citation) {
            list.put(clause.citation, CompletionItemKind::Constant, clause.force.word(), Some(clause.gist));
        }
    }
    list.items
}
