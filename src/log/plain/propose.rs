//! A mapping proposed from a file alone. Whatever the file does not prove is left as a question, and a mapping with a
//! question is refused by whoever would read records with it.

use super::View;
use super::columns::Column;
use super::kinds::Family;
use super::layout::Class;
use super::series::Numbers;
use super::split::Parting;
use crate::log::encoding::Encoding;
use crate::quantity::{UNITS, UnitDef};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The text of the proposal. `file` is the name by which the mapping is to find the file.
#[must_use]
pub fn propose(view: &View, file: &str) -> String {
    let mut out = Page(String::new());
    out.line(
        0,
        "# Proposed from one file alone, and not finished. Every \"?\" is a question that the file does not answer;",
    );
    out.line(
        0,
        "# the mapping is refused until a person has answered it. Compare the rest with the logger and its manual.",
    );
    out.line(0, &format!("# File {}, SHA-256 {}.", quoted(file), view.sha256));
    let damaged = view.count(Class::Damaged);
    if damaged > 0 {
        out.line(0, &format!("# {damaged} of its rows are damaged or doubtful; `bourn read` names them."));
    }
    let offset = offset(view);
    match (&offset, carried(view)) {
        (_, true) => {}
        (Some(offset), _) => out.line(
            0,
            &format!("# The heading over the time names the distance from UTC: {offset}. It stands in `time` below."),
        ),
        (None, _) => out.said(
            0,
            "zone: \"?\"",
            "the file names no zone; write it as in Europe/London, or give `offset` in `time`",
        ),
    }
    out.line(0, "");
    out.line(0, "readings:");
    out.line(1, &format!("- files: [{}]", quoted(file)));
    out.said(2, "record: \"?\"", "the record of the plan that such files are");
    written(view, &mut out);
    time(view, offset.as_deref(), &mut out);
    lots(view, &mut out);
    out.line(2, "columns:");
    columns(view, &mut out);
    out.0
}

/// Lines with their reasons.
struct Page(String);

impl Page {
    fn line(&mut self, depth: usize, text: &str) {
        // Writing to a text cannot fail.
        let _ = writeln!(self.0, "{}{text}", "  ".repeat(depth));
    }

    fn said(&mut self, depth: usize, text: &str, reason: &str) {
        self.line(depth, &format!("{text}  # {reason}"));
    }
}

/// A text that YAML reads as itself.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn written(view: &View, out: &mut Page) {
    match &view.dialect.parting {
        Parting::Sign(sign) => {
            let name = match sign.as_str() {
                "\t" => "tab".to_owned(),
                " " => "space".to_owned(),
                other => quoted(other),
            };
            out.said(2, &format!("delimiter: {name}"), &format!("parts the rows into {} cells", view.width));
        }
        Parting::Blanks => out.said(2, "delimiter: blanks", &format!("part the rows into {} cells", view.width)),
        Parting::Places(places) => {
            let ends = places.iter().skip(1).map(Some).chain([None]);
            let widths: Vec<String> =
                places.iter().zip(ends).map(|(from, to)| to.map_or(200, |to| to - from).to_string()).collect();
            out.said(
                2,
                &format!("widths: [{}]", widths.join(", ")),
                "places that are blank in nearly every line part the columns",
            );
        }
    }
    if let Some(quote) = view.dialect.quote.filter(|quote| *quote != '"') {
        out.line(2, &format!("quote: {}", quoted(&quote.to_string())));
    }
    if let Some(escape) = view.dialect.escape {
        out.said(2, &format!("escape: {}", quoted(&escape.to_string())), "stands before quotation marks inside cells");
    }
    if view.encoding != Encoding::Utf8 {
        out.line(2, &format!("encoding: {}", view.encoding.name()));
    }
    let head = view.rows.rows.iter().zip(&view.classes).find(|(_, class)| **class == Class::Heading);
    let before = head.map_or(0, |(row, _)| row.line - 1);
    let empty = view.rows.empty.iter().filter(|line| **line <= before).count();
    if before > empty as u64 {
        out.said(2, &format!("preamble: {before}"), "lines before the headings");
    }
    match view.count(Class::Heading) {
        1 => {}
        0 => out.said(2, "heading-rows: 0", "the first row holds values; columns are named by their place"),
        count => out.said(2, &format!("heading-rows: {count}"), "joined by blanks"),
    }
    marks(view, out);
}

