//! No definite verdict is contradicted by a dense truth, and no truth lies outside [least, most].

use crate::limit::{KINDS, Limit};
use crate::measure::Quantity;
use crate::random::Random;
use crate::record::{Record, TICK};
use crate::truth::{History, allowed};
use bourn::verdict::Verdict;
use bourn::verify::engine::{End, Outcome};

fn below(end: End, value: f64) -> bool {
    match end {
        End::Closed(least) => least <= value,
        End::Open(least) => least < value,
        End::UnboundedBelow | End::Nothing => true,
        End::UnboundedAbove => false,
    }
}

fn above(end: End, value: f64) -> bool {
    match end {
        End::Closed(most) => most >= value,
        End::Open(most) => most > value,
        End::UnboundedAbove => true,
        End::UnboundedBelow | End::Nothing => false,
    }
}

/// Whether the truth lies in the interval; `keep` says whether the history kept the promise on edges.
fn inside(limit: &Limit, outcome: &Outcome, quantity: Quantity, keep: bool, accuracy: i64) -> bool {
    let extent = outcome.extent;
    let low = keep || !limit.leans_on_edges(at_least(limit));
    let high = keep || !limit.leans_on_edges(!at_least(limit));
    let both = |value: f64| (!low || below(extent.least, value)) && (!high || above(extent.most, value));
    match quantity {
        Quantity::Number(n) => {
            let scale = if matches!(limit, Limit::TotalAtLeast(..) | Limit::TotalAtMost(..)) { TICK } else { 1 };
            both((n * scale) as f64)
        }
        Quantity::Sevenths(n) => both(n as f64 * TICK as f64 / 7.0),
        Quantity::Stretch(Some(n)) => both((n * TICK) as f64),
        Quantity::Stretch(None) => !low || extent.least == End::Nothing,
        // A truth that never arrives is larger than any number.
        Quantity::Time(None) => !high || extent.most == End::UnboundedAbove,
        Quantity::Time(Some(n)) => both((n * TICK) as f64),
        // Shown as recorded: two readings, each off by the accuracy.
        Quantity::Fall(n) => {
            let doubt = 2.0 * accuracy as f64;
            below(extent.least, n as f64 + doubt) && above(extent.most, n as f64 - doubt)
        }
        Quantity::Unsettled => true,
        Quantity::Values(lowest, highest) => {
            let Limit::Bound(span) = limit else { return false };
            let a = accuracy as f64;
            let fits = |extent: bourn::verify::engine::Extent, value: i64| {
                below(extent.least, value as f64 + a) && above(extent.most, value as f64 - a)
            };
            !keep
                || match (span.lower, span.upper) {
                    (Some(_), None) => fits(extent, lowest),
                    (Some(_), Some(_)) => fits(extent, highest) && fits(outcome.lower.unwrap(), lowest),
                    _ => fits(extent, highest),
                }
        }
    }
}

/// At-least limits are met by a large least; the others by a small most.
fn at_least(limit: &Limit) -> bool {
    matches!(limit, Limit::Held(..) | Limit::TotalAtLeast(..) | Limit::Share(..) | Limit::Reduction { .. })
}

/// Runs so many judgements and prints how they went.
fn run(seed: u64, judgements: usize, truths: usize) {
    let mut r = Random(seed);
    let mut counts = vec![[0_usize; 3]; KINDS];
    let mut names = [""; KINDS];
    let mut tried = 0_usize;
    for judgement in 0..judgements {
        let kind = judgement % KINDS;
        let cooling = kind == 7 && r.one_in(2);
        let record = if cooling { Record::cooling(&mut r) } else { Record::random(&mut r) };
        let limit = Limit::random(&mut r, kind);
        let outcome = limit.judge(&record);
        names[kind] = limit.name();
        counts[kind][outcome.verdict as usize] += 1;
        for keep in [true, false] {
            let hull = allowed(&record, keep);
            for _ in 0..truths {
                let Some(history) = History::random(&mut r, &record, &hull) else {
                    continue;
                };
                tried += 1;
                let truth = limit.truth(&record, &history);
                let contradicted = match outcome.verdict {
                    Verdict::Met => !truth.surely && (keep || !limit.leans_on_edges(true)),
                    Verdict::NotMet => truth.holds && (keep || !limit.leans_on_edges(false)),
                    Verdict::NotShown => false,
                };
                assert!(
                    !contradicted && inside(&limit, &outcome, truth.quantity, keep, record.accuracy),
                    "judgement {judgement}, keep {keep}\n{limit:?}\n{record:?}\nstart {} end {}\n{:?}\n{truth:?}\n{outcome:#?}",
                    history.start,
                    history.end,
                    history.values,
                );
            }
        }
    }
    println!("{judgements} judgements against {tried} truths");
    for (name, [not_met, not_shown, met]) in names.iter().zip(&counts) {
        println!("{name:>16}: met {met}, not met {not_met}, not shown {not_shown}");
        assert!(*met > 0 && *not_met > 0 && *not_shown > 0, "{name} never took one of its verdicts");
    }
}

#[test]
fn no_definite_verdict_is_contradicted() {
    let long = std::env::var_os("BOURN_LONG").is_some();
    if long {
        for seed in 1..=20 {
            run(seed, 60_000, 12);
        }
    } else {
        run(20, 6_000, 6);
    }
}
