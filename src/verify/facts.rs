//! Facts about the lot: what the register says, and which limits and rows it makes count.

use crate::log::Lot;
use crate::plan::{FactTest, Guard, Plan, Range, TableRow, Wanted};
use crate::quantity::{Dimension, Quantity, Rational};

/// Whether the facts about a lot make a limit count; `None` where one is not recorded.
///
/// An answer that the plan does not know, a cell that is no number and a number that nothing can have count as not
/// recorded: they say nothing about the lot.
pub(super) fn guarded(plan: &Plan, guard: &Guard, lot: &Lot) -> Option<bool> {
    let mut known = Some(true);
    for test in &guard.facts {
        match holds(plan, test, lot) {
            Some(false) => return Some(false),
            Some(true) => {}
            None => known = None,
        }
    }
    known
}

fn holds(plan: &Plan, test: &FactTest, lot: &Lot) -> Option<bool> {
    match &test.wanted {
        Wanted::Answer(answer) => Some(answered(plan, &test.fact.text, lot)? == answer.text),
        Wanted::Within(range) => lies_in(range, number(plan, &test.fact.text, lot)?),
    }
}

/// The recorded answer, if the plan knows it.
pub(super) fn answered<'l>(plan: &Plan, fact: &str, lot: &'l Lot) -> Option<&'l str> {
    let (_, said) = lot.facts.iter().find(|(name, _)| name == fact)?;
    let declared = plan.parameter(fact)?;
    declared.answers.iter().any(|answer| answer.text == *said).then_some(said)
}

/// The recorded number in the unit of its parameter.
fn number(plan: &Plan, fact: &str, lot: &Lot) -> Option<Quantity> {
    let unit = plan.parameter(fact)?.unit.as_ref()?.value;
    let value = *lot.numbers.get(fact)?;
    (!value.is_negative() || may_be_negative(unit.dimension)).then(|| Quantity::new(value, unit))
}

/// Whether a value of this dimension can lie below nought.
fn may_be_negative(dimension: Dimension) -> bool {
    crate::plan::limit::may_be_negative(dimension)
}

/// Whether a number lies in a range, exactly; `None` while the range is blank.
fn lies_in(range: &Range, value: Quantity) -> Option<bool> {
    let at = value.base()?;
    let mut inside = true;
    for (edge, lower) in [(&range.lower, true), (&range.upper, false)] {
        let Some(edge) = edge else { continue };
        let limit: Rational = edge.at.quantity.filter(|one| one.dimension() == value.dimension())?.base()?;
        inside &= if at == limit { !edge.strict } else { (at > limit) == lower };
    }
    Some(inside)
}

/// How the rows of a table stand for a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// It counts.
    Counts,
    /// It does not.
    Out,
    /// A fact that would decide is not recorded.
    Open,
}

/// How each row of a table stands for a lot.
///
/// A row `otherwise` counts where no other row with a guard does, and alone where a fact that would pick the row is
/// not recorded.
pub(super) fn standing(plan: &Plan, rows: &[TableRow], lot: &Lot) -> Vec<Standing> {
    let mut all: Vec<Standing> = rows
        .iter()
        .map(|row| match row.guard.as_ref().map(|guard| guarded(plan, guard, lot)) {
            None | Some(Some(true)) => Standing::Counts,
            Some(Some(false)) => Standing::Out,
            Some(None) => Standing::Open,
        })
        .collect();
    let picked = rows.iter().zip(&all).any(|(row, one)| row.guard.is_some() && *one == Standing::Counts);
    let default = rows.iter().any(|row| row.otherwise);
    for (row, one) in rows.iter().zip(&mut all) {
        if row.otherwise {
            *one = if picked { Standing::Out } else { Standing::Counts };
        } else if default && !picked && *one == Standing::Open {
            *one = Standing::Out;
        }
    }
    all
}
