//! The engine against dense truths, and the laws that verdicts keep.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod anew;
mod any;
mod asked;
#[path = "../support/counts.rs"]
mod counts;
mod dense;
mod laws;
mod limit;
mod measure;
mod pairing;
mod more_laws;
mod plan_laws;
mod plant;
mod random;
mod record;
mod scene;
mod single;
mod truth;
mod whole;
