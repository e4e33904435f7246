//! What is wrong, where, and how to mend it.
//!
//! A rule is declared once, with [`rules!`](crate::rules): code, name, severity, clauses and a doc
//! comment. The explanation that a user reads, the SARIF rule and the page in docs come from there.

use crate::source::{Loc, Place, Span};
use serde::Serialize;

/// How much a finding weighs. It follows the force of the clause: *shall* → error, *should* → warning, advice → note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// A recommendation is not followed.
    Warning,
    /// A requirement is not met, or the input cannot be used as it stands.
    Error,
}

impl Severity {
    /// The word that reports print.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// The declaration of one kind of finding.
#[derive(Debug)]
pub struct Rule {
    /// Short code, such as `H102`.
    pub code: &'static str,
    /// The defect in words joined by hyphens.
    pub name: &'static str,
    /// Weight.
    pub severity: Severity,
    /// Keys of the clauses it rests on (see [`crate::clause`]); empty where it is a matter of the language alone.
    pub clauses: &'static [&'static str],
    /// What it is and why it matters.
    pub doc: &'static str,
}

/// Declares rules and the list of them: `rules! { /// doc … NAME = "X001" "a-name" Error ["clause.key"]; }`.
#[macro_export]
macro_rules! rules {
    ($($(#[doc = $doc:literal])+ $ident:ident = $code:literal $name:literal $severity:ident $([$($clause:literal),*])?;)+) => {
        $(
            $(#[doc = $doc])+
            pub static $ident: $crate::finding::Rule = $crate::finding::Rule {
                code: $code,
                name: $name,
                severity: $crate::finding::Severity::$severity,
                clauses: &[$($($clause),*)?],
                doc: concat!($($doc, "\n"),+),
            };
        )+
        /// Every rule declared in this module.
        pub static RULES: &[&$crate::finding::Rule] = &[$(&$ident),+];
    };
}

/// Whether a fix may be applied without a look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Care {
    /// Meaning is certain.
    Safe,
    /// A person must look.
    NeedsALook,
}

/// A change of text that mends a finding.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Fix {
    /// What to replace.
    pub at: Loc,
    /// With what.
    pub text: String,
    /// How sure.
    pub care: Care,
}

/// One thing that is wrong.
#[derive(Debug, Clone)]
pub struct Finding {
    /// The rule it falls under.
    pub rule: &'static Rule,
    /// Keys of the clauses it rests on; at first those of the rule.
    pub clauses: Vec<&'static str>,
    /// One lower-case sentence naming the thing, user text in backticks.
    pub message: String,
    /// Where.
    pub place: Place,
    /// What to say at that place; empty for nothing.
    pub label: String,
    /// Other places that belong to it, with a word on each.
    pub related: Vec<(Place, String)>,
    /// The next step.
    pub help: Option<String>,
    /// A change that mends it.
    pub fix: Option<Fix>,
}

impl Finding {
    /// A finding at a place.
    pub fn new(rule: &'static Rule, place: Place, message: impl Into<String>) -> Self {
        Self {
            rule,
            clauses: rule.clauses.to_vec(),
            message: message.into(),
            place,
            label: String::new(),
            related: Vec::new(),
            help: None,
            fix: None,
        }
    }

    /// A finding at a span of a text.
    pub fn at(rule: &'static Rule, loc: Loc, message: impl Into<String>) -> Self {
        Self::new(rule, Place::Text(loc), message)
    }

    /// With a word at the place itself.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// With another place that belongs to it.
    #[must_use]
    pub fn with(mut self, place: Place, label: impl Into<String>) -> Self {
        self.related.push((place, label.into()));
        self
    }

    /// With another span of text that belongs to it.
    #[must_use]
    pub fn also(self, loc: Loc, label: impl Into<String>) -> Self {
        self.with(Place::Text(loc), label)
    }

    /// With one more clause that it rests on.
    #[must_use]
    pub fn resting_on(mut self, clause: &'static str) -> Self {
        self.clauses.push(clause);
        self
    }

    /// With the next step.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// With a change that mends it.
    #[must_use]
    pub fn fix(mut self, at: Loc, text: impl Into<String>, care: Care) -> Self {
        self.fix = Some(Fix { at, text: text.into(), care });
        self
    }

    /// The span in the plan text, if it points there.
    #[must_use]
    pub fn span(&self) -> Option<Span> {
        match &self.place {
            Place::Text(loc) => Some(loc.span),
            _ => None,
        }
    }
}

/// Findings in the order in which a person reads: by place, then code, then words. Equal ones once.
pub fn tidy(findings: &mut Vec<Finding>) {
    findings.sort_by(|a, b| (&a.place, a.rule.code, &a.message).cmp(&(&b.place, b.rule.code, &b.message)));
    findings.dedup_by(|a, b| a.place == b.place && a.rule.code == b.rule.code && a.message == b.message);
}

/// Of the clauses behind each finding only those of these regimes stay, if there are any.
pub fn narrow(findings: &mut [Finding], regimes: &[&str]) {
    // A text without regimes is read by Codex, on which the others rest.
    let regimes = if regimes.is_empty() { &["codex"] } else { regimes };
    for finding in findings {
        let of = |id: &&str| crate::clause::clause(id).is_some_and(|clause| clause.of_any(regimes));
        let kept: Vec<&'static str> = finding.clauses.iter().copied().filter(|id| of(id)).collect();
        if !kept.is_empty() {
            finding.clauses = kept;
        }
    }
}

/// The heaviest severity among the findings.
#[must_use]
pub fn heaviest(findings: &[Finding]) -> Option<Severity> {
    findings.iter().map(|finding| finding.rule.severity).max()
}

/// The candidate nearest to a mistyped word, if one is near enough to suggest.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Longer than any word that could have been meant; comparing would take as long as the word.
    if word.len() > 200 {
        return None;
    }
    let folded = word.to_lowercase();
    let length = folded.chars().count();
    candidates
        .into_iter()
        .filter(|candidate| *candidate != word)
        .map(|candidate| (strsim::damerau_levenshtein(&folded, &candidate.to_lowercase()), candidate))
        .filter(|(distance, _)| *distance <= (length / 3).clamp(1, 3) && *distance < length)
        .min()
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn suggests_only_what_is_near() {
        assert_eq!(nearest("salmonela", ["salmonella", "listeria"]), Some("salmonella"));
        assert_eq!(nearest("xyz", ["salmonella", "listeria"]), None);
        assert_eq!(nearest("b", ["a"]), None);
        assert_eq!(nearest(&"a".repeat(10_000_000), ["salmonella"]), None);
    }
}
