//! Slips of the pen that are known: units and words that people write, signs turned round, a limit without its name.

use super::super::fault;
use super::super::grammar::{PlanParser, Rule};
use super::{Explainer, first_word, shorten};
use crate::finding::{Care, Finding, nearest};
use crate::quantity::UNITS;
use crate::source::{Loc, Span};
use pest::Parser;

/// Words, and signs written apart, for the signs of a comparison.
const SIGNS: &[(&str, &str)] = &[
    ("> =", ">="),
    ("< =", "<="),
    (" at least ", ">="),
    (" at most ", "<="),
    (" no less than ", ">="),
    (" not less than ", ">="),
    (" no more than ", "<="),
    (" not more than ", "<="),
    (" above ", ">"),
    (" over ", ">"),
    (" more than ", ">"),
    (" below ", "<"),
    (" under ", "<"),
    (" less than ", "<"),
    (" minimum ", ">="),
    (" maximum ", "<="),
];

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
        if let Some(finding) = self.reworded(span, (text, at, token), entry) {
            return Some(finding);
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

    /// A limit that is whole once a sign stands for words, is written together, or a word too many is left out.
    fn reworded(&self, span: Span, (text, at, token): (&str, usize, &str), entry: Rule) -> Option<Finding> {
        let statement = first_word(text);
        if !["limit", "operating-limit", "guide", "identity"].contains(&statement) {
            return None;
        }
        let whole = |from: usize, to: usize, with: &str| {
            let (before, after) = (text.get(..from)?, text.get(to..)?);
            PlanParser::parse(entry, &format!("{before}{with}{after}")).is_ok().then_some(())
        };
        let say = |from: usize, to: usize, message: String| {
            let loc = self.loc(Span::new(span.start + from, span.start + to));
            (Finding::at(&fault::BROKEN_STATEMENT, loc, message).label(format!("in `{statement}`")), loc)
        };
        for (words, sign) in SIGNS {
            let Some(from) = text.find(words) else { continue };
            let to = from + words.len();
            if whole(from, to, &format!(" {sign} ")).is_some() {
                let from = from + words.len() - words.trim_start().len();
                let words = words.trim();
                let (finding, loc) = say(
                    from,
                    from + words.len(),
                    match words.contains('=') {
                        true => format!("the two signs of `{sign}` are parted"),
                        false => format!("`{words}` stands where a sign must"),
                    },
                );
                return Some(finding.help(format!("write `{sign}`")).fix(loc, *sign, Care::NeedsALook));
            }
        }
        let to = at + token.len();
        // Before the comparison alone: behind it a word belongs to what is asked.
        let asked = text.get(to..)?.trim_start().starts_with(['<', '>', '≤', '≥']);
        whole(at, to, "").filter(|()| asked && token.chars().all(char::is_alphabetic))?;
        let (finding, _) = say(at, to, format!("`{token}` is a word too many"));
        Some(finding.help("a name is one word, as it is declared; take the other word out"))
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
