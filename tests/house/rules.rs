//! Every kind of finding is declared once, and says what it is.

use bourn::clause::{Force, clause, clauses};
use bourn::finding::Severity;
use bourn::registry;
use std::collections::HashSet;

#[test]
fn codes_and_names_are_unique_and_said() {
    let mut seen = HashSet::new();
    for rule in registry::rules() {
        assert!(seen.insert(rule.code), "two rules have the code {}", rule.code);
        assert!(seen.insert(rule.name), "two rules are called {}", rule.name);
        let (letter, number) = rule.code.split_at(1);
        assert!(
            letter.chars().all(|c| c.is_ascii_uppercase())
                && number.len() == 3
                && number.chars().all(|c| c.is_ascii_digit()),
            "{}",
            rule.code
        );
        assert!(
            !rule.name.is_empty()
                && rule.name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'),
            "{}",
            rule.name
        );
        assert!(
            rule.doc.trim().len() > 10 && rule.doc.trim().ends_with('.'),
            "{} {} is not explained: {:?}",
            rule.code,
            rule.name,
            rule.doc
        );
        assert!(
            std::ptr::eq(registry::rule(rule.code).unwrap(), rule)
                && std::ptr::eq(registry::rule(rule.name).unwrap(), rule)
        );
    }
    assert!(seen.len() > 100, "{} codes and names", seen.len());
}

/// Severity follows the heaviest clause: *shall* → error, *should* → warning, advice → note. A rule may weigh less
/// than its clauses only where it asks a part of them; never more.
#[test]
fn clauses_are_known_and_bear_the_severity() {
    for rule in registry::rules() {
        let forces: Vec<Force> = rule
            .clauses
            .iter()
            .map(|id| clause(id).unwrap_or_else(|| panic!("{} rests on the unknown clause {id}", rule.code)).force)
            .collect();
        let heaviest = forces.iter().map(|force| match force {
            Force::Shall => Severity::Error,
            Force::Should => Severity::Warning,
            Force::Advice => Severity::Note,
        });
        if let Some(most) = heaviest.max() {
            assert!(rule.severity <= most, "{} weighs more than its clauses {:?}", rule.code, rule.clauses);
        }
    }
}

#[test]
fn clauses_are_whole_and_unique() {
    let mut seen = HashSet::new();
    for clause in clauses() {
        assert!(seen.insert(clause.id.as_str()), "{} twice", clause.id);
        assert!(!clause.citation.is_empty() && !clause.gist.is_empty() && !clause.regime.is_empty(), "{}", clause.id);
    }
    let rows = include_str!("../../src/clauses.csv").lines().count() - 1;
    assert_eq!(clauses().len(), rows, "a row of src/clauses.csv was not read");
}
