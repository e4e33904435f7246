//! The three-valued answer and the interval it rests on.
//!
//! A verdict is never a boolean. For each limit the record allows a set of histories; *least* and
//! *most* are the smallest and largest value of the limit's quantity over all of them.

use serde::Serialize;

/// The answer for one limit over one run. The order is that of strong Kleene logic:
/// *not met* < *not shown* < *met*.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Every history that the record allows breaks the limit.
    NotMet,
    /// The record does not decide.
    NotShown,
    /// Every history that the record allows keeps the limit.
    Met,
}

impl Verdict {
    /// Strong Kleene *and*: the smaller.
    #[must_use]
    pub fn and(self, other: Verdict) -> Verdict {
        self.min(other)
    }

    /// Strong Kleene *or*: the larger.
    #[must_use]
    pub fn or(self, other: Verdict) -> Verdict {
        self.max(other)
    }

    /// *And* over a list. With nothing to judge nothing is shown: an empty list is *not shown*.
    pub fn all(list: impl IntoIterator<Item = Verdict>) -> Verdict {
        list.into_iter().reduce(Verdict::and).unwrap_or(Verdict::NotShown)
    }

    /// *Or* over a list; an empty list is *not shown*.
    pub fn any(list: impl IntoIterator<Item = Verdict>) -> Verdict {
        list.into_iter().reduce(Verdict::or).unwrap_or(Verdict::NotShown)
    }

    /// The word that every report prints.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Met => "met",
            Verdict::NotMet => "not met",
            Verdict::NotShown => "not shown",
        }
    }
}

impl std::fmt::Display for Verdict {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_to_judge_is_not_met_by_silence() {
        assert_eq!(Verdict::all([]), Verdict::NotShown);
        assert_eq!(Verdict::any([]), Verdict::NotShown);
    }

    #[test]
    fn kleene() {
        use Verdict::{Met, NotMet, NotShown};
        assert_eq!(Verdict::all([Met, NotShown]), NotShown);
        assert_eq!(Verdict::all([NotMet, NotShown]), NotMet);
        assert_eq!(Verdict::any([Met, NotShown]), Met);
        assert_eq!(Verdict::any([NotMet, NotShown]), NotShown);
    }
}
