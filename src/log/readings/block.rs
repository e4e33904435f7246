//! The rows of one stretch of a file: what they give by itself, whatever stands before and behind.

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
use std::ops::Range;

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

/// A cell as it stands, kept.
pub(super) type Code = Box<[u8]>;

/// The readings of one column out of a stretch.
#[derive(Debug, Default)]
pub(super) struct Series {
    pub pen: Pen,
    pub missing: Vec<Missing>,
    pub missing_count: u64,
}

/// What a stretch holds of one lot and instrument.
#[derive(Debug)]
pub(super) struct Family {
    pub lot: Box<[u8]>,
    pub instrument: Box<[u8]>,
    run: Option<usize>,
    pub columns: Vec<Series>,
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

/// Cells that belong together: those of one lot and instrument, and of one name where each row holds one reading.
struct Chosen {
    key: Box<[u8]>,
    parts: [usize; 2],
    columns: Option<Range<usize>>,
    family: Option<usize>,
    /// What followed it last time.
    next: usize,
}

struct Taker<'j> {
    job: &'j Job<'j>,
    placer: Placer<'j>,
    entered: Option<entered::Column<'j>>,
    whole: bool,
    part: Part,
    chosen: Vec<Chosen>,
    by_key: HashMap<Box<[u8]>, usize>,
    by_both: HashMap<Box<[u8]>, usize>,
    by_lot: HashMap<Box<[u8]>, usize>,
    last: usize,
    current: Option<usize>,
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
        chosen: Vec::new(),
        by_key: HashMap::new(),
        by_both: HashMap::new(),
        by_lot: HashMap::new(),
        last: usize::MAX,
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
    let Taker { mut part, placer, current, chosen: _, .. } = taker;
    part.order_proved = placer.order_proved;
    if let (Some(last), Some((_, end))) = (current.and_then(|at| part.families.get(at)), &mut part.ends) {
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
        let Some(columns) = self.chosen.get(index).and_then(|chosen| chosen.columns.clone()) else {
            self.unknown(cells, row);
            return;
        };
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
        let family = self.family(index, row);
        let part = &mut self.part;
        let Some(family) = part.families.get_mut(family) else { return };
        let line = Taking::line(row);
        let chosen = family.columns.iter_mut().zip(&self.quick).zip(&found.columns);
        for ((series, quick), (place, column, _)) in chosen.take(columns.end).skip(columns.start) {
            let cell = cells.cell(*place);
            if let Some(quick) = quick {
                if let Some(decimal) = number::plain(cell, quick.marks.decimal) {
                    let value = decimal.value();
                    if quick.range.0 <= value && value <= quick.range.1 && !quick.codes.contains(&value) {
                        series.pen.write(at, line, Held::Decimal(decimal));
                        continue;
                    }
                }
                number_cell(series, column, cell, (at, row, line), &mut part.taking);
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

    /// Which cells the row holds, found again where the rows come in the order in which they came before.
    #[inline]
    fn choose<C: Cells>(&mut self, cells: &C) -> usize {
        let found = &self.job.found;
        let lot = found.lot.map_or(&b""[..], |at| cells.cell(at));
        let instrument = found.instrument.map_or(&b""[..], |at| cells.cell(at));
        let name = found.long.map_or(&b""[..], |(at, _)| cells.cell(at));
        let guess = self.chosen.get(self.last).map_or(usize::MAX, |last| last.next);
        if self.chosen.get(guess).is_some_and(|chosen| chosen.is(lot, instrument, name)) {
            self.last = guess;
            return guess;
        }
        let index = self.look_up(lot, instrument, name);
        if let Some(last) = self.chosen.get_mut(self.last) {
            last.next = index;
        }
        self.last = index;
        index
    }

    #[inline(never)]
    fn look_up(&mut self, lot: &[u8], instrument: &[u8], name: &[u8]) -> usize {
        let parts = [lot.len(), lot.len() + instrument.len()];
        let mut key = [lot, instrument, name].concat();
        for end in parts {
            key.extend_from_slice(&end.to_le_bytes());
        }
        if let Some(&index) = self.by_key.get(key.as_slice()) {
            return index;
        }
        let found = &self.job.found;
        // With one reading a row, its name says which column of the mapping it is.
        let columns = match found.long {
            Some(_) => {
                let one = found.columns.iter().position(|(_, one, _)| fits(&one.heading, name));
                one.map(|one| one..one + 1)
            }
            None => Some(0..found.columns.len()),
        };
        let index = self.chosen.len();
        self.by_key.insert(key.into(), index);
        let key = [lot, instrument, name].concat().into();
        self.chosen.push(Chosen { key, parts, columns, family: None, next: index });
        index
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
    fn family(&mut self, index: usize, row: u64) -> usize {
        let known = self.chosen.get(index).and_then(|chosen| chosen.family);
        if let Some(family) = known.filter(|family| Some(*family) == self.current) {
            return family;
        }
        let family = known.unwrap_or_else(|| self.new_family(index));
        let families = &self.part.families;
        let run = families.get(family).and_then(|family| family.run);
        let before = self.current.and_then(|at| families.get(at)).map(|family| family.run);
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
    fn new_family(&mut self, index: usize) -> usize {
        let Some(chosen) = self.chosen.get_mut(index) else { return usize::MAX };
        let own = chosen.key.get(..chosen.parts[0]).unwrap_or_default();
        let lot: &[u8] = self.job.named.as_ref().map_or(own, |named| named.as_bytes());
        let instrument = chosen.key.get(chosen.parts[0]..chosen.parts[1]).unwrap_or_default();
        let same = |family: &Family| *family.lot == *lot && *family.instrument == *instrument;
        // The names of one lot and instrument stand in one family.
        let mut key = [lot, instrument].concat();
        key.extend_from_slice(&lot.len().to_le_bytes());
        let known = self.by_both.get(key.as_slice()).copied();
        let family = known.unwrap_or_else(|| {
            let families = &mut self.part.families;
            let run = (!lot.is_empty()).then(|| {
                let runs = &mut self.part.runs;
                *self.by_lot.entry(lot.into()).or_insert_with(|| {
                    runs.push(Run { lot: lot.into(), row: 0, count: 0 });
                    runs.len() - 1
                })
            });
            let columns = std::iter::repeat_with(Series::default).take(self.job.found.columns.len()).collect();
            families.push(Family { lot: lot.into(), instrument: instrument.into(), run, columns });
            self.by_both.insert(key.into(), families.len() - 1);
            families.len() - 1
        });
        debug_assert!(self.part.families.get(family).is_some_and(same));
        if self.part.ends.is_none() {
            self.part.ends = Some((lot.into(), lot.into()));
        }
        chosen.family = Some(family);
        family
    }
}

impl Chosen {
    #[inline]
    fn is(&self, lot: &[u8], instrument: &[u8], name: &[u8]) -> bool {
        let [first, second] = self.parts;
        let part = |range: Range<usize>| self.key.get(range).unwrap_or_default();
        lot.len() == first
            && lot.len() + instrument.len() == second
            && part(second..self.key.len()) == name
            && part(0..first) == lot
            && part(first..second) == instrument
    }
}

/// A cell of a column of numbers that is no plain number, or may be a code.
#[inline(never)]
fn number_cell(
    series: &mut Series,
    column: &Column,
    cell: &[u8],
    (at, row, line): (i64, u64, u32),
    taking: &mut Taking,
) {
    let Content::Number { marks, broken, range, .. } = &column.content else { return };
    let numeric = Numeric { column, marks: *marks, broken, range: *range };
    match numeric.read(cell, row, taking) {
        Value::Number(lo, hi) => series.pen.write(at, line, held(cell, *marks, lo, hi)),
        Value::Broken => {
            series.pen.write(at, line, Held::Broken);
            taking.read.broken_cells += 1;
        }
        Value::Missing => {
            series.missing_count += 1;
            if series.missing.len() < MISSING_KEPT {
                series.missing.push(Missing { at, row: line, file: taking.file });
            }
            taking.read.missing_cells += 1;
        }
    }
}

fn held(cell: &[u8], marks: Marks, lo: f64, hi: f64) -> Held {
    number::plain(cell, marks.decimal).map_or(Held::Spread(lo, hi), Held::Decimal)
}
