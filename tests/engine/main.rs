//! The engine against dense truths, and the laws that verdicts keep.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod any;
mod dense;
mod laws;
mod limit;
mod measure;
mod random;
mod record;
mod truth;
