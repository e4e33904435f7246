//! The demo month, replayed: every planted event has exactly the verdict that demo/README.md promises, and every
//! other limit of every lot is met.
//!
//! The records are invented; the promises come from the planting table of the generator, not from this tool.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, dead_code)]

#[path = "../../demo/chance.rs"]
mod chance;
#[path = "../../demo/frame.rs"]
mod frame;
mod months;
#[path = "../../demo/physics.rs"]
mod physics;
#[path = "../../demo/planting.rs"]
mod planting;
#[path = "../../demo/records.rs"]
mod records;
#[path = "../../demo/registers.rs"]
mod registers;
#[path = "../../demo/schedule.rs"]
mod schedule;
#[path = "../../demo/small.rs"]
mod small;
mod against;
mod registers_written;
mod revisions;
mod trust;
mod workings;

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::LazyLock;

/// The month written to a folder, and what the tool says about it.
struct Month {
    _folder: tempfile::TempDir,
    output: Output,
    json: Value,
}

static MONTH: LazyLock<Month> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("records");
    std::fs::create_dir_all(&records).unwrap();
    for (name, text) in records::all(&schedule::lots()) {
        std::fs::write(records.join(name), text).unwrap();
    }
    let json = folder.path().join("verification.json");
    let output = verify(folder.path(), &["--json", json.to_str().unwrap()]);
    let json = serde_json::from_slice(&std::fs::read(json).unwrap()).unwrap();
    Month { _folder: folder, output, json }
});

fn verify(records: &Path, more: &[&str]) -> Output {
    verify_what(records, ["--month", "2026-10"], more)
}

fn verify_lot(records: &Path, lot: &str, more: &[&str]) -> Output {
    verify_what(records, ["--lot", lot], more)
}

fn verify_what(records: &Path, what: [&str; 2], more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["verify", "plans/smoked-goose-breast.haccp", "--mapping", "demo/mapping.yaml"])
        .args(what)
        .arg("--records")
        .arg(records)
        .args(more)
        .output()
        .unwrap()
}

