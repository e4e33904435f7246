//! `bourn new`: what it writes, what it refuses, and that what is left to say is what it names.

use bourn::clause::REGIMES;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn bourn(folder: &Path, args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bourn"));
    command.current_dir(folder).args(args).stdin(Stdio::null());
    command.output().unwrap()
}

fn codes(said: &str) -> BTreeSet<String> {
    said.lines()
        .filter(|line| line.contains(": ") && line.ends_with(']'))
        .filter_map(|line| line.rsplit_once('[')?.1.strip_suffix(']')?.split(' ').next().map(str::to_owned))
        .collect()
}

/// What stays to be said when nothing was answered: the clock, the day, the topics, what was trained and walked, and the
/// classes and allergens that a product has.
const LEFT: &[&str] = &["A104", "B103", "B104", "B122", "B124", "F112", "K107", "T110", "T112"];

fn begins(args: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let all = [&["new", "my plan.haccp", "--on", "2026-09-14"], args].concat();
    let done = bourn(folder.path(), &all);
    let said = String::from_utf8(done.stderr).unwrap();
    assert_eq!(done.status.code(), Some(0), "{args:?}: {said}");
    let text = std::fs::read_to_string(folder.path().join("my plan.haccp")).unwrap();
    assert!(text.contains("\nplan my-plan "), "{text}");
    let blanks =
        text.lines().filter(|line| !line.starts_with('#')).map(|line| line.matches("___").count()).sum::<usize>();
    assert!(said.contains(&format!("{blanks} values are blank")), "{blanks}: {said}");
    // What it names is what `check` finds, and nothing that is wrong by itself.
    let check = bourn(folder.path(), &["check", "--format", "short", "--on", "2026-09-14", "my plan.haccp"]);
    let found = codes(&String::from_utf8(check.stdout).unwrap());
    assert_eq!(found, codes(&said), "{args:?}");
    let other: Vec<_> = found.iter().filter(|code| !LEFT.contains(&code.as_str())).collect();
    assert!(other.is_empty(), "{args:?}: {other:?}\n{said}");
    let tidy = bourn(folder.path(), &["fmt", "--check", "my plan.haccp"]);
    assert_eq!(tidy.status.code(), Some(0), "{}", String::from_utf8_lossy(&tidy.stdout));
    // The next step is one that can be typed as it stands, and each thing to be said has its remedy below it.
    assert!(said.contains("then: bourn check \"my plan.haccp\"\n"), "{said}");
    let lines: Vec<&str> = said.lines().skip(3).collect();
    for pair in lines.chunks(2) {
        assert!(pair[0].ends_with(']') && pair[1].starts_with("    "), "{pair:?}");
    }
    // Once more: refused, and the file is as it was.
    let again = bourn(folder.path(), &all);
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("is there already"));
    assert_eq!(std::fs::read_to_string(folder.path().join("my plan.haccp")).unwrap(), text);
    text
}

#[test]
fn a_skeleton_for_every_regime() {
    for regime in REGIMES {
        let text = begins(&["--regime", regime]);
        assert!(text.contains(&format!("regimes         {regime}\n")), "{text}");
        assert!(!text.contains("REGIME") && !text.contains("#@"), "{text}");
    }
}

#[test]
fn every_example_without_its_plant() {
    for (example, _) in bourn::begin::EXAMPLES {
        let own = std::fs::read_to_string(format!("{}/plans/{example}.haccp", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let text = begins(&["--like", example]);
        // Whom the example belongs to, when it was shown and by what is not carried over.
        for word in [
            "establishment",
            "registered",
            "address",
            "in-force",
            "reassessed",
            "validated",
            "trained",
            "file",
            "finding",
        ] {
            let said = |line: &&str| line.trim().starts_with(&format!("{word} "));
            for line in own.lines().filter(said) {
                assert!(!text.lines().any(|kept| kept.trim() == line.trim()), "{example}: {line}");
            }
        }
        let dates = |line: &str| {
            line.split_whitespace()
                .any(|word| word.len() == 10 && chrono::NaiveDate::parse_from_str(word, "%Y-%m-%d").is_ok())
        };
        let kept: Vec<&str> = text.lines().filter(|line| dates(line)).collect();
        assert!(kept.is_empty(), "{example}: {kept:?}");
        assert!(!text.contains("\nexception "), "{example}");
    }
}

#[test]
fn answers_stand_in_the_plan() {
    let text = begins(&[
        "--regime",
        "eu",
        "--say",
        "product=Duck \"royal\", sliced",
        "--say",
        "establishment=Quernside Kitchen",
        "--say",
        "time-zone=Europe/London",
        "--say",
        "use=Eaten cold",
    ]);
    for line in [
        "plan my-plan \"Duck \"\"royal\"\", sliced\" {",
        "product my-product \"Duck \"\"royal\"\", sliced\" {",
        "  establishment   \"Quernside Kitchen\"",
        "  time-zone       Europe/London",
    ] {
        assert!(text.lines().any(|own| own == line), "{line}\n{text}");
    }
    assert!(text.contains("\"Eaten cold\""));
}

#[test]
fn the_readme_shows_what_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let done = bourn(folder.path(), &["new", "my-plan.haccp", "--regime", "codex", "--on", "2026-09-14"]);
    let said = String::from_utf8(done.stderr).unwrap();
    let beginning: Vec<&str> = said.lines().take(5).collect();
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    assert!(readme.contains(&beginning.join("\n")), "{said}");
}

#[test]
fn what_is_not_taken() {
    let folder = tempfile::tempdir().unwrap();
    for (args, words) in [
        (vec!["new", "a.haccp"], "begun from"),
        (vec!["new", "a.haccp", "--regime", "codex", "--say", "colour=red"], "answers no question"),
        (vec!["new", "a.haccp", "--regime", "codex", "--say", "use=a\nb"], "more than one line"),
        (vec!["new", "a.haccp", "--regime", "mars"], "possible values"),
        (vec!["new", "a.haccp", "--like", "mars"], "possible values"),
        (vec!["new", "nowhere/a.haccp", "--regime", "codex"], "cannot be written"),
        (vec!["new", "a.haccp", "--regime", "codex", "--say", "time-zone=Mars/Base x {"], "time zone"),
    ] {
        let done = bourn(folder.path(), &args);
        let said = String::from_utf8_lossy(&done.stderr).replace('\n', " ");
        assert_eq!(done.status.code(), Some(2), "{args:?}: {said}");
        assert!(said.contains(words), "{args:?}: {said}");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "{args:?}");
    }
}
