//! The sign-off file beside a plan.

use super::files;
use crate::check::signing::Signing;
use crate::finding::Finding;
use crate::plan::Plan;
use crate::signoff::digest::Digests;
use crate::signoff::file::{self, Kept};
use crate::signoff::state;
use crate::source::{SourceId, Sources};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// Where the sign-off file of a plan stands: `NAME.sign-off` beside it.
pub(super) fn path(plan: &Path) -> PathBuf {
    plan.with_extension("sign-off")
}

/// The file as it was read; nothing where there is none.
///
/// # Errors
/// A finding if it is there and cannot be read.
pub(super) fn kept(plan: &Path) -> Result<Option<Kept>, Finding> {
    let path = path(plan);
    if std::fs::symlink_metadata(&path).is_err_and(|error| error.kind() == std::io::ErrorKind::NotFound) {
        return Ok(None);
    }
    Ok(Some(file::read(&path.display().to_string(), &files::text(&path)?)))
}

/// Digests of the plan whose texts these are.
pub(super) fn digests(sources: &Sources) -> Digests {
    let ids: Vec<SourceId> = sources.iter().map(|(id, _)| id).collect();
    Digests::of(sources, &ids)
}

/// What the signatures beside a plan come to. The sources are those of the plan and no others.
pub(super) fn look(sources: &Sources, plan: &Plan, path: &Path, on: NaiveDate) -> (Signing, Vec<Finding>) {
    let name = self::path(path).display().to_string();
    match kept(path) {
        // A file that cannot be read at all is broken, for this reason.
        Err(finding) => {
            let broken = Kept { signatures: Vec::new(), findings: vec![finding], whole: false };
            state(plan, &Digests::none(), Some(broken), &name, on)
        }
        Ok(None) => state(plan, &Digests::none(), None, &name, on),
        Ok(kept) => state(plan, &digests(sources), kept, &name, on),
    }
}

/// What the signatures come to at the end of a period; of one without an end, on the day of the last signature.
pub(super) fn until(sources: &Sources, plan: &Plan, path: &Path, day: Option<NaiveDate>) -> Signing {
    let last = || Some(kept(path).ok()??.signatures.last()?.date);
    look(sources, plan, path, day.or_else(last).unwrap_or_default()).0
}
