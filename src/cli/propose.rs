//! `bourn propose`: a mapping for a record file, drawn from the file, with every doubt left to a person.

use super::files::write_whole;
use super::{UNUSABLE, eprint, print, read};
use crate::log::plain::propose::propose;
use crate::report::read as report;
use std::path::PathBuf;

/// For which file, and where to.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The record file.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Write to this file, which must not be there yet, instead of standard output.
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    known: read::Known,
}

/// Runs the command.
pub(super) fn run(args: &Args) -> u8 {
    let name = args.file.display().to_string();
    let view = match read::open(&args.file, &args.known) {
        Ok(view) => view,
        Err(finding) => {
            eprint(&report::findings(&name, &[*finding]));
            return UNUSABLE;
        }
    };
    eprint(&report::findings(&name, &view.findings));
    let file = args.file.file_name().map_or_else(|| name.clone(), |file| file.to_string_lossy().into_owned());
    let text = propose(&view, &file);
    let Some(output) = &args.output else {
        print(&text);
        return 0;
    };
    // A mapping that a person has answered is never written over.
    let written = if output.exists() {
        let place = crate::source::Place::file(output.display().to_string());
        let message = "is there already, and a mapping that a person has answered is not written over";
        Err(crate::finding::Finding::new(&crate::registry::disk::UNWRITABLE_FILE, place, message))
    } else {
        write_whole(output, text.as_bytes())
    };
    if let Err(finding) = written {
        eprint(&report::findings(&output.display().to_string(), &[finding]));
        return UNUSABLE;
    }
    0
}
