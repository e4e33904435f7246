//! A file taken at its beginning, and the rest of it a stretch of whole lines at a time.
//!
//! Text that can be cut at the ends of its lines is never held whole. What must be seen whole (packed files, workbooks,
//! columns by place) is read whole.

use super::delimited::Sheet;
use super::encoding::{self, Encoding, cell, content};
use super::intake::{Intake, not_ended};
use super::mapping::Table;
use super::parallel::Manner;
use super::plain::{LONGEST_LINE, too_long};
use super::taking::Taking;
use super::{Files, packed, rules, workbook};
use crate::finding::Finding;
use crate::source::Place;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::io::Read;

/// More than any line may hold.
const LONGEST: u64 = LONGEST_LINE as u64 + 1;

/// The beginning of a file as text, or all of it.
pub(crate) struct Head {
    pub text: String,
    /// Whether it is taken at once, since the stretches of it hang together.
    pub at_once: bool,
}

/// A file that is being read.
pub(crate) struct Opened<'f> {
    files: &'f dyn Files,
    name: &'f str,
    table: &'f Table,
    block: usize,
    at_once: bool,
    reader: Option<Box<dyn Read + 'f>>,
    /// What was read and not handed on: the beginning of a line.
    carry: Vec<u8>,
    hash: Sha256,
    bytes: u64,
    line: u64,
}

impl<'f> Opened<'f> {
    fn new(files: &'f dyn Files, name: &'f str, table: &'f Table, block: usize, at_once: bool) -> Self {
        Opened {
            files,
            name,
            table,
            block: block.max(1),
            at_once,
            reader: None,
            carry: Vec::new(),
            hash: Sha256::new(),
            bytes: 0,
            line: 1,
        }
    }

    /// Whether there is more of it than the head.
    pub fn is_streamed(&self) -> bool {
        self.reader.is_some()
    }

    /// The beginning of the file, or all of it where it is short or must be seen whole.
    pub fn head(&mut self) -> Result<Head, Box<Finding>> {
        let mut reader = self.files.open(self.name).map_err(|why| self.unreadable(&why))?;
        let mut bytes = Vec::new();
        let most = if self.at_once { u64::MAX } else { self.block as u64 };
        self.fill(&mut reader, most.min(LONGEST), &mut bytes)?;
        self.one_line(&bytes)?;
        self.fill(&mut reader, most, &mut bytes)?;
        self.hash.update(&bytes);
        self.bytes = bytes.len() as u64;
        let more = bytes.len() as u64 == most;
        let cut = memchr::memrchr(b'\n', &bytes).filter(|_| more && self.can_be_cut(&bytes));
        if let Some(cut) = cut {
            let text = encoding::text_of(self.name, bytes.get(..=cut).unwrap_or_default(), self.table.encoding);
            if let Ok(text) = text {
                self.carry = bytes.get(cut + 1..).unwrap_or_default().to_vec();
                self.line = 1 + super::encoding::lines_in(bytes.get(..=cut).unwrap_or_default());
                self.reader = Some(reader);
                return Ok(Head { text: text.into_owned(), at_once: false });
            }
        }
        let from = bytes.len();
        self.fill(&mut reader, LONGEST, &mut bytes)?;
        self.one_line(&bytes)?;
        self.fill(&mut reader, u64::MAX, &mut bytes)?;
        self.hash.update(bytes.get(from..).unwrap_or_default());
        self.bytes = bytes.len() as u64;
        let text = content(self.name, &bytes, self.table.encoding, self.table.page())?.into_owned();
        Ok(Head { text, at_once: self.at_once })
    }

    /// Reads on until there are so many bytes, or the file ends.
    fn fill(&self, reader: &mut dyn Read, most: u64, bytes: &mut Vec<u8>) -> Result<(), Box<Finding>> {
        let read = reader.take(most.saturating_sub(bytes.len() as u64)).read_to_end(bytes);
        read.map(|_| ()).map_err(|error| self.unreadable(&error.to_string().to_lowercase()))
    }

    /// A finding where the file has no end of a line in more than any line may hold.
    fn one_line(&self, bytes: &[u8]) -> Result<(), Box<Finding>> {
        let text = matches!(self.table.encoding, Encoding::Utf8 | Encoding::Windows1252)
            && !(packed::is_packed(bytes) || workbook::is_workbook(bytes));
        match bytes.get(..=LONGEST_LINE) {
            Some(start) if text && memchr::memchr2(b'\n', b'\r', start).is_none() => Err(too_long(self.name, 1)),
            _ => Ok(()),
        }
    }

    /// Whether the file is text of which every line stands by itself.
    fn can_be_cut(&self, bytes: &[u8]) -> bool {
        let table = self.table;
        let marked = matches!(bytes, [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..]);
        matches!(table.encoding, Encoding::Utf8 | Encoding::Windows1252)
            && table.widths.is_none()
            && !table.spaced
            && table.end_mark.is_none()
            && table.clock.format.is_some()
            && !(marked || packed::is_packed(bytes) || workbook::is_workbook(bytes))
    }

