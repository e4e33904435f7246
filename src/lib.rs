//! bourn: a HACCP plan as plain text, checked, rendered, and held against the plant's own records.
//!
//! Data flows one way, and a module names only modules above it in this list:
//! text → syntax → model → findings and verdicts → documents.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic))]

pub mod chart;
pub mod check;
pub mod clause;
pub mod cli;
pub mod document;
pub mod finding;
pub mod flow;
pub mod log;
pub mod plan;
pub mod quantity;
pub mod registry;
pub mod report;
pub mod science;
pub mod source;
pub mod syntax;
pub mod time;
pub mod verdict;
pub mod verify;
