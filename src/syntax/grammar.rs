//! The pest parser made from `grammar/plan.pest`.

#![allow(missing_docs)]

/// The generated parser; its rules are documented in the grammar itself.
#[derive(pest_derive::Parser)]
#[grammar = "../grammar/plan.pest"]
pub struct PlanParser;
