//! From a name to its declaration, to every place that names it, and to a new name for all of them.

use super::snapshot::{File, Snapshot};
use super::texts::uri_of;
use crate::plan::uses::{Thing, Use, Uses};
use crate::source::{Loc, Source, Sources, Span};
use crate::syntax::grammar::PlanParser;
use crate::syntax::{Node, Rule};
use lsp_types::{DocumentHighlight, DocumentHighlightKind, Location, Range, TextEdit, Uri, WorkspaceEdit};
use pest::Parser;
use std::collections::{BTreeMap, HashMap};

fn used<'a>(snapshot: &'a Snapshot, file: &File, at: usize) -> Option<&'a Use> {
    snapshot.uses.at(Loc { source: file.id, span: Span::new(at, at) })
}

/// Where the thing under the cursor is declared; the file, where an included file is named.
pub(super) fn definition(snapshot: &Snapshot, file: &File, at: usize) -> Vec<Location> {
    if let Some(found) = used(snapshot, file, at) {
        let places = snapshot.uses.of_thing(&found.thing).filter(|place| place.declares);
        return places.filter_map(|place| snapshot.location(place.loc)).collect();
    }
    let broken = broken(snapshot, file, at);
    if !broken.is_empty() {
        return broken;
    }
    let included = file.tree.all(Rule::include_block).find(|node| node.span.start <= at && at <= node.span.end);
    let Some(text) = included.and_then(|node| node.part(Rule::text)) else { return Vec::new() };
    let name = snapshot.text(file).get(text.span.start..text.span.end).unwrap_or("");
    let wanted = snapshot.root.with_file_name(name.trim_matches(|c| "\"“”„".contains(c)));
    let wanted = super::texts::plain(&wanted);
    let known = snapshot.file(&wanted).into_iter();
    known.map(|file| Location { uri: uri_of(&file.path), range: Range::default() }).collect()
}

/// Where a block stands that has this name and cannot be read yet.
fn broken(snapshot: &Snapshot, file: &File, at: usize) -> Vec<Location> {
    let text = snapshot.text(file);
    let Some(word) = super::hover::word(text, at).and_then(|span| text.get(span.start..span.end)) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for file in &snapshot.files {
        let text = snapshot.text(file);
        for head in file.tree.all(Rule::bad_block).filter_map(|block| block.part(Rule::bad_head)) {
            let words = text.get(head.span.start..head.span.end).unwrap_or("");
            let name = words.split_whitespace().next().unwrap_or("");
            if name == word {
                let start = head.span.start + words.find(name).unwrap_or(0);
                let loc = Loc { source: file.id, span: Span::new(start, start + name.len()) };
                found.extend(snapshot.location(loc));
            }
        }
    }
    found
}

/// Every place that names the thing under the cursor.
pub(super) fn references(snapshot: &Snapshot, file: &File, at: usize, declared: bool) -> Vec<Location> {
    let Some(found) = used(snapshot, file, at) else { return Vec::new() };
    let places = snapshot.uses.of_thing(&found.thing).filter(|place| declared || !place.declares);
    places.filter_map(|place| snapshot.location(place.loc)).collect()
}

/// Those of them in the same text.
pub(super) fn highlights(snapshot: &Snapshot, file: &File, at: usize) -> Vec<DocumentHighlight> {
    let Some(found) = used(snapshot, file, at) else { return Vec::new() };
    let places = snapshot.uses.of_thing(&found.thing).filter(|place| place.loc.source == file.id);
    places
        .map(|place| DocumentHighlight {
            range: snapshot.range(file, place.loc.span),
            kind: Some(if place.declares { DocumentHighlightKind::Write } else { DocumentHighlightKind::Read }),
        })
        .collect()
}

/// The name under the cursor, if it can be given another.
pub(super) fn renamable(snapshot: &Snapshot, file: &File, at: usize) -> Option<Range> {
    used(snapshot, file, at).map(|found| snapshot.range(file, found.loc.span))
}

