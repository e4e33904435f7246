//! Limits: what is printed is what is evaluated.

use super::Name;
use super::condition::Condition;
use super::kinds::LimitKind;
use super::shape::Shape;
use crate::quantity::{Dimension, Quantity, Unit};
use crate::source::Loc;

/// A number with its unit as it stands in a plan; the number may be left blank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measured {
    /// The number with its unit; `None` while it is blank, or while the unit is not known.
    pub quantity: Option<Quantity>,
    /// The unit as written; `None` if none was written.
    pub unit: Option<Unit>,
    /// The number as written; `None` if it is blank.
    pub number: Option<crate::quantity::Rational>,
    /// Whether it was written in parts, as in `1 h 30 min`.
    pub compound: bool,
    /// Whether the figure itself is left out, as in `less than 4 h`.
    pub strict: bool,
    /// Where it stands.
    pub loc: Loc,
}

impl Measured {
    /// Its dimension, if a unit was written.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        self.unit.map(|unit| unit.dimension)
    }

    /// Whether the number is left blank.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.number.is_none()
    }

    /// The longest time that this figure allows, in whole nanoseconds: one less where the figure itself is left out.
    ///
    /// Instants are whole nanoseconds, so *less than* a time and *at most a nanosecond less* are the same.
    #[must_use]
    pub fn at_most(&self) -> Option<i64> {
        self.nanoseconds()?.checked_sub(i64::from(self.strict))
    }

    /// The shortest time that this figure asks for, in whole nanoseconds: one more where the figure itself is left out.
    #[must_use]
    pub fn at_least(&self) -> Option<i64> {
        self.nanoseconds()?.checked_add(i64::from(self.strict))
    }

    /// A length of time in nanoseconds, if it is one.
    #[must_use]
    pub fn nanoseconds(&self) -> Option<i64> {
        self.quantity?.nanoseconds()
    }
}

/// One end of a range of values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EdgeAt {
    /// The value at the end.
    pub at: Measured,
    /// Whether the end itself is left out.
    pub strict: bool,
}

/// A range of values: a half line, or a band. How it was written is kept for the sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Range {
    /// Lower end.
    pub lower: Option<EdgeAt>,
    /// Upper end.
    pub upper: Option<EdgeAt>,
    /// How it was written.
    pub form: RangeForm,
    /// Where it stands.
    pub loc: Loc,
}

/// How a range was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RangeForm {
    /// `>= 72 °C`
    Compared,
    /// `between 3 °C and 5 °C`
    Between,
    /// `= 50 % ± 5 %`: target and tolerance
    Tolerance(Measured, Measured),
    /// `= 120 mg/kg ± 5 % of value`: target, and tolerance as a share of it
    ShareOfValue(Measured, Measured),
    /// `above 10 °C`
    Above,
    /// `below 10 °C`
    Below,
    /// `>= core-hold + 3 °C`: beside another limit or parameter, with an offset
    Beside {
        /// The other.
        other: Name,
        /// The offset, a difference; negative where it is taken off.
        offset: Option<Measured>,
        /// Whether it is taken off.
        minus: bool,
        /// The sign as written.
        sign: String,
    },
}

/// How much time is asked for or allowed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Amount {
    /// A length of time.
    Time(Measured),
    /// A share of a stage, and perhaps a length of time, whichever is longer.
    Share {
        /// The share, in %.
        share: Measured,
        /// Of which stage.
        stage: Name,
        /// The other of the two.
        or_longer: Option<Measured>,
    },
}

/// What the range must hold over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Over {
    /// Every instant of the run.
    Always,
    /// Every instant of a stage.
    Throughout(Name),
    /// One stretch without a break, at least this long.
    Held(Measured),
    /// All stays together, at least this much.
    TotalAtLeast(Amount),
    /// All stays together, at most this much.
    TotalAtMost(Amount),
    /// The longest stay, at most this long.
    StretchAtMost(Measured),
    /// The longest stay, at least this long: the same as held.
    StretchAtLeast(Measured),
    /// Every sample of the lot, and at least so many.
    Samples(u32),
}

/// A limit counts only while these facts about the lot hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guard {
    /// What is asked of each fact, all of them.
    pub facts: Vec<FactTest>,
    /// Whether the other lots need no such limit (`only when`).
    pub only: bool,
    /// Where it stands.
    pub loc: Loc,
}

/// What is asked of one fact about the lot. Two are equal if they ask the same, wherever they stand.
#[derive(Debug, Clone, Eq)]
pub struct FactTest {
    /// The fact.
    pub fact: Name,
    /// What it must be.
    pub wanted: Wanted,
}

/// What a fact must be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wanted {
    /// This answer of a closed set.
    Answer(Name),
    /// A number in this range.
    Within(Box<Range>),
}

impl PartialEq for FactTest {
    fn eq(&self, other: &Self) -> bool {
        let ends = |range: &Range| {
            [&range.lower, &range.upper]
                .map(|edge| edge.as_ref().map(|edge| (edge.strict, edge.at.quantity.and_then(|at| at.base()))))
        };
        let same = match (&self.wanted, &other.wanted) {
            (Wanted::Answer(one), Wanted::Answer(two)) => one == two,
            (Wanted::Within(one), Wanted::Within(two)) => ends(one) == ends(two),
            _ => false,
        };
        self.fact == other.fact && same
    }
}

