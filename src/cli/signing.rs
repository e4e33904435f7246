//! The sign-off file beside a plan.

use super::files;
use crate::check::signing::Signing;
use crate::finding::Finding;
use crate::plan::Plan;
use crate::signoff::digest::Digests;
use crate::signoff::file::{self, Kept};
use crate::signoff::signers::Signers;
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

/// Where the file of allowed signers of a plan stands, if no other is named: `NAME.allowed-signers` beside it.
pub(super) fn signers_path(plan: &Path) -> PathBuf {
    plan.with_extension("allowed-signers")
}

/// Which keys may sign a plan as whom: from the file that is named, or the one beside the plan; nothing where there is
/// none.
///
/// # Errors
/// A finding if it cannot be read.
pub(super) fn signers(plan: &Path, named: Option<&Path>) -> Result<Option<Signers>, Finding> {
    let path = named.map_or_else(|| signers_path(plan), Path::to_path_buf);
    let missing = std::fs::symlink_metadata(&path).is_err_and(|error| error.kind() == std::io::ErrorKind::NotFound);
    if named.is_none() && missing {
        return Ok(None);
    }
    Ok(Some(Signers::read(&path.display().to_string(), &files::text(&path)?)))
}

/// What the signatures beside a plan come to. The sources are those of the plan and no others. Allowed signers are read
/// from the file that is named, or from beside the plan.
pub(super) fn look(
    sources: &Sources,
    plan: &Plan,
    path: &Path,
    named: Option<&Path>,
    on: NaiveDate,
) -> (Signing, Vec<Finding>) {
    let name = self::path(path).display().to_string();
    // A file of allowed signers that cannot be read lists nobody.
    let of = named.map_or_else(|| signers_path(path), Path::to_path_buf).display().to_string();
    let signers = signers(path, named).unwrap_or_else(|why| Some(Signers::unreadable(&of, why)));
    match kept(path) {
        // A file that cannot be read at all is broken, for this reason.
        Err(finding) => {
            let broken = Kept { signatures: Vec::new(), findings: vec![finding], whole: false };
            state(plan, &Digests::none(), Some(broken), signers.as_ref(), &name, on)
        }
        Ok(None) => state(plan, &Digests::none(), None, signers.as_ref(), &name, on),
        Ok(kept) => state(plan, &digests(sources), kept, signers.as_ref(), &name, on),
    }
}

/// What the signatures come to at the end of a period; of one without an end, on the day of the last signature.
pub(super) fn until(sources: &Sources, plan: &Plan, path: &Path, day: Option<NaiveDate>) -> Signing {
    let last = || Some(kept(path).ok()??.signatures.last()?.date);
    look(sources, plan, path, None, day.or_else(last).unwrap_or_default()).0
}
