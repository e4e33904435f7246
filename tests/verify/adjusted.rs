//! Misses that were adjusted before the lot left the step, and how far back product is held.

use super::scene::Scene;
use bourn::verdict::Verdict::{Met, NotMet, NotShown};
use bourn::verify::LimitVerdict;

const CHECKS: &str = r#"readings:
  - files: [checks.csv]
    record: cook-record
    spot: true
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns:
      Piece: { parameter: piece, answers: { found: ["yes"], lost: ["no"] } }
"#;

const SAMPLES: &str = r#"samples:
  - files: [water.csv]
    record: cook-record
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    lot: Lot
    sample: Sample
    columns:
      aw: { parameter: wetness, unit: aw }
"#;

/// A lot that was at the step from 9:10 to 10:50 and left at the time given; blank for no record of it.
fn scene(limit: &str, left: &str, deviation: &'static str) -> Scene {
    let mut scene = Scene::new(limit, &[]);
    scene.files.clear();
    scene.more = "event left on cook-record\n";
    scene.also_monitored = deviation;
    let left = if left.is_empty() { String::new() } else { format!("2026-10-05 {left}") };
    let row = format!("Lot,Start,End,Left\nL1,2026-10-05 09:10,2026-10-05 10:50,{left}\n");
    scene.register = Some((row, "start-cook: Start, end-cook: End, left: Left"));
    scene
}

fn rows(head: &str, rows: &[(&str, &str)]) -> String {
    rows.iter().fold(format!("{head}\n"), |text, (at, rest)| format!("{text}2026-10-05 {at},{rest}\n"))
}

const ADJUST: &str = "deviation { hold \"Hold\"; adjust before left }";
const STANDS: &str = "deviation { hold \"Hold\" }";

fn checked(left: &str, deviation: &'static str, checks: &[(&str, &str)]) -> LimitVerdict {
    let file = rows("Time,Piece", checks);
    scene("x piece is found during cooking", left, deviation)
        .verification(&[("checks.csv", file.as_str())], CHECKS)
        .lots[0]
        .limits[0]
        .clone()
}

/// The examples of docs/limits-lots.md.
#[test]
fn a_check_that_is_adjusted_in_time_is_told_as_such() {
    let put_right = [("09:00", "yes"), ("10:00", "no"), ("10:10", "yes"), ("11:00", "yes")];
    assert_eq!(checked("11:30", STANDS, &put_right).verdict, NotMet);
    let found = checked("11:30", ADJUST, &put_right);
    assert_eq!(found.verdict, Met);
    let told: Vec<&str> = found.adjusted().collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].starts_with("a miss that was adjusted: check of 2026-10-05 10:00"), "{told:?}");
    assert!(found.why.starts_with("a miss that was adjusted"), "{}", found.why);
    // Left before the good check; at its minute, so that nobody can tell; at a time that nobody wrote down.
    let page = |deviation| {
        let file = rows("Time,Piece", &put_right);
        scene("x piece is found during cooking", "11:30", deviation).report(&[("checks.csv", file.as_str())], CHECKS)
    };
    let page_with = page(ADJUST);
    assert!(page_with.contains("Adjusted before the lot left the step"));
    assert!(page_with.contains("a miss that was adjusted: check of 2026-10-05 10:00"));
    assert!(!page(STANDS).contains("Adjusted before the lot left the step"));
    assert_eq!(checked("10:05", ADJUST, &put_right).verdict, NotMet);
    assert_eq!(checked("10:10", ADJUST, &put_right).verdict, NotShown);
    assert_eq!(checked("", ADJUST, &put_right).verdict, NotShown);
    // No good check after the miss, or after the last of several.
    assert_eq!(checked("11:30", ADJUST, &put_right[..2]).verdict, NotMet);
    let again = [("09:00", "yes"), ("10:00", "no"), ("10:10", "yes"), ("10:40", "no"), ("11:40", "yes")];
    assert_eq!(checked("11:30", ADJUST, &again).verdict, NotMet);
}

fn sampled(limit: &str, left: &str, deviation: &'static str, samples: &[(&str, &str)]) -> LimitVerdict {
    let lines: Vec<(&str, String)> = samples.iter().map(|(at, rest)| (*at, format!("L1,{rest}"))).collect();
    let lines: Vec<(&str, &str)> = lines.iter().map(|(at, rest)| (*at, rest.as_str())).collect();
    let file = rows("Time,Lot,Sample,aw", &lines);
    scene(limit, left, deviation).verification(&[("water.csv", file.as_str())], SAMPLES).lots[0].limits[0].clone()
}

