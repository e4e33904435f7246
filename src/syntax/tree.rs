//! The tree of a plan text: what was read, with spans, without layout and keywords.

use super::grammar::Rule;
use crate::source::Span;
use pest::iterators::Pair;
use std::sync::LazyLock;

/// One construct of the grammar. Its `rule` says which; the text is in the source under `span`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// The grammar rule that matched.
    pub rule: Rule,
    /// Where it stands.
    pub span: Span,
    /// The parts, in order, without keywords and layout.
    pub parts: Vec<Node>,
}

impl Node {
    pub(super) fn from_pair(pair: Pair<'_, Rule>, base: usize) -> Node {
        let span = Span::new(pair.as_span().start(), pair.as_span().end()).shifted(base);
        let rule = pair.as_rule();
        let parts = pair
            .into_inner()
            .filter(|inner| !is_layout(inner.as_rule()))
            .map(|inner| Node::from_pair(inner, base))
            .collect();
        Node { rule, span, parts }
    }

    /// The first part of this rule.
    #[must_use]
    pub fn part(&self, rule: Rule) -> Option<&Node> {
        self.parts.iter().find(|part| part.rule == rule)
    }

    /// Every part of this rule, in order.
    pub fn all(&self, rule: Rule) -> impl Iterator<Item = &Node> {
        self.parts.iter().filter(move |part| part.rule == rule)
    }

    /// The first part, whatever it is.
    #[must_use]
    pub fn first(&self) -> Option<&Node> {
        self.parts.first()
    }

    /// This node and everything below it, parents first.
    pub fn walk(&self, visit: &mut impl FnMut(&Node)) {
        visit(self);
        for part in &self.parts {
            part.walk(visit);
        }
    }
}

/// Keywords and line ends carry no meaning of their own once their statement is known.
fn is_layout(rule: Rule) -> bool {
    static LAYOUT: LazyLock<std::collections::HashSet<Rule>> = LazyLock::new(|| {
        Rule::all_rules()
            .iter()
            .copied()
            .filter(|rule| format!("{rule:?}").starts_with("kw_"))
            .chain([Rule::line, Rule::top_line, Rule::comma, Rule::comment, Rule::EOI])
            .collect()
    });
    LAYOUT.contains(&rule)
}
