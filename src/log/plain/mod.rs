//! Any delimited text, read without a plan and without a mapping: its dialect, its table, and what each row is.
//!
//! What cannot be read without doubt is refused, or its row is named. A row is never mended.

pub mod columns;
pub mod dialect;
pub mod kinds;
pub mod layout;
pub mod propose;
pub mod series;
pub mod split;
pub mod times;

use super::encoding::{Encoding, cell, content, sniff};
use super::workbook::Page;
use super::{packed, rules, workbook};
use crate::finding::Finding;
use crate::source::Place;
use columns::Column;
use dialect::{Doubt, Said};
use kinds::{Family, Kind, kind};
use layout::{Class, Layout, Shape};
use series::{Course, Numbers};
use sha2::{Digest, Sha256};
use split::{Dialect, Fault, Like, Parting, Row, Rows};
use times::Time;

/// What a person has said about a file.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// About the dialect.
    pub said: Said,
    /// The encoding; without it, what the first bytes of the file say, and else UTF-8.
    pub encoding: Option<Encoding>,
    /// How many lines stand before the headings.
    pub preamble: Option<usize>,
    /// How many rows are headings.
    pub headings: Option<usize>,
    /// How many rows stand below the table.
    pub footer: Option<usize>,
    /// The sheet of a workbook.
    pub sheet: Option<String>,
}

/// What was understood of a file.
#[derive(Debug)]
pub struct View {
    /// Its name.
    pub name: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Its length in bytes.
    pub bytes: u64,
    /// How its characters are written.
    pub encoding: Encoding,
    /// How its cells are parted.
    pub dialect: Dialect,
    /// Its rows.
    pub rows: Rows,
    /// What each row is.
    pub classes: Vec<Class>,
    /// How many cells a row of the table has.
    pub width: usize,
    /// One heading for each column, of several rows joined by blanks; none where the file has none.
    pub headings: Option<Vec<String>>,
    /// The columns.
    pub columns: Vec<Column>,
    /// Its time, if it has one.
    pub time: Option<Time>,
    /// What it says over time.
    pub course: Course,
    /// What its columns of numbers say.
    pub numbers: Vec<Numbers>,
    /// What is wrong, or worth a look, by line.
    pub findings: Vec<Finding>,
}

impl View {
    /// The rows of the table: sound, blank and damaged.
    pub fn table(&self) -> impl Iterator<Item = (&Row, Class)> + Clone {
        let kept = |class: &Class| matches!(class, Class::Data | Class::Blank | Class::Damaged);
        self.rows.rows.iter().zip(self.classes.iter().copied()).filter(move |(_, class)| kept(class))
    }

    /// How many rows are of this class.
    #[must_use]
    pub fn count(&self, class: Class) -> usize {
        self.classes.iter().filter(|other| **other == class).count()
    }

    /// The name of a column: its heading, or its place.
    #[must_use]
    pub fn column(&self, at: usize) -> String {
        let heading = self.headings.as_ref().and_then(|headings| headings.get(at)).filter(|text| !text.is_empty());
        heading.cloned().unwrap_or_else(|| format!("column {}", at + 1))
    }
}

/// The longest line that is taken.
pub(crate) const LONGEST_LINE: usize = 16 << 20;
/// The most cells in a row.
const WIDEST: usize = 20_000;

