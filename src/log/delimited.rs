//! Delimited text: headings and rows, each row with its line number in the file.

use super::encoding::{cell, lines_in};
use super::rules;
use crate::finding::{Finding, nearest};
use std::borrow::Cow;

/// A file as headings over rows.
pub(crate) struct Sheet<'a> {
    pub name: &'a str,
    pub headings: Vec<String>,
    pub heading_row: u64,
    body: Cow<'a, [u8]>,
    first_row: u64,
    delimiter: u8,
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
}

impl<'a> Sheet<'a> {
    /// Finds the headings, below the lines that the mapping says stand before them.
    pub fn open(name: &'a str, text: &'a str, preamble: u32, delimiter: u8) -> Result<Self, Box<Finding>> {
        let mut body = Cow::Borrowed(text.as_bytes());
        if !text.contains('\n') && text.contains('\r') {
            body = Cow::Owned(text.bytes().map(|byte| if byte == b'\r' { b'\n' } else { byte }).collect());
        }
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
            body: match body {
                Cow::Borrowed(bytes) => Cow::Borrowed(bytes.get(start..).unwrap_or_default()),
                Cow::Owned(bytes) => Cow::Owned(bytes.get(start..).unwrap_or_default().to_vec()),
            },
            first_row: u64::from(preamble) + 1,
            delimiter,
        };
        let mut rows = sheet.all_rows();
        let found = rows.next().map(|(row, kind)| {
            let headings: Vec<String> =
                rows.cells().map(|cell| String::from_utf8_lossy(trim(cell)).into_owned()).collect();
            (row, kind, headings)
        });
        match found {
            Some((row, Kind::Quote(to), _)) => Err(Box::new(quote_open(name, row, to))),
            Some((row, _, headings)) => {
                sheet.heading_row = row;
                sheet.headings = headings;
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

    /// The rows below the headings.
    pub fn rows(&self) -> Rows<'_> {
        let mut rows = self.all_rows();
        rows.next();
        rows.heading = Some(rows.record.clone());
        rows
    }

    fn all_rows(&self) -> Rows<'_> {
        let reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.delimiter)
            .buffer_capacity(1 << 16)
            .from_reader(&*self.body);
        Rows {
            reader,
            record: csv::ByteRecord::new(),
            body: &self.body,
            first_row: self.first_row,
            delimiter: self.delimiter,
            heading: None,
            skipped: 0,
        }
    }

    /// Where a heading stands, or a finding that lists the headings.
    pub fn column(&self, heading: &str) -> Result<usize, Box<Finding>> {
        let wanted = heading.trim();
        let mut found = self.headings.iter().enumerate().filter(|(_, name)| *name == wanted);
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
    delimiter: u8,
    heading: Option<csv::ByteRecord>,
    /// Lines with nothing on them, so far.
    pub skipped: u64,
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
        if raw.contains(&b'"') {
            let within = lines_in(raw.strip_suffix(b"\n").unwrap_or(raw));
            if (within > 0 || end >= self.body.len() as u64) && self.swallows(raw) {
                return Some((row, Kind::Quote(row + within)));
            }
        }
        let width = self.heading.as_ref().map(csv::ByteRecord::len);
        let kind = if self.record.iter().all(|cell| trim(cell).is_empty()) {
            Kind::Blank
        } else if width.is_some_and(|width| width != self.record.len()) {
            Kind::Width(self.record.len())
        } else if self.heading.as_ref().is_some_and(|heading| heading.iter().eq(self.record.iter())) {
            Kind::Heading
        } else {
            Kind::Full
        };
        Some((row, kind))
    }

    /// Whether a quotation mark in this row was left open, or was closed only after what looks like further rows.
    fn swallows(&self, raw: &[u8]) -> bool {
        let quoted = self.record.iter().any(|cell| cell.contains(&b'\n'));
        let marks = raw.iter().filter(|&&byte| byte == b'"').count();
        let open = marks % 2 == 1 && (quoted || raw.split(|&byte| byte == self.delimiter).any(opens));
        let width = self.heading.as_ref().map_or(self.record.len(), csv::ByteRecord::len).max(2);
        let rows_inside = self.record.iter().any(|cell| {
            cell.split(|&byte| byte == b'\n')
                .skip(1)
                .any(|line| line.iter().filter(|&&byte| byte == self.delimiter).count() + 1 >= width)
        });
        open || (quoted && rows_inside)
    }

    /// One cell without white space around it; nothing beyond the last.
    #[inline]
    pub fn cell(&self, at: usize) -> &[u8] {
        self.record.get(at).map_or(b"", trim)
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

fn opens(cell: &[u8]) -> bool {
    cell.first() == Some(&b'"') && !cell.trim_ascii_end().ends_with(b"\"")
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
