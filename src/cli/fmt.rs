//! `bourn fmt`: one form of a plan text.

use super::meant::{self, Wanted};
use super::{Colour, NOT_MET, UNUSABLE, complain, eprint, files, print};
use crate::finding::Finding;
use crate::report::terminal;
use crate::source::{Source, Sources};
use crate::syntax::print::{Formatted, format};
use std::path::{Path, PathBuf};

/// What to format, and whether to write it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Plan files; `-` reads standard input and writes standard output.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Write nothing; show what would change, and fail if anything would.
    #[arg(long)]
    check: bool,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let mut status = 0;
    for path in &args.files {
        let mut sources = Sources::new();
        let outcome = if path == Path::new("-") {
            stream(args.check, &mut sources)
        } else {
            file(path, args.check, &mut sources)
        };
        match outcome {
            Ok(changes) if changes && args.check => status = status.max(NOT_MET),
            Ok(_) => {}
            Err(finding) => {
                complain(&sources, &[finding], colour);
                status = UNUSABLE;
            }
        }
    }
    status
}

/// Formats standard input; whether that changes it.
fn stream(check: bool, sources: &mut Sources) -> Result<bool, Finding> {
    let text = files::standard_input()?;
    let (formatted, changes) = formatted("standard input", &text, sources)?;
    if check {
        if changes {
            show(&text, &formatted.text, "standard input");
        }
    } else {
        print(&formatted.text);
    }
    Ok(changes)
}

/// Formats a file; whether that changes it.
fn file(path: &Path, check: bool, sources: &mut Sources) -> Result<bool, Finding> {
    meant::look(path, Wanted::Plan)?;
    let name = path.display().to_string();
    let text = files::text(path)?;
    let (formatted, changes) = formatted(&name, &text, sources)?;
    if changes && check {
        show(&text, &formatted.text, &name);
    } else if changes {
        files::rewrite(path, formatted.text.as_bytes())?;
        eprint(&format!("{}: formatted\n", terminal::clean(&name)));
    }
    Ok(changes)
}

fn formatted(name: &str, text: &str, sources: &mut Sources) -> Result<(Formatted, bool), Finding> {
    let source = Source::new(name, text);
    let formatted = format(sources.add(source.clone()), &source)?;
    if formatted.left > 0 {
        let left = match formatted.left {
            1 => "1 place cannot be read and is left as written".to_owned(),
            more => format!("{more} places cannot be read and are left as written"),
        };
        eprint(&format!("{}: {left}; see `bourn check`\n", terminal::clean(name)));
    }
    let changes = formatted.text != text;
    Ok((formatted, changes))
}

/// Prints what would change, as a unified diff.
fn show(before: &str, after: &str, name: &str) {
    let name = terminal::clean(name);
    let diff = similar::TextDiff::from_lines(before, after);
    let mut text = String::new();
    let unified = diff.unified_diff().context_radius(3).header(&name, &format!("{name} (formatted)")).to_string();
    for line in unified.lines() {
        text.push_str(&terminal::clean(line));
        text.push('\n');
    }
    print(&text);
}
