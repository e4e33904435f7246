//! Nothing a user wrote can steer the page or hide from the reader.

use crate::markup::{Piece, nested, pieces, text};
use crate::{GOOSE, read};
use proptest::prelude::*;

/// A small plan with the given text wherever a plan takes free text near the margins, the picture and a table.
fn with(text: &str) -> String {
    format!(
        "plan p \"{text}\" {{\n  establishment \"{text}\"\n  revision 1 on 2026-01-01 \"{text}\"\n  in-force from 2026-01-01\n}}\n\
         material m \"{text}\" {{\n  kind raw\n  supplier \"{text}\"\n}}\n\
         hazard h \"{text}\" {{\n  kind biological\n  severity severe \"{text}\"\n}}\n\
         step s \"{text}\" {{\n  start\n  dispatch\n  does \"{text}\"\n  uses m\n}}\n"
    )
}

/// The elements of a page, without the picture, whose words are wrapped by their length.
fn elements(html: &str) -> Vec<String> {
    let mut inside = false;
    let mut found = Vec::new();
    for piece in pieces(html) {
        match piece {
            Piece::Open(name, _) if name == "svg" => inside = true,
            Piece::Close(name) if name == "svg" => inside = false,
            Piece::Open(name, _) if !inside => found.push(name),
            _ => {}
        }
    }
    found
}

const NASTY: [&str; 12] = [
    "<script>alert(1)</script>",
    "</style></title><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "{{ 7 * 7 }}{% raw %}{# gone #}",
    "&lt;b&gt; &amp; <b>",
    "}} @page { size: 1mm } /* */",
    "=1+1;@SUM(A1)",
    "]]><!--",
    "\\22 } body { display: none }",
    "سمك مدخن עופות",
    "🦆🔥👩‍🍳 duck",
    "a\u{202E}b\u{2066}c\u{FEFF}d\u{7}e\u{1B}[31m",
];

#[test]
fn nasty_texts_are_shown_as_text() {
    let benign = elements(&read(&with("word")).html());
    for nasty in NASTY {
        let html = read(&with(nasty)).html();
        assert_eq!(elements(&html), benign, "{nasty}");
        nested(&html);
        assert!(!html.contains("<script") && !html.contains("<img"), "{nasty}");
        for c in ['\u{202E}', '\u{2066}', '\u{FEFF}', '\u{7}', '\u{1B}'] {
            assert!(!html.contains(c), "{c:?} stands in the page");
        }
        if nasty.chars().all(|c| !c.is_control() && c != '\u{202E}') {
            let wanted = crate::markup::plain(&nasty.replace('&', "&amp;"));
            assert!(text(&html).contains(&wanted), "{nasty} is not shown");
        }
    }
    let shown = text(&read(&with(NASTY[11])).html());
    assert!(shown.contains("a[U+202E]b[U+2066]c[U+FEFF]d[U+0007]e[U+001B][31m"), "what is hidden is named");
}

#[test]
fn very_long_words_stay_whole_in_the_text() {
    let long = "x".repeat(10_000);
    let html = read(&with(&long)).html();
    assert!(text(&html).contains(&long));
    let rule = html.split("@top-right { content: \"").nth(1).unwrap().split('"').next().unwrap();
    assert!(rule.len() < 100, "the margin holds a clipped title");
}

#[test]
fn the_margins_hold_escaped_strings() {
    let html = read(&with("a\"\"; } </style><b>")).html();
    assert!(html.contains("@top-right { content: \"a\\22 \\3b  \\7d  \\3c \\2f style\\3e \\3c b\\3e \"; }"));
    assert_eq!(html.matches("</style>").count(), 1);
}

#[test]
fn a_plan_that_is_mostly_broken_is_still_a_page() {
    for cut in (0..GOOSE.len()).step_by(1499).filter(|&at| GOOSE.is_char_boundary(at)) {
        nested(&read(&GOOSE[..cut]).html());
        nested(&read(&GOOSE[cut..]).html());
    }
    nested(&read("#").html());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Any text at all leaves the elements of the page as they are.
    #[test]
    fn no_text_makes_an_element(nasty in "[^\"\u{201c}\u{201d}\n\r]{1,60}") {
        let nasty = format!("w{nasty}w");
        let read = read(&with(&nasty));
        prop_assume!(read.findings.is_empty());
        prop_assert_eq!(elements(&read.html()), elements(&crate::read(&with("word")).html()));
    }
}
