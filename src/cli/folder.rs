//! Files in a folder.

use crate::log::Files;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

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

    /// Where a file of this name lies.
    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.base.join(name)
    }

    /// The folder of the file at this path.
    #[must_use]
    pub fn of(file: &Path) -> Self {
        Self::new(file.parent().unwrap_or(Path::new("")))
    }
}

impl Files for Folder {
    fn matching(&self, pattern: &str) -> Result<Vec<String>, String> {
        let base = self.base.to_str().ok_or("the name of its folder is not text")?;
        let full = Path::new(&glob::Pattern::escape(base)).join(pattern);
        let full = full.to_str().ok_or("the pattern is not text")?;
        let options = glob::MatchOptions { require_literal_separator: true, ..glob::MatchOptions::default() };
        let (mut names, mut folder) = (Vec::new(), None);
        for path in glob::glob_with(full, options).map_err(|error| error.msg.to_owned())? {
            let path = path.map_err(|error| words(error.error()))?;
            let shown = path.strip_prefix(&self.base).unwrap_or(&path);
            if path.is_dir() {
                folder.get_or_insert_with(|| shown.display().to_string());
                continue;
            }
            let name = shown.to_str().ok_or("the name of a file is not text")?;
            names.push(name.replace(std::path::MAIN_SEPARATOR, "/"));
        }
        if let (true, Some(folder)) = (names.is_empty(), folder) {
            return Err(format!("`{folder}` is a folder"));
        }
        names.sort();
        Ok(names)
    }

    fn bytes(&self, name: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.base.join(name)).map_err(|error| words(&error))
    }

    fn open(&self, name: &str) -> Result<Box<dyn Read + '_>, String> {
        let file = std::fs::File::open(self.base.join(name)).map_err(|error| words(&error))?;
        Ok(Box::new(file))
    }

    fn stamp(&self, name: &str) -> Option<(u64, i128)> {
        let meta = std::fs::metadata(self.base.join(name)).ok()?;
        let written = match meta.modified().ok()?.duration_since(SystemTime::UNIX_EPOCH) {
            Ok(since) => i128::try_from(since.as_nanos()).ok()?,
            Err(before) => -i128::try_from(before.duration().as_nanos()).ok()?,
        };
        Some((meta.len(), written))
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
        assert_eq!(files.matching("records/d*.csv"), Err("`records/deep.csv` is a folder".to_owned()));
        assert_eq!(files.bytes("records/a.csv").unwrap(), b"records/a.csv");
        assert_eq!(files.bytes("records/none.csv"), Err("no such file".to_owned()));
    }
}
