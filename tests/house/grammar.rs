//! One vocabulary: `grammar/words.csv`, `grammar/plan.pest` and the unit table say the same.

use crate::text;
use bourn::quantity::UNITS;
use bourn::syntax::words::{Use, words};
use std::collections::{BTreeMap, BTreeSet};

/// The rules of the grammar: name and body, with whether a comment stands over it.
fn rules() -> BTreeMap<String, (String, bool)> {
    let text = text("grammar/plan.pest");
    let mut rules: BTreeMap<String, (String, bool)> = BTreeMap::new();
    let mut last = String::new();
    let mut commented = false;
    for line in text.lines() {
        if line.starts_with("//") {
            commented = true;
        } else if line.trim().is_empty() {
            commented = false;
        } else if let Some((name, body)) = line
            .split_once(" = ")
            .filter(|(name, _)| !name.starts_with(' ') && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_'))
        {
            name.clone_into(&mut last);
            rules.insert(last.clone(), (body.to_owned(), commented));
        } else {
            let rule = rules.get_mut(&last).expect("a rule before its other lines");
            rule.0.push(' ');
            rule.0.push_str(line);
        }
    }
    rules
}

/// The words in quotes in a rule, in order.
fn quoted(body: &str) -> Vec<String> {
    body.split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

fn body(rule: &str) -> String {
    rules().get(rule).unwrap_or_else(|| panic!("no rule {rule}")).0.clone()
}

fn set<T: Ord>(items: impl IntoIterator<Item = T>) -> BTreeSet<T> {
    items.into_iter().collect()
}

fn vocabulary(used: Use) -> BTreeSet<String> {
    set(words().iter().filter(|word| word.used == used).map(|word| word.word.clone()))
}

fn keyword(word: &str) -> String {
    // The one word that differs from another only in being a capital letter.
    if word == "M" {
        return "kw_big_m".to_owned();
    }
    format!("kw_{}", word.to_lowercase().replace('-', "_"))
}

/// An alternation takes the first that fits, so that a word must stand before its own beginnings.
fn longest_first(list: &[String]) {
    for (at, word) in list.iter().enumerate() {
        for later in &list[at + 1..] {
            assert!(word != later, "`{word}` stands twice");
            assert!(!later.starts_with(word.as_str()), "`{word}` stands before `{later}`");
        }
    }
}

#[test]
fn block_and_statement_words() {
    assert_eq!(set(quoted(&body("block_word"))), vocabulary(Use::Block));
    assert_eq!(set(quoted(&body("statement_word"))), vocabulary(Use::Statement));
    longest_first(&quoted(&body("statement_word")));
    let named: BTreeSet<String> = set(words().iter().map(|word| format!("{:?} {}", word.used, word.word)));
    assert_eq!(named.len(), words().len(), "a word stands twice under one use");
}

#[test]
fn every_keyword_is_in_the_vocabulary_and_every_word_in_the_grammar() {
    let rules = rules();
    let known: BTreeSet<String> = set(words().iter().map(|word| keyword(&word.word)));
    for (name, (body, _)) in rules.iter().filter(|(name, _)| name.starts_with("kw_")) {
        assert!(known.contains(name), "{name} is not in grammar/words.csv");
        let word = quoted(body).remove(0);
        assert_eq!(*name, keyword(&word));
        assert_eq!(*body, format!("@{{ \"{word}\" ~ !name_char }}"), "{name}");
        let used = rules.iter().any(|(other, (body, _))| {
            other != name && body.split(|c: char| !(c.is_alphanumeric() || c == '_')).any(|part| part == name)
        });
        assert!(used, "no rule uses {name}");
    }
    // Words of a closed set stand in their own alternation, the others are keywords.
    let closed: BTreeSet<String> = ["limit_word", "extent", "way", "per_word", "each_word", "series_of"]
        .iter()
        .flat_map(|rule| quoted(&body(rule)))
        .collect();
    for word in words() {
        assert!(
            rules.contains_key(&keyword(&word.word)) || closed.contains(&word.word),
            "`{}` is in no rule",
            word.word
        );
        assert!(!word.meaning.is_empty(), "`{}` has no meaning", word.word);
    }
}

/// The list of docs/language.md, and `during`, which joins a limit to its stage.
#[test]
fn reserved_words() {
    let design = "and or of at by from to in on for is not no when within between before after above below one all any each every per held throughout";
    let list = quoted(&body("reserved"));
    assert_eq!(set(list.iter().map(String::as_str)), set(design.split_whitespace().chain(["during"])));
    longest_first(&list);
}

#[test]
fn units_are_those_of_the_table() {
    let list = quoted(body("unit").split("~ !(").next().unwrap());
    let table: BTreeSet<&str> =
        set(UNITS.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied())));
    assert_eq!(set(list.iter().map(String::as_str)), table);
    longest_first(&list);
}

/// Each statement rule stands in the blocks that the vocabulary names for its word.
#[test]
fn statements_stand_where_the_vocabulary_says() {
    let rules = rules();
    let parts = |body: &str| -> Vec<String> {
        body.split(|c: char| !(c.is_alphanumeric() || c == '_'))
            .filter(|part| !part.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let mut got: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, (body, _)) in rules.iter().filter(|(name, _)| name.ends_with("_item")) {
        let block = match name.trim_end_matches("_item") {
            // Controls and CCPs have the same contents, which the vocabulary files under `ccp`.
            "control" => "ccp",
            other => other,
        };
        for statement in parts(body).iter().filter(|part| part.starts_with("s_")) {
            let statement = rules.get(statement).unwrap_or_else(|| panic!("no rule {statement}")).0.clone();
            let first = parts(&statement).remove(0);
            let begins = if first.starts_with("kw_") {
                vec![quoted(&rules[&first].0).remove(0)]
            } else {
                quoted(&rules[&first].0)
            };
            for word in begins {
                got.entry(word).or_default().insert(block.to_owned());
            }
        }
    }
    let mut want: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for word in words().iter().filter(|word| word.used == Use::Statement) {
        want.insert(word.word.clone(), set(word.blocks.iter().cloned()));
    }
    assert_eq!(got, want);
}

#[test]
fn every_rule_stands_under_a_comment() {
    let bare: Vec<String> =
        rules().into_iter().filter(|(_, (_, commented))| !commented).map(|(name, _)| name).collect();
    assert!(bare.is_empty(), "no comment over {bare:?} or over the group that it stands in");
}

#[test]
fn every_rule_is_used() {
    let rules = rules();
    for name in
        rules.keys().filter(|name| !["file", "WHITESPACE"].contains(&name.as_str()) && !name.starts_with("only_"))
    {
        let used = rules.iter().any(|(other, (body, _))| {
            other != name && body.split(|c: char| !(c.is_alphanumeric() || c == '_')).any(|part| part == name)
        });
        assert!(used, "no rule uses {name}");
    }
}
