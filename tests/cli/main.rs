//! Transcripts of the command line on bad input: what is printed, the exit status, and what is left on disk.
#![allow(
    clippy::new_without_default,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs
)]

mod broken;
mod fmt;
mod mappings;
mod new;
mod plans;
mod preview;
mod records;
mod shell;
mod stumbles;
mod spoilt;

use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// A small plan with one limit.
pub const PLAN: &str = "plan small \"Small\" {
  time-zone Europe/London
}
product slices \"Slices\" {
}
parameter core \"Core\" { unit °C }
event cook-start on batch
event cook-end   on batch
step cook \"Cook\" {
  start
  dispatch
  stage cooking from cook-start to cook-end
}
role operator \"Operator\" {
}
record batch \"Batch\" { kept for 2 years }
record cook-record \"Cook\" { kept for 2 years }
ccp lethality at cook {
  limit hold core >= 70 °C held for 2 min
  monitor core continuously step 1 min by operator on cook-record
}
";

/// The mapping of its records.
pub const MAPPING: &str = "zone: Europe/London
lots:
  - files: [lots.csv]
    record: batch
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    events: { cook-start: Start, cook-end: End }
readings:
  - files: [cook.csv]
    record: cook-record
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    columns:
      Core: { parameter: core, unit: °C }
";

pub const LOTS: &str = "Lot,Start,End
L1,2026-09-14 10:00,2026-09-14 10:10
";

/// The readings of one lot that meets the limit.
pub fn readings() -> String {
    let rows: String =
        (0..=10).map(|minute| format!("2026-09-14 10:{minute:02},L1,{}\n", if minute < 3 { 60 } else { 75 })).collect();
    format!("Time,Lot,Core\n{rows}")
}

/// What a run left behind.
#[derive(Debug)]
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// A folder with a plan, a mapping and records, all sound.
pub struct Desk(TempDir, PathBuf);

impl Desk {
    pub fn new() -> Self {
        let desk = Desk::bare();
        for (name, text) in
            [("plan.haccp", PLAN), ("mapping.yaml", MAPPING), ("lots.csv", LOTS), ("cook.csv", &readings())]
        {
            desk.put(name, text);
        }
        desk
    }

    /// A folder with nothing in it.
    pub fn bare() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().to_path_buf();
        Desk(folder, path)
    }

    /// The same, from one of its folders on.
    pub fn inside(self, folder: &str) -> Self {
        let path = self.1.join(folder);
        Desk(self.0, path)
    }

    pub fn path(&self) -> &Path {
        &self.1
    }

    /// Everything in the folder, hidden or not, in order.
    pub fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.path()).unwrap();
        let mut names: Vec<String> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    pub fn put(&self, name: &str, bytes: impl AsRef<[u8]>) -> &Self {
        std::fs::write(self.path().join(name), bytes).unwrap();
        self
    }

    pub fn drop(&self, name: &str) -> &Self {
        std::fs::remove_file(self.path().join(name)).unwrap();
        self
    }

    /// Runs the command in this folder, so that no path of the machine is printed.
    pub fn run(&self, args: &[&str]) -> Ran {
        let output = Command::new(env!("CARGO_BIN_EXE_bourn"))
            .args(args)
            .current_dir(self.path())
            .env_remove("RUST_BACKTRACE")
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| {
            let name = self.0.path().file_name().unwrap().to_str().unwrap();
            let text = String::from_utf8(bytes).expect("output in UTF-8");
            text.replace(self.path().to_str().unwrap(), "FOLDER").replace(name, "FOLDER")
        };
        let ran = Ran {
            status: output.status.code().expect("an exit status"),
            out: text(output.stdout),
            err: text(output.stderr),
        };
        assert!(!ran.err.contains("panicked") && !ran.out.contains("panicked"), "{ran:#?}");
        ran
    }

    /// Verifies with `--json out.json`, where an older verification stands.
    pub fn verify(&self) -> Ran {
        self.put("out.json", "the older one");
        self.run(&["verify", "plan.haccp", "--mapping", "mapping.yaml", "--json", "out.json"])
    }

    pub fn left(&self) -> String {
        std::fs::read_to_string(self.path().join("out.json")).unwrap()
    }

    /// Nothing can be verified: status 2, the expected text on standard error, and nothing printed or written.
    pub fn unusable(&self, case: &str) {
        let ran = self.verify();
        same(case, &ran.err);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
        assert_eq!(self.left(), "the older one");
        let names =
            std::fs::read_dir(self.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let stray: Vec<String> = names.filter(|name| name.starts_with(".bourn-")).collect();
        assert!(stray.is_empty(), "{stray:?}");
    }
}

