//! The month once more, against an earlier report: nothing differs, or it is said what does.

use super::{MONTH, verify, verify_what};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Output;

/// The month in a folder of its own, and its report.
fn month() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir_all(folder.path().join("records")).unwrap();
    for file in std::fs::read_dir(MONTH._folder.path().join("records")).unwrap().map(|file| file.unwrap()) {
        std::fs::copy(file.path(), folder.path().join("records").join(file.file_name())).unwrap();
    }
    let report = folder.path().join("report.json");
    std::fs::copy(MONTH._folder.path().join("verification.json"), &report).unwrap();
    (folder, report)
}

fn against(folder: &Path, report: &Path) -> (Option<i32>, String) {
    let output = verify(folder, &["--against", report.to_str().unwrap()]);
    told(&output)
}

fn told(output: &Output) -> (Option<i32>, String) {
    let said = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    (output.status.code(), said)
}

#[test]
fn the_same_records_give_the_same_report() {
    let (folder, report) = month();
    let (status, said) = against(folder.path(), &report);
    assert_eq!(status, Some(0), "{said}");
    assert!(said.contains("Nothing differs"), "{said}");
    // Its period is taken where none is given.
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["verify", "plans/smoked-goose-breast.haccp", "--mapping", "demo/mapping.yaml", "--records"])
        .arg(folder.path())
        .arg("--against")
        .arg(&report)
        .output()
        .unwrap();
    assert_eq!(told(&output).0, Some(0), "{}", told(&output).1);
    let other = verify_what(folder.path(), ["--from", "2026-10-02"], &["--against", report.to_str().unwrap()]);
    let (status, said) = told(&other);
    assert_eq!(status, Some(1));
    assert!(said.contains("Another period") && said.contains("GB1001A"), "{said}");
}

#[test]
fn an_edited_log_is_found_with_the_verdict_that_it_turned() {
    let (folder, report) = month();
    let laboratory = folder.path().join("records/laboratory.csv");
    let text = std::fs::read_to_string(&laboratory).unwrap();
    assert_eq!(text.matches(",0.971,").count(), 1);
    std::fs::write(&laboratory, text.replace(",0.971,", ",0.951,")).unwrap();
    let (status, said) = against(folder.path(), &report);
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("records/laboratory.csv: "), "{said}");
    assert!(said.contains("GB1026A composition.dryness: not-met → met"), "{said}");
    // The corrective action is now about a deviation that the records do not show.
    assert!(said.contains("E401"), "{said}");
    assert!(!said.contains("packing.csv: "), "other inputs are the same: {said}");
    let output = verify(folder.path(), &["--against", report.to_str().unwrap(), "--format", "json"]);
    let value: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(value["changed"], true);
    let of = |kind: &str| value["changes"].as_array().unwrap().iter().filter(|one| one["kind"] == kind).count();
    // The limit and the operating limit beside it.
    assert_eq!((of("input"), of("verdict")), (1, 2));
}

/// An edit that turns no verdict is found as well, by the digest and by the evidence.
#[test]
fn an_edit_that_turns_no_verdict_is_found() {
    let (folder, report) = month();
    let oven = folder.path().join("records/oven-1.csv");
    let text = std::fs::read_to_string(&oven).unwrap();
    let line = text.lines().nth(1200).unwrap();
    let cells: Vec<&str> = line.split(';').collect();
    let edited = line.replacen(cells[2], "12,3", 1);
    assert_ne!(line, edited);
    std::fs::write(&oven, text.replacen(line, &edited, 1)).unwrap();
    let (status, said) = against(folder.path(), &report);
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("records/oven-1.csv: "), "{said}");
}

#[test]
fn an_edited_report_and_one_of_another_version() {
    let (folder, report) = month();
    let mut value = MONTH.json.clone();
    value["bourn"] = "0.0.1".into();
    value["cautions"] = Value::Array(Vec::new());
    value["lots"][3]["limits"][0]["why"] = "in the words of that version".into();
    std::fs::write(&report, value.to_string()).unwrap();
    let (status, said) = against(folder.path(), &report);
    assert_eq!(status, Some(0), "{said}");
    assert!(said.contains("is of version 0.0.1"), "{said}");
    value["bourn"] = MONTH.json["bourn"].clone();
    std::fs::write(&report, value.to_string()).unwrap();
    let (status, said) = against(folder.path(), &report);
    assert_eq!(status, Some(1), "other words in a report of this version: {said}");
    assert!(said.contains("No input differs."), "{said}");
    let mut value = MONTH.json.clone();
    let lot = value["lots"][0]["lot"].as_str().unwrap().to_owned();
    value["lots"][0]["limits"][0]["verdict"] = "not-met".into();
    std::fs::write(&report, value.to_string()).unwrap();
    let (status, said) = against(folder.path(), &report);
    assert_eq!(status, Some(1));
    assert!(said.contains(&format!("{lot} lethality.core-hold: not-met → met")), "{said}");
}

#[test]
fn what_is_no_report_is_refused() {
    let (folder, report) = month();
    for text in ["{\"bourn\": 1", "[]", "{\"bourn\": \"0.1.0\", \"chapters\": []}", ""] {
        std::fs::write(&report, text).unwrap();
        let (status, said) = against(folder.path(), &report);
        assert_eq!(status, Some(2), "{text}: {said}");
        assert!(said.contains("report.json"), "{said}");
    }
    let (status, said) = against(folder.path(), &folder.path().join("none.json"));
    assert_eq!(status, Some(2), "{said}");
}
