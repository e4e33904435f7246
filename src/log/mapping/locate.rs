//! Where in the mapping text a thing stands.
//!
//! YAML values carry no position, so a value is looked for by the word itself: first inside the entry it
//! belongs to, then in the whole text. A word that is found nowhere gives the start of its entry.

use crate::source::{Loc, SourceId, Span};

/// The mapping text and the source it is.
#[derive(Debug, Clone)]
pub(crate) struct Locator<'t> {
    text: &'t str,
    source: SourceId,
    shift: usize,
    /// The entries of each section, as bytes of the text.
    entries: Vec<(&'static str, Vec<(usize, usize)>)>,
}

const SECTIONS: [&str; 5] = ["lots", "readings", "samples", "calibrations", "registers"];

/// One entry of a list: the section's name and the number of the entry, from 0.
pub(crate) type Entry = (&'static str, usize);

impl<'t> Locator<'t> {
    /// `shift` is the number of bytes of the source before `text`.
    pub fn new(text: &'t str, source: SourceId, shift: usize) -> Self {
        let entries = SECTIONS.iter().map(|section| (*section, entries(text, section))).collect();
        Self { text, source, shift, entries }
    }

    /// A span of the text.
    pub fn loc(&self, start: usize, end: usize) -> Loc {
        Loc { source: self.source, span: Span::new(start, end).shifted(self.shift) }
    }

    /// From a byte offset to the end of the word that starts there.
    pub fn word_at(&self, start: usize) -> Loc {
        let mut start = start.min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let rest = self.text.get(start..).unwrap_or_default();
        let length = rest.find(|c: char| c.is_whitespace() || matches!(c, ',' | ':' | ']' | '}')).unwrap_or(rest.len());
        self.loc(start, start + length)
    }

    /// The first of these words inside an entry, each looked for after the one before it.
    pub fn find(&self, entry: Option<Entry>, words: &[&str]) -> Loc {
        let (from, to) = entry.and_then(|entry| self.entry(entry)).unwrap_or((0, self.text.len()));
        let mut at = from;
        let mut found = None;
        for word in words {
            if let Some((start, end)) = self.token(word, at, to) {
                found = Some(self.loc(start, end));
                at = end;
            }
        }
        found.unwrap_or_else(|| {
            let line = self.text.get(from..to).and_then(|part| part.lines().next()).unwrap_or_default();
            let indent = line.len() - line.trim_start_matches([' ', '-']).len();
            self.loc(from + indent, from + line.trim_end().len())
        })
    }

    /// A word not joined to letters or digits on either side, outside comments.
    fn token(&self, word: &str, from: usize, to: usize) -> Option<(usize, usize)> {
        if word.is_empty() {
            return None;
        }
        let part = self.text.get(from..to)?;
        part.match_indices(word).map(|(at, _)| from + at).find_map(|start| {
            let end = start + word.len();
            let joined = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '-');
            let first_joins = word.starts_with(char::is_alphanumeric);
            let before = self.text.get(..start).and_then(|text| text.chars().next_back());
            let after = self.text.get(end..).and_then(|text| text.chars().next());
            let last_joins = word.ends_with(char::is_alphanumeric);
            let line_start = self.text.get(..start).and_then(|text| text.rfind('\n')).map_or(0, |at| at + 1);
            let lead = self.text.get(line_start..start).unwrap_or_default();
            let comment = lead.trim_start().starts_with('#') || lead.contains(" #");
            (!(comment || first_joins && joined(before) || last_joins && joined(after))).then_some((start, end))
        })
    }

    fn entry(&self, (section, number): Entry) -> Option<(usize, usize)> {
        let (_, entries) = self.entries.iter().find(|(name, _)| *name == section)?;
        entries.get(number).copied()
    }
}

/// The bytes of each entry of a section written as a block list.
fn entries(text: &str, section: &str) -> Vec<(usize, usize)> {
    let mut offset = 0;
    let mut inside = false;
    let mut indent = None;
    let mut starts = Vec::new();
    let mut end = text.len();
    for line in text.split_inclusive('\n') {
        let content = line.trim();
        let depth = line.len() - line.trim_start().len();
        if depth == 0 && !content.is_empty() && !content.starts_with(['#', '-']) {
            if inside {
                end = offset;
                break;
            }
            inside = content.strip_prefix(section).is_some_and(|rest| rest.trim_start().starts_with(':'));
        } else if inside && (content.starts_with("- ") || content == "-") && *indent.get_or_insert(depth) == depth {
            starts.push(offset);
        }
        offset += line.len();
    }
    let ends: Vec<usize> = starts.iter().skip(1).copied().chain([end]).collect();
    starts.into_iter().zip(ends).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::string_slice, clippy::indexing_slicing)]
    use super::*;

    const TEXT: &str = "zone: UTC\nlots:\n  - files: a\n    lot: Lot # Lot\nreadings:\n  - files: b\n    unit: X\n  # unit: Y\n  - files: c\n    unit: Y\n";

    fn under(entry: Option<Entry>, words: &[&str]) -> (usize, &'static str) {
        let loc = Locator::new(TEXT, SourceId(0), 0).find(entry, words);
        let line = TEXT[..loc.span.start].matches('\n').count() + 1;
        (line, &TEXT[loc.span.start..loc.span.end])
    }

    #[test]
    fn looks_inside_the_entry_first() {
        assert_eq!(under(Some(("readings", 1)), &["unit", "Y"]), (10, "Y"));
        assert_eq!(under(Some(("readings", 0)), &["unit", "X"]), (7, "X"));
        assert_eq!(under(Some(("lots", 0)), &["lot", "Lot"]), (4, "Lot"));
        assert_eq!(under(Some(("lots", 0)), &["nowhere"]), (3, "files: a"));
        assert_eq!(under(None, &["zone"]), (1, "zone"));
    }
}
