//! Links and paths.

use crate::page;
use bourn::syntax::Rule;

/// Links to files of the repository lead to files that exist, and links into a page to a heading of it.
#[test]
fn every_link_leads_somewhere() {
    let mut seen = 0;
    let more = ["README.md", "DEVELOPERS.md", "CHANGELOG.md", "demo/README.md"].map(page::page);
    for page in page::pages().into_iter().chain(more) {
        let folder = page::root().join(&page.name).parent().unwrap().to_path_buf();
        for (_, rest) in page.text.match_indices("](").map(|(at, _)| page.text.split_at(at + 2)) {
            let target = rest.split(')').next().unwrap();
            if target.starts_with("http") {
                continue;
            }
            let (path, heading) = target.split_once('#').unwrap_or((target, ""));
            let file = if path.is_empty() { page::root().join(&page.name) } else { folder.join(path) };
            assert!(file.exists(), "{}: `{target}` leads nowhere", page.name);
            if !heading.is_empty() {
                let text = std::fs::read_to_string(&file).unwrap();
                let found = text.lines().filter(|line| line.starts_with('#')).any(|line| anchor(line) == heading);
                assert!(found, "{}: `{target}` names no heading", page.name);
            }
            seen += 1;
        }
    }
    assert!(seen > 20, "only {seen} links");
}

/// How a heading is named in a link: small letters, hyphens for blanks, no other signs.
fn anchor(heading: &str) -> String {
    let kept = heading.trim_start_matches('#').trim().to_lowercase();
    kept.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_')).collect::<String>().replace(' ', "-")
}

/// Every page is in the index.
#[test]
fn the_index_names_every_page() {
    let index = page::page("docs/README.md");
    for page in page::pages() {
        let Some(name) = page.name.strip_prefix("docs/") else { continue };
        assert!(
            name == "README.md" || index.text.contains(&format!("({name})")),
            "docs/README.md does not name {name}"
        );
    }
    assert!(index.text.contains("(../grammar/README.md)"));
}

/// README names every worked example, by the word that begins a plan from it, and every plan that is one.
#[test]
fn readme_names_every_worked_example() {
    let readme = page::page("README.md").text;
    let rows: Vec<&str> = readme.lines().filter(|line| line.trim_start().starts_with("| [`")).collect();
    for (name, _) in bourn::begin::EXAMPLES {
        let row = format!("| [`{name}`](plans/{name}.haccp) | ");
        assert!(rows.iter().any(|line| line.trim_start().starts_with(&row)), "README lacks a row `{row}`");
    }
    let plans = std::fs::read_dir(page::root().join("plans")).unwrap().map(|entry| entry.unwrap().path());
    let plans: Vec<_> = plans.filter(|path| path.extension().is_some_and(|ending| ending == "haccp")).collect();
    for path in &plans {
        let name = path.file_name().unwrap().to_str().unwrap();
        assert!(readme.contains(&format!("(plans/{name})")), "README does not name plans/{name}");
    }
    assert!(plans.len() >= 4 && rows.len() == bourn::begin::EXAMPLES.len(), "{} rows", rows.len());
}

/// The rules that the page on the grammar speaks of are rules of the grammar.
#[test]
fn the_page_on_the_grammar_names_rules_that_exist() {
    let page = page::page("grammar/README.md");
    let grammar = page::page("grammar/plan.pest").text;
    let rules: Vec<String> = Rule::all_rules().iter().map(|rule| format!("{rule:?}")).collect();
    let mut seen = 0;
    for word in page.text.split('`').skip(1).step_by(2) {
        let named = word.contains('_') && word.bytes().all(|b| b.is_ascii_lowercase() || b == b'_');
        if named {
            let known = rules.iter().any(|rule| rule == word) || grammar.contains(&format!("\n{word} = "));
            assert!(
                known || word.ends_with('_') && rules.iter().any(|rule| rule.starts_with(word)),
                "`{word}` is no rule of the grammar"
            );
            seen += 1;
        }
    }
    assert!(seen >= 8, "only {seen} rules named");
}
