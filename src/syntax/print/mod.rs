//! The formatter: one form of a plan text, with its comments, its broken statements and its meaning.
//!
//! It knows the grammar's pairs and not its statements, so that a new statement needs nothing here. Before a text is
//! given back it is read again and compared with what was read before.

mod columns;
mod event;
mod layout;
pub mod meaning;
mod outline;
mod shape;
mod word;

use super::grammar::{PlanParser, Rule};
use super::{fault, parse};
use crate::finding::Finding;
use crate::source::{Loc, Source, SourceId, Span};
use pest::Parser;

/// A plan text in its one form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Formatted {
    /// The text, with the line ends and the byte order mark that it had.
    pub text: String,
    /// How many places could not be read and stand as they were written.
    pub left: usize,
}

/// Formats a plan text: indentation, blanks, columns, and one spelling of units, signs and quotation marks. Comments
/// stay, and so do empty lines, at most one at a time. What cannot be read stays as it was written.
///
/// # Errors
/// A finding if the text cannot be read at all, or if the formatted text would say something else.
pub fn format(id: SourceId, source: &Source) -> Result<Formatted, Finding> {
    let refused = [&fault::TOO_DEEP, &fault::UNREADABLE];
    let stop = parse(id, source).findings.into_iter().find(|f| refused.iter().any(|rule| f.rule.code == rule.code));
    if let Some(finding) = stop {
        return Err(finding);
    }
    let changed = || {
        Finding::at(&fault::CHANGED_MEANING, Loc { source: id, span: Span::new(0, 0) }, "formatting was given up")
            .help("nothing was written; send the text that shows it to those who keep this tool")
    };
    let text = unix_lines(source.text());
    let before = shape::shape(&text).ok_or_else(changed)?;
    // A broken line may swallow the next one once blanks around them change. Then its block stays whole; and if it
    // stands outside every block, the text does.
    for whole in [false, true] {
        let (lines, left) = lines(&text, whole).ok_or_else(changed)?;
        let formatted = columns::write(&lines);
        if shape::shape(&formatted).is_some_and(|after| after == before) {
            return Ok(Formatted { text: like(source.text(), &formatted), left });
        }
    }
    match before.broken() {
        0 => Err(changed()),
        left => Ok(Formatted { text: source.text().to_owned(), left }),
    }
}

/// The lines, and how many places could not be read.
fn lines(text: &str, whole: bool) -> Option<(Vec<layout::Line>, usize)> {
    let events = event::events(text, PlanParser::parse(Rule::file, text).ok()?, whole);
    let left = events.iter().filter(|event| matches!(event, event::Event::Broken(..))).count();
    let entries = outline::outline(events);
    let mut lines = Vec::new();
    layout::lay(&entries, 0, text, false, &mut lines);
    Some((lines, left))
}

/// The text with line feeds alone at the ends of its lines.
fn unix_lines(text: &str) -> String {
    text.replace("\r\n", "\n").replace('\r', "\n")
}

/// The formatted text with the line ends of the first line and the byte order mark of the original.
fn like(original: &str, formatted: &str) -> String {
    let mark = if original.starts_with('\u{FEFF}') { "\u{FEFF}" } else { "" };
    let dos = original.find('\n').is_some_and(|end| original.get(..end).is_some_and(|line| line.ends_with('\r')));
    let formatted = if dos { formatted.replace('\n', "\r\n") } else { formatted.to_owned() };
    format!("{mark}{formatted}")
}
