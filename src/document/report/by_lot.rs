//! One lot as a document: the same chapters as on the terminal, with the charts of what was not met or not shown.

use super::{Order, charts, critical, signing};
use crate::document::html::{Fault, write};
use crate::document::page::{Block, Cell, Fact, Page, Section, number};
use crate::document::sections::closing;
use crate::plan::Plan;
use crate::verify::by_lot::Chapter;

/// The document of one lot.
///
/// # Errors
/// A fault of a template; the shipped ones are covered by tests.
pub fn by_lot(order: &Order<'_>, chapters: &[Chapter]) -> Result<String, Fault> {
    write(&page(order, chapters))
}

fn page(order: &Order<'_>, chapters: &[Chapter]) -> Page {
    let head = order.plan.head.as_ref();
    let title = head.map_or("A plan without a name", |head| Plan::title(&head.name, &head.title));
    let owner = head.and_then(|head| head.establishment.clone()).unwrap_or_default();
    let revision = head
        .and_then(|head| head.revision.as_ref())
        .map_or_else(String::new, |revision| format!("plan revision {}", revision.number));
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
            let own = lot
                .limits
                .iter()
                .find(|one| control.name == *one.control.as_str() && limit.name == *one.limit.as_str())?;
            charts::chart(order, limit, &own.parts, code, &format!("lot-{index}"))
        })
        .collect();
    if !drawn.is_empty() {
        sections.push(Section::new("charts", "Charts of what is not met or not shown", drawn));
    }
    sections.push(signing());
    sections.push(closing::cautions());
    number(&mut sections, "");
    Page {
        kind: "Records of one lot".to_owned(),
        title: format!("Lot {code}"),
        owner: crate::document::clean::clean(&owner),
        head: (title.to_owned(), format!("Lot {code}")),
        foot: revision,
        cover,
        sections,
        lang: "en",
        watermark: String::new(),
        paper: order.paper,
        sheets: false,
    }
}