/// Reads a file.
///
/// # Errors
/// A finding if it is no text, or if how to read it is in doubt.
pub fn look(name: &str, bytes: &[u8], options: &Options) -> Result<View, Box<Finding>> {
    let unpacked = packed::unpack(name, bytes)?;
    let encoding = options.encoding.unwrap_or_else(|| sniff(&unpacked));
    let page = Page { sheet: options.sheet.as_deref(), delimiter: b',', decimal: b'.', quote: b'"', escape: None };
    let whole = content(name, &unpacked, encoding, page)?;
    // A sheet is written out by this program, so nothing about its writing is in doubt.
    let written = Said { parting: Some(Parting::Sign(",".into())), quote: Some(Some('"')), escape: Some(None) };
    let said = if workbook::is_workbook(&unpacked) { &written } else { &options.said };
    let sha256 = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    let (text, first_line) = below(&whole, options.preamble.unwrap_or(0));
    long_line(name, text, first_line)?;
    let (text, first_line, said) = declared(text, first_line, said);
    let dialect = dialect::detect(text, &said).map_err(|doubt| Box::new(doubtful(name, doubt)))?;
    let shape = Shape { headings: options.headings, preamble_said: options.preamble.is_some(), footer: options.footer };
    let mut rows = split::split(text, &dialect, first_line, usize::MAX, None);
    for row in &rows.rows {
        too_wide(name, row.line, row.width())?;
    }
    let mut layout = layout::lay_out(&rows, shape);
    if rows.rows.iter().any(|row| row.last > row.line) {
        let first = layout.columns.first().and_then(|column| column.family);
        rows = split::split(text, &dialect, first_line, usize::MAX, Some(Like { width: layout.width, first }));
        layout = layout::lay_out(&rows, shape);
    }
    if rows.rows.is_empty() {
        let finding = Finding::new(&rules::FILE_EMPTY, cell(name, 0, None), format!("`{name}` holds no row"));
        return Err(Box::new(finding.help("export the file again")));
    }
    let Layout { classes, width, columns, other_headings } = layout;
    let headings = headings(&rows, &classes, width);
    let mut view = View {
        name: name.to_owned(),
        sha256,
        bytes: bytes.len() as u64,
        encoding,
        dialect,
        rows,
        classes,
        width,
        headings,
        columns,
        time: None,
        course: Course::default(),
        numbers: Vec::new(),
        findings: Vec::new(),
    };
    let findings = judge(&view, text, &other_headings, options);
    view.findings = findings;
    let sound: Vec<&Row> = view.table().filter(|(_, class)| *class == Class::Data).map(|(row, _)| row).collect();
    let time = times::find(&view.rows, &sound, &view.columns);
    let course = time.as_ref().map(|time| series::course(&view.rows, &sound, time)).unwrap_or_default();
    let numbers = series::numbers(&view.rows, &sound, &view.columns);
    (view.time, view.course, view.numbers) = (time, course, numbers);
    // Damaged rows found by their cells are marked only now, so that they still count as what they are.
    for finding in &view.findings {
        if let (Place::Cell(place), true) = (&finding.place, std::ptr::eq(finding.rule, &rules::CELL_KIND))
            && let Ok(at) = view.rows.rows.binary_search_by_key(&place.row, |row| row.line)
            && let Some(slot) = view.classes.get_mut(at)
        {
            *slot = Class::Damaged;
        }
    }
    Ok(view)
}

/// The text below so many lines, and the number of its first line.
fn below(text: &str, lines: usize) -> (&str, u64) {
    let sign = if text.contains('\n') { '\n' } else { '\r' };
    let mut rest = text;
    for _ in 0..lines {
        rest = rest.find(sign).and_then(|at| rest.get(at + 1..)).unwrap_or_default();
    }
    (rest, lines as u64 + 1)
}

/// A first line such as `sep=;`, by which spreadsheets declare the sign between cells.
fn declared<'t>(text: &'t str, first_line: u64, said: &Said) -> (&'t str, u64, Said) {
    let mut said = said.clone();
    let line = text.lines().next().unwrap_or_default();
    let sign = line.strip_prefix("sep=").filter(|sign| sign.chars().count() == 1);
    match sign {
        Some(sign) if said.parting.is_none() => {
            said.parting = Some(Parting::Sign(sign.to_owned()));
            let (rest, _) = below(text, 1);
            (rest, first_line + 1, said)
        }
        _ => (text, first_line, said),
    }
}

