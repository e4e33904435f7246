//! The mapping: a YAML text that says once which column of which export is what.

mod build;
mod columns;
mod fault;
mod locate;
mod raw;
mod unanswered;
mod registers;
mod values;

use super::clock::Format;
use super::encoding::Encoding;
use super::entered::Entered;
use super::number::Marks;
use super::registers::{Field, Kind};
use super::rules;
use super::workbook::Page;
use crate::finding::{Finding, Severity};
use crate::quantity::{Quantity, Unit};
use crate::source::{Loc, SourceId};
use crate::time::Zone;

/// The largest mapping that is read, in bytes.
pub const MAX_BYTES: usize = 1 << 20;
/// The deepest nesting of brackets that is read.
const MAX_DEPTH: usize = 64;

/// The most columns in all entries together.
const MAX_COLUMNS: usize = 5_000;
/// The most bytes that aliases may stand for.
const MAX_REPEATED: usize = 16 << 20;

/// A checked mapping: every unit, zone and format in it is known.
#[derive(Debug, Clone, Default)]
pub struct Mapping {
    /// The zone of every file that names none of its own.
    pub zone: Option<Zone>,
    /// Registers of lots and their events.
    pub lots: Vec<LotsTable>,
    /// Events that the plan counts: these alone may have several times for one lot.
    pub counted: std::collections::BTreeSet<String>,
    /// Readings and checks.
    pub readings: Vec<ReadingsTable>,
    /// Laboratory results.
    pub samples: Vec<SamplesTable>,
    /// Calibrations of instruments.
    pub calibrations: Vec<CalibrationsTable>,
    /// The other registers.
    pub registers: Vec<RegistersTable>,
}

/// How files of one kind are found and read.
#[derive(Debug, Clone)]
pub struct Table {
    /// Patterns of file names.
    pub files: Vec<String>,
    /// The record that the files are.
    pub record: String,
    /// Byte between cells.
    pub delimiter: u8,
    /// How numbers are written.
    pub marks: Marks,
    /// How characters are written.
    pub encoding: Encoding,
    /// The sheet, where the files are workbooks.
    pub sheet: Option<String>,
    /// Whether a blank follows the delimiter and belongs to it.
    pub spaced: bool,
    /// Where columns are parted by their place: their widths in characters; empty for runs of blanks.
    pub widths: Option<Vec<usize>>,
    /// The quotation mark.
    pub quote: u8,
    /// The sign that takes the meaning from the next one; without it a quotation mark is written twice.
    pub escape: Option<u8>,
    /// Lines before the headings.
    pub preamble: u32,
    /// How many rows are headings; they are joined by blanks.
    pub heading_rows: u32,
    /// Words that begin a row below the table.
    pub footer: Vec<String>,
    /// The word with which the last row of a whole file begins.
    pub end_mark: Option<String>,
    /// Codes for no entry, in every column.
    pub missing: Codes,
    /// How times are written.
    pub clock: Clock,
    /// Where the entry stands in the mapping.
    pub at: Loc,
}

impl Table {
    /// How a workbook of this kind is written out.
    pub(crate) fn page(&self) -> Page<'_> {
        Page {
            sheet: self.sheet.as_deref(),
            delimiter: self.delimiter,
            decimal: self.marks.decimal,
            quote: self.quote,
            escape: self.escape,
        }
    }
}

/// How the times of a file are written.
#[derive(Debug, Clone)]
pub struct Clock {
    /// The columns that make up the time, in order; none where each event has its own.
    pub columns: Vec<String>,
    /// The format; `None` where the mapping does not say, which is reported for each file with what the file shows.
    pub format: Option<Format>,
    /// The zone of the clock.
    pub zone: Zone,
    /// Whether the hour that comes twice goes by the order of the rows.
    pub row_order: bool,
}

