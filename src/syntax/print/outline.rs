//! From events to an outline: bodies, the statements in them, comments and empty lines.

use super::event::Event;
use crate::source::Span;
use crate::syntax::Rule;
use std::vec::IntoIter;

/// Something that stands in a body, or in the file.
#[derive(Debug)]
pub(super) enum Entry {
    /// One or more empty lines.
    Blank,
    /// A comment on a line of its own.
    Comment(String),
    /// A statement or block that was read.
    Statement(Statement),
    /// Text that could not be read and is left as it is.
    Broken(Broken),
}

/// Text that could not be read.
#[derive(Debug)]
pub(super) struct Broken {
    /// Where it stands.
    pub span: Span,
    /// Whether it begins on the line of what stands before it.
    pub joined: bool,
    /// What stands behind it on its line.
    pub comment: Option<String>,
    /// Whether a semicolon parts it from that comment, which it would take for its own.
    pub parted: bool,
}

/// A statement or block.
#[derive(Debug)]
pub(super) struct Statement {
    /// Its rule in the grammar.
    pub rule: Rule,
    /// Its parts in order.
    pub pieces: Vec<Piece>,
    /// How many of them make its first column.
    pub cell: usize,
    /// Whether it begins on the line of the statement before it.
    pub joined: bool,
    /// What stands behind it on its line.
    pub comment: Option<String>,
}

/// A part of a statement.
#[derive(Debug)]
pub(super) enum Piece {
    /// A word, and whether it stands directly behind the one before.
    Word(String, bool),
    /// Text in quotes.
    Text(String),
    /// The statement runs on in the next line.
    Break,
    /// A comment behind or between lines of the statement.
    Comment(String),
    /// Contents in braces.
    Body(Body),
}

/// The contents in braces.
#[derive(Debug)]
pub(super) struct Body {
    /// In order.
    pub entries: Vec<Entry>,
    /// Whether it stands on one line.
    pub flat: bool,
    /// Whether something in it could not be read.
    pub broken: bool,
    /// What stands behind the opening brace.
    pub comment: Option<String>,
}

/// The outline of a whole file.
pub(super) fn outline(events: Vec<Event>) -> Vec<Entry> {
    body(&mut events.into_iter(), 1).entries
}

/// A body up to its closing brace; `lines` is how many line ends stand before its beginning.
fn body(events: &mut IntoIter<Event>, mut lines: usize) -> Body {
    let mut body = Body { entries: Vec::new(), flat: true, broken: false, comment: None };
    // Whether a semicolon stands behind the last entry.
    let mut parted = false;
    while let Some(event) = events.next() {
        let blank = lines > 1 && !body.entries.is_empty();
        let joined = lines == 0 && !body.entries.is_empty();
        match event {
            Event::Close => break,
            Event::Newline => {
                lines += 1;
                body.flat = false;
                continue;
            }
            Event::Semicolon => {
                parted = true;
                continue;
            }
            Event::Comment(text) if lines == 0 => {
                match body.entries.last_mut() {
                    None => body.comment = Some(text),
                    Some(Entry::Statement(last)) => last.comment = Some(text),
                    Some(Entry::Broken(last)) => (last.comment, last.parted) = (Some(text), parted),
                    Some(Entry::Blank | Entry::Comment(_)) => {}
                }
                continue;
            }
            Event::Comment(text) => {
                body.entries.extend(blank.then_some(Entry::Blank));
                body.entries.push(Entry::Comment(text));
            }
            Event::Start(rule) => {
                let (statement, end) = statement(events, rule, joined);
                body.flat &= !statement.runs_on();
                body.broken |= statement.holds_broken();
                match body.entries.last_mut() {
                    // Behind something broken, on its line: nobody knows where one ends and the other begins.
                    Some(Entry::Broken(before)) if joined && !parted => before.span.end = end,
                    _ => {
                        body.entries.extend(blank.then_some(Entry::Blank));
                        body.entries.push(Entry::Statement(statement));
                    }
                }
            }
            Event::Broken(span, long) => {
                body.broken = true;
                body.flat &= !long;
                match body.entries.last_mut() {
                    Some(Entry::Broken(before)) if joined && !parted => before.span.end = span.end,
                    _ => {
                        body.entries.extend(blank.then_some(Entry::Blank));
                        body.entries.push(Entry::Broken(Broken { span, joined, comment: None, parted: false }));
                    }
                }
            }
            // Words stand in statements alone.
            Event::Word(..) | Event::Quoted(_) | Event::Comma | Event::Open | Event::Cell | Event::End(_) => continue,
        }
        (lines, parted) = (0, false);
    }
    body
}

/// A statement up to its end, and the place of that.
fn statement(events: &mut IntoIter<Event>, rule: Rule, joined: bool) -> (Statement, usize) {
    let mut found = Statement { rule, pieces: Vec::new(), cell: 1, joined, comment: None };
    let mut end = 0;
    while let Some(event) = events.next() {
        let piece = match event {
            Event::End(at) => {
                end = at;
                break;
            }
            Event::Cell => {
                found.cell = found.pieces.len();
                continue;
            }
            Event::Newline if matches!(found.pieces.last(), Some(Piece::Break)) => continue,
            Event::Newline => Piece::Break,
            Event::Comment(text) => Piece::Comment(text),
            Event::Open => Piece::Body(body(events, 0)),
            Event::Word(word, glued) => Piece::Word(word, glued),
            Event::Quoted(text) => Piece::Text(text),
            Event::Comma => Piece::Word(",".to_owned(), true),
            Event::Semicolon => Piece::Word(";".to_owned(), true),
            Event::Close | Event::Start(_) | Event::Broken(..) => continue,
        };
        found.pieces.push(piece);
    }
    // The first text stands on the line of its word.
    if let [Piece::Word(..), Piece::Break, Piece::Text(_), ..] = found.pieces.as_slice() {
        found.pieces.remove(1);
    }
    (found, end)
}

impl Statement {
    /// Whether it takes more than one line as it was written.
    pub(super) fn runs_on(&self) -> bool {
        self.pieces.iter().any(|piece| match piece {
            Piece::Break | Piece::Comment(_) => true,
            Piece::Body(body) => !body.flat,
            Piece::Word(..) | Piece::Text(_) => false,
        })
    }

    /// Whether something in it could not be read.
    pub(super) fn holds_broken(&self) -> bool {
        self.pieces.iter().any(|piece| matches!(piece, Piece::Body(body) if body.broken))
    }

    /// Its bodies, in order.
    pub(super) fn bodies(&self) -> impl Iterator<Item = &Body> {
        self.pieces.iter().filter_map(|piece| match piece {
            Piece::Body(body) => Some(body),
            _ => None,
        })
    }
}
