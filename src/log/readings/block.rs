//! The rows of one stretch of a file: what they give by itself, whatever stands before and behind.

use super::chosen::{Choices, Code, NONE};
use super::{Found, Numeric, Value, fits};
use crate::finding::Finding;
use crate::log::checks::{self, Check};
use crate::log::delimited::{Cells, Kind, Sheet, text};
use crate::log::entered::{self, Written};
use crate::log::lines::Lines;
use crate::log::mapping::{Column, Content, ReadingsTable};
use crate::log::number::{self, Marks};
use crate::log::place::{Placer, Unplaced};
use crate::log::rules;
use crate::log::series::{MISSING_KEPT, Missing};
use crate::log::taking::Taking;
use crate::log::trace::{Held, Pen};
use crate::source::Cell;
use crate::time::Instant;
use std::collections::HashMap;

/// What the rows of one file are read by.
pub(super) struct Job<'j> {
    pub group: &'j ReadingsTable,
    pub found: Found<'j>,
    pub times: Vec<usize>,
    pub sheet: &'j Sheet<'j>,
    /// The lot, where the name of the file says it.
    pub named: Option<String>,
    pub file: u16,
}

/// A stretch of a file.
pub(super) struct Block<'b> {
    pub text: &'b [u8],
    /// The line on which it begins.
    pub line: u64,
    /// Whether it is all that there is below the headings.
    pub whole: bool,
}

/// The cells without a reading of one column out of a stretch.
#[derive(Debug, Default)]
pub(super) struct Blanks {
    pub kept: Vec<Missing>,
    pub count: u64,
}

/// What a stretch holds of one lot and instrument: as many pens as there are columns, one family after the other.
#[derive(Debug)]
pub(super) struct Family {
    pub lot: Box<[u8]>,
    pub instrument: Box<[u8]>,
    run: Option<usize>,
}

/// The runs of rows of one lot.
#[derive(Debug)]
pub(super) struct Run {
    pub lot: Box<[u8]>,
    /// The row in which the first begins.
    pub row: u64,
    pub count: u64,
}

/// What a stretch gave.
pub(super) struct Part {
    pub taking: Taking,
    /// The first row with an instant.
    pub first: Option<(i64, u64)>,
    pub families: Vec<Family>,
    pub pens: Vec<Pen>,
    pub blanks: Vec<Blanks>,
    pub runs: Vec<Run>,
    /// The lots of the first and the last used row.
    pub ends: Option<(Code, Code)>,
    pub order_proved: bool,
    pub seen: Vec<bool>,
    pub checks: Vec<Check>,
    pub written: Vec<Written>,
    pub findings: Vec<Finding>,
    /// Empty lines behind the last row.
    pub trailing: u64,
    /// Whether there is any row.
    pub rows: bool,
}

struct Taker<'j> {
    job: &'j Job<'j>,
    placer: Placer<'j>,
    entered: Option<entered::Column<'j>>,
    whole: bool,
    part: Part,
    choices: Choices,
    by_both: HashMap<Code, u32>,
    by_lot: HashMap<Code, usize>,
    current: Option<u32>,
    quick: Vec<Option<Quick>>,
    time_heading: String,
}

/// What a plain number in a column is held against.
struct Quick {
    marks: Marks,
    range: (f64, f64),
    codes: Vec<f64>,
}