fn long_line(name: &str, text: &str, first_line: u64) -> Result<(), Box<Finding>> {
    let long = text.split(['\n', '\r']).enumerate().find(|(_, line)| line.len() > LONGEST_LINE);
    let Some((at, line)) = long else { return Ok(()) };
    let message = format!("a line of `{name}` is {} bytes long; {LONGEST_LINE} are read at most", line.len());
    let finding = Finding::new(&rules::LINE_LONG, cell(name, first_line + at as u64, None), message);
    Err(Box::new(finding.help("check that this is a record, and that its rows are parted by line ends")))
}

/// The finding for a line of which so much was read that it cannot be one of a record.
pub(crate) fn too_long(name: &str, row: u64) -> Box<Finding> {
    let message = format!("a line of `{name}` is more than {LONGEST_LINE} bytes long; that many are read at most");
    let finding = Finding::new(&rules::LINE_LONG, cell(name, row, None), message);
    Box::new(finding.help("check that this is a record, and that its rows are parted by line ends"))
}

/// A finding if a row has more cells than any record has.
pub(crate) fn too_wide(name: &str, row: u64, width: usize) -> Result<(), Box<Finding>> {
    if width <= WIDEST {
        return Ok(());
    }
    let message = format!("a row of `{name}` has {width} cells; {WIDEST} are read at most");
    Err(Box::new(Finding::new(&rules::LINE_LONG, cell(name, row, None), message)))
}

fn doubtful(name: &str, doubt: Doubt) -> Finding {
    let (message, help) = match doubt {
        Doubt::Parting(one, other) => (
            format!("the cells of `{name}` could be parted by `{one}` or by `{other}`"),
            "say which with `--delimiter`",
        ),
        Doubt::Quote(one, other) => {
            (format!("`{name}` could be read {one} or {other}"), "say which with `--quote` and `--escape`")
        }
        Doubt::Uneven(sign) => (
            format!("no sign parts the rows of `{name}` evenly; the likeliest is `{sign}`"),
            "say which with `--delimiter`, and `--preamble` if lines stand before the headings",
        ),
    };
    Finding::new(&rules::DIALECT, Place::file(name), message).help(help)
}

fn headings(rows: &Rows, classes: &[Class], width: usize) -> Option<Vec<String>> {
    let lines: Vec<&Row> =
        rows.rows.iter().zip(classes).filter(|(_, class)| **class == Class::Heading).map(|(row, _)| row).collect();
    let widest = lines.iter().map(|row| row.width()).max()?;
    let name = |at: usize| {
        let mut parts: Vec<&str> = Vec::new();
        for row in &lines {
            let part = rows.cell(row, at);
            if !part.trim().is_empty() && parts.last() != Some(&part) {
                parts.push(part);
            }
        }
        parts.join(" ")
    };
    // One row of headings stays as wide as it is written.
    let wide = if lines.len() == 1 { widest } else { widest.max(width) };
    Some((0..wide).map(name).collect())
}

