//! Whether a file is what a command wants: what is said where a plan, a mapping or a record is wanted and something else
//! is named.

use super::files::{typed, unreadable};
use crate::finding::{Finding, nearest};
use crate::registry::disk::UNREADABLE_FILE;
use crate::source::Place;
use std::ffi::OsStr;
use std::io::{ErrorKind, Read};
use std::path::Path;

/// What a command wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wanted {
    /// The text of a plan.
    Plan,
    /// The mapping of records.
    Mapping,
    /// A file of records.
    Record,
}

/// What a file is, by its first bytes or by the end of its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Plan,
    Mapping,
    Table,
    Workbook,
    Document,
    Packed,
    Pdf,
    Page,
}

impl Wanted {
    fn word(self) -> &'static str {
        match self {
            Wanted::Plan => "plan",
            Wanted::Mapping => "mapping",
            Wanted::Record => "record",
        }
    }

    fn takes(self, kind: Kind) -> bool {
        match self {
            Wanted::Plan => kind == Kind::Plan,
            Wanted::Mapping => kind == Kind::Mapping,
            Wanted::Record => matches!(kind, Kind::Table | Kind::Workbook),
        }
    }

    /// Ends of the names that such files have.
    fn endings(self) -> &'static [&'static str] {
        match self {
            Wanted::Plan => &["haccp"],
            Wanted::Mapping => &["yaml", "yml"],
            Wanted::Record => &["csv", "tsv", "txt", "xlsx", "ods", "gz", "zst"],
        }
    }
}

impl Kind {
    fn of(path: &Path) -> Option<Self> {
        let mut first = [0; 16];
        let read = std::fs::File::open(path).and_then(|mut file| file.read(&mut first)).unwrap_or(0);
        let first = first.get(..read).unwrap_or_default();
        let ending = path.extension().and_then(OsStr::to_str).unwrap_or_default().to_lowercase();
        let sheet = ["xlsx", "xls", "ods"].contains(&ending.as_str());
        let document = ["doc", "docx", "odt"].contains(&ending.as_str());
        let page = first.to_ascii_lowercase();
        if first.starts_with(b"%PDF-") {
            return Some(Kind::Pdf);
        }
        // Packed documents and workbooks, and their forerunners.
        if first.starts_with(b"PK\x03\x04") || first.starts_with(b"\xd0\xcf\x11\xe0") {
            let kind = if sheet { Kind::Workbook } else { Kind::Packed };
            return Some(if document { Kind::Document } else { kind });
        }
        if first.starts_with(b"{\\rtf") {
            return Some(Kind::Document);
        }
        if page.starts_with(b"<!doctype html") || page.starts_with(b"<html") {
            return Some(Kind::Page);
        }
        match ending.as_str() {
            "haccp" => Some(Kind::Plan),
            "yaml" | "yml" => Some(Kind::Mapping),
            "csv" | "tsv" => Some(Kind::Table),
            _ if sheet => Some(Kind::Workbook),
            _ if document => Some(Kind::Document),
            _ => None,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Kind::Plan => "a plan",
            Kind::Mapping => "a mapping",
            Kind::Table => "a table of records",
            Kind::Workbook => "a workbook",
            Kind::Document => "a document of a word processor",
            Kind::Packed => "a packed file, such as a word processor writes",
            Kind::Pdf => "a PDF",
            Kind::Page => "a web page",
        }
    }
}

/// Looks at a file before it is read as what is wanted.
///
/// # Errors
/// A finding if it is not there, is a folder, or is plainly something else.
pub(super) fn look(path: &Path, wanted: Wanted) -> Result<(), Finding> {
    let name = path.display().to_string();
    match std::fs::metadata(path) {
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => {
            Err(unreadable(&name, "no such file", &where_then(path, wanted)))
        }
        Ok(meta) if meta.is_dir() => {
            let help = match some(path, wanted).as_slice() {
                [] => "name the file in it that is meant".to_owned(),
                found => format!("name the file in it that is meant: {}", list(path, found)),
            };
            Err(unreadable(&name, "it is a folder", &help))
        }
        _ => match Kind::of(path) {
            Some(kind) if !wanted.takes(kind) => {
                let message = format!("is {}, and a {} is wanted here", kind.words(), wanted.word());
                Err(Finding::new(&UNREADABLE_FILE, Place::file(name), message).help(instead(path, kind, wanted)))
            }
            _ => Ok(()),
        },
    }
}

