//! Limits that stand beside another limit or parameter, and parameters made from two others.
//!
//! What `core-hold + 3 °C` or `indicator` stands for is known only once the whole plan is read.

use super::condition::Condition;
use super::limit::{EdgeAt, Measured, Range, RangeForm};
use super::{Expression, Formula, Name, Parameter, Plan, Said};
use crate::finding::Finding;
use crate::plan::names::UNRESOLVED;
use crate::quantity::{Quantity, Rational, Unit, UnitDef};
use std::collections::HashMap;

crate::rules! {
    /// A limit stands beside another one that gives no single value.
    ///
    /// An offset needs a value to be added to: a limit with one bound, such as `>= 72 °C`.
    NO_SINGLE_VALUE = "L104" "no-single-value" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// Two parameters stand side by side in two limits, each with a pairing of its own.
    ///
    /// Side by side they are one computed value, and it has one pairing.
    TWO_PAIRINGS = "L110" "two-pairings" Error;
    /// A limit states a pairing, and no two parameters stand side by side in it.
    NOTHING_TO_PAIR = "L111" "nothing-to-pair" Error;
    /// A row of a table stands beside a limit or a parameter.
    ///
    /// A table holds figures that were published; what moves with another limit is a limit of its own.
    BESIDE_IN_ROW = "L112" "beside-in-row" Error;
}

/// A parameter computed from two others; its unit is settled by [`settle`].
pub(super) fn paired(name: Name, left: Name, sign: char, right: Name) -> Parameter {
    Parameter {
        loc: name.loc,
        name,
        title: None,
        unit: None,
        answers: Vec::new(),
        formula: Some(Formula::Arithmetic(Expression::pair(Expression::Value(left), sign, Expression::Value(right)))),
        pairing: None,
        probes: Vec::new(),
        recorded: None,
    }
}

/// Gives paired parameters their unit, and limits beside something their value.
pub(super) fn settle(plan: &mut Plan, findings: &mut Vec<Finding>) {
    let values = limit_values(plan);
    let mut made: Vec<Parameter> = Vec::new();
    let known: HashMap<String, Option<Unit>> = plan
        .parameters
        .iter()
        .map(|parameter| (parameter.name.text.clone(), parameter.unit.as_ref().map(|unit| unit.value)))
        .collect();
    for control in &mut plan.controls {
        for limit in &mut control.limits {
            for condition in limit.condition.iter_mut().chain(limit.shape.conditions_mut()) {
                beside(condition, &values, &known, &mut made, findings);
            }
        }
    }
    for row in plan.tables.iter().flat_map(|table| &table.rows) {
        if let RangeForm::Beside { other, .. } = &row.range.form {
            findings.push(
                Finding::at(&BESIDE_IN_ROW, row.range.loc, format!("a row of a table cannot stand beside `{other}`"))
                    .help("write the figure itself, or an option of `one of` in the limit"),
            );
        }
    }
    pairings(plan, &mut made, findings);
    for parameter in made {
        if plan.parameter(&parameter.name.text).is_none() {
            plan.parameters.push(parameter);
        }
    }
    let units: HashMap<String, Unit> = plan
        .parameters
        .iter()
        .filter_map(|parameter| Some((parameter.name.text.clone(), parameter.unit.as_ref()?.value)))
        .collect();
    for parameter in &mut plan.parameters {
        let Some(Formula::Arithmetic(Expression::Pair { left, sign, .. })) = &parameter.formula else { continue };
        if parameter.unit.is_none() && parameter.name.text.contains(' ') {
            let unit = match left.as_ref() {
                _ if *sign == '/' => UnitDef::find("ratio"),
                Expression::Value(left) => units.get(&left.text).copied(),
                Expression::Pair { .. } => None,
            };
            parameter.unit = unit.map(|value| Said { value, loc: parameter.loc });
        }
    }
}

