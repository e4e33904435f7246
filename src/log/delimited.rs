//! Delimited text: headings and rows, each row with its line number in the file.

use super::encoding::{cell, lines_in};
use super::mapping::Table;
use super::plain::split::{Dialect, Parting, split};
use super::plain::too_wide;
use super::rules;
use crate::finding::{Finding, nearest};
use std::borrow::Cow;

/// A file as headings over rows.
pub(crate) struct Sheet<'a> {
    pub name: &'a str,
    pub headings: Vec<String>,
    pub heading_row: u64,
    /// The cells of the heading row as they stand.
    heading: csv::ByteRecord,
    body: Cow<'a, [u8]>,
    first_row: u64,
    pub table: &'a Table,
}

/// The cells of one row.
pub(crate) trait Cells {
    /// One cell without white space around it; nothing beyond the last.
    fn cell(&self, at: usize) -> &[u8];
}

/// What kind of row was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// As many cells as headings.
    Full,
    /// Every cell blank.
    Blank,
    /// The headings once more.
    Heading,
    /// Another number of cells.
    Width(usize),
    /// A quotation mark swallowed rows up to this one.
    Quote(u64),
    /// Below the table, by a word that the mapping declares.
    Footer,
}

impl<'a> Sheet<'a> {
    /// Finds the headings, below the lines that the mapping says stand before them.
    pub fn open(name: &'a str, text: &'a str, table: &'a Table) -> Result<Self, Box<Finding>> {
        let mut body = Cow::Borrowed(text.as_bytes());
        if !text.contains('\n') && text.contains('\r') {
            body = Cow::Owned(text.bytes().map(|byte| if byte == b'\r' { b'\n' } else { byte }).collect());
        }
        if let Some(widths) = &table.widths {
            body = Cow::Owned(cut(&String::from_utf8_lossy(&body), widths).into_bytes());
        }
        if table.spaced {
            body = Cow::Owned(joined(&String::from_utf8_lossy(&body), table).into_bytes());
        }
        let preamble = table.preamble;
        let mut start = 0;
        for _ in 0..preamble {
            match body.get(start..).and_then(|rest| rest.iter().position(|&byte| byte == b'\n')) {
                Some(at) => start += at + 1,
                None => start = body.len(),
            }
        }
        let mut sheet = Sheet {
            name,
            headings: Vec::new(),
            heading_row: 0,
            heading: csv::ByteRecord::new(),
            body: match body {
                Cow::Borrowed(bytes) => Cow::Borrowed(bytes.get(start..).unwrap_or_default()),
                Cow::Owned(bytes) => Cow::Owned(bytes.get(start..).unwrap_or_default().to_vec()),
            },
            first_row: u64::from(preamble) + 1,
            table,
        };
        let mut rows = sheet.all_rows();
        let found = rows.next().map(|(row, kind)| {
            if table.heading_rows == 0 {
                let headings = vec![String::new(); rows.cells().count()];
                let heading = headings.iter().map(String::as_bytes).collect();
                return (row.saturating_sub(1), kind, headings, heading);
            }
            let first = rows.record.clone();
            let mut headings: Vec<String> = rows.cells().map(heading).collect();
            // Further rows of headings are joined to the first, column by column.
            for _ in 1..table.heading_rows {
                if rows.next().is_none() {
                    break;
                }
                for (whole, part) in headings.iter_mut().zip(rows.cells().map(heading)) {
                    if !part.is_empty() && *whole != part {
                        *whole = if whole.is_empty() { part } else { format!("{whole} {part}") };
                    }
                }
            }
            (row, kind, headings, first)
        });
        match found {
            Some((row, Kind::Quote(to), ..)) => Err(Box::new(quote_open(name, row, to))),
            Some((row, _, headings, heading)) => {
                too_wide(name, row, headings.len())?;
                sheet.heading_row = row;
                sheet.headings = headings;
                sheet.heading = heading;
                Ok(sheet)
            }
            None => Err(Box::new(
                Finding::new(
                    &rules::FILE_EMPTY,
                    cell(name, sheet.first_row, None),
                    format!("`{name}` ends before its heading line"),
                )
                .help("check `preamble`, the number of lines before the headings"),
            )),
        }
    }

    /// What stands below the headings, the line it begins on, and how many empty lines stand among the headings.
    pub fn below(&self) -> (&[u8], u64, u64) {
        let rows = self.rows();
        let (mut at, mut line) = match self.table.heading_rows {
            0 => (0, 1),
            _ => (usize::try_from(rows.reader.position().byte()).unwrap_or(usize::MAX), rows.reader.position().line()),
        };
        // The reader may stand between the two signs that end a line.
        if at > 0 && self.body.get(at - 1) == Some(&b'\r') && self.body.get(at) == Some(&b'\n') {
            (at, line) = (at + 1, line + 1);
        }
        (self.body.get(at..).unwrap_or_default(), line + self.first_row - 1, rows.skipped)
    }

