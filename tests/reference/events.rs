//! Duration, time between events, order: every instant that the records allow is tried.

use crate::random::Random;
use crate::rules::{Answer, answer};
use bourn::verdict::Verdict;
use bourn::verify::engine::{End, Moment, Outcome, Window, between, duration, in_order};

fn verdict(answer: Answer) -> Verdict {
    match answer {
        Answer::Met => Verdict::Met,
        Answer::NotMet => Verdict::NotMet,
        Answer::NotShown => Verdict::NotShown,
    }
}

/// Two bounds at once are *and*.
fn within(values: &[i64], at_least: Option<i64>, at_most: Option<i64>) -> Answer {
    let low = at_least.map(|x| answer(values.iter().all(|v| *v >= x), values.iter().all(|v| *v < x)));
    let high = at_most.map(|x| answer(values.iter().all(|v| *v <= x), values.iter().all(|v| *v > x)));
    let parts: Vec<Answer> = low.into_iter().chain(high).collect();
    match parts.is_empty() {
        true => Answer::NotShown,
        false => answer(parts.iter().all(|p| *p == Answer::Met), parts.contains(&Answer::NotMet)),
    }
}

fn ends(values: &[i64]) -> Option<(End, End)> {
    let (least, most) = (*values.iter().min()?, *values.iter().max()?);
    Some((End::Closed(least as f64), End::Closed(most as f64)))
}

/// Rule 10: one record, as written; two records, the difference widened by the allowance in each direction.
fn differences(a: Moment, b: Moment, allowance: i64) -> Vec<i64> {
    let allowance = if a.record == b.record { 0 } else { allowance };
    let mut list = Vec::new();
    for first in a.first..=a.last {
        for second in b.first..=b.last {
            for off in -allowance..=allowance {
                list.push(second - first + off);
            }
        }
    }
    list
}

fn moment(r: &mut Random) -> Option<Moment> {
    let first = r.within(0, 12);
    let last = first + if r.one_in(2) { 0 } else { r.within(0, 4) };
    (!r.one_in(12)).then_some(Moment { first, last, record: r.within(0, 1) as usize })
}

fn check(name: &str, counts: &mut [usize; 3], outcome: &Outcome, ours: Answer, ends: Option<(End, End)>, seen: &str) {
    counts[outcome.verdict as usize] += 1;
    assert_eq!(outcome.verdict, verdict(ours), "{name} {seen} {outcome:?}");
    if let Some(ends) = ends {
        assert_eq!((outcome.extent.least, outcome.extent.most), ends, "{name} {seen}");
    }
}

#[test]
fn events_agree_with_every_instant() {
    let cases = if std::env::var_os("BOURN_LONG").is_some() { 30_000 } else { 3_000 };
    let mut r = Random(17);
    let mut counts = [[0_usize; 3]; 3];
    for case in 0..cases {
        let allowance = r.within(0, 3);
        let bound = |r: &mut Random| (!r.one_in(3)).then(|| r.within(0, 14));
        let (at_least, at_most) = (bound(&mut r), bound(&mut r));
        let (a, b) = (moment(&mut r), moment(&mut r));
        let seen = format!("{case}: {a:?} {b:?} allowance {allowance} {at_least:?} {at_most:?}");
        let values = a.zip(b).map(|(a, b)| differences(a, b, allowance));
        // Order: missing is not shown; surely reversed is not met.
        let order = values.as_ref().map_or(Answer::NotShown, |values| within(values, Some(0), None));
        let order_ends = values.as_ref().and_then(|values| ends(values));
        check("order", &mut counts[0], &in_order(a, b, allowance), order, order_ends, &seen);
        // Between: missing or surely reversed is not shown; not below nought.
        let values = values.filter(|values| values.iter().any(|v| *v >= 0));
        let values: Option<Vec<i64>> = values.map(|values| values.into_iter().map(|v| v.max(0)).collect());
        let time = values.as_ref().map_or(Answer::NotShown, |values| within(values, at_least, at_most));
        let outcome = between(a, b, allowance, at_least, at_most);
        check("between", &mut counts[1], &outcome, time, values.as_ref().and_then(|v| ends(v)), &seen);
        // Duration of a stage: no recorded end can be any length from the start on.
        let start = a.map_or((5, 5), |a| (a.first, a.last));
        let end = b.map(|b| (b.first, b.last));
        let (e1, e2) = end.unwrap_or((start.0, 1_000));
        let mut lasts = Vec::new();
        for from in start.0..=start.1 {
            lasts.extend((e1..=e2).filter(|to| *to >= from).map(|to| to - from));
        }
        let stage = if lasts.is_empty() { Answer::NotShown } else { within(&lasts, at_least, at_most) };
        let outcome = duration(Window { start, end }, at_least, at_most);
        let ends = ends(&lasts).filter(|_| end.is_some());
        check("duration", &mut counts[2], &outcome, stage, ends, &seen);
    }
    for (name, [not_met, not_shown, met]) in ["order", "between", "duration"].iter().zip(&counts) {
        println!("{name:>16}: met {met}, not met {not_met}, not shown {not_shown}");
        assert!(*met > 0 && *not_met > 0 && *not_shown > 0, "{name} never took one of its verdicts");
    }
}
