//! What the grammar expected, in the words of a person.

use super::grammar::Rule;
use pest::error::{ErrorVariant, InputLocation};

/// Where a text stopped fitting its rule, and what would have fitted.
pub(super) struct Stopped {
    /// Byte offset in the text that was tried.
    pub at: usize,
    /// What would have fitted there, most telling first.
    pub expected: Vec<String>,
    /// Whether a unit would have fitted.
    pub unit: bool,
}

/// Reads the reason out of a parser error.
pub(super) fn stopped(error: &pest::error::Error<Rule>) -> Stopped {
    let at = match error.location {
        InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
    };
    let rules = match &error.variant {
        ErrorVariant::ParsingError { positives, .. } => positives.as_slice(),
        ErrorVariant::CustomError { .. } => &[],
    };
    let mut expected: Vec<String> = Vec::new();
    for rule in rules {
        if let Some(word) = words_for(*rule)
            && !expected.contains(&word)
        {
            expected.push(word);
        }
    }
    Stopped { at, expected, unit: rules.contains(&Rule::unit) }
}

fn words_for(rule: Rule) -> Option<String> {
    let said = match rule {
        Rule::name | Rule::names => "a name",
        Rule::text | Rule::quoted => "text in quotes",
        Rule::number | Rule::quantity | Rule::blank_value => "a number",
        Rule::unit => "a unit",
        Rule::date | Rule::iso_date => "a date such as 2026-09-14",
        Rule::term | Rule::calendar | Rule::calendar_unit => "a length of time such as 12 months",
        Rule::cadence => "how often, such as `every 1 h` or `continuously step 10 s`",
        Rule::condition | Rule::subject | Rule::reduction => "a condition such as `core >= 72 °C held for 15 s`",
        Rule::level | Rule::compared | Rule::comparison => "a comparison such as `>= 72 °C`",
        Rule::within_band => "`between … and …`",
        Rule::verb => "what the hazard does here: arrives, introduced, grows, forms-toxin, survives or remains",
        Rule::question => "a question such as q1",
        Rule::yes_no => "yes or no",
        Rule::outcome => "waste, by-product or rework",
        Rule::hazard_class => "biological, chemical, physical, allergen or radiological",
        Rule::zone => "a time zone such as Europe/London",
        Rule::support | Rule::support_kind => "`science` or `in-plant` and the study",
        Rule::extent => "`least` or `most`",
        Rule::each_word => "lot, load, delivery, batch, shift or day",
        Rule::per_word => "day, shift, week, lot, load or hour",
        Rule::held => "`held for …`",
        Rule::throughout => "`throughout STAGE`",
        Rule::in_total => "`in total at least …` or `in total at most …`",
        Rule::at_a_stretch => "`at a stretch at most …`",
        Rule::every_sample => "`in every sample`",
        Rule::during => "`during STAGE`",
        Rule::open => "`{`",
        Rule::EOI => "the end of the statement",
        Rule::late => "`late after …`",
        Rule::guard => "`when …`",
        Rule::otherwise => "`otherwise`",
        Rule::arithmetic_sign | Rule::formula_sign => "a sign with a blank on each side, such as ` / `",
        _ => {
            let name = format!("{rule:?}");
            return name.strip_prefix("kw_").map(|word| format!("`{}`", word.replace('_', "-")));
        }
    };
    Some(said.to_owned())
}

/// Joins what was expected into a phrase: `a, b or c`, at most five.
pub(super) fn phrase(expected: &[String]) -> String {
    let shown: Vec<&str> = expected.iter().take(5).map(String::as_str).collect();
    match shown.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
    }
}
