//! From the pairs of the grammar to a row of words, line ends and braces, in the order of the text.
//!
//! Knows no statement: a word is whatever a rule without parts took, and what stands between two words is read here.

use super::word::spelling;
use crate::source::Span;
use crate::syntax::Rule;
use pest::iterators::{Pair, Pairs};

/// One thing in the order of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Event {
    /// A word, number, unit or sign, and whether it stands directly behind the one before.
    Word(String, bool),
    /// Text in quotes.
    Quoted(String),
    /// Parts the items of a list.
    Comma,
    /// Parts two statements on one line.
    Semicolon,
    /// The end of a line.
    Newline,
    /// A comment without the blanks behind it.
    Comment(String),
    /// Opens a body.
    Open,
    /// Closes it.
    Close,
    /// A statement or block begins.
    Start(Rule),
    /// The statement's first column ends here.
    Cell,
    /// The statement ends, at this place of the text.
    End(usize),
    /// What could not be read, and whether it takes more than one line.
    Broken(Span, bool),
}

/// The events of a whole file. With `whole`, a block that holds something broken is broken as a whole.
pub(super) fn events(text: &str, pairs: Pairs<'_, Rule>, whole: bool) -> Vec<Event> {
    let mut reader = Reader { text, at: 0, whole, events: Vec::new() };
    for file in pairs {
        for pair in file.into_inner() {
            reader.statement(pair, true);
        }
    }
    reader.gap(text.len());
    reader.events
}

struct Reader<'a> {
    text: &'a str,
    /// Up to where the text has become events.
    at: usize,
    whole: bool,
    events: Vec<Event>,
}

/// What stands between words, and is read from the text itself.
fn between(rule: Rule) -> bool {
    matches!(rule, Rule::line | Rule::top_line | Rule::comma | Rule::comment | Rule::EOI)
}

/// Whether one of these stands in a pair.
fn holds(pair: &Pair<'_, Rule>, rules: &[Rule]) -> bool {
    rules.contains(&pair.as_rule()) || pair.clone().into_inner().any(|inner| holds(&inner, rules))
}

impl Reader<'_> {
    fn statement(&mut self, pair: Pair<'_, Rule>, top: bool) {
        let rule = pair.as_rule();
        if between(rule) {
            return;
        }
        self.gap(pair.as_span().start());
        // Where a brace is never closed, nobody knows what belongs into which body.
        let broken: &[Rule] = if self.whole { &[Rule::unclosed, Rule::bad_statement] } else { &[Rule::unclosed] };
        if matches!(rule, Rule::bad_statement | Rule::bad_block | Rule::junk) || top && holds(&pair, broken) {
            let kept = pair.as_str().trim_end();
            let end = pair.as_span().start() + kept.len();
            self.events.push(Event::Broken(Span::new(self.at, end), kept.contains('\n')));
            self.at = end;
            return;
        }
        let end = pair.as_span().end();
        self.events.push(Event::Start(rule));
        // A limit and a monitoring line begin with their name, which stands in the first column with their word.
        let named = matches!(rule, Rule::s_limit | Rule::s_monitor);
        self.parts(pair, if named { 2 } else { 1 });
        // A sign at the end; a comment behind it stands behind the statement.
        let tail = self.text.get(self.at..end).unwrap_or("");
        let tail = tail.get(..tail.find(['#', '\n']).unwrap_or(tail.len())).unwrap_or("").trim_end();
        self.gap(self.at + tail.len());
        self.events.push(Event::End(self.at));
    }

    /// The parts of a statement, of which the first ones make a column.
    fn parts(&mut self, pair: Pair<'_, Rule>, column: usize) {
        let mut inside = false;
        let mut seen = 0;
        for part in pair.into_inner() {
            match part.as_rule() {
                rule if between(rule) => continue,
                Rule::open => {
                    let start = part.as_span().start();
                    self.gap(start);
                    self.at = part.as_span().end();
                    self.events.push(Event::Open);
                    inside = true;
                }
                Rule::close => {
                    self.gap(part.as_span().start());
                    self.at = part.as_span().end();
                    self.events.push(Event::Close);
                    inside = false;
                }
                _ if inside => self.statement(part, false),
                _ => self.words(part),
            }
            seen += 1;
            if seen == column {
                self.events.push(Event::Cell);
            }
        }
    }

    fn words(&mut self, pair: Pair<'_, Rule>) {
        if pair.clone().into_inner().any(|inner| !between(inner.as_rule())) {
            self.parts(pair, 0);
            return;
        }
        let span = pair.as_span();
        if span.as_str().trim().is_empty() {
            return;
        }
        self.gap(span.start());
        let written = spelling(pair.as_rule(), span.as_str().trim_end());
        if pair.as_rule() == Rule::quoted {
            self.events.push(Event::Quoted(written.into_owned()));
        } else {
            for word in written.split_whitespace() {
                let glued =
                    matches!(self.events.last(), Some(Event::Word(sign, _)) if sign == "." || sign.ends_with('('));
                self.events.push(Event::Word(word.to_owned(), glued));
            }
        }
        self.at = span.start() + span.as_str().trim_end().len();
    }

    /// Reads what stands up to a place: blanks, line ends, comments, and signs for which the grammar has no rule.
    fn gap(&mut self, to: usize) {
        let mut rest = self.text.get(self.at..to).unwrap_or("");
        while let Some(c) = rest.chars().next() {
            let length = match c {
                '\n' => {
                    self.events.push(Event::Newline);
                    1
                }
                ';' => {
                    self.events.push(Event::Semicolon);
                    1
                }
                ',' => {
                    self.events.push(Event::Comma);
                    1
                }
                '#' => {
                    let length = rest.find('\n').unwrap_or(rest.len());
                    self.events.push(Event::Comment(rest.get(..length).unwrap_or("").trim_end().to_owned()));
                    length
                }
                c if c.is_whitespace() || c == '\u{FEFF}' => c.len_utf8(),
                _ => {
                    let ends = |c: char| c.is_whitespace() || matches!(c, ';' | ',' | '#' | '\u{FEFF}');
                    let length = rest.find(ends).unwrap_or(rest.len());
                    let sign = rest.get(..length).unwrap_or("").to_owned();
                    let glued = sign.starts_with(['.', ')']);
                    self.events.push(Event::Word(sign, glued));
                    length
                }
            };
            rest = rest.get(length..).unwrap_or("");
        }
        self.at = self.at.max(to);
    }
}
