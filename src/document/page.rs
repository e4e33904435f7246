//! What a page shows, free of plans and of markup: sections made of a few kinds of block.
//!
//! Every text that enters a [`Piece`], a title or a caption goes through [`clean`](super::clean::clean), so
//! that nothing a user wrote can steer the page. The templates write the blocks; they decide nothing.

pub use super::cell::{Cell, Piece};
use super::clean::clean;
use serde::Serialize;

/// A whole page: cover, sections, and what its margins say.
#[derive(Debug, Clone, Serialize)]
pub struct Page {
    /// Language of the fixed wording, such as `en`.
    pub lang: &'static str,
    /// What sort of document it is, as in `HACCP plan`.
    pub kind: String,
    /// Title on the cover.
    pub title: String,
    /// Line under the title: the plant.
    pub owner: String,
    /// Head of each printed page: left, right.
    pub head: (String, String),
    /// Foot of each printed page, left; page numbers stand on the right.
    pub foot: String,
    /// Word set across each printed page; empty for none.
    pub watermark: String,
    /// Paper for which it is laid out.
    pub paper: Paper,
    /// Whether paper gets its sections alone, as sheets to be filled in.
    pub sheets: bool,
    /// Whether paper gets it set small and in two columns, without a page for cover and contents.
    pub compact: bool,
    /// What the cover says under the title.
    pub cover: Vec<Block>,
    /// The sections in order.
    pub sections: Vec<Section>,
}

/// Paper on which a page is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub enum Paper {
    /// 210 mm × 297 mm.
    #[default]
    A4,
    /// 8.5 inch × 11 inch.
    Letter,
}

/// A section with an anchor and a heading.
#[derive(Debug, Clone, Serialize)]
pub struct Section {
    /// Anchor.
    pub id: String,
    /// Number, as in `7.2`; set by [`number`].
    pub number: String,
    /// Heading.
    pub title: String,
    /// Page on which it is printed, for the contents; set by [`put_leaves`], and only where the pages are known.
    pub leaf: Option<u32>,
    /// Quiet line beside the heading; empty for none.
    pub aside: String,
    /// Whether it is printed across.
    pub landscape: bool,
    /// Whether it begins on a page of its own.
    pub own_page: bool,
    /// What it holds.
    pub blocks: Vec<Block>,
    /// Sections inside it.
    pub parts: Vec<Section>,
}

impl Section {
    /// An upright section without parts.
    pub fn new(id: impl Into<String>, title: impl AsRef<str>, blocks: Vec<Block>) -> Self {
        Self {
            id: id.into(),
            number: String::new(),
            title: clean(title.as_ref()),
            leaf: None,
            aside: String::new(),
            landscape: false,
            own_page: false,
            blocks,
            parts: Vec::new(),
        }
    }

    /// With a quiet line beside the heading.
    #[must_use]
    pub fn aside(mut self, text: &str) -> Self {
        self.aside = clean(text);
        self
    }

    /// Printed across.
    #[must_use]
    pub fn across(mut self) -> Self {
        self.landscape = true;
        self
    }

    /// On a page of its own.
    #[must_use]
    pub fn own_page(mut self) -> Self {
        self.own_page = true;
        self
    }

    /// With sections inside.
    #[must_use]
    pub fn with(mut self, parts: Vec<Section>) -> Self {
        self.parts = parts;
        self
    }
}

/// Numbers sections from 1, and the sections inside them `1.1` and so on.
pub fn number(sections: &mut [Section], before: &str) {
    for (at, section) in sections.iter_mut().enumerate() {
        section.number = format!("{before}{}", at + 1);
        let inside = format!("{}.", section.number);
        number(&mut section.parts, &inside);
    }
}

/// Every anchor that the contents name, in order.
pub fn anchors(sections: &[Section]) -> Vec<&str> {
    sections.iter().flat_map(|section| [vec![section.id.as_str()], anchors(&section.parts)].concat()).collect()
}

/// Sets the page on which each section is printed, by its anchor.
pub fn put_leaves(sections: &mut [Section], leaf: &dyn Fn(&str) -> Option<u32>) {
    for section in sections {
        section.leaf = leaf(&section.id);
        put_leaves(&mut section.parts, leaf);
    }
}

