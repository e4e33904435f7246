//! Limits, rhythms and terms as sentences. One wording for documents, hover, reports and forms.

use super::limit::{Amount, Measured, Over, Range, RangeForm};
use super::{Cadence, Rhythm, Term, VerifyWhen};
use crate::quantity::Quantity;

/// What stands for a value that the plant has yet to set.
pub const BLANK: &str = "________";

impl Measured {
    /// The number with its unit; a blank as a line to write on.
    #[must_use]
    pub fn shown(&self) -> String {
        if let Some(time) = self.nanoseconds().filter(|_| self.compound) {
            return crate::time::show_duration(time);
        }
        match (self.quantity, self.number, self.unit) {
            (Some(quantity), ..) => quantity.to_string(),
            (None, Some(number), Some(unit)) => Quantity::new(number, unit).to_string(),
            (None, Some(number), None) => number.to_string(),
            (None, None, Some(unit)) if !unit.dimension.bare() => format!("{BLANK}\u{a0}{}", unit.symbol),
            (None, None, _) => BLANK.to_owned(),
        }
    }
}

impl Measured {
    /// As the least that is asked for: `at least 4 h`, or `more than 4 h`.
    #[must_use]
    pub fn at_least_words(&self) -> String {
        format!("{} {}", if self.strict { "more than" } else { "at least" }, self.shown())
    }

    /// As the most that is allowed: `at most 4 h`, or `less than 4 h`.
    #[must_use]
    pub fn at_most_words(&self) -> String {
        format!("{} {}", if self.strict { "less than" } else { "at most" }, self.shown())
    }

    /// As the longest time allowed: `within 4 h`, or `in less than 4 h`.
    #[must_use]
    pub fn within_words(&self) -> String {
        format!("{} {}", if self.strict { "in less than" } else { "within" }, self.shown())
    }

    /// As a hold: `2 min`, or `more than 2 min`.
    #[must_use]
    pub fn held_words(&self) -> String {
        format!("{}{}", if self.strict { "more than " } else { "" }, self.shown())
    }
}

/// A comparison as it is printed.
fn typeset(sign: &str) -> &str {
    match sign {
        ">=" => "≥",
        "<=" => "≤",
        other => other,
    }
}

impl Range {
    /// What was written before the sign: beside another parameter the one judged is the difference of the two.
    #[must_use]
    pub fn written<'a>(&self, parameter: &'a str) -> &'a str {
        match &self.form {
            RangeForm::Beside { other, .. } => {
                parameter.strip_suffix(&other.text).and_then(|left| left.strip_suffix(" - ")).unwrap_or(parameter)
            }
            _ => parameter,
        }
    }

    /// In symbols, as in `≥ 72 °C`; what stands here can be typed into a plan.
    #[must_use]
    pub fn symbols(&self) -> String {
        match &self.form {
            RangeForm::Tolerance(target, by) => format!("= {} ± {}", target.shown(), by.shown()),
            RangeForm::ShareOfValue(target, share) => format!("= {} ± {} of value", target.shown(), share.shown()),
            RangeForm::Beside { other, offset, minus, sign } => match offset {
                Some(offset) => {
                    format!("{} {other} {} {}", typeset(sign), if *minus { "-" } else { "+" }, offset.shown())
                }
                None => format!("{} {other}", typeset(sign)),
            },
            RangeForm::Above | RangeForm::Below => self.words(),
            RangeForm::Between | RangeForm::Compared => match (&self.lower, &self.upper) {
                (Some(low), Some(high)) if low.at == high.at => format!("= {}", low.at.shown()),
                (Some(low), Some(high)) => format!("between {} and {}", low.at.shown(), high.at.shown()),
                (Some(low), None) => format!("{} {}", if low.strict { ">" } else { "≥" }, low.at.shown()),
                (None, Some(high)) => format!("{} {}", if high.strict { "<" } else { "≤" }, high.at.shown()),
                (None, None) => String::new(),
            },
        }
    }

    /// In words, as in `at least 72 °C`.
    #[must_use]
    pub fn words(&self) -> String {
        match &self.form {
            RangeForm::Beside { other, offset, minus, sign } => {
                let than = match sign.as_str() {
                    ">=" | "≥" => "at least",
                    "<=" | "≤" => "at most",
                    ">" => "above",
                    "<" => "below",
                    _ => "equal to",
                };
                match offset {
                    Some(offset) => {
                        format!("{than} {other} {} {}", if *minus { "less" } else { "plus" }, offset.shown())
                    }
                    None => format!("{than} {other}"),
                }
            }
            RangeForm::Tolerance(target, by) => {
                format!("{}, no more than {} to either side", target.shown(), by.shown())
            }
            RangeForm::ShareOfValue(target, share) => {
                format!("{}, no more than {} of it to either side", target.shown(), share.shown())
            }
            RangeForm::Above => {
                self.lower.as_ref().map_or_else(String::new, |edge| format!("above {}", edge.at.shown()))
            }
            RangeForm::Below => {
                self.upper.as_ref().map_or_else(String::new, |edge| format!("below {}", edge.at.shown()))
            }
            RangeForm::Between | RangeForm::Compared => match (&self.lower, &self.upper) {
                (Some(low), Some(high)) if low.at == high.at => format!("exactly {}", low.at.shown()),
                (Some(low), Some(high)) => {
                    format!("from {} to {}, both ends included", low.at.shown(), high.at.shown())
                }
                (Some(low), None) if low.strict => format!("above {}", low.at.shown()),
                (Some(low), None) => format!("at least {}", low.at.shown()),
                (None, Some(high)) if high.strict => format!("below {}", high.at.shown()),
                (None, Some(high)) => format!("at most {}", high.at.shown()),
                (None, None) => String::new(),
            },
        }
    }
}