/// A register of lots.
#[derive(Debug, Clone)]
pub struct LotsTable {
    /// How it is read.
    pub table: Table,
    /// Column with the lot code.
    pub lot: String,
    /// Column with the load, where a lot is made of several.
    pub load: Option<String>,
    /// Column with the product.
    pub product: Option<String>,
    /// Column with the quantity, and its unit.
    pub quantity: Option<(String, Unit)>,
    /// Events and the columns of their times.
    pub events: Vec<(String, String)>,
    /// Facts about the lot and their columns.
    pub facts: Vec<(String, String)>,
    /// Column with the line.
    pub line: Option<String>,
}

/// Readings and checks of one kind of file.
#[derive(Debug, Clone)]
pub struct ReadingsTable {
    /// How it is read.
    pub table: Table,
    /// Column with the lot code.
    pub lot: Option<String>,
    /// The name of the file, with a star where the lot code stands.
    pub lot_in_name: Option<String>,
    /// Column with the instrument.
    pub instrument_column: Option<String>,
    /// Where each row holds one reading: the column that names it, and the column with its value.
    pub long: Option<(String, String)>,
    /// The place, the same for the whole file.
    pub place: Option<String>,
    /// Column with the initials.
    pub by: Option<String>,
    /// Column with the time of writing.
    pub entered: Option<Entered>,
    /// Whether each value is of a piece of its own and never joined to the next.
    pub spot: bool,
    /// The columns that are read.
    pub columns: Vec<Column>,
}

/// Laboratory results of one kind of file.
#[derive(Debug, Clone)]
pub struct SamplesTable {
    /// How it is read.
    pub table: Table,
    /// Column with the lot code.
    pub lot: String,
    /// Column with the name of the sample.
    pub sample: String,
    /// Column with the analyst.
    pub by: Option<String>,
    /// Column with the time of writing.
    pub entered: Option<Entered>,
    /// The columns that are read.
    pub columns: Vec<Column>,
}

/// Calibrations of one kind of file.
#[derive(Debug, Clone)]
pub struct CalibrationsTable {
    /// How it is read.
    pub table: Table,
    /// Column with the instrument.
    pub instrument: String,
    /// Column with what the instrument showed, and how it is written.
    pub reading: (String, Marks),
    /// Column with what it should have shown, and how it is written.
    pub reference: (String, Marks),
    /// The unit of both.
    pub unit: UnitFrom,
    /// Column with the initials.
    pub by: Option<String>,
}

/// A register of what people did, of one kind.
#[derive(Debug, Clone)]
pub struct RegistersTable {
    /// How it is read.
    pub table: Table,
    /// What it holds.
    pub kind: Kind,
    /// Its fields and their columns.
    pub fields: Vec<(&'static Field, String)>,
    /// The unit of amounts.
    pub unit: Option<Unit>,
}

/// A unit that is the same for the file, or stands in each row.
#[derive(Debug, Clone)]
pub enum UnitFrom {
    /// The same throughout.
    Fixed(Unit),
    /// In this column.
    Column(String),
}

/// One column and what it is.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its heading.
    pub heading: String,
    /// The parameter of the plan.
    pub parameter: String,
    /// The instrument of the plan.
    pub instrument: Option<String>,
    /// Serial numbers of which the heading must hold one, each with its instrument.
    pub serials: Vec<(String, String)>,
    /// The probe, where several measure one parameter.
    pub probe: Option<String>,
    /// Codes for no reading.
    pub missing: Codes,
    /// The mass of each sample that was tested, for laboratory results.
    pub mass: Option<Mass>,
    /// Numbers or words from a closed list.
    pub content: Content,
    /// Where it stands in the mapping.
    pub at: Loc,
}

/// The mass of sample that was tested.
#[derive(Debug, Clone)]
pub enum Mass {
    /// The same for every result.
    Fixed(Quantity),
    /// In this column, in this unit.
    Column(String, Unit),
}

