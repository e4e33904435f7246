//! Readings that are excused while product was diverted.

use super::scene::{Scene, stamp};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::LimitVerdict;

/// The valve stands in a file of its own, on the record of the readings.
const VALVE: &str = r#"  - files: [valve.csv]
    record: cook-record
    spot: true
    time: { column: Time, format: "%Y-%m-%d %H:%M:%S" }
    columns:
      Valve: { parameter: valve, answers: { forward: [fwd], diverted: [div] } }
"#;

/// Readings every five minutes, and what stands for the valve at each: a word, or nothing.
fn judged(limit: &str, values: &[&str], valve: &[&str]) -> LimitVerdict {
    let times: Vec<String> = (0..values.len()).map(|index| format!("10:{:02}:00", 5 * index)).collect();
    let readings: Vec<(&str, &str)> = times.iter().map(String::as_str).zip(values.iter().copied()).collect();
    let mut scene = Scene::new(limit, &readings);
    (scene.often, scene.stage) = ("every 5 min", ("10:00:00", "10:15:00"));
    scene.more = "parameter valve \"Valve\" { answers forward, diverted }\n";
    scene.also_monitored = "monitor valve every 5 min by worker on cook-record";
    let rows: String = times
        .iter()
        .zip(valve)
        .filter(|(_, word)| !word.is_empty())
        .map(|(at, word)| format!("{},{word}\n", stamp(at)))
        .collect();
    let file = format!("Time,Valve\n{rows}");
    scene.verification(&[("valve.csv", file.as_str())], VALVE).lots[0].limits[0].clone()
}

fn hot(values: &[&str], valve: &[&str]) -> Verdict {
    judged("x core >= 72 °C { diverted when valve is diverted }", values, valve).verdict
}

/// The example of docs/limits.md.
#[test]
fn the_example_with_a_pencil() {
    let values = ["73", "71", "70", "73"];
    assert_eq!(hot(&values, &["fwd", "div", "div", "fwd"]), Met);
    assert_eq!(hot(&values, &["fwd", "fwd", "div", "fwd"]), NotMet);
    assert_eq!(hot(&values, &["fwd", "div", "", "fwd"]), NotMet);
    assert_eq!(hot(&values, &["fwd", "div", "what", "fwd"]), NotMet);
    assert_eq!(judged("x core >= 72 °C", &values, &["fwd", "div", "div", "fwd"]).verdict, NotMet);
    let found = judged("x core >= 72 °C { diverted when valve is diverted }", &values, &["fwd", "div", "div", "fwd"]);
    let said = found.parts[0].evidence.join("\n");
    assert!(said.contains("2 readings that break the limit are excused, since `valve` is diverted"), "{said}");
    assert!(found.symbols.ends_with("{ diverted when valve is diverted }"), "{}", found.symbols);
}

#[test]
fn what_is_excused_lies_at_the_limit_and_a_broken_row_shows_nothing() {
    let strict = "x core > 72 °C { diverted when valve is diverted }";
    assert_eq!(judged(strict, &["73", "72", "72", "73"], &["fwd", "div", "div", "fwd"]).verdict, Met);
    assert_eq!(judged(strict, &["73", "72", "72", "73"], &["fwd", "div", "fwd", "fwd"]).verdict, NotMet);
    let range = "x core between 72 °C and 74 °C { diverted when valve is diverted }";
    assert_eq!(judged(range, &["73", "71", "76", "73"], &["fwd", "div", "div", "fwd"]).verdict, Met);
    assert_eq!(judged(range, &["73", "71", "76", "73"], &["fwd", "div", "fwd", "fwd"]).verdict, NotMet);
    assert_eq!(judged(range, &["73", "71", "OL", "73"], &["fwd", "div", "div", "fwd"]).verdict, NotShown);
}