/// Compares with a text in expected/. To write it anew after a change of wording, set BOURN_WRITE_EXPECTED=1, and read
/// what changed.
pub fn same(case: &str, got: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli/expected").join(format!("{case}.txt"));
    if std::env::var_os("BOURN_WRITE_EXPECTED").is_some() {
        std::fs::write(&path, got).unwrap();
    }
    assert_eq!(got, std::fs::read_to_string(&path).unwrap_or_default(), "{case}");
}

#[test]
fn sound_input_is_verified() {
    let desk = Desk::new();
    let ran = desk.verify();
    assert_eq!(ran.status, 0, "{ran:#?}");
    assert!(desk.left().starts_with("{\n"), "the JSON is written");
}

#[test]
fn an_output_that_cannot_be_written_leaves_the_old_one() {
    let desk = Desk::new();
    let ran = desk.run(&["verify", "plan.haccp", "--mapping", "mapping.yaml", "--json", "none/out.json"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
    assert!(
        ran.err.contains("none/out.json: cannot be written: ") && ran.err.contains("there is no folder `none`"),
        "{ran:#?}"
    );
    assert!(!desk.path().join("none").exists());
    // A folder stands where the file should: it stays, with what it holds.
    std::fs::create_dir(desk.path().join("taken")).unwrap();
    desk.put("taken/kept.txt", "kept");
    let ran = desk.run(&["verify", "plan.haccp", "--mapping", "mapping.yaml", "--json", "taken"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
    assert_eq!(std::fs::read_to_string(desk.path().join("taken/kept.txt")).unwrap(), "kept");
}

/// Of several outputs none is written where one cannot be; and none takes the place of what was read, or of another.
#[test]
fn several_outputs_are_written_together() {
    let desk = Desk::new();
    let verify = |more: &[&str]| {
        for name in ["a", "b", "c", "d"] {
            desk.put(name, "the older one");
        }
        let mut args = vec!["verify", "plan.haccp", "--mapping", "mapping.yaml"];
        args.extend(more);
        desk.run(&args)
    };
    let read = |name: &str| std::fs::read_to_string(desk.path().join(name)).unwrap();
    let ran = verify(&["--json", "a", "--html", "b", "--findings", "c", "--lines", "d"]);
    assert_eq!(ran.status, 0, "{ran:#?}");
    // The records have nothing to tell, so that the list of findings is empty.
    assert!(read("a").starts_with('{') && read("b").starts_with('<') && read("c").is_empty(), "{}", read("c"));
    let line: serde_json::Value = serde_json::from_str(&read("d")).unwrap();
    assert_eq!((&line["lot"], &line["limit"], &line["verdict"]), (&"L1".into(), &"hold".into(), &"met".into()));
    assert_eq!(read("d").lines().count(), 1);
    for last in [["--lines", "none/d"], ["--lines", "a"], ["--lines", "cook.csv"], ["--lines", "plan.haccp"]] {
        let before = read(if last[1].contains('.') { last[1] } else { "lots.csv" });
        let ran = verify(&[&["--json", "a", "--html", "b", "--findings", "c"][..], &last[..]].concat());
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
        assert!(ran.err.contains(last[1]) && ran.err.contains("X104"), "{ran:#?}");
        assert!(["a", "b", "c"].iter().all(|name| read(name) == "the older one"), "{last:?}");
        assert_eq!(read(if last[1].contains('.') { last[1] } else { "lots.csv" }), before);
    }
    // The arithmetic of one verdict is printed, and writes no file.
    let ran = verify(&["--workings", "L1", "--lines", "d"]);
    assert_eq!((ran.status, read("d").as_str()), (2, "the older one"), "{ran:#?}");
}

#[test]
fn a_wrong_command_line_is_status_2() {
    let desk = Desk::new();
    for args in [
        &["verify"][..],
        &["check"],
        &["frobnicate"],
        &["check", "plan.haccp", "--on", "14.09.2026"],
        &["verify", "plan.haccp", "--mapping", "mapping.yaml", "--month", "2026-13"],
        &["explain", "Z999"],
    ] {
        let ran = desk.run(args);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{args:?} {ran:#?}");
        assert!(!ran.err.is_empty());
    }
}
