//! Limits, rhythms and terms as sentences. One wording for documents, hover, reports and forms.

use super::limit::{Amount, Condition, Limit, Measured, Over, Range, RangeForm};
use super::{Cadence, Name, Plan, Rhythm, Term, VerifyWhen};
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

impl Range {
    /// In symbols, as in `≥ 72 °C`; what stands here can be typed into a plan.
    #[must_use]
    pub fn symbols(&self) -> String {
        match &self.form {
            RangeForm::Tolerance(target, by) => format!("= {} ± {}", target.shown(), by.shown()),
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
            RangeForm::Tolerance(target, by) => {
                format!("{}, no more than {} to either side", target.shown(), by.shown())
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
    fn symbols(&self) -> String {
        match self {
            Over::Always => String::new(),
            Over::Throughout(stage) => format!(" throughout {stage}"),
            Over::Held(time) => format!(" held for {}", time.shown()),
            Over::TotalAtLeast(amount) => format!(" in total at least {}", amount.words()),
            Over::TotalAtMost(amount) => format!(" in total at most {}", amount.words()),
            Over::StretchAtMost(time) => format!(" at a stretch at most {}", time.shown()),
            Over::StretchAtLeast(time) => format!(" at a stretch at least {}", time.shown()),
            Over::Samples(1) => " in every sample".to_owned(),
            Over::Samples(count) => format!(" in every sample, at least {count} per lot"),
        }
    }
}

impl Limit {
    /// The limit in symbols, as it is evaluated: `core ≥ 72 °C held for 2 min`.
    #[must_use]
    pub fn symbols(&self) -> String {
        let body = match &self.condition {
            Some(Condition::Level { parameter, range, over }) => {
                format!("{parameter} {}{}", range.symbols(), over.symbols())
            }
            Some(Condition::Passage { parameter, from, to, within }) => {
                format!("{parameter} from {} to {} within {}", from.shown(), to.shown(), within.shown())
            }
            Some(Condition::Reduction { model, parameter, range }) => {
                format!("reduction by {model} from {parameter} {}", range.symbols())
            }
            Some(Condition::Answers(answers)) => {
                let parts: Vec<String> = answers.iter().map(|(name, answer)| format!("{name} is {answer}")).collect();
                parts.join(" and ")
            }
            None => BLANK.to_owned(),
        };
        let during = self.during.as_ref().map_or_else(String::new, |stage| format!(" during {stage}"));
        let guard = self.guard.as_ref().map_or_else(String::new, |guard| {
            let facts: Vec<String> = guard.facts.iter().map(|(fact, answer)| format!("{fact} is {answer}")).collect();
            format!(" when {}", facts.join(" and "))
        });
        format!("{body}{during}{guard}")
    }

    /// The limit as a sentence for an inspector or a new operator.
    #[must_use]
    pub fn sentence(&self, plan: &Plan) -> String {
        let title = |name: &Name| {
            plan.parameter(&name.text)
                .and_then(|parameter| parameter.title.clone())
                .unwrap_or_else(|| name.text.clone())
        };
        let body = match &self.condition {
            Some(Condition::Level { parameter, range, over }) => {
                let (what, words) = (title(parameter), range.words());
                match over {
                    Over::Always => format!("{what}: {words} at every moment"),
                    Over::Throughout(stage) => format!("{what}: {words} at every moment of {stage}"),
                    Over::Held(time) => format!("{what}: {words}, without a break for at least {}", time.shown()),
                    Over::TotalAtLeast(amount) => {
                        format!("{what}: {words} for at least {}, all times added up", amount.words())
                    }
                    Over::TotalAtMost(amount) => {
                        format!("{what}: {words} for no more than {}, all times added up", amount.words())
                    }
                    Over::StretchAtMost(time) => {
                        format!("{what}: {words} for no more than {} at a stretch", time.shown())
                    }
                    Over::StretchAtLeast(time) => format!("{what}: {words} for at least {} at a stretch", time.shown()),
                    Over::Samples(1) => format!("{what}: {words} in every sample of the lot"),
                    Over::Samples(count) => format!("{what}: {words} in every sample, at least {count} samples a lot"),
                }
            }
            Some(Condition::Passage { parameter, from, to, within }) => format!(
                "{}: from {} to {} in no more than {}; the clock does not restart",
                title(parameter),
                from.shown(),
                to.shown(),
                within.shown()
            ),
            Some(Condition::Reduction { model, parameter, range }) => {
                let organism = plan
                    .inactivation(&model.text)
                    .and_then(|model| model.title.clone())
                    .unwrap_or_else(|| model.text.clone());
                format!("{organism}: {} by heat, summed from {}", range.words(), title(parameter).to_lowercase())
            }
            Some(Condition::Answers(answers)) => {
                let parts: Vec<String> =
                    answers.iter().map(|(name, answer)| format!("{} {answer}", title(name))).collect();
                format!("At each check: {}", parts.join("; "))
            }
            None => BLANK.to_owned(),
        };
        let during = self.during.as_ref().map_or_else(String::new, |stage| format!(", during {stage}"));
        let guard = self.guard.as_ref().map_or_else(String::new, |guard| {
            let facts: Vec<String> = guard
                .facts
                .iter()
                .map(|(fact, answer)| format!("{} is {answer}", title(fact).to_lowercase()))
                .collect();
            format!(", where {}", facts.join(" and "))
        });
        format!("{body}{during}{guard}")
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
