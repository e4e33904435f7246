//! bourn: a HACCP plan as plain text, checked, rendered, and held against the plant's own records.
//!
//! Data flows one way, and a module names only modules above it in this list:
//! text → syntax → model → findings and verdicts → documents.

pub mod source;
pub mod quantity;
pub mod time;
pub mod verdict;
pub mod finding;
pub mod log;
pub mod cli;
