//! Files → typed series and findings.
//!
//! A [`Mapping`] says which column of which export is what; [`read`] takes the files one at a time and gives
//! [`Records`]. Nothing is guessed: what is not declared is refused or reported with file, row and column,
//! and what cannot be read is never evidence. This layer knows no plan, opens no file and reads no clock.

mod calibrations;
mod checks;
mod clock;
mod delimited;
mod encoding;
mod entered;
mod index;
mod intake;
mod lines;
mod lots;
mod mapping;
mod number;
mod packed;
mod parallel;
mod place;
pub mod plain;
mod readings;
mod registers;
mod rules;
mod samples;
mod series;
mod stream;
mod taking;
mod tally;
mod trace;
mod workbook;

pub use calibrations::Calibration;
pub use checks::Check;
pub use clock::Format;
pub use encoding::{Encoding, text_of};
pub use entered::{Entered, Written};
pub use lots::{Event, Lot, SHIPPED};
pub use mapping::{
    CalibrationsTable, Clock, Codes, Column, Content, LotsTable, MAX_BYTES, Mapping, ReadingsTable, RegistersTable,
    SamplesTable, Table, UnitFrom,
};
pub use number::Marks;
pub use parallel::Manner;
pub(crate) use parallel::each_of;
pub use registers::{Field, Holds, Kind as RegisterKind, RegisterRow};
pub use rules::RULES;
pub use samples::{Outcome, Sample};
pub use series::{Channel, Entry, EntryKind, MISSING_KEPT, Missing};

use crate::finding::{Finding, tidy};
use crate::time::Instant;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
use std::sync::Arc;

/// Where files come from. The command line gives folders; tests give [`Memory`].
pub trait Files {
    /// Names of the files that fit a pattern.
    ///
    /// # Errors
    /// A reason in words if the place cannot be searched.
    fn matching(&self, pattern: &str) -> Result<Vec<String>, String>;

    /// The bytes of one file.
    ///
    /// # Errors
    /// A reason in words if it cannot be read.
    fn bytes(&self, name: &str) -> Result<Vec<u8>, String>;

    /// One file, to be read from its beginning.
    ///
    /// # Errors
    /// A reason in words if it cannot be opened.
    fn open(&self, name: &str) -> Result<Box<dyn Read + '_>, String> {
        Ok(Box::new(std::io::Cursor::new(self.bytes(name)?)))
    }

    /// What is different once the file has changed: its length, and when it was last written in nanoseconds since 1970.
    /// None where nobody knows.
    fn stamp(&self, _name: &str) -> Option<(u64, i128)> {
        None
    }
}

/// Files held in memory by name.
#[derive(Debug, Clone, Default)]
pub struct Memory(pub BTreeMap<String, Vec<u8>>);

impl Memory {
    /// Adds a file.
    #[must_use]
    pub fn with(mut self, name: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        self.0.insert(name.into(), bytes.into());
        self
    }
}

impl Files for Memory {
    fn matching(&self, pattern: &str) -> Result<Vec<String>, String> {
        let pattern = glob::Pattern::new(pattern).map_err(|error| error.msg.to_owned())?;
        Ok(self.0.keys().filter(|name| pattern.matches(name)).cloned().collect())
    }

    fn bytes(&self, name: &str) -> Result<Vec<u8>, String> {
        self.0.get(name).cloned().ok_or_else(|| "no such file".to_owned())
    }
}

/// What one file was and how its rows were taken. The classes of rows add up to `rows`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FileRead {
    /// Name as the findings print it.
    pub name: String,
    /// The record of the plan that it is.
    pub record: String,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
    /// Its length in bytes.
    pub bytes: u64,
    /// Rows below the headings, empty lines included.
    pub rows: u64,
    /// Rows that gave at least one reading, check, result or event, or a broken one.
    pub used_rows: u64,
    /// Rows with a time and no value in any mapped column, such as the event rows of a logger.
    pub event_rows: u64,
    /// Rows whose every cell is blank.
    pub blank_rows: u64,
    /// Rows that repeat the headings.
    pub heading_rows: u64,
    /// Rows below the table, by a word that the mapping declares.
    pub footer_rows: u64,
    /// Rows with values that have no certain instant.
    pub unplaced_rows: u64,
    /// Rows that could not be used: another number of cells, an open quotation mark, no lot.
    pub bad_rows: u64,
    /// Mapped cells that were blank or held a code for no reading.
    pub missing_cells: u64,
    /// Mapped cells that held a broken code, an impossible value or an unknown text.
    pub broken_cells: u64,
    /// The earliest instant of a placed row.
    pub first: Option<Instant>,
    /// The latest instant of a placed row.
    pub last: Option<Instant>,
}

