//! What may stand next in a statement that is not finished: asked of the grammar itself.

use super::grammar::{PlanParser, Rule};
use pest::Parser;
use pest::error::{ErrorVariant, InputLocation};
use pest_meta::{
    ast::{self, Expr},
    parser,
};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// What fits at the end of a statement.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Fits {
    /// Words of the vocabulary and of its closed sets.
    pub words: Vec<String>,
    /// Whether a name fits.
    pub name: bool,
    /// Whether a unit fits.
    pub unit: bool,
    /// Whether text in quotes fits.
    pub text: bool,
    /// Whether a number fits.
    pub number: bool,
}

/// The rule that reads one statement of a block alone; the head of a block where there is no block yet.
fn entry(block: Option<&str>) -> Option<Rule> {
    Some(match block {
        None => Rule::only_block,
        Some("plan") => Rule::only_plan,
        Some("team") => Rule::only_team,
        Some("role") => Rule::only_role,
        Some("product") => Rule::only_product,
        Some("material") => Rule::only_material,
        Some("equipment") => Rule::only_equipment,
        Some("instrument") => Rule::only_instrument,
        Some("parameter") => Rule::only_parameter,
        Some("hazard") => Rule::only_hazard,
        Some("row") => Rule::only_row,
        Some("step") => Rule::only_step,
        Some("programme") => Rule::only_programme,
        Some("ccp") => Rule::only_control,
        Some("group") => Rule::only_group,
        Some("option") => Rule::only_option,
        Some("bands") => Rule::only_bands,
        Some("limit") => Rule::only_limit,
        Some("series") => Rule::only_series,
        Some("deviation") => Rule::only_deviation,
        Some("table") => Rule::only_table,
        Some("inactivation") => Rule::only_inactivation,
        Some("growth") => Rule::only_growth,
        Some("source") => Rule::only_source,
        Some("study") => Rule::only_study,
        Some("record") => Rule::only_record,
        Some(_) => return None,
    })
}

/// The rules of the grammar by name.
static GRAMMAR: LazyLock<BTreeMap<String, ast::Rule>> = LazyLock::new(|| {
    let read = parser::parse(parser::Rule::grammar_rules, include_str!("../../grammar/plan.pest"));
    let rules = read.ok().and_then(|pairs| parser::consume_rules(pairs).ok()).unwrap_or_default();
    rules.into_iter().map(|rule| (rule.name.clone(), rule)).collect()
});

impl Fits {
    /// Adds what a rule may begin with. Whether the rule may be empty.
    fn rule(&mut self, name: &str) -> bool {
        match name {
            "name" => self.name = true,
            "unit" => self.unit = true,
            "quoted" | "text" => self.text = true,
            "number" | "blank_value" | "iso_date" | "clock_time" => self.number = true,
            "open" => self.words.push("{".to_owned()),
            "question" => self.words.extend(["q1", "q2", "q3", "q4"].map(str::to_owned)),
            "comma" | "close" | "unclosed" | "line" | "bad_statement" | "zone" => {}
            // Read on purpose, so that they can be named as faults.
            "prose" | "bare_for" => {}
            _ => match GRAMMAR.get(name) {
                Some(rule) => return self.begins(&rule.expr),
                // Built into the parser: ends, letters, digits.
                None => return name == "SOI",
            },
        }
        false
    }

    /// Adds what an expression may begin with. Whether it may be empty.
    fn begins(&mut self, expr: &Expr) -> bool {
        match expr {
            Expr::Str(text) => {
                if !matches!(text.as_str(), ";" | "," | "}" | "(") {
                    self.words.push(text.clone());
                }
                false
            }
            Expr::Ident(name) => self.rule(name),
            Expr::Seq(first, then) => self.begins(first) && self.begins(then),
            Expr::Choice(one, other) => {
                let empty = self.begins(one);
                self.begins(other) || empty
            }
            Expr::Opt(inner) | Expr::Rep(inner) => {
                self.begins(inner);
                true
            }
            Expr::RepOnce(inner) => self.begins(inner),
            Expr::PosPred(_) | Expr::NegPred(_) => true,
            _ => false,
        }
    }
}

/// What fits at the end of the beginning of a statement of this block.
#[must_use]
pub fn fits(block: Option<&str>, beginning: &str) -> Fits {
    let mut fits = Fits::default();
    let Some(entry) = entry(block) else { return fits };
    // Nothing fits this sign, so that the grammar says what would.
    let text = format!("{} \u{1}", beginning.trim_end());
    let Err(error) = PlanParser::parse(entry, &text) else { return fits };
    let at = match error.location {
        InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
    };
    if at < beginning.trim_end().len() {
        return fits;
    }
    let ErrorVariant::ParsingError { positives, .. } = error.variant else { return fits };
    for rule in positives {
        fits.rule(&format!("{rule:?}"));
    }
    let mut seen = std::collections::HashSet::new();
    fits.words.retain(|word| seen.insert(word.clone()));
    fits
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grammar_says_what_fits() {
        let of = |block, text| fits(Some(block), text);
        assert!(of("ccp", "monitor core every 1 h").words.contains(&"by".to_owned()));
        assert!(of("ccp", "monitor core every 1 h by").name);
        assert!(of("ccp", "limit hot core >= 72").unit);
        let after = of("ccp", "limit hot core >= 72 °C").words;
        for word in ["held", "in", "at", "throughout", "during", "when"] {
            assert!(after.contains(&word.to_owned()), "{word} in {after:?}");
        }
        assert!(of("step", "hazard listeria").words.contains(&"survives".to_owned()));
        assert!(of("row", "decision q1").words.contains(&"yes".to_owned()));
        assert!(fits(None, "ccp lethality").words.contains(&"at".to_owned()));
        assert!(of("product", "description").text);
        assert!(!after.contains(&"for".to_owned()), "a bare `for` is a fault");
        // Where the beginning itself cannot be read nothing is offered.
        assert_eq!(of("ccp", "monitor core whenever by"), Fits::default());
    }
}
