//! From the outline to lines.
//!
//! Whether something stands on one line is decided by the author and by its width without columns. So the same text
//! always gives the same lines, and columns cannot break a line.

use super::columns::{self, Column};
use super::outline::{Body, Broken, Entry, Piece, Statement};

/// Longest line that is not broken where it can be.
const WIDTH: usize = 120;
/// Blanks by which a body is indented.
const STEP: usize = 2;
/// How far from the statement's beginning its further lines may begin.
const HANG: usize = 42;

/// A line of the result.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Line {
    /// Blanks before it.
    pub indent: usize,
    /// Without the comment; empty in a line that holds only a comment or nothing.
    pub text: String,
    /// The comment at its end, or alone on it.
    pub comment: Option<String>,
}

impl Line {
    fn new(indent: usize, text: String, comment: Option<String>) -> Line {
        Line { indent, text, comment }
    }
}

/// The entries as lines; `text` is what the outline was made from. `share` lets statements that share a line do so.
pub(super) fn lay(entries: &[Entry], indent: usize, text: &str, share: bool, lines: &mut Vec<Line>) {
    let rows = rows(entries, indent, text, share);
    let columns = columns::columns(&rows);
    for (row, column) in rows.into_iter().zip(columns) {
        match row {
            Row::Blank => lines.push(Line::default()),
            Row::Comment(comment) => lines.push(Line::new(indent, String::new(), Some(comment.to_owned()))),
            Row::Joined(joined, comment) => lines.push(Line::new(indent, joined, comment)),
            Row::Kept(broken) => keep(broken, indent, text, lines),
            Row::Single(single) => single.write(&column, text, lines),
        }
    }
}

/// What could not be read, as it was written.
fn keep(broken: &Broken, indent: usize, text: &str, lines: &mut Vec<Line>) {
    let kept = broken.written(text);
    let before = text.get(..broken.span.start).unwrap_or("");
    let lead = before.len() - before.trim_end_matches([' ', '\t']).len();
    match lines.last_mut() {
        // At the top of the file nothing says where it belongs, so it stays where it stood.
        Some(last) if indent == 0 && broken.joined => {
            last.text.push_str(if lead == 0 { "" } else { " " });
            last.text.push_str(&kept);
            last.comment.clone_from(&broken.comment);
        }
        _ if indent == 0 => {
            let own = before.get(before.len() - lead..).unwrap_or("");
            lines.push(Line::new(0, format!("{own}{kept}"), broken.comment.clone()));
        }
        _ => lines.push(Line::new(indent, kept, broken.comment.clone())),
    }
}

impl Broken {
    fn written(&self, text: &str) -> String {
        let kept = text.get(self.span.start..self.span.end).unwrap_or("");
        format!("{kept}{}", if self.parted { ";" } else { "" })
    }
}

/// Entries that share a line, or one that has lines of its own.
pub(super) enum Row<'a> {
    Blank,
    Comment(&'a str),
    /// Several statements on one line.
    Joined(String, Option<String>),
    /// What could not be read.
    Kept(&'a Broken),
    Single(Single<'a>),
}

fn rows<'a>(entries: &'a [Entry], indent: usize, text: &str, share: bool) -> Vec<Row<'a>> {
    let mut rows = Vec::new();
    let mut rest = entries;
    while !rest.is_empty() {
        let length = 1 + rest.iter().skip(1).take_while(|entry| share && entry.joined()).count();
        let (group, after) = rest.split_at(length);
        rest = after;
        if length > 1
            && let Some(line) = join(group, indent, text)
        {
            let comment = match group.last() {
                Some(Entry::Statement(last)) => last.comment.clone(),
                Some(Entry::Broken(last)) => last.comment.clone(),
                _ => None,
            };
            rows.push(Row::Joined(line, comment));
            continue;
        }
        rows.extend(group.iter().map(|entry| match entry {
            Entry::Blank => Row::Blank,
            Entry::Comment(comment) => Row::Comment(comment),
            Entry::Broken(broken) => Row::Kept(broken),
            Entry::Statement(statement) => Row::Single(Single::new(statement, indent, text)),
        }));
    }
    rows
}

impl Entry {
    fn joined(&self) -> bool {
        match self {
            Entry::Statement(statement) => statement.joined,
            Entry::Broken(broken) => broken.joined,
            Entry::Blank | Entry::Comment(_) => false,
        }
    }
}

/// Statements that share a line; nothing if they do not fit on it. What holds something broken keeps its line,
/// since nobody knows what a broken statement takes with it.
fn join(group: &[Entry], indent: usize, text: &str) -> Option<String> {
    let broken = group.iter().any(|entry| match entry {
        Entry::Statement(statement) => statement.holds_broken(),
        Entry::Broken(_) => true,
        Entry::Blank | Entry::Comment(_) => false,
    });
    let line = flat_entries(group, text);
    let flat = !group.iter().any(|entry| matches!(entry, Entry::Statement(statement) if statement.runs_on()));
    (flat && (broken || indent + width(&line) <= WIDTH)).then_some(line)
}

fn flat_entries(entries: &[Entry], text: &str) -> String {
    let parts: Vec<String> = entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Statement(statement) => Some(flat(&statement.pieces, text)),
            Entry::Broken(broken) => Some(broken.written(text)),
            Entry::Blank | Entry::Comment(_) => None,
        })
        .collect();
    parts.join("; ")
}

