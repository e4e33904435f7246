//! A random lot: what is on record of it, by parameter, in whole seconds after the midnight of UTC before it.

use crate::exact::{Q, q};
use crate::random::Random;
use crate::record::{Entry, Record};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Nanoseconds.
pub const SECOND: i64 = 1_000_000_000;
/// Readings are promised every minute and may come half a minute late.
pub const EVERY: i64 = 60;
pub const LATE: i64 = 30;
/// By how much the clocks of two records may differ.
pub const ALLOWANCE: i64 = 120;

/// The day of the first lot; each further one is two days later.
pub const FIRST: NaiveDate = NaiveDate::from_ymd_opt(2026, 9, 21).unwrap();
pub const DAYS: i64 = 2 * 86_400;

/// What stands in one cell of a trace. Values are whole numbers of the parameter's unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    Value(i64),
    Broken,
}

/// Start and end of a run, in seconds; nothing where it is not recorded.
pub type Run = (Option<i64>, Option<i64>);

/// The two ends of a window, each known to lie between two seconds; no end where none is recorded.
pub type Window = ((i64, i64), Option<(i64, i64)>);

/// Everything recorded of one lot.
#[derive(Debug, Clone)]
pub struct Lot {
    pub number: i64,
    pub traces: BTreeMap<&'static str, Vec<(i64, Cell)>>,
    /// Runs of the stage: the loads, or the one run of a lot that is not divided.
    pub runs: Vec<Run>,
    pub loads: bool,
    /// Whether start and end stand on another record than the readings.
    pub apart: bool,
    /// Fat in per cent as the register has it.
    pub fat: &'static str,
    pub way: &'static str,
    /// Checks: instant, answer for the piece, answer for the ring; a blank for none.
    pub checks: Vec<(i64, &'static str, &'static str)>,
    /// Start and end of soaking.
    pub soak: Run,
    /// Rows of the register of servings: served, reheat, as typed; nothing for a blank.
    pub served: Vec<(Option<i64>, Served)>,
}

/// A cell of the reheat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Served {
    Blank,
    At(i64),
    Unreadable,
}

/// The traces, and how they move: lowest, highest, widest step.
const TRACES: [(&str, i64, i64, i64); 7] = [
    ("core-1", 60, 80, 4),
    ("core-2", 60, 80, 4),
    ("core-3", 62, 80, 3),
    ("air", -2, 10, 2),
    ("mark", -2, 10, 2),
    ("salt", 1, 10, 1),
    ("water", 1, 12, 1),
];

fn trace(r: &mut Random, (low, high, step): (i64, i64, i64), from: i64, to: i64, off: i64) -> Vec<(i64, Cell)> {
    let mut rows = Vec::new();
    let (tidy, flat) = (r.one_in(2), r.one_in(3));
    let rare = |r: &mut Random, n: u64| !tidy && r.one_in(n);
    let mut value = r.within(low, high);
    let mut at = from + off;
    while at <= to {
        if !rare(r, 40) {
            rows.push((at, Cell::Value(value)));
        }
        if rare(r, 50) {
            rows.push((at, Cell::Value((value + r.within(-1, 1)).clamp(low, high))));
        }
        if rare(r, 70) {
            rows.push((at, Cell::Broken));
        }
        if rare(r, 70) {
            rows.push((at + 20, Cell::Broken));
        }
        at += if rare(r, 30) { EVERY * r.within(2, 5) } else { EVERY };
        let way = if flat { r.within(-1, 1) / r.within(1, 2) } else { r.within(-step, step) };
        value = (value + way).clamp(low, high);
    }
    rows
}

impl Lot {
    pub fn random(r: &mut Random, number: i64, apart: bool) -> Self {
        let begin = r.within(0, 23) * 3600 + r.within(0, 59) * 60;
        let length = if r.one_in(12) { r.within(0, 4) } else { r.within(8, 40) } * 60;
        let (mut runs, loads) = (Vec::new(), r.one_in(3));
        if loads {
            let mut at = begin;
            for _ in 0..r.within(1, 3) {
                let end = at + r.within(4, 14) * 60;
                runs.push(match r.within(0, 19) {
                    0 => (Some(at), None),
                    1 => (None, None),
                    _ => (Some(at), Some(end)),
                });
                at = end + r.within(1, 6) * 60;
            }
        } else {
            let end = (!r.one_in(15)).then_some(begin + length);
            runs.push(if r.one_in(25) { (None, None) } else { (Some(begin), end) });
        }
        let last = runs.iter().filter_map(|run| run.1.or(run.0)).max().unwrap_or(begin + length);
        // Readings begin and end near the run, or well beside it.
        let near = |r: &mut Random| r.within(-2, 4) * 60;
        let mut traces = BTreeMap::new();
        for (name, low, high, step) in TRACES {
            if r.one_in(25) {
                continue;
            }
            let off = if name == "mark" && r.one_in(2) { 20 } else { 0 };
            let (from, to) = (begin - near(r), last + near(r));
            traces.insert(name, trace(r, (low, high, step), from, to, off));
        }
        let soak_end = begin - r.within(-4, 40) * 60;
        let soak = ((!r.one_in(12)).then_some(soak_end - r.within(0, 60) * 60), (!r.one_in(12)).then_some(soak_end));
        Self {
            number,
            traces,
            runs,
            loads,
            apart,
            fat: ["2", "5", "9.9", "10", "10.0", "12", "30", "", "about 10", "-3"][r.within(0, 9) as usize],
            way: ["quick", "quick", "slow", "slow", "", "Quick"][r.within(0, 5) as usize],
            checks: checks(r, begin, last),
            soak,
            served: served(r, last),
        }
    }

