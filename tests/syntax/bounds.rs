//! However large or odd a text, the reader comes to its end: in linear work, on a small stack.

use crate::{codes, read};
use bourn::syntax::MAX_DEPTH;
use std::num::NonZeroUsize;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// One at a time: these tests hold large trees, and one of them bounds the calls of every parser.
static LARGE: Mutex<()> = Mutex::new(());

fn broken(blocks: usize) -> String {
    (0..blocks).map(|n| format!("step s{n} \"Step\" {{\n  dose \"mistyped\"\n}}\n")).collect()
}

fn unclosed(blocks: usize) -> String {
    (0..blocks).map(|n| format!("step s{n} \"Step\" {{\n  does \"left open\"\n")).collect()
}

/// The number of findings of this code, and how long it took.
fn timed(text: &str, code: &str) -> (usize, Duration) {
    let start = Instant::now();
    let found = read(text).findings;
    (found.iter().filter(|finding| finding.rule.code == code).count(), start.elapsed())
}

/// The most calls of grammar rules that one block may cost; 497 and 412 were counted for the two kinds at 1,000 blocks.
const CALLS_PER_BLOCK: usize = 550;

/// The work is counted as calls of grammar rules, which are the same on every machine: a text of 80,000 blocks
/// must be read within a bound per block. The times are printed, and nothing rests on them.
#[test]
fn work_grows_with_the_text_alone() {
    let _one = LARGE.lock().unwrap_or_else(PoisonError::into_inner);
    for (kind, make, code) in [("broken", broken as fn(usize) -> String, "S002"), ("unclosed", unclosed, "S001")] {
        let mut first = None;
        for blocks in [1_000, 10_000, 80_000] {
            let text = make(blocks);
            let bound = (blocks == 80_000).then_some(blocks * CALLS_PER_BLOCK);
            pest::set_call_limit(bound.and_then(NonZeroUsize::new));
            let (found, took) = timed(&text, code);
            pest::set_call_limit(None);
            assert_eq!(
                found, blocks,
                "{kind}: read in more than {CALLS_PER_BLOCK} calls a block, or not each reported"
            );
            let per_block = took.as_secs_f64() / f64::from(u32::try_from(blocks).unwrap());
            let base = *first.get_or_insert(per_block);
            println!(
                "{kind}: {blocks} blocks in {took:.2?}; {:.2} times the time a block of the smallest",
                per_block / base
            );
        }
    }
}

/// Reads on a stack of half a mebibyte, as a small thread would.
fn on_a_small_stack(text: String) -> Vec<(String, usize)> {
    std::thread::Builder::new().stack_size(512 << 10).spawn(move || codes(&text)).unwrap().join().unwrap()
}

#[test]
fn deep_braces_are_refused_before_they_are_followed() {
    let _one = LARGE.lock().unwrap_or_else(PoisonError::into_inner);
    let deep = |what: &str| on_a_small_stack(what.repeat(200_000));
    for text in [
        "{",
        "step x {\n",
        "a {",
        "{\n",
        "\" {\n",
        "\"{\"\"\n",
        "“ {\r",
        "\"\r{",
        "x# {\n",
        "#x {",
        "\u{201E}{\u{2028}",
    ] {
        let found = deep(text);
        assert_eq!(
            found.iter().map(|(code, _)| code.as_str()).collect::<Vec<_>>().first(),
            Some(&expected(text)),
            "{text:?}: {:?}",
            &found[..1]
        );
    }
    assert!(on_a_small_stack("}".repeat(200_000)).iter().all(|(code, _)| code == "S010"));
    // As deep as is allowed, in a block and out of one.
    for head in ["", "ccp x at y {\n  "] {
        let levels = MAX_DEPTH - usize::from(!head.is_empty());
        let found = on_a_small_stack(format!("{head}{}", "a {\n  ".repeat(levels)));
        assert!(!found.iter().any(|(code, _)| code == "S011"), "{found:?}");
        let found = on_a_small_stack(format!("{head}{}", "a {\n  ".repeat(levels + 1)));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, "S011");
    }
}

/// A block word in column 1 begins a new block, so that many open steps are no depth.
fn expected(text: &str) -> &'static str {
    if text.starts_with("step") { "S001" } else { "S011" }
}

#[test]
fn braces_in_quotes_and_comments_are_no_depth() {
    let text: String = (0..200)
        .map(|n| format!("# a note {{ {n}\nrole r{n} \"a {{ b\" {{  # and {{\n  duties \"{{\"\n}}\n"))
        .collect();
    assert_eq!(codes(&text), []);
}

#[test]
fn long_lines_and_odd_bytes_are_read() {
    let _one = LARGE.lock().unwrap_or_else(PoisonError::into_inner);
    let (long, large) = (1 << 18, 10 << 20);
    for (text, most) in [
        ("a".repeat(long), 1),
        (" ".repeat(long), 0),
        (format!("role r {{ duties \"{}\" }}", "x".repeat(large)), 0),
        ("\"".repeat(long), 1),
        ("\"a\"".repeat(long / 3), 1),
        ("\0".repeat(long), 1),
        (format!("role r {{ x a{} }}", "1-1".repeat(long / 3)), 1),
        (format!("role r {{ x {} }}", "a1-1 ".repeat(long / 5)), 1),
        (format!("# {}", "x".repeat(long)), 0),
        (format!("role r {{ duties \"{} }}", "x".repeat(long)), 2),
        (format!("ccp x at {}y {{\n}}\n", "a, ".repeat(long / 3)), 0),
        (format!("step x {{\n  uses {}\n}}\n", "a, ".repeat(long / 3)), 2),
    ] {
        let head: String = text.chars().take(12).collect();
        let start = Instant::now();
        let found = on_a_small_stack(text);
        println!("a line of {head:?}…: {:.2?}", start.elapsed());
        assert!(found.len() <= most, "{head:?}: {} findings, first {:?}", found.len(), found.first());
    }
    let found = codes("step x {\n  does \"a\0b\"\n}\n\0\nrole r { duties \"x\" }\n");
    assert_eq!(found, [("S002".to_owned(), 4)]);
}
