//! Findings and verdicts for people and machines: terminal and JSON.

pub mod against;
pub mod book;
pub mod by_lot;
pub mod compare;
pub mod coverage;
pub mod followed;
mod kept;
pub mod json;
pub mod listing;
pub mod junit;
pub mod plain;
pub mod plan;
pub mod read;
pub mod registers;
pub mod sarif;
pub mod summary;
mod steps;
pub mod terminal;
mod trend;
pub mod understood;
pub mod verification;
pub mod workings;
