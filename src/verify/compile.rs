//! From a limit of the plan to forms of the engine, in the unit in which a channel was recorded.

use super::engine::{Band, Condition, DeathRates, Edge, Form};
use crate::plan::limit::{Amount, EdgeAt, Measured, Over, Range};
use crate::plan::{Cadence, Inactivation, Rhythm, Term};
use crate::quantity::{Cut, Dimension, Rational, Unit};
use crate::science::lethality::LogLinear;
use crate::time::HOUR;

/// A range as bands in the unit of the readings, exact. Accuracy is not counted unless a limit says so.
pub(super) fn condition(range: &Range, unit: Unit) -> Option<Condition> {
    let edge = |edge: &EdgeAt| {
        let cut = Cut::new(edge.at.quantity?.in_unit(unit)?);
        Some(Edge { cut, strict: edge.strict })
    };
    let lower = match &range.lower {
        Some(end) => Some(edge(end)?),
        None => None,
    };
    let upper = match &range.upper {
        Some(end) => Some(edge(end)?),
        None => None,
    };
    Some(Condition::exact(Band { lower, upper }))
}

/// One form of a limit: what it asks, what it measures, and how it is judged.
#[derive(Debug)]
pub(super) struct Asked<'a> {
    /// What is asked, in words.
    pub words: String,
    /// The quantity that least and most are of.
    pub quantity: &'static str,
    /// The form.
    pub form: Form<'a>,
}

/// The forms of a level over time; all of them must be met.
pub(super) fn level<'a>(range: &Range, over: &Over, unit: Unit) -> Option<Vec<Asked<'a>>> {
    let condition = condition(range, unit)?;
    let one = |words: String, quantity, form: Form<'a>| Some(vec![Asked { words, quantity, form }]);
    match over {
        Over::Always | Over::Throughout(_) => one(range.words(), "highest value", Form::Bound(condition)),
        Over::Held(time) | Over::StretchAtLeast(time) => {
            let at_least = time.nanoseconds()?;
            one(
                format!("{} held for {}", range.words(), time.shown()),
                "longest stretch",
                Form::Held { condition, at_least },
            )
        }
        Over::TotalAtLeast(Amount::Time(time)) => Some(vec![total_at_least(range, condition, time)?]),
        Over::TotalAtLeast(Amount::Share { share, stage, or_longer }) => {
            let mut forms = vec![Asked {
                words: format!("{} for at least {} of {stage}", range.words(), share.shown()),
                quantity: "time in it less the share asked for",
                form: Form::ShareAtLeast { condition, share: share.quantity?.base()? },
            }];
            if let Some(time) = or_longer {
                forms.push(total_at_least(range, condition, time)?);
            }
            Some(forms)
        }
        Over::TotalAtMost(Amount::Time(time)) => {
            let at_most = time.nanoseconds()?;
            one(
                format!("{} in total at most {}", range.words(), time.shown()),
                "time in it",
                Form::TotalAtMost { condition, at_most },
            )
        }
        Over::StretchAtMost(time) => {
            let at_most = time.nanoseconds()?;
            one(
                format!("{} at a stretch at most {}", range.words(), time.shown()),
                "longest stay",
                Form::StretchAtMost { condition, at_most },
            )
        }
        Over::TotalAtMost(Amount::Share { .. }) | Over::Samples(_) => None,
    }
}

fn total_at_least<'a>(range: &Range, condition: Condition, time: &Measured) -> Option<Asked<'a>> {
    Some(Asked {
        words: format!("{} in total at least {}", range.words(), time.shown()),
        quantity: "time in it",
        form: Form::TotalAtLeast { condition, at_least: time.nanoseconds()? },
    })
}

/// A passage between two values, downwards or upwards.
pub(super) fn passage<'a>(from: &Measured, to: &Measured, within: &Measured, unit: Unit) -> Option<Asked<'a>> {
    let (start, end) = (from.quantity?.in_unit(unit)?, to.quantity?.in_unit(unit)?);
    let at = |value: Rational| Edge::inclusive(Cut::new(value));
    let down = start > end;
    let (before, arrived) = if down {
        (Band::from(at(start)), Band::up_to(at(end)))
    } else {
        (Band::up_to(at(start)), Band::from(at(end)))
    };
    Some(Asked {
        words: format!("from {} to {} within {}", from.shown(), to.shown(), within.shown()),
        quantity: "time between",
        form: Form::Passage {
            before: Condition::exact(before),
            arrived: Condition::exact(arrived),
            within: within.nanoseconds()?,
        },
    })
}

/// Rates of a declared inactivation over readings in °C or °F.
#[derive(Debug)]
pub(super) struct Rates {
    model: LogLinear,
    fahrenheit: bool,
}

impl Rates {
    /// The rates of a model over readings in this unit; `None` if the model is not complete.
    pub fn new(model: &Inactivation, unit: Unit) -> Option<Rates> {
        let celsius = |value: &Measured| Some(value.quantity?.base()?.to_f64());
        let (time, at) = model.d.as_ref()?;
        let d = time.quantity?.base()?.to_f64();
        let z = model.z.as_ref()?.quantity?.base_difference()?.to_f64();
        let range = match &model.range {
            Some((low, high)) => Some((celsius(low)?, celsius(high)?)),
            None => None,
        };
        let model = LogLinear::new(d, celsius(at)?, z, range).ok()?;
        let fahrenheit = match unit.symbol {
            "°C" => false,
            "°F" => true,
            _ => return None,
        };
        Some(Rates { model, fahrenheit })
    }

    /// The reading in °C; where it had to be converted, rounded down and up.
    fn celsius(&self, value: f64) -> (f64, f64) {
        if !self.fahrenheit || !value.is_finite() {
            return (value, value);
        }
        let celsius = (value - 32.0) * 5.0 / 9.0;
        (celsius.next_down().next_down(), celsius.next_up().next_up())
    }
}

impl DeathRates for Rates {
    fn low(&self, value: f64) -> f64 {
        self.model.rate_low(self.celsius(value).0)
    }

    fn high(&self, value: f64) -> f64 {
        self.model.rate_high(self.celsius(value).1)
    }

    fn top(&self) -> Option<f64> {
        self.model.range_c().map(|(_, top)| self.model.rate_high(top))
    }
}

/// The interval at which a cadence promises a reading, and its allowance. Nanoseconds.
pub(super) fn interval(cadence: &Cadence) -> Option<(i64, i64)> {
    let every = match &cadence.rhythm {
        Rhythm::Continuously(Some(step)) => step.nanoseconds()?,
        Rhythm::Every(Term::Clock(time)) => time.nanoseconds()?,
        Rhythm::Every(Term::Calendar(calendar)) => (calendar.days() * 24.0) as i64 * HOUR,
        _ => return None,
    };
    let late = cadence.late_after.as_ref().and_then(Measured::nanoseconds).unwrap_or(0);
    Some((every, late))
}

/// Whether a unit measures temperature, which a reduction needs.
pub(super) fn is_temperature(unit: Unit) -> bool {
    unit.dimension == Dimension::Temperature
}
