//! Whole blocks that an editor offers, with the questions they ask.

use std::sync::LazyLock;

/// One block to start from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Skeleton {
    /// The word it begins with.
    pub word: String,
    /// The blocks it stands in; empty for one that stands by itself.
    pub within: Vec<String>,
    /// What it is.
    pub about: String,
    /// Its text, with blanks.
    pub text: String,
}

static ALL: LazyLock<Vec<Skeleton>> = LazyLock::new(|| {
    include_str!("../../grammar/skeletons.txt")
        .split("\n@ ")
        .skip(1)
        .filter_map(|piece| {
            let (head, text) = piece.split_once('\n')?;
            let (place, about) = head.split_once(": ")?;
            let (word, within) = place.split_once(" in ").unwrap_or((place, ""));
            Some(Skeleton {
                word: word.to_owned(),
                within: within.split_whitespace().map(str::to_owned).collect(),
                about: about.to_owned(),
                text: format!("{}\n", text.trim_end()),
            })
        })
        .collect()
});

/// Every block, in the order of the file.
#[must_use]
pub fn skeletons() -> &'static [Skeleton] {
    &ALL
}

impl Skeleton {
    /// As a snippet: each blank is a place to fill in, and a name that stands more than once is filled in once.
    #[must_use]
    pub fn snippet(&self) -> String {
        let mut names: Vec<&str> = Vec::new();
        let mut places = 0;
        let mut out = String::new();
        let mut rest = self.text.trim_end();
        while !rest.is_empty() {
            let (blank, name) = (rest.find("___"), rest.find("my-"));
            let at = blank.into_iter().chain(name).min().unwrap_or(rest.len());
            let (before, from) = rest.split_at(at);
            out.push_str(&before.replace('\\', "\\\\").replace('$', "\\$"));
            let length = from.find(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).unwrap_or(from.len());
            let (word, after) = from.split_at(length);
            if !word.is_empty() {
                let known = names.iter().position(|name| *name == word).filter(|_| word.starts_with("my-"));
                let place = match known {
                    Some(place) => place + 1,
                    None => {
                        names.push(word);
                        places += 1;
                        places
                    }
                };
                out.push_str(&format!("${{{place}:{word}}}"));
            }
            rest = after;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{Source, SourceId};

    #[test]
    fn every_skeleton_can_be_read() {
        assert!(skeletons().len() > 20);
        for skeleton in skeletons() {
            let text = if skeleton.within.is_empty() {
                skeleton.text.clone()
            } else {
                let outer = skeleton.within.first().unwrap();
                let inner = skeleton.text.replace('\n', "\n  ");
                format!("{outer} x {{\n  {}\n}}\n", inner.trim_end())
            };
            let found = crate::syntax::parse(SourceId(0), &Source::new("skeleton", text.as_str())).findings;
            assert!(found.is_empty(), "{}: {:?}\n{text}", skeleton.word, found.first().map(|f| &f.message));
            assert!(skeleton.text.contains("___") || skeleton.text.contains("my-"), "{}", skeleton.word);
        }
    }

    #[test]
    fn a_name_is_filled_in_once() {
        let text = "event my-x on my-y ___\n# my-x ___ }".to_owned();
        let one = Skeleton { word: String::new(), within: Vec::new(), about: String::new(), text };
        assert_eq!(one.snippet(), "event ${1:my-x} on ${2:my-y} ${3:___}\n# ${1:my-x} ${4:___} }");
    }
}
