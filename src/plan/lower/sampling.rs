//! Sampling plans and graded bands.

use super::{Lower, SENSELESS_LIMIT};
use crate::finding::Finding;
use crate::plan::Name;
use crate::plan::condition::Condition;
use crate::plan::sampling::{Grade, GradedBand, Sampled};
use crate::quantity::Rational;
use crate::source::Loc;
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    fn senseless(&mut self, loc: Loc, message: String, help: &str) {
        self.findings.push(Finding::at(&SENSELESS_LIMIT, loc, message).help(help));
    }

    /// `n 5, c 0`: c is smaller than n, so that some result can decide.
    pub(super) fn sampled(&mut self, node: &Node) -> Option<Sampled> {
        let counts: Vec<&Node> = node.all(Rule::number).collect();
        let whole = |node: Option<&&Node>, lower: &Self| {
            node.and_then(|node| Rational::parse(lower.slice(node))?.as_whole()).and_then(|n| u32::try_from(n).ok())
        };
        let (Some(n), Some(c)) = (whole(counts.first(), self), whole(counts.get(1), self)) else {
            let help = "write `n 5, c 2, m 10 cfu/g, M 100 cfu/g`";
            self.senseless(self.loc(node), "n and c are whole numbers".to_owned(), help);
            return None;
        };
        if n <= c || n == 0 {
            let message = format!("c is {c} and n is {n}: every sample could lie over m");
            let help = "n counts all samples, c those that may lie over m; c is smaller than n";
            self.senseless(self.loc(node), message, help);
            return None;
        }
        Some(Sampled { n, c })
    }

    pub(super) fn attributes(&mut self, node: &Node, parameter: Name) -> Option<Condition> {
        let plan = self.sampled(node.part(Rule::sampled)?)?;
        let mut values = self.quantities(node).into_iter();
        let Some(m) = values.next() else {
            let message = "n and c alone do not say which result counts against the lot".to_owned();
            let help = "write `n 5, c 0, m 100 cfu/g`, or `absent in 25 g, n 5, c 0`, or `is not-detected, n 5, c 0`";
            self.senseless(self.loc(node), message, help);
            return None;
        };
        let big_m = values.next();
        if let (Some(low), Some(high)) = (m.quantity, big_m.as_ref().and_then(|figure| figure.quantity))
            && low.dimension() == high.dimension()
            && high.base() < low.base()
        {
            let loc = big_m.as_ref().map_or(m.loc, |figure| figure.loc);
            let message = format!("M is {high} and lies below m, which is {low}");
            self.senseless(loc, message, "M is the figure that no sample may lie over: put the larger figure there");
            return None;
        }
        Some(Condition::Attributes { parameter, plan, m, big_m })
    }

    /// Bands from the best to the worst. Each begins where the one before it ends, and the last has no end.
    pub(super) fn bands(&mut self, node: &Node, parameter: Name) -> Option<Condition> {
        let mut bands = Vec::new();
        for part in node.all(Rule::s_band) {
            let grade = match self.slice(part.part(Rule::grade)?) {
                "met" => Grade::Met,
                "alert" => Grade::Alert,
                _ => Grade::NotMet,
            };
            let sign = self.slice(part.part(Rule::comparison)?).to_owned();
            bands.push(GradedBand { name: self.a_name(part)?, sign, edge: self.a_quantity(part)?, grade });
        }
        let loc = self.loc(node.part(Rule::open).unwrap_or(node));
        let graded = bands.windows(2).all(|pair| matches!(pair, [a, b] if a.grade <= b.grade));
        let (first, last) = (bands.first().map(|band| band.grade), bands.last().map(|band| band.grade));
        if bands.len() < 2 || !graded || first == Some(Grade::NotMet) || last != Some(Grade::NotMet) {
            let message = "bands go from the best to the worst: the first is not `not-met`, and the last is".to_owned();
            self.senseless(
                loc,
                message,
                "write `bands { good < 20 cfu/g met; fair <= 100 cfu/g alert; bad > 100 cfu/g not-met }`",
            );
            return None;
        }
        if let Some(fault) = gap(&bands) {
            let help = "every band but the last ends at its value, on the same side, and the last begins where the one before it ends";
            self.senseless(fault.0, fault.1, help);
            return None;
        }
        let at_least = match node.part(Rule::per_lot) {
            Some(per_lot) => self.count(per_lot)?,
            None => 1,
        };
        Some(Condition::Bands { parameter, bands, at_least })
    }
}

/// Where two bands leave a gap or overlap.
fn gap(bands: &[GradedBand]) -> Option<(Loc, String)> {
    let up = bands.first()?.below();
    let last = bands.len().saturating_sub(1);
    for band in bands {
        if band.sign == "=" {
            return Some((band.edge.loc, format!("the band `{}` is one value and no range", band.name)));
        }
    }
    for (index, pair) in bands.windows(2).enumerate() {
        let [before, band] = pair else { continue };
        let ends = index + 1 == last;
        if band.below() == (up == ends) {
            return Some((band.edge.loc, format!("the band `{}` lies on the wrong side of its value", band.name)));
        }
        let (Some(a), Some(b)) = (before.edge.quantity, band.edge.quantity) else { continue };
        let (Some(a), Some(b)) = (a.base(), b.base()) else { continue };
        let nearer = if up { a < b } else { b < a };
        let fault = if ends {
            match (a == b, before.strict() == band.strict()) {
                // `<= 100` then `> 100`: one of the two holds the value itself.
                (true, false) => None,
                (true, true) => Some(if band.strict() { "lies a gap" } else { "is an overlap" }),
                _ => Some(if nearer { "lies a gap" } else { "is an overlap" }),
            }
        } else if nearer || a == b && before.strict() && !band.strict() {
            None
        } else {
            Some("is an overlap")
        };
        if let Some(fault) = fault {
            let message = format!("between the bands `{}` and `{}` {fault}", before.name, band.name);
            return Some((band.edge.loc, message));
        }
    }
    None
}
