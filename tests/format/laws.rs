//! What holds for every text.

use crate::{files, formatted, texts};
use bourn::finding::Finding;
use bourn::source::{Source, SourceId, Sources};
use bourn::syntax::print::format;
use proptest::prelude::*;

/// The comments of a text: read line by line here, sharing nothing with the formatter.
fn comments(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in text.lines() {
        let (mut inside, mut before) = (false, ' ');
        for (at, c) in line.char_indices() {
            if ['"', '\u{201C}', '\u{201D}', '\u{201E}'].contains(&c) {
                inside = !inside;
            }
            let after = line[at + c.len_utf8()..].chars().next().unwrap_or(' ');
            if c == '#' && !inside && before == ' ' && after == ' ' {
                found.push(line[at..].trim_end().to_owned());
                break;
            }
            before = c;
        }
    }
    found
}

/// What the checker says of a text, without places. A message may show the text as written, so only its code counts.
fn said(text: &str) -> Vec<String> {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan.haccp", text));
    let reading = bourn::plan::read(&sources, &[id]);
    let mut found: Vec<Finding> = reading.findings;
    found.extend(bourn::check::check(&reading.plan, chrono::NaiveDate::from_ymd_opt(2026, 11, 20).unwrap()));
    bourn::finding::tidy(&mut found);
    found.iter().map(|finding| finding.rule.code.to_owned()).collect()
}

/// The printed document of a text, without the digest of the text.
fn document(text: &str) -> String {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan.haccp", text));
    let reading = bourn::plan::read(&sources, &[id]);
    let on = chrono::NaiveDate::from_ymd_opt(2026, 11, 20).unwrap();
    let order = bourn::document::Order {
        plan: &reading.plan,
        sources: &sources,
        findings: &[],
        on,
        signing: None,
        paper: bourn::document::Paper::A4,
    };
    bourn::document::plan(&order).unwrap()
}

/// Formats, unless the text is one that cannot be read at all.
fn try_format(text: &str) -> Option<String> {
    match format(SourceId(0), &Source::new("p.haccp", text)) {
        Ok(formatted) => Some(formatted.text),
        Err(finding) => {
            assert_eq!(finding.rule.code, "S011", "{}: {text:?}", finding.message);
            None
        }
    }
}

/// Every plan, example and case of the project, once and twice.
#[test]
fn every_text_of_the_project() {
    let mut seen = 0;
    for (name, text) in texts() {
        let Some(once) = try_format(&text) else { continue };
        assert_eq!(once, formatted(&once), "{name}: twice is not once");
        assert_eq!(comments(&text), comments(&once), "{name}: comments");
        assert_eq!(said(&text), said(&once), "{name}: findings");
        let line_ends = text.replace('\n', "\r\n");
        assert_eq!(formatted(&line_ends), once.replace('\n', "\r\n"), "{name}: line ends");
        seen += 1;
    }
    assert!(seen > 300, "{seen}");
}

/// The document that a plan prints is the same to the byte, and so is that of a plan whose layout was ruined.
#[test]
fn the_document_stays() {
    for path in files("plans", "haccp") {
        let text = std::fs::read_to_string(&path).unwrap();
        let ruined: String = text.lines().map(|line| ruin(line) + "\n").collect();
        assert_ne!(ruined, text);
        let mended = formatted(&ruined);
        assert_eq!(document(&text), document(&formatted(&text)), "{}", path.display());
        assert_eq!(comments(&text), comments(&mended));
        assert_eq!(said(&text), said(&mended));
    }
}

/// Another indentation and other blanks outside quotes; lines that go on with a text stay.
fn ruin(line: &str) -> String {
    let body = line.trim_start();
    if body.starts_with('"') || body.contains("# ") {
        return line.to_owned();
    }
    let parts: Vec<String> = body
        .split('"')
        .enumerate()
        .map(
            |(number, part)| {
                if number % 2 == 0 { part.replace("  ", " ").replace(' ', "   ") } else { part.to_owned() }
            },
        )
        .collect();
    let indent = if body.len() == line.len() { "" } else { "     " };
    format!("{indent}{}  ", parts.join("\""))
}

