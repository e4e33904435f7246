//! The look of a plant: logo, style sheet, front matter and templates of its own.

use super::page::{Block, Page, Section, number};
use std::borrow::Cow;

/// What a plant lays over the shipped look. The default is the shipped look itself.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Style {
    /// A style sheet that comes after the shipped ones.
    pub css: String,
    /// The logo as a `data:` address; empty for none.
    pub logo: String,
    /// Text that stands before the first section: its heading, and its paragraphs.
    pub front: Option<(String, Vec<String>)>,
    /// Templates, by the name of the shipped one that each replaces.
    pub templates: Vec<(String, String)>,
}

impl Style {
    /// The page with the front matter of the plant.
    #[must_use]
    pub fn fronted<'p>(&self, page: &'p Page) -> Cow<'p, Page> {
        let Some((title, paragraphs)) = self.front.as_ref().filter(|_| !page.sheets) else {
            return Cow::Borrowed(page);
        };
        let mut page = page.clone();
        let blocks = paragraphs.iter().map(Block::text).collect();
        page.sections.insert(0, Section::new("front", title, blocks));
        number(&mut page.sections, "");
        Cow::Owned(page)
    }
}
