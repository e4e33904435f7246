//! The change between two texts of a plan, as a user sees it.
//!
//! One readable case for every kind of change: what is changed in the base plan, and what is shown. In a change, `-`
//! stands before lines of the base plan that the new text has not, `+` before lines that the new text alone has, `<`
//! before lines that the old text alone has, `=` before lines that both have and the base plan has not, `!` before lines
//! that the base plan alone has, and a blank before lines that all have; an empty line parts two places.
//! `BOURN_BLESS=1` writes what is shown into the cases; read each before accepting it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod forms;
mod git;
mod laws;
mod limits;

use bourn::compare::{Comparison, Kind};
use bourn::plan::Plan;
use bourn::source::{Source, Sources};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

/// The plan from which the cases start.
pub const BASE: &str = include_str!("base.haccp");

/// One case.
pub struct Case {
    path: PathBuf,
    /// The kind it is named after.
    pub name: String,
    text: String,
    /// The old text.
    pub old: String,
    /// The new text.
    pub new: String,
}

/// The contents of the fenced part with this word after its fence.
fn part<'a>(text: &'a str, word: &str) -> &'a str {
    let open = format!("```{word}\n");
    let start = text.find(&open).unwrap_or_else(|| panic!("no part ```{word}")) + open.len();
    let rest = &text[start..];
    let end = if rest.starts_with("```") { 0 } else { rest.find("\n```").unwrap() + 1 };
    &rest[..end]
}

/// The two texts that a change makes of the base plan.
pub fn applied(change: &str) -> (String, String) {
    let (mut old, mut new) = (BASE.to_owned(), BASE.to_owned());
    for place in change.split("\n\n").filter(|place| !place.trim().is_empty()) {
        let (mut base, mut before, mut after) = (String::new(), String::new(), String::new());
        for line in place.lines() {
            let (mark, rest) = line.split_at(1);
            let rest = rest.strip_prefix(' ').unwrap_or(rest);
            let into: &mut [&mut String] = match mark {
                " " => &mut [&mut base, &mut before, &mut after],
                "=" => &mut [&mut before, &mut after],
                "+" => &mut [&mut after],
                "!" => &mut [&mut base],
                "<" => &mut [&mut before],
                "-" => &mut [&mut base, &mut before],
                _ => panic!("a line of a change begins with none of `-+<=! `: {line}"),
            };
            into.iter_mut().for_each(|text| {
                text.push_str(rest);
                text.push('\n');
            });
        }
        if base.is_empty() {
            // Lines with nothing to stand beside go before the first limit.
            let at = BASE.lines().find(|line| line.starts_with("  limit")).unwrap();
            base = format!("{at}\n");
            before.push_str(&base);
            after.push_str(&base);
        }
        assert_eq!(BASE.matches(&base).count(), 1, "must stand in the base plan once:\n{base}");
        old = old.replacen(&base, &before, 1);
        new = new.replacen(&base, &after, 1);
    }
    (old, new)
}

impl Case {
    /// From the old text to the new one, and back.
    pub fn both_ways(&self) -> (Comparison, Comparison) {
        let (old, new) = (plan(&self.old), plan(&self.new));
        (bourn::compare::compare(&old, &new), bourn::compare::compare(&new, &old))
    }
}

mod text {
    use super::{Case, Comparison, Source, Sources};
    use bourn::report::compare::{Side, text};

    /// What the program prints of a case.
    pub fn shown(case: &Case, comparison: &Comparison) -> String {
        let side = |name: &str, text: &str| {
            let mut sources = Sources::new();
            sources.add(Source::new(name, text));
            Side { name: name.to_owned(), sources, faults: 0 }
        };
        text(&side("old.haccp", &case.old), &side("new.haccp", &case.new), comparison)
    }
}

/// Every case with its two comparisons, made once.
pub static COMPARED: LazyLock<Vec<(Case, Comparison, Comparison)>> = LazyLock::new(|| {
    let both = |case: Case| {
        let (there, home) = case.both_ways();
        (case, there, home)
    };
    cases().into_iter().map(both).collect()
});

/// Every case, by name.
pub fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/compare/cases");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).unwrap();
        let (old, new) = applied(part(&text, "change"));
        Case { name: path.file_stem().unwrap().to_str().unwrap().to_owned(), path, text, old, new }
    };
    paths.into_iter().map(read).collect()
}

/// The plan of a text, which must be readable.
pub fn plan(text: &str) -> Plan {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan.haccp", text));
    let reading = bourn::plan::read(&sources, &[id]);
    let hidden: Vec<&str> = reading
        .findings
        .iter()
        .filter(|one| !one.rule.code.starts_with("N2"))
        .map(|one| one.message.as_str())
        .collect();
    assert!(hidden.is_empty(), "{}", hidden.join("\n"));
    reading.plan
}

/// The change between two texts.
pub fn compared(old: &str, new: &str) -> Comparison {
    bourn::compare::compare(&plan(old), &plan(new))
}

/// Runs the program in a folder.
pub fn run(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bourn")).current_dir(folder).arg("compare").args(args).output().unwrap()
}

/// Runs the program on two texts.
pub fn run_on(old: &str, new: &str, args: &[&str]) -> Output {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("old.haccp"), old).unwrap();
    std::fs::write(folder.path().join("new.haccp"), new).unwrap();
    run(folder.path(), &[&["old.haccp", "new.haccp"], args].concat())
}

#[test]
fn every_kind_has_a_case_and_every_case_shows_its_kind() {
    for kind in Kind::ALL {
        let named = |kind: Kind| COMPARED.iter().any(|(case, ..)| case.name == kind.word());
        assert!(named(*kind) || named(kind.mirrored()), "no case for `{}` or its mirror", kind.word());
    }
    let mut wrong = Vec::new();
    for (case, there, home) in COMPARED.iter() {
        let Some(kind) = Kind::ALL.iter().find(|kind| kind.word() == case.name) else {
            panic!("{}: there is no such kind", case.path.display())
        };
        let has = |comparison: &Comparison, kind: Kind| comparison.changes.iter().any(|change| change.kind == kind);
        if !has(there, *kind) {
            wrong.push(format!("{}: the kind does not come up", case.name));
        }
        if !has(home, kind.mirrored()) {
            wrong.push(format!("{}: the mirrored kind does not come up", case.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn cases_show_what_they_say() {
    let bless = std::env::var_os("BOURN_BLESS").is_some();
    let mut wrong = Vec::new();
    for (at, (case, there, _)) in COMPARED.iter().enumerate() {
        let shown = text::shown(case, there);
        // The program says the same; one run in eight keeps the test short.
        if at % 8 == 0 {
            let output = run_on(&case.old, &case.new, &[]);
            assert!(output.stderr.is_empty(), "{}: {}", case.name, String::from_utf8_lossy(&output.stderr));
            assert_eq!(output.status.code(), Some(1), "{}", case.name);
            assert_eq!(String::from_utf8(output.stdout).unwrap(), shown, "{}", case.name);
        }
        let wanted = part(&case.text, "shown");
        if shown != wanted {
            if bless {
                let mended = case.text.replace(&format!("```shown\n{wanted}```"), &format!("```shown\n{shown}```"));
                std::fs::write(&case.path, mended).unwrap();
            } else {
                wrong.push(format!("{}:\n{shown}", case.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
