//! One lot as a document: the same chapters as on the terminal, with the charts of what was not met or not shown.

use super::{Order, charts, critical, framed, signing};
use crate::document::page::{Block, Cell, Fact, Page, Section};
use crate::document::sections::closing;
use crate::verify::by_lot::Chapter;

/// The document of one lot, before it is HTML.
#[must_use]
pub fn by_lot(order: &Order<'_>, chapters: &[Chapter]) -> Page {
    let code = order.verification.lots.first().map_or("", |lot| lot.code.as_str());
    let facts = |chapter: &Chapter| Block::Facts {
        facts: chapter.lines.iter().map(|(name, texts)| Fact::new(name, Cell::texts(texts))).collect(),
    };
    let mut chapters = chapters.iter();
    let cover = chapters.next().map(facts).into_iter().collect();
    let mut sections: Vec<Section> = chapters
        .enumerate()
        .map(|(index, chapter)| Section::new(format!("lot-{}", index + 1), chapter.title, vec![facts(chapter)]))
        .collect();
    let drawn: Vec<Block> = critical(order.plan)
        .enumerate()
        .filter_map(|(index, (control, limit))| {
            let lot = order.verification.lots.first()?;
            let own = lot.limits.iter().find(|one| one.is_of(control, limit))?;
            charts::chart(order, limit, &own.parts, code, &format!("lot-{index}"))
        })
        .collect();
    if !drawn.is_empty() {
        sections.push(Section::new("charts", "Charts of what is not met or not shown", drawn));
    }
    sections.push(signing());
    sections.push(closing::cautions());
    let name = format!("Lot {code}");
    let page = framed(order, "Records of one lot", (&name, name.clone()), cover, sections);
    Page { compact: true, ..page }
}