/// Takes the rows of a stretch. `None` where what it gives hangs on the rest of the file: it is to be taken whole.
pub(super) fn take(job: &Job<'_>, block: &Block<'_>) -> Option<Part> {
    let format = job.group.table.clock.format.as_ref()?;
    let columns = &job.found.columns;
    let mut taker = Taker {
        job,
        placer: Placer::new(&job.group.table.clock, format),
        entered: entered::Column::new(job.found.entered, job.group.entered.as_ref(), &job.group.table),
        whole: block.whole,
        part: Part {
            taking: Taking::new(job.file, job.sheet.name, &job.group.table.record),
            first: None,
            families: Vec::new(),
            pens: Vec::new(),
            blanks: Vec::new(),
            runs: Vec::new(),
            ends: None,
            order_proved: false,
            seen: vec![false; columns.len()],
            checks: Vec::new(),
            written: Vec::new(),
            findings: Vec::new(),
            trailing: 0,
            rows: false,
        },
        choices: Choices::default(),
        by_both: HashMap::new(),
        by_lot: HashMap::new(),
        current: None,
        quick: columns.iter().map(|(_, column, _)| quick(column)).collect(),
        time_heading: job.group.table.clock.columns.join(" "),
    };
    let table = &job.group.table;
    let sound = match Lines::new(block.text, table.delimiter, table.quote) {
        Some(lines) => taker.lines(lines, block.line),
        None => taker.rows(block),
    };
    if !sound || taker.placer.to_look {
        return None;
    }
    let Taker { mut part, placer, current, .. } = taker;
    part.order_proved = placer.order_proved;
    if let (Some(last), Some((_, end))) = (current.and_then(|at| part.families.get(at as usize)), &mut part.ends) {
        end.clone_from(&last.lot);
    }
    Some(part)
}

/// A word among the codes that is a plain number stands among them as a number too, so a plain number needs no look at
/// the words.
fn quick(column: &Column) -> Option<Quick> {
    let Content::Number { marks, broken, range, .. } = &column.content else { return None };
    let codes = column.missing.numbers.iter().chain(&broken.numbers).copied().collect();
    Some(Quick { marks: *marks, range: range.unwrap_or((f64::NEG_INFINITY, f64::INFINITY)), codes })
}

