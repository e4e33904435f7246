//! The further forms, each on a record that can be judged with a pencil.

use super::scene::{Scene, minutely};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};

fn core(limit: &str, values: &[&str]) -> Verdict {
    let mut scene = Scene::new(limit, &[]);
    scene.files[0].1 = minutely(values);
    scene.verdict()
}

/// Ten minutes from 60 to 80 °C, two degrees a minute.
const RISE: [&str; 11] = ["60", "62", "64", "66", "68", "70", "72", "74", "76", "78", "80"];
/// Ten minutes from 80 to 60 °C.
const FALL: [&str; 11] = ["80", "78", "76", "74", "72", "70", "68", "66", "64", "62", "60"];

#[test]
fn a_forbidden_band_is_never_entered() {
    assert_eq!(core("x no core between 38 °C and 40 °C", &RISE), Met);
    assert_eq!(core("x no core between 70 °C and 71 °C", &RISE), NotMet);
    // From 68 to 72 °C in one minute: it went through 70.5 somewhere, though no reading says so.
    assert_eq!(core("x no core between 70.5 °C and 71.5 °C", &RISE), NotShown);
}

#[test]
fn reached_once() {
    assert_eq!(core("x core reaches 80 °C", &RISE), Met);
    assert_eq!(core("x core reaches 81 °C", &RISE), NotMet);
    // 70 °C is reached at 10:05, after the reading of 10:04: between 4 and 5 min.
    assert_eq!(core("x core reaches 70 °C within 5 min of start-cook", &RISE), Met);
    assert_eq!(core("x core reaches 70 °C within 3 min of start-cook", &RISE), NotMet);
}

#[test]
fn a_rate_names_its_span() {
    // Two degrees a minute are ten in five minutes; judged from the first to the last reading.
    assert_ne!(core("x core falls at least 8 °C in every 5 min", &FALL), NotMet);
    assert_eq!(core("x core falls at least 13 °C in every 5 min", &FALL), NotMet);
    assert_eq!(core("x core falls at least 1 °C in every 5 min", &RISE), NotMet);
}

#[test]
fn how_long_a_stage_lasts() {
    let lasts = |limit: &str| core(limit, &RISE);
    assert_eq!(lasts("x cooking lasts at least 10 min"), Met);
    assert_eq!(lasts("x cooking lasts at least 11 min"), NotMet);
    assert_eq!(lasts("x cooking lasts at most 9 min"), NotMet);
    let mut open = Scene::new("x cooking lasts at least 5 min", &[]);
    open.files[0].1 = minutely(&RISE);
    open.stage = ("10:00:00", "");
    assert_eq!(open.verdict(), NotShown);
}

#[test]
fn time_between_events_and_the_order_of_stages() {
    assert_eq!(core("x from start-cook to end-cook within 10 min", &RISE), Met);
    assert_eq!(core("x from start-cook to end-cook within 9 min", &RISE), NotMet);
    assert_eq!(core("x from start-cook to end-cook at least 10 min", &RISE), Met);
    // The same stage cannot end before it begins.
    assert_eq!(core("x cooking ends before cooking begins", &RISE), NotMet);
}

#[test]
fn equivalent_time_at_a_temperature() {
    // Ten minutes at exactly 70 °C are ten minutes at 70 °C; at 60 °C with z 10 °C they are one.
    assert_eq!(core("x F of core at 70 °C z 10 °C >= 9.9 min", &["70"; 11]), Met);
    assert_eq!(core("x F of core at 70 °C z 10 °C >= 10.1 min", &["70"; 11]), NotMet);
    assert_eq!(core("x F of core at 70 °C z 10 °C >= 59 s", &["60"; 11]), Met);
    assert_eq!(core("x F of core at 70 °C z 10 °C >= 61 s", &["60"; 11]), NotMet);
}

