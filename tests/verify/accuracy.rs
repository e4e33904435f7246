//! Limits that count the accuracy of their instruments, with the worked examples of docs/limits.md.

use super::scene::{Scene, minutely};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::LimitVerdict;
use proptest::prelude::*;

/// Readings a minute apart, from 10:00, of a probe that may be off by half a degree.
fn judged(limit: &str, values: &[&str]) -> LimitVerdict {
    let mut scene = Scene::new(&format!("x {limit} {{ accuracy counted }}"), &[]);
    scene.instrument = "accuracy 0.5 °C; ";
    scene.files[0].1 = minutely(values);
    scene.stage = (
        "10:00:00",
        ["10:00:00", "10:03:00", "10:04:00", "10:10:00"][[1, 4, 5].iter().filter(|n| **n < values.len()).count()],
    );
    scene.limit()
}

fn verdict(limit: &str, values: &[&str]) -> Verdict {
    judged(limit, values).verdict
}

#[test]
fn a_bound_is_met_up_to_the_accuracy_inside_it() {
    let highest = |value: &str| verdict("core <= 4 °C", &["3", value, "3", "3"]);
    assert_eq!(["3.5", "3.6", "4", "4.5", "4.6"].map(highest), [Met, NotShown, NotShown, NotShown, NotMet]);
    // Without it the limit is compared with the readings.
    let mut scene = Scene::new("x core <= 4 °C", &[]);
    scene.instrument = "accuracy 0.5 °C; ";
    scene.files[0].1 = minutely(&["4"; 11]);
    let plain = scene.limit();
    assert_eq!(plain.verdict, Met);
    assert!(plain.beside.contains(&("Accuracy", "not counted".to_owned())), "{:?}", plain.beside);
    // What is printed is what was compared.
    let counted = judged("core <= 4 °C", &["3", "3.6", "3", "3"]);
    assert_eq!(counted.symbols, "core ≤ 4 °C { accuracy counted }".replace("4 °C", "4\u{a0}°C"));
    let said = "counted, each reading first widened: ± 0.5\u{a0}°C (probe)".to_owned();
    assert!(counted.beside.contains(&("Accuracy", said)), "{:?}", counted.beside);
    let extent = counted.parts[0].outcome.as_ref().unwrap().extent;
    assert_eq!((extent.least.number(), extent.most.number()), (Some(3.1), Some(4.1)));
}

#[test]
fn every_form_counts_it() {
    // Certainly at or above 72 °C from 72.5 on, possibly from 71.5 on.
    let held =
        |limit: &str| verdict(limit, &["71.4", "72", "72.5", "73", "72.5", "72", "71.4", "60", "60", "60", "60"]);
    assert_eq!(held("core >= 72 °C held for 2 min"), Met);
    assert_eq!(held("core >= 72 °C held for 3 min"), NotShown);
    assert_eq!(held("core >= 72 °C held for 6 min"), NotShown);
    assert_eq!(held("core >= 72 °C held for 6 min 1 s"), NotMet);
    assert_eq!(held("core >= 72 °C in total at least 2 min"), Met);
    assert_eq!(held("core reaches 72.5 °C"), Met);
    assert_eq!(held("core reaches 72.6 °C"), NotShown);
    assert_eq!(held("core reaches 73.6 °C"), NotMet);
    let band = |values: [&str; 4]| verdict("no core between 38 °C and 40 °C", &values);
    assert_eq!(band(["37.4", "36", "36", "36"]), Met);
    assert_eq!(band(["37.6", "36", "36", "36"]), NotShown);
    assert_eq!(band(["38.4", "36", "36", "36"]), NotShown);
    assert_eq!(band(["38.5", "36", "36", "36"]), NotMet);
    // A range narrower than both sides of the accuracy is never shown.
    assert_eq!(verdict("core between 3 °C and 3.9 °C", &["3.4"; 4]), NotShown);
    assert_eq!(verdict("core between 3 °C and 4 °C", &["3.5"; 4]), Met);
    // Two readings, each off by half a degree: falls of 4 °C in two minutes are 3 to 5 °C.
    let falls = |limit: &str| verdict(limit, &["60", "58", "56", "54", "52"]);
    assert_eq!(falls("core falls at least 1 °C in every 2 min"), Met);
    assert_eq!(falls("core falls at least 3.1 °C in every 2 min"), NotShown);
    assert_eq!(falls("core falls at least 7.1 °C in every 2 min"), NotMet);
}