    /// The rows of a stretch of the file that begins with a row.
    pub fn rows_of<'s>(&'s self, body: &'s [u8], first_row: u64) -> Rows<'s> {
        let mut rows = self.rows_in(body, first_row);
        rows.heading = Some(self.heading.clone());
        rows
    }

    /// What kind of row some cells are that no quotation mark touches.
    pub fn kind<'c>(&self, cells: impl Iterator<Item = &'c [u8]> + Clone) -> Kind {
        kind(self.table, Some(&self.heading), cells)
    }

    /// How many cells the headings have.
    pub fn width(&self) -> usize {
        self.heading.len()
    }

    /// The heading row as a line without quotation marks would have it.
    pub fn plain_heading(&self) -> Vec<u8> {
        self.heading.iter().collect::<Vec<_>>().join(&self.table.delimiter)
    }

    /// Whether some word stands below the table.
    pub fn is_footed(&self) -> bool {
        !self.table.footer.is_empty() || self.table.end_mark.is_some()
    }

    /// The rows below the headings.
    pub fn rows(&self) -> Rows<'_> {
        let mut rows = self.all_rows();
        rows.next();
        if self.table.heading_rows == 0 {
            return self.rows_of(&self.body, self.first_row);
        }
        rows.heading = Some(self.heading.clone());
        for _ in 1..self.table.heading_rows {
            rows.next();
        }
        rows
    }

    fn all_rows(&self) -> Rows<'_> {
        self.rows_in(&self.body, self.first_row)
    }

    fn rows_in<'s>(&'s self, body: &'s [u8], first_row: u64) -> Rows<'s> {
        let reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.table.delimiter)
            .quote(self.table.quote)
            .escape(self.table.escape)
            .double_quote(self.table.escape.is_none())
            .buffer_capacity(1 << 16)
            .from_reader(body);
        Rows {
            reader,
            record: csv::ByteRecord::new(),
            body,
            first_row,
            table: self.table,
            heading: None,
            skipped: 0,
            crossed: false,
            end: 0,
        }
    }

    /// Where a heading stands, or a finding that lists the headings.
    pub fn column(&self, heading: &str) -> Result<usize, Box<Finding>> {
        let wanted = heading.trim();
        // A heading as it stands; else its place, as `#3`; else a pattern with stars.
        let place = wanted.strip_prefix('#').and_then(|place| place.parse::<usize>().ok());
        let exact = self.headings.iter().any(|name| name == wanted);
        if let (Some(place), false) = (place, exact)
            && (1..=self.headings.len()).contains(&place)
        {
            return Ok(place - 1);
        }
        let fits = |name: &str| if exact { name == wanted } else { wanted.contains('*') && starred(wanted, name) };
        let mut found = self.headings.iter().enumerate().filter(|(_, name)| fits(name));
        let place = || cell(self.name, self.heading_row, Some(heading));
        match (found.next(), found.next()) {
            (Some((at, _)), None) => Ok(at),
            (Some((a, _)), Some((b, _))) => {
                let message =
                    format!("heading `{heading}` stands over columns {} and {} of `{}`", a + 1, b + 1, self.name);
                Err(Box::new(
                    Finding::new(&rules::HEADING_TWICE, place(), message)
                        .help("give the two columns different headings in the export"),
                ))
            }
            _ => {
                let message = format!("`{}` has no column `{heading}`", self.name);
                let list: Vec<String> =
                    self.headings.iter().filter(|name| !name.is_empty()).map(|name| format!("`{name}`")).collect();
                let near = nearest(wanted, self.headings.iter().map(String::as_str));
                let near = near.map_or(String::new(), |near| format!("did you mean `{near}`? "));
                let help = format!("{near}the headings in row {} are {}", self.heading_row, list.join(", "));
                Err(Box::new(Finding::new(&rules::COLUMN_MISSING, place(), message).help(help)))
            }
        }
    }
}

/// Whether a text fits a pattern in which each star stands for anything.
pub(crate) fn starred(pattern: &str, text: &str) -> bool {
    let mut parts = pattern.split('*');
    let Some(mut rest) = parts.next().and_then(|first| text.strip_prefix(first)) else { return false };
    let mut parts: Vec<&str> = parts.collect();
    let Some(last) = parts.pop() else { return rest.is_empty() };
    for part in parts {
        match rest.find(part) {
            Some(at) => rest = rest.get(at + part.len()..).unwrap_or_default(),
            None => return false,
        }
    }
    rest.ends_with(last)
}

