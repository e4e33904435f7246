//! One readable case for every kind of finding of a plan: the fault, what the user is shown, and the text that mends it.
//!
//! `BOURN_BLESS=1` writes what is shown into the cases; read each before accepting it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod facts;
mod failures;
mod pages;
mod signed;

use bourn::finding::Finding;
use bourn::report::terminal::{self, Look};
use bourn::source::{Source, Sources};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const BASE: &str = include_str!("base.haccp");

struct Case {
    path: PathBuf,
    code: String,
    text: String,
}

/// The contents of the fenced part with this word after its fence.
fn part<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let open = format!("```{word}\n");
    let start = text.find(&open)? + open.len();
    let rest = &text[start..];
    // An empty part has its closing fence at once.
    let end = if rest.starts_with("```") { 0 } else { rest.find("\n```")? + 1 };
    Some(&rest[..end])
}

fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/findings/cases");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let stem = path.file_stem().unwrap().to_str().unwrap();
            let code = stem.split('-').next().unwrap().to_owned();
            let text = std::fs::read_to_string(&path).unwrap();
            Case { path, code, text }
        })
        .collect()
}

impl Case {
    /// The plan with the fault, or mended: the base with a stretch replaced, or the part itself where nothing is
    /// replaced. A line of `…` parts several stretches.
    fn plan(&self, word: &str) -> String {
        let Some(with) = part(&self.text, word) else {
            // What is wrong stands in the sign-off file alone.
            assert!(part(&self.text, "sign-off").is_some(), "{}: no part ```{word}", self.path.display());
            return BASE.to_owned();
        };
        match part(&self.text, "replace") {
            Some(replace) => {
                let stretches = |text: &str| text.split("…\n").map(str::to_owned).collect::<Vec<_>>();
                let (old, new) = (stretches(replace), stretches(with));
                assert_eq!(old.len(), new.len(), "{}: as many stretches as are replaced", self.path.display());
                old.iter().zip(&new).fold(BASE.to_owned(), |plan, (old, new)| {
                    let found = plan.matches(old.as_str()).count();
                    assert_eq!(found, 1, "{}: `{old}` must stand in the base plan once", self.path.display());
                    plan.replacen(old.as_str(), new, 1)
                })
            }
            None => with.to_owned(),
        }
    }

    /// What is found in the plan with the fault, or mended; and in the sign-off file where the case has one.
    fn findings(&self, word: &str) -> (Sources, Vec<Finding>) {
        let (file, signers) =
            if word == "with" { ("sign-off", "signers") } else { ("sign-off-mended", "signers-mended") };
        let file = part(&self.text, file).map(|file| (file, part(&self.text, signers)));
        findings_with(&self.plan(word), file)
    }
}

fn findings(text: &str) -> (Sources, Vec<Finding>) {
    findings_with(text, None)
}

fn findings_with(text: &str, file: Option<(&str, Option<&str>)>) -> (Sources, Vec<Finding>) {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan.haccp", text));
    let reading = bourn::plan::read(&sources, &[id]);
    let mut found = reading.findings;
    found.extend(bourn::check::check(&reading.plan, chrono::NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()));
    found.extend(file.into_iter().flat_map(|file| signed::findings(&sources, id, &reading.plan, file)));
    bourn::finding::tidy(&mut found);
    (sources, found)
}

fn shown(sources: &Sources, findings: &[Finding]) -> String {
    let text = terminal::findings(sources, findings, Look { colour: false, width: 100 });
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    lines.join("\n").trim_end().to_owned() + "\n"
}

#[test]
fn the_base_plan_has_no_findings() {
    let (sources, found) = findings(BASE);
    assert!(found.is_empty(), "{}", shown(&sources, &found));
}

#[test]
fn every_case_shows_its_finding_and_is_mended() {
    let bless = std::env::var_os("BOURN_BLESS").is_some();
    let mut wrong = Vec::new();
    for case in cases() {
        let (sources, mut found) = case.findings("with");
        found.retain(|finding| finding.rule.code == case.code);
        let name = case.path.file_name().unwrap().to_string_lossy().into_owned();
        if found.is_empty() {
            let (sources, all) = case.findings("with");
            wrong.push(format!("{name}: the fault is not found; instead:\n{}", shown(&sources, &all)));
            continue;
        }
        let rule = found[0].rule;
        assert_eq!(name, format!("{}-{}.md", rule.code, rule.name));
        let (now, was) = (shown(&sources, &found), part(&case.text, "shows").unwrap_or("").to_owned());
        if now != was {
            if bless {
                let old = format!("```shows\n{was}```");
                assert!(case.text.contains(&old), "{name}: no part ```shows");
                std::fs::write(&case.path, case.text.replacen(&old, &format!("```shows\n{now}```"), 1)).unwrap();
            } else {
                wrong.push(format!("{name}: shows\n{now}instead of\n{was}"));
            }
        }
        let (sources, mended) = case.findings("mended");
        let left: Vec<Finding> = mended.into_iter().filter(|finding| finding.rule.code == case.code).collect();
        if !left.is_empty() {
            wrong.push(format!("{name}: still found when mended:\n{}", shown(&sources, &left)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_of_a_plan_has_a_case() {
    // S012 answers a parser that gave up; no text is known that makes it do so.
    // S014 answers a formatter that went wrong; tests/format looks for such a text.
    let without = ["S012", "S014"];
    let mut wanted: BTreeSet<&str> = [
        bourn::syntax::RULES,
        bourn::plan::lower::RULES,
        bourn::plan::names::RULES,
        bourn::plan::dimensions::RULES,
        bourn::plan::beside::RULES,
        bourn::signoff::RULES,
    ]
    .into_iter()
    .chain(bourn::check::rules())
    .flatten()
    .map(|rule| rule.code)
    .collect();
    wanted.retain(|code| !without.contains(code));
    let cases = cases();
    let have: BTreeSet<&str> = cases.iter().map(|case| case.code.as_str()).collect();
    let missing: Vec<&&str> = wanted.difference(&have).collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
    let known: BTreeSet<&str> = bourn::registry::rules().into_iter().map(|rule| rule.code).collect();
    let unknown: Vec<&&str> = have.difference(&known).collect();
    assert!(unknown.is_empty(), "cases for rules that are gone: {unknown:?}");
}
