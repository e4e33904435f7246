//! Readings and checks: a file is cut into stretches, whose rows are taken by themselves and put together in order.

mod block;
mod chosen;
mod file;

pub(crate) use file::read;

use super::delimited::{Sheet, starred, text};
use super::mapping::{Codes, Column, Content, ReadingsTable};
use super::number::{self, Marks, NotNumber};
use super::rules;
use super::series::{Channels, Key};
use super::taking::Taking;
use super::{entered, intake};
use crate::finding::Finding;

/// What a cell that should hold a number holds.
pub(crate) enum Value {
    /// Blank, or a code for no reading.
    Missing,
    /// A number.
    Number(f64, f64),
    /// No reading, and the trace breaks.
    Broken,
}

/// How the cells of a column of numbers are read.
#[derive(Clone, Copy)]
pub(crate) struct Numeric<'m> {
    pub column: &'m Column,
    pub marks: Marks,
    pub broken: &'m Codes,
    pub range: Option<(f64, f64)>,
}

impl Numeric<'_> {
    /// Reads one cell and reports what is no number.
    pub fn read(&self, cell: &[u8], row: u64, taking: &mut Taking) -> Value {
        if cell.is_empty() || self.column.missing.has_word(cell) {
            return Value::Missing;
        }
        let heading = self.column.heading.as_str();
        let number = number::parse(cell, self.marks);
        if let Ok((lo, hi)) = number {
            if self.column.missing.has_number(lo) {
                return Value::Missing;
            }
            let outside = self.range.is_some_and(|(low, high)| hi < low || lo > high);
            if !outside && !self.broken.has_number(lo) && !self.broken.has_word(cell) {
                return Value::Number(lo, hi);
            }
        }
        let shown = text(cell);
        if self.broken.has_word(cell) || number.is_ok_and(|(lo, _)| self.broken.has_number(lo)) {
            taking.tally.hit(&rules::BROKEN_CODE, heading, row, || {
                (format!("`{shown}` in column `{heading}` is declared as a broken probe"), None)
            });
        } else {
            match number {
                Ok(_) => taking.tally.hit(&rules::OUT_OF_RANGE, heading, row, || {
                    let (low, high) = self.range.unwrap_or_default();
                    (format!("`{shown}` in column `{heading}` lies outside the possible range from {low} to {high}"), None)
                }),
                Err(NotNumber::Mark) => taking.tally.hit(&rules::DECIMAL_MARK, heading, row, || {
                    let mark = char::from(self.marks.decimal);
                    let help = "set `decimal` and `thousands` as the file has them".to_owned();
                    (format!("`{shown}` in column `{heading}` is not written with the decimal mark `{mark}` that the mapping declares"), Some(help))
                }),
                Err(NotNumber::Text) => taking.tally.hit(&rules::NOT_A_NUMBER, heading, row, || {
                    let help = "if it is a code, declare it under `missing` or `broken`".to_owned();
                    (format!("`{shown}` in column `{heading}` is no number"), Some(help))
                }),
            }
        }
        Value::Broken
    }
}

/// The columns of one file that could be found.
struct Found<'m> {
    lot: Option<usize>,
    by: Option<usize>,
    /// The column with the time of writing.
    entered: Option<usize>,
    instrument: Option<usize>,
    /// Where each row holds one reading, the columns of its name and its value.
    long: Option<(usize, usize)>,
    /// Each with its place and the instrument that its heading names.
    columns: Vec<(usize, &'m Column, Option<String>)>,
}

