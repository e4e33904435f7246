//! No definite verdict is contradicted by a dense truth, and no truth lies outside [least, most].

use crate::counts::{Tally, report, table};
use crate::limit::{KINDS, Limit};
use crate::measure::Quantity;
use crate::random::Random;
use crate::record::{Record, TICK};
use crate::truth::{History, allowed};
use bourn::verdict::Verdict;
use bourn::verify::engine::{End, Outcome};

pub fn below(end: End, value: f64) -> bool {
    match end {
        End::Closed(least) => least <= value,
        End::Open(least) => least < value,
        End::UnboundedBelow | End::Nothing => true,
        End::UnboundedAbove => false,
    }
}

pub fn above(end: End, value: f64) -> bool {
    match end {
        End::Closed(most) => most >= value,
        End::Open(most) => most > value,
        End::UnboundedAbove => true,
        End::UnboundedBelow | End::Nothing => false,
    }
}

/// Whether the truth lies in the interval; `keep` says whether the history kept the promise on edges.
///
/// `tick` is in nanoseconds; `value` is what one step of value is in the unit of the readings.
pub fn inside(
    limit: &Limit,
    outcome: &Outcome,
    quantity: Quantity,
    keep: bool,
    accuracy: i64,
    (tick, value): (i64, f64),
) -> bool {
    let extent = outcome.extent;
    let low = keep || !limit.leans_on_edges(at_least(limit));
    let high = keep || !limit.leans_on_edges(!at_least(limit));
    let both = |value: f64| (!low || below(extent.least, value)) && (!high || above(extent.most, value));
    match quantity {
        Quantity::Number(n) => {
            let time = matches!(limit, Limit::TotalAtLeast(..) | Limit::TotalAtMost(..) | Limit::Anew(..));
            // A sum is over seconds.
            both((n * if time { tick } else { tick / TICK }) as f64)
        }
        Quantity::Sevenths(n) => both(n as f64 * tick as f64 / 7.0),
        Quantity::Stretch(Some(n)) => both((n * tick) as f64),
        Quantity::Stretch(None) => !low || extent.least == End::Nothing,
        // A truth that never arrives is larger than any number.
        Quantity::Time(None) => !high || extent.most == End::UnboundedAbove,
        Quantity::Time(Some(n)) => both((n * tick) as f64),
        // Shown as recorded: two readings, each off by the accuracy.
        Quantity::Fall(n) => {
            let doubt = 2.0 * accuracy as f64;
            below(extent.least, n as f64 + doubt) && above(extent.most, n as f64 - doubt)
        }
        Quantity::Real(x) => {
            let hair = 1e-9 * (1.0 + x.abs());
            (!low || below(extent.least, x + hair)) && (!high || above(extent.most, x - hair))
        }
        Quantity::Unsettled => true,
        Quantity::Values(lowest, highest) => {
            let Limit::Bound(span) = limit else { return false };
            let a = accuracy as f64;
            let hair = if value == 1.0 { 0.0 } else { 1e-9 };
            let fits = |extent: bourn::verify::engine::Extent, n: i64| {
                let truth = n as f64 * value;
                below(extent.least, truth + a + hair) && above(extent.most, truth - a - hair)
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

/// Runs so many judgements; the names of the forms and how many truths were tried.
fn run(seed: u64, judgements: usize, truths: usize, tallies: &mut [Tally; KINDS]) -> ([&'static str; KINDS], usize) {
    let mut r = Random(seed);
    let mut names = [""; KINDS];
    let mut tried = 0_usize;
    for judgement in 0..judgements {
        let kind = judgement % KINDS;
        let cooling = if kind == 14 { !r.one_in(5) } else { kind == 7 && r.one_in(2) };
        let record = if cooling { Record::cooling(&mut r) } else { Record::random(&mut r) };
        let limit = Limit::random(&mut r, kind);
        let outcome = limit.judge(&record);
        names[kind] = limit.name();
        tallies[kind].add(outcome.verdict);
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
                    !contradicted && inside(&limit, &outcome, truth.quantity, keep, record.accuracy, (TICK, 1.0)),
                    "judgement {judgement}, keep {keep}\n{limit:?}\n{record:?}\nstart {} end {}\n{:?}\n{truth:?}\n{outcome:#?}",
                    history.start,
                    history.end,
                    history.values,
                );
            }
        }
    }
    (names, tried)
}

#[test]
fn no_definite_verdict_is_contradicted() {
    let long = std::env::var_os("BOURN_LONG").is_some();
    let (seeds, judgements, truths) = if long { (20, 60_000, 12) } else { (1, 6_000, 6) };
    let mut tallies = [Tally::default(); KINDS];
    let mut names = [""; KINDS];
    let mut tried = 0;
    for seed in 0..seeds {
        let (found, more) = run(21 + seed, judgements, truths, &mut tallies);
        names = found;
        tried += more;
    }
    let judged = usize::try_from(seeds).unwrap() * judgements;
    let heading =
        format!("dense truths, the engine alone: {judged} judgements in {KINDS} forms against {tried} truths");
    report("dense-engine", &table(&heading, names.iter().copied().zip(tallies)));
    for (name, tally) in names.iter().zip(&tallies) {
        tally.assert_fair(name, 60);
    }
}