#[test]
fn a_passage_starts_and_ends_with_it() {
    // It has certainly left 54.4 °C below 53.9 and arrived at 26.7 °C at 26.2.
    let within = |limit: &str| verdict(limit, &["60", "54", "53.9", "26.8", "26.2"]);
    assert_eq!(within("core from 54.4 °C to 26.7 °C within 4 min"), Met);
    assert_eq!(within("core from 54.4 °C to 26.7 °C within 3 min"), NotShown);
    let start = |first: &str| verdict("core from 54.4 °C to 26.7 °C within 9 min", &[first, "50", "40", "30", "26"]);
    assert_eq!((start("54.9"), start("54.8")), (Met, NotShown), "54.8 may have been below the starting line");
}

#[test]
fn sums_take_the_lowest_and_the_highest_rate_that_it_leaves() {
    // Ten minutes at 70 °C, where a decade takes a minute and z is 10 °C: 8.91 to 11.22.
    let kill = |least: &str| verdict(&format!("reduction by bug from core >= {least} log10"), &["70"; 11]);
    assert_eq!(["8.9", "8.92", "11.2", "11.23"].map(kill), [Met, NotShown, NotShown, NotMet]);
    let f_value = |least: &str| verdict(&format!("F of core at 70 °C z 10 °C >= {least} min"), &["70"; 11]);
    assert_eq!(["8.9", "8.92", "11.23"].map(f_value), [Met, NotShown, NotMet]);
    // Ten minutes, 5.5 to 6.5 °C above the base.
    let above = |most: &str| verdict(&format!("degree-hours of core above 64 °C <= {most} °C·h"), &["70"; 11]);
    assert_eq!(["1.09", "1.08", "0.92", "0.91"].map(above), [Met, NotShown, NotShown, NotMet]);
}

/// Two instruments, an accuracy each; the pair is compared as widened.
fn beside(limit: &str, [core, air]: [&str; 2]) -> LimitVerdict {
    let mut scene = Scene::new(limit, &[]);
    scene.instrument = "accuracy 0.5 °C; ";
    scene.more = "parameter air \"Air\" { unit °C }\ninstrument bulb \"Bulb\" { measures air; accuracy 1 °C }";
    scene.also_monitored = "monitor air continuously step 1 min by worker using bulb on cook-record";
    scene.files[0].1 = minutely(&[core; 11]);
    let body: String = minutely(&[air; 11]).iter().map(|(at, value)| format!("2026-10-05 {at},L1,{value}\n")).collect();
    let mapping = "  - files: [air.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }\n    lot: Lot\n    columns:\n      Air: { parameter: air, unit: °C }\n";
    scene.verification(&[("air.csv", &format!("Time,Lot,Air\n{body}"))], mapping).lots[0].limits[0].clone()
}

#[test]
fn each_instrument_counts_its_own_and_a_pair_counts_both() {
    let counted = |values| beside("x core <= air { accuracy counted }", values).verdict;
    assert_eq!(counted(["60", "61.5"]), Met);
    assert_eq!(counted(["60", "61.4"]), NotShown);
    assert_eq!(counted(["60", "58.5"]), NotShown);
    assert_eq!(counted(["60", "58.4"]), NotMet);
    // Equal readings are equal, to the last digit.
    assert_eq!(beside("x core <= air", ["60.1", "60.1"]).verdict, Met);
    assert_eq!(beside("x core <= air", ["60.2", "60.1"]).verdict, NotMet);
    let words = beside("x core <= air { accuracy counted }", ["60", "61"]).beside;
    assert_eq!(words[0].1, "counted, each reading first widened: ± 0.5\u{a0}°C (probe), ± 1\u{a0}°C (bulb)");
}

#[test]
fn without_a_known_accuracy_nothing_is_shown() {
    let mut scene = Scene::new("x core <= 4 °C { accuracy counted }", &[]);
    scene.files[0].1 = minutely(&["3"; 11]);
    let limit = scene.limit();
    assert_eq!((limit.verdict, limit.as_read), (NotShown, Some(Met)));
    assert!(limit.why.contains("the plan does not say how far off"), "{}", limit.why);
}

