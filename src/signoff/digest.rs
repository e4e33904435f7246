//! A digest over what a plan says: layout, comments, the order of blocks and the files do not change it.

use crate::source::{SourceId, Sources};
use crate::syntax::print::meaning::{Block, blocks};
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;

/// How a digest was made. Each form stays readable for ever: a new one is added, and no old one changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// SHA-256 over the lines of [`lines`].
    Plan1,
}

/// Every form that this version of the program can make, the one it writes last.
pub const FORMS: &[Form] = &[Form::Plan1];

/// Blocks whose order says something: steps follow one another as written unless they say `after`, and CCPs without
/// a number are numbered as written.
pub const ORDERED: &[&str] = &["step", "ccp"];

impl Form {
    /// The tag before the digits.
    #[must_use]
    pub fn tag(self) -> &'static str {
        match self {
            Form::Plan1 => "plan-1",
        }
    }

    /// The form of this tag, if this version knows it.
    #[must_use]
    pub fn of(tag: &str) -> Option<Form> {
        FORMS.iter().copied().find(|form| form.tag() == tag)
    }
}

/// The text over which the digest is taken, line by line, each ending in a line feed. First what has no order, sorted
/// by bytes; then the steps in their order; then the CCPs in theirs. Statements in a block keep their order.
#[must_use]
pub fn lines(sources: &Sources, ids: &[SourceId]) -> Vec<String> {
    let all: Vec<Block> =
        ids.iter().filter_map(|id| sources.get(*id)).flat_map(|source| blocks(source.text())).collect();
    let mut lines: Vec<String> = all
        .iter()
        .filter(|block| block.word != "include" && !ORDERED.contains(&block.word.as_str()))
        .map(|block| block.line.clone())
        .collect();
    lines.sort_unstable();
    for word in ORDERED {
        lines.extend(all.iter().filter(|block| block.word == *word).map(|block| block.line.clone()));
    }
    lines
}

/// The digest of a plan, as in `plan-1:4d5f…`. The texts are those of the plan in the order in which they were read.
#[must_use]
pub fn digest(sources: &Sources, ids: &[SourceId], form: Form) -> String {
    match form {
        Form::Plan1 => {
            let mut text = lines(sources, ids).join("\n");
            text.push('\n');
            format!("{}:{}", form.tag(), sha256(&text))
        }
    }
}

/// The SHA-256 of a text in hexadecimal digits, as `sha256sum` prints it.
pub(super) fn sha256(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().fold(String::with_capacity(64), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// Digests of one plan in every form, to compare with those of signatures.
#[derive(Debug, Clone)]
pub struct Digests(Vec<String>);

impl Digests {
    /// Of the texts of a plan.
    #[must_use]
    pub fn of(sources: &Sources, ids: &[SourceId]) -> Self {
        Digests(FORMS.iter().map(|form| digest(sources, ids, *form)).collect())
    }

    /// Of no text, for where there is no signature to compare with.
    #[must_use]
    pub fn none() -> Self {
        Digests(Vec::new())
    }

    /// Whether a digest is of this text; nothing if its form is not known here.
    #[must_use]
    pub fn is(&self, other: &str) -> Option<bool> {
        Form::of(other.split(':').next()?)?;
        Some(self.0.iter().any(|own| own == other))
    }

    /// The one that is written into new signatures.
    #[must_use]
    pub fn newest(&self) -> &str {
        self.0.last().map_or("", String::as_str)
    }
}
