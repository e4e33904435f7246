//! The glossary and the vocabulary speak of the same things by the same words.

use crate::page;
use bourn::syntax::words::words;

/// In the column "in a plan" stand words of the plan language alone.
#[test]
fn words_of_the_plan_are_words_of_the_vocabulary() {
    let page = page::page("docs/glossary.md");
    let mut seen = 0;
    let rows = page
        .text
        .lines()
        .skip_while(|line| !line.starts_with("| term |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'));
    for row in rows {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        assert_eq!(cells.len(), 5, "{row}");
        assert!(["yes", "in part", "no"].contains(&cells[3]), "whether it was read: {row}");
        for word in cells[4].split('`').skip(1).step_by(2) {
            assert!(words().iter().any(|known| known.word == word), "`{word}` is no word of the language");
            seen += 1;
        }
    }
    assert!(seen > 15, "only {seen} words");
}
