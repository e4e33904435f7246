//! `bourn tutorial`: the files of the tutorial, in a folder of their own.

use super::{Colour, UNUSABLE, complain, files, print};
use crate::begin::tutorial::FILES;
use crate::finding::Finding;
use crate::registry::disk::UNWRITABLE_FILE;
use crate::report::terminal;
use crate::source::{Place, Sources};
use std::path::{Path, PathBuf};

/// Where to.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Everything in these files is invented. docs/tutorial.md goes through them step by step, in one hour."
)]
pub(super) struct Args {
    /// The folder to make, such as `kitchen`; there must be none of that name yet.
    #[arg(value_name = "FOLDER")]
    folder: PathBuf,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    match written(&args.folder) {
        Ok(said) => {
            print(&said);
            0
        }
        Err(finding) => {
            complain(&Sources::new(), &[finding], colour);
            UNUSABLE
        }
    }
}

/// Makes the folder whole or not at all: beside its place first, then moved there.
fn written(folder: &Path) -> Result<String, Finding> {
    let shown = terminal::clean(&folder.display().to_string());
    if std::fs::symlink_metadata(folder).is_ok() {
        return Err(Finding::new(&UNWRITABLE_FILE, Place::file(&shown), "is there already")
            .help("nothing was written; name a folder that does not exist yet"));
    }
    let failed = |error: std::io::Error| files::unwritable(folder, &super::folder::words(&error));
    let beside = match folder.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let made = tempfile::Builder::new().prefix(".bourn-").tempdir_in(beside).map_err(failed)?;
    let inside = made.path().join("whole");
    for (name, _, text) in FILES {
        let path = inside.join(name);
        std::fs::create_dir_all(path.parent().unwrap_or(&inside)).map_err(failed)?;
        std::fs::write(path, text).map_err(failed)?;
    }
    std::fs::rename(&inside, folder).map_err(failed)?;
    let wide = FILES.iter().map(|(name, ..)| name.chars().count()).max().unwrap_or(0);
    let mut out = format!("{shown}: a new folder with the files of the tutorial; everything in them is invented\n");
    for (name, what, _) in FILES {
        out.push_str(&format!("  {name:wide$}  {what}\n"));
    }
    out.push_str(&format!("Next: cd {}\n", files::typed(&shown)));
    out.push_str("then: bourn check roast-chicken.haccp\n");
    Ok(out)
}
