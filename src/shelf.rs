//! Where the texts of a plan lie, and the plan with everything it includes.
//!
//! Opens no file: a [`Shelf`] hands the texts over, from the disk, from a revision or from an editor.

use crate::finding::Finding;
use crate::plan::{self, Plan, Reading};
use crate::registry::disk::{BAD_INCLUDE, EMPTY_FILE, UNREADABLE_FILE};
use crate::source::{Place, Source, SourceId, Sources};
use crate::syntax::{self, Node, Parsed, Rule};
use std::path::{Path, PathBuf};

/// Where the texts of a plan lie: on the disk, in a revision of a repository, in an editor.
pub trait Shelf {
    /// The text at this path.
    ///
    /// # Errors
    /// A finding if it cannot be read, is empty, too large, or is not UTF-8.
    fn text(&self, path: &Path) -> Result<String, Finding>;

    /// The path by which a text is known, however it is reached.
    ///
    /// # Errors
    /// Words for a person, if there is nothing at this path.
    fn real(&self, path: &Path) -> Result<PathBuf, String>;

    /// What findings call it.
    fn name(&self, path: &Path) -> String {
        path.display().to_string()
    }
}

/// A plan that was read, with its texts.
#[derive(Debug, Clone)]
pub struct Gathered {
    /// The plan and the findings of reading it.
    pub reading: Reading,
    /// Each text with its path and its tree, in the order read.
    pub texts: Vec<(SourceId, PathBuf, Node)>,
}

/// Says that a file cannot be read, and why.
#[must_use]
pub fn unreadable(name: &str, why: &str, help: &str) -> Finding {
    Finding::new(&UNREADABLE_FILE, Place::file(name), format!("cannot be read: {why}")).help(help)
}

/// A text that may be read as a plan.
///
/// # Errors
/// A finding if it holds nothing, or holds NUL bytes.
pub fn usable(name: &str, text: String) -> Result<String, Finding> {
    if text.contains('\0') {
        return Err(unreadable(
            name,
            "it holds NUL bytes, so it is no text",
            "check that this is the file that was meant; save text as UTF-8",
        ));
    }
    if text.trim().is_empty() {
        return Err(Finding::new(&EMPTY_FILE, Place::file(name), "holds nothing")
            .help("check that this is the file that was meant"));
    }
    Ok(text)
}

/// Reads a plan with everything it includes. Included files lie in the folder of the plan or below it.
///
/// # Errors
/// A finding if the first text cannot be read.
pub fn read(shelf: &dyn Shelf, sources: &mut Sources, path: &Path) -> Result<Gathered, Finding> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let root = shelf.real(if folder.as_os_str().is_empty() { Path::new(".") } else { folder }).map_err(|error| {
        Finding::new(&UNREADABLE_FILE, Place::file(shelf.name(path)), format!("cannot be read: {error}"))
    })?;
    let first = sources.add(Source::new(shelf.name(path), shelf.text(path)?));
    let mut open = vec![(first, path.to_path_buf())];
    let mut seen: Vec<PathBuf> = shelf.real(path).into_iter().collect();
    let mut parsed: Vec<(SourceId, Parsed)> = Vec::new();
    let mut trouble = Vec::new();
    let mut next = 0;
    while let Some(&(id, _)) = open.get(next) {
        next += 1;
        let Some(source) = sources.get(id) else { continue };
        let one = syntax::parse(id, source);
        let includes = includes(id, source, &one.tree);
        parsed.push((id, one));
        for include in includes {
            let wanted = folder.join(&include.value);
            let bad = |why: &str| {
                Finding::at(&BAD_INCLUDE, include.loc, format!("`{}` {why}", include.value))
                    .help("included files lie in the folder of the plan or below it")
            };
            match shelf.real(&wanted) {
                Err(error) => trouble.push(bad(&format!("cannot be read: {error}"))),
                Ok(real) if !real.starts_with(&root) => trouble.push(bad("lies outside the folder of the plan")),
                Ok(real) if seen.contains(&real) => trouble.push(bad("is included already")),
                Ok(real) => match shelf.text(&wanted) {
                    Ok(content) => {
                        seen.push(real);
                        open.push((sources.add(Source::new(shelf.name(&wanted), content)), wanted));
                    }
                    Err(finding) => trouble.push(finding),
                },
            }
        }
    }
    let (mut reading, trees) = plan::read_parsed(sources, parsed);
    reading.findings.extend(trouble);
    crate::finding::tidy(&mut reading.findings);
    let texts = open.into_iter().zip(trees).map(|((id, path), tree)| (id, path, tree)).collect();
    Ok(Gathered { reading, texts })
}

/// The files that a text includes, as it writes them.
fn includes(id: SourceId, source: &Source, tree: &Node) -> Vec<plan::Said<String>> {
    let lines = tree.all(Rule::include_block).cloned().collect();
    let tree = Node { rule: tree.rule, span: tree.span, parts: lines };
    let (mut piece, mut ignored) = (Plan::default(), Vec::new());
    plan::lower::lower(id, source, &tree, &mut piece, &mut ignored);
    piece.includes
}
