//! What each row of a file is: a line before the headings, a heading, a row of the table, a footer.

use super::columns::{Column, columns};
use super::dialect::usual_width;
use super::split::{Row, Rows};

/// What a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// Before the headings.
    Preamble,
    /// Headings.
    Heading,
    /// The headings once more.
    HeadingAgain,
    /// A row of the table.
    Data,
    /// A row of the table with nothing in its cells.
    Blank,
    /// Badly written, of another width, or with a cell of another kind than its column.
    Damaged,
    /// Below the table.
    Footer,
}

/// The classes of all rows.
#[derive(Debug, Default)]
pub struct Layout {
    /// One for each row.
    pub classes: Vec<Class>,
    /// How many cells a row of the table has.
    pub width: usize,
    /// The columns.
    pub columns: Vec<Column>,
    /// Rows that are headings of another kind, by index.
    pub other_headings: Vec<usize>,
}

/// What a person has said about the layout.
#[derive(Debug, Clone, Copy, Default)]
pub struct Shape {
    /// How many rows are headings.
    pub headings: Option<usize>,
    /// Whether the lines before the headings were said, and are gone already.
    pub preamble_said: bool,
    /// How many rows stand below the table.
    pub footer: Option<usize>,
}

/// How many rows tell what the columns of the first table hold.
const EARLY: usize = 40;
/// The most rows of headings that are looked for.
const MOST_HEADINGS: usize = 4;

/// Lays out the rows.
#[must_use]
pub fn lay_out(rows: &Rows, shape: Shape) -> Layout {
    let width = usual_width(rows);
    let all = &rows.rows;
    let mut classes = vec![Class::Data; all.len()];
    let footers = footers(rows, width, shape);
    let end = all.len() - footers;
    for class in classes.iter_mut().skip(end) {
        *class = Class::Footer;
    }
    let body = all.get(..end).unwrap_or_default();
    let fits = |row: &&Row| row.width() == width && row.fault.is_none();
    // The first rows may be headings of any number, so the kinds come from what stands below them.
    let begin = body.iter().position(|row| row.width() == width).unwrap_or(0);
    let below: Vec<&Row> = body.iter().skip(begin + 1).filter(fits).collect();
    let skipped = if below.len() > 2 * MOST_HEADINGS { MOST_HEADINGS - 1 } else { 0 };
    let half = (below.len() / 2).max(2 * MOST_HEADINGS);
    let early = columns(rows, below.iter().skip(skipped).take(EARLY.min(half)).copied(), width);
    let heads = |row: &Row| heading_like(rows, row, &early);
    let data = |row: &Row| data_like(rows, row, &early);
    let (mut first, mut count) = (begin, 0);
    if let Some(headings) = shape.headings {
        count = headings;
        if shape.preamble_said {
            first = 0;
        }
    } else if !shape.preamble_said {
        // A title whose line is filled up with empty cells.
        let filled =
            |at: usize| body.get(at).map_or(0, |row| rows.cells(row).filter(|cell| !cell.trim().is_empty()).count());
        let thin =
            |at: usize| filled(at) * 2 <= width && body.get(at).is_some_and(|row| row.width() == width && !data(row));
        let above = (first..body.len()).take_while(|at| *at < first + EARLY && thin(*at)).count();
        if above > 0 && width > 1 && (filled(first) > 0 || above > 1) && first + above < body.len() {
            first += above;
        }
    }
    if shape.headings.is_none() {
        if shape.preamble_said {
            first = 0;
        }
        let looks = body.get(first).map(|row| (data(row), row));
        let above = first.checked_sub(1).and_then(|at| body.get(at));
        match (looks, above) {
            // Headings of another width than the rows, above the first row that is data.
            (Some((true, _)), Some(row)) if row.width() > 1 && !data(row) && width > 2 => {
                first -= 1;
                count = 1;
            }
            (Some((true, _)), _) => count = 0,
            (Some((false, _)), _) => {
                count = 1;
                while count < MOST_HEADINGS
                    && body.len() > first + count + 2
                    && body.get(first + count).is_some_and(|row| row.width() == width && heads(row))
                {
                    count += 1;
                }
            }
            (None, _) => {}
        }
    }
    for class in classes.iter_mut().take(first) {
        *class = Class::Preamble;
    }
    for class in classes.iter_mut().skip(first).take(count) {
        *class = Class::Heading;
    }
    let table = first + count;
    let headings: Vec<&Row> = body.iter().skip(first).take(count).collect();
    let mut other_headings = Vec::new();
    for (at, row) in body.iter().enumerate().skip(table) {
        let class = if headings.iter().any(|head| rows.cells(head).eq(rows.cells(row))) && row.fault.is_none() {
            Class::HeadingAgain
        } else if row.fault.is_some() || row.width() != width {
            Class::Damaged
        } else if rows.cells(row).all(|cell| cell.trim().is_empty()) {
            Class::Blank
        } else {
            if heads(row) {
                other_headings.push(at);
            }
            Class::Data
        };
        if let Some(slot) = classes.get_mut(at) {
            *slot = class;
        }
    }
    let sound: Vec<&Row> =
        all.iter().zip(&classes).filter(|(_, class)| **class == Class::Data).map(|(row, _)| row).collect();
    let mut columns = columns(rows, sound.iter().copied(), width);
    // Where a second table begins, the first one tells what its columns hold.
    for (column, early) in columns.iter_mut().zip(early) {
        if column.family.is_none() && early.family.is_some() && early.filled >= 8 {
            *column = early;
        }
    }
    Layout { classes, width, columns, other_headings }
}

/// Text over at least one column of numbers or times, and no number or time in any of them.
fn heading_like(rows: &Rows, row: &Row, columns: &[Column]) -> bool {
    let said: Vec<bool> =
        columns.iter().enumerate().filter_map(|(at, column)| column.heads(rows.cell(row, at))).collect();
    let known = columns.iter().filter(|column| column.family.is_some()).count();
    !said.is_empty() && said.iter().all(|heads| *heads) && said.len() * 2 >= known
}

/// A number or time in at least one column of such.
fn data_like(rows: &Rows, row: &Row, columns: &[Column]) -> bool {
    let said: Vec<bool> =
        columns.iter().enumerate().filter_map(|(at, column)| column.heads(rows.cell(row, at))).collect();
    let fits = said.iter().filter(|heads| !**heads).count();
    fits > 0 && fits * 2 >= said.len()
}

/// How many rows at the end stand below the table: narrow, behind the last row of the usual width.
fn footers(rows: &Rows, width: usize, shape: Shape) -> usize {
    if let Some(footer) = shape.footer {
        return footer.min(rows.rows.len());
    }
    if width < 2 {
        return 0;
    }
    let narrow = |row: &&Row| row.width() * 2 <= width || (row.width() == 1 && width > 1);
    let count = rows.rows.iter().rev().take_while(narrow).count();
    if count < rows.rows.len() { count } else { 0 }
}
