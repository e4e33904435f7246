//! Reading plans from disk, and writing outputs whole or not at all.

use super::folder::words;
use super::meant::{self, Wanted};
use crate::finding::Finding;
use crate::plan::Reading;
use crate::registry::disk::{NOT_UTF8, UNWRITABLE_FILE};
use crate::shelf;
pub(super) use crate::shelf::{Shelf, unreadable};
use crate::source::{Place, Sources};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// Largest plan or mapping text that is read, in bytes.
pub(super) const MAX_TEXT: u64 = 64 << 20;

/// Reads a text file.
///
/// # Errors
/// A finding if the file cannot be read, is empty, too large, or is not UTF-8.
pub(super) fn text(path: &Path) -> Result<String, Finding> {
    let name = path.display().to_string();
    let closed = |error: std::io::Error| unreadable(&name, &words(&error), "check the path and the permissions");
    let meta = std::fs::metadata(path).map_err(closed)?;
    if meta.is_dir() {
        return Err(unreadable(&name, "it is a folder", "name the file in it that is meant"));
    }
    if meta.len() > MAX_TEXT {
        return Err(too_large(&name));
    }
    decode(&name, std::fs::read(path).map_err(closed)?)
}

/// Whether two paths lead to one file that is there.
pub(super) fn same(a: &Path, b: &Path) -> bool {
    matches!((std::fs::canonicalize(a), std::fs::canonicalize(b)), (Ok(a), Ok(b)) if a == b)
}

/// Reads a text from standard input.
///
/// # Errors
/// As [`text`].
pub(super) fn standard_input() -> Result<String, Finding> {
    let name = "standard input";
    let mut bytes = Vec::new();
    let read = std::io::stdin().lock().take(MAX_TEXT + 1).read_to_end(&mut bytes);
    let read = read.map_err(|error| unreadable(name, &words(&error), "check what feeds it"))?;
    if u64::try_from(read).is_ok_and(|read| read > MAX_TEXT) {
        return Err(too_large(name));
    }
    decode(name, bytes)
}

pub(super) fn too_large(name: &str) -> Finding {
    let why = format!("it is larger than {} MiB", MAX_TEXT >> 20);
    unreadable(name, &why, "check that this is the file that was meant")
}

pub(super) fn decode(name: &str, bytes: Vec<u8>) -> Result<String, Finding> {
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let row = 1 + error.as_bytes().get(..at).map_or(0, |before| before.iter().filter(|b| **b == b'\n').count());
        let mut place = crate::source::Cell { file: name.to_owned(), ..Default::default() };
        place.row = u64::try_from(row).unwrap_or(0);
        Finding::new(&NOT_UTF8, Place::Cell(place), format!("is not text in UTF-8 (byte {})", at + 1))
            .help("save it as UTF-8 in the editor")
    })?;
    shelf::usable(name, text)
}

/// A file name as it is typed on the command line: in quotation marks where it holds more than plain letters.
pub(super) fn typed(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "./-_:".contains(c);
    if name.chars().all(plain) {
        name.to_owned()
    } else if name.chars().any(|c| "\"$`!".contains(c)) {
        format!("'{name}'")
    } else {
        format!("\"{name}\"")
    }
}

/// The files on the disk.
pub(super) struct Disk;

impl Shelf for Disk {
    fn text(&self, path: &Path) -> Result<String, Finding> {
        text(path)
    }

    fn real(&self, path: &Path) -> Result<PathBuf, String> {
        std::fs::canonicalize(path).map_err(|error| words(&error).to_string())
    }
}

/// Reads a plan with everything it includes. Included files lie in the folder of the plan or below it.
///
/// # Errors
/// A finding if there is no plan that can be read at this path.
pub(super) fn plan(sources: &mut Sources, path: &Path) -> Result<Reading, Finding> {
    meant::look(path, Wanted::Plan)?;
    plan_from(&Disk, sources, path)
}

/// Reads a plan with everything it includes, from this shelf.
pub(super) fn plan_from(shelf: &dyn Shelf, sources: &mut Sources, path: &Path) -> Result<Reading, Finding> {
    shelf::read(shelf, sources, path).map(|gathered| gathered.reading)
}

