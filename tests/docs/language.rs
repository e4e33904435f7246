//! The language reference: examples, words, blocks, statements, units.

use crate::page::{self, Page};
use bourn::quantity::UNITS;
use bourn::source::{Source, Sources};
use bourn::syntax::words::{Use, words};
use bourn::syntax::{self, Node, Rule};
use std::collections::BTreeSet;

/// Every plan example on every page reads without a fault.
#[test]
fn plan_examples_read_without_findings() {
    let mut seen = 0;
    for page in page::pages() {
        for example in page.examples().iter().filter(|example| example.kind() == "haccp") {
            let findings = page::findings(&example.whole());
            let wrong: Vec<String> = findings
                .iter()
                .filter(|finding| example.is_fragment() || finding.rule.code != "N201")
                .map(|finding| format!("{} {}", finding.rule.code, finding.message))
                .collect();
            assert!(wrong.is_empty(), "{}: {wrong:#?}", example.place);
            seen += 1;
        }
    }
    assert!(seen >= 20, "only {seen} examples");
}

/// Every wrong example gives the code that the line before it names, and no other.
#[test]
fn wrong_examples_give_the_code_they_promise() {
    let mut seen = 0;
    for page in page::pages() {
        for example in page.examples().iter().filter(|example| example.kind() == "haccp-wrong") {
            let promised = example.promised();
            let [code] = promised.as_slice() else { panic!("{}: the line before names no single code", example.place) };
            let found = page::codes(&page::findings(&example.whole()), code == "N201");
            assert_eq!(found, [code.as_str()], "{}", example.place);
            seen += 1;
        }
    }
    assert!(seen >= 10, "only {seen} examples");
}

/// Every kind of block and statement, and every form inside them, occurs in an example of the reference.
#[test]
fn every_construct_has_an_example() {
    let grammar = page::page("grammar/plan.pest").text;
    // Rules that leave no mark in the tree, readings of broken text and of layout, and texts that are read only to be
    // named as a fault.
    let left_out = |name: &str| {
        grammar.contains(&format!("\n{name} = _{{"))
            || ["kw_", "only_", "bad_"].iter().any(|start| name.starts_with(start))
            || ["EOI", "junk", "unclosed", "prose", "bare_for", "line", "top_line", "comma", "comment"].contains(&name)
            || ["block_start", "block_word", "statement_word", "reserved", "name_part", "quoted"].contains(&name)
    };
    let mut seen = BTreeSet::new();
    for page in page::language() {
        for example in page.examples().iter().filter(|example| example.kind() == "haccp") {
            let mut sources = Sources::new();
            let text = example.whole();
            let id = sources.add(Source::new("example", text));
            let tree = syntax::parse(id, sources.get(id).unwrap()).tree;
            tree.walk(&mut |node: &Node| {
                seen.insert(format!("{:?}", node.rule));
            });
        }
        // Rows of the table of forms are conditions of a limit.
        for form in forms(&page) {
            let mut sources = Sources::new();
            let id = sources.add(Source::new("form", format!("ccp example {{ limit form {form} }}\n")));
            let parsed = syntax::parse(id, sources.get(id).unwrap());
            assert!(parsed.findings.is_empty(), "{}: `{form}`: {:?}", page.name, parsed.findings);
            parsed.tree.walk(&mut |node: &Node| {
                seen.insert(format!("{:?}", node.rule));
            });
        }
        for often in cadences(&page) {
            let mut sources = Sources::new();
            let id = sources.add(Source::new(
                "often",
                format!("programme example {{ routine \"x\" {often} by role on record-1 }}\n"),
            ));
            let parsed = syntax::parse(id, sources.get(id).unwrap());
            assert!(parsed.findings.is_empty(), "{}: `{often}`: {:?}", page.name, parsed.findings);
            parsed.tree.walk(&mut |node: &Node| {
                seen.insert(format!("{:?}", node.rule));
            });
        }
    }
    let every = Rule::all_rules().iter().map(|rule| format!("{rule:?}"));
    let missing: Vec<String> = every.filter(|name| !left_out(name) && !seen.contains(name)).collect();
    assert!(missing.is_empty(), "no example shows {missing:?}");
}

/// The examples in the table of forms.
fn forms(page: &Page) -> Vec<String> {
    table_after(page, "| form | example |", 1)
}