/// What the cells of a column hold.
#[derive(Debug, Clone)]
pub enum Content {
    /// A number.
    Number {
        /// In this unit.
        unit: Unit,
        /// Written like this.
        marks: Marks,
        /// Codes for a broken probe.
        broken: Codes,
        /// Lowest and highest value that can be true.
        range: Option<(f64, f64)>,
        /// Words for *not detected* in a laboratory result.
        not_detected: Vec<String>,
    },
    /// An answer: each with the words that mean it, in lower case.
    Answer(Vec<(String, Vec<String>)>),
}

/// Codes in cells. A code that is a number stands for every way of writing that number.
#[derive(Debug, Clone, Default)]
pub struct Codes {
    pub(crate) words: Vec<String>,
    pub(crate) numbers: Vec<f64>,
}

impl Codes {
    /// Whether the cell is one of the codes as written.
    pub(crate) fn has_word(&self, cell: &[u8]) -> bool {
        self.words.iter().any(|word| word.as_bytes().eq_ignore_ascii_case(cell))
    }

    /// The cell, or nothing where it is one of the codes as written.
    pub(crate) fn unless<'c>(&self, cell: &'c [u8]) -> &'c [u8] {
        if self.has_word(cell) { b"" } else { cell }
    }

    /// Whether the number is one of the codes.
    pub(crate) fn has_number(&self, value: f64) -> bool {
        self.numbers.contains(&value)
    }
}

impl Mapping {
    /// Reads and checks a mapping. There is no mapping where there is an error, so that nothing is read by half of one.
    /// `source` is the source that the findings point into, and `text` its whole text.
    #[must_use]
    pub fn parse(text: &str, source: SourceId) -> (Option<Mapping>, Vec<Finding>) {
        let body = text.strip_prefix('\u{feff}').unwrap_or(text);
        let locator = locate::Locator::new(body, source, text.len() - body.len());
        let too_large = if body.len() > MAX_BYTES {
            Some(format!("the mapping is {} bytes long; {MAX_BYTES} are read at most", body.len()))
        } else if depth(body) > MAX_DEPTH {
            Some(format!("the brackets of the mapping are nested more than {MAX_DEPTH} deep"))
        } else if aliases(body).saturating_mul(body.len()) > MAX_REPEATED {
            Some("the mapping repeats parts of itself by `*` too often for its size".to_owned())
        } else {
            None
        };
        if let Some(message) = too_large {
            return (None, vec![Finding::at(&rules::MAPPING_SIZE, locator.loc(0, 0), message)]);
        }
        let questions = unanswered::questions(body, &locator);
        if !questions.is_empty() {
            return (None, questions);
        }
        let raw: raw::Mapping = match serde_yaml::from_str(body) {
            Ok(raw) => raw,
            Err(error) => return (None, vec![fault::of(&error, body, &locator)]),
        };
        let columns: usize = raw.readings.iter().map(|group| group.columns.0.len()).sum();
        let columns = columns + raw.samples.iter().map(|group| group.columns.0.len()).sum::<usize>();
        if columns > MAX_COLUMNS {
            let message = format!("the mapping names {columns} columns; {MAX_COLUMNS} are read at most");
            return (None, vec![Finding::at(&rules::MAPPING_SIZE, locator.loc(0, 0), message)]);
        }
        let mut builder = build::Builder::new(&locator);
        let mapping = builder.mapping(raw);
        let findings = builder.findings;
        let sound = findings.iter().all(|finding| finding.rule.severity < Severity::Error);
        (sound.then_some(mapping), findings)
    }
}

/// How many words begin with the mark that repeats an earlier part.
fn aliases(text: &str) -> usize {
    let starts =
        |pair: &[u8]| matches!(pair, [before, b'*'] if before.is_ascii_whitespace() || b"[{,:-".contains(before));
    text.as_bytes().windows(2).filter(|pair| starts(pair)).count()
}

fn depth(text: &str) -> usize {
    let mut depth = 0_usize;
    let mut deepest = 0;
    for byte in text.bytes() {
        match byte {
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth = depth.saturating_sub(1),
            _ => {}
        }
        deepest = deepest.max(depth);
    }
    deepest
}