impl Guard {
    /// The facts that are asked for.
    pub fn names(&self) -> impl Iterator<Item = &Name> {
        self.facts.iter().map(|test| &test.fact)
    }

    /// The numbers in it.
    #[must_use]
    pub fn values(&self) -> Vec<&Measured> {
        let ranges = self.facts.iter().filter_map(|test| match &test.wanted {
            Wanted::Within(range) => Some(range.as_ref()),
            Wanted::Answer(_) => None,
        });
        ranges.flat_map(Range::values).collect()
    }
}

/// One limit of a control.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limit {
    /// Which kind.
    pub kind: LimitKind,
    /// Its name.
    pub name: Name,
    /// What it asks for; `None` where it could not be read.
    pub condition: Option<Condition>,
    /// The stage it is confined to.
    pub during: Option<Name>,
    /// The event from which time is counted.
    pub since: Option<Name>,
    /// When it counts.
    pub guard: Option<Guard>,
    /// How far apart two readings may be and still show what lay between.
    pub credit_gap: Option<Measured>,
    /// How far apart two readings of parameters that stand side by side may be and still be paired.
    pub pairing: Option<Measured>,
    /// What its block says beside the condition.
    pub shape: Shape,
    /// Who sets its blank value, and until when.
    pub pending: Option<(Name, Option<chrono::NaiveDate>)>,
    /// The reason, if given.
    pub because: Option<String>,
    /// What it cites.
    pub cites: Vec<super::Citation>,
    /// The whole statement.
    pub loc: Loc,
    /// The condition alone, for showing it as written.
    pub condition_loc: Loc,
}

/// Whether a value of this dimension can lie below nought: a share, a mass or a length cannot.
#[must_use]
pub fn may_be_negative(dimension: Dimension) -> bool {
    matches!(dimension, Dimension::Temperature | Dimension::Decades | Dimension::Acidity)
}

impl Limit {
    /// The conditions without parts.
    #[must_use]
    pub fn leaves(&self) -> Vec<&Condition> {
        self.condition.as_ref().map_or_else(Vec::new, Condition::leaves)
    }

    /// Every parameter the condition speaks of, once each.
    #[must_use]
    pub fn parameters(&self) -> Vec<&Name> {
        let mut found: Vec<&Name> = Vec::new();
        for name in self.leaves().into_iter().flat_map(Condition::own_parameters) {
            if !found.contains(&name) {
                found.push(name);
            }
        }
        found
    }

    /// Every number in the condition and in its guard.
    #[must_use]
    pub fn values(&self) -> Vec<&Measured> {
        let own = self.leaves().into_iter().flat_map(Condition::own_values);
        own.chain(self.guard.iter().flat_map(Guard::values)).collect()
    }

    /// The facts about the lot on which it hangs.
    #[must_use]
    pub fn facts(&self) -> Vec<&Name> {
        let choices = self.condition.iter().flat_map(Condition::choices);
        self.guard.iter().flat_map(Guard::names).chain(choices).collect()
    }

    /// Whether some number is still blank.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.values().iter().any(|value| value.is_blank())
    }

    /// The stages named in the limit.
    #[must_use]
    pub fn stages(&self) -> Vec<&Name> {
        self.during.iter().chain(self.leaves().into_iter().flat_map(Condition::own_stages)).collect()
    }

    /// The events named in the limit.
    #[must_use]
    pub fn events(&self) -> Vec<&Name> {
        self.since.iter().chain(self.leaves().into_iter().flat_map(Condition::own_events)).collect()
    }
}

impl Range {
    /// The numbers that were written.
    #[must_use]
    pub fn values(&self) -> Vec<&Measured> {
        match &self.form {
            RangeForm::Tolerance(target, tolerance) | RangeForm::ShareOfValue(target, tolerance) => {
                vec![target, tolerance]
            }
            RangeForm::Beside { offset, .. } => offset.iter().collect(),
            _ => [&self.lower, &self.upper].into_iter().flatten().map(|edge| &edge.at).collect(),
        }
    }
}

impl Over {
    /// The numbers in it.
    #[must_use]
    pub fn values(&self) -> Vec<&Measured> {
        match self {
            Over::Always | Over::Throughout(_) | Over::Samples(_) => Vec::new(),
            Over::Held(time) | Over::StretchAtMost(time) | Over::StretchAtLeast(time) => vec![time],
            Over::TotalAtLeast(amount) | Over::TotalAtMost(amount) => match amount {
                Amount::Time(time) => vec![time],
                Amount::Share { share, or_longer, .. } => std::iter::once(share).chain(or_longer).collect(),
            },
        }
    }

    /// The stage it names.
    #[must_use]
    pub fn stage(&self) -> Option<&Name> {
        match self {
            Over::Throughout(stage)
            | Over::TotalAtLeast(Amount::Share { stage, .. })
            | Over::TotalAtMost(Amount::Share { stage, .. }) => Some(stage),
            _ => None,
        }
    }
}