/// The changes that give the thing under the cursor another name everywhere.
///
/// # Errors
/// Words for a person, where that would change what the plan says, or cannot be told.
pub(super) fn rename(snapshot: &Snapshot, file: &File, at: usize, new: &str) -> Result<WorkspaceEdit, String> {
    let found = used(snapshot, file, at).ok_or("no name of this plan stands here")?;
    let is_name = PlanParser::parse(Rule::name, new).is_ok_and(|pairs| pairs.as_str() == new);
    if !is_name {
        return Err(format!("`{new}` is no name: letters, digits and single hyphens, and no word that joins others"));
    }
    let places: Vec<&Use> = snapshot.uses.of_thing(&found.thing).collect();
    let old = found.thing.name();
    unread(snapshot, old)?;
    let edits = |id| {
        let mut spans: Vec<Span> =
            places.iter().filter(|place| place.loc.source == id).map(|place| place.loc.span).collect();
        spans.sort_unstable();
        spans.dedup();
        spans
    };
    keeps(snapshot, &found.thing, new, &edits)?;
    let mut changes: HashMap<Uri, Vec<TextEdit>> = HashMap::new();
    for file in &snapshot.files {
        let edits = edits(file.id).into_iter();
        let edits: Vec<TextEdit> =
            edits.map(|span| TextEdit { range: snapshot.range(file, span), new_text: new.to_owned() }).collect();
        if !edits.is_empty() {
            changes.insert(uri_of(&file.path), edits);
        }
    }
    Ok(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() })
}

/// A name in text that cannot be read would be left behind.
fn unread(snapshot: &Snapshot, old: &str) -> Result<(), String> {
    for file in &snapshot.files {
        let text = snapshot.text(file);
        let mut left = None;
        file.tree.walk(&mut |node: &Node| {
            let broken = matches!(node.rule, Rule::bad_statement | Rule::bad_block | Rule::junk);
            let words = text.get(node.span.start..node.span.end).unwrap_or("");
            let apart = |c: char| !(c.is_alphanumeric() || "-_.".contains(c));
            if broken && words.split(apart).any(|word| word == old) {
                left = Some(file.lines.line_of(node.span.start) + 1);
            }
        });
        if let Some(line) = left {
            return Err(format!("line {line} names `{old}` and cannot be read yet; mend it first"));
        }
    }
    Ok(())
}

/// Whether the plan says the same with the new name: the same findings, and the same places for the same things.
fn keeps(
    snapshot: &Snapshot,
    thing: &Thing,
    new: &str,
    edits: &dyn Fn(crate::source::SourceId) -> Vec<Span>,
) -> Result<(), String> {
    let mut sources = Sources::new();
    for (id, source) in snapshot.sources.iter() {
        let mut text = source.text().to_owned();
        for span in edits(id).into_iter().rev() {
            text.replace_range(span.start..span.end, new);
        }
        sources.add(Source::new(source.name(), text));
    }
    let ids: Vec<_> = snapshot.files.iter().map(|file| file.id).collect();
    let count = |sources: &Sources| {
        let reading = crate::plan::read(sources, &ids);
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        // What hangs on names alone is the same on any day.
        let checked = crate::check::check(&reading.plan, chrono::NaiveDate::default());
        for finding in reading.findings.iter().chain(&checked) {
            *counts.entry(finding.rule.code).or_default() += 1;
        }
        (counts, Uses::of(&reading.plan))
    };
    let (before, _) = count(&snapshot.sources);
    let (after, uses) = count(&sources);
    let renamed = match thing {
        Thing::Declared(kind, _) => Thing::Declared(*kind, new.to_owned()),
        Thing::Limit(control, _) => Thing::Limit(control.clone(), new.to_owned()),
        Thing::Answer(parameter, _) => Thing::Answer(parameter.clone(), new.to_owned()),
    };
    let same = uses.of_thing(&renamed).count() == snapshot.uses.of_thing(thing).count();
    if before == after && same {
        return Ok(());
    }
    let taken = snapshot.uses.all().iter().any(|place| place.thing == renamed);
    let why = if taken { format!(": another {} is called `{new}`", thing.word()) } else { String::new() };
    Err(format!("with the name `{new}` the plan would say something else{why}"))
}
