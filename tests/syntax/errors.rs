//! One readable case a fault: the text in errors/, and beside it what a person is told.
//!
//! To write the expected texts anew after a change of wording, set BOURN_WRITE_EXPECTED=1, and read what changed.

use crate::alone;
use bourn::report::terminal::{Look, findings};
use std::fmt::Write;
use std::path::Path;

#[test]
fn each_fault_is_explained() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/syntax/errors");
    let mut cases: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "haccp"))
        .collect();
    cases.sort();
    assert!(cases.len() >= 12, "{cases:?}");
    let mut wrong = String::new();
    for case in cases {
        let name = case.file_name().unwrap().to_str().unwrap().to_owned();
        let (sources, id) = alone(&name, &std::fs::read_to_string(&case).unwrap());
        let parsed = bourn::syntax::parse(id, sources.get(id).unwrap());
        let mut got = findings(&sources, &parsed.findings, Look { colour: false, width: 100 });
        if got.is_empty() {
            got = "no findings\n".to_owned();
        }
        let expected = case.with_extension("txt");
        if std::env::var_os("BOURN_WRITE_EXPECTED").is_some() {
            std::fs::write(&expected, &got).unwrap();
        }
        let want = std::fs::read_to_string(&expected).unwrap_or_default();
        if got != want {
            write!(wrong, "--- {name} expected\n{want}\n--- {name} got\n{got}\n").unwrap();
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
