//! One worked example per form, in numbers that can be done with a pencil.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

use super::*;
use crate::quantity::{Cut, Rational};
use crate::verdict::Verdict;

mod clock;
mod rate;
mod restart;
mod time;
mod value;

const MIN: i64 = 60_000_000_000;

pub(super) fn cut(text: &str) -> Cut {
    Cut::new(Rational::parse(text).unwrap())
}

pub(super) fn at_most(text: &str) -> Condition {
    Condition::exact(Band::up_to(Edge::inclusive(cut(text))))
}

pub(super) fn at_least(text: &str) -> Condition {
    Condition::exact(Band::from(Edge::inclusive(cut(text))))
}

pub(super) fn below(text: &str) -> Condition {
    Condition::exact(Band::up_to(Edge::strict(cut(text))))
}

pub(super) fn above(text: &str) -> Condition {
    Condition::exact(Band::from(Edge::strict(cut(text))))
}

/// Rows every `step` minutes from minute nought.
pub(super) fn every(step: i64, values: &[f64]) -> Vec<Row> {
    values.iter().zip(0..).map(|(value, i)| Row::reading(i * step * MIN, *value)).collect()
}

/// Readings up to 12.5 min apart are joined; an edge of up to 6 min may stay uncovered.
const SAMPLING: Sampling = Sampling { credit_gap: 12 * MIN + MIN / 2, edge_allowance: 6 * MIN };

pub(super) fn window(from: i64, to: i64) -> Window {
    Window::exact(from * MIN, to * MIN)
}

pub(super) fn minutes(outcome: &Outcome) -> (Option<f64>, Option<f64>) {
    let scale = |end: End| end.number().map(|time| time / MIN as f64);
    (scale(outcome.extent.least), scale(outcome.extent.most))
}

pub(super) fn verdict(form: Form<'_>, from: i64, to: i64, rows: &[Row]) -> Verdict {
    judge(form, window(from, to), SAMPLING, rows.iter().copied()).verdict
}
