//! Findings and verdicts for people and machines: terminal, JSON.

pub mod json;
pub mod terminal;
