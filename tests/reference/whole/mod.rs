//! What a plan says around and beside the forms, against the rules: random lots go as text through the whole program,
//! and through an evaluator that shares no code with it.

mod checks;
mod formulas;
mod limits;
mod lot;
mod moments;
mod shapes;
mod text;

use crate::counts::{Tally, report, table};
use crate::random::Random;
use crate::rules::Answer;
use bourn::verdict::Verdict;
use bourn::verify::LimitVerdict;
use lot::{DAYS, Lot};
use shapes::Found;

fn verdict(answer: Answer) -> Verdict {
    match answer {
        Answer::Met => Verdict::Met,
        Answer::NotMet => Verdict::NotMet,
        Answer::NotShown => Verdict::NotShown,
    }
}

/// One limit of one lot; an error tells what differs.
fn compare(lot: &Lot, text: &str, wanted: Found, found: Option<&LimitVerdict>) -> Result<(), String> {
    let said = found.map(|one| one.verdict);
    let same = match wanted {
        Found::Skipped => true,
        Found::NotCounted => said.is_none(),
        Found::Answer(answer) => said == Some(verdict(answer)),
    };
    if same {
        return Ok(());
    }
    let why = found.map_or(String::new(), |one| {
        one.parts.iter().flat_map(|part| part.evidence.clone()).collect::<Vec<_>>().join("\n  ")
    });
    let mut told = format!("{lot:?}");
    told.truncate(6000);
    Err(format!("{text}: rules {wanted:?}, program {said:?}\n  {why}\n{told}"))
}

fn run(seed: u64, lots: i64, tallies: &mut [Tally]) -> Vec<(usize, String)> {
    let mut r = Random(seed);
    // Every fourth time the register of lots stands on a record with a clock of its own.
    let apart = seed.is_multiple_of(4);
    let lots: Vec<Lot> = (0..lots).map(|number| Lot::random(&mut r, number, apart)).collect();
    let verification = text::verification(&lots, apart);
    assert_eq!(verification.lots.len(), lots.len());
    let by_checks = checks::judge(&lots, DAYS);
    let mut faults = Vec::new();
    for lot in &lots {
        let judged = verification.lots.iter().find(|one| one.code == text::code(lot)).unwrap();
        for (index, (text, wanted)) in limits::ALL.iter().enumerate() {
            let wanted = match wanted {
                limits::Rule::Lot(rule) => rule(lot),
                limits::Rule::Checks => Found::Answer(by_checks[usize::try_from(lot.number).unwrap()]),
            };
            let name = format!("l{index}");
            let found = judged.limits.iter().find(|limit| limit.limit == name);
            if let Found::Answer(answer) = wanted {
                tallies[index].add(verdict(answer));
            }
            if let Err(fault) = compare(lot, text, wanted, found) {
                faults.push((index, format!("seed {seed}, {}: {fault}", text::code(lot))));
            }
        }
    }
    faults
}

#[test]
fn the_whole_program_agrees_with_the_rules() {
    let long = std::env::var_os("BOURN_LONG").is_some();
    let mut tallies = vec![Tally::default(); limits::ALL.len()];
    let mut faults = Vec::new();
    for seed in 1..=if long { 40 } else { 4 } {
        faults.extend(run(seed, 140, &mut tallies));
    }
    let found = faults.len();
    faults.sort_by_key(|(_, fault)| fault.len());
    for (index, (text, _)) in limits::ALL.iter().enumerate() {
        let own: Vec<&String> = faults.iter().filter(|(limit, _)| *limit == index).map(|(_, fault)| fault).collect();
        if let Some(shortest) = own.first() {
            println!("{} differ on `{text}`; the shortest:\n{shortest}\n", own.len());
        }
    }
    assert_eq!(found, 0, "the program and the rules differ");
    let all: usize = tallies.iter().map(Tally::all).sum();
    let rows = limits::ALL.iter().map(|(text, _)| text.split(" { ").next().unwrap()).zip(tallies.iter().copied());
    report(
        "reference-whole",
        &table(
            &format!("the whole program and the rules agree on {all} random judgements of {} limits", tallies.len()),
            rows,
        ),
    );
    for ((text, _), tally) in limits::ALL.iter().zip(&tallies) {
        tally.assert_fair(text, 200);
    }
}
