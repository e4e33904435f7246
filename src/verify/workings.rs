//! The workings of a verdict: what a person needs to redo it with a pencil, told by the code that judged.

use super::engine::{Band, Condition, Form, Sampling, Step, Window};
use super::limits::{Context, judge_chosen};
use super::{LimitVerdict, affected, instruments};
use crate::finding::nearest;
use crate::log::{Event, Lot, Records};
use crate::plan::limit::Measured;
use crate::plan::{Control, Formula, Limit, Name, Parameter, Plan};
use crate::quantity::{Rational, Unit};
use crate::time::{SECOND, Zone, show_duration};

/// The workings of one part of a limit.
#[derive(Debug, Clone, Default)]
pub struct Workings {
    /// The quantity that least and most are of; empty where the part was not judged over a trace.
    pub quantity: &'static str,
    /// The thresholds as they were compared, exact, in the unit of the readings.
    pub thresholds: Vec<String>,
    /// The window with its uncertain ends.
    pub window: Option<Window>,
    /// The formulas of a computed parameter, its own first.
    pub formulas: Vec<String>,
    /// The events that the ends of the window come from, with file and row.
    pub ends: Vec<String>,
    /// How readings were joined and how long an edge may stay uncovered.
    pub sampling: Option<Sampling>,
    /// The channels whose rows the readings stand in; two for a computed parameter.
    pub sources: Vec<usize>,
    /// For a computed parameter what each of its readings was computed from.
    pub pairs: Vec<Paired>,
    /// Rows left out because their instrument is not trusted.
    pub left_out: usize,
    /// Every reading and every stretch between two, in order of time.
    pub steps: Vec<Step>,
    /// The same in words, for what is no trace: samples, checks, events.
    pub lines: Vec<String>,
}

/// What one reading of a computed parameter was computed from.
#[derive(Debug, Clone, PartialEq)]
pub struct Paired {
    /// Its instant, nanoseconds UTC: that of its first input.
    pub at: i64,
    /// A reading of each input, in the order of the formula.
    pub inputs: Vec<Input>,
}

/// One reading that went into a formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// The parameter.
    pub name: String,
    /// When it was read, nanoseconds UTC.
    pub at: i64,
    /// Its value; two where the record holds more than one for the instant.
    pub lo: f64,
    /// The higher of the two.
    pub hi: f64,
    /// The unit of the value.
    pub unit: Unit,
    /// The channels in which it stands; for a computed input those of its own.
    pub sources: Vec<usize>,
}

impl Workings {
    /// Workings told in words; nothing unless they were asked for.
    pub(super) fn told(context: &Context<'_>, lines: impl FnOnce() -> Vec<String>) -> Option<Box<Workings>> {
        context.workings.then(|| Box::new(Workings { lines: lines(), ..Workings::default() }))
    }
}

/// The limits of one lot with their workings.
#[derive(Debug, Clone)]
pub struct Shown {
    /// Index in [`Records::lots`].
    pub lot: usize,
    /// The limits asked for, in the order of the plan.
    pub limits: Vec<LimitVerdict>,
    /// Limits asked for that do not count for this lot.
    pub not_counted: Vec<String>,
}

/// What is asked for: a lot, and one of its limits or all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Index in [`Records::lots`].
    pub lot: usize,
    control: Option<String>,
    limit: Option<String>,
}

impl Wanted {
    fn holds(&self, control: &Control, limit: &Limit) -> bool {
        self.control.as_ref().is_none_or(|name| *name == control.name.text)
            && self.limit.as_ref().is_none_or(|name| *name == limit.name.text)
    }
}

