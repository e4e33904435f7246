//! Plan → findings: is it complete, and does it agree with itself?

use crate::finding::{Finding, Rule};
use crate::plan::Plan;

/// The rules of every topic.
#[must_use]
pub fn rules() -> Vec<&'static [&'static Rule]> {
    vec![]
}

/// Checks a plan. The given day is the one on which it is checked.
#[must_use]
pub fn check(plan: &Plan, on: chrono::NaiveDate) -> Vec<Finding> {
    let mut findings = Vec::new();
    let _ = (plan, on);
    crate::finding::tidy(&mut findings);
    findings
}
