//! A plan's worksheets as a spreadsheet: the tables of the document, cell for cell. Every cell is text, so that nothing
//! that stands in a plan can become a formula.

use crate::document::page::{Block, Cell, Page, Section, Table};
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

/// The sections whose tables are worksheets.
const SECTIONS: [&str; 4] = ["hazards", "ccp-summary", "schedule", "records"];

/// Longest name of a worksheet.
const LONGEST: usize = 31;

/// The workbook's bytes. The same document gives the same bytes.
///
/// # Errors
/// Words for a person, if a text is longer than a cell of a spreadsheet may be (32,767 characters).
pub fn book(page: &Page) -> Result<Vec<u8>, String> {
    write(page).map_err(|error| match error {
        XlsxError::MaxStringLengthExceeded => {
            "a text is longer than the 32,767 characters that a cell holds".to_owned()
        }
        other => other.to_string(),
    })
}

fn write(page: &Page) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // A day that never changes: the tool reads no clock for what it writes.
    let day = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(&page.title).set_creation_datetime(&day));
    first(book.add_worksheet(), page)?;
    let mut names: Vec<String> = vec![FIRST.to_lowercase()];
    for (section, table) in tables(&page.sections) {
        let sheet = book.add_worksheet();
        sheet.set_name(unused(&table.caption, &mut names))?;
        lay(sheet, page, section, table)?;
    }
    book.save_to_buffer()
}

const FIRST: &str = "Plan";

fn tables(sections: &[Section]) -> Vec<(&Section, &Table)> {
    fn walk<'p>(section: &'p Section, found: &mut Vec<(&'p Section, &'p Table)>) {
        found.extend(section.blocks.iter().filter_map(|block| match block {
            Block::Table(table) => Some((section, table)),
            _ => None,
        }));
        section.parts.iter().for_each(|part| walk(part, found));
    }
    let mut found = Vec::new();
    sections.iter().filter(|section| SECTIONS.contains(&section.id.as_str())).for_each(|one| walk(one, &mut found));
    found
}

/// A name for a worksheet that no other has and that a spreadsheet takes.
fn unused(caption: &str, names: &mut Vec<String>) -> String {
    let clean: String = caption.chars().map(|c| if "[]:*?/\\'".contains(c) { ' ' } else { c }).collect();
    let mut number = 1;
    loop {
        let tail = if number == 1 { String::new() } else { format!(" {number}") };
        let room = LONGEST - tail.chars().count();
        let name = format!("{}{tail}", clean.chars().take(room).collect::<String>().trim_end());
        if !names.contains(&name.to_lowercase()) {
            names.push(name.to_lowercase());
            return name;
        }
        number += 1;
    }
}

/// The cover: what this is, in which state, and that it needs sign-off.
fn first(sheet: &mut Worksheet, page: &Page) -> Result<(), XlsxError> {
    sheet.set_name(FIRST)?;
    sheet.set_column_width(0, 28)?.set_column_width(1, 90)?;
    let strong = Format::new().set_bold().set_font_size(14);
    let wrapped = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    sheet.write_string_with_format(0, 0, &page.title, &strong)?;
    let mut row = 1;
    let mut line = |name: &str, value: &str| -> Result<(), XlsxError> {
        sheet.write_string_with_format(row, 0, name, &wrapped)?;
        sheet.write_string_with_format(row, 1, value, &wrapped)?;
        row += 1;
        Ok(())
    };
    for block in &page.cover {
        match block {
            Block::Facts { facts } => {
                for fact in facts {
                    line(&fact.name, &text(&fact.value))?;
                }
            }
            Block::Note { title, lines, .. } => {
                for said in lines {
                    line(title, &text(said))?;
                }
            }
            _ => {}
        }
    }
    line(
        "These worksheets",
        "are copies of tables of the plan document. The plan text is what counts; change it there.",
    )
}

fn lay(sheet: &mut Worksheet, page: &Page, section: &Section, table: &Table) -> Result<(), XlsxError> {
    let strong = Format::new().set_bold().set_font_size(12);
    let head =
        Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top).set_border_bottom(FormatBorder::Medium);
    let body = Format::new().set_text_wrap().set_align(FormatAlign::Top).set_border_bottom(FormatBorder::Hair);
    let title = format!("{} {}: {}", section.number, section.title, table.caption);
    sheet.write_string_with_format(0, 0, title.trim_start(), &strong)?;
    sheet.write_string(1, 0, format!("{}, {}", page.title, page.foot))?;
    for (at, column) in (0_u16..).zip(&table.columns) {
        sheet.write_string_with_format(HEAD, at, &column.title, &head)?;
        sheet.set_column_width(at, (f64::from(column.width) * 1.4).max(10.0))?;
    }
    let rows = table.groups.iter().flat_map(|group| &group.rows);
    for (down, row) in (HEAD + 1..).zip(rows) {
        for (at, cell) in (0_u16..).zip(&row.cells) {
            sheet.write_string_with_format(down, at, text(cell), &body)?;
        }
    }
    sheet.set_freeze_panes(HEAD + 1, 1)?;
    sheet.set_repeat_rows(HEAD, HEAD)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0);
    sheet.set_footer(format!("&L{}&RPage &P of &N", page.foot.replace('&', "&&")));
    Ok(())
}

/// The row of the headings, from nought.
const HEAD: u32 = 3;

fn text(cell: &Cell) -> String {
    let line =
        |line: &Vec<crate::document::page::Piece>| line.iter().map(|piece| piece.text.as_str()).collect::<String>();
    cell.lines.iter().map(line).collect::<Vec<_>>().join("\n")
}