impl Amount {
    pub(super) fn at_least_words(&self) -> String {
        match self {
            Amount::Time(time) => time.at_least_words(),
            Amount::Share { share, .. } => {
                format!("{} {}", if share.strict { "more than" } else { "at least" }, self.words())
            }
        }
    }

    pub(super) fn at_most_words(&self) -> String {
        match self {
            Amount::Time(time) => time.at_most_words(),
            Amount::Share { share, .. } => {
                format!("{} {}", if share.strict { "less than" } else { "at most" }, self.words())
            }
        }
    }

    fn words(&self) -> String {
        match self {
            Amount::Time(time) => time.shown(),
            Amount::Share { share, stage, or_longer: None } => format!("{} of {stage}", share.shown()),
            Amount::Share { share, stage, or_longer: Some(time) } => {
                format!("{} of {stage} or {}, whichever is longer", share.shown(), time.shown())
            }
        }
    }
}

impl Over {
    pub(super) fn symbols(&self) -> String {
        match self {
            Over::Always => String::new(),
            Over::Throughout(stage) => format!(" throughout {stage}"),
            Over::Held(time) => format!(" held for {}", time.held_words()),
            Over::TotalAtLeast(amount) => format!(" in total {}", amount.at_least_words()),
            Over::TotalAtMost(amount) => format!(" in total {}", amount.at_most_words()),
            Over::StretchAtMost(time) => format!(" at a stretch {}", time.at_most_words()),
            Over::StretchAtLeast(time) => format!(" at a stretch {}", time.at_least_words()),
            Over::Samples(1) => " in every sample".to_owned(),
            Over::Samples(count) => format!(" in every sample, at least {count} per lot"),
        }
    }
}

impl std::fmt::Display for Term {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Term::Calendar(calendar) => write!(f, "{calendar}"),
            Term::Clock(time) => f.write_str(&time.shown()),
            Term::Blank => f.write_str(BLANK),
        }
    }
}

impl std::fmt::Display for Cadence {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.rhythm {
            Rhythm::Continuously(Some(step)) => write!(f, "continuously, recorded every {}", step.shown())?,
            Rhythm::Continuously(None) => f.write_str("continuously")?,
            Rhythm::Every(Term::Calendar(one)) if one.count == 1 => write!(f, "every {}", one.unit.word())?,
            Rhythm::Every(term) => write!(f, "every {term}")?,
            Rhythm::Made(amount) => write!(f, "every {}", amount.shown())?,
            Rhythm::EveryLots(1) => f.write_str("every lot")?,
            Rhythm::EveryLots(count) => write!(f, "every {count}\u{a0}lots")?,
            Rhythm::TimesPer(count, period) => write!(f, "{count} times per {period}")?,
            Rhythm::Each(what) => write!(f, "each {what}")?,
            Rhythm::At(event) => write!(f, "at {event}")?,
            Rhythm::After(event) => write!(f, "after {event}")?,
        }
        if let Some(late) = &self.late_after {
            write!(f, "; late after {}", late.shown())?;
        }
        Ok(())
    }
}

impl std::fmt::Display for VerifyWhen {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            VerifyWhen::Often(cadence) => write!(f, "{cadence}"),
            VerifyWhen::Within(term) => write!(f, "within {term}"),
        }
    }
}