/// One kind of thing a section may hold.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "block", rename_all = "kebab-case")]
pub enum Block {
    /// A paragraph.
    Text {
        /// What it says.
        text: Cell,
    },
    /// Names with their values.
    Facts {
        /// The pairs.
        facts: Vec<Fact>,
    },
    /// A table.
    Table(Table),
    /// A list.
    List {
        /// Whether its items are numbered.
        ordered: bool,
        /// The items.
        items: Vec<Cell>,
    },
    /// A picture with its caption.
    Figure {
        /// Anchor.
        id: String,
        /// Where it is shown: `both`, `screen` or `paper`.
        shown: &'static str,
        /// An `svg` element written by this crate.
        svg: String,
        /// Caption.
        caption: String,
    },
    /// A remark set apart.
    Note {
        /// Look: `plain`, `caution` or `draft`.
        tone: &'static str,
        /// Its heading.
        title: String,
        /// What it says.
        lines: Vec<Cell>,
    },
    /// A heading below those of sections.
    Heading {
        /// Anchor; empty for none.
        id: String,
        /// What it says.
        title: String,
    },
}

impl Block {
    /// A paragraph of plain text.
    pub fn text(text: impl AsRef<str>) -> Self {
        Block::Text { text: Cell::text(text) }
    }

    /// A heading.
    pub fn heading(title: impl AsRef<str>) -> Self {
        Block::Heading { id: String::new(), title: clean(title.as_ref()) }
    }

    /// A remark set apart.
    pub fn note(tone: &'static str, title: &str, lines: Vec<Cell>) -> Self {
        Block::Note { tone, title: clean(title), lines }
    }
}

/// A name with its values.
#[derive(Debug, Clone, Serialize)]
pub struct Fact {
    /// The name.
    pub name: String,
    /// The value.
    pub value: Cell,
}

impl Fact {
    /// A pair.
    pub fn new(name: &str, value: Cell) -> Self {
        Self { name: clean(name), value }
    }
}

/// A table. Rows come in groups that belong together; a plain table has one.
#[derive(Debug, Clone, Serialize)]
pub struct Table {
    /// Caption.
    pub caption: String,
    /// Extra look: empty, `signing`, `wide` (some eight columns) or `wide widest` (some ten).
    pub look: &'static str,
    /// Columns.
    pub columns: Vec<Column>,
    /// Groups of rows.
    pub groups: Vec<Group>,
}

/// A column of a table.
#[derive(Debug, Clone, Serialize)]
pub struct Column {
    /// Heading.
    pub title: String,
    /// Share of the width, in per cent.
    pub width: u32,
}

/// Rows that belong together.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Group {
    /// Anchor; empty for none.
    pub id: String,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A row; its first cell names it.
#[derive(Debug, Clone, Serialize)]
pub struct Row {
    /// Anchor; empty for none.
    pub id: String,
    /// One cell a column.
    pub cells: Vec<Cell>,
}

impl Row {
    /// A row without anchor.
    pub fn new(cells: Vec<Cell>) -> Self {
        Self { id: String::new(), cells }
    }

    /// A row with an anchor.
    pub fn at(id: String, cells: Vec<Cell>) -> Self {
        Self { id, cells }
    }
}

impl Table {
    /// A table from headings with relative widths, and rows. `None` if there are no rows.
    pub fn some(caption: &str, columns: &[(&str, u32)], rows: Vec<Row>) -> Option<Block> {
        (!rows.is_empty()).then(|| Block::Table(Self::new(caption, columns, vec![Group { id: String::new(), rows }])))
    }

    /// A table from headings with relative widths, and groups of rows.
    pub fn new(caption: &str, columns: &[(&str, u32)], groups: Vec<Group>) -> Self {
        let all: u32 = columns.iter().map(|(_, width)| width).sum::<u32>().max(1);
        Self {
            caption: clean(caption),
            look: "",
            columns: columns
                .iter()
                .map(|(title, width)| Column { title: clean(title), width: width * 100 / all })
                .collect(),
            groups,
        }
    }

    /// With another look.
    #[must_use]
    pub fn look(mut self, look: &'static str) -> Self {
        self.look = look;
        self
    }
}
