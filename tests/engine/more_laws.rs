//! Laws about what is added to records and about days and shifts, through the library's public entry on records as text.

use crate::plan_laws::{judged, law, mapping};
use crate::plant::{Plant, When, stamp};
use crate::record::Entry;
use bourn::log::{Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict;
use bourn::verify::{LimitVerdict, Period, verify};

fn reversed(a: Verdict, b: Verdict) -> bool {
    a != b && a != Verdict::NotShown && b != Verdict::NotShown
}

/// A row without which the record still promises what it promised with it: its neighbours are then not joined, or the
/// row lies between them. No event stands near, since a short edge is judged by its nearest reading.
fn spare(plant: &Plant, rows: &[Entry], index: usize) -> bool {
    let Some([before, row, after]) = index.checked_sub(1).and_then(|from| rows.get(from..from + 3)) else {
        return false;
    };
    let alone = |at: i64| rows.iter().filter(|row| row.at == at).count() == 1;
    let (Some(a), Some(value), Some(b)) = (before.value, row.value, after.value) else { return false };
    let events: [When; 4] = [plant.start, plant.end, plant.racks, plant.packed];
    let near = |at: i64| before.at - 2 <= at && at <= after.at + 2;
    [before.at, row.at, after.at].into_iter().all(alone)
        && !events.into_iter().flatten().any(near)
        && (after.at - before.at > plant.core.credit_gap || (a.min(b) <= value && value <= a.max(b)))
}

/// Limits on one recorded trace: what pairs two readings promises that they stand for one instant, and a new reading may
/// find another partner.
fn traced(limit: &LimitVerdict) -> bool {
    limit.parts.iter().all(|part| part.channel.is_some())
}

#[test]
fn one_more_true_reading_never_reverses_a_verdict_of_the_program() {
    let (mut definite, mut changed) = (0, 0);
    let counts = std::cell::RefCell::new((&mut definite, &mut changed));
    law("one-more-true-reading", 11, |r, plant| {
        let full = plant.verdicts();
        for round in 0..4 {
            let mut less = plant.clone();
            for rows in [&mut less.core.rows, &mut less.air] {
                // From one row at a time to most of them; each was true beside those that are left.
                for _ in 0..[1, 6, 25, 80][round] {
                    let index = r.within(0, rows.len().max(1) as i64 - 1) as usize;
                    if spare(plant, rows, index) {
                        rows.remove(index);
                    }
                }
            }
            for (more, fewer) in full.iter().zip(less.verdicts()).filter(|(more, _)| traced(more)) {
                assert!(
                    !reversed(fewer.verdict, more.verdict),
                    "{}: {} without, {} with\n{:?}\n{:?}\n{}",
                    more.symbols,
                    fewer.verdict,
                    more.verdict,
                    plant.core.rows,
                    less.core.rows,
                    plant.plan_text()
                );
                let mut counts = counts.borrow_mut();
                *counts.0 += usize::from(fewer.verdict != Verdict::NotShown);
                *counts.1 += usize::from(fewer.verdict != more.verdict);
            }
        }
    });
    assert!(definite > 200 && changed > 5, "the law was hardly tried: {definite} definite, {changed} changed");
}

/// A good check more, at an instant of its own, shows more and undoes nothing.
#[test]
fn one_more_good_check_never_reverses() {
    let mut definite = 0;
    let count = std::cell::RefCell::new(&mut definite);
    law("one-more-good-check", 12, |r, plant| {
        let at = r.within(0, 75);
        if plant.checks.is_empty() || plant.checks.iter().any(|(other, _)| *other == at) {
            return;
        }
        let mut more = plant.clone();
        more.checks.push((at, "yes"));
        more.checks.sort_unstable();
        let pieces = |plant: &Plant| -> Vec<Verdict> {
            plant
                .verdicts()
                .iter()
                .filter(|limit| limit.symbols.starts_with("piece"))
                .map(|limit| limit.verdict)
                .collect()
        };
        for (before, after) in pieces(plant).into_iter().zip(pieces(&more)) {
            assert!(!reversed(before, after), "{before} {after}\n{:?}\nand {at}", plant.checks);
            **count.borrow_mut() += usize::from(before != Verdict::NotShown);
        }
    });
    assert!(definite > 0);
}

/// Joining logs is joining their rows: every file in two halves, each row in either.
#[test]
fn every_file_in_two_halves_says_the_same() {
    law("joining-logs", 13, |r, plant| {
        let (whole, mut text) = plant.files();
        let mut memory = Memory::default();
        for (name, bytes) in &whole.0 {
            let body = String::from_utf8(bytes.clone()).unwrap();
            let (head, rows) = body.split_once('\n').unwrap();
            let mut halves = [format!("{head}\n"), format!("{head}\n")];
            for row in rows.lines() {
                halves[r.within(0, 1) as usize] += &format!("{row}\n");
            }
            let [a, b] = halves;
            memory = memory.with(format!("a-{name}"), a).with(format!("b-{name}"), b);
            text = text.replace(&format!("[{name}]"), &format!("[a-{name}, b-{name}]"));
        }
        let halves = judged(plant, &memory, &text);
        let limits = |lots: &[bourn::verify::LotVerdicts]| -> Vec<(Verdict, Vec<String>)> {
            let parts = |limit: &LimitVerdict| {
                let extents = limit.parts.iter().map(|part| part.outcome.as_ref().map(|one| (one.extent, one.lower)));
                extents.map(|extent| format!("{extent:?}")).collect()
            };
            lots[0].limits.iter().map(|limit| (limit.verdict, parts(limit))).collect()
        };
        assert_eq!(limits(&plant.verification().lots), limits(&halves.lots));
    });
}

/// Verdicts of a plant whose plan keeps its days and shifts in a zone, from files written by a clock.
fn kept_in(plant: &Plant, zone: &str, clock: &str, moved: impl Fn(i64) -> String) -> Vec<Verdict> {
    let text =
        plant.plan_text().replace("time-zone UTC", &format!("time-zone {zone}; shifts from 06:00, 14:00, 22:00"));
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    let (mut memory, text) = plant.files();
    for bytes in memory.0.values_mut() {
        let mut body = String::from_utf8(bytes.clone()).unwrap();
        // From the last instant back, so that no time is moved twice: a moved one bears the mark of its own day.
        for tick in (0..=120).rev() {
            body = body.replace(&stamp(tick), &moved(tick));
        }
        *bytes = body.replace('~', "").into_bytes();
    }
    let mapping = mapping(&text.replacen("zone: UTC", &format!("zone: {clock}"), 1));
    let records = read(&mapping, &memory);
    verify(&reading.plan, &records, Period::default()).lots[0].limits.iter().map(|limit| limit.verdict).collect()
}

/// A tick as another clock has it, so many hours away; `~` keeps it from being taken for another tick.
fn by(hours: i64) -> impl Fn(i64) -> String {
    move |tick| {
        let at = chrono::NaiveDate::from_ymd_opt(2026, 10, 5).unwrap().and_hms_opt(0, 0, 0).unwrap()
            + chrono::TimeDelta::minutes(tick + 60 * hours);
        at.format("2026-~%m-%d %H:%M:%S").to_string()
    }
}

/// In Kolkata it is 06:00 at half past midnight UTC; one hour ahead of UTC no day and no shift begins.
#[test]
fn days_and_shifts_belong_to_the_zone_of_the_plan() {
    let mut differ = [0, 0];
    let counts = std::cell::RefCell::new(&mut differ);
    law("days-and-shifts", 14, |r, plant| {
        let mut plant = plant.clone();
        plant.clocks = crate::plant::Clocks::One;
        let line = r.within(3, 9);
        let limit = |per: &str| format!("core >= {line} °C in total at least 6 min {{ judged per {per} }}");
        plant.limits = ["lot", "day", "shift"].map(limit).to_vec();
        for (zone, cut) in [("Asia/Kolkata", 2), ("Etc/GMT-1", 1)] {
            let same = kept_in(&plant, zone, "UTC", by(0));
            // The clock of the files is no matter: the same instants lie in the same days and shifts.
            for (clock, hours) in [("Etc/GMT+2", -2), ("Etc/GMT-9", 9), ("Asia/Tokyo", 9), ("Africa/Lagos", 1)] {
                assert_eq!(same, kept_in(&plant, zone, clock, by(hours)), "{zone} {clock}\n{}", plant.plan_text());
            }
            counts.borrow_mut()[cut - 1] += usize::from(same[0] != same[cut]);
        }
    });
    // No midnight of the zone one hour ahead of UTC lies in these records; a change of shifts in Kolkata does.
    assert_eq!(differ[0], 0);
    assert!(differ[1] > 0, "the zone never mattered");
}
