//! Lines and positions as editors count them: from 0, in UTF-8 or UTF-16 units, a line ending in `\n`, `\r\n` or `\r`.

use crate::source::Span;
use lsp_types::{Position, PositionEncodingKind, Range};

/// In what units a column is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Units {
    /// Bytes.
    Utf8,
    /// Units of 16 bits: what an editor counts in unless it says otherwise.
    #[default]
    Utf16,
}

impl Units {
    /// The units that are used with an editor that offers these.
    pub(super) fn of(offered: &[PositionEncodingKind]) -> Self {
        if offered.contains(&PositionEncodingKind::UTF8) { Units::Utf8 } else { Units::Utf16 }
    }

    pub(super) fn kind(self) -> PositionEncodingKind {
        match self {
            Units::Utf8 => PositionEncodingKind::UTF8,
            Units::Utf16 => PositionEncodingKind::UTF16,
        }
    }

    fn length(self, c: char) -> usize {
        match self {
            Units::Utf8 => c.len_utf8(),
            Units::Utf16 => c.len_utf16(),
        }
    }
}

/// The lines of one text.
#[derive(Debug, Clone)]
pub(super) struct Lines {
    starts: Vec<usize>,
    units: Units,
}

impl Lines {
    pub(super) fn new(text: &str, units: Units) -> Self {
        let bytes = text.as_bytes();
        let mut starts = vec![0];
        for (at, byte) in bytes.iter().enumerate() {
            let ends = *byte == b'\n' || *byte == b'\r' && bytes.get(at + 1) != Some(&b'\n');
            if ends {
                starts.push(at + 1);
            }
        }
        Self { starts, units }
    }

    /// The line (from 0) that holds a byte.
    pub(super) fn line_of(&self, at: usize) -> usize {
        self.starts.partition_point(|&start| start <= at).saturating_sub(1)
    }

    /// The bytes of a line without its end.
    pub(super) fn span(&self, text: &str, line: usize) -> Span {
        let start = self.starts.get(line).copied().unwrap_or(text.len());
        let end = self.starts.get(line + 1).copied().unwrap_or(text.len());
        let body = text.get(start..end).unwrap_or("");
        Span::new(start, start + body.trim_end_matches(['\n', '\r']).len())
    }

    /// The place of a byte. One inside a character gives the character's start.
    pub(super) fn position(&self, text: &str, at: usize) -> Position {
        let mut at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        let line = self.line_of(at);
        // Within the end of a line no editor has a place; it counts as the end of what stands on the line.
        let Span { start, end } = self.span(text, line);
        let units: usize = text.get(start..at.min(end)).unwrap_or("").chars().map(|c| self.units.length(c)).sum();
        Position { line: narrow(line), character: narrow(units) }
    }

    /// The range of a span.
    pub(super) fn range(&self, text: &str, span: Span) -> Range {
        Range { start: self.position(text, span.start), end: self.position(text, span.end) }
    }

    /// The byte of a place. Past the end of a line is its end, past the last line the end of the text, and inside a
    /// character the character's start.
    pub(super) fn offset(&self, text: &str, at: Position) -> usize {
        let Ok(line) = usize::try_from(at.line) else { return text.len() };
        if line >= self.starts.len() {
            return text.len();
        }
        let span = self.span(text, line);
        let wanted = usize::try_from(at.character).unwrap_or(usize::MAX);
        let mut units = 0;
        for (byte, c) in text.get(span.start..span.end).unwrap_or("").char_indices() {
            units += self.units.length(c);
            if units > wanted {
                return span.start + byte;
            }
        }
        span.end
    }

    /// The bytes of a range, in order even where the range is not.
    pub(super) fn bytes(&self, text: &str, range: Range) -> Span {
        let (a, b) = (self.offset(text, range.start), self.offset(text, range.end));
        Span::new(a.min(b), a.max(b))
    }

    /// The range of the whole text.
    pub(super) fn whole(&self, text: &str) -> Range {
        self.range(text, Span::new(0, text.len()))
    }
}

/// A count as the protocol writes it.
pub(super) fn narrow(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(line: u32, character: u32) -> Position {
        Position { line, character }
    }

    #[test]
    fn columns_in_both_units() {
        // One byte, two bytes, three bytes, four bytes in two units of 16 bits.
        let text = "a°‰😀b\r\nc\rd\n";
        let wide = Lines::new(text, Units::Utf16);
        let bytes = Lines::new(text, Units::Utf8);
        assert_eq!(wide.position(text, 10), at(0, 5));
        assert_eq!(bytes.position(text, 10), at(0, 10));
        assert_eq!(wide.offset(text, at(0, 5)), 10);
        // Between the halves of a pair, and inside its bytes.
        assert_eq!(wide.offset(text, at(0, 4)), 6);
        assert_eq!(bytes.offset(text, at(0, 8)), 6);
        assert_eq!(wide.position(text, 8), at(0, 3));
        // Past the end of the line, of the text; the line ends of three systems.
        assert_eq!(wide.offset(text, at(0, 99)), 11);
        assert_eq!(wide.offset(text, at(9, 0)), text.len());
        assert_eq!(wide.position(text, text.find('d').unwrap()), at(2, 0));
        assert_eq!(wide.position(text, text.len()), at(3, 0));
        assert_eq!(wide.position(text, 12), at(0, 6));
    }
}
