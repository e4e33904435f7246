
//! bourn.

pub mod flow;
