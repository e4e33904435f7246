//! One small record for each form, judged by hand in the comment.

use super::scene::{Scene, minutely};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};

fn core(limit: &str, values: &[&str]) -> Verdict {
    let mut scene = Scene::new(limit, &[]);
    scene.files[0].1 = minutely(values);
    scene.verdict()
}

const COLD: [&str; 11] = ["3"; 11];

#[test]
fn a_bound_binds_every_reading() {
    assert_eq!(core("x core <= 4 °C", &COLD), Met);
    let mut warm = COLD;
    warm[5] = "4.1";
    assert_eq!(core("x core <= 4 °C", &warm), NotMet);
    // Exactly at the limit: met by <=, broken by <.
    warm[5] = "4";
    assert_eq!(core("x core <= 4 °C", &warm), Met);
    assert_eq!(core("x core < 4 °C", &warm), NotMet);
}

#[test]
fn a_dropout_code_below_an_upper_limit_is_no_pass() {
    // A blank is no reading; with one minute steps and a credit gap of 2.5 min one missing minute is bridged, three are not.
    let mut gap = COLD;
    gap[5] = "";
    assert_eq!(core("x core <= 4 °C", &gap), Met);
    gap[4] = "";
    gap[6] = "";
    assert_eq!(core("x core <= 4 °C", &gap), NotShown);
    // A declared broken code breaks the join where it stands, alone.
    let mut broken = COLD;
    broken[5] = "OL";
    assert_eq!(core("x core <= 4 °C", &broken), NotShown);
}

#[test]
fn a_range_and_a_tolerance_include_both_ends() {
    let values = ["2", "3", "4", "5", "4", "3", "2", "3", "4", "5", "5"];
    assert_eq!(core("x core between 2 °C and 5 °C", &values), Met);
    assert_eq!(core("x core = 3.5 °C ± 1.5 °C", &values), Met);
    assert_eq!(core("x core = 3.5 °C ± 1.4 °C", &values), NotMet);
}

#[test]
fn held_is_one_stretch_and_in_total_is_all_of_them() {
    // At 70 or more from 10:02 to 10:04 and from 10:07 to 10:09: two stretches of two minutes.
    let values = ["60", "65", "70", "71", "70", "69", "69", "70", "71", "70", "60"];
    assert_eq!(core("x core >= 70 °C held for 2 min", &values), Met);
    // Possible at most: the whole of each neighbouring minute, 10:01–10:05 is 4 min.
    assert_eq!(core("x core >= 70 °C held for 3 min", &values), NotShown);
    assert_eq!(core("x core >= 70 °C held for 5 min", &values), NotMet);
    assert_eq!(core("x core >= 70 °C in total at least 4 min", &values), Met);
    // Possible in total: 10:01–10:05 and 10:06–10:10, eight minutes.
    assert_eq!(core("x core >= 70 °C in total at least 8 min", &values), NotShown);
    assert_eq!(core("x core >= 70 °C in total at least 9 min", &values), NotMet);
}

#[test]
fn a_share_of_a_stage_and_whichever_is_longer() {
    // Ten minutes of cooking, certainly at 70 or more for 5 min, from 10:05 to 10:10.
    let values = ["60", "60", "60", "60", "60", "70", "70", "70", "70", "70", "70"];
    assert_eq!(core("x core >= 70 °C in total at least 50 % of cooking", &values), Met);
    assert_eq!(core("x core >= 70 °C in total at least 55 % of cooking", &values), NotShown);
    assert_eq!(core("x core >= 70 °C in total at least 70 % of cooking", &values), NotMet);
    assert_eq!(core("x core >= 70 °C in total at least 40 % of cooking or 5 min, whichever is longer", &values), Met);
    assert_eq!(
        core("x core >= 70 °C in total at least 40 % of cooking or 7 min, whichever is longer", &values),
        NotMet
    );
}

#[test]
fn exposure_summed_and_at_a_stretch() {
    // Above 10 °C at 10:03–10:04 and 10:07–10:08: least 2 × 1 min, most 2 × 3 min.
    let values = ["5", "5", "5", "11", "11", "5", "5", "11", "11", "5", "5"];
    assert_eq!(core("x core above 10 °C in total at most 6 min", &values), Met);
    assert_eq!(core("x core above 10 °C in total at most 5 min", &values), NotShown);
    assert_eq!(core("x core above 10 °C in total at most 1 min", &values), NotMet);
    assert_eq!(core("x core above 10 °C at a stretch at most 3 min", &values), Met);
    assert_eq!(core("x core above 10 °C at a stretch at most 2 min", &values), NotShown);
    assert_eq!(core("x core above 10 °C at a stretch at most 30 s", &values), NotMet);
}

