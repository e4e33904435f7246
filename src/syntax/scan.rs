//! Passing over quoted text and comments outside the parser, exactly as the grammar does.

use super::MAX_DEPTH;
use super::words::block_words;

/// Quotation marks, straight and curly.
const MARKS: [char; 4] = ['"', '\u{201C}', '\u{201D}', '\u{201E}'];

fn is_end(c: char) -> bool {
    matches!(c, '\n' | '\r')
}

fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\u{A0}' | '\u{202F}' | '\u{2009}' | '\u{FEFF}')
}

/// What stands at a place of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Piece {
    /// Text in quotes, closed on its line.
    Quoted,
    /// A mark that nothing on its line closes.
    OpenMark,
    /// A comment, up to the end of its line.
    Comment,
    /// Any other character.
    Plain(char),
}

/// The pieces of a text with their offsets and lengths.
struct Pieces<'a> {
    text: &'a str,
    at: usize,
    before: Option<char>,
}

impl<'a> Pieces<'a> {
    fn of(text: &'a str) -> Self {
        Self { text, at: 0, before: None }
    }
}

impl Iterator for Pieces<'_> {
    type Item = (usize, usize, Piece);

    fn next(&mut self) -> Option<Self::Item> {
        let rest = self.text.get(self.at..)?;
        let c = rest.chars().next()?;
        let (length, piece) = if MARKS.contains(&c) {
            quoted_len(rest).map_or((c.len_utf8(), Piece::OpenMark), |length| (length, Piece::Quoted))
        } else if c == '#'
            && self.before.is_none_or(|before| is_blank(before) || is_end(before))
            && rest.chars().nth(1).is_none_or(|after| is_blank(after) || is_end(after))
        {
            (rest.find(is_end).unwrap_or(rest.len()), Piece::Comment)
        } else {
            (c.len_utf8(), Piece::Plain(c))
        };
        let at = self.at;
        self.at += length;
        self.before = rest.get(..length).and_then(|taken| taken.chars().next_back());
        Some((at, length, piece))
    }
}

/// The length of the quoted text that a text begins with: a doubled straight mark stands for itself.
fn quoted_len(text: &str) -> Option<usize> {
    let mut at = text.chars().next()?.len_utf8();
    loop {
        let rest = text.get(at..)?;
        let c = rest.chars().next()?;
        if rest.starts_with("\"\"") {
            at += 2;
        } else if MARKS.contains(&c) {
            return Some(at + c.len_utf8());
        } else if is_end(c) {
            return None;
        } else {
            at += c.len_utf8();
        }
    }
}

fn begins_block(rest: &str) -> bool {
    rest.starts_with(|c: char| c.is_ascii_lowercase())
        && block_words().any(|word| {
            rest.strip_prefix(word)
                .is_some_and(|after| !after.starts_with(|c: char| c.is_alphanumeric() || c == '-' || c == '_'))
        })
}

/// Where braces nest deeper than allowed. A block word in column 1 begins a block, however many braces were left open.
pub(super) fn too_deep(text: &str) -> Option<usize> {
    let mut depth = 0_usize;
    let mut line_start = true;
    for (at, _, piece) in Pieces::of(text) {
        if line_start && text.get(at..).is_some_and(begins_block) {
            depth = 0;
        }
        line_start = matches!(piece, Piece::Plain(c) if is_end(c));
        match piece {
            Piece::Plain('{') => {
                depth += 1;
                if depth > MAX_DEPTH {
                    return Some(at);
                }
            }
            Piece::Plain('}') => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    None
}

/// The text with everything in quotes and in comments turned to blanks, byte for byte; or where a quotation is left open.
pub(super) fn bare(text: &str) -> Result<String, usize> {
    let mut out = String::with_capacity(text.len());
    for (at, length, piece) in Pieces::of(text) {
        match piece {
            Piece::OpenMark => return Err(at),
            Piece::Quoted | Piece::Comment => out.extend(std::iter::repeat_n(' ', length)),
            Piece::Plain(c) => out.push(c),
        }
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::grammar::{PlanParser, Rule};
    use pest::Parser;
    use proptest::prelude::*;

    proptest! {
        /// Held against the grammar itself.
        #[test]
        fn quoted_text_is_what_the_grammar_takes(text in "[\"“”„a#{ \\n\\r]{0,12}") {
            let text = format!("\"{text}");
            let grammar = PlanParser::parse(Rule::quoted, &text).ok().map(|pairs| pairs.as_str().len());
            prop_assert_eq!(quoted_len(&text), grammar);
        }
    }

    #[test]
    fn quotes_and_comments_become_blanks() {
        assert_eq!(bare("a \"b # {\" c # 4,2 \" d\n#e"), Ok(format!("a {} c {}\n#e", " ".repeat(7), " ".repeat(9))));
        assert_eq!(bare("a \"b\"\" c"), Err(2));
    }
}