/// Looks at the folder that records are looked for in.
///
/// # Errors
/// A finding if there is none, or a file stands there.
pub(super) fn folder(path: &Path) -> Result<(), Finding> {
    let name = path.display().to_string();
    if path.is_dir() {
        return Ok(());
    }
    if path.exists() {
        let message = "is a file, and a folder is wanted behind `--records`";
        let help =
            "name the folder from which the mapping names the records; without `--records` it is the mapping's own";
        return Err(Finding::new(&UNREADABLE_FILE, Place::file(name), message).help(help));
    }
    Err(unreadable(&name, "there is no such folder", &format!("the terminal stands in `{}`", here())))
}

/// The folder that the terminal stands in, by its own name.
fn here() -> String {
    let path = std::env::current_dir().unwrap_or_default();
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

/// The next step where one thing stands in place of another.
fn instead(path: &Path, kind: Kind, wanted: Wanted) -> String {
    let name = typed(&path.display().to_string());
    match (wanted, kind) {
        (Wanted::Plan, Kind::Mapping) => {
            "a plan ends in `.haccp`; a mapping is checked by `bourn verify PLAN --mapping FILE`".to_owned()
        }
        (Wanted::Plan, Kind::Table | Kind::Workbook) => format!(
            "look at records with `bourn read {name}`; `bourn verify PLAN --mapping FILE` reads those that the mapping names"
        ),
        (Wanted::Plan, Kind::Page) => {
            "a page is what `bourn render` makes of a plan; name the plan, which ends in `.haccp`".to_owned()
        }
        (Wanted::Plan, _) => "a plan is plain text that ends in `.haccp`: begin one with \
                              `bourn new my-plan.haccp --regime codex`, and carry over what this file says"
            .to_owned(),
        (Wanted::Mapping, _) => format!(
            "a mapping ends in `.yaml` and says which column of which export is what; {}",
            match kind {
                Kind::Table | Kind::Workbook => format!("`bourn propose {name}` drafts one"),
                _ => "`bourn propose RECORD` drafts one".to_owned(),
            }
        ),
        (Wanted::Record, Kind::Plan) => format!("a plan is looked at by `bourn check {name}`"),
        (Wanted::Record, Kind::Mapping) => "a mapping is used by `bourn verify PLAN --mapping FILE`".to_owned(),
        (Wanted::Record, _) => "export the record as text with one row a line (.csv), or as .xlsx or .ods".to_owned(),
    }
}

/// Where to look for a file that is not there.
fn where_then(path: &Path, wanted: Wanted) -> String {
    let typed_words: Vec<String> = std::env::args().collect();
    if let Some(whole) = parted(&typed_words, path) {
        return format!("a name with a blank in it is typed in quotation marks: {}", typed(&whole));
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let here = here();
    if !folder.is_dir() {
        return format!("there is no folder `{}`; the terminal stands in `{here}`", folder.display());
    }
    let found = some(folder, wanted);
    let name = path.file_name().and_then(OsStr::to_str).unwrap_or_default();
    if let Some(near) = nearest(name, found.iter().map(String::as_str)) {
        return format!("did you mean {}?", list(folder, &[near.to_owned()]));
    }
    let stands = if folder == Path::new(".") { format!("`{here}`") } else { format!("`{}`", folder.display()) };
    match found.as_slice() {
        [] => format!("no {} lies in {stands}; `cd FOLDER` goes to the folder that it lies in", wanted.word()),
        found => format!("in {stands} there is: {}", list(folder, found)),
    }
}

/// The whole name, where words of the command line that were parted at blanks make up a file.
pub(super) fn parted(words: &[String], one: &Path) -> Option<String> {
    let at = words.iter().position(|word| Path::new(word) == one)?;
    let (from, to) = (at.saturating_sub(5).max(1), (at + 6).min(words.len()));
    (from..=at)
        .flat_map(|first| (at + 1..=to).map(move |last| (first, last)))
        .filter_map(|(first, last)| words.get(first..last).filter(|run| run.len() > 1))
        .map(|run| run.join(" "))
        .find(|whole| Path::new(whole).is_file())
}

/// Some files of a folder that could be meant, in order.
fn some(folder: &Path, wanted: Wanted) -> Vec<String> {
    let ends = |name: &String| {
        let ending = Path::new(name).extension().and_then(OsStr::to_str).unwrap_or_default();
        wanted.endings().contains(&ending.to_lowercase().as_str())
    };
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(ends)
        .collect();
    names.sort();
    names
}

/// At most four names, as they are typed.
fn list(folder: &Path, names: &[String]) -> String {
    let shown = |name: &String| {
        let path = if folder == Path::new(".") { Path::new(name).to_path_buf() } else { folder.join(name) };
        format!("`{}`", typed(&path.display().to_string()))
    };
    let mut out: Vec<String> = names.iter().take(4).map(shown).collect();
    if names.len() > 4 {
        out.push("and others".to_owned());
    }
    out.join(", ")
}
