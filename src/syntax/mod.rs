//! Plan text → tree and findings. Never fails: what cannot be read becomes a finding, and the rest is kept.

mod expect;
mod fault;
pub mod fits;
pub mod grammar;
pub mod print;
mod recover;
mod scan;
pub mod tree;
pub mod words;

pub use fault::RULES;
pub use grammar::Rule;
pub use tree::Node;

use crate::finding::Finding;
use crate::source::{Loc, Source, SourceId, Span};
use grammar::PlanParser;
use pest::Parser;

/// How deep braces may nest. Plans need three levels; the bound keeps the parser's stack small.
pub const MAX_DEPTH: usize = 64;

/// What was read from one text.
#[derive(Debug, Clone)]
pub struct Parsed {
    /// The whole file, blocks in order. Broken parts stand in it as `bad_…` and `junk` nodes.
    pub tree: Node,
    /// What could not be read.
    pub findings: Vec<Finding>,
}

/// Reads a plan text. Every broken statement is reported, and none hides another.
#[must_use]
pub fn parse(id: SourceId, source: &Source) -> Parsed {
    let text = source.text();
    let empty = Node { rule: Rule::file, span: Span::new(0, text.len()), parts: Vec::new() };
    if let Some(at) = scan::too_deep(text) {
        let finding = Finding::at(
            &fault::TOO_DEEP,
            Loc { source: id, span: Span::new(at, at + 1) },
            format!("braces are nested more than {MAX_DEPTH} deep"),
        )
        .help("a plan needs three levels at most; look for braces that were never closed");
        return Parsed { tree: empty, findings: vec![finding] };
    }
    match PlanParser::parse(Rule::file, text) {
        Ok(mut pairs) => {
            let tree = pairs.next().map_or(empty, |pair| Node::from_pair(pair, 0));
            let findings = recover::explain(id, source, &tree);
            Parsed { tree, findings }
        }
        Err(error) => {
            let at = match error.location {
                pest::error::InputLocation::Pos(at) | pest::error::InputLocation::Span((at, _)) => at,
            };
            let finding = Finding::at(
                &fault::UNREADABLE,
                Loc { source: id, span: Span::new(at, (at + 1).min(text.len())) },
                "the plan cannot be read past this place",
            )
            .help("shorten or split what stands here");
            Parsed { tree: empty, findings: vec![finding] }
        }
    }
}