/// Writes a file whole or not at all: into a neighbour first, which then takes its place.
///
/// # Errors
/// A finding if the folder or the file cannot be written; what stood there before is untouched.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Finding> {
    put(path, bytes, None).map_err(|error| unwritable(path, &words(&error)))
}

/// An output that would take the place of what the run reads, or of another output.
pub(super) fn taken(path: &Path, what: &str) -> Finding {
    Finding::new(&UNWRITABLE_FILE, Place::file(path.display().to_string()), format!("is {what}"))
        .help("give another file to write to")
}

/// Writes several files, each whole or not at all; where one finds no room, none is written.
///
/// # Errors
/// As [`write_whole`].
pub(super) fn write_all<P: AsRef<Path>>(outputs: &[(P, Vec<u8>)]) -> Result<(), Finding> {
    let failed = |path: &Path, error: &std::io::Error| unwritable(path, &words(error));
    let mut ready = Vec::new();
    for (path, bytes) in outputs {
        let path = path.as_ref();
        if path.is_dir() {
            return Err(unwritable(path, "it is a folder"));
        }
        ready.push((path, filled(path, bytes, None).map_err(|error| failed(path, &error))?));
    }
    for (path, file) in ready {
        file.persist(path).map_err(|error| failed(path, &error.error))?;
    }
    Ok(())
}

/// Writes a file that is not there yet, whole or not at all.
///
/// # Errors
/// `None` if there is one already, which is left as it is; else a finding.
pub(super) fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Option<Finding>> {
    filled(path, bytes, None)
        .and_then(|file| file.persist_noclobber(path).map_err(|error| error.error))
        .map(|_| ())
        .map_err(|error| match error.kind() {
            std::io::ErrorKind::AlreadyExists => None,
            _ => Some(unwritable(path, &words(&error))),
        })
}

/// Writes a file anew, whole or not at all. Its permissions stay, and a link to it goes on leading to it.
///
/// # Errors
/// A finding if the file may not be written, or cannot be; what stood there before is untouched.
pub(super) fn rewrite(path: &Path, bytes: &[u8]) -> Result<(), Finding> {
    let failed = |error: std::io::Error| unwritable(path, &words(&error));
    let real = std::fs::canonicalize(path).map_err(failed)?;
    let permissions = std::fs::metadata(&real).map_err(failed)?.permissions();
    if permissions.readonly() {
        return Err(unwritable(path, "it may only be read"));
    }
    put(&real, bytes, Some(permissions)).map_err(failed)
}

pub(super) fn unwritable(path: &Path, why: &str) -> Finding {
    let place = Place::file(path.display().to_string());
    let finding = Finding::new(&UNWRITABLE_FILE, place, format!("cannot be written: {why}"));
    let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty());
    if path.is_dir() {
        return finding.help("it is a folder; name a file in it");
    }
    match parent {
        Some(folder) if !folder.is_dir() => {
            finding.help(format!("there is no folder `{}`; make it first, or name one that is there", folder.display()))
        }
        _ => finding.help(
            "what stood there before is left as it was; check the folder, its permissions and the space on the disk",
        ),
    }
}

fn put(path: &Path, bytes: &[u8], permissions: Option<std::fs::Permissions>) -> std::io::Result<()> {
    filled(path, bytes, permissions)?.persist(path).map_err(|error| error.error)?;
    Ok(())
}

/// A neighbour of a file that holds these bytes and may take its place.
fn filled(
    path: &Path,
    bytes: &[u8],
    permissions: Option<std::fs::Permissions>,
) -> std::io::Result<tempfile::NamedTempFile> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut file = tempfile::Builder::new().prefix(".bourn-").tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    #[cfg(unix)]
    let permissions = permissions.or_else(|| Some(std::os::unix::fs::PermissionsExt::from_mode(0o644)));
    if let Some(permissions) = permissions {
        file.as_file().set_permissions(permissions)?;
    }
    Ok(file)
}
