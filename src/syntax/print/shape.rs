//! What a text says, apart from its layout: compared before and after formatting.
//!
//! Made from the grammar's pairs alone, and from nothing that the printer makes of them. Whatever stands between two
//! words is searched for comments.

use super::word::spelling;
use crate::syntax::grammar::{PlanParser, Rule};
use pest::Parser;
use pest::iterators::Pair;

/// Every construct and word in order, without places, and every comment.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Shape {
    marks: Vec<Mark>,
    comments: Vec<String>,
    /// Signs for which the grammar has no rule, but for the commas and semicolons that part things.
    signs: String,
}

#[derive(Debug, PartialEq, Eq)]
enum Mark {
    /// A construct with parts begins.
    Enter(Rule),
    /// A word, in its one spelling.
    Word(Rule, String),
    /// What could not be read, as written.
    Broken(Rule, String),
    /// The construct ends.
    Leave,
}

/// The shape of a text with line feeds alone at its line ends; nothing if it cannot be read.
pub(super) fn shape(text: &str) -> Option<Shape> {
    let mut reader =
        Reader { text, at: 0, shape: Shape { marks: Vec::new(), comments: Vec::new(), signs: String::new() } };
    for pair in PlanParser::parse(Rule::file, text).ok()? {
        reader.read(&pair);
    }
    reader.pass(text.len(), text.len());
    Some(reader.shape)
}

impl Shape {
    /// How many places could not be read.
    pub(super) fn broken(&self) -> usize {
        self.marks.iter().filter(|mark| matches!(mark, Mark::Broken(..) | Mark::Word(Rule::unclosed, _))).count()
    }
}

struct Reader<'a> {
    text: &'a str,
    /// Behind the last word.
    at: usize,
    shape: Shape,
}

impl Reader<'_> {
    fn read(&mut self, pair: &Pair<'_, Rule>) {
        let rule = pair.as_rule();
        if matches!(rule, Rule::line | Rule::top_line | Rule::comma | Rule::comment | Rule::EOI) {
            return;
        }
        let start = pair.as_span().start();
        let text = pair.as_str().trim_end();
        if matches!(rule, Rule::bad_statement | Rule::bad_block | Rule::junk) {
            self.pass(start, start + text.len());
            self.shape.marks.push(Mark::Broken(rule, text.to_owned()));
            return;
        }
        let at = self.shape.marks.len();
        self.shape.marks.push(Mark::Enter(rule));
        for part in pair.clone().into_inner() {
            self.read(&part);
        }
        // A file of comments alone is no word.
        if self.shape.marks.len() > at + 1 || rule == Rule::file {
            self.shape.marks.push(Mark::Leave);
            return;
        }
        self.pass(start, start + text.len());
        // Blanks inside a word part it from the next and are no more than that; quoted text is kept as it is.
        let written = spelling(rule, text);
        let word = match rule {
            Rule::quoted => written.into_owned(),
            _ => written.split_whitespace().collect::<Vec<_>>().join(" "),
        };
        if let Some(mark) = self.shape.marks.last_mut() {
            *mark = Mark::Word(rule, word);
        }
    }

    /// Passes over a word, and keeps the comments and signs that stand before it.
    fn pass(&mut self, start: usize, end: usize) {
        let gap = self.text.get(self.at..start).unwrap_or("");
        for line in gap.lines() {
            let (signs, comment) = line.split_at(line.find('#').unwrap_or(line.len()));
            let plain = |c: &char| !c.is_whitespace() && !matches!(c, ',' | ';' | '\u{FEFF}');
            self.shape.signs.extend(signs.chars().filter(plain));
            if !comment.is_empty() {
                self.shape.comments.push(comment.trim_end().to_owned());
            }
        }
        self.at = self.at.max(end);
    }
}
