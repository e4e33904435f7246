//! A folder with the look of a plant, read for `--style`.

use super::files;
use super::folder::words;
use crate::document::page::Page;
use crate::document::{self, Style, TEMPLATES};
use crate::finding::Finding;
use crate::registry::disk::{TEMPLATE_FAULT, UNUSABLE_STYLE};
use crate::source::Place;
use base64::Engine;
use std::path::{Path, PathBuf};

/// Largest logo, in bytes.
const MAX_LOGO: u64 = 1 << 20;

/// Logos by the ending of their name: media type, and how their bytes begin.
const LOGOS: [(&str, &str, &[u8]); 3] = [
    ("logo.svg", "image/svg+xml", b"<"),
    ("logo.png", "image/png", b"\x89PNG"),
    ("logo.jpg", "image/jpeg", b"\xff\xd8\xff"),
];

/// What may lie in the folder.
fn known() -> Vec<&'static str> {
    let logos = LOGOS.iter().map(|(name, ..)| *name);
    ["style.css", "front.txt"].into_iter().chain(logos).chain(TEMPLATES.iter().map(|(name, _)| *name)).collect()
}

/// The look that is asked for; the shipped one where none is.
///
/// # Errors
/// As [`read`].
pub(super) fn of(folder: Option<&Path>) -> Result<Style, Finding> {
    folder.map_or_else(|| Ok(Style::default()), read)
}

/// A page in that look.
///
/// # Errors
/// A finding for a fault of a template.
pub(super) fn written(page: &Page, style: &Style, folder: Option<&Path>) -> Result<String, Finding> {
    document::write_styled(page, style).map_err(|why| fault(&why, folder))
}

/// Why a document could not be written.
fn fault(why: &document::Fault, style: Option<&Path>) -> Finding {
    let place =
        style.map_or_else(|| Place::Named("template".to_owned()), |folder| Place::file(folder.display().to_string()));
    Finding::new(&TEMPLATE_FAULT, place, format!("cannot be written: {why}"))
}

/// Reads the look of a plant.
///
/// # Errors
/// A finding if the folder holds anything else, or something that cannot be used.
fn read(folder: &Path) -> Result<Style, Finding> {
    let bad = |path: &Path, why: &str| {
        Finding::new(&UNUSABLE_STYLE, Place::file(path.display().to_string()), why.to_owned())
            .help(format!("a style folder may hold {}", known().join(", ")))
    };
    let closed = |error: std::io::Error| bad(folder, &format!("cannot be read: {}", words(&error)));
    let root = std::fs::canonicalize(folder).map_err(closed)?;
    let mut names: Vec<PathBuf> = std::fs::read_dir(&root)
        .map_err(closed)?
        .map(|entry| entry.map(|one| one.path()))
        .collect::<Result<_, _>>()
        .map_err(closed)?;
    names.sort();
    let mut style = Style::default();
    for path in names {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        if name.starts_with('.') {
            continue;
        }
        let shown = folder.join(&name);
        match std::fs::canonicalize(&path) {
            Ok(real) if real.starts_with(&root) => {}
            Ok(_) => return Err(bad(&shown, "lies outside the style folder")),
            Err(error) => return Err(bad(&shown, &format!("cannot be read: {}", words(&error)))),
        }
        if let Some((_, kind, begins)) = LOGOS.iter().find(|(logo, ..)| *logo == name) {
            style.logo = logo(&path, kind, begins).map_err(|why| bad(&shown, &why))?;
        } else if name == "style.css" {
            style.css = files::text(&path)?;
            // The sheet stands inside the page's own style element, which it must not end.
            if style.css.contains("</") || style.css.contains("<!") {
                return Err(bad(&shown, "holds `</` or `<!`, which is no style sheet"));
            }
        } else if name == "front.txt" {
            let text = files::text(&path)?.replace("\r\n", "\n");
            let mut parts = text.split("\n\n").map(str::trim).filter(|part| !part.is_empty()).map(str::to_owned);
            style.front = parts.next().map(|title| (title, parts.collect()));
        } else if TEMPLATES.iter().any(|(template, _)| *template == name) {
            style.templates.push((name, files::text(&path)?));
        } else {
            return Err(bad(&shown, "is not a part of a style"));
        }
    }
    Ok(style)
}

fn logo(path: &Path, kind: &str, begins: &[u8]) -> Result<String, String> {
    let length = std::fs::metadata(path).map_err(|error| words(&error).to_string())?.len();
    if length > MAX_LOGO {
        return Err(format!("is larger than {} MiB", MAX_LOGO >> 20));
    }
    let bytes = std::fs::read(path).map_err(|error| words(&error).to_string())?;
    if !bytes.trim_ascii_start().starts_with(begins) {
        return Err("does not hold what its name says".to_owned());
    }
    Ok(format!("data:{kind};base64,{}", base64::engine::general_purpose::STANDARD.encode(bytes)))
}
