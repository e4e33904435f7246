//! `bourn sign`: a person signs a plan.

use super::{Colour, UNUSABLE, complain, eprint, files, signing};
use crate::check::signing::Meaning;
use crate::finding::{Finding, Severity};
use crate::report::terminal;
use crate::signoff::sign::{self, Wish};
use crate::source::Sources;
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::PathBuf;

/// Who signs what.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "The line says that this person signs this text; nothing here approves a plan. It proves neither who \
sat at the keyboard nor that the law of the place takes such a signature. docs/sign-off.md tells what it is worth."
)]
pub(super) struct Args {
    /// Plan file; the signature goes into NAME.sign-off beside it.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// Role in the plan of the person who signs.
    #[arg(long, value_name = "ROLE")]
    role: String,
    /// Name of the person who signs, as typed.
    #[arg(long, value_name = "NAME")]
    name: String,
    /// What the signature says.
    #[arg(long = "as", value_enum, value_name = "MEANING")]
    meaning: Says,
    /// The day of the signature; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Says {
    /// I prepared this plan.
    Prepared,
    /// I went through this plan.
    Reviewed,
    /// I accept this plan for use.
    Approved,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let mut sources = Sources::new();
    match signed(args, &mut sources, colour) {
        Ok(words) => {
            eprint(&words);
            0
        }
        Err(mut findings) => {
            crate::finding::tidy(&mut findings);
            complain(&sources, &findings, colour);
            eprint(&format!("nothing was signed: {}\n", terminal::count(&findings)));
            UNUSABLE
        }
    }
}

fn signed(args: &Args, sources: &mut Sources, colour: Colour) -> Result<String, Vec<Finding>> {
    let one = |finding: Finding| vec![finding];
    files::no_mapping(&args.plan).map_err(one)?;
    let reading = files::plan(sources, &args.plan).map_err(one)?;
    let kept = signing::kept(&args.plan).map_err(one)?;
    let today = chrono::Local::now().date_naive();
    let meaning = match args.meaning {
        Says::Prepared => Meaning::Prepared,
        Says::Reviewed => Meaning::Reviewed,
        Says::Approved => Meaning::Approved,
    };
    let on = args.on.unwrap_or(today);
    let wish = Wish { role: &args.role, name: &args.name, meaning, on, today };
    let (text, signature) = sign::sign(&reading, &signing::digests(sources), kept.as_ref(), &wish)?;
    let path = signing::path(&args.plan);
    // An existing file keeps its permissions, and a link to it goes on leading to it.
    let write = if kept.is_some() { files::rewrite } else { files::write_whole };
    write(&path, text.as_bytes()).map_err(one)?;
    let mut open = reading.findings;
    open.extend(crate::check::check(&reading.plan, on));
    crate::finding::tidy(&mut open);
    open.retain(|finding| finding.rule.severity > Severity::Note);
    complain(sources, &kept.map(|kept| kept.findings).unwrap_or_default(), colour);
    Ok(format!(
        "{}: {}\n{}: {} of the check open on {on}; the signature is written to {}\n",
        terminal::clean(&args.plan.display().to_string()),
        terminal::clean(&signature.words()),
        terminal::clean(&args.plan.display().to_string()),
        terminal::count(&open),
        terminal::clean(&path.display().to_string()),
    ))
}
