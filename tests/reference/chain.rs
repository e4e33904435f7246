//! Time in a condition: the longest unbroken stretch and the sum.

use crate::exact::{End, Interval, Q, q};
use crate::rules::Condition;
use crate::timeline::{Piece, Timeline, Window};

/// The lengths of all unbroken chains of elements that pass, in time order. Readings are as long as nought.
fn chains(line: &Timeline, window: Window, passes: &dyn Fn(Element) -> bool) -> Vec<Q> {
    let mut list = Vec::new();
    let mut open: Option<Q> = None;
    for (i, piece) in line.pieces.iter().enumerate() {
        if let Some(part) = window.part(piece) {
            if passes(Element::Piece(piece)) {
                open = Some(open.unwrap_or(q(0)) + part.length());
            } else {
                list.extend(open.take());
            }
        }
        if let Some(reading) = line.readings.get(i)
            && window.holds(reading.at)
        {
            if passes(Element::Reading(reading.hull)) {
                open = Some(open.unwrap_or(q(0)));
            } else {
                list.extend(open.take());
            }
        }
    }
    list.extend(open);
    list
}

enum Element<'a> {
    Piece(&'a Piece),
    Reading(crate::timeline::Hull),
}

fn certain_chains(line: &Timeline, condition: &Condition) -> Vec<Q> {
    // Nothing of an uncovered piece is certain (rules 4 and 5).
    chains(line, line.surest, &|element| match element {
        Element::Piece(piece) => condition.certain(piece.hull),
        Element::Reading(hull) => condition.certain(hull),
    })
}

/// `near`: rule 4, at-least limits let a short edge count towards most as its nearest reading says;
/// at-most limits are charged with it in full.
fn possible_chains(line: &Timeline, condition: &Condition, near: bool) -> Vec<Q> {
    chains(line, line.widest, &|element| match element {
        Element::Piece(piece) if near => condition.possible(piece.hull.or(piece.nearest)),
        Element::Piece(piece) => condition.possible(piece.hull),
        Element::Reading(hull) => condition.possible(hull),
    })
}

fn longest(chains: &[Q]) -> End {
    chains.iter().max().map_or(End::Nothing, |longest| End::Number(*longest))
}

/// Rule 4: with no recorded end the window is never closed, and what follows the last reading can be anything.
fn never_closed(line: &Timeline, most: End) -> End {
    if line.endless { End::Above } else { most }
}

/// Table, held: the longest chain of certain pieces to the longest chain of possible ones.
pub fn stretch(line: &Timeline, condition: &Condition, near: bool) -> Interval {
    let most = longest(&possible_chains(line, condition, near));
    Interval::new(longest(&certain_chains(line, condition)), never_closed(line, most))
}

/// Table, in total: the sum of certain pieces to the sum of possible ones.
pub fn total(line: &Timeline, condition: &Condition, near: bool) -> Interval {
    let sum = |list: Vec<Q>| list.into_iter().fold(q(0), |sum, length| sum + length);
    let most = sum(possible_chains(line, condition, near));
    Interval::new(End::Number(sum(certain_chains(line, condition))), never_closed(line, End::Number(most)))
}
