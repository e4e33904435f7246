//! Rules over successive lots or samples.

use super::{BAD_NUMBER, Lower};
use crate::finding::Finding;
use crate::plan::{Series, SeriesOf};
use crate::quantity::Rational;
use crate::source::{Loc, Span};
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn series(&mut self, node: &Node) -> Option<Series> {
        let mut names = self.own_names(node).into_iter();
        let (name, limit) = (names.next()?, names.next()?);
        let numbers: Vec<&Node> = node.all(Rule::number).collect();
        let (first, second) = (numbers.first()?, numbers.get(1)?);
        let counts_loc = Loc { source: self.id, span: Span::new(first.span.start, second.span.end) };
        let what = match self.slice(node.part(Rule::series_of)?) {
            "samples" => SeriesOf::Samples,
            _ => SeriesOf::Lots,
        };
        let from = node.part(Rule::counted_from).map(|from| self.date(from));
        let mut series = Series {
            name,
            limit,
            most: self.whole(first)?,
            of: self.whole(second)?,
            what,
            from,
            because: None,
            cites: Vec::new(),
            loc: self.head_loc(node),
            counts_loc,
        };
        if let Some(body) = node.part(Rule::series_body) {
            series.loc = Loc { source: self.id, span: Span::new(node.span.start, body.span.start) };
            series.loc.span.end = series.loc.span.start + self.source.slice(series.loc.span).trim_end().len();
            for part in &body.parts {
                match part.rule {
                    Rule::s_because => self.once(&mut series.because, self.a_text(part), part),
                    Rule::s_cites => series.cites.extend(self.citations(part)),
                    _ => {}
                }
            }
        }
        Some(series)
    }

    /// A whole number from nought.
    fn whole(&mut self, node: &Node) -> Option<u32> {
        let found = Rational::parse(self.slice(node)).and_then(Rational::as_whole).and_then(|n| u32::try_from(n).ok());
        if found.is_none() {
            let finding = Finding::at(&BAD_NUMBER, self.loc(node), format!("`{}` is no count", self.slice(node)))
                .help("write whole numbers, as in `at most 1 of any 7 lots`");
            self.findings.push(finding);
        }
        found
    }
}