#[test]
fn a_passage_runs_from_the_first_instant_below_to_the_first_instant_at_or_below() {
    // Below 60 first between 10:02 and 10:03, at or below 20 first between 10:07 and 10:08: between 4 and 6 min.
    let values = ["70", "65", "60", "55", "50", "40", "30", "25", "20", "15", "10"];
    assert_eq!(core("x core from 60 °C to 20 °C within 6 min", &values), Met);
    assert_eq!(core("x core from 60 °C to 20 °C within 5 min", &values), NotShown);
    assert_eq!(core("x core from 60 °C to 20 °C within 3 min", &values), NotMet);
    // Nothing shows where it started from: the first reading is already below 80.
    assert_eq!(core("x core from 80 °C to 20 °C within 8 min", &values), NotShown);
}

#[test]
fn a_reduction_is_summed_at_the_lower_and_at_the_higher_end_of_each_step() {
    // D is 1 min at 70 °C: ten minutes at 70 are 10 decimal reductions, exactly.
    let mut scene = Scene::new("x reduction by bug from core >= 9.99 log10", &[]);
    scene.files[0].1 = minutely(&["70"; 11]);
    assert_eq!(scene.verdict(), Met);
    scene.limit = "x reduction by bug from core >= 10.01 log10".to_owned();
    assert_eq!(scene.verdict(), NotMet);
    // Alternating 60 and 70 °C: least 10 × 0.1, most 10 × 1.
    scene.files[0].1 = minutely(&["60", "70", "60", "70", "60", "70", "60", "70", "60", "70", "60"]);
    scene.limit = "x reduction by bug from core >= 0.99 log10".to_owned();
    assert_eq!(scene.verdict(), Met);
    scene.limit = "x reduction by bug from core >= 5 log10".to_owned();
    assert_eq!(scene.verdict(), NotShown);
}

#[test]
fn a_limit_in_fahrenheit_is_exact() {
    // 160 °F is 71.111… °C: 71.1 is below it, 71.2 above.
    assert_eq!(core("x core >= 160 °F", &["71.1"; 11]), NotMet);
    assert_eq!(core("x core >= 160 °F", &["71.2"; 11]), Met);
}

#[test]
fn a_stage_without_an_end_and_a_stage_that_ends_before_it_begins_show_nothing() {
    let mut scene = Scene::new("x core <= 4 °C", &[]);
    scene.files[0].1 = minutely(&COLD);
    scene.stage = ("10:00:00", "");
    assert_eq!(scene.verdict(), NotShown);
    scene.stage = ("10:10:00", "09:50:00");
    assert_eq!(scene.verdict(), NotShown);
    scene.stage = ("", "");
    let limit = scene.limit();
    assert_eq!((limit.verdict, limit.not_yet), (NotShown, true));
}

#[test]
fn an_event_of_another_record_is_uncertain_by_two_minutes() {
    // One minute over the limit at 10:00: certainly in the stage on one record, possibly outside it on two.
    let mut values = COLD;
    values[0] = "9";
    let mut scene = Scene::new("x core <= 4 °C", &[]);
    scene.files[0].1 = minutely(&values);
    assert_eq!(scene.verdict(), NotMet);
    scene.one_record = false;
    assert_eq!(scene.verdict(), NotShown);
}

#[test]
fn every_sample_counts_and_there_must_be_enough() {
    let samples = |rows: &str, limit: &str| {
        let scene = Scene { files: vec![], ..Scene::new(limit, &[]) };
        let text = format!("Lot,Sample,Time,aw\n{rows}");
        let mapping = "samples:\n  - files: [lab.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    sample: Sample\n    columns:\n      aw: { parameter: wetness, unit: aw }\n";
        scene.verification(&[("lab.csv", &text)], mapping).lots[0].limits[0].verdict
    };
    let limit = "x wetness <= 0.85 in every sample, at least 3 per lot";
    let row = |sample: &str, value: &str| format!("L1,{sample},2026-10-06 09:00,{value}\n");
    let three = row("1", "0.84") + &row("2", "0.85") + &row("3", "0.80");
    assert_eq!(samples(&three, limit), Met);
    assert_eq!(samples(&(row("1", "0.84") + &row("2", "0.85")), limit), NotShown);
    assert_eq!(samples(&(row("1", "0.84") + &row("2", "0.86")), limit), NotMet);
    // A retest of sample 1 is no third sample; it can only break the limit.
    assert_eq!(samples(&(row("1", "0.84") + &row("2", "0.85") + &row("1", "0.83")), limit), NotShown);
    assert_eq!(samples(&(three.clone() + &row("1", "0.86")), limit), NotMet);
    // `<0.85` lies below the limit; `<0.9` may lie on either side.
    assert_eq!(samples(&(row("1", "<0.85") + &row("2", "0.8") + &row("3", "0.8")), limit), Met);
    assert_eq!(samples(&(row("1", "<0.9") + &row("2", "0.8") + &row("3", "0.8")), limit), NotShown);
}

