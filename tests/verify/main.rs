//! From plan text and records to a verdict, for each form of limit, through the library as the command uses it.
//!
//! Every record here is invented, and small enough to be judged with a pencil.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod accuracy;
mod computed;
mod cooling;
mod facts;
mod forms;
mod judged;
mod laws;
mod more_forms;
mod sampling;
mod scene;
mod series;
mod shapes;
#[path = "../support/readd.rs"]
mod readd;
mod workdays;
mod workings;