/// A heading as text.
fn heading(cell: &[u8]) -> String {
    String::from_utf8_lossy(trim(cell)).into_owned()
}

/// The same rows on the same lines, with the sign between cells alone where a blank followed it.
fn joined(text: &str, table: &Table) -> String {
    let sign = char::from(table.delimiter);
    let (quote, escape) = (char::from(table.quote), table.escape.map(char::from));
    let dialect = Dialect { parting: Parting::Sign(format!("{sign} ")), quote: Some(quote), escape };
    let rows = split(text, &dialect, 1, usize::MAX, None);
    let mut out = String::with_capacity(text.len());
    let mut line = 1;
    for row in &rows.rows {
        while line < row.line {
            out.push('\n');
            line += 1;
        }
        if row.fault.is_some() {
            out.push_str(row.raw(text));
        } else {
            let cells = rows.cells(row).map(|cell| {
                let doubled = escape.map_or(format!("{quote}{quote}"), |escape| format!("{escape}{quote}"));
                let inner = escape.map_or(cell.to_owned(), |escape| cell.replace(escape, &format!("{escape}{escape}")));
                if cell.contains([sign, quote, '\n', '\r']) {
                    format!("{quote}{}{quote}", inner.replace(quote, &doubled))
                } else {
                    inner
                }
            });
            out.push_str(&cells.collect::<Vec<_>>().join(&sign.to_string()));
        }
        out.push('\n');
        line = row.last + 1;
    }
    out
}

/// Lines with columns by place, cut at a sign that no text holds; a line with a word over a border stays whole.
fn cut(text: &str, widths: &[usize]) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let bare = line.trim_end_matches(['\n', '\r']);
        if widths.is_empty() {
            let cells: Vec<&str> = bare.split([' ', '\t']).filter(|cell| !cell.is_empty()).collect();
            out.push_str(&cells.join("\u{1f}"));
        } else {
            let signs: Vec<char> = bare.chars().collect();
            let (mut at, mut cells, mut whole) = (0, Vec::new(), true);
            for width in widths {
                let end = (at + width).min(signs.len());
                let cell: String = signs.get(at.min(end)..end).unwrap_or_default().iter().collect();
                let solid = |at: usize| signs.get(at).is_some_and(|c| !c.is_whitespace());
                whole &= !(at > 0 && solid(at - 1) && solid(at));
                cells.push(cell.trim().to_owned());
                at += width;
            }
            let rest = signs.get(at..).unwrap_or_default().iter().any(|c| !c.is_whitespace());
            if bare.trim().is_empty() {
                // An empty line stays one.
            } else if whole && !rest {
                out.push_str(&cells.join("\u{1f}"));
            } else {
                out.push_str(bare);
            }
        }
        if line.ends_with('\n') {
            out.push('\n');
        }
    }
    out
}

/// The finding for a quotation mark that swallows rows.
pub(crate) fn quote_open(name: &str, row: u64, to: u64) -> Finding {
    let message = format!("a quotation mark opens in row {row} and swallows the rows up to {to}; none of them is used");
    Finding::new(&rules::QUOTE_OPEN, cell(name, row, None), message)
        .help("close or remove the quotation mark, or export the file again")
}

/// Walks the rows of a sheet.
pub(crate) struct Rows<'s> {
    reader: csv::Reader<&'s [u8]>,
    record: csv::ByteRecord,
    body: &'s [u8],
    first_row: u64,
    table: &'s Table,
    heading: Option<csv::ByteRecord>,
    /// Lines with nothing on them, so far.
    pub skipped: u64,
    /// Whether some row went on in a further line, or would where more followed.
    pub crossed: bool,
    /// Where the last row ended.
    end: u64,
}

