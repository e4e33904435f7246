//! `bourn registers`: what it writes reads back without a fault, and nothing is written over.

use bourn::log::{Mapping, Memory, RegisterKind, read};
use bourn::source::{Source, Sources};
use std::path::Path;
use std::process::{Command, Output};

fn registers(folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["registers", "plans/smoked-goose-breast.haccp"])
        .arg(folder)
        .output()
        .unwrap()
}

#[test]
fn empty_registers_read_back_and_name_records_of_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    let output = registers(folder.path());
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let text = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    let mapping = text("registers.yaml").replace("A-RECORD-OF-THE-PLAN", "culture-record");
    let mut sources = Sources::new();
    let id = sources.add(Source::new("registers.yaml", mapping.as_str()));
    let (parsed, findings) = Mapping::parse(&mapping, id);
    let said: Vec<&str> = findings.iter().map(|finding| finding.message.as_str()).collect();
    let parsed = parsed.unwrap_or_else(|| panic!("{said:?}\n{mapping}"));
    assert_eq!(parsed.registers.len(), RegisterKind::ALL.len());
    assert_eq!(parsed.registers[0].table.record, "corrective-action-record");
    let mut files = Memory::default();
    for name in std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()) {
        let name = name.into_string().unwrap();
        files = files.with(name.clone(), text(&name).into_bytes());
    }
    let records = read(&parsed, &files);
    // Headings and no rows is all that there is to say.
    let codes: Vec<&str> = records.findings.iter().map(|finding| finding.rule.code).collect();
    assert_eq!(codes, vec!["R110"; 8], "{:#?}", records.findings);
    assert_eq!(records.kept.len(), RegisterKind::ALL.len());
}

#[test]
fn a_register_that_is_there_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("training.csv"), "mine\n").unwrap();
    let output = registers(folder.path());
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("training.csv"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing else was written");
    assert_eq!(std::fs::read_to_string(folder.path().join("training.csv")).unwrap(), "mine\n");
    let output = registers(&folder.path().join("none"));
    assert_eq!(output.status.code(), Some(2), "a folder that is not there");
}
