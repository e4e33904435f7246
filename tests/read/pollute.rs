//! Sound tables, polluted in the ways in which exports are: after the kinds of pollution that a published benchmark of
//! CSV readers names (Vitagliano et al., "Pollock: A Data Loading Benchmark", PVLDB 16(8), 2023), written anew here.

use crate::tables::{Chance, Table, Written, tables};
use bourn::log::Encoding;
use bourn::log::plain::Options;
use bourn::log::plain::dialect::Said;
use bourn::log::plain::split::Parting;

/// One file with what it should be read as.
pub struct File {
    pub what: String,
    pub bytes: Vec<u8>,
    /// The headings and their line, if the file has any.
    pub head: Option<(u64, Vec<String>)>,
    /// The rows by the line on which each begins.
    pub rows: Vec<(u64, Vec<String>)>,
    /// What a person would declare.
    pub options: Options,
    /// Whether nothing may be said about it.
    pub sound: bool,
}

/// Rows of text with the table rows behind them: the lines are counted as they are put together.
struct Draft<'t> {
    table: &'t Table,
    how: Written,
    before: Vec<String>,
    heads: Vec<String>,
    body: Vec<(String, Option<usize>)>,
    after: Vec<String>,
    end: String,
    encoding: Encoding,
    what: String,
    sound: bool,
}

impl<'t> Draft<'t> {
    fn new(table: &'t Table, how: Written, what: impl Into<String>) -> Self {
        Draft {
            table,
            before: Vec::new(),
            heads: vec![how.row(&table.head)],
            body: table.rows.iter().enumerate().map(|(at, row)| (how.row(row), Some(at))).collect(),
            after: Vec::new(),
            end: how.end.to_owned(),
            encoding: Encoding::Utf8,
            what: format!("{}: {}", table.name, what.into()),
            sound: false,
            how,
        }
    }

    fn sound(mut self) -> Self {
        self.sound = true;
        self
    }

    fn done(self) -> File {
        let mut lines: Vec<String> = self.before.clone();
        lines.extend(self.heads.clone());
        let count = |text: &str| text.matches(if self.how.end == "\r" { '\r' } else { '\n' }).count() as u64 + 1;
        let mut line: u64 = 1 + lines.iter().map(|text| count(text)).sum::<u64>();
        let head_line = 1 + self.before.iter().map(|text| count(text)).sum::<u64>();
        let mut rows = Vec::new();
        for (text, row) in &self.body {
            if let Some(row) = row {
                rows.push((line, self.table.rows[*row].clone()));
            }
            line += count(text);
            lines.push(text.clone());
        }
        lines.extend(self.after.clone());
        let mut text = lines.join(self.how.end);
        text += &self.end;
        let bytes = match self.encoding {
            Encoding::Utf16 => [vec![0xff, 0xfe], text.encode_utf16().flat_map(u16::to_le_bytes).collect()].concat(),
            Encoding::Windows1252 => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect(),
            _ => text.into_bytes(),
        };
        let head = match self.heads.len() {
            0 => None,
            1 => Some((head_line, self.table.head.clone())),
            // Several rows of headings: their joining is not judged here.
            _ => Some((0, Vec::new())),
        };
        let options = Options {
            said: Said {
                parting: Some(Parting::Sign(self.how.sign.clone())),
                quote: Some(Some(self.how.quote)),
                escape: Some(self.how.backslash.then_some('\\')),
            },
            encoding: Some(self.encoding),
            preamble: Some(self.before.iter().map(|text| usize::try_from(count(text)).unwrap()).sum()),
            headings: Some(self.heads.len()),
            footer: None,
            sheet: None,
        };
        File { what: self.what, bytes, head, rows, options, sound: self.sound }
    }
}

/// Every polluted file.
pub fn files() -> Vec<File> {
    let mut files = Vec::new();
    for mut table in tables() {
        whole(&table, &mut files);
        around(&table, &mut files);
        let mut hows = vec![Written::default(), Written { all: true, ..Written::default() }];
        hows.push(Written { sign: ";".into(), ..Written::default() });
        hows.push(Written { sign: "\t".into(), end: "\r\n", ..Written::default() });
        for (number, how) in hows.into_iter().enumerate() {
            rows(&table, &how, &mut files, 100 + number as u64);
        }
        // A short file gives little to hold a row against.
        table.rows.truncate(12);
        whole(&table, &mut files);
        around(&table, &mut files);
        rows(&table, &Written { sign: ";".into(), ..Written::default() }, &mut files, 200);
        rows(&table, &Written::default(), &mut files, 201);
    }
    files
}

