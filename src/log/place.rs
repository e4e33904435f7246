//! From what the clock on the wall showed to an instant, or to the reason why not.

use super::clock::{Format, Memo, Wall};
use super::delimited::{Cells, Kind, Sheet};
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

/// What one repeated hour looks like in the rows of a file.
#[derive(Debug, Default)]
struct Fold {
    rows: u64,
    /// Rows that step back, each with the step that it would really be.
    back: Vec<(u64, i64)>,
    /// A row with the time of the row before it.
    level: Option<u64>,
    /// The longest step forward.
    longest: i64,
}

const QUARTER: i64 = 15 * MINUTE;
const DAY: i64 = 24 * 60 * MINUTE;

/// Places the times of one file.
pub(crate) struct Placer<'m> {
    pub format: &'m Format,
    zone: Zone,
    /// Whether the repeated hour goes by row order, and whether the file was looked over for it.
    row_order: bool,
    looked: bool,
    /// For each local day with a repeated hour that is settled, the first row after the clock was put back.
    turns: BTreeMap<i64, u64>,
    reason: &'static str,
    /// A quarter of an hour on the wall clock, and the offset that holds all through it.
    cached: Option<(i64, i64)>,
    /// Whether some day is later than the 12th.
    pub order_proved: bool,
    /// Whether the repeated hour was met where the file could not be looked over.
    pub to_look: bool,
    joined: Vec<u8>,
    memo: Memo,
    /// The cell that was placed last without any doubt, and its instant.
    again: (Vec<u8>, Option<i64>),
}

impl<'m> Placer<'m> {
    pub fn new(clock: &'m Clock, format: &'m Format) -> Self {
        Self {
            format,
            zone: clock.zone,
            row_order: clock.row_order,
            looked: false,
            turns: BTreeMap::new(),
            reason: "the mapping does not say which it is",
            cached: None,
            order_proved: false,
            to_look: false,
            joined: Vec::new(),
            memo: Memo::default(),
            again: (Vec::new(), None),
        }
    }

    /// Looks over a whole file for the row at which the clock was put back: one step back in the repeated hour,
    /// and none elsewhere, that makes a usual step once the hour is counted.
    fn look_over(&mut self, sheet: &Sheet<'_>, columns: &[usize]) {
        let mut days: BTreeMap<i64, Fold> = BTreeMap::new();
        let mut before: Option<(i64, bool)> = None;
        let (mut level, mut outside) = (0, false);
        let mut rows = sheet.rows();
        while let Some((row, kind)) = rows.next() {
            let Some(wall) = (kind == Kind::Full).then(|| self.wall(&rows, columns)).flatten() else {
                continue;
            };
            let twice = matches!(self.lookup(wall.local), Err(Placed::Twice(..)));
            let step = before.map_or(0, |(last, _)| wall.local - last);
            level += u64::from(before.is_some() && step == 0);
            if twice {
                let fold = days.entry(wall.local.div_euclid(DAY)).or_default();
                fold.rows += 1;
                let inside = before.is_some_and(|(_, twice)| twice);
                if step < 0 && inside {
                    fold.back.push((row, 60 * MINUTE + step));
                } else if step == 0 && inside {
                    fold.level = Some(row);
                } else if inside {
                    fold.longest = fold.longest.max(step);
                }
                outside |= step < 0 && !inside;
            } else {
                outside |= step < 0;
            }
            before = Some((wall.local, twice));
        }
        let mut turns = BTreeMap::new();
        for (day, fold) in days {
            match (fold.back.as_slice(), fold.level) {
                // Two and a half steps: one missed reading is a usual step, two are not.
                (&[(row, true_step)], _) if (0..=fold.longest * 5 / 2).contains(&true_step) => {
                    turns.insert(day, row);
                }
                ([_], _) => self.reason = "they do not step back by one hour",
                ([_, _, ..], _) => self.reason = "they step back more than once",
                // Hourly rows meet the repeated hour as one pair of equal times, the only one in the file.
                ([], Some(row)) if fold.rows == 2 && level == 1 => {
                    turns.insert(day, row);
                }
                ([], _) => self.reason = "the rows do not step back in time, so their order does not tell",
            }
        }
        if outside {
            self.reason = "they step back outside the repeated hour too";
            turns.clear();
        }
        self.turns = turns;
    }

    /// Why rows of the repeated hour are not placed.
    pub fn fold_reason(&self) -> &'static str {
        self.reason
    }

    fn wall(&mut self, rows: &impl Cells, columns: &[usize]) -> Option<Wall> {
        match columns {
            [one] => self.format.read_after(&mut self.memo, rows.cell(*one)),
            _ => {
                self.joined.clear();
                for &column in columns {
                    if !self.joined.is_empty() {
                        self.joined.push(b' ');
                    }
                    self.joined.extend_from_slice(rows.cell(column));
                }
                self.format.read_after(&mut self.memo, &self.joined)
            }
        }
    }

    /// The instant of a row. Where only a part of the file is at hand it cannot be looked over for the repeated hour.
    pub fn row(
        &mut self,
        sheet: Option<&Sheet<'_>>,
        rows: &impl Cells,
        columns: &[usize],
        row: u64,
    ) -> Result<i64, Unplaced> {
        let one = match columns {
            [one] => Some(rows.cell(*one)),
            _ => None,
        };
        if let ((same, Some(at)), Some(cell)) = (&self.again, one)
            && same == cell
        {
            return Ok(*at);
        }
        self.again.1 = None;
        let Some(wall) = self.wall(rows, columns) else {
            let blank = columns.iter().all(|&column| rows.cell(column).is_empty());
            return Err(if blank { Unplaced::Blank } else { Unplaced::Unreadable });
        };
        match self.place(wall, row) {
            Err(Unplaced::Twice) if self.row_order && !self.looked => {
                let Some(sheet) = sheet else {
                    self.to_look = true;
                    return Err(Unplaced::Twice);
                };
                self.looked = true;
                self.look_over(sheet, columns);
                self.place(wall, row)
            }
            placed => {
                if let (Ok(at), Some(cell)) = (placed, one)
                    && self.turns.is_empty()
                {
                    self.again.0.clear();
                    self.again.0.extend_from_slice(cell);
                    self.again.1 = Some(at);
                }
                placed
            }
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
            Err(Placed::Twice(Instant(first), Instant(second))) => match self.turns.get(&wall.local.div_euclid(DAY)) {
                Some(&turn) => Ok(if row < turn { first } else { second }),
                None => Err(Unplaced::Twice),
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
