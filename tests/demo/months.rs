//! The small months: for each worked plan beside the demo's own, every planted event has the verdict that was promised
//! for it, every other limit is met, and nothing else is remarked.
//!
//! The records are invented. The promises come from the planting tables of the generator (`demo/PLAN/month.rs`), which
//! say why; what the tool prints is kept beside them in `expected.txt`. `BOURN_BLESS=1` writes that file anew: read it.

use crate::frame::Month;
use crate::small::months;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn folder(month: &Month) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(month.plan)
}

fn verify(month: &Month, more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("verify")
        .arg(format!("plans/{}.haccp", month.plan))
        .arg("--mapping")
        .arg(format!("demo/{}/mapping.yaml", month.plan))
        .args(["--month", month.month])
        .args(more)
        .output()
        .unwrap()
}

/// Each folder with a mapping has a month, and each month a folder.
#[test]
fn every_mapping_has_its_generator() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    let found: BTreeSet<String> = std::fs::read_dir(demo)
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().join("mapping.yaml").exists())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    let made: BTreeSet<String> = months().iter().map(|month| month.plan.to_owned()).collect();
    assert_eq!(found, made);
}

/// What lies in the repository is what the generator writes: records, no other record, and the promises.
#[test]
fn the_records_are_those_of_the_generator() {
    for month in months() {
        let folder = folder(&month);
        let kept: BTreeMap<String, String> = std::fs::read_dir(folder.join("records"))
            .unwrap()
            .map(|entry| entry.unwrap())
            .map(|entry| (entry.file_name().into_string().unwrap(), std::fs::read_to_string(entry.path()).unwrap()))
            .collect();
        let made: BTreeMap<String, String> = month.files.iter().cloned().collect();
        assert_eq!(kept.keys().collect::<Vec<_>>(), made.keys().collect::<Vec<_>>(), "{}", month.plan);
        for (name, text) in &made {
            assert!(
                kept[name] == *text,
                "{}/records/{name}: write it again: cargo run --example demo-months",
                month.plan
            );
        }
        let promised = std::fs::read_to_string(folder.join("expected.csv")).unwrap();
        assert_eq!(promised, month.expected(), "{}", month.plan);
        let rows: usize = made.values().map(|text| text.lines().count() - 1).sum();
        assert!(rows < 6000, "{}: {rows} rows are no small month", month.plan);
    }
}

/// The README of each month says that it is invented, and lists each planting and each remark as the generator has it.
#[test]
fn the_page_of_each_month_lists_its_plantings() {
    for month in months() {
        let page = std::fs::read_to_string(folder(&month).join("README.md")).unwrap();
        assert!(page.contains("invented"), "{}", month.plan);
        for line in month.lines() {
            assert!(page.lines().any(|one| one == line), "demo/{}/README.md does not list:\n{line}", month.plan);
        }
        for (name, _) in &month.files {
            assert!(page.contains(&format!("`{name}`")), "demo/{}/README.md does not name {name}", month.plan);
        }
    }
}

#[test]
fn every_planted_event_gets_its_verdict_and_everything_else_is_met() {
    for month in months() {
        let file = tempfile::NamedTempFile::new().unwrap();
        let output = verify(&month, &["--json", file.path().to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(1), "{}: {}", month.plan, String::from_utf8_lossy(&output.stderr));
        let json: Value = serde_json::from_slice(&std::fs::read(file.path()).unwrap()).unwrap();
        judged(&month, &json);
        remarked(&month, &json);
    }
}

fn judged(month: &Month, json: &Value) {
    let file = folder(month).join("expected.csv");
    let mut promised: BTreeMap<(String, String), String> = csv::Reader::from_path(file)
        .unwrap()
        .records()
        .map(|row| row.unwrap())
        .map(|row| ((row[0].to_owned(), row[1].to_owned()), row[2].replace(' ', "-")))
        .collect();
    assert!(promised.len() >= 4, "{}: a month plants at least four verdicts", month.plan);
    assert!(promised.values().any(|verdict| verdict == "not-met"), "{}", month.plan);
    assert!(promised.values().any(|verdict| verdict == "not-shown"), "{}", month.plan);
    let (mut lots, mut wrong) = (BTreeSet::new(), Vec::new());
    for lot in json["lots"].as_array().unwrap() {
        lots.insert(lot["lot"].as_str().unwrap());
        for limit in lot["limits"].as_array().unwrap() {
            if limit["kind"] != "critical-limit" {
                continue;
            }
            let text = |value: &Value| value.as_str().unwrap().to_owned();
            let key = (text(&lot["lot"]), format!("{}.{}", text(&limit["control"]), text(&limit["limit"])));
            let wanted = promised.remove(&key).unwrap_or_else(|| "met".to_owned());
            if limit["verdict"] != wanted.as_str() {
                wrong.push(format!("{key:?}: promised {wanted}, got {}: {}", limit["verdict"], limit["why"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{}: {wrong:#?}", month.plan);
    assert!(promised.is_empty(), "{}: promised and never judged: {promised:#?}", month.plan);
    assert!(lots.len() >= 4, "{}: {lots:?}", month.plan);
    for planting in month.planted {
        assert!(lots.contains(planting.lot), "{}: no lot {} to plant on", month.plan, planting.lot);
    }
}

fn remarked(month: &Month, json: &Value) {
    let mut left: Vec<_> = month.remarks.iter().collect();
    let mut spare = Vec::new();
    for finding in json["findings"].as_array().unwrap() {
        let (code, message) = (finding["code"].as_str().unwrap(), finding["message"].as_str().unwrap());
        match left.iter().position(|(wanted, word, _)| *wanted == code && message.contains(word)) {
            Some(at) => drop(left.remove(at)),
            None => spare.push(format!("{code} {message}")),
        }
    }
    assert!(left.is_empty(), "{}: to be remarked, and not remarked: {left:#?}", month.plan);
    assert!(spare.is_empty(), "{}: remarked and not promised: {spare:#?}", month.plan);
}

/// What the tool prints about each month, word for word.
#[test]
fn the_printed_month_is_the_one_that_was_read() {
    let bless = std::env::var_os("BOURN_BLESS").is_some();
    for month in months() {
        let said = String::from_utf8(verify(&month, &[]).stdout).unwrap();
        let file = folder(&month).join("expected.txt");
        if bless {
            std::fs::write(&file, &said).unwrap();
        }
        let kept = std::fs::read_to_string(&file).unwrap_or_default();
        assert_eq!(said, kept, "{}", file.display());
    }
}