/// The examples in the table of how often.
fn cadences(page: &Page) -> Vec<String> {
    let column = page.text.split_once("## How often").map_or(Vec::new(), |(_, rest)| {
        let part = Page { name: page.name.clone(), text: rest.to_owned() };
        table_after(&part, "| written | meaning |", 0)
    });
    column.into_iter().map(|text| text.replace('…', "every 1 h")).collect()
}

/// The texts in ticks in one column of the table under this heading.
fn table_after(page: &Page, heading: &str, column: usize) -> Vec<String> {
    let rows = page.text.lines().skip_while(|line| *line != heading).skip(2).take_while(|line| line.starts_with('|'));
    rows.flat_map(|row| {
        let cell = row.trim_matches('|').split(" | ").nth(column).unwrap_or("").to_owned();
        cell.split('`').skip(1).step_by(2).map(str::to_owned).collect::<Vec<_>>()
    })
    .collect()
}

/// Each word of the vocabulary stands in the reference with the meaning that the vocabulary gives.
#[test]
fn every_word_stands_with_its_meaning() {
    let pages = page::language();
    let whole: String = pages.iter().map(|page| page.text.as_str()).collect();
    for word in words() {
        let said = match word.used {
            Use::Block => {
                let mut meaning = word.meaning.clone();
                meaning[..1].make_ascii_uppercase();
                whole.contains(&format!("### `{}`\n{meaning}.\n", word.word))
            }
            Use::Statement => word.blocks.iter().all(|block| {
                section(&whole, block).lines().any(|line| {
                    let begins = [format!("| `{}` |", word.word), format!("| `{} ", word.word)]
                        .iter()
                        .any(|start| line.starts_with(start));
                    begins && line.ends_with(&format!("| {} |", word.meaning))
                })
            }),
            Use::Inside => whole.contains(&format!("`{}`: {}", word.word, word.meaning)),
        };
        assert!(
            said,
            "`{}` ({:?}) does not stand in the reference with its meaning: {}",
            word.word, word.used, word.meaning
        );
    }
}

/// The part of the reference about a block, up to the next one.
fn section<'t>(whole: &'t str, block: &str) -> &'t str {
    let heading = match block {
        "row" => "### A row of the hazard analysis\n".to_owned(),
        "limit" => "### Contents of a limit\n".to_owned(),
        "ccp" => "### `control`\n".to_owned(),
        _ => format!("### `{block}`\n"),
    };
    let (_, rest) = whole.split_once(&heading).unwrap_or_else(|| panic!("no section {heading}"));
    rest.split("\n### ").next().unwrap()
}

/// The table of units is the closed list, no more and no less.
#[test]
fn the_table_of_units_is_the_closed_list() {
    let page = page::page("docs/language.md");
    let heading = "| measures | units, with other accepted spellings in brackets |";
    let listed: BTreeSet<String> = table_after(&page, heading, 1).into_iter().collect();
    let known: BTreeSet<String> = UNITS
        .iter()
        .flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied()))
        .map(str::to_owned)
        .collect();
    assert_eq!(listed, known);
    for unit in UNITS {
        let row = page
            .text
            .lines()
            .find(|line| line.contains(&format!("`{}`", unit.symbol)) && line.starts_with("| "))
            .unwrap();
        let what = unit.dimension.word().trim_start_matches("an ").trim_start_matches("a ");
        assert!(row.starts_with(&format!("| {what} |")), "{}: {row}", unit.symbol);
    }
}

/// The words that can never be names are those of the grammar.
#[test]
fn the_joining_words_are_those_of_the_grammar() {
    let page = page::page("docs/language.md");
    let line = page.text.lines().find(|line| line.contains("can never be names")).unwrap();
    let (_, rest) = line.split_once("can never be names:").unwrap();
    let listed: Vec<&str> = rest.split('`').skip(1).step_by(2).collect();
    for word in &listed {
        let codes = page::codes(&page::findings(&format!("role {word} {{ }}\n")), true);
        assert_eq!(codes, ["S009"], "`{word}` may be a name");
    }
    let grammar = page::page("grammar/plan.pest").text;
    let (_, rule) = grammar.split_once("reserved = @{").unwrap();
    let known: BTreeSet<&str> = rule.split('}').next().unwrap().split('"').skip(1).step_by(2).collect();
    assert_eq!(listed.into_iter().collect::<BTreeSet<_>>(), known);
}
