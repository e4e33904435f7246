//! From what the clock on the wall showed to an instant, or to the reason why not.

use super::clock::{Format, Wall};
use super::delimited::{Kind, Rows, Sheet};
use super::mapping::Clock;
use crate::time::{Instant, MINUTE, Placed, Zone};
use chrono::DateTime;
use std::collections::BTreeMap;

/// Why a row has no instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unplaced {
    /// The cell is blank.
    Blank,
    /// The cell is no time of this format.
    Unreadable,
    /// The local time never was.
    Never,
    /// The local time was there twice.
    Twice,
}

/// How the rows of a file stand to the hour that comes twice.
#[derive(Debug, Clone)]
pub(crate) enum Folds {
    /// The mapping refuses to settle it.
    Refused,
    /// For each local day with a repeated hour, the first row after the clock was put back.
    ByRow(BTreeMap<i64, u64>),
    /// The mapping asks for the order of rows, and the rows do not step back as they should.
    Unfit(&'static str),
}

const QUARTER: i64 = 15 * MINUTE;
const DAY: i64 = 24 * 60 * MINUTE;

/// Places the times of one file.
pub(crate) struct Placer<'m> {
    pub format: &'m Format,
    zone: Zone,
    folds: Folds,
    /// A quarter of an hour on the wall clock, and the offset that holds all through it.
    cached: Option<(i64, i64)>,
    /// Whether some day is later than the 12th.
    pub order_proved: bool,
    joined: Vec<u8>,
}

impl<'m> Placer<'m> {
    pub fn new(clock: &'m Clock, format: &'m Format) -> Self {
        Self { format, zone: clock.zone, folds: Folds::Refused, cached: None, order_proved: false, joined: Vec::new() }
    }

    /// Looks over a whole file for the row at which the clock was put back.
    pub fn look_over(&mut self, sheet: &Sheet<'_>, columns: &[usize]) {
        if self.format.has_offset || !matches!(self.zone, Zone::Named(_)) {
            return;
        }
        let mut folds = BTreeMap::new();
        let mut before: Option<(i64, bool)> = None;
        let mut level = BTreeMap::new();
        let mut fault = None;
        let mut rows = sheet.rows();
        while let Some((row, kind)) = rows.next() {
            if kind != Kind::Full {
                continue;
            }
            let Some(wall) = self.wall(&rows, columns) else { continue };
            let twice = matches!(self.lookup(wall.local), Err(Placed::Twice(..)));
            if let Some((last, last_twice)) = before {
                let back = last - wall.local;
                if back > 0 && twice && last_twice && back <= 60 * MINUTE {
                    if folds.insert(wall.local.div_euclid(DAY), row).is_some() {
                        fault = Some("they step back more than once");
                    }
                } else if back > 0 {
                    fault = Some("they step back outside the repeated hour too");
                } else if back == 0 && twice {
                    level.entry(wall.local.div_euclid(DAY)).or_insert_with(Vec::new).push(row);
                }
            }
            before = Some((wall.local, twice));
        }
        // Hourly rows meet the repeated hour as one pair of equal times.
        for (day, rows) in level {
            if let (false, [row]) = (folds.contains_key(&day), rows.as_slice()) {
                folds.insert(day, *row);
            }
        }
        self.folds = match fault {
            Some(fault) => Folds::Unfit(fault),
            None => Folds::ByRow(folds),
        };
    }

    /// Why rows of the repeated hour are not placed.
    pub fn fold_reason(&self) -> &'static str {
        match self.folds {
            Folds::Refused => "the mapping does not say which it is",
            Folds::ByRow(_) => "the rows do not step back in time, so their order does not tell",
            Folds::Unfit(why) => why,
        }
    }

    fn wall(&mut self, rows: &Rows<'_>, columns: &[usize]) -> Option<Wall> {
        match columns {
            [one] => self.format.read(rows.cell(*one)),
            _ => {
                self.joined.clear();
                for &column in columns {
                    if !self.joined.is_empty() {
                        self.joined.push(b' ');
                    }
                    self.joined.extend_from_slice(rows.cell(column));
                }
                self.format.read(&self.joined)
            }
        }
    }

    /// The instant of a row.
    pub fn row(&mut self, rows: &Rows<'_>, columns: &[usize], row: u64) -> Result<i64, Unplaced> {
        match self.wall(rows, columns) {
            Some(wall) => self.place(wall, row),
            None if columns.iter().all(|&column| rows.cell(column).is_empty()) => Err(Unplaced::Blank),
            None => Err(Unplaced::Unreadable),
        }
    }

    /// The instant of one cell.
    pub fn cell(&mut self, cell: &[u8], row: u64) -> Result<i64, Unplaced> {
        match self.format.read(cell) {
            Some(wall) => self.place(wall, row),
            None if cell.is_empty() => Err(Unplaced::Blank),
            None => Err(Unplaced::Unreadable),
        }
    }

    fn place(&mut self, wall: Wall, row: u64) -> Result<i64, Unplaced> {
        self.order_proved |= wall.day > 12;
        if let Some(offset) = wall.offset {
            return wall.local.checked_sub(i64::from(offset) * crate::time::SECOND).ok_or(Unplaced::Unreadable);
        }
        if !self.format.has_time {
            let day = DateTime::from_timestamp_nanos(wall.local).date_naive();
            return self.zone.start_of(day).map(|at| at.0).ok_or(Unplaced::Never);
        }
        match self.lookup(wall.local) {
            Ok(at) => Ok(at),
            Err(Placed::Twice(Instant(first), Instant(second))) => match &self.folds {
                Folds::ByRow(folds) => match folds.get(&wall.local.div_euclid(DAY)) {
                    Some(&turn) => Ok(if row < turn { first } else { second }),
                    None => Err(Unplaced::Twice),
                },
                _ => Err(Unplaced::Twice),
            },
            Err(_) => Err(Unplaced::Never),
        }
    }

    /// One instant for a time on the wall, or what stands against it. Within a quarter of an hour whose first
    /// and last instant have one offset, the offset holds throughout.
    fn lookup(&mut self, local: i64) -> Result<i64, Placed> {
        let quarter = local.div_euclid(QUARTER);
        if let Some((held, offset)) = self.cached
            && held == quarter
        {
            return Ok(local - offset);
        }
        let place = |local: i64| self.zone.place(DateTime::from_timestamp_nanos(local).naive_utc());
        let start = quarter.saturating_mul(QUARTER);
        if let (Placed::Once(a), Placed::Once(b)) = (place(start), place(start.saturating_add(QUARTER - 1)))
            && start - a.0 == start.saturating_add(QUARTER - 1) - b.0
        {
            self.cached = Some((quarter, start - a.0));
        }
        match place(local) {
            Placed::Once(at) => Ok(at.0),
            other => Err(other),
        }
    }
}
