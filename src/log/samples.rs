//! Laboratory results.

use super::checks;
use super::delimited::{Cells as _, text};
use super::entered::{self, Written};
use super::intake::{self, Intake};
use super::mapping::{Content, Mass, SamplesTable};
use super::number::{self, Marks};
use super::place::Unplaced;
use super::readings::{Numeric, Value};
use super::rules;
use super::taking::Taking;
use crate::quantity::{Quantity, Rational, Unit};
use crate::source::Cell;
use crate::time::Instant;

/// What a laboratory says about one sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// A number.
    Value,
    /// `<10`: below the figure, or at it where the laboratory wrote `<=`.
    Below,
    /// `>300`: above the figure, or at it where the laboratory wrote `>=`.
    Above,
    /// One of the declared answers.
    Answer,
    /// A declared word for *not detected*. It says nothing without the mass that was tested and the limit of the method.
    NotDetected,
    /// No number, an impossible value or a broken code: the result may be anything.
    Unreadable,
}

/// One result.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// The record of the plan.
    pub record: String,
    /// The parameter of the plan.
    pub parameter: String,
    /// The lot.
    pub lot: String,
    /// Which sample of the lot. A further result with the same name is a retest, not a further sample.
    pub sample: String,
    /// When.
    pub at: Instant,
    /// The smallest step of time that the record can tell apart, in nanoseconds.
    pub resolution: i64,
    /// Lowest value that it may be, in `unit`; minus infinity where nothing bounds it.
    pub lo: f64,
    /// Highest value that it may be; infinity where nothing bounds it.
    pub hi: f64,
    /// Whether `lo` itself is excluded, as in `>300`.
    pub lo_open: bool,
    /// Whether `hi` itself is excluded, as in `<10`.
    pub hi_open: bool,
    /// What kind of result it is.
    pub outcome: Outcome,
    /// The unit of the value; none where it is an answer.
    pub unit: Option<Unit>,
    /// The answer by its name in the mapping, where it is one.
    pub answer: Option<String>,
    /// The mass that was tested, where the mapping says it and the cell can be read.
    pub mass: Option<Quantity>,
    /// The instrument, where the mapping names one.
    pub instrument: Option<String>,
    /// The analyst, where the mapping names the column.
    pub by: Option<String>,
    /// Where it stands.
    pub cell: Cell,
}

struct Bounds {
    lo: f64,
    hi: f64,
    lo_open: bool,
    hi_open: bool,
    outcome: Outcome,
}

const ANYTHING: Bounds =
    Bounds { lo: f64::NEG_INFINITY, hi: f64::INFINITY, lo_open: false, hi_open: false, outcome: Outcome::Unreadable };

/// `<10`, `<= 10`, `>300`: a bound with the value left open on the other side.
fn censored(cell: &str, marks: Marks) -> Option<Bounds> {
    let (below, open, rest) = if let Some(rest) = cell.strip_prefix("<=").or(cell.strip_prefix('\u{2264}')) {
        (true, false, rest)
    } else if let Some(rest) = cell.strip_prefix(">=").or(cell.strip_prefix('\u{2265}')) {
        (false, false, rest)
    } else if let Some(rest) = cell.strip_prefix('<') {
        (true, true, rest)
    } else {
        (false, true, cell.strip_prefix('>')?)
    };
    let (lo, hi) = number::parse(rest.trim().as_bytes(), marks).ok()?;
    Some(if below {
        Bounds { hi, hi_open: open, outcome: Outcome::Below, ..ANYTHING }
    } else {
        Bounds { lo, lo_open: open, outcome: Outcome::Above, ..ANYTHING }
    })
}

/// The mass in a cell; one that cannot be read is no mass, and is reported.
fn tested(cell: &[u8], unit: Unit, marks: Marks, (heading, row): (&str, u64), taking: &mut Taking) -> Option<Quantity> {
    if cell.is_empty() {
        taking.read.missing_cells += 1;
        return None;
    }
    let value = number::exact(cell, marks).ok().and_then(|value| Rational::parse(&value));
    if let Some(value) = value.filter(|value| !value.is_negative() && !value.is_zero()) {
        return Some(Quantity::new(value, unit));
    }
    taking.read.broken_cells += 1;
    taking.tally.hit(&rules::NOT_A_NUMBER, heading, row, || {
        (format!("`{}` in column `{heading}` is no mass as the mapping declares numbers", text(cell)), None)
    });
    None
}

