//! The texts that an editor holds open, and the shelf that shows them before the files on the disk.

use super::Host;
use super::lines::{Lines, Units};
use crate::finding::Finding;
use crate::shelf::{self, Shelf};
use lsp_types::{TextDocumentContentChangeEvent as Change, Uri};
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

/// One text in the editor.
#[derive(Debug, Clone)]
pub(super) struct Text {
    pub(super) uri: Uri,
    pub(super) version: i32,
    pub(super) text: String,
}

/// The texts in the editor, by path.
#[derive(Debug, Default)]
pub(super) struct Texts {
    open: BTreeMap<PathBuf, Text>,
}

impl Texts {
    pub(super) fn get(&self, path: &Path) -> Option<&Text> {
        self.open.get(path)
    }

    pub(super) fn put(&mut self, path: PathBuf, text: Text) {
        self.open.insert(path, text);
    }

    pub(super) fn close(&mut self, path: &Path) -> bool {
        self.open.remove(path).is_some()
    }

    pub(super) fn paths(&self) -> impl Iterator<Item = &PathBuf> {
        self.open.keys()
    }

    /// Makes the changes of an editor, one after the other. Whether the text is open here.
    pub(super) fn change(&mut self, path: &Path, version: i32, changes: Vec<Change>, units: Units) -> bool {
        let Some(open) = self.open.get_mut(path) else { return false };
        for change in changes {
            match change {
                Change::TextDocumentContentChangePartial(part) => {
                    let span = Lines::new(&open.text, units).bytes(&open.text, part.range);
                    open.text.replace_range(span.start..span.end, &part.text);
                }
                Change::TextDocumentContentChangeWholeDocument(whole) => open.text = whole.text,
            }
        }
        open.version = version;
        true
    }
}

/// The texts in the editor before those on the disk.
pub(super) struct Desk<'a> {
    pub(super) texts: &'a Texts,
    pub(super) host: &'a dyn Host,
}

impl Shelf for Desk<'_> {
    fn text(&self, path: &Path) -> Result<String, Finding> {
        match self.texts.get(&plain(path)) {
            // An editor keeps the mark of the byte order out of the text; one that does not is treated like a file.
            Some(open) => shelf::usable(&self.name(path), open.text.clone()),
            None => self.host.text(path),
        }
    }

    fn real(&self, path: &Path) -> Result<PathBuf, String> {
        self.host.real(path).or_else(|why| {
            let plain = plain(path);
            let holds = |open: &PathBuf| *open == plain || open.parent() == Some(plain.as_path());
            if self.texts.paths().any(holds) { Ok(plain) } else { Err(why) }
        })
    }
}

/// A path without `.` and `..`, as far as that can be told without looking.
pub(super) fn plain(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                if !out.pop() {
                    out.push(part);
                }
            }
            _ => out.push(part),
        }
    }
    out
}

/// The path that an address stands for. What is no file, such as a text that was never saved, stands for itself.
pub(super) fn path_of(uri: &Uri) -> PathBuf {
    let text = uri.as_ref();
    let Some(rest) = text.strip_prefix("file://") else { return PathBuf::from(text) };
    // What stands before the path is the name of a host, which is this one.
    let rest = rest.find('/').and_then(|slash| rest.get(slash..)).unwrap_or(rest);
    let path = percent_decoded(rest);
    let drive = path.strip_prefix('/').filter(|rest| rest.as_bytes().get(1) == Some(&b':'));
    plain(Path::new(drive.unwrap_or(&path)))
}

/// The address of a path.
pub(super) fn uri_of(path: &Path) -> Uri {
    let text = path.to_string_lossy();
    if !path.is_absolute() && text.contains(':') {
        return Uri::from(text.into_owned());
    }
    let slash = if text.starts_with('/') { "" } else { "/" };
    let mut out = format!("file://{slash}");
    for byte in text.replace(std::path::MAIN_SEPARATOR, "/").bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    Uri::from(out)
}

fn percent_decoded(text: &str) -> String {
    let mut out = Vec::new();
    let mut bytes = text.bytes();
    while let Some(byte) = bytes.next() {
        if byte != b'%' {
            out.push(byte);
            continue;
        }
        let pair: Vec<u8> = bytes.clone().take(2).collect();
        match std::str::from_utf8(&pair).ok().and_then(|hex| u8::from_str_radix(hex, 16).ok()) {
            Some(value) if pair.len() == 2 => {
                out.push(value);
                bytes.nth(1);
            }
            _ => out.push(byte),
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_and_paths() {
        for (uri, path) in [
            ("file:///plans/goose%20breast.haccp", "/plans/goose breast.haccp"),
            ("file:///pl%C3%A4ne/a.haccp", "/pläne/a.haccp"),
            ("file://localhost/a/../b.haccp", "/b.haccp"),
            ("file:///c%3A/plans/a.haccp", "c:/plans/a.haccp"),
            ("file:///odd%2", "/odd%2"),
            ("untitled:Untitled-1", "untitled:Untitled-1"),
        ] {
            assert_eq!(path_of(&Uri::from(uri)), PathBuf::from(path), "{uri}");
        }
        assert_eq!(uri_of(Path::new("/plä ne/a.haccp")).as_ref(), "file:///pl%C3%A4%20ne/a.haccp");
        assert_eq!(uri_of(Path::new("untitled:Untitled-1")).as_ref(), "untitled:Untitled-1");
    }
}
