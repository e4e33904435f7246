//! When an entry was written, beside the time that it is about.

use super::clock::Format;
use super::delimited::{Cells, Sheet, text};
use super::intake;
use super::mapping::Table;
use super::place::{Placer, Unplaced};
use super::taking::Taking;
use crate::finding::Finding;
use crate::source::Cell;
use crate::time::Instant;

/// The column that says when each entry was written.
#[derive(Debug, Clone)]
pub struct Entered {
    /// The heading over it.
    pub column: String,
    /// How the times in it are written.
    pub format: Format,
}

/// One row of a typed record, with when it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The record of the plan.
    pub record: String,
    /// The lot, where the row names one.
    pub lot: Option<String>,
    /// The time that the entry is about.
    pub at: Instant,
    /// The smaller step of the two times, in nanoseconds.
    pub resolution: i64,
    /// When it was written; `None` where the cell is blank or unreadable.
    pub entered: Option<Instant>,
    /// Where it stands.
    pub cell: Cell,
}

/// Where the column stands in one file, if the mapping names one and the file has it.
pub(super) fn place(
    entered: Option<&Entered>,
    table: &Table,
    sheet: &Sheet<'_>,
    findings: &mut Vec<Finding>,
) -> Option<usize> {
    let found = intake::columns(sheet, [&entered?.column], table.at, findings)?;
    found.first().copied()
}

/// Reads the column of one file.
pub(super) struct Column<'m> {
    at: usize,
    heading: &'m str,
    placer: Placer<'m>,
}

impl<'m> Column<'m> {
    /// The column that stands at this place.
    pub fn new(at: Option<usize>, entered: Option<&'m Entered>, table: &'m Table) -> Option<Self> {
        let (at, entered) = at.zip(entered)?;
        Some(Column { at, heading: &entered.column, placer: Placer::new(&table.clock, &entered.format) })
    }

    /// What one row says.
    pub fn row(
        &mut self,
        rows: &impl Cells,
        (row, at, resolution): (u64, i64, i64),
        (record, lot): (&str, Option<String>),
        file: &str,
        taking: &mut Taking,
    ) -> Written {
        let cell = rows.cell(self.at);
        let entered = match self.placer.cell(cell, row) {
            Ok(entered) => Some(Instant(entered)),
            Err(Unplaced::Blank) => {
                taking.read.missing_cells += 1;
                None
            }
            Err(why) => {
                taking.read.broken_cells += 1;
                taking.unplaced(why, &text(cell), self.heading, row, &self.placer);
                None
            }
        };
        Written {
            record: record.to_owned(),
            lot,
            at: Instant(at),
            resolution: resolution.max(self.placer.format.resolution),
            entered,
            cell: Cell { file: file.to_owned(), row, column: Some(self.heading.to_owned()) },
        }
    }
}