/// Samples of water activity, measured with a meter that may be off by 0.003.
fn samples(limit: &str, rows: &[&str]) -> LimitVerdict {
    let scene = Scene {
        files: vec![],
        more: "parameter activity \"Activity\" { unit aw }\ninstrument meter \"Meter\" { measures activity; accuracy 0.003 aw }",
        also_monitored: "monitor activity each lot by worker using meter on cook-record",
        ..Scene::new(&format!("x activity {limit} {{ accuracy counted }}"), &[])
    };
    let body: String = rows.iter().map(|row| format!("L1,2026-10-06 09:00,{row}\n")).collect();
    let mapping = "samples:\n  - files: [lab.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    sample: Sample\n    columns:\n      Aw: { parameter: activity, unit: aw }\n";
    scene.verification(&[("lab.csv", &format!("Lot,Time,Sample,Aw\n{body}"))], mapping).lots[0].limits[0].clone()
}

#[test]
fn samples_count_it_exactly() {
    let one = |value: &str| samples("<= 0.85 in every sample", &[&format!("1,{value}")]).verdict;
    assert_eq!(["0.847", "0.848", "0.853", "0.854"].map(one), [Met, NotShown, NotShown, NotMet]);
    assert_eq!(one("<0.847"), Met);
    assert!(samples("<= 0.85 in every sample", &["1,0.853"]).why.contains("0.853 ± 0.003"));
    // One sample is certainly over m, one perhaps.
    let plan = |c: u32| samples(&format!("n 3, c {c}, m 0.85"), &["1,0.854", "2,0.85", "3,0.84"]).verdict;
    assert_eq!([0, 1, 2].map(plan), [NotMet, NotShown, Met]);
    let bands = "bands { good <= 0.85 met; bad > 0.85 not-met }";
    assert_eq!(["1,0.847", "1,0.85", "1,0.854"].map(|row| samples(bands, &[row]).verdict), [Met, NotShown, NotMet]);
}

const LIMITS: [&str; 10] = [
    "core <= 72 °C",
    "core between 68 °C and 72 °C",
    "no core between 71 °C and 71.5 °C",
    "core >= 70 °C held for 3 min",
    "core >= 70 °C in total at least 40 % of cooking",
    "core above 70 °C in total at most 4 min",
    "core from 71 °C to 69 °C within 4 min",
    "core falls at least 0.2 °C in every 2 min",
    "reduction by bug from core >= 8 log10",
    "degree-hours of core above 69 °C <= 0.2 °C·h",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// The law: narrower accuracy never reverses a definite verdict, and wider accuracy only moves to *not shown*.
    #[test]
    fn wider_accuracy_only_moves_to_not_shown(
        values in prop::collection::vec(680_i64..730, 11),
        limit in 0..LIMITS.len(),
        narrow in 0_usize..4,
        wider in 1_usize..3,
    ) {
        const ACCURACIES: [&str; 6] = ["accuracy 0.01 °C; ", "accuracy 0.1 °C; ", "accuracy 0.5 °F; ", "accuracy 0.5 °C; ", "accuracy 1 °C; ", "accuracy 2 °C; "];
        let texts: Vec<String> = values.iter().map(|tenths| format!("{}.{}", tenths / 10, tenths % 10)).collect();
        let of = |accuracy: Option<&'static str>| {
            let counted = if accuracy.is_some() { " { accuracy counted }" } else { "" };
            let mut scene = Scene::new(&format!("x {}{counted}", LIMITS[limit]), &[]);
            scene.instrument = accuracy.unwrap_or("");
            scene.files[0].1 = minutely(&texts.iter().map(String::as_str).collect::<Vec<_>>());
            scene.verdict()
        };
        let near = of(Some(ACCURACIES[narrow]));
        let far = of(Some(ACCURACIES[narrow + wider]));
        prop_assert!(far == near || far == NotShown, "{near} became {far}");
        // What is not counted is an accuracy of nought.
        let plain = of(None);
        prop_assert!(near == plain || near == NotShown, "{plain} became {near}");
    }
}
