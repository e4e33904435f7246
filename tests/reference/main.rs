//! The engine against a slow evaluator written from the rules alone.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod agree;
mod anew;
mod chain;
#[path = "../support/counts.rs"]
#[allow(dead_code)]
mod counts;
mod engine;
mod events;
mod exact;
mod fall;
mod limit;
mod passage;
#[path = "../engine/random.rs"]
mod random;
mod record;
mod rules;
mod samples;
mod share;
mod signals;
mod sums;
mod timeline;
mod whole;
