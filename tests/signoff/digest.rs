//! What changes the digest of a plan, and what does not.

use bourn::signoff::digest::{Form, digest, lines};
use bourn::source::{Source, SourceId, Sources};
use bourn::syntax::print::meaning::blocks;
use proptest::prelude::*;

const PLANS: [&str; 9] = [
    include_str!("../../plans/smoked-goose-breast.haccp"),
    include_str!("../../plans/smoked-turkey-strips.haccp"),
    include_str!("../../plans/cured-cooked-ham.haccp"),
    include_str!("../../plans/peanut-butter.haccp"),
    include_str!("../../plans/hot-smoked-fish.haccp"),
    include_str!("../../plans/pasteurised-juice.haccp"),
    include_str!("../../plans/cook-chill-meals.haccp"),
    include_str!("../../plans/acidified-vegetables.haccp"),
    super::PLAN,
];

fn of(texts: &[&str]) -> String {
    let mut sources = Sources::new();
    let ids: Vec<SourceId> = texts.iter().map(|text| sources.add(Source::new("p", *text))).collect();
    digest(&sources, &ids, Form::Plan1)
}

/// The blocks of a plan text as written, each with the comments before it.
fn written(text: &str) -> Vec<String> {
    let mut found: Vec<String> = vec![String::new()];
    for line in text.split_inclusive('\n') {
        if line.starts_with(|c: char| c.is_ascii_lowercase()) {
            found.push(String::new());
        }
        found.last_mut().unwrap().push_str(line);
    }
    found
}

fn word(block: &str) -> &str {
    block.split_whitespace().next().unwrap_or("")
}

#[test]
fn formatting_does_not_change_it() {
    for plan in PLANS {
        let plain = of(&[plan]);
        assert!(plain.starts_with("plan-1:") && plain.len() == "plan-1:".len() + 64, "{plain}");
        let formatted = bourn::syntax::print::format(SourceId(0), &Source::new("p", plan)).unwrap().text;
        assert_eq!(of(&[&formatted]), plain);
        // Indentation, blanks outside texts, line ends, a byte order mark.
        let ruined: String = formatted
            .lines()
            .map(|line| {
                let wide: Vec<String> = line
                    .split('"')
                    .enumerate()
                    .map(|(at, part)| if at % 2 == 0 { part.replace(' ', "  ") } else { part.to_owned() })
                    .collect();
                format!("{} \r\n", wide.join("\""))
            })
            .collect();
        assert_ne!(ruined, formatted);
        assert_eq!(of(&[&format!("\u{FEFF}{ruined}")]), plain);
    }
}

#[test]
fn comments_do_not_change_it() {
    for plan in PLANS {
        let plain = of(&[plan]);
        let bare: String =
            plan.lines().filter(|line| !line.trim_start().starts_with("# ")).map(|line| format!("{line}\n")).collect();
        assert_eq!(of(&[&bare]), plain);
        let noted: String = plan.lines().map(|line| format!("{line} # a remark with \"quotes\" {{\n")).collect();
        assert_eq!(of(&[&noted]), plain);
    }
}

/// Words, numbers, signs and texts are changed one by one: all of the first plan and of the last, every ninth of the others.
#[test]
fn every_token_changes_it() {
    let mut seen = 0;
    for (number, plan) in PLANS.into_iter().enumerate() {
        let step = if number == 0 || number == 4 { 1 } else { 9 };
        let mut skipped = 0;
        for block in written(plan) {
            let before = blocks(&block);
            for (start, end) in tokens(&block) {
                skipped += 1;
                if skipped % step != 0 {
                    continue;
                }
                let token = &block[start..end];
                let changed = match token.chars().next().unwrap() {
                    '"' => format!("{}x\"", &token[..token.len() - 1]),
                    '0'..='8' if token.len() == 1 => (token.parse::<u32>().unwrap() + 1).to_string(),
                    c if c.is_ascii_digit() => {
                        let last = token.rfind(|c: char| c.is_ascii_digit()).unwrap();
                        let digit = if &token[last..=last] == "7" { "6" } else { "7" };
                        format!("{}{digit}{}", &token[..last], &token[last + 1..])
                    }
                    ',' | '{' | '}' => String::new(),
                    _ => format!("{token}x"),
                };
                let text = format!("{}{changed}{}", &block[..start], &block[end..]);
                assert_ne!(blocks(&text), before, "`{token}` became `{changed}` in:\n{block}");
                seen += 1;
            }
        }
    }
    assert!(seen > 3000, "{seen} tokens");
}

/// Words, numbers, signs and texts outside comments; a semicolon parts and says nothing.
fn tokens(text: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        let rest = &text[at..];
        let length = match c {
            '"' => 2 + rest[1..].find('"').unwrap(),
            '#' => rest.find('\n').unwrap_or(rest.len()),
            '{' | '}' | ',' | ';' => 1,
            c if c.is_whitespace() => c.len_utf8(),
            _ => {
                rest.find(|c: char| c.is_whitespace() || matches!(c, '{' | '}' | ',' | ';' | '"')).unwrap_or(rest.len())
            }
        };
        if c != '#' && c != ';' && !c.is_whitespace() {
            found.push((at, at + length));
        }
        at += length;
    }
    found
}

