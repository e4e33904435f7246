//! `bourn clauses`: clause by clause, what in the plan answers it, what is missing, where a person must look.

use super::checked::checked;
use super::{Colour, NOT_MET, UNUSABLE, complain, print};
use crate::check::coverage::{Standing, coverage};
use crate::report::{coverage as report, json};
use crate::source::Sources;
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::PathBuf;

/// Which plan, and how to say it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Plan file.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// The day on which the plan is checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// Only clauses that are missing or that a person must judge.
    #[arg(long)]
    open: bool,
    /// How the table is written.
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Format {
    /// Lines of text.
    Terminal,
    /// JSON on standard output.
    Json,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
    let mut sources = Sources::new();
    let checked = match checked(&mut sources, &args.plan, None, on) {
        Ok(checked) => checked,
        Err(finding) => {
            complain(&sources, &[finding], colour);
            return UNUSABLE;
        }
    };
    let mut lines = coverage(&checked.plan, &checked.findings, Some(&checked.signing));
    let missing = lines.iter().any(|line| matches!(line.standing, Standing::Missing(_)));
    if args.open {
        lines.retain(|line| {
            matches!(
                line.standing,
                Standing::Missing(_) | Standing::Person(_) | Standing::SignOff(..) | Standing::Unsaid(..)
            )
        });
    }
    match args.format {
        Format::Terminal => print(&report::text(&sources, &lines)),
        Format::Json => print(&json::text(&serde_json::json!({
            "bourn": env!("CARGO_PKG_VERSION"),
            "plan": args.plan.display().to_string(),
            "on": on.to_string(),
            "clauses": report::value(&sources, &lines),
        }))),
    }
    if missing { NOT_MET } else { 0 }
}
