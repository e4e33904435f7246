//! The formatter: one form, the same when it is made twice, with every comment and the same meaning.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, missing_docs)]

mod forms;
mod laws;

use bourn::source::{Source, SourceId};
use bourn::syntax::print::format;
use std::path::{Path, PathBuf};

/// A text in its one form.
pub fn formatted(text: &str) -> String {
    format(SourceId(0), &Source::new("p.haccp", text)).unwrap_or_else(|f| panic!("{}\n{text}", f.message)).text
}

/// Every file below a folder with this ending.
pub fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|found| found == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// Every text of the project that is, or should be, a plan, or stands in one: plans, tests, pages and cases.
pub fn texts() -> Vec<(String, String)> {
    let mut texts = Vec::new();
    for path in [files("plans", "haccp"), files("tests", "haccp")].concat() {
        texts.push((path.display().to_string(), std::fs::read_to_string(&path).unwrap()));
    }
    for path in [files("docs", "md"), files("tests/findings/cases", "md")].concat() {
        let page = std::fs::read_to_string(&path).unwrap();
        let mut fence: Option<String> = None;
        for (number, line) in page.lines().enumerate() {
            match (&mut fence, line.strip_prefix("```")) {
                (None, Some("haccp" | "haccp-wrong" | "with" | "mended" | "replace")) => fence = Some(String::new()),
                (Some(text), Some(_)) => {
                    texts.push((format!("{}:{number}", path.display()), std::mem::take(text)));
                    fence = None;
                }
                (Some(text), None) => {
                    text.push_str(line);
                    text.push('\n');
                }
                (None, _) => {}
            }
        }
    }
    texts
}