impl Taker<'_> {
    /// The quick way, line by line.
    fn lines(&mut self, mut lines: Lines<'_>, first: u64) -> bool {
        let width = self.job.sheet.width();
        let plain = self.job.sheet.plain_heading();
        let footed = self.job.sheet.is_footed();
        let time = self.job.times.first().copied().unwrap_or(0);
        let (mut row, mut empty) = (first, 0);
        while let Some(line) = lines.next_line() {
            if line.is_empty() {
                empty += 1;
                row += 1;
                continue;
            }
            self.skipped(&mut empty);
            // With a time in it the row is not blank; the rest of the kinds is ruled out one by one.
            let full = line.width() == width && !footed && !line.cell(time).is_empty() && line.raw() != plain;
            let kind = if full { Kind::Full } else { self.job.sheet.kind(line.cells()) };
            self.row(&line, row, kind);
            row += 1;
        }
        self.part.trailing = empty;
        true
    }

    fn skipped(&mut self, empty: &mut u64) {
        self.part.rows = true;
        self.part.taking.read.rows += *empty;
        self.part.taking.read.blank_rows += *empty;
        *empty = 0;
    }

    /// The general way, which knows quotation marks; false where a row goes on beyond its line in a part of a file.
    fn rows(&mut self, block: &Block<'_>) -> bool {
        let mut rows = self.job.sheet.rows_of(block.text, block.line);
        while let Some((row, kind)) = rows.next() {
            if !self.whole && (rows.crossed || matches!(kind, Kind::Quote(_))) {
                return false;
            }
            self.part.rows = true;
            self.row(&rows, row, kind);
        }
        let read = &mut self.part.taking.read;
        read.rows += rows.skipped;
        read.blank_rows += rows.skipped;
        self.part.trailing = rows.trailing();
        true
    }

    #[inline]
    fn row<C: Cells>(&mut self, cells: &C, row: u64, kind: Kind) {
        let job = self.job;
        let part = &mut self.part;
        if !part.taking.ordinary(job.sheet.width(), row, kind, &mut part.findings) {
            return;
        }
        let index = self.choose(cells);
        let found = &job.found;
        let Some(chosen) = self.choices.get(index).filter(|chosen| chosen.count > 0) else {
            self.unknown(cells, row);
            return;
        };
        let columns = chosen.from as usize..(chosen.from + chosen.count) as usize;
        let part = &mut self.part;
        for slot in part.seen.iter_mut().take(columns.end).skip(columns.start) {
            *slot = true;
        }
        let used = || found.columns.iter().enumerate().take(columns.end).skip(columns.start);
        let empty = used().all(|(_, (at, _, _))| cells.cell(*at).is_empty());
        let whole = self.whole.then_some(job.sheet);
        let at = match self.placer.row(whole, cells, &job.times, row) {
            Ok(at) => at,
            Err(Unplaced::Blank | Unplaced::Unreadable) if empty => {
                part.taking.read.event_rows += 1;
                return;
            }
            Err(why) => {
                part.taking.read.unplaced_rows += 1;
                let shown: Vec<_> = job.times.iter().map(|&at| text(cells.cell(at))).collect();
                part.taking.unplaced(why, &shown.join(" "), &self.time_heading, row, &self.placer);
                return;
            }
        };
        if part.first.is_none() {
            part.first = Some((at, row));
        }
        part.taking.placed(at, row, true);
        if empty {
            part.taking.read.event_rows += 1;
        } else {
            part.taking.read.used_rows += 1;
        }
        if let Some(entered) = self.entered.as_mut().filter(|_| !empty) {
            let own = found.lot.map(|at| text(cells.cell(at)).into_owned()).filter(|code| !code.is_empty());
            let about = (job.group.table.record.as_str(), job.named.clone().or(own));
            let when = (row, at, self.placer.format.resolution);
            part.written.push(entered.row(cells, when, about, job.sheet.name, &mut part.taking));
        }
        if found.instrument.is_some_and(|at| cells.cell(at).is_empty()) && !empty {
            part.taking.blank_cell(job.group.instrument_column.as_deref().unwrap_or_default(), row);
        }
        let family = self.family(index, chosen.family, row);
        let part = &mut self.part;
        let line = Taking::line(row);
        let own = family as usize * found.columns.len();
        let chosen = part.pens.iter_mut().skip(own).zip(&self.quick).zip(&found.columns).enumerate();
        for (at_column, ((pen, quick), (place, column, _))) in chosen.take(columns.end).skip(columns.start) {
            let cell = cells.cell(*place);
            if let Some(quick) = quick {
                if let Some(decimal) = number::plain(cell, quick.marks.decimal) {
                    let value = decimal.value();
                    if quick.range.0 <= value && value <= quick.range.1 && !quick.codes.contains(&value) {
                        pen.write(at, line, Held::Decimal(decimal));
                        continue;
                    }
                }
                let blanks = part.blanks.get_mut(own + at_column);
                number_cell((pen, blanks), column, cell, (at, row, line), &mut part.taking);
            } else if cell.is_empty() || column.missing.has_word(cell) {
                part.taking.read.missing_cells += 1;
            } else if let Content::Answer(answers) = &column.content {
                let answer = checks::answer(answers, column, cell, row, &mut part.taking);
                let named =
                    |at: Option<usize>| at.map(|at| text(cells.cell(at)).into_owned()).filter(|text| !text.is_empty());
                part.checks.push(Check {
                    record: job.group.table.record.clone(),
                    parameter: column.parameter.clone(),
                    lot: job.named.clone().or_else(|| named(found.lot)),
                    place: job.group.place.clone(),
                    at: Instant(at),
                    resolution: self.placer.format.resolution,
                    answer,
                    by: named(found.by),
                    cell: Cell { file: job.sheet.name.to_owned(), row, column: Some(column.heading.clone()) },
                });
            }
        }
    }

    /// Which cells the row holds.
    #[inline]
    fn choose<C: Cells>(&mut self, cells: &C) -> u32 {
        let found = &self.job.found;
        let lot = found.lot.map_or(&b""[..], |at| cells.cell(at));
        let instrument = found.instrument.map_or(&b""[..], |at| cells.cell(at));
        let name = found.long.map_or(&b""[..], |(at, _)| cells.cell(at));
        self.choices.find([lot, instrument, name], &|| match found.long {
            // With one reading a row, its name says which column of the mapping it is.
            Some(_) => {
                let one = found.columns.iter().position(|(_, one, _)| fits(&one.heading, name));
                one.map_or((0, 0), |one| (one as u32, 1))
            }
            None => (0, found.columns.len() as u32),
        })
    }

    fn unknown<C: Cells>(&mut self, cells: &C, row: u64) {
        let Some((at, _)) = self.job.found.long else { return };
        let shown = text(cells.cell(at));
        let heading = self.job.group.long.as_ref().map_or("", |(name, _)| name);
        let taking = &mut self.part.taking;
        taking.read.event_rows += 1;
        taking.tally.hit(&rules::NAME_UNKNOWN, heading, row, || {
            (format!("`{shown}` is no reading that the mapping knows; such rows are not used"), None)
        });
    }

    /// The family of the row; a new run of rows of its lot where the row before was of another.
    #[inline]
    fn family(&mut self, index: u32, known: u32, row: u64) -> u32 {
        if Some(known) == self.current {
            return known;
        }
        let family = if known == NONE { self.new_family(index) } else { known };
        let families = &self.part.families;
        let run = families.get(family as usize).and_then(|family| family.run);
        let before = self.current.and_then(|at| families.get(at as usize)).map(|family| family.run);
        if before != Some(run)
            && let Some(run) = run.and_then(|run| self.part.runs.get_mut(run))
        {
            if run.count == 0 {
                run.row = row;
            }
            run.count += 1;
        }
        self.current = Some(family);
        family
    }

    #[inline(never)]
    fn new_family(&mut self, index: u32) -> u32 {
        let Some([own, instrument, _]) = self.choices.texts(index) else { return NONE };
        let lot: &[u8] = self.job.named.as_ref().map_or(own, |named| named.as_bytes());
        // The names of one lot and instrument stand in one family.
        let mut key = [lot, instrument].concat();
        key.extend_from_slice(&lot.len().to_le_bytes());
        let known = self.by_both.get(key.as_slice()).copied();
        let family = known.unwrap_or_else(|| {
            let part = &mut self.part;
            let run = (!lot.is_empty()).then(|| {
                *self.by_lot.entry(lot.into()).or_insert_with(|| {
                    part.runs.push(Run { lot: lot.into(), row: 0, count: 0 });
                    part.runs.len() - 1
                })
            });
            let columns = self.job.found.columns.len();
            part.pens.resize_with(part.pens.len() + columns, Pen::default);
            part.blanks.resize_with(part.blanks.len() + columns, Blanks::default);
            part.families.push(Family { lot: lot.into(), instrument: instrument.clone(), run });
            let family = part.families.len() as u32 - 1;
            self.by_both.insert(key.into(), family);
            family
        });
        if self.part.ends.is_none() {
            self.part.ends = Some((lot.into(), lot.into()));
        }
        self.choices.set_family(index, family);
        family
    }
}

/// A cell of a column of numbers that is no plain number, or may be a code.
#[inline(never)]
fn number_cell(
    (pen, blanks): (&mut Pen, Option<&mut Blanks>),
    column: &Column,
    cell: &[u8],
    (at, row, line): (i64, u64, u32),
    taking: &mut Taking,
) {
    let Content::Number { marks, broken, range, .. } = &column.content else { return };
    let numeric = Numeric { column, marks: *marks, broken, range: *range };
    match numeric.read(cell, row, taking) {
        Value::Number(lo, hi) => pen.write(at, line, held(cell, *marks, lo, hi)),
        Value::Broken => {
            pen.write(at, line, Held::Broken);
            taking.read.broken_cells += 1;
        }
        Value::Missing => {
            if let Some(blanks) = blanks {
                blanks.count += 1;
                if blanks.kept.len() < MISSING_KEPT {
                    blanks.kept.push(Missing { at, row: line, file: taking.file });
                }
            }
            taking.read.missing_cells += 1;
        }
    }
}

fn held(cell: &[u8], marks: Marks, lo: f64, hi: f64) -> Held {
    number::plain(cell, marks.decimal).map_or(Held::Spread(lo, hi), Held::Decimal)
}
