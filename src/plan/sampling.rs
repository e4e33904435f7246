//! Sampling: how many samples, and the graded bands of a result.

use super::Name;
use super::limit::{EdgeAt, Measured, Range, RangeForm};
use std::fmt;

/// An attributes plan with two classes: how many samples, and how many of them may be other than asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampled {
    /// How many samples there must be.
    pub n: u32,
    /// How many of them may be other than asked for.
    pub c: u32,
}

impl fmt::Display for Sampled {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "n {}, c {}", self.n, self.c)
    }
}

/// What a band means for the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// The limit is met.
    Met,
    /// The limit is met, and the cause is looked into.
    Alert,
    /// The limit is not met.
    NotMet,
}

impl Grade {
    /// The word as written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Grade::Met => "met",
            Grade::Alert => "alert",
            Grade::NotMet => "not-met",
        }
    }

    /// For a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Grade::Met => "met",
            Grade::Alert => "met, look into it",
            Grade::NotMet => "not met",
        }
    }
}

/// One band of a result. It begins where the one before it ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GradedBand {
    /// Its name.
    pub name: Name,
    /// The sign as written: `<`, `<=`, `>` or `>=`.
    pub sign: String,
    /// The value at its end.
    pub edge: Measured,
    /// What it means.
    pub grade: Grade,
}

impl GradedBand {
    /// Whether it lies below its value.
    #[must_use]
    pub fn below(&self) -> bool {
        matches!(self.sign.as_str(), "<" | "<=" | "\u{2264}")
    }

    /// Whether the value itself is left out.
    #[must_use]
    pub fn strict(&self) -> bool {
        matches!(self.sign.as_str(), "<" | ">")
    }

    /// `< 20 cfu/g`
    #[must_use]
    pub fn symbols(&self) -> String {
        let sign = match self.sign.as_str() {
            "<=" => "\u{2264}",
            ">=" => "\u{2265}",
            other => other,
        };
        format!("{sign} {}", self.edge.shown())
    }

    /// Everything on its side of its value, the bands before it included.
    #[must_use]
    pub fn reach(&self) -> Range {
        let edge = Some(EdgeAt { at: self.edge.clone(), strict: self.strict() });
        let (lower, upper) = if self.below() { (None, edge) } else { (edge, None) };
        Range { lower, upper, form: RangeForm::Compared, loc: self.edge.loc }
    }
}