/// Pieces on one line.
pub(super) fn flat(pieces: &[Piece], text: &str) -> String {
    let mut line = String::new();
    for piece in pieces {
        add(&mut line, piece, text);
    }
    line
}

fn flat_body(body: &Body, text: &str) -> String {
    if body.entries.is_empty() { "{ }".to_owned() } else { format!("{{ {} }}", flat_entries(&body.entries, text)) }
}

/// Adds a piece to a line.
fn add(line: &mut String, piece: &Piece, text: &str) {
    let (word, glued) = match piece {
        Piece::Word(word, glued) => (word.clone(), *glued),
        Piece::Text(word) => (word.clone(), false),
        Piece::Body(body) => (flat_body(body, text), false),
        Piece::Break | Piece::Comment(_) => return,
    };
    if !glued && !line.is_empty() && !line.ends_with(' ') {
        line.push(' ');
    }
    line.push_str(&word);
}

/// How many columns a text takes.
pub(super) fn width(text: &str) -> usize {
    text.chars().count()
}

/// A statement with lines of its own.
pub(super) struct Single<'a> {
    pub statement: &'a Statement,
    indent: usize,
    /// Its width on one line, without columns.
    pub width: usize,
    /// Which of its bodies take lines of their own.
    open: Vec<bool>,
    /// The text at its end goes on a line of its own.
    hang_last: bool,
}

impl<'a> Single<'a> {
    fn new(statement: &'a Statement, indent: usize, text: &str) -> Self {
        let open = statement.bodies().map(|body| !(body.flat || body.entries.is_empty() && body.comment.is_none()));
        let width = indent + width(&flat(&statement.pieces, text));
        let mut single = Single { statement, indent, width, open: open.collect(), hang_last: false };
        single.fit(text);
        single
    }

    /// Whether a body of it takes lines of its own.
    pub(super) fn opens(&self) -> bool {
        self.open.contains(&true)
    }

    /// Opens bodies until every line fits, from the first on.
    fn fit(&mut self, text: &str) {
        while let Some(body) = self.too_wide(text) {
            match self.open.get_mut(body) {
                Some(open) => *open = true,
                None => break,
            }
        }
        let pieces = &self.statement.pieces;
        let plain = pieces.iter().all(|piece| matches!(piece, Piece::Word(..) | Piece::Text(_)));
        self.hang_last =
            plain && pieces.len() > 2 && matches!(pieces.last(), Some(Piece::Text(_))) && self.width > WIDTH;
    }

    /// The first body that could be opened on the first line that is too long.
    fn too_wide(&self, text: &str) -> Option<usize> {
        let (mut line, mut candidate, mut number) = (String::new(), None, 0);
        for piece in &self.statement.pieces {
            match piece {
                Piece::Break => {
                    line.clear();
                    candidate = None;
                }
                Piece::Body(body) => {
                    if self.open.get(number).copied().unwrap_or(false) {
                        if candidate.is_some() && self.indent + width(&line) + 2 > WIDTH {
                            return candidate;
                        }
                        "}".clone_into(&mut line);
                        candidate = None;
                    } else {
                        add(&mut line, piece, text);
                        if candidate.is_none() && !body.broken && !body.entries.is_empty() {
                            candidate = Some(number);
                        }
                    }
                    number += 1;
                }
                _ => add(&mut line, piece, text),
            }
            if candidate.is_some() && self.indent + width(&line) > WIDTH {
                return candidate;
            }
        }
        None
    }

    fn write(&self, column: &Column, text: &str, lines: &mut Vec<Line>) {
        let pieces = &self.statement.pieces;
        let first = width(&flat(pieces.get(..1).unwrap_or(&[]), text)) + 1;
        // Where the value begins, and further lines with it.
        let value = column.value(self.statement, text).unwrap_or(first);
        let hang = self.indent + if value <= HANG { value } else { first };
        let mut line = Line { indent: self.indent, ..Line::default() };
        let (mut body_number, mut opened) = (0, false);
        for (number, piece) in pieces.iter().enumerate() {
            column.pad(&mut line.text, number, self.statement);
            let last = self.hang_last && number + 1 == pieces.len();
            let next = Line { indent: if opened { self.indent } else { hang }, ..Line::default() };
            match piece {
                Piece::Break => {
                    if !line.text.is_empty() || line.comment.is_some() {
                        lines.push(std::mem::replace(&mut line, next));
                    }
                }
                Piece::Comment(comment) => line.comment = Some(comment.clone()),
                Piece::Body(body) if self.open.get(body_number).copied().unwrap_or(false) => {
                    line.text.push_str(if line.text.is_empty() || line.text.ends_with(' ') { "{" } else { " {" });
                    line.comment.clone_from(&body.comment);
                    lines.push(std::mem::take(&mut line));
                    // What stood on one line and does not fit there gets a line for each statement.
                    lay(&body.entries, self.indent + STEP, text, !body.flat, lines);
                    line = Line::new(self.indent, "}".to_owned(), None);
                    opened = true;
                }
                _ => {
                    if last {
                        lines.push(std::mem::replace(&mut line, next));
                    }
                    add(&mut line.text, piece, text);
                }
            }
            body_number += usize::from(matches!(piece, Piece::Body(_)));
        }
        if let Some(comment) = &self.statement.comment {
            line.comment = Some(comment.clone());
        }
        lines.push(line);
    }
}