    /// Start and end of the whole lot: from the first start to the last end, with no end while a run has none.
    pub fn whole(&self) -> Run {
        let begun = || self.runs.iter().filter(|run| run.0.is_some());
        let end = if begun().any(|run| run.1.is_none()) { None } else { begun().filter_map(|run| run.1).max() };
        (begun().filter_map(|run| run.0).min(), end)
    }

    /// How far an event may lie from what was written, beside readings of the cook record.
    pub fn doubt(&self) -> i64 {
        if self.apart { ALLOWANCE } else { 0 }
    }

    /// A run as the two intervals of its ends, in seconds; nothing where it has not begun.
    pub fn window(&self, run: Run) -> Option<Window> {
        let by = self.doubt();
        Some(((run.0? - by, run.0? + by), run.1.map(|end| (end - by, end + by))))
    }

    /// The rows of a trace as the evaluator takes them.
    pub fn rows(&self, name: &str) -> Vec<Entry> {
        let mut rows: Vec<Entry> = self
            .traces
            .get(name)
            .into_iter()
            .flatten()
            .map(|(at, cell)| Entry {
                at: at * SECOND,
                value: match cell {
                    Cell::Value(value) => Some((*value, *value)),
                    Cell::Broken => None,
                },
            })
            .collect();
        rows.sort_by_key(|row| row.at);
        rows
    }

    /// The fact as a number of per cent.
    pub fn fat(&self) -> Option<Q> {
        let (whole, part) = self.fat.split_once('.').unwrap_or((self.fat, "0"));
        let number = q(whole.parse().ok()?) + Q::new(part.parse().ok()?, 10);
        (number >= q(0)).then_some(number)
    }

    /// The fact as an answer of the plan.
    pub fn way(&self) -> Option<&'static str> {
        ["quick", "slow"].into_iter().find(|way| *way == self.way)
    }
}

/// Rows in a window, so many steps to the unit, joined up to a gap in seconds.
pub fn record(rows: Vec<Entry>, steps: i64, window: Window, gap: i64) -> Record {
    let scaled = |(a, b): (i64, i64)| (a * SECOND, b * SECOND);
    Record {
        rows,
        steps,
        accuracy: 0,
        start: scaled(window.0),
        end: window.1.map(scaled),
        credit_gap: gap * SECOND,
        edge_allowance: (EVERY + LATE) * SECOND,
        tick: SECOND,
    }
}

/// Checks every hour or so around the lot.
fn checks(r: &mut Random, begin: i64, last: i64) -> Vec<(i64, &'static str, &'static str)> {
    let mut list = Vec::new();
    let tidy = r.one_in(2);
    let mut at = begin - r.within(-1, 3) * 1800 - 7;
    while at <= last + 7200 {
        let answer = |r: &mut Random| match r.within(0, if tidy { 3 } else { 30 }) {
            4 => "lost",
            5 => "what",
            6 => "",
            _ => "found",
        };
        let (piece, ring) = (answer(r), answer(r));
        list.push((at, piece, ring));
        if !tidy && r.one_in(30) {
            list.push((at, answer(r), answer(r)));
        }
        at += if !tidy && r.one_in(6) { r.within(45, 140) * 60 + 11 } else { r.within(50, 59) * 60 };
    }
    list
}

fn served(r: &mut Random, last: i64) -> Vec<(Option<i64>, Served)> {
    (0..r.within(0, 3))
        .map(|_| {
            let at = last + r.within(1, 3) * 3600;
            let cell = match r.within(0, 6) {
                0 | 1 => Served::Blank,
                2 => Served::Unreadable,
                _ => Served::At(at),
            };
            ((!r.one_in(3)).then_some(at + 600), cell)
        })
        .collect()
}
