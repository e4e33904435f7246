//! `bourn check`: is a plan complete, and does it agree with itself?

use super::checked::checked;
use super::{Colour, NOT_MET, UNUSABLE, complain, eprint, print};
use crate::finding::{Finding, Severity, heaviest};
use crate::report::sarif::Checked;
use crate::report::{json, junit, plain, sarif, terminal};
use crate::source::Sources;
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::{Path, PathBuf};

/// What to check, and how to say it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Plan files.
    #[arg(required = true, value_name = "PLAN")]
    plans: Vec<PathBuf>,
    /// The day on which the plans are checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// File that says which SSH key may sign as whom; NAME.allowed-signers beside the plan if not given.
    #[arg(long, value_name = "FILE")]
    allowed_signers: Option<PathBuf>,
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
    /// Told in sentences, without drawing: for screen readers.
    Plain,
    /// JSON on standard output.
    Json,
    /// SARIF 2.1.0 on standard output, with clauses as a taxonomy.
    Sarif,
    /// JUnit XML on standard output, for build servers.
    Junit,
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

/// One plan with its texts and what was found.
struct One {
    plan: String,
    sources: Sources,
    findings: Vec<Finding>,
    unusable: bool,
}

impl One {
    fn checked(&self) -> Checked<'_> {
        Checked { plan: self.plan.clone(), sources: &self.sources, findings: &self.findings }
    }

    fn read(path: &Path, signers: Option<&Path>, on: NaiveDate) -> Self {
        let mut sources = Sources::new();
        let (findings, unusable) = match checked(&mut sources, path, signers, on) {
            Ok(checked) => (checked.findings, false),
            Err(finding) => (vec![finding], true),
        };
        One { plan: path.display().to_string(), sources, findings, unusable }
    }
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
    let limit = match args.fail_on {
        FailOn::Error => Severity::Error,
        FailOn::Warning => Severity::Warning,
        FailOn::Note => Severity::Note,
    };
    let checked: Vec<One> =
        args.plans.iter().map(|path| One::read(path, args.allowed_signers.as_deref(), on)).collect();
    say(args, colour, on, limit, &checked);
    if checked.iter().any(|one| one.unusable) {
        UNUSABLE
    } else if checked.iter().any(|one| heaviest(&one.findings).is_some_and(|worst| worst >= limit)) {
        NOT_MET
    } else {
        0
    }
}

fn say(args: &Args, colour: Colour, on: NaiveDate, limit: Severity, checked: &[One]) {
    let all = || checked.iter().map(One::checked).collect::<Vec<_>>();
    match args.format {
        Format::Terminal => {
            for one in checked {
                complain(&one.sources, &one.findings, colour);
                eprint(&format!("{}: {}\n", terminal::clean(&one.plan), terminal::count(&one.findings)));
            }
        }
        Format::Plain => {
            for one in checked {
                print(&plain::findings(&one.sources, &one.findings));
                print(&format!("{}: {}.\n", terminal::clean(&one.plan), terminal::count(&one.findings)));
            }
        }
        Format::Short => {
            for (one, finding) in checked.iter().flat_map(|one| one.findings.iter().map(move |finding| (one, finding)))
            {
                print(&format!(
                    "{}: {}: {} [{} {}]\n",
                    terminal::place(&one.sources, &finding.place),
                    finding.rule.severity.word(),
                    terminal::clean(&finding.message),
                    finding.rule.code,
                    finding.rule.name
                ));
            }
        }
        Format::Json => {
            let plans: Vec<serde_json::Value> = checked
                .iter()
                .map(|one| {
                    serde_json::json!({
                        "plan": one.plan,
                        "on": on.to_string(),
                        "findings": json::findings(&one.sources, &one.findings),
                    })
                })
                .collect();
            print(&json::text(&serde_json::json!({ "bourn": env!("CARGO_PKG_VERSION"), "checked": plans })));
        }
        Format::Sarif => print(&json::text(&sarif::log(&all()))),
        Format::Junit => match junit::suites(&all(), limit) {
            Ok(text) => print(&text),
            Err(fault) => eprint(&format!("the XML cannot be written: {fault}\n")),
        },
    }
}
