//! The page on judging: each form stands beside its example in the plan language.

use crate::page;

#[test]
fn every_form_of_the_language_has_an_example_beside_it() {
    let page = page::page("docs/limits.md");
    let examples: String = page
        .examples()
        .iter()
        .filter(|example| example.kind() == "haccp")
        .map(|example| example.text.clone())
        .collect();
    for words in [
        "<= ",
        ">= ",
        "between ",
        " ± ",
        "held for ",
        "throughout ",
        "in total at least ",
        "in total at most ",
        "at a stretch at most ",
        " of ",
        "whichever is longer",
        " from ",
        "in less than ",
        "in total less than ",
        "held for more than ",
        "reduction by ",
        "in every sample",
        " is ",
        "during ",
    ] {
        assert!(examples.contains(words), "no example shows `{words}`");
    }
}