/// Reads `LOT`, `LOT/LIMIT` or `LOT/CONTROL.LIMIT`.
///
/// # Errors
/// What is not there, and the nearest name that is.
pub fn wanted(plan: &Plan, records: &Records, text: &str) -> Result<Wanted, (String, String)> {
    let lot_of = |code: &str| records.lots.iter().position(|lot| lot.code == code);
    if let Some(lot) = lot_of(text) {
        return Ok(Wanted { lot, control: None, limit: None });
    }
    // A lot's own code may hold a stroke.
    let split = text.match_indices('/').find_map(|(at, _)| {
        let (code, rest) = text.split_at(at);
        Some((lot_of(code)?, rest.strip_prefix('/')?))
    });
    let Some((lot, name)) = split else {
        let code = text.split('/').next().unwrap_or(text);
        let codes = records.lots.iter().map(|lot| lot.code.as_str());
        let help = match nearest(code, codes).or_else(|| closest(code, records)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("the register has {} lots; write LOT, LOT/LIMIT or LOT/CCP.LIMIT", records.lots.len()),
        };
        return Err((format!("no lot `{code}` is registered"), help));
    };
    let all = || plan.controls.iter().flat_map(|control| control.limits.iter().map(move |limit| (control, limit)));
    let wanted = match name.split_once('.') {
        Some((control, limit)) => Wanted { lot, control: Some(control.to_owned()), limit: Some(limit.to_owned()) },
        None => Wanted { lot, control: None, limit: Some(name.to_owned()) },
    };
    if all().any(|(control, limit)| wanted.holds(control, limit)) {
        return Ok(wanted);
    }
    let full: Vec<String> = all().map(|(control, limit)| format!("{}.{}", control.name, limit.name)).collect();
    let short = all().map(|(_, limit)| limit.name.text.as_str());
    let near = if name.contains('.') {
        nearest(name, full.iter().map(String::as_str)).or_else(|| {
            let (_, limit) = name.split_once('.')?;
            full.iter().map(String::as_str).find(|full| full.ends_with(&format!(".{limit}")))
        })
    } else {
        nearest(name, short)
    };
    let help = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the plan has: {}", full.join(", ")),
    };
    Err((format!("the plan has no limit `{name}`"), help))
}

/// A lot whose code begins alike, where none is near.
fn closest<'r>(code: &str, records: &'r Records) -> Option<&'r str> {
    let alike = |lot: &&Lot| !code.is_empty() && (lot.code.starts_with(code) || lot.code.ends_with(code));
    records.lots.iter().find(alike).map(|lot| lot.code.as_str())
}

/// Judges the limits asked for as [`verify`](super::verify) does, and keeps the workings.
#[must_use]
pub fn show(plan: &Plan, records: &Records, wanted: &Wanted) -> Shown {
    let zone = plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
    let instruments = instruments::states(plan, records, zone);
    let windows = affected::affected(plan, records, &instruments);
    let context = Context {
        plan,
        records,
        zone,
        instruments: &instruments,
        cut: None,
        windows: &windows,
        workings: true,
        drawn: false,
        accuracy: false,
    };
    let mut not_counted = Vec::new();
    let limits = records.lots.get(wanted.lot).map_or_else(Vec::new, |lot| {
        judge_chosen(&context, lot, &|control, limit| wanted.holds(control, limit), &mut |control, limit| {
            not_counted.push(format!("{}.{}: {}", control.name, limit.name, limit.symbols()));
        })
    });
    Shown { lot: wanted.lot, limits, not_counted }
}

/// The formulas through which a parameter is computed, its own first.
pub(super) fn formulas(plan: &Plan, parameter: &Parameter, recorded: &dyn Fn(&Name) -> bool) -> Vec<String> {
    let mut way = vec![parameter];
    let mut told = Vec::new();
    let mut next = 0;
    while let Some(one) = way.get(next).copied() {
        next += 1;
        let Some(formula) = one.formula.as_ref().filter(|_| !recorded(&one.name)) else { continue };
        told.push(match formula {
            Formula::Humidity { dry, wet, pressure } => {
                let at = pressure.as_ref().map_or_else(|| "the standard atmosphere".to_owned(), Measured::shown);
                format!("{} = relative humidity from {dry} and {wet}, at {at}", one.name)
            }
            Formula::Arithmetic(expression) => format!("{} = {}", one.name, expression.symbols()),
        });
        for input in formula.inputs().into_iter().filter_map(|name| plan.parameter(&name.text)) {
            if !way.iter().any(|seen| seen.name == input.name) {
                way.push(input);
            }
        }
    }
    told
}

/// An event as an end of a window.
pub(super) fn end_words(context: &Context<'_>, event: &Event, (first, last): (i64, i64)) -> String {
    let local = |at: i64| context.zone.show_local(crate::time::Instant(at));
    let spread = if first == last {
        "taken as written, it stands on the record of the readings".to_owned()
    } else {
        format!("somewhere from {} to {}", local(first), local(last))
    };
    let cell = &event.cell;
    format!("{} {} ({}, row {}; {spread})", event.event, local(event.at.0), cell.file, cell.row)
}

fn exact(value: Rational, unit: Unit) -> String {
    let symbol = if unit.dimension.bare() { String::new() } else { format!("\u{a0}{}", unit.symbol) };
    match value.decimal() {
        Some(decimal) => format!("{decimal}{symbol} exactly"),
        None => format!("{value}{symbol} rounded, compared as the exact fraction"),
    }
}