#[test]
fn checks_show_only_what_lies_between_two_good_ones() {
    let checks = |rows: &str| {
        let mut scene = Scene { files: vec![], ..Scene::new("x piece is found during cooking", &[]) };
        scene.stage = ("10:00:00", "12:00:00");
        let body: String = rows
            .split_whitespace()
            .map(|row| {
                let (at, answer) = row.split_once('=').unwrap();
                format!("2026-10-05 {at},{answer}\n")
            })
            .collect();
        let text = format!("Time,Piece\n{body}");
        let mapping = "readings:\n  - files: [checks.csv]\n    record: cook-record\n    spot: true\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    missing: [\"\"]\n    columns:\n      Piece: { parameter: piece, answers: { found: [\"yes\"], lost: [\"no\"] } }\n";
        scene.verification(&[("checks.csv", &text)], mapping).lots[0].limits[0].verdict
    };
    assert_eq!(checks("09:55=yes 10:55=yes 11:50=yes 12:05=yes"), Met);
    assert_eq!(checks("09:55=yes 10:55=no 11:00=yes 11:05=yes 11:50=yes 12:05=yes"), NotMet);
    // No check before the start, none after the end, one missed for more than two intervals.
    assert_eq!(checks("10:55=yes 11:50=yes 12:05=yes"), NotShown);
    assert_eq!(checks("09:55=yes 10:55=yes 11:50=yes"), NotShown);
    assert_eq!(checks("09:55=yes 12:05=yes"), NotShown);
    // An answer that nobody declared is not good, and is not against the limit either.
    assert_eq!(checks("09:55=yes 10:55=maybe 11:50=yes 12:05=yes"), NotShown);
    // The first check after the end is bad: product back to the last good check is in question.
    assert_eq!(checks("09:55=yes 10:55=yes 11:50=yes 12:05=no 12:10=yes 12:15=yes"), NotShown);
    // Two answers at one instant show nothing, in whatever order they were typed; nor are two rows of one instant two
    // good checks in a row.
    assert_eq!(checks("09:55=yes 10:55=yes 11:50=yes 12:05=yes 12:05=no"), NotShown);
    assert_eq!(checks("09:55=yes 10:55=no 10:55=yes 11:50=yes 12:05=yes"), NotShown);
    assert_eq!(checks("09:40=no 09:55=yes 09:55=yes 10:55=yes 11:50=no 12:05=yes"), NotMet);
}

#[test]
fn an_instrument_that_fails_its_calibration_shows_nothing_since_its_last_good_one() {
    let mut scene = Scene::new("x core <= 4 °C", &[]);
    scene.files[0].1 = minutely(&COLD);
    scene.calibrations =
        &["probe,2026-10-01 08:00,0.1,0.0", "probe,2026-10-08 08:00,0.9,0.0", "probe,2026-10-08 09:00,0.1,0.0"];
    let limit = scene.limit();
    assert_eq!((limit.verdict, limit.as_read), (NotShown, Some(Met)));
    // Without a calibration on record nothing that the instrument measured is shown.
    scene.calibrations = &["other,2026-10-01 08:00,0.1,0.0"];
    let limit = scene.limit();
    assert_eq!((limit.verdict, limit.as_read), (NotShown, Some(Met)));
    // Off by exactly what is allowed is good.
    scene.calibrations = &["probe,2026-10-01 08:00,0.1,0.0", "probe,2026-10-08 08:00,0.5,0.0"];
    assert_eq!(scene.verdict(), Met);
}

#[test]
fn a_frozen_sensor_shows_nothing_once_it_has_stood_still_too_long() {
    let mut scene = Scene::new("x core <= 4 °C", &[]);
    scene.files[0].1 = minutely(&COLD);
    scene.instrument = "stuck after 5 min";
    assert_eq!(scene.verdict(), NotShown);
    scene.files[0].1 = minutely(&["3", "3.1", "3", "3.1", "3", "3.1", "3", "3.1", "3", "3.1", "3"]);
    assert_eq!(scene.verdict(), Met);
}

#[test]
fn a_value_that_the_instrument_cannot_read_breaks_the_trace() {
    let mut values = COLD;
    values[5] = "-60";
    assert_eq!(core("x core <= 4 °C", &values), NotShown);
}

#[test]
fn nothing_recorded_is_never_met() {
    let scene = Scene { files: vec![], ..Scene::new("x core <= 4 °C", &[]) };
    assert_eq!(scene.verdict(), NotShown);
    let scene = Scene::new("x core <= 4 °C", &[("12:00:00", "3")]);
    assert_eq!(scene.verdict(), NotShown);
}
