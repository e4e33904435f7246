//! A check that did not find an instrument in order takes trust away like a failed calibration.

use super::{MONTH, records, schedule, verify};
use serde_json::Value;

/// The month with other rows in the register of checks.
fn with_checks(rows: &str) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("records");
    std::fs::create_dir_all(&place).unwrap();
    for (name, text) in records::all(&schedule::lots()) {
        let text =
            if name == "instrument-checks.csv" { format!("{}\n{rows}", text.lines().next().unwrap()) } else { text };
        std::fs::write(place.join(name), text).unwrap();
    }
    let output = verify(folder.path(), &["--format", "json"]);
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Lots whose oxygen is judged otherwise than in the month, each with the new verdict.
fn changed(value: &Value) -> Vec<(String, String)> {
    let oxygen = |lot: &Value| {
        let limits = lot["limits"].as_array().unwrap();
        limits
            .iter()
            .find(|limit| limit["limit"] == "low-oxygen")
            .map(|limit| limit["verdict"].as_str().unwrap().to_owned())
    };
    let before = MONTH.json["lots"].as_array().unwrap().iter();
    let after = value["lots"].as_array().unwrap();
    before
        .zip(after)
        .filter(|(a, b)| oxygen(a) != oxygen(b))
        .map(|(_, b)| (b["lot"].as_str().unwrap().to_owned(), oxygen(b).unwrap()))
        .collect()
}

/// When the oxygen of each lot was measured, as the packing record says.
fn measured() -> Vec<(String, String)> {
    let files = records::all(&schedule::lots());
    let (_, packing) = files.iter().find(|(name, _)| name == "packing.csv").unwrap();
    let mut reader = csv::Reader::from_reader(packing.as_bytes());
    let head = reader.headers().unwrap().clone();
    let at = |name: &str| head.iter().position(|own| own == name).unwrap();
    let (day, clock, lot, oxygen) = (at("Day"), at("Clock"), at("Lot"), at("Oxygen %"));
    reader
        .records()
        .map(|row| row.unwrap())
        .filter(|row| !row[oxygen].is_empty())
        .map(|row| {
            let day: Vec<&str> = row[day].split('/').collect();
            (format!("{}-{}-{} {}", day[2], day[1], day[0], &row[clock]), row[lot].to_owned())
        })
        .collect()
}

#[test]
fn what_an_instrument_measured_around_a_failed_check_is_not_shown() {
    let head = "gas-analyser,2026-10-13 18:00,in order,ek,\n";
    let failed = "gas-analyser,2026-10-14 12:00,zero off,ek,\n";
    let value = with_checks(&format!("{head}{failed}gas-analyser,2026-10-14 18:00,ok,ek,\n"));
    let changed = changed(&value);
    let mut expected: Vec<String> = measured()
        .into_iter()
        .filter(|(at, _)| ("2026-10-13 18:00"..="2026-10-14 18:00").contains(&at.as_str()))
        .map(|(_, lot)| lot)
        .collect();
    expected.sort();
    expected.dedup();
    let lots: Vec<String> = changed.iter().map(|(lot, _)| lot.clone()).collect();
    assert!(!expected.is_empty());
    assert_eq!(lots, expected, "exactly the lots measured between the two good checks");
    assert!(changed.iter().all(|(_, verdict)| verdict == "not-shown"), "{changed:?}");
    let state =
        value["instruments"].as_array().unwrap().iter().find(|one| one["instrument"] == "gas-analyser").unwrap();
    let span =
        state["not-trusted"].as_array().unwrap().iter().find(|one| one["why"].as_str().unwrap().contains("zero off"));
    let span = span.expect("the span is told with the words of the check");
    assert_eq!(span["from"], "2026-10-13 18:00:00 +01:00");
    assert_eq!(span["to"], "2026-10-14 18:00:00 +01:00");
    let mut question: Vec<&str> =
        span["in-question"].as_array().unwrap().iter().map(|one| one["lot"].as_str().unwrap()).collect();
    question.sort();
    assert_eq!(question, lots.iter().map(String::as_str).collect::<Vec<_>>(), "the results in question are listed");
    let deviations = value["followed"]["deviations"].as_array().unwrap();
    let own = deviations.iter().find(|one| one["about"] == "gas-analyser" && one["event"] == "instrument not trusted");
    assert_eq!(own.expect("a deviation asks for a corrective action")["lots"].as_array().unwrap().len(), lots.len());
}

/// Nobody knows when it failed: nothing that it measured is credited.
#[test]
fn a_failed_check_without_a_time_takes_trust_away_throughout() {
    let value = with_checks("gas-analyser,,not in order,ek,\n");
    let lots = value["lots"].as_array().unwrap();
    let met = lots
        .iter()
        .flat_map(|lot| lot["limits"].as_array().unwrap())
        .filter(|limit| limit["limit"] == "low-oxygen" && limit["verdict"] == "met");
    assert_eq!(met.count(), 0);
}

/// Good checks change nothing: they never credit what a calibration takes away.
#[test]
fn good_checks_change_no_verdict() {
    let value =
        with_checks("gas-analyser,2026-10-14 12:00,in order,ek,\noven-2-probes,2026-10-19 07:00,in order,ek,\n");
    assert_eq!(changed(&value), []);
    let core = |value: &Value| {
        let lots = value["lots"].as_array().unwrap().iter();
        lots.flat_map(|lot| lot["limits"].as_array().unwrap())
            .filter(|limit| limit["limit"] == "core-hold")
            .map(|limit| limit["verdict"].clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(core(&value), core(&MONTH.json));
}
