//! Texts and places: where a thing stands in what the user wrote or recorded.
//!
//! Bottom of the house. Knows nothing of plans, logs or findings.

use std::sync::Arc;

/// A half-open range of bytes, `start..end`, in one source text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// Offset of the first byte.
    pub start: usize,
    /// Offset just past the last byte.
    pub end: usize,
}

impl Span {
    /// The span from `start` up to, not including, `end`.
    #[must_use]
    pub fn new(start: usize, end: usize) -> Self {
        Self { start, end: end.max(start) }
    }

    /// The smallest span that holds both.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span::new(self.start.min(other.start), self.end.max(other.end))
    }

    /// The same span moved `by` bytes to the right.
    #[must_use]
    pub fn shifted(self, by: usize) -> Span {
        Span::new(self.start + by, self.end + by)
    }
}

/// Which source a span belongs to; an index into [`Sources`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct SourceId(pub u32);

/// A span in a source of a known set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Loc {
    /// The source.
    pub source: SourceId,
    /// The bytes in it.
    pub span: Span,
}

/// A line and a column, both counted from 1. The column counts characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineCol {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One text with its name and a table of line starts.
#[derive(Debug, Clone)]
pub struct Source {
    name: String,
    text: Arc<str>,
    starts: Arc<[usize]>,
}

impl Source {
    /// Takes over a text under the name that findings will print.
    pub fn new(name: impl Into<String>, text: impl Into<Arc<str>>) -> Self {
        let text: Arc<str> = text.into();
        let mut starts = vec![0];
        starts.extend(text.match_indices('\n').map(|(at, _)| at + 1));
        Self { name: name.into(), text, starts: starts.into() }
    }

    /// The name as given.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text under a span; empty if the span is not on character boundaries of this text.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.start..span.end).unwrap_or("")
    }

    /// Number of lines; a text ending in a line feed has no further empty line.
    #[must_use]
    pub fn line_count(&self) -> usize {
        match self.starts.last() {
            Some(&last) if last == self.text.len() && last > 0 => self.starts.len() - 1,
            _ => self.starts.len(),
        }
    }

    /// Line (from 0) that holds the byte offset.
    #[must_use]
    pub fn line_of(&self, offset: usize) -> usize {
        self.starts.partition_point(|&start| start <= offset).saturating_sub(1)
    }

    /// Byte span of a line (from 0) without its line feed.
    #[must_use]
    pub fn line_span(&self, line: usize) -> Span {
        let start = self.starts.get(line).copied().unwrap_or(self.text.len());
        let end = self.starts.get(line + 1).map_or(self.text.len(), |next| next - 1);
        Span::new(start, end)
    }

    /// Line and column of a byte offset; offsets past the end give the end.
    #[must_use]
    pub fn line_col(&self, offset: usize) -> LineCol {
        let offset = offset.min(self.text.len());
        let line = self.line_of(offset);
        let start = self.starts.get(line).copied().unwrap_or(0);
        let column = self.text.get(start..offset).map_or(offset - start, |before| before.chars().count());
        LineCol { line: line + 1, column: column + 1 }
    }
}

/// All texts of one run, in the order they were read.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    all: Vec<Source>,
}

impl Sources {
    /// No sources yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a source and says which it is.
    pub fn add(&mut self, source: Source) -> SourceId {
        let id = SourceId(u32::try_from(self.all.len()).unwrap_or(u32::MAX));
        self.all.push(source);
        id
    }

    /// The source with this id, if it belongs to this set.
    #[must_use]
    pub fn get(&self, id: SourceId) -> Option<&Source> {
        self.all.get(id.0 as usize)
    }

    /// Every source with its id.
    pub fn iter(&self) -> impl Iterator<Item = (SourceId, &Source)> {
        (0u32..).map(SourceId).zip(&self.all)
    }

    /// The text under a location.
    #[must_use]
    pub fn slice(&self, loc: Loc) -> &str {
        self.get(loc.source).map_or("", |source| source.slice(loc.span))
    }
}

/// A cell of a record: file, row and column as a person would find them in the file.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Cell {
    /// File name as it was given.
    pub file: String,
    /// Row in the file, from 1, counting every physical line before it; 0 for the whole file.
    pub row: u64,
    /// Column heading or position, where one cell is meant.
    pub column: Option<String>,
}

/// Where a finding points.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A span of a source text (plan or mapping).
    Text(Loc),
    /// A cell, a row or the whole of a record file.
    Cell(Cell),
    /// A thing with no text of its own, such as a command line argument, named in words.
    Named(String),
}

impl Place {
    /// A whole file that is not a source text.
    pub fn file(name: impl Into<String>) -> Place {
        Place::Cell(Cell { file: name.into(), ..Cell::default() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let source = Source::new("a", "é°C\nx");
        assert_eq!(source.line_col(4), LineCol { line: 1, column: 3 });
        assert_eq!(source.line_col(6), LineCol { line: 2, column: 1 });
        assert_eq!(source.slice(source.line_span(0)), "é°C");
        assert_eq!(source.line_count(), 2);
    }

    #[test]
    fn a_final_line_feed_opens_no_line() {
        assert_eq!(Source::new("a", "x\n").line_count(), 1);
        assert_eq!(Source::new("a", "").line_count(), 1);
    }
}
