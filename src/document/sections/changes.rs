//! What changed since another text of the plan, and what it demands.

use crate::compare::{Bearing, compare};
use crate::document::labels::day;
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};
use crate::plan::Plan;

/// The section. `whole` says that both texts could be read to their ends.
#[must_use]
pub fn section(old: &Plan, new: &Plan, whole: bool) -> Section {
    let comparison = compare(old, new);
    let title = old.head.as_ref().and_then(|head| head.revision.as_ref()).map_or_else(
        || "Changes since an earlier text".to_owned(),
        |revision| format!("Changes since revision {} of {}", revision.number, day(revision.date)),
    );
    let mut blocks = Vec::new();
    if !whole {
        blocks.push(Block::text("A part of a text could not be read, so that this may not be all that changed."));
    }
    for bearing in Bearing::ALL {
        let rows = comparison
            .changes
            .iter()
            .filter(|change| change.kind.bearing() == bearing)
            .map(|change| {
                let note = change.note.as_deref();
                Row::new(vec![
                    Cell::text(change.title().replace('`', "")).labelled("Note", note),
                    Cell::text(change.from.as_deref().unwrap_or("–")),
                    Cell::text(change.to.as_deref().unwrap_or("–")),
                    Cell::texts(change.demands().iter().map(|demand| demand.words())).or("–"),
                ])
            })
            .collect();
        let columns = [("Change", 28), ("Before", 24), ("Now", 24), ("What it demands", 24)];
        blocks.extend(Table::some(bearing.heading(), &columns, rows));
    }
    let demanded = comparison.demanded.iter().map(|one| {
        let clauses: Vec<String> = one.clauses.iter().map(|clause| clause.note()).collect();
        let clauses = if clauses.is_empty() { vec!["common practice, no source".to_owned()] } else { clauses };
        Row::new(vec![Cell::line(vec![Piece::styled("strong", one.demand.words())]), Cell::texts(clauses)])
    });
    blocks.extend(Table::some(
        "What the changes demand, by clause",
        &[("To be done", 34), ("Asked for by", 66)],
        demanded.collect(),
    ));
    if comparison.changes.is_empty() {
        blocks.push(Block::text("No change in meaning."));
    } else {
        blocks.push(Block::text(
            "The texts are compared, not the plant. What a change demands is for trained people to judge.",
        ));
    }
    Section::new("changes", title, blocks)
}