/// The whole file in another dialect: nothing of it is wrong.
fn whole(table: &Table, files: &mut Vec<File>) {
    let usual = Written::default;
    for sign in [",", ";", "\t", "|", " ", ", ", "^", "~", "#", "\u{1f}", "; "] {
        for all in [false, true] {
            let how = Written { sign: sign.into(), all, ..usual() };
            files.push(Draft::new(table, how, format!("parted by {sign:?}, all quoted {all}")).sound().done());
        }
    }
    for (what, how) in [
        ("single quotation marks", Written { quote: '\'', ..usual() }),
        ("single quotation marks around all", Written { quote: '\'', all: true, ..usual() }),
        ("backslash", Written { backslash: true, ..usual() }),
        ("backslash, semicolon", Written { backslash: true, sign: ";".into(), ..usual() }),
        ("backslash, single", Written { backslash: true, quote: '\'', ..usual() }),
        ("CRLF", Written { end: "\r\n", ..usual() }),
        ("CR", Written { end: "\r", ..usual() }),
    ] {
        let mut draft = Draft::new(table, how.clone(), what).sound();
        // A cell of two lines has its own line end, which a file of CR alone cannot hold as LF.
        if how.end == "\r" {
            draft.body.retain(|(text, _)| !text.contains('\n'));
        }
        files.push(draft.done());
    }
    for (what, end) in [("no line end", ""), ("two line ends", "\n\n"), ("three", "\n\n\n")] {
        let mut draft = Draft::new(table, usual(), what).sound();
        draft.end = end.to_owned();
        files.push(draft.done());
    }
    for encoding in [Encoding::Utf16, Encoding::Windows1252] {
        let mut draft = Draft::new(table, usual(), encoding.name());
        draft.encoding = encoding;
        files.push(draft.done());
    }
    let mut draft = Draft::new(table, usual(), "byte-order mark");
    draft.heads[0].insert(0, '\u{feff}');
    files.push(draft.sound().done());
    let mut draft = Draft::new(table, usual(), "no headings");
    draft.heads.clear();
    files.push(draft.done());
    let mut draft = Draft::new(table, usual(), "headings alone");
    draft.body.clear();
    files.push(draft.done());
    let mut draft = Draft::new(table, usual(), "one row");
    draft.body.truncate(1);
    files.push(draft.done());
    let mut draft = Draft::new(table, usual(), "nothing");
    (draft.heads, draft.body, draft.end) = (Vec::new(), Vec::new(), String::new());
    files.push(draft.done());
}

/// Lines around the table, and further headings.
fn around(table: &Table, files: &mut Vec<File>) {
    let width = table.head.len();
    let padded = |text: &str| format!("{text}{}", ",".repeat(width - 1));
    for (what, lines) in [
        ("a title", vec!["Kiln 2, October".to_owned()]),
        ("a title in quotation marks", vec!["\"Plot Title: Kiln 2, cold side\"".to_owned()]),
        ("settings", vec!["Serial: 4711".into(), "Interval: 15 min".into(), String::new()]),
        ("a title filled up", vec![padded("Kiln 2")]),
        ("a title filled up and a blank line", vec![padded("Kiln 2"), padded("")]),
        ("twelve lines", (0..12).map(|at| format!("Setting {at}: {}", at * 3)).collect()),
    ] {
        let mut draft = Draft::new(table, Written::default(), format!("before: {what}"));
        draft.before = lines;
        files.push(draft.done());
    }
    for (what, lines) in [
        ("a mark", vec!["End of file".to_owned()]),
        ("sums", vec![String::new(), "Rows: 90".into(), "Mean: 31.2, greatest: 33.0".into()]),
        ("sums filled up", vec![padded("Total")]),
        ("empty cells", (0..5).map(|_| padded("")).collect()),
    ] {
        let mut draft = Draft::new(table, Written::default(), format!("after: {what}"));
        draft.after = lines;
        if what == "empty cells" {
            continue;
        }
        files.push(draft.done());
    }
    for more in 1..3 {
        let mut draft = Draft::new(table, Written::default(), format!("{} rows of headings", more + 1));
        for at in 0..more {
            let units: Vec<String> =
                (0..width).map(|column| format!("unit {}{at}", ["m", "s", "kg"][column % 3])).collect();
            draft.heads.push(draft.how.row(&units));
        }
        files.push(draft.done());
    }
    for (what, cells) in [("same", width), ("fewer", width - 1), ("more", width + 1)] {
        let mut draft = Draft::new(table, Written::default(), format!("a second table, {what} columns"));
        draft
            .after
            .push((0..cells).map(|at| format!("Other {}", ["a", "b", "c"][at % 3])).collect::<Vec<_>>().join(","));
        for row in 0..6 {
            draft.after.push((0..cells).map(|at| format!("{}", row * 10 + at)).collect::<Vec<_>>().join(","));
        }
        files.push(draft.done());
    }
    let mut draft = Draft::new(table, Written::default(), "headings again");
    let head = draft.heads[0].clone();
    draft.body.insert(draft.body.len() / 2, (head.clone(), None));
    files.push(draft.done());
    let mut draft = Draft::new(table, Written::default(), "two files joined");
    draft.body.insert(draft.body.len() / 2, (format!("\u{feff}{head}"), None));
    files.push(draft.done());
    for what in ["less", "more", "mark"] {
        let mut draft = Draft::new(table, Written::default(), format!("headings with a sign {what}"));
        draft.heads[0] = match what {
            "less" => draft.heads[0].replacen(',', "", 1),
            "more" => format!("{},", draft.heads[0]),
            _ => draft.heads[0].replacen(',', "\",", 1),
        };
        // A quoted heading with a comma in it loses that one first, and is then whole but for its text.
        files.push(draft.done());
    }
}

