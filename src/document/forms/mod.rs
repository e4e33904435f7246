//! Plan → blank record forms: what is to be written down, on paper, with the limits of the plan printed on each sheet.
//!
//! The fields follow what the rules ask of records: 9 CFR 417.5(a)(3), (b) and (c); 21 CFR 117.305, 123.9(a) and
//! 120.12(b): establishment and place, date and time, product and lot, the actual value, who wrote it, who reviewed it
//! and when.

mod monitoring;
mod responses;
mod verification;

use super::html::{Fault, write};
use super::labels::Labels;
use super::page::{Block, Cell, Fact, Group, Page, Row, Section, Table, number};
use super::{Order, sections};
use crate::plan::{Limit, LimitKind, Plan};

/// The forms of a plan as one HTML file, a sheet each.
///
/// # Errors
/// A fault of a template; the shipped ones are covered by tests.
pub fn forms(order: &Order<'_>) -> Result<String, Fault> {
    write(&page_of(order))
}

/// The same before it is HTML.
#[must_use]
pub fn page_of(order: &Order<'_>) -> Page {
    let labels = Labels::new(order.plan);
    let mut sheets = monitoring::sheets(&labels);
    sheets.extend(responses::corrective(&labels));
    sheets.push(responses::unforeseen());
    sheets.extend(verification::calibration(&labels));
    sheets.extend(verification::activities(&labels));
    sheets.push(verification::before_shipping(&labels));
    let mut sheets: Vec<Section> = sheets.into_iter().map(|sheet| headed(&labels, sheet)).collect();
    number(&mut sheets, "");
    let document = sections::cover::page(order, &labels, sheets);
    Page {
        kind: "Record forms".to_owned(),
        head: (document.owner.clone(), document.title.clone()),
        cover: vec![Block::note(
            "caution",
            "Before use",
            vec![
                Cell::text(
                    "Blank forms made from the plan: one sheet each, with its limits as the plan has them. A new revision of the plan makes new forms.",
                ),
                Cell::text(
                    "Write the value that was read, when it was read, and initial it. Strike out a slip with one line, so that it can still be read. Which records the law of the place asks for, people must see.",
                ),
            ],
        )],
        sheets: true,
        compact: false,
        ..document
    }
}

/// The lines at the head of every sheet.
fn headed(labels: &Labels<'_>, mut sheet: Section) -> Section {
    let head = labels.plan().head.as_ref();
    let place = head.map(|head| {
        [&head.establishment, &head.address].into_iter().flatten().map(String::as_str).collect::<Vec<_>>().join(", ")
    });
    let products: Vec<&str> =
        labels.plan().products.iter().map(|product| Plan::title(&product.name, &product.title)).collect();
    let mut facts =
        vec![Fact::new("Establishment", place.filter(|text| !text.is_empty()).map_or(Cell::empty(), Cell::text))];
    facts.push(Fact::new("Product", if products.len() == 1 { Cell::texts(products) } else { Cell::empty() }));
    facts.push(Fact::new("Date", Cell::empty()));
    sheet.blocks.insert(0, Block::Facts { facts });
    sheet.own_page()
}

/// A table to be filled in, with as many empty rows as its sheet has room for beside these blocks.
fn blank(caption: &str, columns: &[(&str, u32)], beside: &[Block], sheet: Sheet) -> Block {
    let head = columns.iter().map(|(title, share)| sheet.lines(title, *share)).max().unwrap_or(1);
    let mut left = sheet.high()
        - FIXED
        - CAPTION
        - text_height(head)
        - beside.iter().map(|block| sheet.height(block)).sum::<f64>();
    // Too little for a shift: the sheet goes on overleaf.
    if left < 5.0 * ENTRY {
        left = left.max(0.0) + sheet.high() - CAPTION;
    }
    let row = || Row::new(columns.iter().map(|_| Cell::empty()).collect());
    let mut rows = vec![row(), row(), row()];
    let mut used = ENTRY * 3.0;
    while used + ENTRY <= left {
        rows.push(row());
        used += ENTRY;
    }
    Block::Table(Table::new(caption, columns, vec![Group { id: String::new(), rows }]).look("form"))
}

/// Heading and head lines of a sheet, the line for its reviewer and one paragraph, in millimetres.
const FIXED: f64 = 50.0;
/// A caption with the space around its table.
const CAPTION: f64 = 10.0;
/// A row to write in.
const ENTRY: f64 = 8.4;

/// A row of so many lines of print.
fn text_height(lines: usize) -> f64 {
    3.0 + 4.1 * f64::from(u32::try_from(lines).unwrap_or(u32::MAX))
}

/// How a sheet lies; sizes hold for A4 and Letter alike.
#[derive(Debug, Clone, Copy)]
enum Sheet {
    Upright,
    Across,
}

impl Sheet {
    /// Height of what is printed, in millimetres.
    fn high(self) -> f64 {
        match self {
            Sheet::Upright => 243.0,
            Sheet::Across => 180.0,
        }
    }

    /// How many lines a text takes in a column with this share of the width, at 0.6 characters a millimetre.
    fn lines(self, text: &str, share: u32) -> usize {
        let width = match self {
            Sheet::Upright => 180.0,
            Sheet::Across => 250.0,
        };
        let per_line = (f64::from(share) / 100.0 * width * 0.6).max(4.0);
        let length = f64::from(u32::try_from(text.chars().count()).unwrap_or(u32::MAX));
        (length / per_line).ceil().max(1.0) as usize
    }

    fn height(self, block: &Block) -> f64 {
        let Block::Table(table) = block else { return CAPTION };
        let cell = |cell: &Cell, share: u32| -> usize {
            cell.lines
                .iter()
                .map(|line| self.lines(&line.iter().map(|piece| piece.text.as_str()).collect::<String>(), share))
                .sum::<usize>()
        };
        let rows = table.groups.iter().flat_map(|group| &group.rows).map(|row| {
            text_height(
                row.cells.iter().zip(&table.columns).map(|(one, column)| cell(one, column.width)).max().unwrap_or(1),
            )
        });
        CAPTION + text_height(1) + rows.sum::<f64>()
    }
}

/// Fields to be filled in, each with what the plan says about it.
fn fields(caption: &str, fields: &[(&str, Option<String>)]) -> Block {
    let rows = fields
        .iter()
        .map(|(name, said)| Row::new(vec![Cell::text(name).labelled("The plan", said.as_deref()), Cell::empty()]))
        .collect();
    let columns = [("Field", 46), ("Entry", 54)];
    Block::Table(Table::new(caption, &columns, vec![Group { id: String::new(), rows }]).look("form fields"))
}

/// The line for the person who looks over the sheet.
fn reviewed() -> Block {
    let facts = ["Reviewed by, other than who wrote", "Date and time"].map(|name| Fact::new(name, Cell::empty()));
    Block::Facts { facts: facts.into() }
}

/// The limits of these kinds in words and symbols.
fn limits<'a>(labels: &Labels<'_>, caption: &str, limits: impl Iterator<Item = &'a Limit>) -> Option<Block> {
    let rows = limits
        .map(|limit| Row::new(vec![Cell::text(limit.sentence(labels.plan())), Cell::styled("code", limit.symbols())]))
        .collect();
    Table::some(caption, &[("In words", 56), ("As evaluated", 44)], rows)
}

fn critical(limit: &Limit) -> bool {
    limit.kind == LimitKind::Critical
}
