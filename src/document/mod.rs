//! Plan → document: one self-contained HTML file that prints well.
//!
//! A plan becomes a [`page::Page`] (sections of a few kinds of block, free of markup), and the page becomes HTML
//! through templates that only write what they are given. The same order gives the same bytes: there is no clock
//! and no file access here. Layout and style sheet serve any page, whatever it is about.

mod cell;
pub mod clean;
pub mod flow_graph;
pub mod forms;
mod html;
pub mod labels;
pub mod page;
pub mod report;
mod sections;
mod style;

pub use html::{Fault, TEMPLATES, write, write_styled};
pub use page::Paper;
pub use style::Style;

use crate::check::signing::Signing;
use crate::finding::Finding;
use crate::plan::Plan;
use crate::source::Sources;
use chrono::NaiveDate;

/// What is to be rendered.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its texts, for showing blanks as they stand.
    pub sources: &'a Sources,
    /// What the check of the plan found.
    pub findings: &'a [Finding],
    /// The day on which it was checked.
    pub on: NaiveDate,
    /// The signatures kept beside it, where somebody looked.
    pub signing: Option<&'a Signing>,
    /// Paper for which it is laid out.
    pub paper: Paper,
}

/// The formal plan document as HTML.
///
/// # Errors
/// A fault of a template; the shipped ones are covered by tests.
pub fn plan(order: &Order<'_>) -> Result<String, Fault> {
    write(&page_of(order))
}

/// The same document before it is HTML: sections of tables, facts and remarks.
#[must_use]
pub fn page_of(order: &Order<'_>) -> page::Page {
    sections::page(order)
}

/// Puts first in a document what changed since another text of the plan; `whole` says that both could be read to their
/// ends.
pub fn put_changes(page: &mut page::Page, old: &Plan, new: &Plan, whole: bool) {
    page.sections.insert(0, sections::changes::section(old, new, whole));
    page::number(&mut page.sections, "");
}
