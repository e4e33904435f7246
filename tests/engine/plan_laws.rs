//! Laws about files, through the library's public entry on records as text: order of rows, parts, lots far away, offsets.

use crate::counts::report;
use crate::plant::Plant;
use crate::random::Random;
use crate::record::Entry;
use crate::scene::ask;
use bourn::log::{Manner, Mapping, Memory, read, read_compact};
use bourn::source::{Source, Sources};
use bourn::verify::{InParts, LotVerdicts, Period, Verification, survey_keeps, verify, verify_in_parts};

const PLANTS: usize = 40;

fn plants() -> usize {
    if std::env::var_os("BOURN_LONG").is_some() { 20 * PLANTS } else { PLANTS }
}

pub fn mapping(text: &str) -> Mapping {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("mapping", text.to_owned()));
    let (mapping, findings) = Mapping::parse(text, id);
    mapping.unwrap_or_else(|| panic!("{findings:#?}\n{text}"))
}

pub fn judged(plant: &Plant, memory: &Memory, text: &str) -> Verification {
    verify(&plant.plan(), &read(&mapping(text), memory), Period::default())
}

/// Verdicts and intervals of lot L1, for comparison and for telling.
fn first(verification: &Verification) -> Vec<String> {
    let lot: &LotVerdicts = verification.lots.iter().find(|lot| lot.code == "L1").unwrap();
    let part = |part: &bourn::verify::Part| (part.verdict, part.outcome.as_ref().map(|one| (one.extent, one.lower)));
    let limit = |limit: &bourn::verify::LimitVerdict| {
        format!("{} {} {:?}", limit.symbols, limit.verdict, limit.parts.iter().map(part).collect::<Vec<_>>())
    };
    lot.limits.iter().map(limit).collect()
}

/// Runs a law on random plants, each with a limit of every form.
pub fn law(name: &str, seed: u64, holds: impl Fn(&mut Random, &Plant)) {
    let mut r = Random(seed);
    let mut limits = 0;
    for _ in 0..plants() {
        let mut plant = Plant::random(&mut r);
        limits += ask(&mut r, &mut plant).len();
        holds(&mut r, &plant);
    }
    report(
        &format!("law-{name}"),
        &format!("law, {}: {limits} limits of {} plants\n", name.replace('-', " "), plants()),
    );
}

#[test]
fn the_order_of_rows_changes_nothing() {
    law("order-of-rows", 1, |r, plant| {
        let other = Plant { order: r.next(), ..plant.clone() };
        assert_eq!(first(&plant.verification()), first(&other.verification()));
    });
}

/// The same files with a second lot a day later.
fn with_a_lot_next_day(plant: &Plant) -> (Memory, String) {
    let (mut memory, text) = plant.files();
    for (name, bytes) in &mut memory.0 {
        let body = String::from_utf8(bytes.clone()).unwrap();
        let next = |line: &str| format!("{}\n", line.replace("L1", "L2").replace("2026-10-05", "2026-10-06"));
        let later: String = match name.as_str() {
            "core.csv" | "air.csv" | "moisture.csv" | "protein.csv" | "lots.csv" | "packed.csv" => {
                body.lines().skip(1).map(next).collect()
            }
            _ => String::new(),
        };
        *bytes = (body + &later).into_bytes();
    }
    (memory, text)
}

#[test]
fn a_lot_far_away_changes_no_other() {
    law("a-lot-far-away", 2, |_, plant| {
        let (memory, text) = with_a_lot_next_day(plant);
        let both = judged(plant, &memory, &text);
        assert_eq!(both.lots.len(), 2);
        // The second lot has no checks: those that fell due are missed, and open a window from the last good one.
        let outside = |verification: &Verification| -> Vec<String> {
            first(verification).into_iter().filter(|line| !line.starts_with("piece")).collect()
        };
        assert_eq!(outside(&plant.verification()), outside(&both));
    });
}