/// A block that is gone changes it; so does one that stands there twice. No two blocks of a plan have one line.
#[test]
fn every_block_counts() {
    let plan = super::PLAN;
    let (plain, all) = (of(&[plan]), written(plan));
    for at in 1..all.len() {
        let rest = all.iter().enumerate().filter(|(other, _)| *other != at);
        let without: String = rest.map(|(_, block)| block.as_str()).collect();
        assert_ne!(of(&[&without]), plain, "{}", all[at]);
    }
    assert_ne!(of(&[&format!("{plan}{}", all[1])]), plain);
    for plan in PLANS {
        let mut lines: Vec<String> = blocks(plan).into_iter().map(|block| block.line).collect();
        assert_eq!(lines.len(), written(plan).len() - 1);
        lines.sort();
        assert!(lines.windows(2).all(|pair| pair[0] != pair[1]));
    }
}

#[test]
fn the_order_of_steps_and_of_control_points_counts() {
    for plan in PLANS {
        for kind in ["step", "ccp"] {
            let mut all = written(plan);
            let of_kind: Vec<usize> = (0..all.len()).filter(|at| word(&all[*at]) == kind).collect();
            let Some([first, second]) = of_kind.first_chunk::<2>() else { continue };
            all.swap(*first, *second);
            assert_ne!(of(&[&all.concat()]), of(&[plan]), "{kind}");
        }
    }
}

/// A unit is not turned into another, and a figure keeps its digits.
#[test]
fn figures_stay_as_they_were_written() {
    let plan = |limit: &str| format!("ccp c {{\n  limit l core >= {limit}\n}}\n");
    let of = |limit: &str| of(&[&plan(limit)]);
    assert_ne!(of("40 °F"), of("4.4 °C"));
    assert_ne!(of("72 °C"), of("72.0 °C"));
    assert_ne!(of("1 h held for 90 min"), of("1 h held for 1 h 30 min"));
    assert_eq!(of("72 degC"), of("72 °C"));
}

/// The worked example of `docs/sign-off.md`, whose digest was taken with `sha256sum` of GNU coreutils from the lines
/// that stand there.
#[test]
fn the_example_of_the_page_is_true() {
    let page = include_str!("../../docs/sign-off.md");
    let part = |open: &str| page.split_once(open).unwrap().1.split_once("```").unwrap().0;
    let mut sources = Sources::new();
    let id = sources.add(Source::new("p", part("```haccp\n")));
    assert_eq!(lines(&sources, &[id]), part("```lines\n").lines().collect::<Vec<_>>());
    assert!(
        page.contains(&format!("`{}`", digest(&sources, &[id], Form::Plan1))),
        "{}",
        digest(&sources, &[id], Form::Plan1)
    );
}

/// Signatures under digests of form `plan-1` are kept for years. Where this fails, the form no longer says what it said:
/// give the digest a new form, and keep making the old one.
#[test]
fn the_form_does_not_drift() {
    let fixed = "plan-1:dbeed891d31f75a1a7f7629fc6ac394a87cb25c16e1da9c2e643a36dfe05462c";
    assert_eq!(of(&[include_str!("fixed.haccp")]), fixed);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    /// Blocks in another order, and the plan in several files, as long as steps and control points follow one another
    /// as before in the order in which the files are read.
    #[test]
    fn the_order_of_other_blocks_and_the_files_do_not(which in 0..PLANS.len(), keys in prop::collection::vec(any::<u32>(), 200), cuts in prop::collection::vec(0..4_usize, 200)) {
        let all = written(PLANS[which]);
        let ordered = |block: &&String| ["step", "ccp"].contains(&word(block));
        let mut shuffled: Vec<(u32, &String)> = keys.iter().copied().zip(all.iter()).collect();
        prop_assert_eq!(shuffled.len(), all.len());
        shuffled.sort();
        // Steps and control points take the places that the shuffle gave them, in their old order.
        let mut steps = all.iter().filter(|block| word(block) == "step");
        let mut ccps = all.iter().filter(|block| word(block) == "ccp");
        let shuffled: Vec<&String> = shuffled
            .into_iter()
            .map(|(_, block)| match word(block) {
                "step" => steps.next().unwrap(),
                "ccp" => ccps.next().unwrap(),
                _ => block,
            })
            .collect();
        let text: String = shuffled.iter().map(|block| block.as_str()).collect();
        prop_assert_eq!(of(&[&text]), of(&[PLANS[which]]));
        // Into up to four files: what has an order goes into the first one, and the files are named by it.
        let mut files = vec![String::new(); 4];
        for (block, cut) in shuffled.iter().zip(&cuts) {
            files[if ordered(block) { 0 } else { *cut }].push_str(block);
        }
        files[0].push_str("include \"parts/a.haccp\"\ninclude \"b.haccp\"\ninclude \"c.haccp\"\n");
        let files: Vec<&str> = files.iter().map(String::as_str).collect();
        prop_assert_eq!(of(&files), of(&[PLANS[which]]));
    }
}
