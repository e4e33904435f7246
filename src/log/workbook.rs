//! Spreadsheets → delimited text, a line for each row of the sheet, so that row numbers stay those of the sheet.

use super::encoding::cell;
use super::packed;
use super::rules;
use crate::finding::Finding;
use calamine::{Data, Ods, Reader, SheetType, Xlsx};
use chrono::NaiveDateTime;
use quick_xml::events::Event;
use std::collections::BTreeMap;
use std::io::{Cursor, Read};

/// How a sheet is asked for and written out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Page<'p> {
    /// The name of the sheet; without it, the only one that holds anything.
    pub sheet: Option<&'p str>,
    /// The sign between cells.
    pub delimiter: u8,
    /// The decimal mark of numbers.
    pub decimal: u8,
    /// The quotation mark.
    pub quote: u8,
    /// The escape; without it a quotation mark is written twice.
    pub escape: Option<u8>,
}

/// The most cells that a sheet may span.
const MOST_CELLS: u64 = 20_000_000;
/// The most bytes that the parts of a workbook may unpack to.
const MOST_BYTES: usize = packed::MOST / 2;
/// The most files in a workbook.
const MOST_PARTS: usize = 10_000;

/// One cell, before its column says how dates are written.
#[derive(Debug, Clone)]
enum Item {
    Text(String),
    Stamp(NaiveDateTime),
    Clock(i64),
}

/// Cells by row and column, from nought.
type Cells = BTreeMap<(u32, u32), Item>;

/// Whether these bytes begin as a workbook does.
pub(crate) fn is_workbook(bytes: &[u8]) -> bool {
    // The shortest archive has an end of 22 bytes.
    bytes.starts_with(b"PK\x03\x04") && bytes.len() > 22
}

/// One sheet as delimited text in which each row has as many cells as the widest.
///
/// # Errors
/// A finding if the workbook cannot be opened, is larger than any record, or does not say which sheet is meant.
pub(crate) fn text(name: &str, bytes: &[u8], page: Page<'_>) -> Result<String, Box<Finding>> {
    let broken = |why: &dyn std::fmt::Display| {
        let message = format!("`{name}` begins as a workbook and cannot be read: {why}; nothing of it is used");
        let help = "save it again in the spreadsheet as .xlsx or .ods, or export the sheet as delimited text";
        Box::new(Finding::new(&rules::PACKED, cell(name, 0, None), message).help(help))
    };
    let kind = bounded(name, bytes, &broken)?;
    let (cells, merged) = match kind {
        Kind::Ods => ods(name, bytes, page, &broken)?,
        Kind::Xlsx => xlsx(name, bytes, page, &broken)?,
    };
    let cells = spread(cells, &merged);
    let width = cells.keys().map(|(_, column)| column + 1).max().unwrap_or(0);
    let height = cells.keys().map(|(row, _)| row + 1).max().unwrap_or(0);
    if u64::from(width) * u64::from(height) > MOST_CELLS {
        return Err(too_wide(name));
    }
    write(&cells, width, height, page).map_err(|error| broken(&error))
}

fn too_wide(name: &str) -> Box<Finding> {
    let message = format!("a sheet of `{name}` spans more than {MOST_CELLS} cells; nothing of it is used");
    let help = "check that this is a record file, and that no cell far away from the table holds anything";
    Box::new(Finding::new(&rules::PACKED, cell(name, 0, None), message).help(help))
}

enum Kind {
    Xlsx,
    Ods,
}

/// Unpacks every part once, counting, before anything is built of it.
fn bounded(
    name: &str,
    bytes: &[u8],
    broken: &dyn Fn(&dyn std::fmt::Display) -> Box<Finding>,
) -> Result<Kind, Box<Finding>> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    if archive.len() > MOST_PARTS {
        return Err(packed::too_large(name, MOST_BYTES));
    }
    let mut room = MOST_BYTES as u64;
    let mut kind = None;
    for at in 0..archive.len() {
        let part = archive.by_index(at).map_err(|error| broken(&error))?;
        // What it says of itself, before what it comes to.
        if part.size() > room {
            return Err(packed::too_large(name, MOST_BYTES));
        }
        let called = part.name().map(std::borrow::Cow::into_owned).unwrap_or_default();
        match called.as_str() {
            "xl/workbook.xml" => kind = Some(Kind::Xlsx),
            "content.xml" => kind = Some(Kind::Ods),
            _ => {}
        }
        let table = called == "content.xml";
        let mut counted = part.take(room + 1);
        let read = if table {
            let mut content = Vec::new();
            counted.read_to_end(&mut content).map_err(|error| broken(&error))?;
            if repeated(&content) > MOST_CELLS {
                return Err(too_wide(name));
            }
            content.len() as u64
        } else {
            std::io::copy(&mut counted, &mut std::io::sink()).map_err(|error| broken(&error))?
        };
        if read > room {
            return Err(packed::too_large(name, MOST_BYTES));
        }
        room -= read;
    }
    kind.ok_or_else(|| broken(&"it is neither .xlsx nor .ods"))
}

