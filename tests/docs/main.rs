//! The pages under `docs/` and `grammar/README.md` tell the truth: every example is read by the tool, every word, block,
//! unit, key and code has its line, and every link leads somewhere.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

#[allow(dead_code)]
#[path = "../support/counts.rs"]
mod counts;
mod glossary;
mod judged;
mod language;
mod limits;
mod links;
mod page;
#[path = "../support/readd.rs"]
mod readd;
mod records;
mod schema;
mod series;
mod transcript;
mod worked;
