//! What a newcomer to the terminal mistypes: each slip has a message that names the next step, exit status 2, and
//! nothing printed or written. The folder is the one that `bourn tutorial` writes.

use crate::{Desk, same};

/// The folder of the tutorial, with files beside it that are easily named in its place.
fn kitchen() -> Desk {
    let desk = Desk::bare();
    let ran = desk.run(&["tutorial", "kitchen"]);
    assert_eq!(ran.status, 0, "{ran:#?}");
    for (name, bytes) in [
        ("plan.docx", &b"PK\x03\x04\x14\0\x06\0"[..]),
        ("plan.doc", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
        ("plan.pdf", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"),
        ("plan.rtf", b"{\\rtf1\\ansi plan}"),
        ("plan.html", b"<!DOCTYPE html>\n<html></html>\n"),
        ("saved.haccp", b"PK\x03\x04\x14\0\x06\0"),
        ("book.xlsx", b"PK\x03\x04\x14\0\x06\0"),
        ("my plan.haccp", bourn::begin::tutorial::FILES[0].2.as_bytes()),
    ] {
        desk.put(&format!("kitchen/{name}"), bytes);
    }
    desk.inside("kitchen")
}

/// Command lines and where the expected text stands.
const SLIPS: &[(&str, &[&str])] = &[
    ("command-typo", &["chek", "roast-chicken.haccp"]),
    ("command-left-out", &["roast-chicken.haccp"]),
    ("plan-left-out", &["check"]),
    ("plan-typo", &["check", "roast-chiken.haccp"]),
    ("plan-elsewhere", &["check", "bowls.haccp"]),
    ("folder-typo", &["check", "kitchn/roast-chicken.haccp"]),
    ("folder-for-a-plan", &["render", "."]),
    ("blank-in-a-name", &["render", "my", "plan.haccp"]),
    ("blank-in-a-name-of-several", &["check", "my", "plan.haccp"]),
    ("docx-for-a-plan", &["render", "plan.docx"]),
    ("doc-for-a-plan", &["render", "plan.doc"]),
    ("rtf-for-a-plan", &["render", "plan.rtf"]),
    ("saved-by-a-word-processor", &["render", "saved.haccp"]),
    ("pdf-for-a-plan", &["check", "plan.pdf"]),
    ("page-for-a-plan", &["check", "plan.html"]),
    ("records-for-a-plan", &["check", "records/oven.csv"]),
    ("workbook-for-a-plan", &["check", "book.xlsx"]),
    ("mapping-for-a-plan", &["check", "mapping.yaml"]),
    ("plan-for-records", &["read", "roast-chicken.haccp"]),
    ("mapping-for-records", &["propose", "mapping.yaml"]),
    ("pdf-for-records", &["read", "plan.pdf"]),
    ("records-typo", &["read", "records/ovne.csv"]),
    ("folder-for-records", &["read", "records"]),
    ("mapping-left-out", &["verify", "roast-chicken.haccp", "--month", "2026-10"]),
    ("mapping-typo", &["verify", "roast-chicken.haccp", "--mapping", "maping.yaml"]),
    ("mapping-not-found", &["verify", "roast-chicken.haccp", "--mapping", "month.yaml"]),
    ("mapping-without-option", &["verify", "roast-chicken.haccp", "mapping.yaml"]),
    ("plan-for-the-mapping", &["verify", "roast-chicken.haccp", "--mapping", "roast-chicken.haccp"]),
    ("records-for-the-mapping", &["verify", "roast-chicken.haccp", "--mapping", "records/oven.csv"]),
    ("month-in-words", &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--month", "October"]),
    ("month-without-option", &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "2026-10"]),
    ("long-hyphen", &["verify", "roast-chicken.haccp", "–mapping", "mapping.yaml"]),
    ("long-hyphen-second", &["verify", "roast-chicken.haccp", "-–mapping", "mapping.yaml"]),
    ("option-typo", &["verify", "roast-chicken.haccp", "--maping", "mapping.yaml"]),
    ("value-left-out", &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--html"]),
    ("records-folder-twice", &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--records", "records"]),
    (
        "file-for-the-folder",
        &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--records", "records/oven.csv"],
    ),
    ("no-such-folder", &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--records", "recrods"]),
    ("lot-typo", &["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--lot", "RC1077"]),
    ("day-turned-round", &["check", "roast-chicken.haccp", "--on", "31.10.2026"]),
    ("unit-parted-from-its-number", &["calc", "humidity", "--dry", "82", "°C", "--wet", "77", "°C"]),
    ("output-in-no-folder", &["render", "roast-chicken.haccp", "--output", "out/plan.html"]),
    ("output-is-a-folder", &["render", "roast-chicken.haccp", "--output", "records"]),
    ("registers-in-no-folder", &["registers", "roast-chicken.haccp", "registers"]),
    ("new-over-an-old-plan", &["new", "roast-chicken.haccp", "--regime", "codex"]),
    ("new-from-nothing", &["new", "other.haccp"]),
    ("sign-without-arguments", &["sign", "roast-chicken.haccp"]),
];

#[test]
fn every_slip_has_its_next_step() {
    let desk = kitchen();
    let before = desk.names();
    for (case, args) in SLIPS {
        let ran = desk.run(args);
        same(&format!("slip-{case}"), &ran.err);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{case}: {ran:#?}");
        assert_eq!(desk.names(), before, "{case}: something was written");
    }
}

/// A limit as it is first typed, and what is said of it.
#[test]
fn a_mistyped_limit_names_the_right_spelling() {
    let desk = kitchen();
    let plan = bourn::begin::tutorial::FILES[0].2;
    let sound = "core >= 70 °C held for 2 min";
    let mut all = String::new();
    for limit in [
        sound,
        "core >= 70 held for 2 min",
        "core >= 70 C held for 2 min",
        "core >= 70 degrees held for 2 min",
        "core >= 70 kg held for 2 min",
        "core >= 70,5 °C held for 2 min",
        "core >= 70 °C held for 2 minutes",
        "core >= 70 °C held for 2",
        "core >= 70 °C for 2 min",
        "core > = 70 °C held for 2 min",
        "core at least 70 °C held for 2 min",
        "Core >= 70 °C held for 2 min",
        "core temperature >= 70 °C held for 2 min",
        "core >= 158 °C held for 2 min",
        "hot enough",
    ] {
        let text = plan.replacen("  number  \"CCP 1\"\n", &format!("  number  \"CCP 1\"\n  limit hot  {limit}\n"), 1);
        desk.put("typed.haccp", text);
        let ran = desk.run(&["check", "typed.haccp", "--format", "plain"]);
        all.push_str(&format!("limit hot  {limit}\n"));
        let told = ran.out.lines().filter(|line| line.starts_with("What is wrong") || line.starts_with("Next step"));
        for line in told.skip(2) {
            all.push_str(&format!("  {line}\n"));
        }
        assert_eq!(ran.status, i32::from(limit != sound), "{limit}: {ran:#?}");
    }
    same("typed-limits", &all);
}

/// A month in which nothing was made is not shown, and the days on which the lots were begun are told.
#[test]
fn a_month_without_lots_says_when_there_were_some() {
    let desk = kitchen();
    let ran = desk.run(&["verify", "roast-chicken.haccp", "--mapping", "mapping.yaml", "--month", "2026-09"]);
    assert_eq!(ran.status, 3, "{ran:#?}");
    assert!(ran.out.contains("0 lots, 0 critical limits"), "{ran:#?}");
    let days = "5 lots of the register belong to other periods: begun from 2026-10-05 to 2026-10-09\n";
    assert!(ran.out.contains(days) && !ran.out.contains("critical limit  "), "{ran:#?}");
}

/// The files of the tutorial are written whole, into a folder that is not there yet.
#[test]
fn the_tutorial_is_never_written_over() {
    let desk = Desk::bare();
    let ran = desk.run(&["tutorial", "my kitchen"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{ran:#?}");
    assert!(ran.out.ends_with("Next: cd \"my kitchen\"\nthen: bourn check roast-chicken.haccp\n"), "{ran:#?}");
    for (name, _, text) in bourn::begin::tutorial::FILES {
        assert_eq!(std::fs::read_to_string(desk.path().join("my kitchen").join(name)).unwrap(), *text, "{name}");
    }
    desk.put("my kitchen/mapping.yaml", "mine\n");
    for folder in ["my kitchen", "my kitchen/mapping.yaml", "none/kitchen"] {
        let ran = desk.run(&["tutorial", folder]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
    }
    assert_eq!(std::fs::read_to_string(desk.path().join("my kitchen/mapping.yaml")).unwrap(), "mine\n");
    assert_eq!(desk.names(), ["my kitchen"]);
}