/// Everything that was read.
#[derive(Debug, Clone, Default)]
pub struct Records {
    /// The files, in the order in which they were read.
    pub files: Vec<FileRead>,
    /// The readings, by record, parameter, lot, place, probe and instrument.
    pub channels: Vec<Channel>,
    /// Checks with closed answers, in order of time.
    pub checks: Vec<Check>,
    /// The lots, by code.
    pub lots: Vec<Lot>,
    /// Laboratory results, in order of time.
    pub samples: Vec<Sample>,
    /// Calibrations, in order of time.
    pub calibrations: Vec<Calibration>,
    /// When entries were written, row by row, of the records whose mapping names a column for it.
    pub written: Vec<Written>,
    /// Rows of the other registers, in the order in which they were read.
    pub registers: Vec<RegisterRow>,
    /// The kinds of register that the mapping names, whether or not they hold a row.
    pub kept: BTreeSet<RegisterKind>,
    /// What was wrong, by place.
    pub findings: Vec<Finding>,
    index: Arc<index::Index>,
}

/// Reads every file that the mapping names, and holds every reading.
#[must_use]
pub fn read(mapping: &Mapping, files: &dyn Files) -> Records {
    let mut records = read_compact(mapping, files, Manner::default());
    records.hold(Manner::default(), &|_| EVER);
    records
}

/// A stretch of time of which rows are held, from one instant to another; none where no row is.
pub type Within = Option<(i64, i64)>;

/// All time.
pub const EVER: Within = Some((i64::MIN, i64::MAX));

impl Records {
    /// The channels of a parameter that name this lot, with their places among the channels.
    pub(crate) fn channels_of<'r>(&'r self, parameter: &str, lot: &str) -> impl Iterator<Item = (usize, &'r Channel)> {
        self.at(self.index.of_lot(parameter, lot))
    }

    /// The channels of a parameter that name no lot, with their places among the channels.
    pub(crate) fn channels_shared<'r>(&'r self, parameter: &str) -> impl Iterator<Item = (usize, &'r Channel)> {
        self.at(self.index.shared(parameter))
    }

    fn at<'r>(&'r self, places: &'r [usize]) -> impl Iterator<Item = (usize, &'r Channel)> {
        places.iter().filter_map(|&at| Some((at, self.channels.get(at)?)))
    }

    /// Holds the rows of each channel of a stretch of time and what stands near it; none where nothing is wanted.
    pub fn hold(&mut self, manner: Manner, wanted: &(dyn Fn(&Channel) -> Within + Sync)) {
        self.hold_by_place(manner, &|_, channel| wanted(channel));
    }

    /// The same by the place of each channel among the channels.
    pub(crate) fn hold_by_place(&mut self, manner: Manner, wanted: &(dyn Fn(usize, &Channel) -> Within + Sync)) {
        const FEW: usize = 64;
        let hold = |(number, few): (usize, &mut [Channel])| {
            for (place, channel) in few.iter_mut().enumerate() {
                channel.hold(wanted(number * FEW + place, channel));
            }
        };
        each_of(manner.threads, self.channels.chunks_mut(FEW).enumerate(), &hold);
    }
}

/// Reads every file that the mapping names. Files of text are read a stretch at a time, on several threads, and the
/// readings are kept in few bytes: [`Records::hold`] gives them back.
#[must_use]
pub fn read_compact(mapping: &Mapping, files: &dyn Files, manner: Manner) -> Records {
    let mut intake = intake::Intake::new(files);
    let mut register = lots::Register::default();
    for group in &mapping.lots {
        register.read(group, &mut intake);
    }
    let lots = register.finish(&mapping.counted, &mut intake.findings);
    intake.known = (!lots.is_empty()).then(|| lots.iter().map(|lot| lot.code.clone()).collect());
    let mut channels = series::Channels::default();
    let (mut checks, mut written) = (Vec::new(), Vec::new());
    for group in &mapping.readings {
        readings::read(group, &mut intake, &mut channels, (&mut checks, &mut written), manner);
    }
    let mut samples = Vec::new();
    for group in &mapping.samples {
        samples::read(group, &mut intake, &mut samples, &mut written);
    }
    let mut calibrations = Vec::new();
    for group in &mapping.calibrations {
        calibrations::read(group, &mut intake, &mut calibrations);
    }
    let mut rows = Vec::new();
    for group in &mapping.registers {
        registers::read(group, &mut intake, &mut rows);
    }
    let kept = mapping.registers.iter().map(|group| group.kind).collect();
    let intake::Intake { reads, mut findings, .. } = intake;
    let names: Vec<String> = reads.iter().map(|file| file.name.clone()).collect();
    let channels = channels.finish(&names, &mut findings);
    checks::order(&mut checks, &mut findings);
    samples::order(&mut samples);
    calibrations::order(&mut calibrations);
    tidy(&mut findings);
    let index = Arc::new(index::Index::new(&channels));
    Records {
        index,
        files: reads,
        channels,
        checks,
        lots,
        samples,
        calibrations,
        written,
        registers: rows,
        kept,
        findings,
    }
}
