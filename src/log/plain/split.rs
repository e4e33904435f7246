//! Text → rows of cells, strictly by a dialect: whatever does not fit is a fault of its row, and costs no other row.

use super::kinds::{Family, kind};

/// What parts the cells of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Parting {
    /// A sign, of one character or more.
    Sign(String),
    /// Runs of blanks.
    Blanks,
    /// Places: cells begin at these characters of the line, counted from nought.
    Places(Vec<usize>),
}

/// How a text is cut into cells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dialect {
    /// What parts cells.
    pub parting: Parting,
    /// The quotation mark, if there is one.
    pub quote: Option<char>,
    /// The sign that takes the meaning from the next one; without it a quotation mark is written twice.
    pub escape: Option<char>,
}

/// What is wrong with the writing of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// A quotation mark inside a cell that does not begin with one.
    Stray,
    /// Something between the closing quotation mark and the end of the cell.
    AfterQuote,
    /// A quotation mark that nothing closes, or only after other rows.
    Open,
    /// A carriage return that ends no line.
    Return,
    /// An escape before a sign that needs none.
    Escape,
    /// A part of the sign between cells, or a letter over the border of two columns.
    Border,
}

impl Fault {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Fault::Stray => "a quotation mark stands inside a cell that does not begin with one",
            Fault::AfterQuote => "something follows the closing quotation mark of a cell",
            Fault::Open => "a quotation mark opens a cell and does not close it in its row",
            Fault::Return => "a carriage return stands inside the row",
            Fault::Escape => "an escape stands before a sign that needs none",
            Fault::Border => "a cell reaches over the border between two columns",
        }
    }
}

/// One row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// The line on which it begins, from one.
    pub line: u64,
    /// The line on which it ends.
    pub last: u64,
    /// What is wrong with its writing.
    pub fault: Option<Fault>,
    first: usize,
    width: usize,
    start: usize,
    end: usize,
}

/// All rows of a text.
#[derive(Debug, Default)]
pub struct Rows {
    text: String,
    ends: Vec<usize>,
    /// The rows, lines without any sign left out.
    pub rows: Vec<Row>,
    /// Lines without any sign on them.
    pub empty: Vec<u64>,
}

/// What makes a line inside a cell look like a row of its own.
#[derive(Debug, Clone, Copy)]
pub struct Like {
    /// As many cells as this.
    pub width: usize,
    /// The first of them of this family, if the first column has one.
    pub first: Option<Family>,
}

impl Like {
    fn begins(&self, line: &str, sign: &str) -> bool {
        line.split(sign).next().and_then(|cell| kind(cell).family()) == self.first
    }

    /// A line inside a cell that has as many cells as a row.
    fn row(&self, line: &str, sign: &str) -> bool {
        let told = self.first.is_some() || (self.width > 3 && sign != " ");
        told && self.begins(line, sign) && line.matches(sign).count() + 1 >= self.width
    }

    /// The line that closes a cell: if the cell ends where it began, in the same column of a later row, that row is in it.
    fn closing(&self, line: &str, sign: &str, column: usize, quote: Option<char>) -> bool {
        let told = self.first.is_some() || column > 1;
        let inside = quote.and_then(|quote| line.split(quote).next()).unwrap_or(line);
        column > 0 && told && self.begins(line, sign) && inside.matches(sign).count() == column
    }
}

/// The most bytes that one cell in quotation marks may have.
const LONGEST: usize = 1 << 16;

impl Rows {
    /// The cells of a row.
    pub fn cells(&self, row: &Row) -> impl Iterator<Item = &str> {
        (row.first..row.first + row.width).map(|at| self.at(at))
    }

    /// One cell of a row; nothing beyond the last.
    #[must_use]
    pub fn cell(&self, row: &Row, column: usize) -> &str {
        if column < row.width { self.at(row.first + column) } else { "" }
    }

    fn at(&self, at: usize) -> &str {
        let start = at.checked_sub(1).and_then(|before| self.ends.get(before)).copied().unwrap_or(0);
        let end = self.ends.get(at).copied().unwrap_or(start);
        self.text.get(start..end).unwrap_or_default()
    }
}

