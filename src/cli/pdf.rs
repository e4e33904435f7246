//! HTML → PDF by a browser on this machine.

use super::files;
use crate::document::page::{Page, anchors, put_leaves};
use crate::finding::Finding;
use crate::registry::disk::NO_BROWSER;
use crate::source::Place;
use hayro_syntax::Pdf;
use hayro_syntax::object::{Array, Dict, MaybeRef};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The variable that names the browser.
const VARIABLE: &str = "BOURN_BROWSER";

/// Programs that print a page without a window, in the order in which they are looked for.
const BROWSERS: [&str; 6] =
    ["chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "chrome", "microsoft-edge"];

/// A file of this name in one of the folders for programs.
fn in_path(name: &str) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders)
        .flat_map(|folder| [folder.join(name), folder.join(format!("{name}.exe"))])
        .find(|path| path.is_file())
}

fn browser() -> Option<PathBuf> {
    match std::env::var_os(VARIABLE) {
        Some(name) => {
            let path = PathBuf::from(&name);
            if path.is_file() { Some(path) } else { in_path(&name.to_string_lossy()) }
        }
        None => BROWSERS.iter().find_map(|name| in_path(name)),
    }
}

/// The page as a PDF. The browser gets no network and a profile of its own that is thrown away.
///
/// # Errors
/// A finding if there is no browser, or it printed nothing.
pub(super) fn print(html: &str) -> Result<Vec<u8>, Finding> {
    let place = || Place::Named("--pdf".to_owned());
    let Some(program) = browser() else {
        let message = "no browser that prints was found on this machine";
        let help = format!(
            "install Chromium, or name a browser of its kind in the variable {VARIABLE}; or open the HTML file in any browser and print it from there"
        );
        return Err(Finding::new(&NO_BROWSER, place(), message).help(help));
    };
    let shown = program.display().to_string();
    let failed = |why: String| {
        Finding::new(&NO_BROWSER, place(), format!("`{shown}` printed nothing: {why}"))
            .help("open the HTML file in a browser and print it from there")
    };
    let folder = tempfile::Builder::new()
        .prefix("bourn-")
        .tempdir()
        .map_err(|error| failed(super::folder::words(&error).to_string()))?;
    let (page, pdf) = (folder.path().join("page.html"), folder.path().join("page.pdf"));
    files::write_whole(&page, html.as_bytes())?;
    let mut command = Command::new(&program);
    command
        .args(["--headless", "--disable-gpu", "--no-first-run", "--disable-extensions", "--no-pdf-header-footer"])
        .args(["--disable-background-networking", "--disable-component-update", "--proxy-server=127.0.0.1:9"])
        .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
        .arg(format!("--print-to-pdf={}", pdf.display()));
    if needs_no_sandbox() {
        command.arg("--no-sandbox");
    }
    let address = address(&page);
    let done = command.arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).status();
    match done {
        Err(error) => Err(failed(super::folder::words(&error).to_string())),
        Ok(_) => match std::fs::read(&pdf) {
            Ok(bytes) if bytes.starts_with(b"%PDF") => Ok(bytes),
            _ => Err(failed("it left no PDF".to_owned())),
        },
    }
}

/// Page numbers that stand in for the true ones while these are not known: as wide as most, so that nothing moves.
const STAND_IN: u32 = 88;

/// How often a page is printed at most until the numbers in its contents are true.
const PASSES: usize = 3;

/// The page as a PDF with page numbers in its contents. A style sheet cannot ask this browser on which page something is
/// printed; so the page is printed with other numbers first, read, and printed again with the true ones, until they stay
/// true. Where they do not, or cannot be read, the contents have none.
///
/// # Errors
/// As [`print`], and a fault of a template.
pub(super) fn numbered(page: &Page, written: &dyn Fn(&Page) -> Result<String, Finding>) -> Result<Vec<u8>, Finding> {
    let mut page = page.clone();
    let wanted: Vec<String> = anchors(&page.sections).into_iter().map(str::to_owned).collect();
    let mut told: BTreeMap<String, u32> = wanted.iter().map(|anchor| (anchor.clone(), STAND_IN)).collect();
    for _ in 0..PASSES {
        put_leaves(&mut page.sections, &|anchor| told.get(anchor).copied());
        let pdf = print(&written(&page)?)?;
        let Some(mut found) = places(pdf.clone()) else { break };
        found.retain(|anchor, _| told.contains_key(anchor));
        if found == told {
            return Ok(pdf);
        }
        if found.len() != told.len() {
            break;
        }
        told = found;
    }
    put_leaves(&mut page.sections, &|_| None);
    print(&written(&page)?)
}

/// On which page of a PDF each anchor stands, from 1.
fn places(pdf: Vec<u8>) -> Option<BTreeMap<String, u32>> {
    let pdf = Pdf::new(pdf).ok()?;
    let numbers: BTreeMap<_, u32> =
        pdf.pages().iter().zip(1..).filter_map(|(page, number)| Some((page.raw().obj_id()?, number))).collect();
    let root = pdf.xref().get::<Dict<'_>>(pdf.xref().root_id())?;
    let named = root.get::<Dict<'_>>("Dests")?;
    let place = |name: &str| {
        let first = named.get::<Array<'_>>(name)?.raw_iter().next()?;
        let MaybeRef::Ref(page) = first else { return None };
        numbers.get(&page.into()).copied()
    };
    Some(named.keys().filter_map(|name| Some((name.as_str().to_owned(), place(name.as_str())?))).collect())
}

/// The browser refuses its own cage to the administrator of a machine; the page is ours and holds no script.
fn needs_no_sandbox() -> bool {
    cfg!(unix) && std::env::var_os("HOME").is_some_and(|home| home == "/root")
}

/// The path as an address.
fn address(path: &Path) -> String {
    let text = path.display().to_string().replace('\\', "/");
    let encoded: String = text
        .chars()
        .map(|c| if matches!(c, '%' | '#' | '?' | ' ') { format!("%{:02X}", u32::from(c)) } else { c.to_string() })
        .collect();
    if encoded.starts_with('/') { format!("file://{encoded}") } else { format!("file:///{encoded}") }
}