/// Everything about single rows that a person must know.
fn judge(view: &View, text: &str, other_headings: &[usize], options: &Options) -> Vec<Finding> {
    let mut findings = Vec::new();
    let name = view.name.as_str();
    let mut say = |rule, row: &Row, column: Option<&str>, message: String| {
        let lines = if row.last > row.line { format!(" (lines {} to {})", row.line, row.last) } else { String::new() };
        findings.push(Finding::new(rule, cell(name, row.line, column), format!("{message}{lines}")));
    };
    let other = other_headings.first().copied().unwrap_or(usize::MAX);
    let mut before: Option<&Row> = None;
    for (at, (row, class)) in view.rows.rows.iter().zip(&view.classes).enumerate() {
        if let Some(fault) = row.fault {
            let rule = if fault == Fault::Open { &rules::QUOTE_OPEN } else { &rules::ROW_WRITTEN };
            say(rule, row, None, fault.words().to_owned());
        }
        match class {
            Class::Preamble => {
                say(&rules::ROW_ASIDE, row, None, "stands before the headings and is not in the table".into())
            }
            Class::Heading if options.headings.is_none() && view.count(Class::Heading) > 1 => {
                say(&rules::ROW_ASIDE, row, None, "is one of several rows of headings, which are joined".into());
            }
            Class::HeadingAgain => {
                say(&rules::HEADING_AGAIN, row, None, "repeats the headings and is not in the table".into())
            }
            Class::Footer if options.footer.is_none() => {
                say(&rules::ROW_ASIDE, row, None, "stands below the table and is not in it".into());
            }
            _ => {}
        }
        if *class == Class::Heading && row.width() != view.width {
            let message = format!(
                "there are {} headings over {} columns; values may stand under wrong names",
                row.width(),
                view.width
            );
            say(&rules::ROW_WIDTH, row, None, message);
        }
        if !matches!(class, Class::Data | Class::Damaged | Class::Blank) {
            let last = before.zip(view.width.checked_sub(1));
            if let (Class::Footer, Some((last, at))) = (class, last)
                && last.last + 1 == row.line
                && (view.columns.get(at).is_some_and(|column| column.unlike(view.rows.cell(last, at)))
                    || (row.width() == 1 && !view.rows.cell(row, 0).trim().contains(' ')))
            {
                say(&rules::ROW_WRITTEN, last, None, format!("may go on in line {}", row.line));
            }
            before = None;
            continue;
        }
        if row.width() != view.width {
            say(
                &rules::ROW_WIDTH,
                row,
                None,
                format!("has {} cells, and the other rows have {}", row.width(), view.width),
            );
            if let Some(last) = before.filter(|last| last.width() == view.width && row.width() * 2 <= view.width) {
                say(&rules::ROW_WRITTEN, last, None, format!("may go on in line {}", row.line));
            }
        } else if at >= other {
            say(&rules::OTHER_HEADINGS, row, None, "stands at or below other headings than those of the table".into());
        } else if row.fault.is_none() {
            if let Some(last) = before.filter(|last| last.width() == 1 && view.width > 1) {
                say(&rules::ROW_WRITTEN, row, None, format!("may have begun in line {}", last.line));
            }
            if let Some((from, to)) = shifted(view, row) {
                let (from, to) = (view.column(from), view.column(to));
                say(
                    &rules::CELL_KIND,
                    row,
                    Some(&to),
                    format!("`{from}` is blank, and `{to}` holds what would fit there"),
                );
            }
            let unlike: Vec<usize> = (0..view.width)
                .filter(|at| view.columns.get(*at).is_some_and(|one| one.unlike(view.rows.cell(row, *at))))
                .collect();
            if let [first, second, ..] = unlike.as_slice() {
                let (first, second) = (view.column(*first), view.column(*second));
                let message = format!("`{first}` and `{second}` are not written like the other cells of their columns");
                say(&rules::CELL_KIND, row, Some(&first), message);
            }
            let dated = |column: &Column| matches!(column.family, Some(Family::Date | Family::Stamp));
            if let Some((at, column)) = view.columns.iter().enumerate().find(|(_, column)| dated(column))
                && column.hardly_blank()
                && blank(view.rows.cell(row, at))
            {
                let heading = view.column(at);
                say(
                    &rules::CELL_KIND,
                    row,
                    Some(&heading),
                    format!("`{heading}` is blank, and no other row lacks its time"),
                );
            } else if empty_handed(view, row) {
                say(&rules::CELL_KIND, row, None, "holds words, and neither a number nor a time".to_owned());
            }
            for (column, one) in view.columns.iter().enumerate() {
                let shown = view.rows.cell(row, column);
                if let Some(why) = one.odd(shown) {
                    let heading = view.column(column);
                    say(&rules::CELL_KIND, row, Some(&heading), format!("`{}` in `{heading}` {why}", short(shown)));
                }
            }
        }
        if let Some(c) = strange(row.raw(text)) {
            say(&rules::ROW_WRITTEN, row, None, format!("holds {c}"));
        }
        before = Some(row);
    }
    empty_lines(view, &mut findings);
    if !matches!(text.as_bytes().last(), Some(b'\n' | b'\r'))
        && let Some((row, Class::Damaged)) = view.rows.rows.last().zip(view.classes.last().copied())
    {
        findings.push(Finding::new(
            &rules::ROW_WRITTEN,
            cell(name, row.line, None),
            "may have been cut off: the file ends inside it",
        ));
    }
    crate::finding::tidy(&mut findings);
    findings
}

