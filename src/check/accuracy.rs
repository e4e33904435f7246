//! Limits that count the accuracy of their instruments: it must be known, and the limit must leave room for it.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Condition, Control, Limit, Range};
use crate::quantity::Rational;

crate::rules! {
    /// A limit counts the accuracy of an instrument, and the plan does not say what it is.
    ///
    /// A reading that may be off by nobody knows how much shows nothing: such a limit is never met.
    ACCURACY_UNKNOWN = "L271" "accuracy-unknown" Error ["codex.limit", "codex.monitor"];
    /// A limit counts an accuracy, and rests on no reading of an instrument.
    ///
    /// Answers, events and their order are not off by an amount.
    NO_READING = "L272" "accuracy-of-no-reading" Error ["codex.limit"];
    /// A range no wider than what a reading may be off, both ways.
    ///
    /// Wherever a reading lies, the value behind it may be outside: the limit is never met.
    NARROWER_THAN_ACCURACY = "L273" "narrower-than-accuracy" Error ["codex.limit", "codex.monitor"];
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for (control, limit) in
        plan.controls.iter().flat_map(|control| control.limits.iter().map(move |limit| (control, limit)))
    {
        if limit.shape.accuracy.is_some() {
            counted(desk, control, limit);
        }
    }
}

fn counted(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    let Some(place) = limit.shape.accuracy else { return };
    let plan = desk.plan;
    let measuring = limit.measuring(plan, control);
    if measuring.is_empty() {
        // A parameter that nobody monitors is a finding of its own.
        let answered =
            |name: &&crate::plan::Name| plan.parameter(&name.text).is_some_and(|declared| !declared.answers.is_empty());
        if limit.parameters().iter().all(answered) {
            desk.say(
                Finding::at(&NO_READING, place, format!("`{}` rests on no reading that may be off", limit.name))
                    .also(limit.condition_loc, "the limit")
                    .help("take `accuracy counted` out"),
            );
        }
        return;
    }
    for one in &measuring {
        let Some(unit) = one.unit else { continue };
        let (message, at, help) = match one.instrument {
            Some(instrument) if instrument.off_by(unit).is_some() => continue,
            Some(instrument) if instrument.accuracy.is_some() => (
                format!("the accuracy of `{}` is not one of {}", instrument.name, unit.dimension.word()),
                instrument.loc,
                format!("declare an instrument for `{}` with its accuracy in {}", one.parameter, unit.symbol),
            ),
            Some(instrument) => (
                format!("`{}` declares no accuracy, and `{}` counts it", instrument.name, limit.name),
                instrument.loc,
                format!("add `accuracy 0.5 {}` to the instrument: how far off it may be", unit.symbol),
            ),
            None => (
                format!(
                    "`{}` is measured with no named instrument, and `{}` counts its accuracy",
                    one.parameter, limit.name
                ),
                one.loc,
                "add `using INSTRUMENT` to the monitoring, and declare its accuracy".to_owned(),
            ),
        };
        desk.say(Finding::at(&ACCURACY_UNKNOWN, place, message).also(at, "here").help(help));
    }
    for range in limit.leaves().into_iter().filter_map(band) {
        narrow(desk, control, limit, range);
    }
}

/// The range that a condition asks every value to lie in.
fn band(condition: &Condition) -> Option<&Range> {
    match condition {
        Condition::Level { range, .. } => Some(range),
        _ => None,
    }
}

/// A range that leaves no room. What is computed from several readings widens by more than one of them: not compared.
fn narrow(desk: &mut Desk<'_>, control: &Control, limit: &Limit, range: &Range) {
    let [one] = limit.measuring(desk.plan, control)[..] else { return };
    if !limit.parameters().contains(&one.parameter) {
        return;
    }
    let width = || {
        let end = |edge: &Option<crate::plan::limit::EdgeAt>| edge.as_ref()?.at.quantity?.in_unit(one.unit?);
        end(&range.upper)?.minus(end(&range.lower)?)
    };
    let off = one.instrument.zip(one.unit).and_then(|(instrument, unit)| instrument.off_by(unit));
    let Some((width, both)) = width().zip(off.and_then(|off| off.plus(off))) else { return };
    let strict = [&range.lower, &range.upper].into_iter().flatten().any(|edge| edge.strict);
    if width > both || (width == both && !strict) || both <= Rational::ZERO {
        return;
    }
    let Some((instrument, unit)) = one.instrument.zip(one.unit) else { return };
    let number = |value: Rational| value.decimal().unwrap_or_else(|| crate::quantity::plain(value.to_f64(), 6));
    desk.say(
        Finding::at(
            &NARROWER_THAN_ACCURACY,
            limit.condition_loc,
            format!(
                "`{}` leaves {}\u{a0}{} of room, and a reading of `{}` may be off by {}\u{a0}{} over both sides",
                limit.name,
                number(width),
                unit.symbol,
                instrument.name,
                number(both),
                unit.symbol
            ),
        )
        .also(instrument.loc, "the instrument")
        .help("use an instrument that is accurate enough, or widen the range"),
    );
}