#[test]
fn every_planted_event_gets_its_verdict_and_everything_else_is_met() {
    let mut promised: BTreeMap<(String, String, String), String> = csv::Reader::from_path("demo/expected.csv")
        .unwrap()
        .records()
        .map(|row| {
            let row = row.unwrap();
            ((row[0].to_owned(), row[1].to_owned(), row[2].to_owned()), row[3].replace(' ', "-"))
        })
        .collect();
    assert!(promised.len() >= 40, "the month plants at least 40 verdicts");
    let (mut judged, mut wrong) = (0, Vec::new());
    for lot in MONTH.json["lots"].as_array().unwrap() {
        for limit in lot["limits"].as_array().unwrap() {
            if limit["kind"] != "critical-limit" {
                continue;
            }
            judged += 1;
            let text = |value: &Value| value.as_str().unwrap().to_owned();
            let key = (text(&lot["lot"]), text(&limit["control"]), text(&limit["limit"]));
            let wanted = promised.remove(&key).unwrap_or_else(|| "met".to_owned());
            if limit["verdict"] != wanted.as_str() {
                wrong.push(format!("{key:?}: promised {wanted}, got {}: {}", limit["verdict"], limit["why"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(promised.is_empty(), "promised and never judged: {promised:#?}");
    println!("{judged} verdicts of the demo month as promised");
    assert!(judged >= 60 * 11, "at least 60 lots by 11 critical limits");
}

#[test]
fn a_limit_not_met_is_exit_status_1() {
    assert_eq!(MONTH.output.status.code(), Some(1));
}

#[test]
fn the_rows_of_the_repeated_hour_without_offset_are_reported_with_file_row_and_column() {
    let findings = MONTH.json["findings"].as_array().unwrap();
    let found =
        findings.iter().find(|finding| finding["name"] == "time-twice").expect("the ambiguous rows are reported");
    assert_eq!(found["place"]["file"], "records/packing.csv");
    assert!(found["place"]["row"].as_u64().unwrap() > 1);
    assert_eq!(found["place"]["column"], "Day Clock");
}

#[test]
fn an_instrument_that_fails_its_calibration_is_named_with_the_span_of_its_results() {
    let instruments = MONTH.json["instruments"].as_array().unwrap();
    let oven = instruments.iter().find(|state| state["instrument"] == "oven-2-probes").unwrap();
    let span = &oven["not-trusted"][0];
    assert_eq!(span["from"], "2026-10-12 07:20:00 +01:00");
    assert_eq!(span["to"], "2026-10-19 08:05:00 +01:00");
    let gas = instruments.iter().find(|state| state["instrument"] == "gas-analyser").unwrap();
    let late: Vec<&Value> =
        gas["calibrations"].as_array().unwrap().iter().filter(|one| one["late-since"].is_string()).collect();
    assert_eq!(late.len(), 1, "one calibration was late and good");
    assert_eq!(late[0]["good"], true);
}

#[test]
fn every_file_is_listed_with_its_digest() {
    let files = MONTH.json["files"].as_array().unwrap();
    assert_eq!(files.len(), 19);
    for file in files {
        assert_eq!(file["sha256"].as_str().unwrap().len(), 64, "{file}");
    }
}

#[test]
fn the_list_of_promises_and_the_page_agree_with_the_generator() {
    let lots = schedule::lots();
    let listed = csv::Reader::from_path("demo/expected.csv").unwrap().records().count();
    assert_eq!(planting::expected(&lots).len(), listed, "demo/expected.csv is not the generator's: write it again");
    let page = std::fs::read_to_string("demo/README.md").unwrap();
    for line in planting::expected(&lots) {
        assert!(page.contains(line.planted), "demo/README.md does not list: {}", line.planted);
    }
}

/// Every fault planted in the registers is found, and nothing else of its kind: each finding about registers answers to
/// one planted fault, by code and by a word of its message.
#[test]
fn every_fault_planted_in_the_registers_is_found_and_nothing_else() {
    let findings = MONTH.json["findings"].as_array().unwrap();
    let mut left: Vec<_> = registers::FAULTS.iter().collect();
    let mut spare = Vec::new();
    for finding in findings {
        let (code, message) = (finding["code"].as_str().unwrap(), finding["message"].as_str().unwrap());
        if !code.starts_with('E') && !code.starts_with("R4") {
            continue;
        }
        match left.iter().position(|(wanted, word, _)| *wanted == code && message.contains(word)) {
            Some(at) => drop(left.remove(at)),
            None => spare.push(format!("{code} {message}")),
        }
    }
    assert!(left.is_empty(), "planted and not found: {left:#?}");
    assert!(spare.is_empty(), "found and not planted: {spare:#?}");
    assert!(registers::FAULTS.len() >= 34);
    let page = std::fs::read_to_string("demo/README.md").unwrap();
    for (code, _, what) in registers::FAULTS {
        assert!(page.contains(&format!("| `{code}` | {what} |")), "demo/README.md does not list: {code} {what}");
    }
}

/// What was shipped while a deviation was open stands before everything else, on the terminal and in the document.
#[test]
fn lots_shipped_with_an_open_deviation_are_the_first_lines() {
    let out = String::from_utf8(MONTH.output.stdout.clone()).unwrap();
    let mut lines = out.lines();
    assert_eq!(lines.next(), Some("SHIPPED WITH AN OPEN DEVIATION"));
    assert!(lines.next().unwrap().contains("GB1003A (366\u{a0}kg, shipped 2026-10-06"), "{out}");
    assert!(lines.next().unwrap().contains("GB1010A"), "{out}");
    assert!(lines.next().unwrap().contains("Reg (EC) 178/2002 Art 19"), "{out}");
}

/// One lot alone: what is on record about it, its deviation, its record, its reviews, and the findings that name it.
#[test]
fn one_lot_has_its_page_on_the_terminal_and_in_html() {
    let folder = MONTH._folder.path();
    let html = folder.join("lot.html");
    let output = verify_lot(folder, "GB1010A", &["--html", html.to_str().unwrap()]);
    let out = String::from_utf8(output.stdout).unwrap().replace('\u{a0}', " ");
    assert_eq!(output.status.code(), Some(1), "a shipped lot with an open deviation");
    let page = std::fs::read_to_string(&html).unwrap();
    for wanted in [
        "Plan: Smoked goose breast slices, revision 3 of 2026-08-17",
        "Shipped: 2026-10-13 06:32:00 (records/batch-record.csv, row 25)",
        "Critical limits: 10 met, 0 not met, 1 not shown (lethality.humid)",
        "no decision before shipping on GB1010A",
        "lethality.humid: NOT SHOWN",
        "wet-bulb: 709 readings on cook-record by bulbs, 912 cells without one",
        "last calibration before: 2026-10-05 10:00:00 good; next after: 2026-10-19 10:00:00 good",
        "decided by: hm, coordinator",
        "before shipping: 2026-10-13 06:02:00 by hm (records/pre-shipment-reviews.csv, row 9)",
        "E106 error: corrective action `CA-09` was reviewed before its last step",
    ] {
        assert!(out.contains(wanted), "{wanted}\n{out}");
    }
    for wanted in ["Lot GB1010A", "Deviations and corrective actions", "hm, coordinator", "<svg", "GB1010A"] {
        assert!(page.contains(wanted), "the page lacks {wanted}");
    }
    assert!(!out.contains("GB1009A"), "another lot's findings: {out}");
    let output = verify_lot(folder, "GB1010X", &[]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("did you mean `GB1010A`?"), "{said}");
}

/// A lot made before the plan was in force is never judged by it in silence.
#[test]
fn lots_before_the_revision_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let plan = std::fs::read_to_string("plans/smoked-goose-breast.haccp").unwrap();
    let later = folder.path().join("later.haccp");
    std::fs::write(&later, plan.replace("in-force        from 2026-09-01", "in-force        from 2026-10-03")).unwrap();
    let verified = |day: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_bourn"))
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .arg("verify")
            .arg(&later)
            .args(["--mapping", "demo/mapping.yaml", "--from", day, "--to", day, "--format", "json", "--records"])
            .arg(MONTH._folder.path())
            .output()
            .unwrap();
        let value: Value = serde_json::from_slice(&output.stdout).unwrap();
        let found = value["findings"].as_array().unwrap().iter().find(|finding| finding["code"] == "E406").cloned();
        found.map(|finding| finding["message"].as_str().unwrap().to_owned())
    };
    let said = verified("2026-10-02").expect("three lots begun the day before");
    assert!(said.contains("3 lots, the first of them GB1002A") && said.contains("2026-10-03"), "{said}");
    assert_eq!(verified("2026-10-03"), None, "lots of the very day are judged by it");
}

/// The list of findings as CSV reads back with every finding of the JSON, as JSON lines too.
#[test]
fn the_list_of_findings_holds_every_finding() {
    let folder = MONTH._folder.path();
    let (csv, lines) = (folder.join("findings.csv"), folder.join("findings.jsonl"));
    verify(folder, &["--findings", csv.to_str().unwrap()]);
    verify(folder, &["--findings", lines.to_str().unwrap()]);
    let findings = MONTH.json["findings"].as_array().unwrap();
    let read: Vec<_> = csv::Reader::from_path(csv).unwrap().records().map(|row| row.unwrap()).collect();
    assert_eq!(read.len(), findings.len());
    for (row, finding) in read.iter().zip(findings) {
        assert_eq!(&row[0], finding["code"].as_str().unwrap());
        assert_eq!(&row[6], finding["message"].as_str().unwrap());
    }
    let text = std::fs::read_to_string(lines).unwrap();
    let parsed: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(&parsed, findings);
}

/// As a spreadsheet too: read back by a reader of spreadsheets, every cell is text and none a formula.
#[test]
fn the_spreadsheet_of_findings_is_text_throughout() {
    use calamine::{Data, Reader, Xlsx, open_workbook};
    let folder = MONTH._folder.path();
    let path = folder.join("findings.xlsx");
    verify(folder, &["--findings", path.to_str().unwrap()]);
    let mut book: Xlsx<_> = open_workbook(&path).unwrap();
    let findings = MONTH.json["findings"].as_array().unwrap();
    let range = book.worksheet_range("Findings").unwrap();
    assert_eq!(range.height(), findings.len() + 1);
    for (row, finding) in range.rows().skip(1).zip(findings) {
        assert!(row.iter().all(|cell| matches!(cell, Data::String(_) | Data::Empty)), "{row:?}");
        assert_eq!(row[0].to_string(), finding["code"].as_str().unwrap());
        assert_eq!(row[6].to_string(), finding["message"].as_str().unwrap());
    }
    assert_eq!(book.worksheet_formula("Findings").unwrap().used_cells().count(), 0);
    let first = std::fs::read(&path).unwrap();
    verify(folder, &["--findings", path.to_str().unwrap()]);
    assert_eq!(first, std::fs::read(&path).unwrap(), "the same bytes");
}

/// What begins like a formula stays a text in the spreadsheet as well.
#[test]
fn a_formula_in_a_finding_is_text_in_the_spreadsheet() {
    use bourn::finding::Finding;
    use bourn::source::{Place, Sources};
    use calamine::{Data, Reader, Xlsx};
    let rule = bourn::registry::rule("E502").unwrap();
    let finding = Finding::new(rule, Place::file("=1+1.csv"), "=HYPERLINK(\"http://example.org\")").help("@SUM(A1)");
    let bytes = bourn::report::listing::book(&Sources::new(), &[finding]).unwrap();
    let mut book: Xlsx<_> = Xlsx::new(std::io::Cursor::new(bytes)).unwrap();
    let range = book.worksheet_range("Findings").unwrap();
    assert_eq!(range.get_value((1, 6)), Some(&Data::String("=HYPERLINK(\"http://example.org\")".to_owned())));
    assert_eq!(range.get_value((1, 7)), Some(&Data::String("@SUM(A1)".to_owned())));
    assert_eq!(book.worksheet_formula("Findings").unwrap().used_cells().count(), 0);
}

/// What begins like a formula is kept from being one (the signs that spreadsheets run: common practice, no source).
#[test]
fn no_cell_of_the_list_is_a_formula() {
    use bourn::report::listing::inert;
    for text in ["=1+1", "+44", "-3", "@SUM(A1)", "\t=1", "＝1"] {
        assert_eq!(inert(text), format!("'{text}"));
    }
    for text in ["lot GB1010A", "", "3 °C", "'=1"] {
        assert_eq!(inert(text), text);
    }
}

/// Records taken away never turn a verdict into *met*: with one file gone, what is met was met before.
#[test]
fn a_missing_file_is_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("records");
    std::fs::create_dir_all(&records).unwrap();
    for (name, text) in records::all(&schedule::lots()) {
        if name != "chiller.csv" {
            std::fs::write(records.join(name), text).unwrap();
        }
    }
    let json = folder.path().join("verification.json");
    let output = verify(folder.path(), &["--json", json.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("records/chiller.csv"));
    assert!(!json.exists());
}

/// Read in parts of few readings, the month has the same answers, to the last word of evidence.
#[test]
fn in_parts_the_answers_are_the_same() {
    let folder = MONTH._folder.path();
    let json = folder.join("parts.json");
    verify(folder, &["--at-once", "60000", "--json", json.to_str().unwrap()]);
    let parts: Value = serde_json::from_slice(&std::fs::read(json).unwrap()).unwrap();
    for key in ["counts", "lots", "instruments", "monitoring", "affected", "followed", "files"] {
        assert_eq!(parts[key], MONTH.json[key], "{key}");
    }
    assert_eq!(
        parts["findings"].as_array().unwrap().len(),
        MONTH.json["findings"].as_array().unwrap().len(),
        "the same remarks"
    );
}

/// The slip that README shows: a decimal comma and a role that does not exist.
fn slip() -> String {
    let plan = std::fs::read_to_string("plans/smoked-goose-breast.haccp")
        .unwrap()
        .replace("from 54.4 °C to 26.7 °C within", "from 54.4 °C to 26,7 °C within")
        .replace("by oven-operator using chill-probes", "by oven-operater using chill-probes");
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("my-plan.haccp"), plan).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(folder.path())
        .args(["check", "my-plan.haccp", "--on", "2026-11-25"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    format!("$ bourn check my-plan.haccp\n{}", String::from_utf8(output.stderr).unwrap())
}

/// README shows real output: what stands there is what the tool prints.
#[test]
fn readme_shows_what_the_tool_prints() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    let summary = String::from_utf8(MONTH.output.stdout.clone()).unwrap();
    let month: Vec<&str> = summary.lines().take_while(|line| !line.starts_with("  lethality.humid:")).collect();
    for (what, text) in [("the slip", slip()), ("the month", month.join("\n"))] {
        assert!(readme.contains(text.trim_end()), "README does not show {what} as the tool prints it:\n{text}");
    }
}

/// Every worked plan is clean: no error and no warning, on a day on which none of its terms has run out.
#[test]
fn every_worked_plan_is_clean() {
    let plans: Vec<_> = std::fs::read_dir("plans").unwrap().map(|entry| entry.unwrap().path()).collect();
    assert!(plans.len() >= 2);
    let output = Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["check", "--on", "2026-11-25", "--fail-on", "warning", "--format", "short"])
        .args(&plans)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
}
