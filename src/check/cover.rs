//! Do guards cover every answer and every value? Exact: the number line is cut where a guard has an end.

use crate::plan::limit::{EdgeAt, may_be_negative};
use crate::plan::{FactTest, Guard, Plan, Range, Wanted};
use crate::quantity::{Quantity, Rational, Unit};

/// More combinations than this are not tried; no plan that a person reads has as many.
const MOST: usize = 20_000;

/// One thing that a fact may be.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Cell {
    /// This answer.
    Answer(String),
    /// Every number between two ends that no guard cuts; an end that is left out is `None` or open.
    Between(Option<Rational>, Option<Rational>),
    /// This number alone.
    Exactly(Rational),
}

/// A fact and all that it may be.
struct Axis {
    fact: String,
    unit: Option<Unit>,
    cells: Vec<Cell>,
}

/// Which lots no guard is for, each in words; `None` where a guard is blank or names what is not declared.
pub(super) fn uncovered(plan: &Plan, guards: &[&Guard]) -> Option<Vec<String>> {
    let mut facts: Vec<&str> = Vec::new();
    for name in guards.iter().flat_map(|guard| guard.names()) {
        if !facts.contains(&name.text.as_str()) {
            facts.push(&name.text);
        }
    }
    let axes: Vec<Axis> = facts.into_iter().map(|fact| axis(plan, fact, guards)).collect::<Option<_>>()?;
    if axes.iter().try_fold(1_usize, |all, axis| all.checked_mul(axis.cells.len())).is_none_or(|all| all > MOST) {
        return None;
    }
    let mut picks: Vec<Vec<usize>> = vec![Vec::new()];
    for axis in &axes {
        picks = picks
            .iter()
            .flat_map(|pick| (0..axis.cells.len()).map(move |at| pick.iter().copied().chain([at]).collect()))
            .collect();
    }
    picks.retain(|pick| !guards.iter().any(|guard| holds(guard, &axes, pick)));
    Some(words(&axes, picks))
}

/// The lots that are left out, in one line.
pub(super) fn listed(left: &[String]) -> String {
    const SHOWN: usize = 4;
    let mut text = left.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join(", or ");
    if let Some(more) = left.len().checked_sub(SHOWN).filter(|more| *more > 0) {
        text.push_str(&format!(", and {more} more"));
    }
    text
}

fn axis(plan: &Plan, fact: &str, guards: &[&Guard]) -> Option<Axis> {
    let declared = plan.parameter(fact)?;
    if !declared.answers.is_empty() {
        let cells = declared.answers.iter().map(|answer| Cell::Answer(answer.text.clone())).collect();
        return Some(Axis { fact: fact.to_owned(), unit: None, cells });
    }
    let unit = declared.unit.as_ref()?.value;
    let mut cuts: Vec<Rational> = Vec::new();
    for test in guards.iter().flat_map(|guard| &guard.facts).filter(|test| test.fact.text == fact) {
        let Wanted::Within(range) = &test.wanted else { return None };
        for edge in [&range.lower, &range.upper].into_iter().flatten() {
            cuts.push(edge.at.quantity.filter(|at| at.dimension() == unit.dimension)?.base()?);
        }
    }
    let floor = (!may_be_negative(unit.dimension)).then_some(Rational::ZERO);
    if let Some(floor) = floor {
        cuts.retain(|cut| *cut >= floor);
        cuts.push(floor);
    }
    cuts.sort_unstable();
    cuts.dedup();
    let mut cells = Vec::new();
    if floor.is_none() {
        cells.push(Cell::Between(None, cuts.first().copied()));
    }
    for (index, cut) in cuts.iter().enumerate() {
        cells.push(Cell::Exactly(*cut));
        cells.push(Cell::Between(Some(*cut), cuts.get(index + 1).copied()));
    }
    Some(Axis { fact: fact.to_owned(), unit: Some(unit), cells })
}

