//! bourn: a HACCP plan as plain text, checked, rendered, and held against the plant's own records.
//!
//! Data flows one way, and a module names only modules above it in this list:
//! text → syntax → model → findings and verdicts → documents.

#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic))]

pub mod source;
pub mod quantity;
pub mod time;
pub mod verdict;
pub mod clause;
pub mod finding;
pub mod syntax;
pub mod plan;
pub mod check;
pub mod science;
pub mod log;
pub mod verify;
pub mod compare;
pub mod signoff;
pub mod registry;
pub mod shelf;
pub mod flow;
pub mod chart;
pub mod document;
pub mod report;
pub mod begin;
pub mod lsp;
pub mod cli;
