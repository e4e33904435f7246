//! The pages on judging: each form stands beside its example in the plan language.

use crate::page::{self, Example};

/// The pages that say how a limit is judged.
pub const PAGES: [&str; 4] =
    ["docs/limits.md", "docs/limits-sums.md", "docs/limits-lots.md", "docs/limits-accuracy.md"];

/// Every fenced example of theirs of one kind.
pub fn examples(kind: &str) -> Vec<Example> {
    PAGES.iter().flat_map(|name| page::page(name).examples()).filter(|example| example.kind() == kind).collect()
}

#[test]
fn every_form_of_the_language_has_an_example_beside_it() {
    let examples: String = examples("haccp").into_iter().map(|example| example.text).collect();
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