/// The decimal mark, if the numbers agree on one.
fn marks(view: &View, out: &mut Page) {
    let mut marks: BTreeMap<char, Vec<String>> = BTreeMap::new();
    for (at, column) in view.columns.iter().enumerate() {
        if let (Some(Family::Number), Some(mark)) = (column.family, column.mark) {
            marks.entry(mark).or_default().push(view.column(at));
        }
    }
    let names: Vec<char> = marks.keys().copied().collect();
    match names.as_slice() {
        [','] => out.said(2, "decimal: \",\"", "every number with a mark has it"),
        ['.'] => out.said(2, "decimal: \".\"", "every number with a mark has it"),
        [] => out.said(2, "decimal: \".\"", "no number of the file has a mark, so nothing proves which"),
        _ => out.said(
            2,
            "decimal: \"?\"",
            "some columns have a comma and others a point; a column may have `decimal` of its own",
        ),
    }
}

/// Whether the cells carry their own distance from UTC.
fn carried(view: &View) -> bool {
    view.time.as_ref().is_some_and(|time| time.formats.iter().any(|format| format.contains("%:z")))
}

/// A distance from UTC in the heading over the time.
fn offset(view: &View) -> Option<String> {
    let time = view.time.as_ref()?;
    time.columns.iter().find_map(|at| {
        let heading = view.column(*at);
        let from = ["GMT", "UTC"].iter().find_map(|word| heading.find(word))?;
        let rest: String = heading.get(from + 3..)?.trim_start().chars().take(6).collect();
        let sound = rest.len() == 6 && rest.starts_with(['+', '-']) && crate::time::Zone::parse(&rest).is_some();
        sound.then_some(rest)
    })
}

fn time(view: &View, offset: Option<&str>, out: &mut Page) {
    let Some(time) = &view.time else {
        out.said(2, "time: { column: \"?\", format: \"?\" }", "no column of dates or times was found");
        return;
    };
    let names: Vec<String> = time.columns.iter().map(|at| name(view, *at)).collect();
    out.line(2, "time:");
    match names.as_slice() {
        [one] => out.line(3, &format!("column: {one}")),
        several => out.line(3, &format!("columns: [{}]", several.join(", "))),
    }
    match time.formats.as_slice() {
        [one] => {
            let proved = if one.starts_with("%Y") { "the year stands first" } else { "no other order reads every row" };
            out.said(3, &format!("format: {}", quoted(one)), proved);
        }
        several => {
            let list: Vec<String> = several.iter().map(|format| quoted(format)).collect();
            out.said(
                3,
                "format: \"?\"",
                &format!("{}: no day is later than the 12th, so the file does not prove which", list.join(" or ")),
            );
        }
    }
    if time.unread > 0 {
        out.line(3, &format!("# {} cells cannot be read so", time.unread));
    }
    if let Some(offset) = offset {
        out.said(
            3,
            &format!("offset: {}", quoted(offset)),
            "from the heading; some programs write the offset of the computer there, so ask",
        );
    } else if !view.course.back.is_empty() {
        out.said(
            3,
            "repeated-hour: \"?\"",
            "rows step back in time: write row-order if the clock was put back there, else refuse",
        );
    }
}

fn lots(view: &View, out: &mut Page) {
    let like = |heading: &str| {
        let low = heading.to_lowercase();
        ["lot", "batch", "charge", "load"]
            .iter()
            .any(|word| low.split(|c: char| !c.is_alphanumeric()).any(|part| part == *word))
    };
    let found = (0..view.width).map(|at| view.column(at)).find(|heading| like(heading));
    match found {
        Some(heading) => {
            out.said(2, &format!("lot: {}", quoted(&heading)), "by its heading alone; check that it holds lot codes")
        }
        None => out.line(
            2,
            "# lot: no heading names a lot. Write `lot`, `lot-in-name`, or `place` if the file is of a place.",
        ),
    }
}

fn columns(view: &View, out: &mut Page) {
    let timed: Vec<usize> = view.time.as_ref().map(|time| time.columns.clone()).unwrap_or_default();
    let mut any = false;
    for (at, column) in view.columns.iter().enumerate() {
        if timed.contains(&at) {
            continue;
        }
        let numbers = view.numbers.iter().find(|one| one.column == at);
        match numbers {
            Some(numbers) if !counts(view, at) => {
                number(view, at, column, numbers, out);
                any = true;
            }
            Some(_) => out.line(3, &format!("# {} counts the rows", name(view, at))),
            None if column.family.is_some() => {
                out.line(3, &format!("# {} holds {}", name(view, at), column.family.map_or("", Family::words)))
            }
            None => words(view, at, column, out),
        }
    }
    if !any {
        out.said(3, "\"?\": { parameter: \"?\", unit: \"?\" }", "no column of numbers was found");
    }
}

