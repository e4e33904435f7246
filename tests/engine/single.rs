//! Samples, attributes plans, checks, events: what they are on a dense truth.

use crate::asked::{Asked, no_interval};
use crate::dense::{above, below};
use crate::measure::{Quantity, Truth};
use crate::plant::{MINUTE, Plant, When};
use crate::random::Random;
use crate::record::LAST;

/// What a typed result allows, in hundredths; nothing if it cannot be read. The flag leaves the upper end out.
fn read(text: &str, hundredths: bool) -> Option<(i64, i64)> {
    let number = |text: &str| if hundredths { text.strip_prefix("0.")?.parse::<i64>().ok() } else { text.parse().ok() };
    match text.strip_prefix('<') {
        Some(rest) => Some((i64::MIN, number(rest)? - 1)),
        None => number(text).map(|n| (n, n)),
    }
}

/// A result that the text allows, near a line.
fn result(r: &mut Random, text: &str, hundredths: bool, line: i64) -> i64 {
    let (low, high) = read(text, hundredths).unwrap_or((line - 9, line + 9));
    r.within(low.max(line - 9).min(high), high.max(low))
}

/// Every result and, where samples are missing, what they may have been.
fn results(r: &mut Random, rows: &[(i64, String)], hundredths: bool, wanted: usize, line: i64) -> Vec<i64> {
    // The same result of the same sample at the same instant is one result.
    let mut rows = rows.to_vec();
    rows.sort();
    rows.dedup();
    let mut list: Vec<i64> = rows.iter().map(|(_, text)| result(r, text, hundredths, line)).collect();
    let mut names: Vec<i64> = rows.iter().map(|(name, _)| *name).collect();
    names.sort_unstable();
    names.dedup();
    for _ in names.len()..wanted {
        list.push(line + r.within(-9, 9));
    }
    list
}

/// `wetness <= 0.85 in every sample, at least 3 per lot`; hundredths throughout.
pub fn every_sample(plant: &Plant, line: i64, wanted: usize, strict: bool) -> Asked {
    let rows = plant.water.clone();
    let sign = if strict { "<" } else { "<=" };
    Asked {
        form: "every sample",
        text: format!("wetness {sign} 0.{line} in every sample, at least {wanted} per lot"),
        leans: [false; 2],
        truth: Box::new(move |r, _| {
            let list = results(r, &rows, true, wanted, line);
            let holds = list.iter().all(|n| if strict { *n < line } else { *n <= line });
            Some(Truth::of(holds, Quantity::Unsettled))
        }),
        holds: no_interval(),
    }
}

/// `colonies n 5, c 2, m 10 cfu/g, M 15 cfu/g`.
pub fn attributes(plant: &Plant, (n, c, m): (usize, usize, i64), big_m: Option<i64>) -> Asked {
    let rows = plant.counts.clone();
    let upper = big_m.map_or_else(String::new, |big| format!(", M {big} cfu/g"));
    Asked {
        form: "attributes plan",
        text: format!("colonies n {n}, c {c}, m {m} cfu/g{upper}"),
        leans: [false; 2],
        truth: Box::new(move |r, _| {
            let list = results(r, &rows, false, n, m);
            let over = list.iter().filter(|count| **count > m).count();
            let holds = over <= c && big_m.is_none_or(|big| list.iter().all(|count| *count <= big));
            Some(Truth::of(holds, Quantity::Unsettled))
        }),
        holds: no_interval(),
    }
}

/// Where a check's answer puts the metal detector: good, bad, or nobody knows.
fn good(word: &str) -> Option<bool> {
    match word {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// `piece is found during cooking`. Between two good checks, none missed, the detector worked.
pub fn checks(plant: &Plant) -> Asked {
    const EVERY: i64 = 10;
    let mut rounds = plant.checks.clone();
    rounds.sort_unstable();
    let window = |at: When, doubt: i64| at.map(|at| (at - doubt, at + doubt));
    let doubt = plant.clocks.doubt();
    let (start, end) = (window(plant.start, doubt), window(plant.end, doubt));
    Asked {
        form: "checks",
        text: "piece is found during cooking".to_owned(),
        leans: [false; 2],
        truth: Box::new(move |r, _| {
            let (start, end) = (start?, end.unwrap_or((start?.0, LAST)));
            let (from, to) = (r.within(start.0, start.1), r.within(end.0, end.1.min(LAST)));
            if from > to {
                return None;
            }
            let luck = r.within(1, 6) as u64;
            let mut state: Vec<bool> = (0..=2 * LAST).map(|_| !r.one_in(luck)).collect();
            for pair in rounds.windows(2) {
                let ((a, first), (b, second)) = (pair[0], pair[1]);
                // Due one interval after the check before, or when the lot began; missed one interval later. What
                // falls due after the lot's end is no check of this lot.
                let due = (a + EVERY).max(start.0);
                let kept = b <= due + EVERY || due > end.1;
                if good(first) == Some(true) && good(second) == Some(true) && kept {
                    state[2 * a as usize + 1..2 * b as usize].fill(true);
                }
            }
            for (at, word) in &rounds {
                if let Some(known) = good(word) {
                    let all = rounds.iter().filter(|(other, _)| other == at).all(|(_, word)| good(word) == Some(known));
                    // Two answers at one instant: either may be so.
                    state[2 * *at as usize] = if all { known } else { r.one_in(2) };
                }
            }
            let holds = state[2 * from as usize..=2 * to as usize].iter().all(|good| *good);
            Some(Truth::of(holds, Quantity::Unsettled))
        }),
        holds: no_interval(),
    }
}

/// The two events of a limit, and whether each stands on the batch record.
pub struct Two {
    pub first: (When, bool),
    pub second: (When, bool),
}

/// A time from one event to another, at least or at most; or the order of two stages.
pub fn events(plant: &Plant, (form, text): (&'static str, String), two: &Two, bound: Option<(bool, i64)>) -> Asked {
    let clocks = plant.clocks;
    let (a, b) = (two.first, two.second);
    Asked {
        form,
        text,
        leans: [false; 2],
        truth: Box::new(move |r, _| {
            // Each time is off by what the writing of its record leaves open; the batch record's clock is off as a whole.
            let coarse = if clocks == crate::plant::Clocks::OneCoarse { 1 } else { 0 };
            let apart = if clocks == crate::plant::Clocks::Two { r.within(-2, 2) } else { 0 };
            let mut at = |(when, batch): (When, bool)| {
                let off = if batch { apart + r.within(-coarse, coarse) } else { 0 };
                Some(when? + off)
            };
            let time = at(b)? - at(a)?;
            let Some((least, line)) = bound else {
                return Some(Truth::of(time >= 0, Quantity::Time(Some(time))));
            };
            // An end before its start contradicts itself: neither answer would be right.
            if time < 0 {
                return None;
            }
            let holds = if least { time >= line } else { time <= line };
            Some(Truth::of(holds, Quantity::Time(Some(time))))
        }),
        holds: Box::new(|verdict, truth, _| {
            let Quantity::Time(Some(time)) = truth.quantity else { return true };
            let time = (time * MINUTE) as f64;
            verdict
                .parts
                .iter()
                .filter_map(|part| part.outcome.as_ref())
                .all(|outcome| below(outcome.extent.least, time) && above(outcome.extent.most, time))
        }),
    }
}
