//! Every form as a plan writes it, judged from records as text, against dense truths.

use crate::counts::{Tally, report, table};
use crate::plant::Plant;
use crate::random::Random;
use crate::scene::{ask, told};
use bourn::verdict::Verdict;
use std::collections::BTreeMap;

/// Judges so many plants, a limit of every form each; `truths` histories are tried with and without the promise on edges.
fn run(seed: u64, plants: usize, truths: usize) -> (BTreeMap<&'static str, Tally>, usize) {
    let mut r = Random(seed);
    let mut counts: BTreeMap<&'static str, Tally> = BTreeMap::new();
    let mut faults: BTreeMap<&'static str, (usize, String)> = BTreeMap::new();
    let mut tried = 0;
    for case in 0..plants {
        let mut plant = Plant::random(&mut r);
        let asked = ask(&mut r, &mut plant);
        let verdicts = plant.verdicts();
        assert_eq!(verdicts.len(), asked.len(), "{}", told(&plant));
        for (asked, verdict) in asked.iter().zip(&verdicts) {
            counts.entry(asked.form).or_default().add(verdict.verdict);
            for keep in [true, false] {
                for _ in 0..truths {
                    let Some(truth) = (asked.truth)(&mut r, keep) else { continue };
                    tried += 1;
                    let contradicted = match verdict.verdict {
                        Verdict::Met => !truth.surely && (keep || !asked.leans[1]),
                        Verdict::NotMet => truth.holds && (keep || !asked.leans[0]),
                        Verdict::NotShown => false,
                    };
                    if contradicted || !(asked.holds)(verdict, &truth, keep) {
                        let seen = verdict.parts.iter().map(|part| (part.verdict, &part.outcome, &part.evidence));
                        let fault = format!(
                            "seed {seed}, case {case}, keep {keep}, {}: {}\n{truth:?}\n{:#?}\n{}",
                            asked.form,
                            asked.text,
                            seen.collect::<Vec<_>>(),
                            told(&plant)
                        );
                        let (count, shortest) = faults.entry(asked.form).or_insert((0, fault.clone()));
                        *count += 1;
                        if fault.len() < shortest.len() {
                            *shortest = fault;
                        }
                    }
                }
            }
        }
    }
    for (form, (count, shortest)) in &faults {
        println!("{form}: {count} truths contradicted or left out; the shortest case:\n{shortest}\n");
    }
    assert!(faults.is_empty(), "contradicted: {:?}", faults.keys().collect::<Vec<_>>());
    (counts, tried)
}

#[test]
fn no_verdict_of_a_plan_is_contradicted() {
    let (plants, truths) = if std::env::var_os("BOURN_LONG").is_some() { (7_500, 12) } else { (250, 6) };
    let (counts, tried) = run(42, plants, truths);
    let judged: usize = counts.values().map(Tally::all).sum();
    let heading = format!(
        "dense truths, plans and records as text: {judged} judgements in {} forms against {tried} truths",
        counts.len()
    );
    report("dense-plans", &table(&heading, counts.iter().map(|(name, tally)| (*name, *tally))));
    for (name, tally) in &counts {
        tally.assert_fair(name, 50);
    }
}
