//! Checks with closed answers.

use super::delimited::text;
use super::mapping::Column;
use super::rules;
use super::taking::Taking;
use crate::finding::Finding;
use crate::source::{Cell, Place};
use crate::time::Instant;

/// One entry of a check with closed answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// The record of the plan.
    pub record: String,
    /// The parameter of the plan.
    pub parameter: String,
    /// The lot, where the row names one.
    pub lot: Option<String>,
    /// The place, where the mapping names one.
    pub place: Option<String>,
    /// When.
    pub at: Instant,
    /// The smallest step of time that the record can tell apart, in nanoseconds.
    pub resolution: i64,
    /// The answer by its name in the mapping; `None` where the word is not among the declared ones and shows nothing.
    pub answer: Option<String>,
    /// Initials, where the mapping names their column.
    pub by: Option<String>,
    /// Where it stands.
    pub cell: Cell,
}

/// The answer that a word stands for; an unknown word is reported and stands for none.
pub(crate) fn answer(
    answers: &[(String, Vec<String>)],
    column: &Column,
    cell: &[u8],
    row: u64,
    taking: &mut Taking,
) -> Option<String> {
    let shown = text(cell);
    let word = shown.to_lowercase();
    let found = answers.iter().find(|(_, words)| words.contains(&word)).map(|(answer, _)| answer.clone());
    if found.is_none() {
        taking.read.broken_cells += 1;
        let heading = &column.heading;
        taking.tally.hit(&rules::ANSWER_UNKNOWN, heading, row, || {
            let known: Vec<String> =
                answers.iter().flat_map(|(_, words)| words).map(|word| format!("`{word}`")).collect();
            (
                format!("`{shown}` in column `{heading}` is not among the declared answers"),
                Some(format!("the words declared for it are {}", known.join(", "))),
            )
        });
    }
    found
}

/// Puts checks in order; equal ones once; different answers at one instant are reported and both kept.
pub(crate) fn order(checks: &mut Vec<Check>, findings: &mut Vec<Finding>) {
    checks.sort_by(|a, b| {
        (a.at, &a.record, &a.parameter, &a.lot, &a.place, &a.answer, &a.cell).cmp(&(
            b.at,
            &b.record,
            &b.parameter,
            &b.lot,
            &b.place,
            &b.answer,
            &b.cell,
        ))
    });
    let same = |a: &Check, b: &Check| {
        a.at == b.at && a.record == b.record && a.parameter == b.parameter && a.lot == b.lot && a.place == b.place
    };
    checks.dedup_by(|b, a| same(a, b) && a.answer == b.answer);
    for pair in checks.windows(2) {
        if let [a, b] = pair
            && same(a, b)
        {
            let words = |check: &Check| check.answer.clone().unwrap_or_else(|| "an unknown word".to_owned());
            let message = format!(
                "`{}` has two answers at one instant: {} in row {} and {} in row {}",
                b.parameter,
                words(a),
                a.cell.row,
                words(b),
                b.cell.row
            );
            let place = Place::Cell(b.cell.clone());
            findings.push(
                Finding::new(&rules::TWO_VALUES, place, message).with(Place::Cell(a.cell.clone()), "the other answer"),
            );
        }
    }
}
