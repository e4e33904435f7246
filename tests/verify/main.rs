//! From plan text and records to a verdict, for each form of limit, through the library as the command uses it.
//!
//! Every record here is invented, and small enough to be judged with a pencil.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod accuracy;
mod adjusted;
mod computed;
mod cooling;
mod diverted;
mod facts;
mod forms;
mod judged;
mod laws;
mod more_forms;
mod resets;
mod sampling;
mod scene;
mod series;
mod shapes;
mod shipped;
mod stage_ends;
mod trade;
#[path = "../support/readd.rs"]
mod readd;
mod workdays;
mod workings;