#[test]
fn a_sample_that_is_adjusted_in_time_counts_no_more_and_a_retest_adjusts_nothing() {
    let limit = "x wetness <= 0.85 in every sample";
    let put_right = [("10:00", "A,0.90"), ("10:30", "B,0.84")];
    assert_eq!(sampled(limit, "11:30", STANDS, &put_right).verdict, NotMet);
    let found = sampled(limit, "11:30", ADJUST, &put_right);
    assert_eq!((found.verdict, found.adjusted().count()), (Met, 1));
    assert_eq!(sampled(limit, "10:20", ADJUST, &put_right).verdict, NotMet);
    assert_eq!(sampled(limit, "", ADJUST, &put_right).verdict, NotShown);
    assert_eq!(sampled(limit, "11:30", ADJUST, &[("10:00", "A,0.90"), ("10:30", "A,0.84")]).verdict, NotMet);
    assert_eq!(sampled(limit, "11:30", ADJUST, &[("10:00", "A,0.84"), ("10:30", "B,0.90")]).verdict, NotMet);
    // What was put right is no sample of the lot as it left.
    let two = "x wetness <= 0.85 in every sample, at least 2 per lot";
    assert_eq!(sampled(two, "11:30", ADJUST, &put_right).verdict, NotShown);
}

/// Hourly checks; the piece was lost at 11:00. The window begins at the last good check before it, or, where every limit
/// must have been met, at the last one at which the others were too.
#[test]
fn hold_back_goes_to_the_last_check_with_every_limit_met() {
    let from = |other: &str, deviation: &'static str, cold: &[(&str, &str)], water: &[(&str, &str)]| {
        let checks =
            [("08:00", "yes"), ("09:00", "yes"), ("10:00", "yes"), ("11:00", "no"), ("12:00", "yes"), ("13:00", "yes")];
        let mut scene = scene(&format!("x piece is found during cooking\n  {other}"), "11:30", deviation);
        scene.often = "every 1 h";
        let (checks, cold) = (rows("Time,Piece", &checks), rows("Time,Core", cold));
        let water = water
            .iter()
            .fold("Time,Lot,Sample,aw\n".to_owned(), |text, (at, rest)| format!("{text}2026-10-05 {at},L1,{rest}\n"));
        let mapping = format!(
            "{CHECKS}{}{SAMPLES}",
            CHECKS.replace("readings:\n", "").replace("checks.csv", "cold.csv").replace(
                "Piece: { parameter: piece, answers: { found: [\"yes\"], lost: [\"no\"] } }",
                "Core: { parameter: core, unit: °C }"
            )
        );
        let files = [("checks.csv", checks.as_str()), ("cold.csv", cold.as_str()), ("water.csv", water.as_str())];
        let affected = scene.verification(&files, &mapping).affected;
        assert_eq!(affected.len(), 1, "{affected:?}");
        let hour = |at: i64| at.rem_euclid(86_400_000_000_000) / 3_600_000_000_000;
        (affected[0].from.map(hour), affected[0].to.map(hour))
    };
    let every = "deviation { hold-back to last check with every limit met }";
    let last = "deviation { hold-back to last good check }";
    let cold = "limit cold core <= 4 °C";
    let warm_at_ten = [("08:00", "3"), ("09:00", "3"), ("10:00", "6"), ("11:00", "3")];
    let all_cold = [("08:00", "3"), ("09:00", "3"), ("10:00", "3"), ("11:00", "3")];
    let dry = [("08:30", "A,0.80")];
    assert_eq!(from(cold, last, &warm_at_ten, &dry), (Some(10), Some(12)));
    assert_eq!(from(cold, every, &all_cold, &dry), (Some(10), Some(12)));
    assert_eq!(from(cold, every, &warm_at_ten, &dry), (Some(9), Some(12)));
    // Warm from the first reading on: back to the start of the records.
    assert_eq!(from(cold, every, &[("08:00", "6"), ("10:00", "6")], &dry), (None, Some(12)));
    // Samples: the result of 9:30 was over the limit.
    let water = "limit water wetness <= 0.85 in every sample";
    assert_eq!(from(water, every, &all_cold, &[("08:30", "A,0.80"), ("09:30", "B,0.90")]), (Some(9), Some(12)));
    assert_eq!(from(water, every, &all_cold, &[("08:30", "A,0.80"), ("09:30", "B,0.80")]), (Some(10), Some(12)));
    // A guide is no limit that must be met.
    assert_eq!(from("guide cold core <= 4 °C", every, &warm_at_ten, &dry), (Some(10), Some(12)));
}
