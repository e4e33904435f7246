//! A page for every kind of finding, made from its declaration and its case. `BOURN_BLESS=1` writes them.

use crate::{cases, part};
use bourn::clause::clause;
use bourn::finding::Rule;
use bourn::registry;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/findings")
}

/// The page of a rule; `case` is the text of its case, if it has one.
fn page(rule: &Rule, case: Option<&str>) -> String {
    let mut out = format!("# {} {}\n\nSeverity: {}.\n\n", rule.code, rule.name, rule.severity.word());
    for line in rule.doc.lines() {
        out.push_str(line.strip_prefix(' ').unwrap_or(line).trim_end());
        out.push('\n');
    }
    let clauses: Vec<String> =
        rule.clauses.iter().filter_map(|id| clause(id)).map(|clause| format!("- {}\n", clause.note())).collect();
    if !clauses.is_empty() {
        out.push_str(&format!("\n## Rests on\n\n{}", clauses.concat()));
    }
    let Some(case) = case else {
        out.push_str(
            "\nIt depends on files and records rather than on the text of a plan, so no example stands here.\n",
        );
        return out;
    };
    let fenced = |word: &str| format!("```text\n{}```\n", part(case, word).unwrap_or(""));
    if let Some(file) = part(case, "sign-off") {
        out.push_str("\n## Example\n\n");
        if part(case, "with").is_some() {
            out.push_str(&format!("In an invented plan:\n\n{}\n", fenced("with")));
        }
        if file.is_empty() {
            out.push_str("Beside an invented plan there is no sign-off file.\n");
        } else {
            let end = if file.contains("{cr}") { ", and `{cr}` for a carriage return" } else { "" };
            out.push_str(&format!(
                "In the sign-off file of an invented plan, where `{{plan}}` stands for the digest of the plan and \
                 `{{after}}` for that of the line before{end}:\n\n{}",
                fenced("sign-off")
            ));
        }
        if file.contains("{key") {
            out.push_str("\nThere `{key}` stands for the signature by an invented key.\n");
        }
        if part(case, "signers").is_some() {
            out.push_str(&format!(
                "\nIn the file of allowed signers, where `{{public}}` stands for the public part of that key:\n\n{}",
                fenced("signers")
            ));
        }
        out.push_str(&format!("\nWhat is shown:\n\n{}\nMended:\n\n", fenced("shows")));
        if part(case, "mended").is_some() {
            out.push_str(&format!("{}\nand\n\n", fenced("mended")));
        }
        out.push_str(&fenced("sign-off-mended"));
        if part(case, "signers-mended").is_some() {
            out.push_str(&format!("\nand\n\n{}", fenced("signers-mended")));
        }
        return out;
    }
    match part(case, "with") {
        Some("") => {
            out.push_str(&format!("\n## Example\n\nIn an invented plan, without this:\n\n{}", fenced("replace")))
        }
        _ => out.push_str(&format!("\n## Example\n\nIn an invented plan:\n\n{}", fenced("with"))),
    }
    out.push_str(&format!("\nWhat is shown:\n\n{}", fenced("shows")));
    out.push_str(&format!("\nMended:\n\n{}", fenced("mended")));
    out
}

#[test]
fn every_finding_has_its_page() {
    let bless = std::env::var_os("BOURN_BLESS").is_some();
    let cases: BTreeMap<String, String> = cases().into_iter().map(|case| (case.code, case.text)).collect();
    let mut wanted: BTreeMap<String, String> = BTreeMap::new();
    let mut index =
        "# Findings\n\nMade from the declarations and from the cases in tests/findings; `bourn explain CODE` prints \
                     a page.\n\n| code | finding | severity |\n| --- | --- | --- |\n"
            .to_owned();
    for rule in registry::rules() {
        let name = format!("{}-{}.md", rule.code, rule.name);
        index.push_str(&format!("| [{}]({name}) | {} | {} |\n", rule.code, rule.name, rule.severity.word()));
        wanted.insert(name, page(rule, cases.get(rule.code).map(String::as_str)));
    }
    wanted.insert("README.md".to_owned(), index);
    if bless {
        let _ = std::fs::remove_dir_all(folder());
        std::fs::create_dir_all(folder()).unwrap();
        for (name, text) in &wanted {
            std::fs::write(folder().join(name), text).unwrap();
        }
    }
    let have: BTreeMap<String, String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(&path).unwrap()))
        .collect();
    let stale: Vec<&String> =
        wanted.iter().filter(|(name, text)| have.get(*name) != Some(text)).map(|(name, _)| name).collect();
    assert!(stale.is_empty(), "stale or missing in docs/findings, to be written with BOURN_BLESS=1: {stale:?}");
    let spare: Vec<&String> = have.keys().filter(|name| !wanted.contains_key(*name)).collect();
    assert!(spare.is_empty(), "no finding has these pages: {spare:?}");
}
