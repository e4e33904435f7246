//! Text of a page: lines of pieces, each in one style, cleaned as it comes in.

use super::clean::clean;
use serde::Serialize;

/// Text of one cell, item or paragraph: lines of pieces.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Cell {
    /// The lines.
    pub lines: Vec<Vec<Piece>>,
    /// Whether there is nothing to say here by the nature of the row; left out where rows are stacked.
    pub blank: bool,
}

/// A run of text in one style.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Piece {
    /// The text.
    pub text: String,
    /// Style: empty, `strong`, `code`, `quiet`, or `whole` for text that is not broken over lines.
    pub style: &'static str,
    /// Anchor it leads to; empty for none.
    pub to: String,
}

impl Piece {
    /// Plain text.
    pub fn plain(text: impl AsRef<str>) -> Self {
        Self { text: clean(text.as_ref()), style: "", to: String::new() }
    }

    /// Text in a style.
    pub fn styled(style: &'static str, text: impl AsRef<str>) -> Self {
        Self { style, ..Self::plain(text) }
    }

    /// Text that leads to an anchor.
    #[must_use]
    pub fn to(mut self, anchor: impl Into<String>) -> Self {
        self.to = anchor.into();
        self
    }
}

impl Cell {
    /// No text at all.
    #[must_use]
    pub fn empty() -> Self {
        Self::default()
    }

    /// One line of plain text.
    pub fn text(text: impl AsRef<str>) -> Self {
        Self::line(vec![Piece::plain(text)])
    }

    /// One line of text in a style.
    pub fn styled(style: &'static str, text: impl AsRef<str>) -> Self {
        Self::line(vec![Piece::styled(style, text)])
    }

    /// The text, or a quiet remark that nothing was said.
    #[must_use]
    pub fn said(text: Option<&str>) -> Self {
        text.map_or_else(|| Self::styled("quiet", "not stated"), Self::text)
    }

    /// A dash: there is nothing to say here.
    #[must_use]
    pub fn dash() -> Self {
        Self { blank: true, ..Self::text("–") }
    }

    /// Lines of pieces.
    pub fn lines(lines: impl IntoIterator<Item = Vec<Piece>>) -> Self {
        Self { lines: lines.into_iter().collect(), blank: false }
    }

    /// One line a text.
    pub fn texts<T: AsRef<str>>(texts: impl IntoIterator<Item = T>) -> Self {
        Self::lines(texts.into_iter().map(|text| vec![Piece::plain(text)]))
    }

    /// One line a piece.
    pub fn pieces(pieces: impl IntoIterator<Item = Piece>) -> Self {
        Self::lines(pieces.into_iter().map(|piece| vec![piece]))
    }

    /// One line.
    #[must_use]
    pub fn line(pieces: Vec<Piece>) -> Self {
        Self { lines: vec![pieces], blank: false }
    }

    /// With another line.
    #[must_use]
    pub fn then(mut self, pieces: Vec<Piece>) -> Self {
        self.lines.push(pieces);
        self
    }

    /// With a line `name: text` if there is a text.
    #[must_use]
    pub fn labelled(self, name: &str, text: Option<&str>) -> Self {
        match text {
            Some(text) => self.then(vec![Piece::styled("quiet", format!("{name}: ")), Piece::plain(text)]),
            None => self,
        }
    }

    /// The same, or a remark where it is empty.
    #[must_use]
    pub fn or(self, otherwise: &str) -> Self {
        if self.lines.is_empty() { Self::styled("quiet", otherwise) } else { self }
    }
}