#[test]
fn parts_change_nothing() {
    law("parts", 3, |r, plant| {
        let (memory, text) = with_a_lot_next_day(plant);
        let (plan, mapping) = (plant.plan(), mapping(&text));
        let manner =
            Manner { threads: [1, 2, 3][r.within(0, 2) as usize], block: [1, 50, 1_000][r.within(0, 2) as usize] };
        let mut records = read_compact(&mapping, &memory, manner);
        let at_once = [1, 30, 1_000][r.within(0, 2) as usize];
        let throughout = |name: &str| survey_keeps(&plan, name);
        let bounds = InParts { at_once, drawn: true, throughout: &throughout, manner };
        let parts = verify_in_parts(&plan, &mut records, Period::default(), bounds);
        let whole = judged(plant, &memory, &text);
        let limits = |verification: &Verification| format!("{:?}", verification.lots);
        assert_eq!(limits(&whole), limits(&parts));
    });
}

#[test]
fn a_split_into_files_changes_nothing() {
    law("split-into-files", 4, |r, plant| {
        let (mut memory, text) = plant.files();
        let body = String::from_utf8(memory.0.remove("core.csv").unwrap()).unwrap();
        let (head, rows) = body.split_once('\n').unwrap();
        let mut halves = [format!("{head}\n"), format!("{head}\n")];
        for row in rows.lines() {
            halves[r.within(0, 1) as usize] += &format!("{row}\n");
        }
        let [a, b] = halves;
        let memory = memory.with("core-1.csv", a).with("core-2.csv", b);
        let split = judged(plant, &memory, &text.replace("[core.csv]", "[core-1.csv, core-2.csv]"));
        assert_eq!(first(&plant.verification()), first(&split));
    });
}

/// The clock of the files two hours behind, their day another; lots belong to the days of the plan's zone.
#[test]
fn another_offset_for_the_same_instants_changes_nothing() {
    law("another-offset", 5, |_, plant| {
        let (mut memory, text) = plant.files();
        for bytes in memory.0.values_mut() {
            let body = String::from_utf8(bytes.clone()).unwrap();
            let moved = body.replace("2026-10-05 00:", "2026-10-04 22:").replace("2026-10-05 01:", "2026-10-04 23:");
            *bytes = moved.replace("2026-10-06 09:", "2026-10-06 07:").into_bytes();
        }
        let behind = judged(plant, &memory, &text.replacen("zone: UTC", "zone: Etc/GMT+2", 1));
        assert_eq!(first(&plant.verification()), first(&behind));
        let day = bourn::verify::Period { from: behind.lots[0].begun.map(|_| date(5)), to: Some(date(5)) };
        let records = read(&mapping(&text.replacen("zone: UTC", "zone: Etc/GMT+2", 1)), &memory);
        assert_eq!(verify(&plant.plan(), &records, day).lots.len(), 1, "the lot is of 5 October in the plan's zone");
        let before = bourn::verify::Period { from: None, to: Some(date(4)) };
        assert_eq!(verify(&plant.plan(), &records, before).lots.len(), 0);
    });
}

fn date(day: u32) -> chrono::NaiveDate {
    chrono::NaiveDate::from_ymd_opt(2026, 10, day).unwrap()
}

/// What was before the stage counts for a passage only where the record is the lot's own.
fn beside_passages(verification: &Verification) -> Vec<String> {
    first(verification).into_iter().filter(|line| !line.starts_with("core from")).collect()
}

#[test]
fn a_record_of_the_place_says_what_one_of_the_lot_says() {
    law("place-or-lot", 6, |_, plant| {
        let [own, place] = [true, false].map(|own| Plant { own, ..plant.clone() });
        assert_eq!(beside_passages(&own.verification()), beside_passages(&place.verification()));
    });
    // Core at 20, 25, 30 and air at 20 and 30: the pair at 30 is joined across the end of the stage at 24, although
    // another reading of the core lies between.
    let mut plant = Plant::random(&mut Random(7));
    let at = |at: i64, value: i64| Entry { at, value: Some(value) };
    plant.core.rows = vec![at(10, 5), at(15, 5), at(20, 5), at(25, 5), at(30, 5)];
    plant.air = vec![at(10, 9), at(15, 9), at(20, 9), at(30, 5)];
    (plant.core.interval, plant.core.edge_allowance, plant.clocks) = (4, 6, crate::plant::Clocks::One);
    (plant.start, plant.end) = (Some(10), Some(24));
    plant.limits = vec!["air >= core + 3 °C".to_owned()];
    for own in [true, false] {
        plant.own = own;
        assert_eq!(plant.verdicts()[0].verdict, bourn::verdict::Verdict::NotShown, "own: {own}");
    }
}
