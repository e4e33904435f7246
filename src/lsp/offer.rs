//! Which kinds of thing a name may stand for at a place of a statement.

use crate::plan::names::Kind;

/// Words before a name that say what it is, wherever they stand: statement (any if empty), words before, kinds. The
/// first line that fits counts; the words before are those that stand right before the name or its list.
const LEADS: &[(&str, &str, &[Kind])] = &[
    ("cleaned", "by", &[Kind::Programme]),
    ("", "reduction by", &[Kind::Inactivation]),
    ("", "growth by", &[Kind::GrowthModel]),
    ("", "chosen by", &[Kind::Parameter]),
    ("", "by", &[Kind::Role]),
    ("", "relies on", &[Kind::Programme]),
    ("", "on", &[Kind::Record]),
    ("", "using", &[Kind::Instrument]),
    ("ccp", "at", &[Kind::Step]),
    ("control", "at", &[Kind::Step]),
    ("", "at", &[Kind::Event]),
    ("", "row of", &[Kind::Table]),
    ("", "F of", &[Kind::Parameter]),
    ("", "degree-hours of", &[Kind::Parameter]),
    ("", "humidity of", &[Kind::Parameter]),
    ("", "of", &[Kind::Stage, Kind::Event]),
    ("stage", "from", &[Kind::Event]),
    ("parameter", "from", &[Kind::Parameter]),
    ("property", "from", &[Kind::Control, Kind::Parameter]),
    ("from", "from", &[Kind::Parameter]),
    ("", "from", &[Kind::Parameter, Kind::Event]),
    ("stage", "to", &[Kind::Event]),
    ("gives", "to", &[Kind::Step]),
    ("", "to", &[Kind::Event]),
    ("", "during", &[Kind::Stage]),
    ("", "throughout", &[Kind::Stage]),
    ("judged", "per", &[Kind::Stage]),
    ("", "and", &[Kind::Parameter]),
    ("", "when", &[Kind::Parameter]),
    ("", "science", &[Kind::Citable]),
    ("", "in-plant", &[Kind::Citable]),
    ("", "shown-by", &[Kind::Citable]),
    ("", "cites", &[Kind::Citable]),
    ("adjust", "before", &[Kind::Event]),
    ("", "ends before", &[Kind::Stage]),
    ("considered", "as", &[Kind::Hazard]),
    ("after", "after", &[Kind::Step]),
    ("", "after", &[Kind::Event]),
    ("leader", "leader", &[Kind::Role]),
    ("member", "member", &[Kind::Role]),
    ("measures", "measures", &[Kind::Parameter]),
    ("monitor", "monitor", &[Kind::Parameter]),
    ("uses", "uses", &[Kind::Material, Kind::Equipment]),
    ("only", "only for", &[Kind::Product]),
    ("control", "control", &[Kind::Control]),
    ("hazard", "hazard", &[Kind::Hazard]),
    ("property", "property", &[Kind::Parameter]),
];

/// Statements whose names stand for a parameter wherever nothing else is said.
const CONDITIONS: &[&str] =
    &["limit", "operating-limit", "guide", "identity", "required", "stands-for", "option", "from"];

/// The kinds that a name may have after the beginning of a statement; `None` where nothing is known of it.
pub(super) fn kinds(block: Option<&str>, before: &str) -> Option<&'static [Kind]> {
    let bare = outside_quotes(before);
    let spaced = bare.replace(',', " , ");
    let mut words: Vec<&str> = spaced.split_whitespace().collect();
    let statement = words.first().copied().unwrap_or("");
    // Back over the list that the name stands in.
    while words.last() == Some(&",") {
        words.pop();
        words.pop();
    }
    let led = |lead: &str| {
        let lead: Vec<&str> = lead.split(' ').collect();
        words.ends_with(&lead)
    };
    for (of, lead, kinds) in LEADS {
        if (of.is_empty() || *of == statement) && led(lead) {
            return Some(kinds);
        }
    }
    let conditional = CONDITIONS.contains(&statement) || matches!(block, Some("group" | "option"));
    conditional.then_some(&[Kind::Parameter])
}

/// A text without what stands in quotes.
fn outside_quotes(text: &str) -> String {
    let marks = ['"', '“', '”', '„'];
    text.split(marks).step_by(2).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::super::context::spot;
    use super::*;
    use crate::plan::uses::{Thing, Uses};
    use crate::source::{Source, Sources};

    /// At each place where a plan names something, the kind of thing it names is among those that are offered.
    #[test]
    fn what_plans_name_is_what_is_offered() {
        let (mut seen, mut unknown) = (0, 0);
        for text in [
            include_str!("../../plans/smoked-goose-breast.haccp"),
            include_str!("../../plans/smoked-turkey-strips.haccp"),
            include_str!("../../plans/cured-cooked-ham.haccp"),
            include_str!("../../plans/peanut-butter.haccp"),
            include_str!("../../plans/hot-smoked-fish.haccp"),
            include_str!("../../plans/pasteurised-juice.haccp"),
            include_str!("../../plans/cook-chill-meals.haccp"),
            include_str!("../../plans/acidified-vegetables.haccp"),
            include_str!("../../tests/findings/base.haccp"),
        ] {
            let mut sources = Sources::new();
            let id = sources.add(Source::new("plan", text));
            let uses = Uses::of(&crate::plan::read(&sources, &[id]).plan);
            for place in uses.all().iter().filter(|place| !place.declares) {
                let Thing::Declared(kind, name) = &place.thing else { continue };
                let here = spot(text, place.loc.span.start);
                seen += 1;
                match kinds(here.block.as_deref(), &here.before) {
                    Some(kinds) => assert!(kinds.contains(kind), "{kind:?} {name} after `{}`: {kinds:?}", here.before),
                    None => {
                        unknown += 1;
                        eprintln!("{kind:?} {name} after `{}` in {:?}", here.before, here.block);
                    }
                }
            }
        }
        assert!(seen > 1000, "{seen}");
        assert!(unknown * 50 < seen, "of {unknown} of {seen} places nothing is known");
    }
}
