//! The limits of the plan, each beside the rule by which the evaluator judges it.

use super::formulas::{self, STEPS};
use super::lot::Lot;
use super::moments;
use super::shapes::{
    Found, GAP, all, allowed, any, any_row, at_least, at_most, bound, chosen, fat_below, fat_between, guarded, held,
    over, per_load, per_part, per_run, probes, reaches, whole,
};
use crate::exact::q;
use crate::limit::Asked;
use crate::record::Entry;
use crate::rules::{Answer, Condition, answer};

/// How a limit is judged.
pub enum Rule {
    /// From one lot.
    Lot(fn(&Lot) -> Found),
    /// With every other lot of the line.
    Checks,
}

/// Blocks that the limits speak of.
pub const BLOCKS: &str = "\
table by-fat { row >= 70 °C held for 2 min when fat <= 5 %; row >= 72 °C held for 2 min when fat > 10 %; row >= 75 °C held for 2 min otherwise }
table by-way { row >= 76 °C held for 3 min; row >= 68 °C held for 2 min when way is quick; row >= 72 °C held for 1 min when way is slow }
table by-choice { row quick >= 72 °C held for 2 min; row slow >= 66 °C held for 6 min }
parameter gap { unit °C; from air - mark; pairing within 30 s }
parameter share { unit %; from salt / (salt + water); pairing within 1 min }
parameter twist { unit °C; from (gap + air) - (mark - gap); pairing within 30 s }
";

const MINUTE: i64 = 60;

fn air(lot: &Lot) -> Vec<Entry> {
    lot.rows("air")
}

fn some(answer: Answer) -> Found {
    Found::Answer(answer)
}

fn above(value: i64) -> Condition {
    Condition { lower: Some((q(value), true)), upper: None }
}

fn below(value: i64) -> Condition {
    Condition { lower: None, upper: Some((q(value), true)) }
}

/// A held row of a table over the one probe that it is measured with.
fn row(lot: &Lot, value: i64, minutes: i64) -> Answer {
    whole(lot, |window| held(lot.rows("air"), window, at_least(value - 66), minutes * MINUTE))
}

/// A formula's trace in a range, which is given in the evaluator's steps.
fn computed(lot: &Lot, rows: &[formulas::At], condition: Condition) -> Found {
    some(whole(lot, |window| over(formulas::rows(rows), STEPS, window, GAP, Asked::Bound(condition), 0)))
}

/// Warm for at most ten minutes in total.
fn warm(lot: &Lot) -> impl Fn(super::shapes::Window) -> Answer + '_ {
    |window| over(air(lot), 1, window, GAP, Asked::TotalAtMost(above(4)), 8 * MINUTE)
}

/// Held for three minutes.
fn hold(lot: &Lot) -> impl Fn(super::shapes::Window) -> Answer + '_ {
    |window| held(air(lot), window, at_least(4), 3 * MINUTE)
}

fn midnight(lot: &Lot) -> i64 {
    lot.number * super::lot::DAYS
}

