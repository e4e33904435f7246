//! The top rule reads every text; each broken statement is reported on its own line.

use crate::{PLANS, codes, read};
use bourn::source::{Source, Sources};
use bourn::syntax::Rule;
use proptest::prelude::*;

/// A text is read: the tree covers it all, every span lies in it, and lowering and checking hold too.
fn is_read(text: &str) {
    let parsed = read(text);
    assert!(
        !parsed.findings.iter().any(|finding| ["S012"].contains(&finding.rule.code)),
        "not read to its end: {text:?}"
    );
    assert_eq!(parsed.tree.rule, Rule::file);
    assert_eq!((parsed.tree.span.start, parsed.tree.span.end), (0, text.len()), "{text:?}");
    parsed.tree.walk(&mut |node| {
        assert!(text.get(node.span.start..node.span.end).is_some(), "{:?} {:?} in {text:?}", node.rule, node.span);
    });
    for finding in &parsed.findings {
        let span = finding.span().unwrap();
        assert!(text.get(span.start..span.end).is_some(), "{} {span:?} in {text:?}", finding.rule.code);
        assert!(!finding.message.is_empty());
    }
    let broken = |rule| matches!(rule, Rule::bad_statement | Rule::bad_block | Rule::junk | Rule::unclosed);
    let mut faults = 0;
    parsed.tree.walk(&mut |node| faults += usize::from(broken(node.rule)));
    assert_eq!(
        faults > 0 || parsed.findings.iter().any(|finding| finding.rule.code == "S011"),
        !parsed.findings.is_empty(),
        "{text:?}"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("p.haccp", text));
    let _ = bourn::plan::read(&sources, &[id]);
}

fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[ \\t\\r\\n{};,#\"“”a-z0-9.°%_-]{0,40}",
        prop::sample::select(PLANS[0].lines().chain(PLANS[1].lines()).map(str::to_owned).collect::<Vec<_>>()),
        prop::sample::select(vec![
            "{",
            "}",
            "\"",
            "“",
            "# ",
            "#x",
            ";",
            ",",
            "\n",
            "\r",
            "\u{FEFF}",
            "\0",
            "step x {",
            "ccp",
            "___",
            "\u{2212}1"
        ])
        .prop_map(str::to_owned),
    ]
}

#[derive(Debug, Clone)]
enum Change {
    Cut(usize, usize),
    Swap(usize, usize),
    Twice(usize),
    Put(usize, String),
    Drop(usize),
}

fn change() -> impl Strategy<Value = Change> {
    let at = 0..100_000_usize;
    prop_oneof![
        (at.clone(), 0..400_usize).prop_map(|(at, length)| Change::Cut(at, length)),
        (at.clone(), at.clone()).prop_map(|(a, b)| Change::Swap(a, b)),
        at.clone().prop_map(Change::Twice),
        (at.clone(), piece()).prop_map(|(at, text)| Change::Put(at, text)),
        at.prop_map(Change::Drop),
    ]
}

fn changed(text: &str, change: &Change) -> String {
    let floor = |at: usize| {
        let mut at = at % (text.len() + 1);
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
    let count = lines.len().max(1);
    match change {
        Change::Cut(at, length) => {
            let start = floor(*at);
            let end = floor((start + length).min(text.len())).max(start);
            format!("{}{}", &text[..start], &text[end..])
        }
        Change::Put(at, put) => {
            let at = floor(*at);
            format!("{}{put}{}", &text[..at], &text[at..])
        }
        _ if lines.is_empty() => String::new(),
        Change::Swap(a, b) => {
            lines.swap(a % count, b % count);
            lines.concat()
        }
        Change::Twice(at) => {
            lines.insert(at % count, lines[at % count]);
            lines.concat()
        }
        Change::Drop(at) => {
            lines.remove(at % count);
            lines.concat()
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_text_is_read(pieces in prop::collection::vec(piece(), 0..12)) {
        is_read(&pieces.concat());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_changed_plan_is_read(which in 0..PLANS.len(), changes in prop::collection::vec(change(), 1..6)) {
        let text = changes.iter().fold(PLANS[which].to_owned(), |text, change| changed(&text, change));
        is_read(&text);
    }

    /// Statements of a plan are broken one by one, each in another way, and each is reported on its own line and nowhere else.
    #[test]
    fn each_broken_statement_is_reported_on_its_own_line(
        which in 0..PLANS.len(), at in prop::collection::btree_set(0..100_000_usize, 1..8), how in 0..4_usize,
    ) {
        let mut lines: Vec<String> = PLANS[which].lines().map(str::to_owned).collect();
        // Whole statements of one line: indented, with no brace, and no part of one that runs over the line.
        let runs_on = |index: usize| {
            let starts_quoted = |line: Option<&String>| line.is_some_and(|line| line.trim_start().starts_with('"'));
            starts_quoted(lines.get(index)) || starts_quoted(lines.get(index + 1))
        };
        let whole: Vec<usize> = (0..lines.len())
            .filter(|&index| {
                let line = &lines[index];
                line.starts_with("  ") && !line.contains(['{', '}', '#']) && !line.ends_with(',') && !line.trim().is_empty() && !runs_on(index)
            })
            .collect();
        let chosen: std::collections::BTreeSet<usize> = at.iter().map(|at| whole[at % whole.len()]).collect();
        for &index in &chosen {
            let line = lines[index].clone();
            let indent = &line[..line.len() - line.trim_start().len()];
            lines[index] = match how {
                0 => format!("{indent}zzqq {}", line.trim_start()),
                1 => format!("{line} \"left open"),
                2 => format!("{line} 4,2"),
                _ => format!("{line} @@"),
            };
        }
        let want: Vec<usize> = chosen.iter().map(|index| index + 1).collect();
        let got: Vec<usize> = codes(&lines.join("\n")).into_iter().map(|(_, line)| line).collect();
        prop_assert_eq!(got, want);
    }
}

#[test]
fn the_worked_plans_have_no_fault() {
    for plan in PLANS {
        assert_eq!(codes(plan), []);
        assert_eq!(codes(&plan.replace('\n', "\r\n")), []);
        assert_eq!(codes(plan.trim_end()), []);
        assert_eq!(codes(&format!("\u{FEFF}{plan}")), []);
    }
}

/// A brace lost anywhere costs one finding, and never the statements of another block.
#[test]
fn a_lost_closing_brace_hides_no_other_fault() {
    for (at, _) in PLANS[0].match_indices("\n}\n") {
        let text = format!("{}\n{}\nrole last {{\n  zzqq\n}}\n", &PLANS[0][..at], &PLANS[0][at + 3..]);
        let found = codes(&text);
        let codes: Vec<&str> = found.iter().map(|(code, _)| code.as_str()).collect();
        assert_eq!(codes, ["S001", "S002"], "without the brace at {at}: {found:?}");
        assert_eq!(found[1].1, text.lines().count() - 1);
    }
}