/// The worked plans stand in their one form.
#[test]
fn the_worked_plans_are_formatted() {
    for path in files("plans", "haccp") {
        let text = std::fs::read_to_string(&path).unwrap();
        assert_eq!(text, formatted(&text), "{}: run `bourn fmt`", path.display());
    }
}

/// Pieces of plans, good and bad, in any order.
fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "step cook \"Cook\" {", "ccp c at cook {", "role r \"R\" { }", "material m { kind raw; allergens soy, wheat }",
            "limit hold  core ≥ 72degC held for 15 sec", "limit l all of { a <= 1 %; b >= \u{2212}2 °C } { cites s }",
            "limit l one of {", "option o { a <= 1 %; b > 2 m }", "monitor a, b every 1 h by r on rec \"Text\"",
            "does \u{201C}Cook\u{201D}", "uses a,", "b, c", "hazard h, i survives {", "no other hazard \"Why\"",
            "deviation {", "hold \"Tag\"; cause \"Find\"", "}", "};", "{", ";", "start", "dispatch", "event e on r",
            "frobnicate 3", "limit x core 72", "text \"open", "# comment", "#glued", "  # indented", "\"alone\"",
            "   \"joined\"", "limit t time >= ____ h \"by trial\" by r before 2026-12-01", "table t {", "row >= 1 °C",
            "duties\n    \"Leads\"", "trained \"A \"  # first\n     \"B\" on 2024-03-11", "uses a,  # one\n   # two\n   b",
            "property w from d.w", "revision 3 on 2026-08-17 \"A text that is long enough to make the line too long for the page, and longer still, so that it is broken\"",
        ])
        .prop_map(str::to_owned),
        "[a-z \"#{};,0-9.\u{201C}°=\u{FEFF}-]{0,12}",
    ]
}

fn any_plan() -> impl Strategy<Value = String> {
    let end = prop::sample::select(vec![
        "\n", "\n", "\n  ", "\n  ", "\n    ", "\n\n", "\r\n", " ", "; ", "\n\n\n  ", "", " # c\n",
    ]);
    prop::collection::vec((piece(), end), 0..16)
        .prop_map(|parts| parts.into_iter().map(|(piece, end)| piece + end).collect())
}

/// Many more cases where a long run is asked for.
fn cases(few: u32) -> u32 {
    if std::env::var_os("BOURN_LONG").is_some() { few * 30 } else { few }
}

/// Formats without a refusal, so that every word and comment is kept; twice is once.
fn holds(text: &str) -> Result<(), TestCaseError> {
    let Some(once) = try_format(text) else { return Ok(()) };
    let twice = try_format(&once);
    prop_assert_eq!(Some(&once), twice.as_ref(), "twice is not once: {:?}", text);
    prop_assert!(!once.replace("\r\n", "\n").contains("\n\n\n") || text.contains("\n\n"), "{:?}", text);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(cases(300)) })]

    #[test]
    fn pieces_of_plans(text in any_plan()) {
        holds(&text)?;
    }

    #[test]
    fn any_characters(text in "\\PC{0,60}") {
        holds(&text)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(cases(6)) })]

    /// A plan from which a stretch was cut.
    #[test]
    fn cut_plans(from in 0.0..1.0_f64, length in 0_usize..400, which in 0_usize..2) {
        let plan = std::fs::read_to_string(&files("plans", "haccp")[which]).unwrap();
        let chars: Vec<char> = plan.chars().collect();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
        let start = (from * chars.len() as f64) as usize;
        let text: String = chars[..start].iter().chain(chars.iter().skip(start + length)).collect();
        holds(&text)?;
    }
}