fn band(name: &str, condition: &Condition, unit: Unit) -> Vec<String> {
    let one = |word: &str, band: &Band| {
        let edge = |edge: Option<super::engine::Edge>, (within, beyond): (&str, &str)| {
            edge.map(|edge| format!("{} {}", if edge.strict { beyond } else { within }, exact(edge.cut.exact(), unit)))
        };
        let ends: Vec<String> =
            [edge(band.lower, ("≥", ">")), edge(band.upper, ("≤", "<"))].into_iter().flatten().collect();
        format!("{word}: {}", ends.join(" and "))
    };
    if condition.certain == condition.possible {
        vec![one(name, &condition.certain)]
    } else {
        vec![
            one(&format!("{name}, certain"), &condition.certain),
            one(&format!("{name}, possible"), &condition.possible),
        ]
    }
}

/// The numbers that a form compares with, exact.
pub(super) fn thresholds(form: &Form<'_>, unit: Unit) -> Vec<String> {
    // Less than a time is at most a nanosecond less, more than a time at least a nanosecond more.
    let at_least_time = |word: &str, time: i64| {
        let beyond = time.rem_euclid(SECOND) == 1;
        let (sign, figure) = if beyond { ("more than", time.saturating_sub(1)) } else { ("at least", time) };
        vec![format!("{word} {sign} {}", show_duration(figure))]
    };
    let at_most_time = |word: &str, time: i64| {
        let beyond = time.rem_euclid(SECOND) == SECOND - 1;
        let (sign, figure) = if beyond { ("less than", time.saturating_add(1)) } else { ("at most", time) };
        vec![format!("{word} {sign} {}", show_duration(figure))]
    };
    let sum = |word: &str, cut: &crate::quantity::Cut, what: &str| {
        let exact = cut.exact();
        vec![format!("{word} {}{what}", exact.decimal().unwrap_or_else(|| exact.to_string()))]
    };
    let both = |mut first: Vec<String>, second: Vec<String>| {
        first.extend(second);
        first
    };
    match form {
        Form::Bound(condition) => band("value", condition, unit),
        Form::Never(condition) => band("never", condition, unit),
        Form::Held { condition, at_least } if *at_least == 0 => band("reached once", condition, unit),
        Form::Held { condition, at_least } => both(band("held", condition, unit), at_least_time("stretch", *at_least)),
        Form::TotalAtLeast { condition, at_least } => {
            both(band("counted", condition, unit), at_least_time("sum", *at_least))
        }
        Form::TotalAtMost { condition, at_most } => {
            both(band("counted", condition, unit), at_most_time("sum", *at_most))
        }
        Form::StretchAtMost { condition, at_most } => {
            both(band("a stay", condition, unit), at_most_time("stretch", *at_most))
        }
        Form::ShareAtLeast { condition, share, strict } => both(
            band("counted", condition, unit),
            vec![format!(
                "time in it less {share} of the window's duration, {} 0",
                if *strict { "more than" } else { "at least" }
            )],
        ),
        Form::ShareAtMost { condition, share, strict } => both(
            band("counted", condition, unit),
            vec![format!(
                "time in it less {share} of the window's duration, {} 0",
                if *strict { "less than" } else { "at most" }
            )],
        ),
        Form::Passage { before, arrived, within } => both(
            both(band("clock starts when the value leaves", before, unit), band("and stops at", arrived, unit)),
            at_most_time("time", *within),
        ),
        Form::ReachesWithin { condition, within } => {
            both(band("reached", condition, unit), at_most_time("time", *within))
        }
        Form::FallsAtLeast { rises, strict, shown_by, denied_below, every } => {
            let way = if *rises { "rise" } else { "fall" };
            let mut falls =
                vec![format!("{way} {} {}", if *strict { "more than" } else { "at least" }, exact(*shown_by, unit))];
            if shown_by != denied_below {
                let below = if *strict { "of no more than" } else { "below" };
                falls.push(format!("and denied by a {way} {below} {}", exact(*denied_below, unit)));
            }
            both(falls, vec![format!("in every {}", show_duration(*every))])
        }
        Form::Reduction { at_least, .. } => sum("sum at least", at_least, ""),
        Form::GrowthAtMost { at_most, .. } => sum("sum at most", at_most, ""),
        Form::SumAboveAtMost { base_least, base_most, at_most, .. } => both(
            match base_least == base_most {
                true => vec![format!("height above {}\u{a0}{}", crate::quantity::plain(*base_least, 9), unit.symbol)],
                false => vec![
                    format!("least height above {}\u{a0}{}", crate::quantity::plain(*base_least, 9), unit.symbol),
                    format!("most height above {}\u{a0}{}", crate::quantity::plain(*base_most, 9), unit.symbol),
                ],
            },
            sum("sum at most", at_most, &format!("\u{a0}{}·s", unit.symbol)),
        ),
    }
}
