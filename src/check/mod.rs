//! Plan → findings: is it complete, and does it agree with itself?
//!
//! One file per topic. Each rule is declared beside the small function that looks for it; a finding about something
//! that is missing names the block that should hold it and shows where in the block it belongs.

mod allergens;
mod complete;
mod decision;
mod exceptions;
mod flow;
mod hazards;
mod limits;
mod monitoring;
mod order;
mod people;
mod place;
mod proof;
mod response;
mod shown;
mod trees;
mod unused;

use crate::finding::{Finding, Rule};
use crate::plan::Plan;
use crate::source::Loc;
use order::Order;

/// The rules of every topic.
#[must_use]
pub fn rules() -> Vec<&'static [&'static Rule]> {
    vec![
        flow::RULES,
        hazards::RULES,
        decision::RULES,
        limits::RULES,
        shown::RULES,
        monitoring::RULES,
        response::RULES,
        proof::RULES,
        allergens::RULES,
        people::RULES,
        complete::RULES,
        unused::RULES,
        exceptions::RULES,
    ]
}

/// What every check works with.
struct Desk<'a> {
    plan: &'a Plan,
    on: chrono::NaiveDate,
    order: Order<'a>,
    findings: Vec<Finding>,
}

impl Desk<'_> {
    fn say(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// A finding about a statement that a block lacks: at its first line, and with the place where it belongs.
    fn lacks(&mut self, rule: &'static Rule, head: Loc, word: &str, message: impl Into<String>, help: impl Into<String>) {
        let mut finding = Finding::at(rule, head, message).help(help);
        if let Some(before) = place::before(self.plan, head, word) {
            finding = finding.also(before, format!("`{word}` would follow here"));
        }
        self.findings.push(finding);
    }
}

/// Checks a plan. The given day is the one on which it is checked.
#[must_use]
pub fn check(plan: &Plan, on: chrono::NaiveDate) -> Vec<Finding> {
    let mut desk = Desk { plan, on, order: Order::of(plan), findings: Vec::new() };
    flow::check(&mut desk);
    hazards::check(&mut desk);
    decision::check(&mut desk);
    limits::check(&mut desk);
    shown::check(&mut desk);
    monitoring::check(&mut desk);
    response::check(&mut desk);
    proof::check(&mut desk);
    allergens::check(&mut desk);
    people::check(&mut desk);
    complete::check(&mut desk);
    unused::check(&mut desk);
    exceptions::apply(&mut desk);
    let mut findings = desk.findings;
    crate::finding::tidy(&mut findings);
    findings
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use crate::clause::{Force, clause};
    use crate::finding::Severity;
    use std::collections::HashSet;

    #[test]
    fn severity_follows_the_strongest_clause() {
        for rule in super::rules().into_iter().flatten() {
            let forces: Vec<Force> = rule
                .clauses
                .iter()
                .map(|id| clause(id).unwrap_or_else(|| panic!("{} cites `{id}`, which is no clause", rule.code)).force)
                .collect();
            if forces.is_empty() {
                continue;
            }
            let wanted = if forces.contains(&Force::Shall) {
                Severity::Error
            } else if forces.contains(&Force::Should) {
                Severity::Warning
            } else {
                Severity::Note
            };
            assert_eq!(rule.severity, wanted, "{} {}", rule.code, rule.name);
        }
    }

    #[test]
    fn codes_and_names_are_each_used_once() {
        let (mut codes, mut names) = (HashSet::new(), HashSet::new());
        for rule in super::rules().into_iter().flatten() {
            assert!(codes.insert(rule.code), "{} twice", rule.code);
            assert!(names.insert(rule.name), "{} twice", rule.name);
        }
    }
}
