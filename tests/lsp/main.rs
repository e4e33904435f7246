//! The language server over its pipe: what an editor asks and is answered, and what no editor should send.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]

mod bad_input;
mod cases;
mod client;
mod files;
mod half;