/// Reads the files of one entry of the mapping.
pub(crate) fn read(
    group: &SamplesTable,
    intake: &mut Intake<'_>,
    samples: &mut Vec<Sample>,
    written: &mut Vec<Written>,
) {
    intake.each(&group.table, |sheet, taking, findings| {
        let keys = intake::columns(sheet, [&group.lot, &group.sample], group.table.at, findings);
        let by = intake::columns(sheet, group.by.iter(), group.table.at, findings).unwrap_or_default();
        let mut columns = Vec::new();
        for column in &group.columns {
            if let Some(&[at]) = intake::columns(sheet, [&column.heading], column.at, findings).as_deref() {
                let weighed = match &column.mass {
                    Some(Mass::Column(heading, _)) => intake::columns(sheet, [heading], column.at, findings),
                    _ => None,
                };
                columns.push((at, column, weighed.and_then(|found| found.first().copied())));
            }
        }
        let placer = intake::placer(&group.table.clock, group.table.at, sheet, findings);
        let (Some(&[lot_at, sample_at]), Some((mut placer, times))) = (keys.as_deref(), placer) else {
            return;
        };
        let typed = entered::place(group.entered.as_ref(), &group.table, sheet, findings);
        let mut entered = entered::Column::new(typed, group.entered.as_ref(), &group.table);
        taking.lot_heading.clone_from(&group.lot);
        let time_heading = group.table.clock.columns.join(" ");
        let mut rows = sheet.rows();
        while let Some((row, kind)) = rows.next() {
            if !taking.ordinary(rows.width(), row, kind, findings) {
                continue;
            }
            let (lot, sample) = (text(rows.cell(lot_at)).into_owned(), text(rows.cell(sample_at)).into_owned());
            let empty = columns.iter().all(|(at, ..)| rows.cell(*at).is_empty());
            let at = match placer.row(Some(sheet), &rows, &times, row) {
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
            if let Some((heading, _)) =
                [(&group.lot, &lot), (&group.sample, &sample)].into_iter().find(|(_, text)| text.is_empty())
            {
                taking.read.bad_rows += 1;
                taking.blank_cell(heading, row);
                continue;
            }
            taking.placed(at, row, false);
            taking.lot(&lot, row);
            if let Some(entered) = entered.as_mut().filter(|_| !empty) {
                let about = (group.table.record.as_str(), Some(lot.clone()));
                written.push(entered.row(&rows, (row, at, placer.format.resolution), about, sheet.name, taking));
            }
            if empty {
                taking.read.event_rows += 1;
            } else {
                taking.read.used_rows += 1;
            }
            for (column_at, column, weighed) in &columns {
                let mass = match &column.mass {
                    Some(Mass::Fixed(mass)) => Some(*mass),
                    Some(Mass::Column(heading, unit)) => {
                        weighed.and_then(|at| tested(rows.cell(at), unit, group.table.marks, (heading, row), taking))
                    }
                    None => None,
                };
                let mut push = |unit: Option<Unit>, bounds: Bounds, answer: Option<String>| {
                    samples.push(Sample {
                        record: group.table.record.clone(),
                        parameter: column.parameter.clone(),
                        lot: lot.clone(),
                        sample: sample.clone(),
                        at: Instant(at),
                        resolution: placer.format.resolution,
                        lo: bounds.lo,
                        hi: bounds.hi,
                        lo_open: bounds.lo_open,
                        hi_open: bounds.hi_open,
                        outcome: bounds.outcome,
                        unit,
                        answer,
                        mass,
                        instrument: column.instrument.clone(),
                        by: by.first().map(|&at| text(rows.cell(at)).into_owned()).filter(|text| !text.is_empty()),
                        cell: Cell { file: sheet.name.to_owned(), row, column: Some(column.heading.clone()) },
                    });
                };
                let (unit, marks, broken, range, not_detected) = match &column.content {
                    Content::Number { unit, marks, broken, range, not_detected } => {
                        (*unit, *marks, broken, *range, not_detected)
                    }
                    Content::Answer(answers) => {
                        let cell = column.missing.unless(rows.cell(*column_at));
                        if cell.is_empty() {
                            taking.read.missing_cells += 1;
                            continue;
                        }
                        let answer = checks::answer(answers, column, cell, row, taking);
                        let outcome = if answer.is_some() { Outcome::Answer } else { Outcome::Unreadable };
                        push(None, Bounds { outcome, ..ANYTHING }, answer);
                        continue;
                    }
                };
                let shown = text(rows.cell(*column_at));
                let numeric = Numeric { column, marks, broken, range };
                let bounds = if not_detected.contains(&shown.to_lowercase()) {
                    Bounds { outcome: Outcome::NotDetected, ..ANYTHING }
                } else if let Some(bounds) = censored(&shown, marks) {
                    bounds
                } else {
                    match numeric.read(rows.cell(*column_at), row, taking) {
                        Value::Number(lo, hi) => Bounds { lo, hi, outcome: Outcome::Value, ..ANYTHING },
                        Value::Missing => {
                            taking.read.missing_cells += 1;
                            continue;
                        }
                        Value::Broken => {
                            taking.read.broken_cells += 1;
                            ANYTHING
                        }
                    }
                };
                push(Some(unit), bounds, None);
            }
        }
        taking.read.rows += rows.skipped;
        taking.read.blank_rows += rows.skipped;
        taking.order(&placer, &time_heading, sheet.heading_row);
    });
}

/// Puts results in order; the same result of the same sample at the same instant counts once.
pub(crate) fn order(samples: &mut Vec<Sample>) {
    let key = |sample: &Sample| {
        (
            sample.at,
            sample.record.clone(),
            sample.parameter.clone(),
            sample.lot.clone(),
            sample.sample.clone(),
            sample.outcome,
            sample.answer.clone(),
        )
    };
    samples.sort_by(|a, b| {
        key(a).cmp(&key(b)).then(a.lo.total_cmp(&b.lo)).then(a.hi.total_cmp(&b.hi)).then_with(|| a.cell.cmp(&b.cell))
    });
    samples.dedup_by(|b, a| key(a) == key(b) && a.lo == b.lo && a.hi == b.hi && a.unit == b.unit && a.mass == b.mass);
}