impl Row {
    /// How many cells it has.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// What stands in the text for it.
    #[must_use]
    pub fn raw<'t>(&self, text: &'t str) -> &'t str {
        text.get(self.start..self.end).unwrap_or_default()
    }
}

/// Cuts a whole text, of which the first line has this number. `most` rows at most. A cell that holds what is `like` rows
/// has swallowed them, and is given up.
#[must_use]
pub fn split(text: &str, dialect: &Dialect, first_line: u64, most: usize, like: Option<Like>) -> Rows {
    let mut rows = Rows::default();
    let only_returns = !text.contains('\n');
    let (mut at, mut line) = (0, first_line);
    while at < text.len() && rows.rows.len() < most {
        let (end, next) = line_end(text, at, only_returns);
        if end == at {
            rows.empty.push(line);
            (at, line) = (next, line + 1);
            continue;
        }
        let mut cutter = Cutter { text, dialect, only_returns, rows: &mut rows, fault: None, lines: 0, wide: 0 };
        let mark = (cutter.rows.text.len(), cutter.rows.ends.len());
        let mut after = cutter.quoted(at);
        if let (true, Some(like), Parting::Sign(sign)) = (cutter.lines > 0, like, &dialect.parting) {
            let raw = text.get(at..after).unwrap_or_default().trim_end_matches(['\n', '\r']);
            let lines: Vec<&str> = raw.split(if only_returns { '\r' } else { '\n' }).skip(1).collect();
            let swallowed = lines.split_last().is_some_and(|(last, inner)| {
                inner.iter().any(|line| like.row(line, sign))
                    || like.closing(last, sign, cutter.wide.saturating_sub(mark.1), dialect.quote)
            });
            if swallowed {
                cutter.fault = Some(Fault::Open);
            }
        }
        if cutter.lines > 0 && cutter.fault.is_some() || cutter.fault == Some(Fault::Open) {
            // A row over several lines that is not well written is given up: only its first line is taken, as it stands.
            let fault = cutter.fault;
            cutter.rows.text.truncate(mark.0);
            cutter.rows.ends.truncate(mark.1);
            cutter.lines = 0;
            after = cutter.literal(at, end, next);
            cutter.fault = fault.map(|_| Fault::Open);
        }
        let (fault, lines) = (cutter.fault, cutter.lines);
        let width = rows.ends.len() - mark.1;
        let raw_end = text.get(at..after).map_or(after, |raw| at + raw.trim_end_matches(['\n', '\r']).len());
        rows.rows.push(Row { line, last: line + lines, fault, first: mark.1, width, start: at, end: raw_end });
        line += lines + 1;
        at = after;
    }
    rows
}

fn line_end(text: &str, at: usize, only_returns: bool) -> (usize, usize) {
    let rest = text.as_bytes().get(at..).unwrap_or_default();
    let sign = if only_returns { b'\r' } else { b'\n' };
    match rest.iter().position(|&byte| byte == sign) {
        Some(found) => {
            let before = found.checked_sub(1).and_then(|before| rest.get(before));
            let end = if !only_returns && before == Some(&b'\r') { found - 1 } else { found };
            (at + end, at + found + 1)
        }
        None => {
            let end = if rest.last() == Some(&b'\r') { text.len() - 1 } else { text.len() };
            (end, text.len())
        }
    }
}

struct Cutter<'t, 'r> {
    text: &'t str,
    dialect: &'t Dialect,
    only_returns: bool,
    rows: &'r mut Rows,
    fault: Option<Fault>,
    /// Line ends inside the row.
    lines: u64,
    /// Where, among all cells, the last one over several lines stands.
    wide: usize,
}

impl Cutter<'_, '_> {
    fn blame(&mut self, fault: Fault) {
        self.fault = self.fault.or(Some(fault));
    }

    fn close(&mut self) {
        let end = self.rows.text.len();
        self.rows.ends.push(end);
    }

