//! Files in a folder.

use crate::log::{Files, Mapping};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// The files that a mapping names, looked up from the folder that the mapping stands in.
#[derive(Debug, Clone)]
pub struct Folder {
    base: PathBuf,
}

impl Folder {
    /// Files below, or relative to, this folder.
    #[must_use]
    pub fn new(base: impl Into<PathBuf>) -> Self {
        Self { base: base.into() }
    }

    /// The folder of the file at this path.
    #[must_use]
    pub fn of(file: &Path) -> Self {
        Self::new(file.parent().unwrap_or(Path::new("")))
    }
}

/// Records of traces beyond this many bytes are read in parts.
const LARGE: u64 = 16 << 20;

impl Folder {
    /// Whether the traces that a mapping names are too large to be held at once.
    pub(super) fn is_large(&self, mapping: &Mapping) -> bool {
        let patterns = mapping.readings.iter().filter(|table| !table.spot).flat_map(|table| &table.table.files);
        let names = patterns.flat_map(|pattern| self.matching(pattern).unwrap_or_default());
        let sizes = names.filter_map(|name| std::fs::metadata(self.base.join(name)).ok()).map(|meta| meta.len());
        sizes.sum::<u64>() > LARGE
    }
}

impl Files for Folder {
    fn matching(&self, pattern: &str) -> Result<Vec<String>, String> {
        let base = self.base.to_str().ok_or("the name of its folder is not text")?;
        let full = Path::new(&glob::Pattern::escape(base)).join(pattern);
        let full = full.to_str().ok_or("the pattern is not text")?;
        let options = glob::MatchOptions { require_literal_separator: true, ..glob::MatchOptions::default() };
        let mut names = Vec::new();
        for path in glob::glob_with(full, options).map_err(|error| error.msg.to_owned())? {
            let path = path.map_err(|error| words(error.error()))?;
            if path.is_dir() {
                continue;
            }
            let shown = path.strip_prefix(&self.base).unwrap_or(&path);
            let name = shown.to_str().ok_or("the name of a file is not text")?;
            names.push(name.replace(std::path::MAIN_SEPARATOR, "/"));
        }
        names.sort();
        Ok(names)
    }

    fn bytes(&self, name: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.base.join(name)).map_err(|error| words(&error))
    }
}

/// The reason in words, without what the system adds to it.
pub(super) fn words(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "no such file".to_owned(),
        ErrorKind::PermissionDenied => "no permission".to_owned(),
        _ => error.to_string().to_lowercase(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn finds_files_by_pattern_from_the_folder() {
        let folder = tempfile::tempdir().unwrap();
        let base = folder.path().join("a [b]");
        std::fs::create_dir_all(base.join("records/deep.csv")).unwrap();
        for name in ["records/b.csv", "records/a.csv", "records/a.txt"] {
            std::fs::write(base.join(name), name).unwrap();
        }
        let files = Folder::of(&base.join("mapping.yaml"));
        assert_eq!(files.matching("records/*.csv").unwrap(), ["records/a.csv", "records/b.csv"]);
        assert_eq!(files.matching("*.csv").unwrap(), Vec::<String>::new());
        assert_eq!(files.bytes("records/a.csv").unwrap(), b"records/a.csv");
        assert_eq!(files.bytes("records/none.csv"), Err("no such file".to_owned()));
    }
}
