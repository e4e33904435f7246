//! Readings and checks.

use super::Keep;
use super::checks::{self, Check};
use super::delimited::{Sheet, starred, text};
use super::intake::{self, Intake};
use super::mapping::{Codes, Column, Content, ReadingsTable};
use super::number::{self, Marks, NotNumber};
use super::place::Unplaced;
use super::rules;
use super::series::{Channels, Entry, EntryKind, Key, Missing};
use super::taking::Taking;
use crate::finding::Finding;
use crate::source::Cell;
use crate::time::Instant;
use std::collections::BTreeMap;

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
    Some(Found { lot, by: by.first().copied(), instrument, long, columns })
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

/// Reads the files of one entry of the mapping.
pub(crate) fn read(
    group: &ReadingsTable,
    intake: &mut Intake<'_>,
    channels: &mut Channels,
    checks: &mut Vec<Check>,
    keep: &Keep<'_>,
) {
    intake.each(&group.table, |sheet, taking, findings| {
        let found = find(group, sheet, findings);
        let placer = intake::placer(&group.table.clock, group.table.at, sheet, findings);
        let (Some(found), Some((mut placer, times))) = (found, placer) else {
            return;
        };
        taking.lot_heading = group.lot.clone().unwrap_or_default();
        let named_code = match named_lot(group, sheet, findings) {
            Ok(lot) => lot,
            Err(()) => return,
        };
        let mut seen = vec![false; found.columns.len()];
        let time_heading = group.table.clock.columns.join(" ");
        let resolution = placer.format.resolution;
        let mut slots = Slots { group, found: &found, by_lot: BTreeMap::new() };
        let mut current: Option<(Vec<u8>, Vec<u8>, Vec<usize>)> = None;
        let mut rows = sheet.rows();
        while let Some((row, kind)) = rows.next() {
            if !taking.ordinary(&rows, row, kind, findings) {
                continue;
            }
            // With one reading a row, its name says which column of the mapping it is.
            let chosen = match found.long {
                Some((name, _)) => {
                    match found.columns.iter().position(|(_, one, _)| fits(&one.heading, rows.cell(name))) {
                        Some(one) => one..one + 1,
                        None => {
                            let shown = text(rows.cell(name));
                            taking.read.event_rows += 1;
                            taking.tally.hit(
                                &rules::NAME_UNKNOWN,
                                group.long.as_ref().map_or("", |(name, _)| name),
                                row,
                                || {
                                    (
                                        format!(
                                            "`{shown}` is no reading that the mapping knows; such rows are not used"
                                        ),
                                        None,
                                    )
                                },
                            );
                            continue;
                        }
                    }
                }
                None => 0..found.columns.len(),
            };
            for slot in seen.iter_mut().take(chosen.end).skip(chosen.start) {
                *slot = true;
            }
            let used = || found.columns.iter().enumerate().take(chosen.end).skip(chosen.start);
            let empty = used().all(|(_, (at, _, _))| rows.cell(*at).is_empty());
            let at = match placer.row(sheet, &rows, &times, row) {
                Ok(at) => at,
                Err(Unplaced::Blank | Unplaced::Unreadable) if empty => {
                    taking.read.event_rows += 1;
                    continue;
                }
                Err(why) => {
                    taking.read.unplaced_rows += 1;
                    let shown: Vec<_> = times.iter().map(|&at| text(rows.cell(at))).collect();
                    taking.unplaced(why, &shown.join(" "), &time_heading, row, &placer);
                    continue;
                }
            };
            taking.placed(at, row, true);
            if empty {
                taking.read.event_rows += 1;
            } else {
                taking.read.used_rows += 1;
            }
            let lot = match &named_code {
                Some(lot) => lot.as_bytes(),
                None => found.lot.map_or(&b""[..], |at| rows.cell(at)),
            };
            let instrument = found.instrument.map_or(&b""[..], |at| rows.cell(at));
            if found.instrument.is_some() && instrument.is_empty() && !empty {
                taking.blank_cell(group.instrument_column.as_deref().unwrap_or_default(), row);
            }
            let same = |(code, one, _): &(Vec<u8>, Vec<u8>, Vec<usize>)| code == lot && one == instrument;
            if !current.as_ref().is_some_and(same) {
                let code = text(lot);
                if !code.is_empty() && current.as_ref().is_none_or(|(code, ..)| code != lot) {
                    taking.lot(&code, row);
                }
                let indexes = slots.of(&code, &text(instrument), resolution, channels);
                current = Some((lot.to_vec(), instrument.to_vec(), indexes));
            }
            let Some((_, _, indexes)) = &current else { continue };
            for (at_column, (column_at, column, _)) in used() {
                let index = indexes.get(at_column).copied().unwrap_or(usize::MAX);
                let cell = rows.cell(*column_at);
                match &column.content {
                    Content::Number { marks, broken, range, .. } => {
                        let Some(channel) = channels.all.get_mut(index) else {
                            continue;
                        };
                        let numeric = Numeric { column, marks: *marks, broken, range: *range };
                        let (line, file) = (Taking::line(row), taking.file);
                        let mut entry = |kind, lo, hi| {
                            channel.count += 1;
                            if channel.spot || keep(&channel.parameter, channel.lot.as_deref(), at) {
                                channel.rows.push(Entry { at, lo, hi, row: line, file, kind });
                            }
                        };
                        match numeric.read(cell, row, taking) {
                            Value::Number(lo, hi) => entry(EntryKind::Reading, lo, hi),
                            Value::Broken => {
                                entry(EntryKind::Broken, 0.0, 0.0);
                                taking.read.broken_cells += 1;
                            }
                            Value::Missing => {
                                channel.miss(Missing { at, row: line, file });
                                taking.read.missing_cells += 1;
                            }
                        }
                    }
                    Content::Answer(answers) => {
                        if cell.is_empty() || column.missing.has_word(cell) {
                            taking.read.missing_cells += 1;
                            continue;
                        }
                        let answer = checks::answer(answers, column, cell, row, taking);
                        let named = |at: Option<usize>| {
                            at.map(|at| text(rows.cell(at)).into_owned()).filter(|text| !text.is_empty())
                        };
                        checks.push(Check {
                            record: group.table.record.clone(),
                            parameter: column.parameter.clone(),
                            lot: named_code.clone().or_else(|| named(found.lot)),
                            place: group.place.clone(),
                            at: Instant(at),
                            resolution,
                            answer,
                            by: named(found.by),
                            cell: Cell { file: sheet.name.to_owned(), row, column: Some(column.heading.clone()) },
                        });
                    }
                }
            }
        }
        taking.read.rows += rows.skipped;
        taking.read.blank_rows += rows.skipped;
        if let Some((name, _)) = &group.long {
            let missing = found.columns.iter().zip(&seen).filter(|(_, seen)| !**seen);
            for ((_, column, _), _) in missing {
                let place = super::encoding::cell(sheet.name, sheet.heading_row, Some(name));
                let message = format!("no row of `{}` is named `{}` in column `{name}`", sheet.name, column.heading);
                findings.push(
                    Finding::new(&rules::COLUMN_MISSING, place, message).also(column.at, "the mapping names it here"),
                );
            }
        }
        taking.order(&placer, &time_heading, sheet.heading_row);
    });
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

/// The channels of each lot, one for each column.
struct Slots<'m, 's> {
    group: &'m ReadingsTable,
    found: &'s Found<'m>,
    by_lot: BTreeMap<(String, String), Vec<usize>>,
}

impl Slots<'_, '_> {
    fn of(&mut self, lot: &str, instrument: &str, resolution: i64, channels: &mut Channels) -> Vec<usize> {
        let key = (lot.to_owned(), instrument.to_owned());
        if let Some(indexes) = self.by_lot.get(&key) {
            return indexes.clone();
        }
        let group = self.group;
        let indexes: Vec<usize> = self
            .found
            .columns
            .iter()
            .map(|(_, column, serial)| {
                let Content::Number { unit, .. } = &column.content else {
                    return usize::MAX;
                };
                let key = Key {
                    record: group.table.record.clone(),
                    parameter: column.parameter.clone(),
                    lot: (!lot.is_empty()).then(|| lot.to_owned()),
                    place: group.place.clone(),
                    probe: column.probe.clone(),
                    instrument: if self.found.instrument.is_some() {
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
            })
            .collect();
        self.by_lot.insert(key, indexes.clone());
        indexes
    }
}
