//! The house: layers, vocabulary, rules, paths in the documents, and the size of files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]

mod grammar;
mod layers;
mod packs;
mod papers;
mod rules;

use std::path::{Path, PathBuf};

/// The top of the project.
pub fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A file of the project.
pub fn text(path: &str) -> String {
    std::fs::read_to_string(top().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Every file below a folder with this ending, in order, relative to the top.
pub fn files(folder: &str, ending: &str) -> Vec<String> {
    let mut open: Vec<PathBuf> = vec![top().join(folder)];
    let mut found = Vec::new();
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(&folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|end| end == ending) {
                found.push(path.strip_prefix(top()).unwrap().to_str().unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}