fn holds(guard: &Guard, axes: &[Axis], pick: &[usize]) -> bool {
    guard.facts.iter().all(|test| {
        axes.iter()
            .zip(pick)
            .find(|(axis, _)| axis.fact == test.fact.text)
            .and_then(|(axis, at)| axis.cells.get(*at))
            .is_some_and(|cell| inside(test, cell))
    })
}

/// Whether a cell lies in what is asked for: it never lies across an end.
fn inside(test: &FactTest, cell: &Cell) -> bool {
    match (&test.wanted, cell) {
        (Wanted::Answer(answer), Cell::Answer(is)) => answer.text == *is,
        (Wanted::Within(range), cell) => above(range, cell) && below(range, cell),
        _ => false,
    }
}

fn value(edge: &EdgeAt) -> Option<Rational> {
    edge.at.quantity?.base()
}

fn above(range: &Range, cell: &Cell) -> bool {
    let Some(edge) = &range.lower else { return true };
    let Some(limit) = value(edge) else { return false };
    match cell {
        Cell::Exactly(at) => *at > limit || *at == limit && !edge.strict,
        Cell::Between(from, _) => from.is_some_and(|from| from >= limit),
        Cell::Answer(_) => false,
    }
}

fn below(range: &Range, cell: &Cell) -> bool {
    let Some(edge) = &range.upper else { return true };
    let Some(limit) = value(edge) else { return false };
    match cell {
        Cell::Exactly(at) => *at < limit || *at == limit && !edge.strict,
        Cell::Between(_, to) => to.is_some_and(|to| to <= limit),
        Cell::Answer(_) => false,
    }
}

/// Combinations in words; neighbouring cells of the last fact are told as one stretch.
fn words(axes: &[Axis], picks: Vec<Vec<usize>>) -> Vec<String> {
    let mut out = Vec::new();
    let mut picks = picks.into_iter().peekable();
    while let Some(pick) = picks.next() {
        let mut last = pick.clone();
        while let Some(next) = picks.peek() {
            let (Some((a, head)), Some((b, other))) = (last.split_last(), next.split_last()) else { break };
            let numeric = axes.last().is_some_and(|axis| axis.unit.is_some());
            if !numeric || head != other || *b != a + 1 {
                break;
            }
            last = next.clone();
            picks.next();
        }
        let parts: Vec<String> = axes
            .iter()
            .zip(pick.iter().zip(&last))
            .filter_map(|(axis, (from, to))| Some(stretch(axis, axis.cells.get(*from)?, axis.cells.get(*to)?)))
            .collect();
        out.push(parts.join(" and "));
    }
    out
}

fn stretch(axis: &Axis, from: &Cell, to: &Cell) -> String {
    let shown = |at: Rational| {
        axis.unit
            .and_then(|unit| Some(Quantity::new(unit.point_from_base(at)?, unit).to_string()))
            .unwrap_or_else(|| at.to_string())
    };
    let fact = &axis.fact;
    if let Cell::Answer(answer) = from {
        return format!("`{fact}` is {answer}");
    }
    if let (Cell::Exactly(a), Cell::Exactly(b)) = (from, to)
        && a == b
    {
        return format!("`{fact}` is exactly {}", shown(*a));
    }
    let low = match from {
        Cell::Exactly(at) => Some(format!("at least {}", shown(*at))),
        Cell::Between(Some(at), _) => Some(format!("above {}", shown(*at))),
        _ => None,
    };
    let high = match to {
        Cell::Exactly(at) => Some(format!("at most {}", shown(*at))),
        Cell::Between(_, Some(at)) => Some(format!("below {}", shown(*at))),
        _ => None,
    };
    match (low, high) {
        (Some(low), Some(high)) => format!("`{fact}` is {low} and {high}"),
        (Some(one), None) | (None, Some(one)) => format!("`{fact}` is {one}"),
        (None, None) => format!("`{fact}` is any number"),
    }
}