#[test]
fn degrees_over_time_until_an_end_point() {
    // Ten minutes at 6 °C above the base are one degree-hour.
    assert_eq!(core("x degree-hours of core above 64 °C <= 1.01 °C·h", &["70"; 11]), Met);
    assert_eq!(core("x degree-hours of core above 64 °C <= 0.99 °C·h", &["70"; 11]), NotMet);
}

#[test]
fn any_row_of_a_table() {
    let table = "table rows \"Rows\" { row >= 75 °C held for 1 min; row >= 70 °C held for 4 min }";
    let judged = |values: &[&str]| {
        let mut scene = Scene::new("x core meets any row of rows", &[]);
        scene.more = table;
        scene.files[0].1 = minutely(values);
        scene.verdict()
    };
    assert_eq!(judged(&RISE), Met);
    assert_eq!(judged(&["60", "60", "70", "71", "71", "71", "71", "70", "60", "60", "60"]), Met);
    // 70 °C or more for three minutes, possibly five; never 75.
    assert_eq!(judged(&["60", "60", "60", "70", "71", "71", "70", "60", "60", "60", "60"]), NotShown);
    assert_eq!(judged(&["60"; 11]), NotMet);
}

#[test]
fn one_of_and_all_of() {
    let either =
        "x one of { option high core reaches 79 °C; option long { core >= 60 °C held for 9 min; core <= 90 °C } }";
    assert_eq!(core(either, &RISE), Met);
    assert_eq!(core(either, &["60"; 11]), Met);
    assert_eq!(core(either, &["59"; 11]), NotMet);
    let both = "x all of { core reaches 79 °C; core >= 60 °C held for 9 min }";
    assert_eq!(core(both, &RISE), Met);
    assert_eq!(core(both, &["60"; 11]), NotMet);
}

#[test]
fn beside_another_parameter() {
    // The air stays three degrees or more above the core.
    let judged = |limit: &str, air: &[&str]| {
        let mut scene = Scene::new(limit, &[]);
        scene.more = "parameter air \"Air\" { unit °C }";
        scene.files[0].1 = minutely(&RISE);
        let body: String = minutely(air).iter().map(|(at, value)| format!("2026-10-05 {at},L1,{value}\n")).collect();
        let mapping = "  - files: [air.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }\n    lot: Lot\n    columns:\n      Air: { parameter: air, unit: °C, broken: [OL] }\n";
        scene.also_monitored = "monitor air continuously step 1 min by worker on cook-record";
        scene.verification(&[("air.csv", &format!("Time,Lot,Air\n{body}"))], mapping).lots[0].limits[0].verdict
    };
    let warm = ["65", "67", "69", "71", "73", "75", "77", "79", "81", "83", "85"];
    // Readings of one minute are paired, and the difference, five degrees, is a trace of its own.
    assert_eq!(judged("x air >= core + 3 °C", &warm), Met);
    assert_eq!(judged("x air >= core + 6 °C", &warm), NotMet);
    assert_eq!(judged("x air - core >= 100 °C", &warm), NotMet);
    assert_eq!(judged("x core <= air", &warm), Met);
    assert_eq!(judged("x air <= core", &warm), NotMet);
    // A broken row of either breaks the pairs: between 10:04 and 10:06 nothing is known of the difference.
    let mut broken = warm;
    broken[5] = "OL";
    assert_eq!(judged("x air >= core + 3 °C", &broken), NotShown);
}

#[test]
fn an_exposure_counted_from_the_end_of_its_own_stage_has_no_end() {
    // The stage is over when the clock starts: nothing says until when, so nothing is shown, least of all met.
    assert_eq!(core("x core above 10 °C in total at most 3 h from end-cook", &RISE), NotShown);
    assert_eq!(core("x core above 10 °C in total at most 10 min from start-cook", &RISE), Met);
}

