//! Evidence: the edition in force is cited, and the place in it.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Citable, Citation, LimitKind, Plan};

crate::rules! {
    /// A publication is cited that another one of the plan replaces.
    ///
    /// A figure of an older edition may have been taken back. What still rests on it is named, so that it can be looked at.
    SUPERSEDED_SOURCE = "P121" "superseded-source" Warning;
    /// A figure rests on a publication, and where in it is not said.
    ///
    /// Whoever checks the figure must find it: by table, page or section. A study of the plant has one finding and needs none.
    NO_LOCATOR = "P122" "no-locator" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let figures = figures(plan);
    for citation in figures.iter().filter(|citation| citation.at.as_deref().is_none_or(|at| at.trim().is_empty())) {
        if let Some(source) = plan.sources.iter().find(|source| source.name == citation.name) {
            desk.say(
                Finding::at(
                    &NO_LOCATOR,
                    citation.name.loc,
                    format!("a figure rests on `{}`, and where in it is not said", citation.name),
                )
                .also(source.loc, "declared here")
                .help(format!("add the place, as in `cites {} at \"Table 2\"`", citation.name)),
            );
        }
    }
    for newer in &plan.sources {
        for older in plan.sources.iter().filter(|older| replaced(newer, older)) {
            for citation in figures.iter().filter(|citation| citation.name == older.name) {
                let edition = older.edition.as_deref().unwrap_or_default();
                desk.say(
                    Finding::at(
                        &SUPERSEDED_SOURCE,
                        citation.name.loc,
                        format!("`{}` is cited in edition `{edition}`, which `{}` replaces", older.name, newer.name),
                    )
                    .also(newer.loc, "the newer edition")
                    .help(format!("look the figure up in `{}` and cite that; an `exception` says until when the older one may stand", newer.name)),
                );
            }
        }
    }
}

/// Whether one publication takes the place of another: it says so by name or by edition, or both bear one title and
/// the year of its edition is later.
fn replaced(newer: &Citable, older: &Citable) -> bool {
    if newer.name == older.name {
        return false;
    }
    if newer.replaces.as_deref() == Some(older.name.text.as_str()) {
        return true;
    }
    let same = newer.title.is_some() && newer.title == older.title && newer.publisher == older.publisher;
    let by_edition = newer.replaces.is_some() && newer.replaces == older.edition;
    let year = |one: &Citable| one.edition.as_deref().and_then(year);
    same && (by_edition || year(newer).zip(year(older)).is_some_and(|(newer, older)| newer > older))
}

/// The year that an edition names: the last number of four digits.
fn year(edition: &str) -> Option<u32> {
    let numbers = edition.split(|c: char| !c.is_ascii_digit()).filter(|digits| digits.len() == 4);
    numbers.filter_map(|digits| digits.parse().ok()).next_back()
}

/// Where a figure of the plan rests on something: critical limits and legal values, tables, inactivations, growth.
fn figures(plan: &Plan) -> Vec<&Citation> {
    let limits = plan.controls.iter().flat_map(|control| &control.limits);
    let limits = limits
        .filter(|limit| limit.kind == LimitKind::Critical)
        .flat_map(|limit| limit.cites.iter().chain(limit.shape.required.iter().flat_map(|required| &required.cites)));
    limits
        .chain(plan.tables.iter().flat_map(|table| &table.cites))
        .chain(plan.inactivations.iter().flat_map(|model| &model.cites))
        .chain(plan.growth_models.iter().flat_map(|model| &model.cites))
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::year;
    use crate::check::tests::of_these;

    /// What is found in the base plan of the cases with its source replaced by these, and a limit that cites them.
    fn codes(sources_text: &str, cites: &str) -> Vec<&'static str> {
        let old = "source paper \"Chilling of cooked cereals (invented)\" {\n  publisher  \"Invented\"\n  edition    \"1\"\n}\n";
        let limit = format!("within 2 h {{ cites {cites} }}\n");
        of_these(&[(old, sources_text), ("within 2 h\n", &limit)], &["P121", "P122"])
    }

    fn source(name: &str, title: &str, edition: &str, more: &str) -> String {
        format!("source {name} \"{title}\" {{ publisher \"Invented\"; edition \"{edition}\"{more} }}\n")
    }

    #[test]
    fn the_older_of_two_editions_is_found() {
        let two = |title: &str, older: &str, newer: &str, more: &str| {
            source("old", "Guide", older, "") + &source("paper", title, newer, more)
        };
        let old = "old at \"table 1\"";
        // By the year of the edition, by what the newer one says, and by name although the title is another.
        assert_eq!(codes(&two("Guide", "June 2017", "2021", ""), old), ["P121"]);
        assert_eq!(codes(&two("Guide", "second", "third", "; replaces \"second\""), old), ["P121"]);
        assert_eq!(codes(&two("Another title", "2017", "2021", "; replaces old"), old), ["P121"]);
        // Another book of a later year replaces nothing, nor do editions that bear no year.
        assert!(codes(&two("Another title", "2017", "2021", ""), old).is_empty());
        assert!(codes(&two("Guide", "second", "third", ""), old).is_empty());
        assert!(codes(&two("Guide", "2017", "2021", ""), "paper at \"table 1\"").is_empty());
    }

    #[test]
    fn a_publication_is_cited_with_its_place_and_a_study_needs_none() {
        let one = source("paper", "Guide", "1", "");
        assert_eq!(codes(&one, "paper"), ["P122"]);
        assert_eq!(codes(&one, "paper, paper at \"table 1\""), ["P122"]);
        assert!(codes(&one, "paper at \"table 1\", trial").is_empty());
    }

    #[test]
    fn the_year_of_an_edition() {
        assert_eq!(
            [year("1999, updated 2005"), year("12 July 1999"), year("4th ed."), year("12345")],
            [Some(2005), Some(1999), None, None]
        );
    }
}
