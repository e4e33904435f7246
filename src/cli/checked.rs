//! A plan read from disk, checked, and its signatures looked at.

use super::{files, signing};
use crate::check::signing::Signing;
use crate::finding::Finding;
use crate::plan::Plan;
use crate::source::Sources;
use chrono::NaiveDate;
use std::path::Path;

/// What a plan is and what is wrong with it.
pub(super) struct Checked {
    /// The plan.
    pub(super) plan: Plan,
    /// Every finding, in the order of a reader.
    pub(super) findings: Vec<Finding>,
    /// The signatures beside it.
    pub(super) signing: Signing,
}

/// Reads and checks a plan as of a day. Its texts go into the sources, which must hold no others. Allowed signers stand in
/// the file that is named, or beside the plan.
///
/// # Errors
/// A finding if there is no plan that can be read at this path, or a named file of allowed signers cannot be read.
pub(super) fn checked(
    sources: &mut Sources,
    path: &Path,
    signers: Option<&Path>,
    on: NaiveDate,
) -> Result<Checked, Finding> {
    if signers.is_some() {
        signing::signers(path, signers)?;
    }
    let reading = files::plan(sources, path)?;
    let mut findings = reading.findings;
    findings.extend(crate::check::check(&reading.plan, on));
    let (signing, about) = signing::look(sources, &reading.plan, path, signers, on);
    findings.extend(about);
    crate::finding::tidy(&mut findings);
    Ok(Checked { plan: reading.plan, findings, signing })
}