#[test]
fn an_attributes_plan_counts_over_all_results() {
    let judged = |values: &[&str]| {
        let scene = Scene { files: vec![], ..Scene::new("x wetness n 5, c 2, m 0.8, M 0.9", &[]) };
        let rows: String =
            values.iter().enumerate().map(|(index, value)| format!("L1,{index},2026-10-06 09:00,{value}\n")).collect();
        let mapping = "samples:\n  - files: [lab.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    sample: Sample\n    columns:\n      aw: { parameter: wetness, unit: aw }\n";
        scene.verification(&[("lab.csv", &format!("Lot,Sample,Time,aw\n{rows}"))], mapping).lots[0].limits[0].verdict
    };
    assert_eq!(judged(&["0.7", "0.8", "0.75", "0.81", "0.85"]), Met);
    assert_eq!(judged(&["0.7", "0.81", "0.82", "0.81", "0.7"]), NotMet, "three over m");
    assert_eq!(judged(&["0.7", "0.7", "0.7", "0.7", "0.91"]), NotMet, "one over M");
    assert_eq!(judged(&["0.7", "0.7", "0.7", "0.7"]), NotShown, "one of five missing may be over M");
}

#[test]
fn growth_is_summed_at_the_slowest_and_at_the_fastest_of_each_step() {
    // At the optimum all the time: 6 log10 an hour for ten minutes are one decimal growth.
    let judged = |limit: &str, values: &[&str]| {
        let mut scene = Scene::new(limit, &[]);
        scene.more = "growth model grower \"Grower\" { minimum 10 °C; optimum 45 °C; maximum 51 °C; rate 6 log10/h }";
        scene.files[0].1 = minutely(values);
        scene.verdict()
    };
    assert_eq!(judged("x growth by grower from core <= 1.01 log10", &["45"; 11]), Met);
    assert_eq!(judged("x growth by grower from core <= 0.99 log10", &["45"; 11]), NotMet);
    // Below the lowest temperature nothing grows.
    assert_eq!(judged("x growth by grower from core <= 0.01 log10", &["4"; 11]), Met);
    // From 4 to 80 °C in one minute it passed the optimum somewhere: at most a tenth of a decade in that minute.
    let jump = ["4", "4", "4", "4", "4", "80", "80", "80", "80", "80", "80"];
    assert_eq!(judged("x growth by grower from core <= 0.11 log10", &jump), Met);
    assert_eq!(judged("x growth by grower from core <= 0.05 log10", &jump), NotShown);
}

#[test]
fn less_than_and_more_than_leave_the_figure_itself_out() {
    // Exactly ten minutes at 70 °C; the stage lasts exactly ten.
    let flat = |limit: &str| core(limit, &["70"; 11]);
    for (at, beyond) in [
        ("x core >= 70 °C held for 10 min", "x core >= 70 °C held for more than 10 min"),
        ("x core >= 70 °C in total at least 10 min", "x core >= 70 °C in total more than 10 min"),
        ("x core >= 70 °C at a stretch at least 10 min", "x core >= 70 °C at a stretch more than 10 min"),
        ("x core above 60 °C in total at most 10 min", "x core above 60 °C in total less than 10 min"),
        ("x core above 60 °C at a stretch at most 10 min", "x core above 60 °C at a stretch less than 10 min"),
        ("x cooking lasts at least 10 min", "x cooking lasts more than 10 min"),
        ("x cooking lasts at most 10 min", "x cooking lasts less than 10 min"),
        ("x from start-cook to end-cook within 10 min", "x from start-cook to end-cook in less than 10 min"),
        ("x from start-cook to end-cook at least 10 min", "x from start-cook to end-cook more than 10 min"),
    ] {
        assert_eq!(flat(at), Met, "{at}");
        assert_eq!(flat(beyond), NotMet, "{beyond}");
    }
    // Below 60 first between 10:02 and 10:03, at or below 20 between 10:07 and 10:08: between 4 and 6 min.
    let cooling = ["70", "65", "60", "55", "50", "40", "30", "25", "20", "15", "10"];
    assert_eq!(core("x core from 60 °C to 20 °C within 6 min", &cooling), Met);
    assert_eq!(core("x core from 60 °C to 20 °C in less than 6 min", &cooling), NotShown);
    assert_eq!(core("x core from 60 °C to 20 °C in less than 4 min", &cooling), NotMet);
    // 70 °C is reached between 4 and 5 min.
    assert_eq!(core("x core reaches 70 °C in less than 5 min of start-cook", &RISE), NotShown);
    assert_eq!(core("x core reaches 70 °C in less than 5 min 1 s of start-cook", &RISE), Met);
    // A sum that is rounded outwards at each step is never shown to be less than the very figure it is.
    assert_ne!(flat("x degree-hours of core above 64 °C < 1 °C·h"), Met);
    assert_eq!(flat("x degree-hours of core above 64 °C < 1.01 °C·h"), Met);
    assert_eq!(flat("x F of core at 70 °C z 10 °C > 9.9 min"), Met);
    assert_ne!(flat("x F of core at 70 °C z 10 °C > 10 min"), Met);
    // At the base itself nothing is summed, exactly.
    assert_eq!(flat("x degree-hours of core above 70 °C <= 0 °C·h"), Met);
    assert_eq!(flat("x degree-hours of core above 70 °C < 0 °C·h"), NotMet);
}

