//! Sums and clocks that start anew when another limit has been met again.

use super::scene::Scene;
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::LimitVerdict;

/// Readings every five minutes from 10:00; the limits after the first stand on lines of their own.
fn limit(limits: &str, values: &[&str], more: &'static str) -> LimitVerdict {
    let times: Vec<String> = (0..values.len()).map(|index| format!("10:{:02}:00", 5 * index)).collect();
    let readings: Vec<(&str, &str)> = times.iter().map(String::as_str).zip(values.iter().copied()).collect();
    let mut scene = Scene::new(limits, &readings);
    let end: &'static str = ["10:25:00", "10:30:00", "10:35:00", "10:40:00"][values.len() - 6];
    (scene.often, scene.stage, scene.more) = ("every 5 min", ("10:00:00", end), more);
    scene.limit()
}

fn warm(at_most: u32, values: &[&str]) -> Verdict {
    let text = format!(
        "x core between 10 °C and 60 °C in total at most {at_most} min {{ reset when lethal is met }}\n  limit lethal core >= 70 °C held for 5 min"
    );
    limit(&text, values, "").verdict
}

/// The examples of docs/limits.md, as a plan writes them.
#[test]
fn the_examples_with_a_pencil() {
    let heated = ["5", "20", "40", "75", "75", "40", "20", "5"];
    assert_eq!([15, 14, 4].map(|time| warm(time, &heated)), [Met, NotShown, NotMet]);
    let perhaps = ["5", "20", "40", "75", "40", "20", "5"];
    assert_eq!([30, 29, 5, 4].map(|time| warm(time, &perhaps)), [Met, NotShown, NotShown, NotMet]);
    let never = ["5", "20", "40", "65", "65", "40", "20", "5"];
    assert_eq!([30, 29, 9].map(|time| warm(time, &never)), [Met, NotShown, NotMet]);
    let again = ["75", "75", "40", "75", "75", "40", "15"];
    let cooling = |within: u32, reset: &str| {
        let text = format!(
            "x core from 60 °C to 20 °C within {within} min{reset}\n  limit lethal core >= 70 °C held for 5 min"
        );
        limit(&text, &again, "").verdict
    };
    let reset = " { reset when lethal is met }";
    assert_eq!([15, 14, 4].map(|within| cooling(within, reset)), [Met, NotShown, NotMet]);
    assert_eq!([25, 24, 14].map(|within| cooling(within, "")), [Met, NotShown, NotMet]);
}

#[test]
fn resets_and_stretches_are_printed() {
    let text = "x core between 10 °C and 60 °C in total at most 15 min { reset when lethal is met }\n  limit lethal core >= 70 °C held for 5 min";
    let found = limit(text, &["5", "20", "40", "75", "75", "40", "20", "5"], "");
    let said = found.parts[0].evidence.join("\n");
    for wanted in [
        "reset: `lethal` was met at 2026-10-05 10:20",
        "perhaps reset: `lethal` may have been met from 2026-10-05 10:15",
        "most, between resets that surely were: from 2026-10-05 10:00",
    ] {
        assert!(said.contains(wanted), "{wanted}\n{said}");
    }
    assert!(found.symbols.contains("reset when lethal is met"), "{}", found.symbols);
    assert!(found.beside.iter().any(|(what, words)| *what == "Reset" && words.contains("lethal has been met again")));
    let never = limit(text, &["5", "20", "40", "65", "65", "40", "20", "5"], "");
    assert!(
        never.parts[0].evidence.iter().any(|line| line.starts_with("not reset: ")),
        "{:?}",
        never.parts[0].evidence
    );
    // Each re-warming of a clock, with how far it went.
    let text = "x core from 60 °C to 20 °C within 25 min { reset when lethal is met }\n  limit lethal core >= 90 °C held for 5 min";
    let again = limit(text, &["75", "75", "40", "65", "65", "40", "15"], "");
    let said = again.parts[0].evidence.join("\n");
    assert!(said.contains("back over the starting line 1 times") && said.contains("up to 65"), "{said}");
}

#[test]
fn rows_of_a_table_reset_and_a_row_of_an_unknown_fact_only_perhaps() {
    let values = ["5", "20", "40", "75", "75", "40", "20", "5"];
    let with = |rows: &'static str| {
        let text = "x core between 10 °C and 60 °C in total at most 15 min { reset when lethal is met }\n  limit lethal core meets any row of rows";
        limit(text, &values, rows).verdict
    };
    assert_eq!(with("table rows \"Rows\" { row >= 70 °C held for 5 min; row >= 60 °C held for 1 h }\n"), Met);
    assert_eq!(with("table rows \"Rows\" { row >= 80 °C held for 5 min; row >= 60 °C held for 1 h }\n"), NotShown);
    // Nobody recorded the species: the row may have counted, and lowers least alone.
    let fact = "parameter species \"Species\" { answers eel, trout; recorded each lot on batch-record }\ntable rows \"Rows\" { row >= 70 °C held for 5 min when species is eel; row >= 90 °C held for 5 min when species is trout }\n";
    assert_eq!(with(fact), NotShown);
    // A limit that is reached resets at each instant at which it is.
    let text = "x core between 10 °C and 60 °C in total at most 15 min { reset when lethal is met }\n  limit lethal core reaches 75 °C";
    assert_eq!(limit(text, &values, "").verdict, Met);
}

#[test]
fn the_window_of_the_limit_that_resets_is_its_own() {
    // Held before its stage began: no reset. (Times of this register are to the minute, so that edges count.)
    let text = "x core between 10 °C and 60 °C in total at most 20 min { reset when lethal is met }\n  limit lethal core >= 70 °C held for 5 min during late";
    let more = "step late { stage late from start-late to end-cook }\nevent start-late on cook-record\n";
    let mut scene = Scene::new(text, &[]);
    let values = ["5", "20", "40", "75", "75", "40", "20", "5"];
    scene.files[0].1 =
        values.iter().enumerate().map(|(i, value)| (format!("10:{:02}:00", 5 * i), (*value).to_owned())).collect();
    (scene.often, scene.more) = ("every 5 min", more);
    let verdict = |late: &str| {
        let mut scene = scene.clone();
        let row = format!("Lot,Start,End,Late\nL1,2026-10-05 10:00,2026-10-05 10:35,{late}\n");
        scene.register = Some((row, "start-cook: Start, end-cook: End, start-late: Late"));
        scene.limit().verdict
    };
    assert_eq!(verdict("2026-10-05 10:00"), Met);
    assert_eq!(verdict("2026-10-05 10:25"), NotShown);
    // Nobody wrote down when its stage began: it may have been met, and surely was nowhere.
    assert_eq!(verdict(""), NotShown);
}