/// One row of the file.
fn rows(table: &Table, how: &Written, files: &mut Vec<File>, seed: u64) {
    let mut chance = Chance(seed);
    let width = table.head.len();
    let kinds = [
        "less",
        "more",
        "quote-mid",
        "quote-begin",
        "quote-end",
        "quote-lost",
        "other sign",
        "line end",
        "half",
        "cells twice",
        "moved",
        "swapped",
        "empty line",
        "return",
        "nul",
        "lost character",
        "two quotes",
    ];
    for kind in kinds {
        for round in 0..4 {
            let at = match round {
                0 => 0,
                1 => table.rows.len() - 1,
                _ => chance.below(table.rows.len()),
            };
            let column = chance.below(width - 1);
            let mut draft = Draft::new(
                table,
                how.clone(),
                format!("{kind} in row {} column {} ({:?}, all {})", at + 1, column + 1, how.sign, how.all),
            );
            let cells: Vec<String> = table.rows[at].iter().map(|cell| how.cell(cell)).collect();
            let join = |cells: &[String]| cells.join(&how.sign);
            let mut changed = cells.clone();
            let text = match kind {
                "less" => {
                    let next = changed.remove(column + 1);
                    changed[column] += &next;
                    join(&changed)
                }
                "more" => {
                    changed.insert(column, String::new());
                    join(&changed)
                }
                "quote-mid" | "quote-begin" | "quote-end" => {
                    let length = changed[column].chars().count();
                    let place = match kind {
                        "quote-mid" => length / 2,
                        "quote-begin" => 0,
                        _ => length,
                    };
                    let byte = changed[column].char_indices().nth(place).map_or(changed[column].len(), |(at, _)| at);
                    changed[column].insert(byte, how.quote);
                    join(&changed)
                }
                "quote-lost" => {
                    let Some(quoted) = changed.iter().position(|cell| cell.starts_with(how.quote)) else { continue };
                    let from = usize::from(round % 2 == 0) * (changed[quoted].len() - 1);
                    changed[quoted].remove(from);
                    join(&changed)
                }
                "other sign" => changed.join(if how.sign == ";" { "," } else { ";" }),
                "line end" => {
                    let place = changed[column].len() / 2;
                    if place == 0 || changed[column].starts_with(how.quote) || !changed[column].is_char_boundary(place)
                    {
                        continue;
                    }
                    changed[column].insert(place, '\n');
                    join(&changed)
                }
                "half" => {
                    let whole = join(&changed);
                    let end = (0..=whole.len() / 2).rev().find(|&end| whole.is_char_boundary(end)).unwrap();
                    whole[..end].to_owned()
                }
                "cells twice" => {
                    let again = changed[column].clone();
                    changed.insert(column, again);
                    join(&changed)
                }
                "moved" => {
                    // One sign lost and one gained: the row keeps its width.
                    let next = changed.remove(column + 1);
                    changed[column] += &next;
                    let place = (column + 2) % changed.len();
                    changed.insert(place, "7".to_owned());
                    if table.text[column] && table.text[(column + 1) % width] || how.all {
                        continue;
                    }
                    join(&changed)
                }
                "swapped" => {
                    let other = (column + 1) % width;
                    if table.text[column] == table.text[other] || cells[column].is_empty() || cells[other].is_empty() {
                        continue;
                    }
                    changed.swap(column, other);
                    join(&changed)
                }
                "empty line" => format!("\n{}", join(&changed)),
                "return" => {
                    changed[column] += "\r";
                    join(&changed)
                }
                "nul" => {
                    changed[column] += "\0";
                    join(&changed)
                }
                "lost character" => {
                    changed[column].push('\u{fffd}');
                    join(&changed)
                }
                _ => {
                    // A mark at the head of this cell and one at the foot of the same cell some rows on.
                    if how.all || at + 3 >= table.rows.len() {
                        continue;
                    }
                    let mut later: Vec<String> = table.rows[at + 2].iter().map(|cell| how.cell(cell)).collect();
                    if changed[column].contains(how.quote) || later[column].contains(how.quote) {
                        continue;
                    }
                    later[column].push(how.quote);
                    draft.body[at + 2].0 = join(&later);
                    changed[column].insert(0, how.quote);
                    join(&changed)
                }
            };
            draft.body[at].0 = text;
            if kind == "empty line" {
                draft.body[at].0 = join(&changed);
                draft.body.insert(at, (String::new(), None));
            }
            if kind == "half" && round == 1 {
                draft.end = String::new();
            }
            files.push(draft.done());
        }
    }
}
