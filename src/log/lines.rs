//! The quick way through delimited text: lines without a quotation mark, cut at every sign between cells.
//!
//! What it gives is what the general reader gives; where a text could be read in another way by that one, there is no
//! quick way through it.

use super::delimited::{Cells, trim};

/// A stretch of text without quotation marks, line by line.
pub(crate) struct Lines<'t> {
    text: &'t [u8],
    delimiter: u8,
    returns: bool,
    /// Where the signs between cells and the ends of lines stand, for a part of the text at a time.
    marks: Vec<usize>,
    next: usize,
    looked: usize,
    at: usize,
}

/// Marks are looked for in so many bytes at a time, so that text and marks stay in the processor's own memory.
const PART: usize = 1 << 15;

/// The cells of one line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line<'l> {
    text: &'l [u8],
    start: usize,
    /// Where each cell ends; the last at the end of the line.
    ends: &'l [usize],
    end: usize,
}

impl<'t> Lines<'t> {
    /// The lines of a text, if there is a quick way through it.
    pub fn new(text: &'t [u8], delimiter: u8, quote: u8) -> Option<Self> {
        if memchr::memchr(quote, text).is_some() {
            return None;
        }
        // A carriage return ends a row for the general reader wherever it stands.
        let mut returns = false;
        for at in memchr::memchr_iter(b'\r', text) {
            if text.get(at + 1) != Some(&b'\n') {
                return None;
            }
            returns = true;
        }
        Some(Lines { text, delimiter, returns, marks: Vec::new(), next: 0, looked: 0, at: 0 })
    }

    /// The next line, empty ones included.
    #[inline]
    pub fn next_line(&mut self) -> Option<Line<'_>> {
        if self.at >= self.text.len() {
            return None;
        }
        let start = self.at;
        let from = self.next;
        loop {
            match self.marks.get(self.next) {
                Some(&mark) => {
                    self.next += 1;
                    if self.text.get(mark) == Some(&b'\n') {
                        self.at = mark + 1;
                        return Some(self.line(start, mark, from));
                    }
                }
                None if self.looked < self.text.len() => return self.further(start, from),
                None => {
                    let end = self.text.len();
                    self.marks.push(end);
                    self.next += 1;
                    self.at = end;
                    return Some(self.line(start, end, from));
                }
            }
        }
    }

    /// Looks for marks in the next part of the text; those of the line that is open are kept.
    #[inline(never)]
    fn further(&mut self, start: usize, from: usize) -> Option<Line<'_>> {
        self.marks.drain(..from.min(self.marks.len()));
        let end = (self.looked + PART).min(self.text.len());
        let part = self.text.get(self.looked..end)?;
        let base = self.looked;
        self.marks.extend(memchr::memchr2_iter(self.delimiter, b'\n', part).map(|at| base + at));
        self.looked = end;
        (self.at, self.next) = (start, 0);
        self.next_line()
    }

    #[inline]
    fn line(&self, start: usize, mark: usize, from: usize) -> Line<'_> {
        let ends = self.marks.get(from..self.next).unwrap_or_default();
        let returned = self.returns && mark > start && self.text.get(mark - 1) == Some(&b'\r');
        Line { text: self.text, start, ends, end: if returned { mark - 1 } else { mark } }
    }
}

impl<'l> Line<'l> {
    /// Whether nothing stands on it.
    #[inline]
    pub fn is_empty(&self) -> bool {
        self.start == self.end
    }

    /// The line without its end.
    #[inline]
    pub fn raw(&self) -> &'l [u8] {
        self.text.get(self.start..self.end).unwrap_or_default()
    }

    /// How many cells there are.
    #[inline]
    pub fn width(&self) -> usize {
        self.ends.len()
    }

    #[inline(always)]
    fn at(&self, index: usize) -> Option<&'l [u8]> {
        let end = (*self.ends.get(index)?).min(self.end);
        let start = match index.checked_sub(1) {
            None => self.start,
            Some(before) => self.ends.get(before)? + 1,
        };
        self.text.get(start..end)
    }

    /// The cells as they stand.
    pub fn cells(&self) -> impl Iterator<Item = &'l [u8]> + Clone {
        let line = *self;
        (0..self.ends.len()).filter_map(move |index| line.at(index))
    }
}

impl Cells for Line<'_> {
    #[inline(always)]
    fn cell(&self, at: usize) -> &[u8] {
        let cell = self.at(at).unwrap_or_default();
        let solid = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_graphic);
        if solid(cell.first()) && solid(cell.last()) { cell } else { trim(cell) }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Cell by cell what the general reader gives, wherever there is a quick way.
        #[test]
        fn as_the_general_reader(text in "([a1;, \u{a0}\\-]{0,6}(\n|\r\n|;|,)){0,40}[a;\r]{0,3}", long in 0..3_usize) {
            let text = format!("{}{text}", "x;".repeat(long * PART / 4));
            let Some(mut lines) = Lines::new(text.as_bytes(), b';', b'"') else { return Ok(()) };
            let mut general = csv::ReaderBuilder::new();
            let general = general.has_headers(false).flexible(true).delimiter(b';').from_reader(text.as_bytes());
            let wanted: Vec<Vec<Vec<u8>>> =
                general.into_byte_records().map(|row| row.unwrap().iter().map(<[u8]>::to_vec).collect()).collect();
            let mut found = Vec::new();
            while let Some(line) = lines.next_line() {
                if !line.is_empty() {
                    let cells: Vec<Vec<u8>> = line.cells().map(<[u8]>::to_vec).collect();
                    prop_assert_eq!(line.width(), cells.len());
                    for (at, cell) in cells.iter().enumerate() {
                        prop_assert_eq!(line.cell(at), trim(cell));
                    }
                    found.push(cells);
                }
            }
            prop_assert_eq!(found, wanted);
        }
    }
}
