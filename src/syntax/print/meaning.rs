//! What a plan text says, apart from its layout: one line a block, for digests.
//!
//! Made from the outline of the formatter: its words in their one spelling, one blank between them; without comments,
//! empty lines and line breaks. Texts that join are joined. `docs/sign-off.md` describes the lines; whoever changes
//! what is made here must give the digest a new form.

use super::event::events;
use super::outline::{Body, Entry, Piece, Statement, outline};
use super::unix_lines;
use crate::syntax::grammar::{PlanParser, Rule};
use crate::syntax::scan;
use pest::Parser;

/// One block of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// The word it begins with, such as `step`; empty for text that could not be read.
    pub word: String,
    /// Its words and texts on one line.
    pub line: String,
}

/// The blocks of a text in the order written. What cannot be read stands in them as it was written, each stretch of
/// blanks as one.
#[must_use]
pub fn blocks(text: &str) -> Vec<Block> {
    let text = unix_lines(text);
    let unread = |text: &str| Block { word: String::new(), line: broken(text) };
    if scan::too_deep(&text).is_some() {
        return vec![unread(&text)];
    }
    let Ok(pairs) = PlanParser::parse(Rule::file, &text) else { return vec![unread(&text)] };
    outline(events(&text, pairs, false))
        .iter()
        .filter_map(|entry| match entry {
            Entry::Blank | Entry::Comment(_) => None,
            Entry::Broken(broken) => Some(unread(text.get(broken.span.start..broken.span.end).unwrap_or(""))),
            Entry::Statement(block) => {
                let word = match block.pieces.first() {
                    Some(Piece::Word(word, _)) => word.clone(),
                    _ => String::new(),
                };
                Some(Block { word, line: statement(&text, block) })
            }
        })
        .collect()
}

fn broken(text: &str) -> String {
    format!("unread {}", text.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn statement(text: &str, statement: &Statement) -> String {
    let mut words: Vec<String> = Vec::new();
    // Whether the last word is a text, with a line break behind it: a text that follows joins it.
    let (mut after_text, mut broke) = (false, false);
    for piece in &statement.pieces {
        match piece {
            Piece::Break | Piece::Comment(_) => {
                broke = true;
                continue;
            }
            Piece::Text(quoted) => {
                let inside = quoted.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(quoted).trim();
                match words.last_mut() {
                    Some(last) if after_text && broke => {
                        last.pop();
                        last.push_str(&format!(" {inside}\""));
                    }
                    _ => words.push(format!("\"{inside}\"")),
                }
            }
            // Brackets that touch are brackets that do not.
            Piece::Word(word, _) if word.chars().all(|c| matches!(c, '(' | ')')) => {
                words.extend(word.chars().map(String::from));
            }
            Piece::Word(word, _) => words.push(word.clone()),
            Piece::Body(body) => words.push(contents(text, body)),
        }
        (after_text, broke) = (matches!(piece, Piece::Text(_)), false);
    }
    words.join(" ")
}

fn contents(text: &str, body: &Body) -> String {
    let lines: Vec<String> = body
        .entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Blank | Entry::Comment(_) => None,
            Entry::Broken(piece) => Some(broken(text.get(piece.span.start..piece.span.end).unwrap_or(""))),
            Entry::Statement(inner) => Some(statement(text, inner)),
        })
        .collect();
    if lines.is_empty() { "{ }".to_owned() } else { format!("{{ {} }}", lines.join(" ; ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<String> {
        blocks(text).into_iter().map(|block| block.line).collect()
    }

    #[test]
    fn layout_comments_and_spelling_fall_away() {
        let plain = lines("parameter core \"Core\" { unit °C }\nrole r {\n  duties \"a b\"\n}\n");
        let other = "# top\r\nparameter   core “Core”   { # here\r\n\r\n  unit degC\r\n}\r\nrole r { duties \"a\" # more\r\n   \"b\" ; }\r\n";
        assert_eq!(plain, ["parameter core \"Core\" { unit °C }", "role r { duties \"a b\" }"]);
        assert_eq!(lines(other), plain);
    }

    #[test]
    fn two_texts_of_one_statement_stay_two() {
        let two = lines("team {\n  outside \"a\" \"b\"\n}\n");
        assert_eq!(two, ["team { outside \"a\" \"b\" }"]);
        assert_ne!(lines("team {\n  outside \"a b\" \"\"\n}\n"), two);
    }

    #[test]
    fn brackets_and_signs_do_not_depend_on_blanks() {
        let one = lines("parameter x {\n  from ((a + b) / c) - d\n}\n");
        assert!(!one[0].contains("unread"), "{one:?}");
        assert_eq!(lines("parameter x {\n  from ( ( a + b ) / c ) - d\n}\n"), one);
        assert_ne!(lines("parameter x {\n  from (a + (b / c)) - d\n}\n"), one);
    }

    #[test]
    fn quantities_stay_as_written() {
        let of = |level: &str| lines(&format!("table t {{ row >= {level} }}\n"));
        assert_eq!(of("−2 °C"), of("-2 degC"));
        for other in ["72.0 °C", "161.6 °F", "72 °F", "73 °C", "720 °C"] {
            assert_ne!(of("72 °C"), of(other));
        }
    }

    #[test]
    fn what_cannot_be_read_still_counts() {
        let one = lines("role r {\n  zzqq 1\n}\njunk\n");
        assert_ne!(lines("role r {\n  zzqq 2\n}\njunk\n"), one);
        assert_ne!(lines("role r {\n  zzqq 1\n}\njunks\n"), one);
        assert_eq!(lines("role r {\n  zzqq   1\n}\n\n\njunk\n"), one);
    }
}
