//! Which words may be names.

use crate::codes;
use bourn::syntax::words::{Use, words};

/// docs/language.md, "Names and words".
pub const JOINING: &str = "and or of at by from to in on for is not no when within between before after above below one all any each every per \
    held throughout during";

#[test]
fn a_joining_word_is_refused_as_a_name() {
    for word in JOINING.split_whitespace() {
        let found = codes(&format!("role {word} \"R\" {{\n}}\n"));
        assert_eq!(found, [("S009".to_owned(), 1)], "{word} as the name of a role");
        let found = codes(&format!("step x {{\n  uses {word}\n}}\n"));
        assert_eq!(found, [("S003".to_owned(), 2)], "{word} in a list");
        // As a part of a name it is like any other.
        assert_eq!(codes(&format!("role {word}-x \"R\" {{\n}}\nrole x-{word} \"R\" {{\n}}\n")), [], "{word} in a name");
    }
}

#[test]
fn every_other_word_of_the_language_may_be_a_name() {
    for word in words() {
        if JOINING.split_whitespace().any(|joining| joining == word.word) {
            continue;
        }
        let name = &word.word;
        assert_eq!(
            codes(&format!("role {name} \"R\" {{\n}}\nstep x {{\n  uses {name}, {name}\n  after {name}\n}}\n")),
            [],
            "{name}"
        );
        if word.used == Use::Block {
            assert_eq!(
                codes(&format!("step {name} \"S\" {{\n  uses a,\n       {name}\n}}\n")),
                [],
                "{name} at the head of a line that is indented"
            );
        }
    }
}

#[test]
fn shapes_of_names() {
    let fits = |name: &str| codes(&format!("role {name} \"R\" {{\n}}\n")).is_empty();
    for name in ["a", "A", "steel-2.5", "e10", "räucher-ofen", "q1", "a-b-c", "ccp1", "oven-1", "µ"] {
        assert!(fits(name), "{name}");
    }
    for name in ["1a", "-a", "a-", "a--b", "a_b", "a.b", "a2.", "2.5", "a.5", "_", "___", "a/b", "a'b"] {
        assert!(!fits(name), "{name}");
    }
}
