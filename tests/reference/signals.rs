//! Random dense signals for a general-purpose monitor, and what the engine says of a few readings of them.
//!
//! A signal has a value at every tick. The engine sees only some of the ticks, and each reading off by
//! at most the accuracy; `stl.py` gives the whole signal to the monitor. Thresholds lie between two
//! steps of value, so that no value equals one. Set `BOURN_SIGNALS` to a path to have them written there.

use crate::engine::judge;
use crate::exact::{Q, q};
use crate::limit::{Asked, FORMS, Limit};
use crate::random::Random;
use crate::record::{Entry, Record};
use crate::rules::Condition;
use std::fmt::Write;

const LAST: i64 = 48;
const TICK: i64 = 60_000_000_000;
const STEPS: i64 = 4;

/// Every tick read, exactly; or some of the ticks, or some with an accuracy.
fn signal(r: &mut Random, complete: bool) -> (Vec<i64>, Record) {
    let every = if complete { 1 } else { r.within(2, 5) };
    let accuracy = if !complete && r.one_in(3) { r.within(1, 2) } else { 0 };
    let stride = r.within(1, 8);
    let mut values = vec![r.within(20, 80)];
    for _ in 0..LAST {
        let step = r.within(-stride, stride);
        values.push((values[values.len() - 1] + step).clamp(0, 100));
    }
    let mut read = vec![0];
    let mut at = 0;
    while at < LAST {
        // A reading that was missed once leaves a gap in which the signal runs free.
        at = (at + if !complete && r.one_in(8) { every * 4 } else { every }).min(LAST);
        read.push(at);
    }
    for pair in read.windows(2) {
        if pair[1] - pair[0] <= every * 2 {
            // The promise of a joined pair: the value stays between the two.
            let (a, b) = (values[pair[0] as usize], values[pair[1] as usize]);
            for value in &mut values[pair[0] as usize..pair[1] as usize] {
                *value = (*value).clamp(a.min(b), a.max(b));
            }
        }
    }
    let row = |at: &i64| {
        let reading = values[*at as usize] + r.within(-accuracy, accuracy);
        Entry { at: at * TICK, value: Some((reading, reading)) }
    };
    let rows = read.iter().map(row).collect();
    let record = Record {
        rows,
        steps: STEPS,
        accuracy,
        start: (0, 0),
        end: Some((LAST * TICK, LAST * TICK)),
        credit_gap: every * 2 * TICK,
        edge_allowance: every * TICK,
        tick: TICK,
    };
    (values, record)
}

/// One limit: its name for the monitor, thresholds in half steps, a time in ticks.
fn limit(r: &mut Random, name: &str, values: &[i64]) -> (Limit, Option<i64>, Option<i64>, i64) {
    let mut sorted = values.to_vec();
    sorted.sort();
    let pick = |r: &mut Random, low: i64, high: i64| 2 * sorted[r.within(low, high) as usize] + 1;
    let (lower, upper, time) = match name {
        "at-most" => (None, Some(pick(r, LAST - 4, LAST)), 0),
        "at-least" => (Some(pick(r, 0, 4) - 2), None, 0),
        "range" => (Some(pick(r, 0, 2) - 2), Some(pick(r, LAST - 2, LAST)), 0),
        "never" => {
            let low = 2 * r.within(0, 100) + 1;
            (Some(low), Some(low + 2 * r.within(1, 8)), 0)
        }
        "held" => (Some(pick(r, 10, LAST)), None, r.within(0, 12)),
        "stretch" => (Some(pick(r, 10, LAST)), None, r.within(0, 12)),
        _ => (Some(pick(r, 20, LAST)), None, r.within(0, LAST)),
    };
    let edge = |half: i64| (Q::new(half.into(), i128::from(2 * STEPS)), false);
    let condition = Condition { lower: lower.map(edge), upper: upper.map(edge) };
    let (form, asked) = match name {
        "at-most" | "at-least" | "range" => ("bound", Asked::Bound(condition)),
        "never" => ("never", Asked::Never(condition)),
        "held" => ("held", Asked::Held(condition)),
        "stretch" => ("stretch at most", Asked::StretchAtMost(condition)),
        _ => ("reached within", Asked::Reached(condition)),
    };
    let form = FORMS.iter().position(|other| *other == form).unwrap();
    (Limit { form, asked, threshold: q(time * TICK), strict: false }, lower, upper, time)
}

const NAMES: [&str; 7] = ["at-most", "at-least", "range", "never", "held", "stretch", "reached"];

fn cases(seed: u64, count: usize) -> (String, [[usize; 3]; 7]) {
    let mut r = Random(seed);
    let mut text = String::from("case,form,complete,lower,upper,time,last,verdict,samples\n");
    let mut counts = [[0; 3]; 7];
    for case in 0..count {
        let kind = case % NAMES.len();
        let complete = r.one_in(3);
        let (values, record) = signal(&mut r, complete);
        let (limit, lower, upper, time) = limit(&mut r, NAMES[kind], &values);
        let verdict = judge(&limit, &record).verdict;
        counts[kind][verdict as usize] += 1;
        let half = |edge: Option<i64>| edge.map_or(String::new(), |half| format!("{:.1}", half as f64 / 2.0));
        let samples: Vec<String> = values.iter().map(i64::to_string).collect();
        writeln!(
            text,
            "{case},{},{},{},{},{time},{LAST},{},{}",
            NAMES[kind],
            u8::from(complete),
            half(lower),
            half(upper),
            verdict.word(),
            samples.join(" ")
        )
        .unwrap();
    }
    (text, counts)
}

#[test]
fn signals_for_the_monitor() {
    let (text, counts) = cases(23, 4_200);
    assert_eq!(text, cases(23, 4_200).0, "the signals are the same each time");
    for (name, [not_met, not_shown, met]) in NAMES.iter().zip(counts) {
        println!("{name:>16}: met {met}, not met {not_met}, not shown {not_shown}");
        assert!(met > 0 && not_met > 0 && not_shown > 0, "{name} never took one of its verdicts");
    }
    if let Some(path) = std::env::var_os("BOURN_SIGNALS") {
        std::fs::write(path, text).unwrap();
    }
}