/// Hands the pairing that a limit states on to the parameters that its condition pairs.
fn pairings(plan: &mut Plan, made: &mut [Parameter], findings: &mut Vec<Finding>) {
    for limit in plan.controls.iter().flat_map(|control| &control.limits) {
        let Some(pairing) = &limit.pairing else { continue };
        let mut handed_on = false;
        for parameter in made.iter_mut().chain(&mut plan.parameters) {
            let own = parameter.name.text.contains(' ') && limit.parameters().contains(&&parameter.name);
            if !own {
                continue;
            }
            handed_on = true;
            match &parameter.pairing {
                Some(other) if other.nanoseconds() != pairing.nanoseconds() => findings.push(
                    Finding::at(&TWO_PAIRINGS, pairing.loc, format!("`{}` is paired in two ways", parameter.name))
                        .also(other.loc, "the other way")
                        .help("state one pairing wherever the two parameters stand side by side"),
                ),
                _ => parameter.pairing = Some(pairing.clone()),
            }
        }
        if !handed_on {
            findings.push(
                Finding::at(&NOTHING_TO_PAIR, pairing.loc, format!("`{}` pairs nothing", limit.name)).help(
                    "write it in the block of the computed parameter, or where two parameters stand side by side",
                ),
            );
        }
    }
}

/// The single value of each limit that has one.
fn limit_values(plan: &Plan) -> HashMap<String, Option<Measured>> {
    let mut values = HashMap::new();
    for limit in plan.controls.iter().flat_map(|control| &control.limits) {
        let value = match &limit.condition {
            Some(Condition::Level { range: Range { lower, upper, .. }, .. }) => match (lower, upper) {
                (Some(EdgeAt { at, .. }), None) | (None, Some(EdgeAt { at, .. })) => Some(at.clone()),
                _ => None,
            },
            Some(Condition::Reaches { at, .. }) => Some(at.clone()),
            _ => None,
        };
        values.insert(limit.name.text.clone(), value);
    }
    values
}

/// Settles a condition, or each part of a group.
fn beside(
    condition: &mut Condition,
    values: &HashMap<String, Option<Measured>>,
    known: &HashMap<String, Option<Unit>>,
    made: &mut Vec<Parameter>,
    findings: &mut Vec<Finding>,
) {
    let (parameter, range) = match condition {
        Condition::Level { parameter, range, .. } => (parameter, range),
        Condition::Any(options) | Condition::Chosen { options, .. } => {
            options.iter_mut().for_each(|(_, one)| beside(one, values, known, made, findings));
            return;
        }
        Condition::All(parts) => {
            parts.iter_mut().for_each(|one| beside(one, values, known, made, findings));
            return;
        }
        _ => return,
    };
    let RangeForm::Beside { other, offset, minus, .. } = &range.form else { return };
    let by = offset
        .as_ref()
        .and_then(|offset| offset.quantity)
        .map(|by| if *minus { Quantity::new(Rational::ZERO.minus(by.value).unwrap_or(by.value), by.unit) } else { by });
    let value = match values.get(&other.text) {
        Some(Some(value)) => value.quantity.and_then(|value| {
            let Some(by) = by else { return Some(value) };
            let by = value.unit.difference_from_base(by.base_difference()?)?;
            Some(Quantity::new(value.value.plus(by)?, value.unit))
        }),
        Some(None) => {
            findings.push(
                Finding::at(&NO_SINGLE_VALUE, other.loc, format!("limit `{other}` gives no single value"))
                    .help("name a limit with one bound, or write the value itself"),
            );
            None
        }
        None if known.contains_key(&other.text) => {
            let unit = known.get(&parameter.text).copied().flatten();
            let both = Name { text: format!("{parameter} - {other}"), loc: parameter.loc };
            made.push(paired(both.clone(), parameter.clone(), '-', other.clone()));
            *parameter = both;
            match by {
                Some(by) => unit
                    .filter(|unit| unit.dimension == by.dimension())
                    .and_then(|unit| Some(Quantity::new(unit.difference_from_base(by.base_difference()?)?, unit))),
                None => unit.map(|unit| Quantity::new(Rational::ZERO, unit)),
            }
        }
        None => {
            findings.push(
                Finding::at(&UNRESOLVED, other.loc, format!("no limit or parameter is called `{other}`"))
                    .help("name a limit of this plan, a parameter, or write a value"),
            );
            None
        }
    };
    for edge in [&mut range.lower, &mut range.upper].into_iter().flatten() {
        edge.at.quantity = value;
        edge.at.unit = value.map(|value| value.unit);
        edge.at.number = value.map(|value| value.value).or(edge.at.number);
    }
}
