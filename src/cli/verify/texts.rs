//! The texts of the plan that lots are judged by: the plan itself, and those that were in force before it.

use super::super::meant::{self, Wanted};
use super::super::{files, git};
use crate::finding::{Finding, Severity};
use crate::plan::Plan;
use crate::shelf;
use crate::signoff::digest::{FORMS, digest};
use crate::source::{SourceId, Sources};
use crate::verify::revisions::{Text, Texts};
use std::path::{Path, PathBuf};

/// Which earlier texts there are.
#[derive(Debug, clap::Args)]
pub(super) struct Earlier {
    /// An earlier text of the plan: lots begun while it was in force are judged by it. May stand several times.
    #[arg(long, value_name = "PLAN")]
    earlier: Vec<PathBuf>,
    /// The same, as the plan stood in a revision of its repository (a commit, a branch or a tag).
    #[arg(long, value_name = "REVISION")]
    earlier_git: Vec<String>,
}

/// One text that was read.
#[derive(Debug)]
pub(super) struct Owned {
    /// The plan.
    pub plan: Plan,
    name: String,
    digest: String,
}

impl Owned {
    fn text(&self) -> Text<'_> {
        Text { plan: &self.plan, name: &self.name, digest: &self.digest }
    }
}

/// The plan itself.
///
/// # Errors
/// What is wrong with it.
pub(super) fn newest(sources: &mut Sources, path: &Path) -> Result<Owned, Vec<Finding>> {
    meant::look(path, Wanted::Plan).map_err(|finding| vec![finding])?;
    read(&files::Disk, sources, path)
}

/// The earlier texts, files first.
///
/// # Errors
/// What is wrong with the first that cannot be used.
pub(super) fn earlier(sources: &mut Sources, plan: &Path, asked: &Earlier) -> Result<Vec<Owned>, Vec<Finding>> {
    let mut all = Vec::new();
    for path in &asked.earlier {
        meant::look(path, Wanted::Plan).map_err(|finding| vec![finding])?;
        all.push(read(&files::Disk, sources, path)?);
    }
    for named in &asked.earlier_git {
        let (revision, inside) = git::revision(named, plan).map_err(|finding| vec![finding])?;
        all.push(read(&revision, sources, &inside)?);
    }
    Ok(all)
}

/// Texts in the order in which they were in force.
///
/// # Errors
/// A finding for each of which it cannot be said which lots it judges.
pub(super) fn ordered<'p>(newest: &'p Owned, earlier: &'p [Owned]) -> Result<Texts<'p>, Vec<Finding>> {
    let earlier: Vec<Text<'p>> = earlier.iter().map(Owned::text).collect();
    Texts::new(newest.text(), &earlier)
}

fn read(shelf: &dyn files::Shelf, sources: &mut Sources, path: &Path) -> Result<Owned, Vec<Finding>> {
    let gathered = shelf::read(shelf, sources, path).map_err(|finding| vec![finding])?;
    if gathered.reading.findings.iter().any(|finding| finding.rule.severity == Severity::Error) {
        return Err(gathered.reading.findings);
    }
    let ids: Vec<SourceId> = gathered.texts.iter().map(|(id, ..)| *id).collect();
    let form = FORMS.last().copied();
    let digest = form.map_or_else(String::new, |form| digest(sources, &ids, form));
    Ok(Owned { plan: gathered.reading.plan, name: shelf.name(path), digest })
}
