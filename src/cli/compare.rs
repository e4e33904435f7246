//! `bourn compare`: what changed between two texts of a plan, and what each change demands.

use super::files::{self, Shelf};
use super::meant::{self, Wanted};
use super::{Colour, NOT_MET, NOT_SHOWN, UNUSABLE, complain, eprint, git, print};
use crate::compare::compare;
use crate::finding::{Finding, Severity};
use crate::plan::{Plan, names};
use crate::registry::disk::UNREADABLE_FILE;
use crate::report::compare::{self as report, Side};
use crate::report::json;
use crate::source::{Place, Sources};
use clap::ValueEnum;
use std::path::{Path, PathBuf};

/// Which two texts, and how to say what changed.
#[derive(Debug, clap::Args)]
#[command(override_usage = "bourn compare [OPTIONS] OLD NEW\n       \
                            bourn compare [OPTIONS] --git REVISION [REVISION] FILE")]
pub(super) struct Args {
    /// Old plan and new plan; with --git one or two revisions, and the plan.
    #[arg(required = true, num_args = 2..=3, value_name = "OLD NEW")]
    names: Vec<PathBuf>,
    /// Compare a plan as it stood in a revision of its repository with the file as it is, or with a second revision.
    #[arg(long)]
    git: bool,
    /// How the changes are written.
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Format {
    /// Lines of text.
    Terminal,
    /// Markdown on standard output, for a review comment.
    Markdown,
    /// JSON on standard output.
    Json,
}

/// One text of the plan, with its name and what could not be read in it.
struct Read {
    name: String,
    sources: Sources,
    plan: Plan,
    faults: Vec<Finding>,
}

fn read(shelf: &dyn Shelf, path: &Path) -> Result<Read, Finding> {
    // In a revision there may be a file that is gone from the disk.
    if path.exists() {
        meant::look(path, Wanted::Plan)?;
    }
    let mut sources = Sources::new();
    let reading = files::plan_from(shelf, &mut sources, path)?;
    // A name that stands for nothing hides no part of the text.
    let named = [&names::UNRESOLVED, &names::UNKNOWN_ANSWER];
    let faults = reading.findings.into_iter().filter(|finding| {
        finding.rule.severity == Severity::Error && !named.iter().any(|rule| rule.code == finding.rule.code)
    });
    Ok(Read { name: shelf.name(path), sources, plan: reading.plan, faults: faults.collect() })
}

fn from_git(named: &Path, file: &Path) -> Result<Read, Finding> {
    let (revision, inside) = git::revision(&named.to_string_lossy(), file)?;
    read(&revision, &inside)
}

fn both(args: &Args) -> Result<(Read, Read), Finding> {
    match (args.git, args.names.as_slice()) {
        (false, [old, new]) => Ok((read(&files::Disk, old)?, read(&files::Disk, new)?)),
        (true, [revision, file]) => Ok((from_git(revision, file)?, read(&files::Disk, file)?)),
        (true, [old, new, file]) => Ok((from_git(old, file)?, from_git(new, file)?)),
        _ => {
            let place = Place::Named("bourn compare".to_owned());
            let finding = Finding::new(&UNREADABLE_FILE, place, "two plans are compared, and three names were given");
            Err(finding.help("with `--git` one or two revisions come before the plan"))
        }
    }
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let (old, new) = match both(args) {
        Ok(both) => both,
        Err(finding) => {
            complain(&Sources::new(), &[finding], colour);
            return UNUSABLE;
        }
    };
    let comparison = compare(&old.plan, &new.plan);
    let unread = !(old.faults.is_empty() && new.faults.is_empty());
    complain(&old.sources, &old.faults, colour);
    complain(&new.sources, &new.faults, colour);
    let side =
        |read: &'_ Read| Side { name: read.name.clone(), sources: read.sources.clone(), faults: read.faults.len() };
    let (before, after) = (side(&old), side(&new));
    match args.format {
        Format::Terminal => print(&report::text(&before, &after, &comparison)),
        Format::Markdown => print(&report::markdown(&before, &after, &comparison)),
        Format::Json => print(&json::text(&report::value(&before, &after, &comparison))),
    }
    if unread {
        eprint(&format!("{}\n", report::UNREAD));
    }
    match (comparison.changes.is_empty(), unread) {
        (false, _) => NOT_MET,
        (true, true) => NOT_SHOWN,
        (true, false) => 0,
    }
}