/// How many cells an OpenDocument sheet spans once repeated cells and rows are written out.
fn repeated(content: &[u8]) -> u64 {
    let mut reader = quick_xml::Reader::from_reader(content);
    let mut buffer = Vec::new();
    let (mut total, mut rows, mut width, mut filled) = (0_u64, 1_u64, 0_u64, 0_u64);
    let mut close = |rows: u64, filled: u64| total = total.saturating_add(rows.saturating_mul(filled));
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(start) | Event::Empty(start)) => {
                let local = start.local_name();
                let number = |wanted: &str| {
                    let found = start.attributes().flatten().find(|one| one.key.local_name().as_ref() == wanted);
                    found.and_then(|one| one.value.parse::<u64>().ok()).unwrap_or(1)
                };
                match local.as_ref() {
                    "table-row" => {
                        close(rows, filled);
                        (rows, width, filled) = (number("number-rows-repeated"), 0, 0);
                    }
                    "table-cell" | "covered-table-cell" => {
                        width = width.saturating_add(number("number-columns-repeated"));
                        if start.attributes().flatten().any(|one| one.key.local_name().as_ref() == "value-type") {
                            filled = width;
                        }
                    }
                    _ => {}
                }
            }
            Ok(Event::Eof) | Err(_) => break,
            Ok(_) => {}
        }
    }
    close(rows, filled);
    total
}

/// Areas of merged cells: first and last row and column.
type Merged = Vec<((u32, u32), (u32, u32))>;

fn xlsx(
    name: &str,
    bytes: &[u8],
    page: Page<'_>,
    broken: &dyn Fn(&dyn std::fmt::Display) -> Box<Finding>,
) -> Result<(Cells, Merged), Box<Finding>> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let mut found = Vec::new();
    for sheet in sheets(name, book.sheets_metadata(), page)? {
        let mut cells = Cells::new();
        let mut reader = book.worksheet_cells_reader(&sheet).map_err(|error| broken(&error))?;
        while let Some(one) = reader.next_cell().map_err(|error| broken(&error))? {
            if let Some(item) = item(&Data::from(one.get_value().clone()), page.decimal) {
                cells.insert(one.get_position(), item);
            }
            if cells.len() as u64 > MOST_CELLS {
                return Err(too_wide(name));
            }
        }
        drop(reader);
        // A formula whose value was never computed is no blank cell.
        let mut reader = book.worksheet_cells_reader(&sheet).map_err(|error| broken(&error))?;
        while let Some(one) = reader.next_formula().map_err(|error| broken(&error))? {
            if !one.get_value().is_empty() {
                cells.entry(one.get_position()).or_insert_with(|| Item::Text("#FORMULA".to_owned()));
            }
        }
        drop(reader);
        if !cells.is_empty() {
            found.push((sheet, cells));
        }
    }
    let (sheet, cells) = only(name, found)?;
    let merged = book.merge_cells_by_sheet_name(&sheet).unwrap_or_default();
    Ok((cells, merged.iter().map(|area| (area.start, area.end)).collect()))
}

fn ods(
    name: &str,
    bytes: &[u8],
    page: Page<'_>,
    broken: &dyn Fn(&dyn std::fmt::Display) -> Box<Finding>,
) -> Result<(Cells, Merged), Box<Finding>> {
    let mut book: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let mut found = Vec::new();
    for sheet in sheets(name, book.sheets_metadata(), page)? {
        let range = book.worksheet_range(&sheet).map_err(|error| broken(&error))?;
        let (top, left) = range.start().unwrap_or_default();
        let place = |row: usize, column: usize| {
            Some((top.checked_add(u32::try_from(row).ok()?)?, left.checked_add(u32::try_from(column).ok()?)?))
        };
        let cells: Cells = range
            .used_cells()
            .filter_map(|(row, column, value)| Some((place(row, column)?, item(value, page.decimal)?)))
            .collect();
        if !cells.is_empty() {
            found.push((sheet, cells));
        }
    }
    let (_, cells) = only(name, found)?;
    Ok((cells, Merged::new()))
}

/// The sheets that may be meant.
fn sheets(name: &str, all: &[calamine::Sheet], page: Page<'_>) -> Result<Vec<String>, Box<Finding>> {
    let all: Vec<String> =
        all.iter().filter(|sheet| sheet.typ == SheetType::WorkSheet).map(|sheet| sheet.name.clone()).collect();
    let Some(wanted) = page.sheet else { return Ok(all) };
    if all.iter().any(|sheet| sheet == wanted) {
        return Ok(vec![wanted.to_owned()]);
    }
    let message = format!("`{name}` has no sheet `{wanted}`");
    let list: Vec<String> = all.iter().map(|sheet| format!("`{sheet}`")).collect();
    let help = format!("its sheets are {}", list.join(", "));
    Err(Box::new(Finding::new(&rules::SHEET, cell(name, 0, None), message).help(help)))
}