    /// One row from here; gives where the next begins.
    fn quoted(&mut self, from: usize) -> usize {
        let (end, next) = line_end(self.text, from, self.only_returns);
        let sign = match &self.dialect.parting {
            Parting::Sign(sign) => sign.as_str(),
            Parting::Blanks => return self.blanks(from, end, next),
            Parting::Places(places) => return self.places(from, end, next, places),
        };
        let (mut at, mut end, mut next) = (from, end, next);
        loop {
            let here = self.text.get(at..end).unwrap_or_default();
            if let Some(quote) = self.dialect.quote
                && here.starts_with(quote)
            {
                let Some(after) = self.inside(at + quote.len_utf8(), quote) else { return next };
                (end, next) = line_end(self.text, after, self.only_returns);
                at = after;
                let rest = self.text.get(at..end).unwrap_or_default();
                if !rest.is_empty() && !rest.starts_with(sign) {
                    self.blame(Fault::AfterQuote);
                    let stop = rest.find(sign).unwrap_or(rest.len());
                    self.rows.text.push_str(rest.get(..stop).unwrap_or_default());
                    at += stop;
                }
            } else {
                at = self.bare(at, end, sign);
            }
            self.close();
            if self.text.get(at..end).is_some_and(|rest| rest.starts_with(sign)) {
                at += sign.len();
            } else {
                return next;
            }
        }
    }

    /// A cell without quotation marks around it.
    fn bare(&mut self, at: usize, end: usize, sign: &str) -> usize {
        let rest = self.text.get(at..end).unwrap_or_default();
        let mut stop = rest.find(sign).unwrap_or(rest.len());
        if let Some(escape) = self.dialect.escape.filter(|_| rest.contains(self.dialect.escape.unwrap_or('\0'))) {
            stop = rest.len();
            let mut signs = rest.char_indices();
            let mut text = String::new();
            while let Some((here, c)) = signs.next() {
                if c == escape {
                    match signs.next() {
                        Some((_, c)) if Some(c) == self.dialect.quote || c == escape || sign.starts_with(c) => {
                            text.push(c);
                        }
                        Some((_, c)) => {
                            self.blame(Fault::Escape);
                            text.push(escape);
                            text.push(c);
                        }
                        None => {
                            self.blame(Fault::Escape);
                            text.push(escape);
                        }
                    }
                    continue;
                }
                if rest.get(here..).is_some_and(|rest| rest.starts_with(sign)) {
                    stop = here;
                    break;
                }
                if Some(c) == self.dialect.quote {
                    self.blame(Fault::Stray);
                }
                text.push(c);
            }
            self.rows.text.push_str(&text);
            return at + stop;
        }
        let cell = rest.get(..stop).unwrap_or_default();
        if self.dialect.quote.is_some_and(|quote| cell.contains(quote)) {
            self.blame(Fault::Stray);
        }
        if cell.contains('\r') {
            self.blame(Fault::Return);
        }
        // A comma without its blank, where cells are parted by both.
        if sign.len() > 1 && sign.chars().next().is_some_and(|first| cell.contains(first)) {
            self.blame(Fault::Border);
        }
        self.rows.text.push_str(cell);
        at + stop
    }

    /// A cell in quotation marks, from behind the first; gives the place behind the last.
    fn inside(&mut self, from: usize, quote: char) -> Option<usize> {
        let rest = self.text.get(from..).unwrap_or_default();
        let mut signs = rest.char_indices().peekable();
        let before = self.lines;
        while let Some((at, c)) = signs.next() {
            if at > LONGEST {
                break;
            }
            if Some(c) == self.dialect.escape && self.dialect.escape != Some(quote) {
                match signs.next() {
                    Some((_, next)) => {
                        let needs = next == quote || next == c || matches!(next, '\n' | '\r') || self.parts(next);
                        if !needs {
                            self.blame(Fault::Escape);
                            self.rows.text.push(c);
                        }
                        self.lines += u64::from(next == '\n');
                        self.rows.text.push(next);
                    }
                    None => break,
                }
                continue;
            }
            if c == quote {
                let doubled = self.dialect.escape.is_none_or(|escape| escape == quote);
                if doubled && signs.peek().is_some_and(|(_, next)| *next == quote) {
                    signs.next();
                    self.rows.text.push(quote);
                    continue;
                }
                if self.lines > before {
                    self.wide = self.rows.ends.len();
                }
                return Some(from + at + quote.len_utf8());
            }
            self.lines += u64::from(c == if self.only_returns { '\r' } else { '\n' });
            self.rows.text.push(c);
        }
        self.blame(Fault::Open);
        self.close();
        None
    }