/// A column that is hardly ever blank and is so here, and one beside it with no such cells of its own that holds one here.
fn shifted(view: &View, row: &Row) -> Option<(usize, usize)> {
    let blanks =
        view.columns.iter().enumerate().filter(|(at, column)| column.hardly_blank() && blank(view.rows.cell(row, *at)));
    blanks.into_iter().find_map(|(at, home)| {
        let stray = view
            .columns
            .iter()
            .enumerate()
            .find(|(other, column)| *other != at && column.strays(view.rows.cell(row, *other), home));
        stray.map(|(other, _)| (at, other))
    })
}

/// Whether a row is blank in every column of numbers or times, though these are hardly ever blank, and not elsewhere.
fn empty_handed(view: &View, row: &Row) -> bool {
    let kept = |column: &&Column| column.family.is_some() && column.blank * 5 <= column.filled;
    let known: Vec<bool> = (view.columns.iter().enumerate())
        .filter(|(_, column)| kept(column))
        .map(|(at, _)| blank(view.rows.cell(row, at)))
        .collect();
    let timed = view.columns.iter().any(|column| matches!(column.family, Some(Family::Date | Family::Stamp)));
    (known.len() > 1 || (timed && !known.is_empty()))
        && known.iter().all(|blank| *blank)
        && view.rows.cells(row).any(|cell| !blank(cell))
}

/// Lines without a sign on them, between rows: a row may have been lost there.
fn empty_lines(view: &View, findings: &mut Vec<Finding>) {
    let mut table =
        view.rows.rows.iter().zip(&view.classes).filter(|(_, class)| matches!(class, Class::Data | Class::Damaged));
    let Some((first, _)) = table.next() else { return };
    let last = table.next_back().map_or(first, |(row, _)| row).line;
    let inside: Vec<u64> = view.rows.empty.iter().copied().filter(|line| (first.line..last).contains(line)).collect();
    // A file with an empty line after each row is written so.
    if inside.len() * 3 >= view.rows.rows.len() && view.width > 1 {
        return;
    }
    for line in inside {
        let message = if view.width > 1 {
            "an empty line stands between two rows"
        } else {
            "an empty line is no row of the table"
        };
        findings.push(Finding::new(&rules::ROW_ASIDE, cell(&view.name, line, None), message));
    }
}

/// Signs that no sound export holds.
fn strange(raw: &str) -> Option<&'static str> {
    let mut signs = raw.chars().peekable();
    while let Some(c) = signs.next() {
        match c {
            '\u{fffd}' => return Some("the sign for a character that was lost"),
            '\u{feff}' => return Some("a byte-order mark, as if two files had been joined"),
            '\u{80}'..='\u{9f}' => return Some("a control character, as if it were in another encoding"),
            'Ã' | 'Â' if signs.peek().is_some_and(|next| ('\u{80}'..='\u{bf}').contains(next)) => {
                return Some("what looks like text read in another encoding than it was written in");
            }
            c if c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\u{1}' | '\u{1e}' | '\u{1f}') => {
                return Some("a control character");
            }
            _ => {}
        }
    }
    None
}

fn short(text: &str) -> String {
    let cut: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if cut.len() < text.len() { format!("{cut}…") } else { cut }
}

/// Whether a cell holds nothing that could be a value.
#[must_use]
pub fn blank(cell: &str) -> bool {
    kind(cell) == Kind::Blank
}
