//! The plan language: every text is read, every fault is reported where it stands, and nothing breaks the reader.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]

mod any_text;
mod bounds;
mod errors;
mod words;

use bourn::finding::Finding;
use bourn::source::{Source, SourceId, Sources};
use bourn::syntax::{Parsed, parse};

/// The worked plans.
pub const PLANS: [&str; 8] = [
    include_str!("../../plans/smoked-goose-breast.haccp"),
    include_str!("../../plans/smoked-turkey-strips.haccp"),
    include_str!("../../plans/cured-cooked-ham.haccp"),
    include_str!("../../plans/peanut-butter.haccp"),
    include_str!("../../plans/hot-smoked-fish.haccp"),
    include_str!("../../plans/pasteurised-juice.haccp"),
    include_str!("../../plans/cook-chill-meals.haccp"),
    include_str!("../../plans/acidified-vegetables.haccp"),
];

/// Reads a text as a plan.
pub fn read(text: &str) -> Parsed {
    parse(SourceId(0), &Source::new("p.haccp", text))
}

/// Codes of the findings with the line of each.
pub fn codes(text: &str) -> Vec<(String, usize)> {
    let source = Source::new("p.haccp", text);
    let found = parse(SourceId(0), &source).findings;
    found.iter().map(|finding| (finding.rule.code.to_owned(), line(&source, finding))).collect()
}

/// The line of a finding, from 1.
pub fn line(source: &Source, finding: &Finding) -> usize {
    source.line_col(finding.span().expect("a span").start).line
}

/// A text as the only source.
pub fn alone(name: &str, text: &str) -> (Sources, SourceId) {
    let mut sources = Sources::new();
    let id = sources.add(Source::new(name, text));
    (sources, id)
}
