//! Slips of the pen that are known: units and words that people write, signs turned round, a limit without its name.

use super::super::fault;
use super::super::grammar::{PlanParser, Rule};
use super::{Explainer, first_word, shorten};
use crate::finding::{Care, Finding, nearest};
use crate::quantity::UNITS;
use crate::source::{Loc, Span};
use pest::Parser;

impl Explainer<'_> {
    /// What people write for something that the language has: a sign turned round, a word for how often, a limit without
    /// its name. The text of the statement, where reading it stopped, and the token there.
    pub(super) fn slip(&self, span: Span, (text, at, token): (&str, usize, &str), entry: Rule) -> Option<Finding> {
        let statement = first_word(text);
        let label = format!("in `{statement}`");
        let turned = |pair: &str| match pair {
            "=>" => Some(">="),
            "=<" => Some("<="),
            _ => None,
        };
        // Reading stops before the first sign or between the two.
        let found = [Some(at), at.checked_sub(1)].into_iter().flatten().find_map(|at| {
            let pair = text.get(at..at + 2)?;
            Some((at, pair, turned(pair)?))
        });
        if let Some((at, pair, meant)) = found {
            let loc = self.loc(Span::new(span.start + at, span.start + at + 2));
            return Some(
                Finding::at(&fault::BROKEN_STATEMENT, loc, format!("`{pair}` is no sign of the language"))
                    .label(label)
                    .help(format!("write `{meant}`"))
                    .fix(loc, meant, Care::NeedsALook),
            );
        }
        let often = match token.to_lowercase().as_str() {
            "hourly" => Some("every 1 h"),
            "daily" => Some("every 1 day"),
            "weekly" => Some("every 1 week"),
            "monthly" => Some("every 1 month"),
            "quarterly" => Some("every 3 months"),
            "yearly" | "annually" => Some("every 1 year"),
            _ => None,
        };
        if let Some(often) = often {
            let loc = self.loc(Span::new(span.start + at, span.start + at + token.len()));
            return Some(
                Finding::at(
                    &fault::BROKEN_STATEMENT,
                    loc,
                    format!("`{token}` does not say how often in words of the language"),
                )
                .label(label)
                .help(format!("write `{often}`"))
                .fix(loc, often, Care::NeedsALook),
            );
        }
        // Certain, since the statement is whole once a name is put in.
        let rest = text.strip_prefix(statement)?;
        let named = format!("{statement} name {}", rest.trim_start());
        let limits = ["limit", "operating-limit", "guide", "identity"];
        (limits.contains(&statement) && PlanParser::parse(entry, &named).is_ok()).then(|| {
            let loc = self.loc(Span::new(span.start, span.start + statement.len()));
            let condition = rest.split_whitespace().take(3).collect::<Vec<_>>().join(" ");
            Finding::at(&fault::BROKEN_STATEMENT, loc, "this limit has no name")
                .help(format!("write a name before the condition: `{statement} NAME {condition} …`"))
        })
    }

    pub(super) fn unknown_unit(&self, loc: Loc, token: &str) -> Finding {
        let finding = Finding::at(&fault::UNKNOWN_UNIT, loc, format!("`{}` is no unit", shorten(token)));
        let known = UNITS.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied()));
        // What people type for a unit, and the nearest spelling would miss.
        let meant = match token.to_lowercase().as_str() {
            "c" | "celsius" | "degrees" => Some("°C"),
            "f" | "fahrenheit" => Some("°F"),
            "minute" | "minutes" | "mins" | "mn" | "m" => Some("min"),
            "second" | "seconds" | "secs" => Some("s"),
            "hr" | "hrs" => Some("h"),
            "in" | "inches" => Some("inch"),
            "percent" | "pct" => Some("%"),
            _ => None,
        };
        if let Some(meant) = meant {
            return finding.help(format!("write `{meant}`")).fix(loc, meant, Care::NeedsALook);
        }
        match nearest(token, known.filter(|symbol| symbol.chars().count() > 1)) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(loc, near, Care::NeedsALook),
            None => finding.help("docs/language.md lists the units; inch is written `inch`"),
        }
    }
}
