//! Every kind of finding is declared once, and says what it is.

use bourn::check::coverage::{PARTS, SHOWN};
use bourn::clause::{By, Checkable, Force, REGIMES, clause, clauses, topics};
use bourn::finding::Severity;
use bourn::registry;
use bourn::syntax::words::{Use, words};
use std::collections::{BTreeMap, HashSet};

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

/// Every clause says when it applies, how it is checked and where in the plan: and what it says is so.
#[test]
fn clauses_are_whole_and_unique() {
    let mut seen = HashSet::new();
    let cited: HashSet<&str> = registry::rules().into_iter().flat_map(|rule| rule.clauses.iter().copied()).collect();
    for clause in clauses() {
        assert!(seen.insert(clause.id), "{} twice", clause.id);
        assert!(!clause.citation.is_empty() && !clause.gist.is_empty(), "{}", clause.id);
        assert!(clause.regimes.iter().all(|regime| REGIMES.contains(regime)), "{}: {:?}", clause.id, clause.regimes);
        assert!(PARTS.iter().any(|(part, _)| *part == clause.at), "{}: no part `{}`", clause.id, clause.at);
        assert!(
            SHOWN.iter().any(|(when, _)| *when == clause.when)
                || topics().iter().any(|topic| topic.name == clause.when),
            "{}: `{}` is neither shown by a plan nor a topic",
            clause.id,
            clause.when
        );
        match &clause.by {
            By::Plan => assert!(cited.contains(clause.id), "no rule looks for {}", clause.id),
            By::Answer { blocks, holds } => {
                for word in blocks {
                    assert!(answers(word, "meets"), "{}: `{word}` cannot answer", clause.id);
                    assert!(holds.iter().all(|held| answers(word, held)), "{}: `{word}` holds no {holds:?}", clause.id);
                }
            }
            By::SignOff | By::Judgement => {}
        }
    }
    let rows = include_str!("../../src/clauses.csv").lines().count() - 1;
    assert_eq!(clauses().len(), rows, "a row of src/clauses.csv was not read");
    for topic in topics() {
        assert!(clauses().iter().any(|clause| clause.when == topic.name), "nothing hangs on `{}`", topic.name);
    }
}

/// Of every clause for which a rule could look, a rule looks, the plan must answer it, or the signatures do; else
/// `docs/clauses.md` says why it is left to a person. What it says of any other clause is not needed, and must go.
#[test]
fn what_a_rule_could_find_is_looked_for_or_explained() {
    let page = include_str!("../../docs/clauses.md");
    let explained: BTreeMap<&str, &str> = page
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once("` | "))
        .filter_map(|(key, rest)| Some((key, rest.strip_suffix(" |")?)))
        .collect();
    let mut looked_for = 0;
    for clause in clauses() {
        let wanted = clause.checkable == Checkable::Rule && clause.by == By::Judgement;
        match explained.get(clause.id) {
            None => {
                assert!(!wanted, "{} is left to a person, and docs/clauses.md does not say why", clause.id);
                looked_for += usize::from(clause.checkable == Checkable::Rule);
            }
            Some(rest) => {
                assert!(wanted, "docs/clauses.md explains {}, which is looked for", clause.id);
                let (citation, why) = rest.split_once(" | ").unwrap();
                assert_eq!(citation, clause.citation, "{}", clause.id);
                assert!(why.ends_with('.') && why.split(' ').count() > 7, "{}: {why}", clause.id);
            }
        }
    }
    for key in explained.keys() {
        assert!(clause(key).is_some(), "docs/clauses.md explains the unknown clause {key}");
    }
    assert!(looked_for > 150 && explained.len() < 15, "{looked_for} looked for, {} explained", explained.len());
}

/// Electronic records kept for part 117 alone are free of part 11 (21 CFR 117.305(g)): none of its clauses is asked.
#[test]
fn part_11_is_not_asked_of_preventive_controls() {
    let part_11: Vec<_> = clauses().iter().filter(|clause| clause.part == "electronic-records").collect();
    assert!(!part_11.is_empty());
    for clause in part_11 {
        assert!(!clause.of_any(&["us-preventive-controls"]), "{}", clause.id);
    }
}

/// Whether a block may hold a statement that begins with this word.
fn answers(block: &str, statement: &str) -> bool {
    let block = if block == "control" { "ccp" } else { block };
    words().iter().any(|word| {
        word.used == Use::Statement && word.word == statement && word.blocks.iter().any(|within| within == block)
    })
}
