//! `bourn check`: is a plan complete, and does it agree with itself?

use super::{Colour, NOT_MET, UNUSABLE, complain, eprint, files, print};
use crate::finding::{Severity, heaviest};
use crate::report::{json, terminal};
use crate::source::Sources;
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::PathBuf;

/// What to check, and how to say it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Plan files.
    #[arg(required = true, value_name = "PLAN")]
    plans: Vec<PathBuf>,
    /// The day on which the plans are checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// How findings are written.
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
    /// The lightest finding that makes the command fail.
    #[arg(long, value_enum, default_value_t = FailOn::Error)]
    fail_on: FailOn,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Format {
    /// Drawn, with the text of the plan.
    Terminal,
    /// One line each: file:line:column: severity: message [code].
    Short,
    /// JSON on standard output.
    Json,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum FailOn {
    /// Errors.
    Error,
    /// Warnings and errors.
    Warning,
    /// Any finding.
    Note,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
    let mut status = 0;
    let mut reports = Vec::new();
    for path in &args.plans {
        let mut sources = Sources::new();
        let (findings, unusable) = match files::no_mapping(path).and_then(|()| files::plan(&mut sources, path)) {
            Ok(reading) => {
                let mut findings = reading.findings;
                findings.extend(crate::check::check(&reading.plan, on));
                crate::finding::tidy(&mut findings);
                (findings, false)
            }
            Err(finding) => (vec![finding], true),
        };
        let limit = match args.fail_on {
            FailOn::Error => Severity::Error,
            FailOn::Warning => Severity::Warning,
            FailOn::Note => Severity::Note,
        };
        if unusable {
            status = UNUSABLE;
        } else if heaviest(&findings).is_some_and(|worst| worst >= limit) && status != UNUSABLE {
            status = NOT_MET;
        }
        match args.format {
            Format::Terminal => {
                complain(&sources, &findings, colour);
                eprint(&format!("{}: {}\n", terminal::clean(&path.display().to_string()), terminal::count(&findings)));
            }
            Format::Short => {
                for finding in &findings {
                    print(&format!(
                        "{}: {}: {} [{} {}]\n",
                        terminal::place(&sources, &finding.place),
                        finding.rule.severity.word(),
                        terminal::clean(&finding.message),
                        finding.rule.code,
                        finding.rule.name
                    ));
                }
            }
            Format::Json => reports.push(serde_json::json!({
                "plan": path.display().to_string(),
                "on": on.to_string(),
                "findings": json::findings(&sources, &findings),
            })),
        }
    }
    if matches!(args.format, Format::Json) {
        print(&json::text(&serde_json::json!({ "bourn": env!("CARGO_PKG_VERSION"), "checked": reports })));
    }
    status
}
