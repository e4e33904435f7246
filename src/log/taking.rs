//! One open file while its rows are taken: row classes, times, lots.

use super::clock::Format;
use super::delimited::{self, Kind};
use super::place::{Placer, Unplaced};
use super::tally::Tally;
use super::{FileRead, rules};
use crate::finding::Finding;
use crate::time::Instant;
use std::collections::BTreeMap;

/// One open file while its rows are taken.
pub(crate) struct Taking {
    /// Index among the files.
    pub file: u16,
    pub read: FileRead,
    pub tally: Tally,
    /// Lot codes with the first row and the number of runs of rows.
    pub lots: BTreeMap<String, (u64, u64)>,
    /// The heading over the lot codes.
    pub lot_heading: String,
    /// Instant of the row before.
    pub last_at: Option<i64>,
}

impl Taking {
    /// Nothing taken yet from the file of this name.
    pub fn new(file: u16, name: &str, record: &str) -> Self {
        Taking {
            file,
            read: FileRead { name: name.to_owned(), record: record.to_owned(), ..FileRead::default() },
            tally: Tally::default(),
            lots: BTreeMap::new(),
            lot_heading: String::new(),
            last_at: None,
        }
    }

    /// Counts a row that is no ordinary row; true if it is one. `wanted` is how many cells the headings have.
    pub fn ordinary(&mut self, wanted: usize, row: u64, kind: Kind, findings: &mut Vec<Finding>) -> bool {
        self.read.rows += 1;
        match kind {
            Kind::Full => return true,
            Kind::Blank => self.read.blank_rows += 1,
            Kind::Footer => self.read.footer_rows += 1,
            Kind::Heading => {
                self.read.heading_rows += 1;
                self.tally
                    .hit(&rules::HEADING_AGAIN, "", row, || ("the headings stand again in this row".to_owned(), None));
            }
            Kind::Width(width) => {
                self.read.bad_rows += 1;
                self.tally.hit(&rules::ROW_WIDTH, "", row, || {
                    let message = format!("a row has {width} cells and the headings have {wanted}; it is not used");
                    (message, Some("a decimal comma or an unquoted text may have split a cell; check delimiter and decimal mark".to_owned()))
                });
            }
            Kind::Quote(to) => {
                let swallowed = to.saturating_sub(row);
                self.read.rows += swallowed;
                self.read.bad_rows += swallowed + 1;
                findings.push(delimited::quote_open(&self.read.name, row, to));
            }
        }
        false
    }

    /// Takes in what the next stretch of the same file gave; `first` is its first placed row.
    pub fn absorb(&mut self, next: Taking, first: Option<(i64, u64)>) {
        if let (Some((at, row)), Some(last)) = (first, self.last_at)
            && at < last
        {
            self.back(row);
        }
        self.tally.absorb(next.tally);
        self.last_at = next.last_at.or(self.last_at);
        let (own, new) = (&mut self.read, next.read);
        own.rows += new.rows;
        own.used_rows += new.used_rows;
        own.event_rows += new.event_rows;
        own.blank_rows += new.blank_rows;
        own.heading_rows += new.heading_rows;
        own.footer_rows += new.footer_rows;
        own.unplaced_rows += new.unplaced_rows;
        own.bad_rows += new.bad_rows;
        own.missing_cells += new.missing_cells;
        own.broken_cells += new.broken_cells;
        own.first = own.first.into_iter().chain(new.first).min();
        own.last = own.last.max(new.last);
    }

    fn back(&mut self, row: u64) {
        self.tally.hit(&rules::OUT_OF_ORDER, "", row, || ("a row is earlier than the row before it".to_owned(), None));
    }

    /// Notes the instant of a used row.
    #[inline]
    pub fn placed(&mut self, at: i64, row: u64, ordered: bool) {
        let at_instant = Instant(at);
        self.read.first = Some(self.read.first.map_or(at_instant, |first| first.min(at_instant)));
        self.read.last = Some(self.read.last.map_or(at_instant, |last| last.max(at_instant)));
        if ordered && self.last_at.is_some_and(|last| at < last) {
            self.back(row);
        }
        self.last_at = Some(at);
    }

    /// Reports a time that could not be placed.
    pub fn unplaced(&mut self, why: Unplaced, shown: &str, column: &str, row: u64, placer: &Placer<'_>) {
        let format = &placer.format.text;
        match why {
            Unplaced::Blank => self.tally.hit(&rules::TIME_UNREADABLE, column, row, || {
                (format!("the time in column `{column}` is blank beside values that need one"), None)
            }),
            Unplaced::Unreadable => self.tally.hit(&rules::TIME_UNREADABLE, column, row, || {
                let swapped =
                    swapped(format).and_then(|other| Format::new(&other).ok()?.read(shown.as_bytes()).map(|_| other));
                let help =
                    swapped.map(|other| format!("it can be read as `{other}`: check the order of day and month"));
                (format!("`{shown}` in column `{column}` is no time of the form `{format}`"), help)
            }),
            Unplaced::Never => self.tally.hit(&rules::TIME_NEVER, column, row, || {
                let help = "check `zone`: a logger that keeps one offset all year needs `offset`".to_owned();
                (
                    format!("`{shown}` in column `{column}` never was: the clock had been put forward over it"),
                    Some(help),
                )
            }),
            Unplaced::Twice => {
                let why = placer.fold_reason();
                self.tally.hit(&rules::TIME_TWICE, column, row, || {
                    let help = "declare `offset` if the logger never changes its clock, or `repeated-hour: row-order` if it does".to_owned();
                    (format!("`{shown}` in column `{column}` was there twice, and {why}"), Some(help))
                });
            }
        }
    }

    /// Notes that no day proves the order of day and month.
    pub fn order(&mut self, placer: &Placer<'_>, column: &str, heading_row: u64) {
        if placer.format.order_matters && !placer.order_proved && self.read.first.is_some() {
            let format = &placer.format.text;
            self.tally.hit(&rules::ORDER_UNPROVED, column, heading_row + 1, || {
                let help = "compare one date with a paper record or with the logger itself".to_owned();
                (format!("no day in column `{column}` is later than the 12th, so the file does not prove the order of `{format}`"), Some(help))
            });
        }
    }

    /// Notes a lot code where it begins.
    pub fn lot(&mut self, code: &str, row: u64) {
        if let Some((_, count)) = self.lots.get_mut(code) {
            *count += 1;
        } else {
            self.lots.insert(code.to_owned(), (row, 1));
        }
    }

    /// A cell without which the row shows nothing is blank.
    pub fn blank_cell(&mut self, column: &str, row: u64) {
        self.tally.hit(&rules::CELL_BLANK, column, row, || {
            (format!("column `{column}` is blank, and the row shows nothing without it"), None)
        });
    }

    /// The row's physical line as the entries hold it.
    pub fn line(row: u64) -> u32 {
        u32::try_from(row).unwrap_or(u32::MAX)
    }
}

/// The same format with day and month in each other's place.
fn swapped(format: &str) -> Option<String> {
    let (day, month) = (format.find("%d")?, format.find("%m")?);
    let mut text = format.to_owned();
    text.replace_range(day..day + 2, "%m");
    text.replace_range(month..month + 2, "%d");
    Some(text)
}
