//! From a limit of the plan to forms of the engine, in the unit in which a channel was recorded.

use super::engine::{self, Band, Edge, Form};
use super::rates::{Growing, Rates};
use crate::plan::Condition;
use crate::plan::limit::{Amount, EdgeAt, Measured, Over, Range};
use crate::plan::{Cadence, Rhythm, Term};
use crate::quantity::{Cut, Rational, Unit};
use crate::time::{CalendarUnit, HOUR};

/// A range as bands in the unit of the readings, exact. Readings may be off by so much: what shows that the value is in
/// the range lies further inside by it, what denies it further outside.
pub(super) fn condition(range: &Range, unit: Unit, off: Rational) -> Option<engine::Condition> {
    let edge = |edge: &EdgeAt| Some((edge.at.quantity?.in_unit(unit)?, edge.strict));
    let lower = match &range.lower {
        Some(end) => Some(edge(end)?),
        None => None,
    };
    let upper = match &range.upper {
        Some(end) => Some(edge(end)?),
        None => None,
    };
    around(lower, upper, off)
}

/// The condition between two exact ends, each perhaps left out itself, for readings that may be off by so much.
fn around(
    lower: Option<(Rational, bool)>,
    upper: Option<(Rational, bool)>,
    off: Rational,
) -> Option<engine::Condition> {
    let edge = |end: Option<(Rational, bool)>, up: bool| {
        let Some((at, strict)) = end else { return Some(None) };
        let at = if up { at.plus(off)? } else { at.minus(off)? };
        Some(Some(Edge { cut: Cut::new(at), strict }))
    };
    Some(engine::Condition {
        certain: Band { lower: edge(lower, true)?, upper: edge(upper, false)? },
        possible: Band { lower: edge(lower, false)?, upper: edge(upper, true)? },
    })
}

/// By how much the interval of a form that is one of values is wider than that of the readings.
pub(super) fn doubt(form: &Form<'_>, off: Rational) -> Rational {
    match form {
        // A fall is between two readings.
        Form::FallsAtLeast { .. } => off.plus(off).unwrap_or(off),
        _ => off,
    }
}

/// The threshold of a sum that must reach a figure, or pass it where the figure itself is not enough.
fn least_of(figure: Rational, strict: bool) -> Cut {
    if strict { Cut::just_above(figure) } else { Cut::new(figure) }
}

/// The threshold of a sum that must not pass a figure, nor reach it where the figure itself is too much.
fn most_of(figure: Rational, strict: bool) -> Cut {
    if strict { Cut::just_below(figure) } else { Cut::new(figure) }
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
pub(super) fn level<'a>(range: &Range, over: &Over, (unit, off): (Unit, Rational)) -> Option<Vec<Asked<'a>>> {
    let condition = condition(range, unit, off)?;
    let one = |words: String, quantity, form: Form<'a>| Some(vec![Asked { words, quantity, form }]);
    match over {
        Over::Always | Over::Throughout(_) => {
            let quantity = if range.upper.is_none() { "lowest value" } else { "highest value" };
            one(range.words(), quantity, Form::Bound(condition))
        }
        Over::Held(time) | Over::StretchAtLeast(time) => {
            let at_least = time.at_least()?;
            one(
                format!("{} held for {}", range.words(), time.held_words()),
                "longest stretch",
                Form::Held { condition, at_least },
            )
        }
        Over::TotalAtLeast(Amount::Time(time)) => Some(vec![total_at_least(range, condition, time)?]),
        Over::TotalAtLeast(Amount::Share { share, stage, or_longer }) => {
            let mut forms = vec![Asked {
                words: format!("{} for {} of {stage}", range.words(), share.at_least_words()),
                quantity: "time in it less the share asked for",
                form: Form::ShareAtLeast { condition, share: share.quantity?.base()?, strict: share.strict },
            }];
            if let Some(time) = or_longer {
                forms.push(total_at_least(range, condition, time)?);
            }
            Some(forms)
        }
        Over::TotalAtMost(Amount::Time(time)) => {
            let at_most = time.at_most()?;
            one(
                format!("{} in total {}", range.words(), time.at_most_words()),
                "time in it",
                Form::TotalAtMost { condition, at_most },
            )
        }
        Over::StretchAtMost(time) => {
            let at_most = time.at_most()?;
            one(
                format!("{} at a stretch {}", range.words(), time.at_most_words()),
                "longest stay",
                Form::StretchAtMost { condition, at_most },
            )
        }
        Over::TotalAtMost(Amount::Share { share, stage, or_longer: None }) => one(
            format!("{} for {} of {stage}", range.words(), share.at_most_words()),
            "time in it less the share allowed",
            Form::ShareAtMost { condition, share: share.quantity?.base()?, strict: share.strict },
        ),
        Over::TotalAtMost(Amount::Share { .. }) | Over::Samples(_) => None,
    }
}

fn total_at_least<'a>(range: &Range, condition: engine::Condition, time: &Measured) -> Option<Asked<'a>> {
    Some(Asked {
        words: format!("{} in total {}", range.words(), time.at_least_words()),
        quantity: "time in it",
        form: Form::TotalAtLeast { condition, at_least: time.at_least()? },
    })
}

/// A passage between two values, downwards or upwards.
pub(super) fn passage<'a>(
    from: &Measured,
    to: &Measured,
    within: &Measured,
    (unit, off): (Unit, Rational),
) -> Option<Asked<'a>> {
    let (start, end) = (from.quantity?.in_unit(unit)?, to.quantity?.in_unit(unit)?);
    let at = |value: Rational| Some((value, false));
    let (before, arrived) = if start > end {
        (around(at(start), None, off)?, around(None, at(end), off)?)
    } else {
        (around(None, at(start), off)?, around(at(end), None, off)?)
    };
    Some(Asked {
        words: format!("from {} to {} {}", from.shown(), to.shown(), within.within_words()),
        quantity: "time between",
        form: Form::Passage { before, arrived, within: within.at_most()? },
    })
}