fn find<'m>(group: &'m ReadingsTable, sheet: &Sheet<'_>, findings: &mut Vec<Finding>) -> Option<Found<'m>> {
    // Without its lot a reading would count for another, so the file waits; a single lost value column does not hold back the others.
    let lot = intake::columns(sheet, group.lot.iter(), group.table.at, findings);
    let by = intake::columns(sheet, group.by.iter(), group.table.at, findings).unwrap_or_default();
    let entered = entered::place(group.entered.as_ref(), &group.table, sheet, findings);
    let instrument = intake::columns(sheet, group.instrument_column.iter(), group.table.at, findings);
    let long = match &group.long {
        Some((name, value)) => {
            let found = intake::columns(sheet, [name, value], group.table.at, findings)?;
            Some((*found.first()?, *found.get(1)?))
        }
        None => None,
    };
    let mut columns = Vec::new();
    for column in &group.columns {
        if let Some((_, value)) = long {
            columns.push((value, column, None));
        } else if let Some(&[at]) = intake::columns(sheet, [&column.heading], column.at, findings).as_deref() {
            match serial(column, sheet, at) {
                Ok(instrument) => columns.push((at, column, instrument)),
                Err(finding) => findings.push(*finding),
            }
        }
    }
    let (lot, instrument) = (lot?.first().copied(), instrument?.first().copied());
    Some(Found { lot, by: by.first().copied(), entered, instrument, long, columns })
}

/// The instrument whose serial number stands in the heading, where the mapping goes by serial numbers.
fn serial(column: &Column, sheet: &Sheet<'_>, at: usize) -> Result<Option<String>, Box<Finding>> {
    if column.serials.is_empty() {
        return Ok(None);
    }
    let heading = sheet.headings.get(at).map_or("", String::as_str);
    let mut found = column.serials.iter().filter(|(serial, _)| heading.contains(serial.as_str()));
    match (found.next(), found.next()) {
        (Some((_, instrument)), None) => Ok(Some(instrument.clone())),
        (one, _) => {
            let how = if one.is_some() { "several" } else { "none" };
            let place = super::encoding::cell(sheet.name, sheet.heading_row, Some(heading));
            let message = format!("heading `{heading}` holds {how} of the serial numbers that the mapping knows");
            let help = "name the serial number and its instrument under `serials`, if it is a probe of this plant";
            Err(Box::new(
                Finding::new(&rules::SERIAL, place, message).help(help).also(column.at, "the column is mapped here"),
            ))
        }
    }
}

/// Whether a row's name is this one, by itself or as a pattern with stars.
fn fits(wanted: &str, name: &[u8]) -> bool {
    let name = text(name);
    name == wanted || (wanted.contains('*') && starred(wanted, &name))
}

/// The lot code in the name of the file, where the mapping says that it stands there.
fn named_lot(group: &ReadingsTable, sheet: &Sheet<'_>, findings: &mut Vec<Finding>) -> Result<Option<String>, ()> {
    let Some(pattern) = &group.lot_in_name else { return Ok(None) };
    let file = sheet.name.rsplit('/').next().unwrap_or(sheet.name);
    let code = pattern.split_once('*').and_then(|(before, after)| file.strip_prefix(before)?.strip_suffix(after));
    match code.filter(|code| !code.trim().is_empty()) {
        Some(code) => Ok(Some(code.trim().to_owned())),
        None => {
            let message = format!("the name of `{file}` does not fit `{pattern}`, so its lot is not known");
            let finding = Finding::new(&rules::CELL_BLANK, super::encoding::cell(sheet.name, 0, None), message);
            findings.push(finding.also(group.table.at, "the mapping says so here"));
            Err(())
        }
    }
}

/// The channels of one lot and instrument, one for each column.
fn channels_of(
    group: &ReadingsTable,
    found: &Found<'_>,
    (lot, instrument): (&str, &str),
    resolution: i64,
    channels: &mut Channels,
) -> Vec<usize> {
    let one = |(_, column, serial): &(usize, &Column, Option<String>)| {
        let Content::Number { unit, .. } = &column.content else {
            return usize::MAX;
        };
        let key = Key {
            record: group.table.record.clone(),
            parameter: column.parameter.clone(),
            lot: (!lot.is_empty()).then(|| lot.to_owned()),
            place: group.place.clone(),
            probe: column.probe.clone(),
            instrument: if found.instrument.is_some() {
                (!instrument.is_empty()).then(|| instrument.to_owned())
            } else {
                serial.clone().or_else(|| column.instrument.clone())
            },
            unit: unit.symbol,
            spot: group.spot,
        };
        let index = channels.index(key, unit, &column.heading);
        if let Some(channel) = channels.all.get_mut(index) {
            channel.resolution = channel.resolution.max(resolution);
        }
        index
    };
    found.columns.iter().map(one).collect()
}
