//! `bourn registers`: empty registers for a plan, and the stretch of a mapping that reads them.

use super::{Colour, UNUSABLE, complain, eprint, files, print};
use crate::finding::{Finding, Severity};
use crate::report::registers::templates;
use crate::source::Sources;
use std::path::PathBuf;

/// For which plan, and where to.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The plan.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// The folder that the empty registers are written into; it must be there, and none of the files may be.
    #[arg(value_name = "FOLDER")]
    folder: PathBuf,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let mut sources = Sources::new();
    match written(args, &mut sources) {
        Ok(said) => {
            print(&said);
            0
        }
        Err(findings) => {
            complain(&sources, &findings, colour);
            eprint("nothing was written\n");
            UNUSABLE
        }
    }
}

fn written(args: &Args, sources: &mut Sources) -> Result<String, Vec<Finding>> {
    let reading = files::plan(sources, &args.plan).map_err(|finding| vec![finding])?;
    if reading.findings.iter().any(|finding| finding.rule.severity == Severity::Error) {
        return Err(reading.findings);
    }
    let all: Vec<(PathBuf, Vec<u8>)> =
        templates(&reading.plan).into_iter().map(|(name, text)| (args.folder.join(name), text.into_bytes())).collect();
    let there: Vec<Finding> = all
        .iter()
        .filter(|(path, _)| path.exists())
        .map(|(path, _)| files::unwritable(path, "it is there already, and a register is never written over"))
        .collect();
    if !there.is_empty() {
        return Err(there);
    }
    files::write_all(&all).map_err(|finding| vec![finding])?;
    let names: Vec<String> = all.iter().map(|(path, _)| format!("wrote {}\n", path.display())).collect();
    Ok(names.concat())
}