    fn parts(&self, c: char) -> bool {
        matches!(&self.dialect.parting, Parting::Sign(sign) if sign.starts_with(c))
    }

    /// One line cut at each sign, quotation marks left as they stand.
    fn literal(&mut self, from: usize, end: usize, next: usize) -> usize {
        let line = self.text.get(from..end).unwrap_or_default();
        if let Parting::Sign(sign) = &self.dialect.parting {
            for cell in line.split(sign.as_str()) {
                self.rows.text.push_str(cell);
                self.close();
            }
        }
        next
    }

    fn blanks(&mut self, from: usize, end: usize, next: usize) -> usize {
        let line = self.text.get(from..end).unwrap_or_default();
        if self.dialect.quote.is_some_and(|quote| line.contains(quote)) {
            self.blame(Fault::Stray);
        }
        for cell in line.split([' ', '\t']).filter(|cell| !cell.is_empty()) {
            self.rows.text.push_str(cell);
            self.close();
        }
        next
    }

    fn places(&mut self, from: usize, end: usize, next: usize, places: &[usize]) -> usize {
        let line: Vec<char> = self.text.get(from..end).unwrap_or_default().chars().collect();
        let mut stops = places.iter().skip(1).copied().chain([usize::MAX]);
        for &start in places {
            let stop = stops.next().unwrap_or(usize::MAX).min(line.len());
            let cell: String = line.get(start.min(stop)..stop).unwrap_or_default().iter().collect();
            // A letter right before the border and one right after it are one word.
            let before = start.checked_sub(1).and_then(|at| line.get(at)).is_some_and(|c| !c.is_whitespace());
            if before && start > 0 && line.get(start).is_some_and(|c| !c.is_whitespace()) {
                self.blame(Fault::Border);
            }
            self.rows.text.push_str(cell.trim());
            self.close();
        }
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str, escape: Option<char>) -> Vec<(u64, Vec<String>, Option<Fault>)> {
        let dialect = Dialect { parting: Parting::Sign(",".into()), quote: Some('"'), escape };
        let rows = split(text, &dialect, 1, usize::MAX, None);
        rows.rows.iter().map(|row| (row.line, rows.cells(row).map(str::to_owned).collect(), row.fault)).collect()
    }

    #[test]
    fn sound_rows() {
        let rows = cut("a,b\r\n\n\"x, \"\"y\"\"\nz\",2\n,\n", None);
        let cells = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect::<Vec<_>>();
        assert_eq!(
            rows,
            [(1, cells(&["a", "b"]), None), (3, cells(&["x, \"y\"\nz", "2"]), None), (5, cells(&["", ""]), None)]
        );
        assert_eq!(cut("\"a\\\"b\",c\\,d", Some('\\')), [(1, cells(&["a\"b", "c,d"]), None)]);
    }

    #[test]
    fn a_fault_costs_no_other_row() {
        let faults = |text: &str| cut(text, None).into_iter().map(|(line, _, fault)| (line, fault)).collect::<Vec<_>>();
        assert_eq!(faults("a,b\n1,2\"3\n4,5"), [(1, None), (2, Some(Fault::Stray)), (3, None)]);
        assert_eq!(faults("a,b\n1,\"2\"3\n4,5"), [(1, None), (2, Some(Fault::AfterQuote)), (3, None)]);
        assert_eq!(faults("a,b\n1,\"23\n4,5\n"), [(1, None), (2, Some(Fault::Open)), (3, None)]);
        assert_eq!(faults("a,b\n1,\"23\n4,\"5\"\n6,7"), [(1, None), (2, Some(Fault::Open)), (3, None), (4, None)]);
    }
}