/// The interval at which a cadence promises a reading, and its allowance. Nanoseconds.
pub(super) fn interval(cadence: &Cadence) -> Option<(i64, i64)> {
    let every = match &cadence.rhythm {
        Rhythm::Continuously(Some(step)) => step.nanoseconds()?,
        Rhythm::Every(Term::Clock(time)) => time.nanoseconds()?,
        Rhythm::Every(Term::Calendar(calendar)) if calendar.unit != CalendarUnit::WorkingDay => {
            (calendar.days() * 24.0) as i64 * HOUR
        }
        _ => return None,
    };
    let late = cadence.late_after.as_ref().and_then(Measured::nanoseconds).unwrap_or(0);
    Some((every, late))
}

/// The forms of a condition without parts, in the unit of the readings, which may be off by so much; `None` where the
/// two do not fit. The rates of sums count it themselves.
pub(super) fn forms<'a>(
    condition: &Condition,
    (unit, off): (Unit, Rational),
    rates: Option<&'a Rates>,
    growth: Option<&'a Growing>,
) -> Option<Vec<Asked<'a>>> {
    let one = |words: String, quantity, form: Form<'a>| Some(vec![Asked { words, quantity, form }]);
    match condition {
        Condition::Level { range, over, .. } => level(range, over, (unit, off)),
        Condition::Passage { from, to, within, .. } => Some(vec![passage(from, to, within, (unit, off))?]),
        Condition::Never { range, .. } => {
            one(format!("never {}", range.words()), "time in it", Form::Never(self::condition(range, unit, off)?))
        }
        Condition::Reaches { at, within, .. } => {
            let condition = around(Some((at.quantity?.in_unit(unit)?, false)), None, off)?;
            match within {
                None => {
                    one(format!("reaches {}", at.shown()), "longest stretch", Form::Held { condition, at_least: 0 })
                }
                Some((time, event)) => one(
                    format!("reaches {} {} of {event}", at.shown(), time.within_words()),
                    "time until then",
                    Form::ReachesWithin { condition, within: time.at_most()? },
                ),
            }
        }
        Condition::Falls { rises, by, every, .. } => {
            let fall = unit.difference_from_base(by.quantity?.base_difference()?)?;
            let (way, quantity) = if *rises { ("rises", "smallest rise") } else { ("falls", "smallest fall") };
            one(
                format!("{way} {} in every {}", by.at_least_words(), every.shown()),
                quantity,
                Form::FallsAtLeast {
                    rises: *rises,
                    strict: by.strict,
                    shown_by: fall.plus(off)?.plus(off)?,
                    denied_below: fall.minus(off)?.minus(off)?,
                    every: every.nanoseconds()?,
                },
            )
        }
        Condition::Reduction { range, .. } => {
            let edge = range.lower.as_ref()?;
            let at_least = least_of(edge.at.quantity?.value, edge.strict);
            one(range.words(), "reduction", Form::Reduction { rates: rates?, at_least })
        }
        Condition::Equivalent { at, z, range, .. } => {
            let edge = range.lower.as_ref()?;
            let minutes = edge.at.quantity?.base()?.over(Rational::whole(60))?;
            let words = format!("equivalent time at {} (z {}) {}", at.shown(), z.shown(), range.words());
            one(
                words,
                "equivalent minutes",
                Form::Reduction { rates: rates?, at_least: least_of(minutes, edge.strict) },
            )
        }
        Condition::Growth { range, .. } => {
            let edge = range.upper.as_ref()?;
            let at_most = most_of(edge.at.quantity?.value, edge.strict);
            one(range.words(), "growth", Form::GrowthAtMost { rates: growth?, at_most })
        }
        Condition::DegreeHours { base, range, .. } => {
            let above = base.quantity?.in_unit(unit)?;
            // The sum is in units of the readings times seconds.
            let edge = range.upper.as_ref()?;
            let most = edge.at.quantity?.base()?;
            let most = unit.difference_from_base(most)?;
            one(
                format!("degrees above {} times hours, {}", base.shown(), range.words()),
                "sum",
                Form::SumAboveAtMost {
                    base_least: above.plus(off)?.to_f64(),
                    base_most: above.minus(off)?.to_f64(),
                    top: None,
                    at_most: most_of(most, edge.strict),
                },
            )
        }
        _ => None,
    }
}
