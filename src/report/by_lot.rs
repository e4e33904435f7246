//! One lot, on a terminal and as JSON.

use super::summary::CAUTIONS;
use crate::verify::by_lot::Chapter;
use serde_json::{Value, json};
use std::fmt::Write;

/// The chapters on a terminal.
#[must_use]
pub fn text(chapters: &[Chapter]) -> String {
    let mut out = String::new();
    for chapter in chapters {
        let _ = writeln!(out, "{}", chapter.title);
        for (name, texts) in &chapter.lines {
            let mut texts = texts.iter();
            let _ = writeln!(out, "  {name}: {}", texts.next().map_or("", String::as_str));
            for text in texts {
                let _ = writeln!(out, "      {text}");
            }
        }
        out.push('\n');
    }
    for caution in CAUTIONS {
        let _ = writeln!(out, "{caution}");
    }
    out
}

/// The chapters as JSON.
#[must_use]
pub fn value(chapters: &[Chapter]) -> Value {
    json!({
        "bourn": env!("CARGO_PKG_VERSION"),
        "chapters": chapters.iter().map(|chapter| json!({
            "title": chapter.title,
            "lines": chapter.lines.iter().map(|(name, texts)| json!({ "name": name, "texts": texts })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "cautions": CAUTIONS,
    })
}