fn number(view: &View, at: usize, column: &Column, numbers: &Numbers, out: &mut Page) {
    let heading = view.column(at);
    out.said(
        3,
        &format!("{}:", name(view, at)),
        &format!("{} numbers from {} to {}", numbers.count, numbers.least, numbers.greatest),
    );
    out.said(4, "parameter: \"?\"", "the parameter of the plan that it holds");
    match unit(&heading) {
        Some(unit) => out.said(
            4,
            &format!("unit: {}", quoted(unit)),
            "from the heading; it holds only if nobody changed it there",
        ),
        None => out.said(4, "unit: \"?\"", "the heading names no unit that is known"),
    }
    if !numbers.codes.is_empty() {
        let list: Vec<String> =
            numbers.codes.iter().map(|(code, count)| format!("{} {count} times", quoted(code))).collect();
        out.said(
            4,
            "missing: \"?\"",
            &format!(
                "{}: name under `missing` what means no reading, under `broken` what means a probe at fault",
                list.join(", ")
            ),
        );
    }
    if let Some(still) = &numbers.still {
        let stop = if numbers.pinned { ", at the end of its range" } else { "" };
        out.line(
            4,
            &format!(
                "# stands still for {} rows, lines {} to {}{stop}: is the sensor sound?",
                still.length, still.from, still.to
            ),
        );
    }
    out.line(4, "# range: [LOWEST, HIGHEST] that can be true, from the manual of the probe");
    if column.blank > 0 {
        out.line(4, &format!("# {} cells are blank", column.blank));
    }
}

/// A column of words, as a comment: what they mean is for a person.
fn words(view: &View, at: usize, column: &Column, out: &mut Page) {
    let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
    for (row, class) in view.table() {
        let cell = view.rows.cell(row, at).trim();
        if class == Class::Data && !cell.is_empty() && counts.len() < 9 {
            *counts.entry(cell).or_default() += 1;
        }
    }
    let list: Vec<String> =
        counts.iter().take(8).map(|(word, count)| format!("{} {count} times", quoted(word))).collect();
    let more = if counts.len() > 8 { " and others" } else { "" };
    if column.filled == 0 {
        out.line(3, &format!("# {} is blank", name(view, at)));
    } else {
        out.line(3, &format!("# {} holds words: {}{more}", name(view, at), list.join(", ")));
    }
}

/// Whether a column counts the rows.
fn counts(view: &View, at: usize) -> bool {
    let mut values = view.table().filter_map(|(row, _)| view.rows.cell(row, at).trim().parse::<i64>().ok());
    let Some(mut last) = values.next() else { return false };
    let (mut steps, mut total) = (0_u64, 0_u64);
    for value in values {
        total += 1;
        steps += u64::from(value == last.saturating_add(1));
        last = value;
    }
    total >= 3 && steps * 20 >= total * 19
}

/// A heading as the mapping names it: by its text, or by its place where it has none or shares it.
fn name(view: &View, at: usize) -> String {
    let headings = view.headings.as_deref().unwrap_or_default();
    match headings.get(at) {
        Some(text)
            if !text.trim().is_empty() && headings.iter().filter(|other| other.trim() == text.trim()).count() == 1 =>
        {
            quoted(text.trim())
        }
        _ => quoted(&format!("#{}", at + 1)),
    }
}

/// A unit that the heading names, standing by itself.
fn unit(heading: &str) -> Option<&'static str> {
    let part = |c: char| c.is_whitespace() || matches!(c, ',' | '(' | ')' | '[' | ']' | '/' | ':' | '_');
    let whole = UNITS.iter().find(|unit| {
        let spellings = std::iter::once(unit.symbol).chain(unit.also.iter().copied());
        spellings.into_iter().any(|spelling| spelling.contains('/') && heading.contains(spelling))
    });
    let words: Vec<&str> = heading.split(part).filter(|word| !word.is_empty()).collect();
    whole.map(|unit| unit.symbol).or_else(|| {
        // A word of a heading is no unit unless it stands apart: after a comma or in brackets.
        let apart = |word: &&&str| {
            heading.contains(&format!("({word})"))
                || heading.contains(&format!("[{word}]"))
                || heading.contains(&format!(", {word}"))
                || word.contains(['°', '%'])
        };
        words.iter().filter(apart).find_map(|word| UnitDef::find(word).map(|unit| unit.symbol))
    })
}
