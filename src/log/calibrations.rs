//! Calibrations: what an instrument showed beside a reference.

use super::delimited::{Cells as _, text};
use super::intake::{self, Intake};
use super::mapping::{CalibrationsTable, UnitFrom};
use super::number::{self, Marks, NotNumber};
use super::rules;
use crate::quantity::{Rational, Unit, UnitDef};
use crate::source::Cell;
use crate::time::Instant;

/// One calibration as recorded. Whether it was good is for the plan to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calibration {
    /// The record of the plan.
    pub record: String,
    /// The instrument of the plan.
    pub instrument: String,
    /// When.
    pub at: Instant,
    /// The smallest step of time that the record can tell apart, in nanoseconds.
    pub resolution: i64,
    /// What the instrument showed, exactly as written; `None` where the cell is blank or unreadable.
    pub reading: Option<Rational>,
    /// What it should have shown; `None` where the cell is blank or unreadable.
    pub reference: Option<Rational>,
    /// The unit of both.
    pub unit: Unit,
    /// Initials, where the mapping names their column.
    pub by: Option<String>,
    /// Where it stands.
    pub cell: Cell,
}

/// Reads the files of one entry of the mapping.
pub(crate) fn read(group: &CalibrationsTable, intake: &mut Intake<'_>, out: &mut Vec<Calibration>) {
    intake.each(&group.table, |sheet, taking, findings| {
        let keys =
            intake::columns(sheet, [&group.instrument, &group.reading.0, &group.reference.0], group.table.at, findings);
        let unit_column = match &group.unit {
            UnitFrom::Fixed(_) => Some(None),
            UnitFrom::Column(heading) => {
                intake::columns(sheet, [heading], group.table.at, findings).map(|found| found.first().copied())
            }
        };
        let by = intake::columns(sheet, group.by.iter(), group.table.at, findings).unwrap_or_default();
        let placer = intake::placer(&group.table.clock, group.table.at, sheet, findings);
        let (Some(&[instrument_at, reading_at, reference_at]), Some(unit_at), Some((mut placer, times))) =
            (keys.as_deref(), unit_column, placer)
        else {
            return;
        };
        let time_heading = group.table.clock.columns.join(" ");
        let mut rows = sheet.rows();
        while let Some((row, kind)) = rows.next() {
            if !taking.ordinary(rows.width(), row, kind, findings) {
                continue;
            }
            let at = match placer.row(Some(sheet), &rows, &times, row) {
                Ok(at) => at,
                Err(why) => {
                    taking.read.unplaced_rows += 1;
                    let shown: Vec<_> = times.iter().map(|&at| text(rows.cell(at))).collect();
                    taking.unplaced(why, &shown.join(" "), &time_heading, row, &placer);
                    continue;
                }
            };
            let instrument = text(rows.cell(instrument_at)).into_owned();
            if instrument.is_empty() {
                taking.read.bad_rows += 1;
                taking.blank_cell(&group.instrument, row);
                continue;
            }
            let unit = match (&group.unit, unit_at) {
                (UnitFrom::Column(heading), Some(column)) => {
                    let shown = text(rows.cell(column));
                    let Some(unit) = UnitDef::find(&shown) else {
                        taking.read.bad_rows += 1;
                        taking.tally.hit(&rules::UNIT_UNKNOWN, heading, row, || {
                            (format!("`{shown}` in column `{heading}` is no known unit; the row is not used"), None)
                        });
                        continue;
                    };
                    unit
                }
                (UnitFrom::Fixed(unit), _) => unit,
                (UnitFrom::Column(_), None) => continue,
            };
            let mut figure = |column: usize, (heading, marks): &(String, Marks)| {
                let cell = group.table.missing.unless(rows.cell(column));
                if cell.is_empty() {
                    taking.read.missing_cells += 1;
                    taking.tally.hit(&rules::CELL_BLANK, heading, row, || {
                        (format!("column `{heading}` is blank, so the calibration shows nothing"), None)
                    });
                    return None;
                }
                match number::exact(cell, *marks).and_then(|text| Rational::parse(&text).ok_or(NotNumber::Text)) {
                    Ok(value) => Some(value),
                    Err(why) => {
                        taking.read.broken_cells += 1;
                        let rule = if why == NotNumber::Mark { &rules::DECIMAL_MARK } else { &rules::NOT_A_NUMBER };
                        let shown = text(cell);
                        taking.tally.hit(rule, heading, row, || {
                            (
                                format!("`{shown}` in column `{heading}` is no number as the mapping declares numbers"),
                                None,
                            )
                        });
                        None
                    }
                }
            };
            let (reading, reference) = (figure(reading_at, &group.reading), figure(reference_at, &group.reference));
            taking.read.used_rows += 1;
            taking.placed(at, row, false);
            out.push(Calibration {
                record: group.table.record.clone(),
                instrument,
                at: Instant(at),
                resolution: placer.format.resolution,
                reading,
                reference,
                unit,
                by: by.first().map(|&at| text(rows.cell(at)).into_owned()).filter(|text| !text.is_empty()),
                cell: Cell { file: sheet.name.to_owned(), row, column: None },
            });
        }
        taking.read.rows += rows.skipped;
        taking.read.blank_rows += rows.skipped;
        taking.order(&placer, &time_heading, sheet.heading_row);
    });
}

/// Puts calibrations in order; equal ones count once.
pub(crate) fn order(calibrations: &mut Vec<Calibration>) {
    calibrations.sort_by(|a, b| (a.at, &a.instrument, &a.cell).cmp(&(b.at, &b.instrument, &b.cell)));
    calibrations.dedup_by(|b, a| {
        (a.at, &a.record, &a.instrument, a.reading, a.reference, a.unit)
            == (b.at, &b.record, &b.instrument, b.reading, b.reference, b.unit)
    });
}
