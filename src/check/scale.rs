//! Temperatures on two scales: a limit in °C where everything else about the parameter is in °F, or the other way.

use super::Desk;
use super::limits::{instruments, levels};
use crate::finding::Finding;
use crate::plan::{Condition, Control, Limit};
use crate::quantity::{Dimension, Quantity, Rational, UNITS, plain};

crate::rules! {
    /// A limit gives its temperature on another scale than all the rest that is said of the parameter.
    ///
    /// `38 °C` typed for `38 °F` is a sound limit to look at. Where the parameter, its instrument and the legal value are
    /// all on the other scale, the limit is told on that scale too, so that a slip is seen. The same number on both scales
    /// is a slip for sure.
    OTHER_SCALE = "L210" "other-scale" Note;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in &plan.controls {
        for limit in &control.limits {
            scale(desk, control, limit);
        }
    }
}

/// The same number on the other of the two scales.
fn swapped(level: Quantity) -> Option<Quantity> {
    let other = match level.unit.symbol {
        "°C" => "°F",
        "°F" => "°C",
        _ => return None,
    };
    UNITS.iter().find(|unit| unit.symbol == other).map(|unit| Quantity::new(level.value, unit))
}

/// The same number on the other scale, where it lies within what an instrument reads and the number as written does not.
pub(super) fn other(level: Quantity, bottom: Rational, top: Rational) -> Option<Quantity> {
    swapped(level).filter(|other| other.base().is_some_and(|at| at >= bottom && at <= top))
}

fn scale(desk: &mut Desk<'_>, control: &Control, limit: &Limit) {
    let plan = desk.plan;
    let Some(parameter) = limit.parameters().first().copied() else { return };
    let Some(shown) = plan.parameter(&parameter.text).and_then(|declared| declared.unit.as_ref()) else { return };
    if shown.value.dimension != Dimension::Temperature {
        return;
    }
    let required: Vec<Quantity> =
        limit.shape.required.iter().flat_map(|required| levels(Some(&required.condition))).collect();
    for level in of(limit) {
        let Some(other) = swapped(level) else { continue };
        let twin = required.iter().any(|one| one.unit.symbol == other.unit.symbol && one.value == other.value);
        let ranges = instruments(plan, control, parameter).into_iter().filter_map(|instrument| {
            let (low, _) = instrument.range.as_ref()?;
            low.quantity
        });
        let alone = shown.value.symbol == other.unit.symbol
            && ranges.chain(required.iter().copied()).all(|one| one.unit.symbol != level.unit.symbol);
        if !twin && !alone {
            continue;
        }
        let Some(told) = level.in_unit(other.unit) else { continue };
        let told =
            told.decimal().unwrap_or_else(|| format!("about {}", plain((told.to_f64() * 10.0).round() / 10.0, 6)));
        let message = if twin {
            format!("`{}` says {level}, and the legal value beside it {other}", limit.name)
        } else {
            format!(
                "`{}` says {level}, and everything else about `{parameter}` is in {}",
                limit.name, other.unit.symbol
            )
        };
        let finding = Finding::at(&OTHER_SCALE, limit.condition_loc, message)
            .also(shown.loc, format!("`{parameter}` is shown in {}", shown.value.symbol))
            .help(format!(
                "{level} is {told}\u{a0}{}; if {other} was meant, correct the unit, else write it on the scale of the rest",
                other.unit.symbol
            ));
        desk.say(finding);
        return;
    }
}

/// The temperatures that a limit itself gives; those of a table stand as they were printed.
fn of(limit: &Limit) -> Vec<Quantity> {
    let leaves = limit.leaves();
    leaves
        .into_iter()
        .filter(|leaf| !matches!(leaf, Condition::AnyRow { .. }))
        .flat_map(|leaf| levels(Some(leaf)))
        .collect()
}
