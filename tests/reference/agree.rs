//! Verdicts are equal, and intervals are.

use crate::counts::report;
use crate::engine::judge;
use crate::exact::{End, Interval, Q, double, q};
use crate::limit::{Asked, FORMS, Limit};
use crate::random::Random;
use crate::record::Record;
use crate::rules::{Answer, lowest};
use crate::timeline::Timeline;
use bourn::verdict::Verdict;
use bourn::verify::engine::{self, Extent};
use std::fmt::Write as _;

/// How the judgements of one form went.
#[derive(Debug, Default, Clone, Copy)]
struct Count {
    met: usize,
    not_met: usize,
    not_shown: usize,
    intervals: usize,
    /// Sums so near to the threshold that the outward rounding leaves the engine undecided.
    rounded: usize,
}

fn number(end: End, moved: Q) -> engine::End {
    match end {
        End::Below => engine::End::UnboundedBelow,
        End::Nothing => engine::End::Nothing,
        End::Number(x) => engine::End::Closed(double(x + moved)),
        End::Above => engine::End::UnboundedAbove,
    }
}

/// The interval as the engine states it: values without the accuracy, which it counts in the bands.
fn exactly(interval: Interval, inwards: Q, extent: Extent) -> bool {
    number(interval.least, inwards) == extent.least && number(interval.most, -inwards) == extent.most
}

/// A rounded sum: least not above, most not below, and both near.
fn outwards(interval: Interval, extent: Extent, doubt: f64) -> bool {
    let side = |exact: End, rounded: engine::End, low: bool| match (exact, rounded) {
        (End::Number(x), engine::End::Closed(y)) => {
            let x = double(x);
            (if low { y <= x } else { y >= x }) && (x - y).abs() <= rounding(x) + doubt
        }
        (End::Above, engine::End::UnboundedAbove) => true,
        _ => false,
    };
    side(interval.least, extent.least, true) && side(interval.most, extent.most, false)
}

/// Some four roundings for each of at most a hundred pieces.
fn rounding(x: f64) -> f64 {
    400.0 * f64::EPSILON * x.abs()
}

/// A share of a duration need not be a whole number of nanoseconds: least is cut down to one, most up.
fn whole(interval: Interval) -> Interval {
    let with = |end: End, round: fn(&Q) -> Q| if let End::Number(x) = end { End::Number(round(&x)) } else { end };
    Interval::new(with(interval.least, Q::floor), with(interval.most, Q::ceil))
}

fn is_sum(asked: &Asked) -> bool {
    matches!(asked, Asked::Reduction(..) | Asked::Growth(_) | Asked::Above(..))
}

/// A height above a base is a difference of two decimals, each known to one rounding of its own size.
fn doubt(asked: &Asked, record: &Record) -> f64 {
    match asked {
        Asked::Above(..) => 100.0 * record.tick as f64 / 1e9 * 8.0 * f64::EPSILON * 100.0,
        _ => 0.0,
    }
}

/// Whether the threshold lies within the rounding of an end of the interval.
fn too_near(limit: &Limit, record: &Record, interval: Option<Interval>) -> bool {
    let near = |end: End| match end {
        End::Number(x) => double(x - limit.threshold).abs() <= rounding(double(x)) + doubt(&limit.asked, record),
        _ => false,
    };
    is_sum(&limit.asked) && interval.is_some_and(|interval| near(interval.least) || near(interval.most))
}

fn verdict(answer: Answer) -> Verdict {
    match answer {
        Answer::Met => Verdict::Met,
        Answer::NotMet => Verdict::NotMet,
        Answer::NotShown => Verdict::NotShown,
    }
}