/// The only sheet that holds anything.
fn only(name: &str, mut found: Vec<(String, Cells)>) -> Result<(String, Cells), Box<Finding>> {
    if found.len() > 1 {
        let list: Vec<String> = found.iter().map(|(sheet, _)| format!("`{sheet}`")).collect();
        let message = format!("`{name}` has several sheets that hold something: {}", list.join(", "));
        let help = "say which with `sheet` in the mapping, or `--sheet` on the command line";
        return Err(Box::new(Finding::new(&rules::SHEET, cell(name, 0, None), message).help(help)));
    }
    found.pop().ok_or_else(|| {
        let message = format!("no sheet of `{name}` holds anything");
        Box::new(Finding::new(&rules::FILE_EMPTY, cell(name, 0, None), message).help("export the file again"))
    })
}

fn item(value: &Data, decimal: u8) -> Option<Item> {
    let number = |value: f64| {
        let text = value.to_string();
        Item::Text(if decimal == b',' { text.replace('.', ",") } else { text })
    };
    Some(match value {
        Data::Empty => return None,
        Data::Int(value) => Item::Text(value.to_string()),
        Data::Float(value) => number(*value),
        Data::String(text) if text.is_empty() => return None,
        // A row of the sheet is one line of text, so that row numbers stay.
        Data::String(text) => Item::Text(text.replace(['\n', '\r'], " ")),
        Data::Bool(value) => Item::Text(if *value { "TRUE" } else { "FALSE" }.to_owned()),
        Data::Error(error) => Item::Text(error.to_string()),
        Data::DateTime(value) => {
            let serial = value.as_f64();
            if value.is_duration() || (0.0..1.0).contains(&serial) {
                Item::Clock(thousandths(serial * 86_400_000.0))
            } else {
                value.as_datetime().map_or_else(|| number(serial), Item::Stamp)
            }
        }
        Data::DateTimeIso(text) => {
            let full = ["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%dT%H:%M"];
            let stamp = full.iter().find_map(|format| NaiveDateTime::parse_from_str(text, format).ok());
            let day = || text.parse::<chrono::NaiveDate>().ok()?.and_hms_opt(0, 0, 0);
            stamp.or_else(day).map_or_else(|| Item::Text(text.clone()), Item::Stamp)
        }
        Data::DurationIso(text) => duration(text).map_or_else(|| Item::Text(text.clone()), Item::Clock),
    })
}

/// A serial time in thousandths of a second. Times of day are small, so that no digit is lost.
fn thousandths(value: f64) -> i64 {
    let rounded = value.round();
    if rounded.abs() < 9e15 { rounded as i64 } else { 0 }
}

/// `PT10H05M00S` in thousandths of a second.
fn duration(text: &str) -> Option<i64> {
    let mut rest = text.strip_prefix("PT")?;
    let mut total = 0.0;
    for (sign, seconds) in [('H', 3600.0), ('M', 60.0), ('S', 1.0)] {
        if let Some((part, after)) = rest.split_once(sign) {
            total += part.parse::<f64>().ok()? * seconds;
            rest = after;
        }
    }
    rest.is_empty().then(|| thousandths(total * 1000.0))
}

/// A merged heading counts for every column under it; a title over the whole width stays one.
fn spread(mut cells: Cells, merged: &Merged) -> Cells {
    let width = cells.keys().map(|(_, column)| *column).max().unwrap_or(0);
    for ((top, left), (bottom, right)) in merged {
        if top == bottom
            && *right <= width
            && (*left > 0 || *right < width)
            && let Some(item) = cells.get(&(*top, *left)).cloned()
        {
            for column in *left..=*right {
                cells.entry((*top, column)).or_insert_with(|| item.clone());
            }
        }
    }
    cells
}

fn write(cells: &Cells, width: u32, height: u32, page: Page<'_>) -> csv::Result<String> {
    let mut dated = BTreeMap::new();
    let midnight = chrono::NaiveTime::MIN;
    for ((_, column), item) in cells {
        if let Item::Stamp(at) = item {
            let only_days = dated.entry(*column).or_insert(true);
            *only_days &= at.time() == midnight;
        }
    }
    let show = |column: u32, item: &Item| match item {
        Item::Text(text) => text.clone(),
        Item::Stamp(at) if dated.get(&column) == Some(&true) => at.format("%Y-%m-%d").to_string(),
        Item::Stamp(at) => at.format("%Y-%m-%d %H:%M:%S%.f").to_string(),
        Item::Clock(at) => {
            let (seconds, rest) = (at.div_euclid(1000), at.rem_euclid(1000));
            let fraction = if rest == 0 { String::new() } else { format!(".{rest:03}") };
            format!("{:02}:{:02}:{:02}{fraction}", seconds / 3600, seconds / 60 % 60, seconds % 60)
        }
    };
    let mut writer = csv::WriterBuilder::new()
        .delimiter(page.delimiter)
        .quote(page.quote)
        .double_quote(page.escape.is_none())
        .escape(page.escape.unwrap_or(b'\\'))
        .flexible(true)
        .from_writer(Vec::new());
    for row in 0..height {
        let line = (0..width).map(|column| cells.get(&(row, column)).map_or(String::new(), |item| show(column, item)));
        writer.write_record(line)?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8(bytes).unwrap_or_default())
}
