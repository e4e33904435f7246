//! bourn.

pub mod chart;
pub mod flow;