fn compare(limit: &Limit, record: &Record, count: &mut Count) -> Result<(), String> {
    let line = Timeline::new(record);
    let ours = limit.judge(&line);
    let outcome = judge(limit, record);
    let interval = limit.asked.interval(&line);
    match outcome.verdict {
        Verdict::Met => count.met += 1,
        Verdict::NotMet => count.not_met += 1,
        Verdict::NotShown => count.not_shown += 1,
    }
    let tell = |what: &str| {
        let Extent { least, most, .. } = outcome.extent;
        let rows: Vec<String> = record.rows.iter().map(|row| format!("{}:{:?}", row.at, row.value)).collect();
        let mut limit = format!("{limit:?}");
        limit.truncate(400);
        format!(
            "{what}: rules {ours:?} {interval:?}; engine {:?} {least:?} {most:?} {:?}\n{limit}\nsteps {} accuracy {} \
             start {:?} end {:?} gap {} edge {} tick {}\n{}",
            outcome.verdict,
            outcome.reason,
            record.steps,
            record.accuracy,
            record.start,
            record.end,
            record.credit_gap,
            record.edge_allowance,
            record.tick,
            rows.join(" ")
        )
    };
    if outcome.verdict != verdict(ours) {
        if outcome.verdict == Verdict::NotShown && too_near(limit, record, interval) {
            count.rounded += 1;
        } else {
            return Err(tell("verdict"));
        }
    }
    let Some(interval) = interval.filter(|_| line.judged) else { return Ok(()) };
    count.intervals += 1;
    let accuracy = record.value(record.accuracy);
    let equal = match &limit.asked {
        Asked::Bound(condition) => {
            let second = match (condition.lower, condition.upper) {
                (Some(_), Some(_)) => outcome.lower.is_some_and(|lower| exactly(lowest(&line), accuracy, lower)),
                _ => true,
            };
            exactly(interval, accuracy, outcome.extent) && second
        }
        Asked::Falls(..) => exactly(interval, accuracy + accuracy, outcome.extent),
        Asked::Share(..) => exactly(whole(interval), q(0), outcome.extent),
        asked if is_sum(asked) => outwards(interval, outcome.extent, doubt(asked, record)),
        _ => exactly(interval, q(0), outcome.extent),
    };
    if equal { Ok(()) } else { Err(tell("interval")) }
}

/// Judges so many random limits, and prints how many of each form went which way.
fn run(seed: u64, judgements: usize) {
    let mut r = Random(seed);
    let mut counts = [Count::default(); FORMS.len()];
    let mut faults = vec![Vec::new(); FORMS.len()];
    for judgement in 0..judgements {
        let form = judgement % FORMS.len();
        let cooling = FORMS[form] == "passage" && !r.one_in(3);
        let record = Record::random(&mut r, cooling);
        let limit = Limit::random(&mut r, form, &record, &Timeline::new(&record));
        if let Err(fault) = compare(&limit, &record, &mut counts[form]) {
            faults[form].push(format!("seed {seed}, judgement {judgement}, {}\n{fault}", FORMS[form]));
        }
    }
    let mut lines = format!("engine and reference agree on {judgements} random judgements, seed {seed}\n");
    for (name, count) in FORMS.iter().zip(&counts) {
        writeln!(
            lines,
            "{name:>16}: met {}, not met {}, not shown {}; intervals compared {}, undecided by rounding {}",
            count.met, count.not_met, count.not_shown, count.intervals, count.rounded
        )
        .unwrap();
    }
    let found: usize = faults.iter().map(Vec::len).sum();
    for (name, list) in FORMS.iter().zip(&mut faults) {
        list.sort_by_key(String::len);
        if let Some(shortest) = list.first() {
            println!("{name}: {} differ; the shortest:\n{shortest}\n", list.len());
        }
    }
    assert_eq!(found, 0, "the engine and the rules differ");
    report(&format!("reference-{seed}"), &lines);
    for (name, count) in FORMS.iter().zip(&counts) {
        assert!(count.met > 0 && count.not_met > 0 && count.not_shown > 0, "{name} never took one of its verdicts");
    }
}

#[test]
fn the_engine_agrees_with_the_rules() {
    if std::env::var_os("BOURN_LONG").is_some() {
        for seed in 1..=10 {
            run(seed, 30_800);
        }
    } else {
        run(11, 21_000);
    }
}
