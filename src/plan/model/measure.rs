//! Instruments, parameters and rhythms.

use crate::plan::limit::Measured;
use crate::plan::{Name, Said};
use crate::quantity::Unit;
use crate::source::Loc;
use crate::time::Calendar;

/// A measuring instrument.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// What it measures.
    pub measures: Vec<Name>,
    /// Serial number.
    pub serial: Option<String>,
    /// Range.
    pub range: Option<(Measured, Measured)>,
    /// Smallest step.
    pub resolution: Option<Measured>,
    /// Accuracy, a difference.
    pub accuracy: Option<Measured>,
    /// Calibration.
    pub calibration: Option<Calibration>,
    /// After how long an unchanged reading shows nothing.
    pub stuck_after: Option<Measured>,
    /// How long it takes to follow what it measures.
    pub response: Option<Measured>,
    /// First line.
    pub loc: Loc,
}

/// How an instrument is calibrated.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// How often.
    pub every: Term,
    /// Within what, a difference.
    pub within: Measured,
    /// By whom.
    pub by: Name,
    /// On which record.
    pub record: Name,
    /// How.
    pub method: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// Something measured, answered or computed.
#[derive(Debug, Clone)]
pub struct Parameter {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Unit in which it is shown.
    pub unit: Option<Said<Unit>>,
    /// Closed set of answers; empty for a measured one.
    pub answers: Vec<Name>,
    /// Formula.
    pub formula: Option<Formula>,
    /// How far apart paired readings may be.
    pub pairing: Option<Measured>,
    /// Places at which it is measured.
    pub probes: Vec<Name>,
    /// For a fact about the lot: once each what, on which record.
    pub recorded: Option<(String, Name)>,
    /// First line.
    pub loc: Loc,
}

/// How a parameter is computed from others.
#[derive(Debug, Clone)]
pub enum Formula {
    /// Relative humidity from dry and wet bulb, at a pressure if stated.
    Humidity {
        /// Dry bulb.
        dry: Name,
        /// Wet bulb.
        wet: Name,
        /// Air pressure; the standard atmosphere if not stated.
        pressure: Option<Measured>,
    },
    /// Parameters with signs between them.
    Arithmetic(Expression),
}

/// Parameters with signs between them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Expression {
    /// One parameter.
    Value(Name),
    /// Two parts and a sign.
    Pair {
        /// First.
        left: Box<Expression>,
        /// `*`, `/`, `-` or `+`.
        sign: char,
        /// Second.
        right: Box<Expression>,
    },
}

impl Expression {
    /// Two parts and a sign.
    #[must_use]
    pub fn pair(left: Expression, sign: char, right: Expression) -> Self {
        Expression::Pair { left: Box::new(left), sign, right: Box::new(right) }
    }

    fn names<'a>(&'a self, found: &mut Vec<&'a Name>) {
        match self {
            Expression::Value(name) if !found.contains(&name) => found.push(name),
            Expression::Value(_) => {}
            Expression::Pair { left, right, .. } => {
                left.names(found);
                right.names(found);
            }
        }
    }

    /// As it can be typed into a plan, with the brackets that it needs.
    #[must_use]
    pub fn symbols(&self) -> String {
        let Expression::Pair { left, sign, right } = self else {
            return if let Expression::Value(name) = self { name.text.clone() } else { String::new() };
        };
        let sum = |part: &Expression| matches!(part, Expression::Pair { sign: '+' | '-', .. });
        let pair = |part: &Expression| matches!(part, Expression::Pair { .. });
        let bracketed = |part: &Expression, needed: bool| {
            if needed { format!("({})", part.symbols()) } else { part.symbols() }
        };
        let tight = matches!(sign, '/' | '*');
        let first = bracketed(left, tight && sum(left));
        let second = bracketed(right, if tight { pair(right) } else { sum(right) });
        format!("{first} {sign} {second}")
    }
}

impl Formula {
    /// The parameters it is computed from, once each, in the order written.
    #[must_use]
    pub fn inputs(&self) -> Vec<&Name> {
        match self {
            Formula::Humidity { dry, wet, .. } => vec![dry, wet],
            Formula::Arithmetic(expression) => {
                let mut found = Vec::new();
                expression.names(&mut found);
                found
            }
        }
    }
}

/// How often something is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cadence {
    /// The rhythm.
    pub rhythm: Rhythm,
    /// Allowance on it.
    pub late_after: Option<Measured>,
    /// Where it stands.
    pub loc: Loc,
}

impl Cadence {
    /// Whether it may pass over a whole lot.
    #[must_use]
    pub fn spans_lots(&self) -> bool {
        let long = |calendar: &Calendar| calendar.days() > 1.0;
        matches!(&self.rhythm, Rhythm::Every(Term::Calendar(term)) if long(term))
            || matches!(&self.rhythm, Rhythm::Made(_) | Rhythm::EveryLots(2..))
            || matches!(&self.rhythm, Rhythm::TimesPer(_, period) if period == "week")
            || matches!(&self.rhythm, Rhythm::Each(what) if what == "delivery")
    }
}

/// The rhythm of a cadence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rhythm {
    /// By a recorder, with its step.
    Continuously(Option<Measured>),
    /// Every so often.
    Every(Term),
    /// Each time that so much was made: a volume, a mass or a number of pieces.
    Made(Measured),
    /// Once in so many lots.
    EveryLots(u32),
    /// So many times per period.
    TimesPer(u32, String),
    /// For each lot, load, delivery, batch, shift or day.
    Each(String),
    /// When an event happens.
    At(Name),
    /// After an event has happened.
    After(Name),
}

/// A length of time by the clock or by the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Term {
    /// By the calendar.
    Calendar(Calendar),
    /// By the clock.
    Clock(Measured),
    /// Left blank.
    Blank,
}
