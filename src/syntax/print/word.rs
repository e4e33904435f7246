//! The one spelling of each word.

use crate::quantity::UnitDef;
use crate::syntax::Rule;
use std::borrow::Cow;

/// Units with a name of their own, which the author chose: a regulation in ppm stays in ppm, and a day is no `d`.
const OWN_NAME: [&str; 9] = ["ppm", "ppb", "mbar", "%RH", "hour", "hours", "day", "days", "weeks"];

/// The spelling that is written for what one rule of the grammar took: the printed form of a unit, `<=` and `>=`, a
/// hyphen for minus, three underscores for a blank, straight quotation marks. Everything else stays as it is.
pub(super) fn spelling(rule: Rule, text: &str) -> Cow<'_, str> {
    match rule {
        Rule::unit if OWN_NAME.contains(&text) => text.into(),
        Rule::unit => UnitDef::find(text).map_or(text, |unit| unit.symbol).into(),
        Rule::comparison => match text {
            "≤" => "<=".into(),
            "≥" => ">=".into(),
            _ => text.into(),
        },
        Rule::number => text.replace('\u{2212}', "-").into(),
        Rule::blank_value => "___".into(),
        Rule::quoted => {
            let mut inside = text.chars();
            inside.next();
            inside.next_back();
            format!("\"{}\"", inside.as_str()).into()
        }
        _ => text.into(),
    }
}
