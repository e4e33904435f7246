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
mod intake;
mod lots;
mod mapping;
mod number;
mod packed;
mod place;
pub mod plain;
mod readings;
mod registers;
mod rules;
mod samples;
mod series;
mod taking;
mod tally;
mod workbook;

pub use calibrations::Calibration;
pub use checks::Check;
pub use clock::Format;
pub use encoding::{Encoding, text_of};
pub use lots::{Event, Lot, SHIPPED};
pub use mapping::{
    CalibrationsTable, Clock, Codes, Column, Content, LotsTable, MAX_BYTES, Mapping, ReadingsTable, RegistersTable,
    SamplesTable, Table, UnitFrom,
};
pub use number::Marks;
pub use registers::{Field, Holds, Kind as RegisterKind, RegisterRow};
pub use rules::RULES;
pub use samples::{Outcome, Sample};
pub use series::{Channel, Entry, EntryKind, MISSING_KEPT, Missing};

use crate::finding::{Finding, tidy};
use crate::time::Instant;
use std::collections::{BTreeMap, BTreeSet};

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
    /// Rows of the other registers, in the order in which they were read.
    pub registers: Vec<RegisterRow>,
    /// The kinds of register that the mapping names, whether or not they hold a row.
    pub kept: BTreeSet<RegisterKind>,
    /// What was wrong, by place.
    pub findings: Vec<Finding>,
}

/// Reads every file that the mapping names. One file at a time is held in memory.
#[must_use]
pub fn read(mapping: &Mapping, files: &dyn Files) -> Records {
    read_keeping(mapping, files, &|_, _, _| true)
}

/// Says of a reading of a trace (parameter, lot, instant) whether it is kept. Single values always are.
pub type Keep<'k> = dyn Fn(&str, Option<&str>, i64) -> bool + 'k;

/// Reads every file, and keeps of the traces only some readings; all of them are counted.
#[must_use]
pub fn read_keeping(mapping: &Mapping, files: &dyn Files, keep: &Keep<'_>) -> Records {
    let mut intake = intake::Intake::new(files);
    let mut register = lots::Register::default();
    for group in &mapping.lots {
        register.read(group, &mut intake);
    }
    let lots = register.finish(&mapping.counted, &mut intake.findings);
    intake.known = (!lots.is_empty()).then(|| lots.iter().map(|lot| lot.code.clone()).collect());
    let mut channels = series::Channels::default();
    let mut checks = Vec::new();
    for group in &mapping.readings {
        readings::read(group, &mut intake, &mut channels, &mut checks, keep);
    }
    let mut samples = Vec::new();
    for group in &mapping.samples {
        samples::read(group, &mut intake, &mut samples);
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
    Records { files: reads, channels, checks, lots, samples, calibrations, registers: rows, kept, findings }
}