impl Rows<'_> {
    /// The next row: its line number and kind.
    pub fn next(&mut self) -> Option<(u64, Kind)> {
        // Reading from memory by bytes cannot fail; a failure would end the rows.
        if !self.reader.read_byte_record(&mut self.record).unwrap_or(false) {
            return None;
        }
        let (start, mut line) = self.record.position().map_or((0, 1), |at| (at.byte(), at.line()));
        let end = self.reader.position().byte();
        self.end = end;
        let mut raw = slice(self.body, start, end);
        // Empty lines before a record are passed over by the reader, and so is the second half of a CRLF.
        let mut after_return = start > 0 && slice(self.body, start - 1, start) == b"\r";
        while let Some((&byte @ (b'\n' | b'\r'), rest)) = raw.split_first() {
            if byte == b'\n' {
                line += 1;
                self.skipped += u64::from(!after_return);
            }
            after_return = false;
            raw = rest;
        }
        let row = line + self.first_row - 1;
        if raw.contains(&self.table.quote) {
            let within = lines_in(raw.strip_suffix(b"\n").unwrap_or(raw));
            self.crossed |= within > 0 || self.record.iter().any(|cell| cell.contains(&b'\n'));
            if (within > 0 || end >= self.body.len() as u64) && self.swallows(raw) {
                return Some((row, Kind::Quote(row + within)));
            }
        }
        Some((row, kind(self.table, self.heading.as_ref(), self.record.iter())))
    }

    /// Whether a quotation mark in this row was left open, or was closed only after what looks like further rows.
    fn swallows(&self, raw: &[u8]) -> bool {
        let quoted = self.record.iter().any(|cell| cell.contains(&b'\n'));
        let marks = raw.iter().filter(|&&byte| byte == self.table.quote).count();
        let open = marks % 2 == 1
            && (quoted || raw.split(|&byte| byte == self.table.delimiter).any(|cell| opens(cell, self.table.quote)));
        let width = self.heading.as_ref().map_or(self.record.len(), csv::ByteRecord::len).max(2);
        let rows_inside = self.record.iter().any(|cell| {
            cell.split(|&byte| byte == b'\n')
                .skip(1)
                .any(|line| line.iter().filter(|&&byte| byte == self.table.delimiter).count() + 1 >= width)
        });
        open || (quoted && rows_inside)
    }

    /// How many empty lines stand behind the last row.
    pub fn trailing(&self) -> u64 {
        let rest = slice(self.body, self.end, self.body.len() as u64);
        let halved = self.end > 0 && slice(self.body, self.end - 1, self.end) == b"\r" && rest.starts_with(b"\n");
        lines_in(rest) - u64::from(halved)
    }

    /// The cells of the row.
    pub fn cells(&self) -> impl Iterator<Item = &[u8]> {
        self.record.iter()
    }

    /// How many cells the headings have.
    pub fn width(&self) -> usize {
        self.heading.as_ref().map_or(0, csv::ByteRecord::len)
    }
}

impl Cells for Rows<'_> {
    #[inline]
    fn cell(&self, at: usize) -> &[u8] {
        self.record.get(at).map_or(b"", trim)
    }
}

/// What kind of row some cells are.
fn kind<'c>(table: &Table, heading: Option<&csv::ByteRecord>, cells: impl Iterator<Item = &'c [u8]> + Clone) -> Kind {
    let width = cells.clone().count();
    if cells.clone().all(|cell| trim(cell).is_empty()) {
        Kind::Blank
    } else if below(table, cells.clone()) {
        Kind::Footer
    } else if heading.is_some_and(|heading| heading.len() != width) {
        Kind::Width(width)
    } else if heading.is_some_and(|heading| heading.iter().eq(cells)) {
        Kind::Heading
    } else {
        Kind::Full
    }
}

/// Whether the row begins with a word that stands below the table.
fn below<'c>(table: &Table, cells: impl Iterator<Item = &'c [u8]>) -> bool {
    let words = || table.footer.iter().chain(&table.end_mark);
    if words().next().is_none() {
        return false;
    }
    let first = cells.map(trim).find(|cell| !cell.is_empty()).unwrap_or_default();
    words().any(|word| first.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word.as_bytes())))
}

fn opens(cell: &[u8], quote: u8) -> bool {
    cell.first() == Some(&quote) && !cell.trim_ascii_end().ends_with(&[quote])
}

fn slice(body: &[u8], start: u64, end: u64) -> &[u8] {
    let range = usize::try_from(start).unwrap_or(usize::MAX)..usize::try_from(end).unwrap_or(usize::MAX);
    body.get(range).unwrap_or_default()
}

/// A cell without the white space around it, the space that does not break included.
#[inline]
pub(crate) fn trim(cell: &[u8]) -> &[u8] {
    let mut cell = cell.trim_ascii();
    while let Some(rest) = cell.strip_prefix(b"\xC2\xA0") {
        cell = rest.trim_ascii_start();
    }
    while let Some(rest) = cell.strip_suffix(b"\xC2\xA0") {
        cell = rest.trim_ascii_end();
    }
    cell
}

/// A cell as text.
pub(crate) fn text(cell: &[u8]) -> Cow<'_, str> {
    String::from_utf8_lossy(cell)
}