    /// The next stretch of whole lines, in a buffer that is used again.
    pub fn next(&mut self, mut buffer: Vec<u8>) -> Result<Option<Vec<u8>>, Box<Finding>> {
        if self.reader.is_none() {
            return Ok(None);
        }
        buffer.clear();
        buffer.append(&mut self.carry);
        loop {
            let from = buffer.len();
            let Some(reader) = &mut self.reader else { return Ok(None) };
            let wanted = self.block as u64;
            buffer.reserve_exact(self.block.min(LONGEST_LINE));
            let read = reader.by_ref().take(wanted).read_to_end(&mut buffer);
            let read = read.map_err(|error| self.unreadable(&error.to_string().to_lowercase()))?;
            let new = buffer.get(from..).unwrap_or_default();
            self.hash.update(new);
            self.bytes += read as u64;
            if (read as u64) < wanted {
                self.reader = None;
                return Ok((!buffer.is_empty()).then_some(buffer));
            }
            if let Some(end) = memchr::memrchr(b'\n', new) {
                let end = from + end + 1;
                self.carry.extend_from_slice(buffer.get(end..).unwrap_or_default());
                buffer.truncate(end);
                self.line += super::encoding::lines_in(&buffer);
                return Ok(Some(buffer));
            }
            if buffer.len() > LONGEST_LINE {
                return Err(too_long(self.name, self.line));
            }
        }
    }

    /// Reads what is left, for the digest alone.
    fn rest(&mut self) {
        let mut buffer = vec![0; 1 << 16];
        while let Some(reader) = &mut self.reader {
            match reader.read(&mut buffer) {
                Ok(0) | Err(_) => self.reader = None,
                Ok(read) => {
                    self.hash.update(buffer.get(..read).unwrap_or_default());
                    self.bytes += read as u64;
                }
            }
        }
    }

    fn unreadable(&self, why: &str) -> Box<Finding> {
        let message = format!("`{}` cannot be read: {why}", self.name);
        Box::new(Finding::new(&rules::FILE_UNREADABLE, Place::file(self.name), message))
    }

    /// What is said of a file once its rows are taken.
    pub fn ended(&self, sheet: &Sheet<'_>, text: &str, taking: &Taking, findings: &mut Vec<Finding>) {
        if let Some(mark) = &self.table.end_mark {
            findings.extend(not_ended(self.name, text, mark));
        }
        if taking.read.rows == 0 {
            let place = cell(self.name, sheet.heading_row, None);
            let message = format!("`{}` has headings and no rows", self.name);
            let help = "if there was nothing to write down, this is as it should be; else export it again";
            findings.push(Finding::new(&rules::NO_ROWS, place, message).help(help));
        }
    }
}

/// Takes the rows of one open file; false where they hang together and it is to be taken at once.
pub(crate) type Take<'t> =
    dyn FnMut(&mut Opened<'_>, &mut Taking, &mut Vec<Finding>) -> Result<bool, Box<Finding>> + 't;

impl Intake<'_> {
    /// Opens every file of a table in turn and hands it on, a stretch at a time.
    pub fn each_opened(&mut self, table: &Table, manner: Manner, take: &mut Take<'_>) {
        for name in self.names(table) {
            self.opened(table, &name, manner, take);
        }
    }

    fn opened(&mut self, table: &Table, name: &str, manner: Manner, take: &mut Take<'_>) {
        let Some(file) = self.number(name) else { return };
        let files = self.files;
        let stamp = files.stamp(name);
        let mut at_once = false;
        let (mut opened, mut taking, mut findings, outcome) = loop {
            let mut opened = Opened::new(files, name, table, manner.block, at_once);
            let mut taking = Taking::new(file, name, &table.record);
            let mut findings = Vec::new();
            let outcome = take(&mut opened, &mut taking, &mut findings);
            if at_once || !matches!(outcome, Ok(false)) {
                break (opened, taking, findings, outcome);
            }
            at_once = true;
        };
        if let Err(finding) = outcome {
            if std::ptr::eq(finding.rule, &raw const rules::FILE_UNREADABLE) {
                self.findings.push(*finding);
                return;
            }
            findings.push(*finding);
        }
        opened.rest();
        taking.read.bytes = opened.bytes;
        taking.read.sha256 = hexadecimal(&opened.hash.finalize());
        if files.stamp(name) != stamp {
            let message = format!("`{name}` changed while it was read");
            let help = "let the export end, and verify again";
            findings.push(Finding::new(&rules::FILE_CHANGED, Place::file(name), message).help(help));
        }
        self.findings.append(&mut findings);
        self.twice(table, name, &taking);
        self.taken(taking);
    }
}

/// Bytes in hexadecimal digits.
pub(super) fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(64), |mut text, byte| {
        // Writing to a text cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}