#[test]
fn a_tolerance_may_be_a_share_of_the_value() {
    // 5 % of 0.8 are 0.04: from 0.76 to 0.84.
    let judged = |value: &str| {
        let scene = Scene { files: vec![], ..Scene::new("x wetness = 0.8 ± 5 % of value in every sample", &[]) };
        let text = format!("Lot,Sample,Time,aw\nL1,1,2026-10-06 09:00,{value}\n");
        let mapping = "samples:\n  - files: [lab.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    sample: Sample\n    columns:\n      aw: { parameter: wetness, unit: aw }\n";
        scene.verification(&[("lab.csv", &text)], mapping).lots[0].limits[0].verdict
    };
    for (value, verdict) in [("0.75", NotMet), ("0.76", Met), ("0.8", Met), ("0.84", Met), ("0.85", NotMet)] {
        assert_eq!(judged(value), verdict, "{value}");
    }
}

/// The lot's own row has start, end and a column for the reheat; a second file is the log of reheats.
fn reheats(limit: &str, column: &str, log: &[&str]) -> Verdict {
    let mut scene = Scene::new(limit, &[]);
    scene.more = "event reheat on cook-record";
    let rows: String = log.iter().map(|time| format!("L1,,{time}\n")).collect();
    let body = format!("Lot,Begun,Reheat\nL1,2026-10-05 10:00,{column}\n{rows}");
    scene.register = Some((body, "start-cook: Begun, reheat: Reheat"));
    scene.verdict()
}

#[test]
fn how_often_an_event_happens() {
    let once = "x reheat at most 1 time per lot";
    assert_eq!(reheats(once, "", &[]), Met);
    assert_eq!(reheats(once, "2026-10-05 11:00", &[]), Met);
    assert_eq!(reheats(once, "2026-10-05 11:00", &["2026-10-05 12:00"]), NotMet);
    // The same instant twice: one reheat written twice, or two within a minute.
    assert_eq!(reheats(once, "2026-10-05 11:00", &["2026-10-05 11:00"]), NotShown);
    // A cell that is no time may be one.
    assert_eq!(reheats(once, "2026-10-05 11:00", &["noon"]), NotShown);
    assert_eq!(reheats(once, "2026-10-05 11:00", &["2026-10-05 12:00", "noon"]), NotMet);
    let twice = "x reheat at least 2 times per lot";
    assert_eq!(reheats(twice, "2026-10-05 11:00", &[]), NotMet);
    assert_eq!(reheats(twice, "2026-10-05 11:00", &["2026-10-05 12:00"]), Met);
    assert_eq!(reheats(twice, "2026-10-05 11:00", &["noon"]), NotShown);
    // A register that does not ask for the event shows neither that it happened nor that it did not.
    let mut silent = Scene::new(once, &[]);
    silent.more = "event reheat on cook-record";
    assert_eq!(silent.verdict(), NotShown);
}
