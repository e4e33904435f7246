//! Limits over samples against every completion: each open result and each missing sample is given every value in turn.

use crate::random::Random;
use bourn::log::{Mapping, Memory, read};
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict;
use bourn::verify::{Period, verify};

/// The values that a sample can truly have: one in each class of m 10, M 100 and of the bands.
const TRUTHS: [f64; 4] = [5.0, 15.0, 60.0, 150.0];

const PLAN: &str = "plan p \"P\" { time-zone UTC }
role worker \"Worker\" { duties \"All\" }
parameter count \"Count\" { unit cfu/g }
parameter germ \"Germ\" { answers detected, not-detected }
step cook \"Cook\" { stage cooking from start-cook to end-cook }
record log \"Log\" { kept for 1 year }
event start-cook on log
event end-cook on log
ccp c \"C\" at cook {
  limit three  count n 4, c 1, m 10 cfu/g, M 100 cfu/g
  limit two    count n 3, c 1, m 100 cfu/g
  limit graded count bands { good <= 10 cfu/g met; fair <= 100 cfu/g alert; bad > 100 cfu/g not-met }, at least 3 per lot
  limit absent germ absent in 25 g, n 3, c 1
  limit alone  germ absent in 25 g
  limit said   germ is not-detected, n 4, c 1
  monitor count, germ each lot by worker on log
}
";

const MAPPING: &str = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    events: { start-cook: Start, end-cook: End }
samples:
  - files: [lab.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    sample: Sample
    columns:
      Count: { parameter: count, unit: cfu/g }
      Germ: { parameter: germ, answers: { detected: [pos], not-detected: [neg] }, mass: { column: Mass, unit: g } }
";

/// What one result leaves open.
struct Result {
    sample: usize,
    counts: Vec<f64>,
    /// Whether 25 g of it may hold the germ: the answers that are possible.
    holds: Vec<bool>,
    /// Whether the answer may be another than not detected.
    other: Vec<bool>,
}

/// Every way to pick one of each.
fn completions<T: Copy>(open: &[Vec<T>]) -> Vec<Vec<T>> {
    open.iter().fold(vec![Vec::new()], |ways, choices| {
        ways.iter().flat_map(|way| choices.iter().map(|one| [way.as_slice(), &[*one]].concat())).collect()
    })
}

/// The verdict over all completions of the results and of the samples that are missing of `n`.
fn over<T: Copy>(
    results: &[Result],
    n: usize,
    of: impl Fn(&Result) -> Vec<T>,
    all: &[T],
    good: impl Fn(&[T]) -> bool,
) -> Verdict {
    let mut names: Vec<usize> = results.iter().map(|result| result.sample).collect();
    names.sort_unstable();
    names.dedup();
    let mut open: Vec<Vec<T>> = results.iter().map(of).collect();
    for _ in names.len()..n {
        open.push(all.to_vec());
    }
    let answers: Vec<bool> = completions(&open).iter().map(|way| good(way)).collect();
    if answers.iter().all(|good| !good) {
        Verdict::NotMet
    } else if !results.is_empty() && answers.iter().all(|good| *good) {
        Verdict::Met
    } else {
        Verdict::NotShown
    }
}

fn expected(results: &[Result]) -> [Verdict; 6] {
    let counts = |n: usize, good: &dyn Fn(&[f64]) -> bool| over(results, n, |one| one.counts.clone(), &TRUTHS, good);
    let above = |way: &[f64], figure: f64| way.iter().filter(|value| **value > figure).count();
    let flags = |n: usize, of: fn(&Result) -> Vec<bool>, c: usize| {
        over(results, n, of, &[false, true], |way| way.iter().filter(|bad| **bad).count() <= c)
    };
    [
        counts(4, &|way| above(way, 10.0) <= 1 && above(way, 100.0) == 0),
        counts(3, &|way| above(way, 100.0) <= 1),
        counts(3, &|way| above(way, 100.0) == 0),
        flags(3, |one| one.holds.clone(), 1),
        flags(1, |one| one.holds.clone(), 0),
        flags(4, |one| one.other.clone(), 1),
    ]
}

#[test]
fn limits_over_samples_agree_with_every_completion() {
    let lots = if std::env::var_os("BOURN_LONG").is_some() { 6_000 } else { 600 };
    let mut random = Random(20_261_125);
    let (mut register, mut laboratory) = ("Lot,Start,End\n".to_owned(), "Lot,Time,Sample,Count,Germ,Mass\n".to_owned());
    let mut wanted = Vec::new();
    for lot in 0..lots {
        register.push_str(&format!("L{lot:05},2026-10-05 10:00,2026-10-05 11:00\n"));
        let mut results = Vec::new();
        for row in 0..random.within(0, 5) {
            let sample = usize::try_from(random.within(0, 3)).unwrap();
            let (cell, counts): (&str, Vec<f64>) = match random.within(0, 7) {
                0..=3 => ("5", vec![5.0]),
                4 => ("15", vec![15.0]),
                5 => ("<50", vec![5.0, 15.0]),
                6 => (">100", vec![150.0]),
                _ => ("smeared", TRUTHS.to_vec()),
            };
            let (answer, other) = match random.within(0, 5) {
                0..=3 => ("neg", vec![false]),
                4 => ("pos", vec![true]),
                _ => ("lost", vec![false, true]),
            };
            let mass = [10, 25, 25, 25, 50][usize::try_from(random.within(0, 4)).unwrap()];
            let holds = match answer {
                "neg" if mass >= 25 => vec![false],
                "pos" if mass <= 25 => vec![true],
                _ => vec![false, true],
            };
            laboratory.push_str(&format!("L{lot:05},2026-10-06 09:{row:02},{sample},{cell},{answer},{mass}\n"));
            results.push(Result { sample, counts, holds, other });
        }
        wanted.push(expected(&results));
    }
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", PLAN));
    let reading = bourn::plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    let id = sources.add(Source::new("mapping", MAPPING));
    let (mapping, findings) = Mapping::parse(MAPPING, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    let records = read(&mapping, &Memory::default().with("lots.csv", register).with("lab.csv", laboratory.clone()));
    let found = verify(&reading.plan, &records, Period::default());
    assert_eq!(found.lots.len(), wanted.len());
    let mut counts = [[0_usize; 3]; 6];
    for (lot, wanted) in found.lots.iter().zip(&wanted) {
        for (index, (limit, wanted)) in lot.limits.iter().zip(wanted).enumerate() {
            assert_eq!(limit.verdict, *wanted, "{} of {}: {:?}", limit.symbols, lot.code, limit.parts);
            counts[index][match wanted {
                Verdict::Met => 0,
                Verdict::NotMet => 1,
                Verdict::NotShown => 2,
            }] += 1;
        }
    }
    println!("limits over samples, met, not met, not shown: {counts:?}");
    assert!(counts.iter().flatten().all(|count| *count > 0), "{counts:?}");
}