/// Each limit as the plan writes it, and its rule.
pub const ALL: &[(&str, Rule)] = &[
    (
        "air <= 4 °C { allow up to 7 °C at a stretch at most 5 min }",
        Rule::Lot(|lot| some(whole(lot, |window| allowed(air(lot), window, at_most(7), above(4), 5 * MINUTE)))),
    ),
    (
        "air > 1 °C { allow down to -1 °C at a stretch at most 3 min }",
        Rule::Lot(|lot| some(whole(lot, |window| allowed(air(lot), window, at_least(-1), at_most(1), 3 * MINUTE)))),
    ),
    (
        "core >= 70 °C held for 3 min { probes 1 of 3 }",
        Rule::Lot(|lot| some(whole(lot, |window| probes(lot, 1, |rows| held(rows, window, at_least(70), 3 * MINUTE))))),
    ),
    (
        "core >= 70 °C held for 3 min { probes 2 of 3 }",
        Rule::Lot(|lot| some(whole(lot, |window| probes(lot, 2, |rows| held(rows, window, at_least(70), 3 * MINUTE))))),
    ),
    (
        "core >= 70 °C held for 3 min",
        Rule::Lot(|lot| some(whole(lot, |window| probes(lot, 3, |rows| held(rows, window, at_least(70), 3 * MINUTE))))),
    ),
    (
        "core <= 78 °C { probes 2 of 3 }",
        Rule::Lot(|lot| some(whole(lot, |window| probes(lot, 2, |rows| bound(rows, window, at_most(78)))))),
    ),
    (
        "core reaches 76 °C { probes 2 of 3 }",
        Rule::Lot(|lot| some(whole(lot, |window| probes(lot, 2, |rows| reaches(rows, window, 76))))),
    ),
    (
        "core >= 66 °C { allow down to 61 °C at a stretch at most 9 min; probes 2 of 3 }",
        Rule::Lot(|lot| {
            some(whole(lot, |window| probes(lot, 2, |rows| allowed(rows, window, at_least(61), below(66), 9 * MINUTE))))
        }),
    ),
    (
        "air <= 6 °C when fat < 10 %",
        Rule::Lot(|lot| guarded(&[fat_below(lot, 10)], || whole(lot, |window| bound(air(lot), window, at_most(6))))),
    ),
    (
        "air <= 8 °C when fat >= 10 %",
        Rule::Lot(|lot| {
            guarded(&[fat_below(lot, 10).map(|below| !below)], || {
                whole(lot, |window| bound(air(lot), window, at_most(8)))
            })
        }),
    ),
    (
        "air <= 7 °C only when fat between 5 % and 12 % and way is quick",
        Rule::Lot(|lot| {
            guarded(&[fat_between(lot, 5, 12), lot.way().map(|way| way == "quick")], || {
                whole(lot, |window| bound(air(lot), window, at_most(7)))
            })
        }),
    ),
    (
        "heat meets any row of by-fat",
        Rule::Lot(|lot| {
            let rows = [
                (fat_below(lot, 5).map(|below| below || fat_between(lot, 5, 5) == Some(true)), row(lot, 70, 2)),
                (fat_between(lot, -1, 10).map(|within| !within), row(lot, 72, 2)),
            ];
            some(any_row(&rows, Some(row(lot, 75, 2))))
        }),
    ),
    (
        "heat meets any row of by-way",
        Rule::Lot(|lot| {
            let is = |name: &str| lot.way().map(|way| way == name);
            let rows = [(Some(true), row(lot, 76, 3)), (is("quick"), row(lot, 68, 2)), (is("slow"), row(lot, 72, 1))];
            some(any_row(&rows, None))
        }),
    ),
    (
        "heat meets the row of by-choice chosen by way",
        Rule::Lot(|lot| some(chosen(lot, row(lot, 72, 2), row(lot, 66, 6)))),
    ),
    (
        "one of { option quick heat >= 72 °C held for 2 min; option slow { heat >= 68 °C held for 4 min; air <= 8 °C } }",
        Rule::Lot(|lot| {
            let slow = all([row(lot, 68, 4), whole(lot, |window| bound(air(lot), window, at_most(8)))]);
            some(any([row(lot, 72, 2), slow]))
        }),
    ),
    (
        "one of chosen by way { option quick heat >= 72 °C held for 2 min; option slow { heat >= 68 °C held for 4 min; air <= 8 °C } }",
        Rule::Lot(|lot| {
            let slow = all([row(lot, 68, 4), whole(lot, |window| bound(air(lot), window, at_most(8)))]);
            some(chosen(lot, row(lot, 72, 2), slow))
        }),
    ),
    (
        "all of { heat >= 68 °C held for 2 min; air <= 9 °C; mark >= -1 °C }",
        Rule::Lot(|lot| {
            let level = |rows: Vec<Entry>, condition| whole(lot, |window| bound(rows.clone(), window, condition));
            some(all([row(lot, 68, 2), level(air(lot), at_most(9)), level(lot.rows("mark"), at_least(-1))]))
        }),
    ),
    (
        "gap between -6 °C and 6 °C",
        Rule::Lot(|lot| {
            computed(lot, &formulas::gap(lot), Condition { lower: Some((q(-6), false)), upper: Some((q(6), false)) })
        }),
    ),
    ("share <= 75 %", Rule::Lot(|lot| computed(lot, &formulas::share(lot), at_most(75)))),
    (
        "share >= 25 % held for 4 min",
        Rule::Lot(|lot| {
            let rows = formulas::rows(&formulas::share(lot));
            some(whole(lot, |window| over(rows.clone(), STEPS, window, GAP, Asked::Held(at_least(25)), 4 * MINUTE)))
        }),
    ),
    ("twist <= 22 °C", Rule::Lot(|lot| computed(lot, &formulas::twist(lot), at_most(22)))),
    ("salt / water <= 3", Rule::Lot(|lot| computed(lot, &formulas::ratio(lot), at_most(3)))),
    (
        "air <= mark + 5 °C { pairing within 20 s }",
        Rule::Lot(|lot| {
            let pair =
                formulas::paired(&formulas::recorded(lot, "air"), &formulas::recorded(lot, "mark"), 20, |a, b| {
                    formulas::corners('-', a, b)
                });
            computed(lot, &pair, at_most(5))
        }),
    ),
    (
        "mark >= air - 6 °C { pairing within 10 s }",
        Rule::Lot(|lot| {
            let pair =
                formulas::paired(&formulas::recorded(lot, "mark"), &formulas::recorded(lot, "air"), 10, |a, b| {
                    formulas::corners('-', a, b)
                });
            computed(lot, &pair, at_least(-6))
        }),
    ),
    ("air >= 4 °C held for 3 min { judged per load }", Rule::Lot(|lot| some(per_load(lot, hold(lot))))),
    ("air >= 4 °C held for 3 min { judged per cooking }", Rule::Lot(|lot| some(per_run(lot, hold(lot))))),
    ("air >= 4 °C held for 3 min { judged per day }", Rule::Lot(|lot| per_part(lot, midnight(lot), false, hold(lot)))),
    ("air >= 4 °C held for 3 min { judged per shift }", Rule::Lot(|lot| per_part(lot, midnight(lot), true, hold(lot)))),
    ("air above 4 °C in total at most 8 min { judged per lot }", Rule::Lot(|lot| some(whole(lot, warm(lot))))),
    ("air above 4 °C in total at most 8 min { judged per load }", Rule::Lot(|lot| some(per_load(lot, warm(lot))))),
    (
        "air above 4 °C in total at most 8 min { judged per day }",
        Rule::Lot(|lot| per_part(lot, midnight(lot), false, warm(lot))),
    ),
    (
        "air above 4 °C in total at most 8 min { judged per shift }",
        Rule::Lot(|lot| per_part(lot, midnight(lot), true, warm(lot))),
    ),
    ("piece is found and ring is found during cooking", Rule::Checks),
    (
        "from soak-end to cook-start within 15 min",
        Rule::Lot(|lot| some(moments::soaked_at_most(lot, |least, most| answer(most <= 900, least > 900)))),
    ),
    (
        "from soak-end to cook-start at least 10 min",
        Rule::Lot(|lot| some(moments::soaked_at_least(lot, |least, most| answer(least >= 600, most < 600)))),
    ),
    (
        "from soak-end to cook-start in less than 20 min",
        Rule::Lot(|lot| some(moments::soaked_at_most(lot, |least, most| answer(most < 1200, least >= 1200)))),
    ),
    ("soaking lasts at least 20 min", Rule::Lot(|lot| some(moments::soaking_lasts(lot, 1200)))),
    ("cooking lasts at most 20 min", Rule::Lot(|lot| moments::cooking_lasts(lot, 1200).map_or(Found::Skipped, some))),
    ("soaking ends before cooking begins", Rule::Lot(|lot| some(moments::soaked_first(lot)))),
    (
        "reheat at most 1 time per lot",
        Rule::Lot(|lot| {
            let (fewest, most) = moments::reheats(lot);
            some(answer(most.is_some_and(|most| most <= 1), fewest > 1))
        }),
    ),
    (
        "reheat at least 2 times per lot",
        Rule::Lot(|lot| {
            let (fewest, most) = moments::reheats(lot);
            some(answer(fewest >= 2, most.is_some_and(|most| most < 2)))
        }),
    ),
];
