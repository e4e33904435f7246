//! Where in a text the cursor stands: in which block, in which statement, in quotes or in a comment.

use crate::source::Span;
use crate::syntax::words::block_words;

/// The surroundings of a byte of a text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Spot {
    /// The block, by its name in the vocabulary; `None` outside every block.
    pub(super) block: Option<String>,
    /// The statement from its first letter up to the word at the cursor.
    pub(super) before: String,
    /// The word at the cursor, from its first letter to the cursor.
    pub(super) word: Span,
    /// Whether the cursor stands in quoted text, and the byte after its mark.
    pub(super) quoted: Option<usize>,
    /// Whether it stands in a comment.
    pub(super) comment: bool,
}

const MARKS: [char; 4] = ['"', '“', '”', '„'];

/// What may be part of a word that is being typed.
fn in_word(c: char) -> bool {
    c.is_alphanumeric() || "-_.°º℃℉µμ%".contains(c)
}

/// The block that these words open inside another one.
fn opened(words: &str, outer: Option<&str>) -> String {
    let first = words.split_whitespace().next().unwrap_or("");
    let ends = |ending: &str| words.trim_end().ends_with(ending);
    if outer.is_none() {
        return if first == "control" { "ccp".to_owned() } else { first.to_owned() };
    }
    let block = match first {
        "hazard" => "row",
        _ if ends(" of") || ends("one of") || ends("all of") || words.contains(" chosen by ") => "group",
        _ if ends("bands") => "bands",
        "limit" | "operating-limit" | "guide" | "identity" => "limit",
        other => other,
    };
    block.to_owned()
}

/// The surroundings of a byte.
pub(super) fn spot(text: &str, at: usize) -> Spot {
    let at = (0..=at.min(text.len())).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0);
    let start = block_start(text, at);
    let mut stack: Vec<(String, usize)> = Vec::new();
    let mut begins = start;
    let mut closed: Option<usize> = None;
    let (mut quoted, mut comment) = (None, false);
    let mut last = '\n';
    let body = text.get(start..at).unwrap_or("");
    for (offset, c) in body.char_indices() {
        let here = start + offset;
        let next = text.get(here + c.len_utf8()..).and_then(|rest| rest.chars().next());
        if c == '\n' || c == '\r' {
            (quoted, comment) = (None, false);
            if last != ',' && !continues(text, here) {
                begins = here + 1;
                closed = None;
            }
            continue;
        }
        if comment {
            continue;
        }
        if let Some(open) = quoted {
            // A doubled mark stands for itself; leaving and entering again comes to the same.
            quoted = if MARKS.contains(&c) { None } else { Some(open) };
            last = c;
            continue;
        }
        let blank_before = body.get(..offset).and_then(|b| b.chars().next_back()).is_none_or(char::is_whitespace);
        match c {
            '#' if blank_before && next.is_none_or(char::is_whitespace) => comment = true,
            c if MARKS.contains(&c) => quoted = Some(here + c.len_utf8()),
            '{' => {
                let from = closed.take().unwrap_or(begins);
                let words = text.get(from..here).unwrap_or("").trim();
                let after_block = words.ends_with('}');
                let outer = stack.last().map(|(block, _)| block.as_str());
                let block = if after_block { "limit".to_owned() } else { opened(words, outer) };
                stack.push((block, from));
                begins = here + 1;
            }
            '}' => {
                closed = stack.pop().map(|(_, from)| from);
                begins = here + 1;
            }
            ';' => {
                begins = here + 1;
                closed = None;
            }
            _ => {}
        }
        if !c.is_whitespace() {
            last = c;
        }
    }
    let word_start = body
        .char_indices()
        .rev()
        .take_while(|(_, c)| in_word(*c))
        .last()
        .map_or(at, |(offset, _)| start + offset)
        .max(begins.min(at));
    let before = text.get(begins.min(word_start)..word_start).unwrap_or("").trim_start().to_owned();
    let block = stack.last().map(|(block, _)| block.clone());
    Spot { block, before, word: Span::new(word_start, at), quoted, comment }
}

/// Whether the line after this line end goes on with the quoted text before it.
fn continues(text: &str, line_end: usize) -> bool {
    let rest = text.get(line_end + 1..).unwrap_or("");
    let trimmed = rest.trim_start_matches([' ', '\t']);
    trimmed.len() < rest.len() && trimmed.starts_with(MARKS)
}

/// The last line before the cursor that begins a block in column 1.
fn block_start(text: &str, at: usize) -> usize {
    let begins = |line: &str| {
        let end = line.find(|c: char| !(c.is_alphanumeric() || c == '-')).unwrap_or(line.len());
        block_words().any(|word| Some(word) == line.get(..end))
    };
    let mut end = at;
    loop {
        let start = text.get(..end).and_then(|before| before.rfind(['\n', '\r'])).map_or(0, |nl| nl + 1);
        let line = text.get(start..at).unwrap_or("");
        if start == 0 || begins(line.lines().next().unwrap_or("")) {
            return start;
        }
        end = start - 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> (Option<String>, String, bool, bool) {
        let cursor = text.find('|').unwrap();
        let found = spot(&text.replace('|', ""), cursor);
        (found.block, found.before, found.quoted.is_some(), found.comment)
    }

    #[test]
    fn the_block_and_the_statement_around_the_cursor() {
        let ccp = |rest: &str| at(&format!("step a {{\n}}\n\nccp x \"T {{\" at a {{\n{rest}"));
        let of = |block: &str, before: &str| (Some(block.to_owned()), before.to_owned(), false, false);
        assert_eq!(ccp("  lim|"), of("ccp", ""));
        assert_eq!(ccp("  limit hot core >= 72 |"), of("ccp", "limit hot core >= 72 "));
        assert_eq!(ccp("  limit hot core >= 72 °C { cites |"), of("limit", "cites "));
        assert_eq!(ccp("  limit hot one of {\n    option a co|"), of("group", "option a "));
        assert_eq!(ccp("  limit hot one of {\n option a x\n  } {\n cites |"), of("limit", "cites "));
        assert_eq!(ccp("  limit hot one of {\n option a x\n  }\n  mon|"), of("ccp", ""));
        assert_eq!(ccp("  monitor core,\n    wet-|"), of("ccp", "monitor core,\n    "));
        assert_eq!(ccp("  number \"a|"), (Some("ccp".to_owned()), "number \"".to_owned(), true, false));
        assert_eq!(ccp("  # what |"), (Some("ccp".to_owned()), "# what ".to_owned(), false, true));
        assert_eq!(at("ccp x at |"), (None, "ccp x at ".to_owned(), false, false));
        assert_eq!(at("step a {\n  hazard b survives {\n    dec|"), of("row", ""));
        // An unclosed block above ends where the next one begins.
        assert_eq!(at("step a {\n  does \"x\"\n\ncontrol b {\n  lim|"), of("ccp", ""));
        assert_eq!(at("|"), (None, String::new(), false, false));
    }
}
