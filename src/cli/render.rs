//! `bourn render`: the formal plan document as one HTML file.

use super::{Colour, NOT_MET, UNUSABLE, complain, eprint, files, pdf, signing};
use crate::document::{self, Order, Paper};
use crate::finding::{Finding, Severity, heaviest};
use crate::report::terminal;
use crate::source::{Place, Sources};
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::PathBuf;

/// Which plan, and where to.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Plan file.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// File to write; next to the plan, with its name, if not given.
    #[arg(short, long, value_name = "FILE.html")]
    output: Option<PathBuf>,
    /// The day on which the plan is checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// Paper for which it is laid out.
    #[arg(long, value_enum, default_value_t = Sheet::A4)]
    paper: Sheet,
    /// Print a PDF too, beside the HTML file; needs a browser of the Chromium kind on this machine.
    #[arg(long)]
    pdf: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Sheet {
    /// 210 mm × 297 mm.
    A4,
    /// 8.5 inch × 11 inch.
    Letter,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    make(args, colour, "html", document::plan)
}

/// Makes a page of a plan and writes it. `ending` is that of the file where none is named.
pub(super) fn make(
    args: &Args,
    colour: Colour,
    ending: &str,
    page: impl Fn(&Order<'_>) -> Result<String, document::Fault>,
) -> u8 {
    let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
    let mut sources = Sources::new();
    let reading = match files::plan(&mut sources, &args.plan) {
        Ok(reading) => reading,
        Err(finding) => {
            complain(&sources, &[finding], colour);
            return UNUSABLE;
        }
    };
    let mut findings = reading.findings;
    findings.extend(crate::check::check(&reading.plan, on));
    let (signing, about) = signing::look(&sources, &reading.plan, &args.plan, on);
    findings.extend(about);
    crate::finding::tidy(&mut findings);
    let target = args.output.clone().unwrap_or_else(|| args.plan.with_extension(ending));
    let trouble = |finding: Finding| {
        complain(&sources, &[finding], colour);
        UNUSABLE
    };
    if same_file(&target, &args.plan) {
        let place = Place::file(target.display().to_string());
        return trouble(
            Finding::new(&crate::registry::disk::UNWRITABLE_FILE, place, "is the plan itself")
                .help("give another file to `--output`"),
        );
    }
    let paper = match args.paper {
        Sheet::A4 => Paper::A4,
        Sheet::Letter => Paper::Letter,
    };
    let order =
        Order { plan: &reading.plan, sources: &sources, findings: &findings, on, signing: Some(&signing), paper };
    let html = match page(&order) {
        Ok(html) => html,
        Err(fault) => {
            let place = Place::Named("template".to_owned());
            return trouble(Finding::new(
                &crate::registry::disk::TEMPLATE_FAULT,
                place,
                format!("cannot be written: {fault}"),
            ));
        }
    };
    // Both are made before either is written, so that a fault leaves neither.
    let paper = match args.pdf.then(|| pdf::print(&html)).transpose() {
        Ok(printed) => printed.map(|bytes| (target.with_extension("pdf"), bytes)),
        Err(finding) => return trouble(finding),
    };
    let written = files::write_whole(&target, html.as_bytes())
        .and_then(|()| paper.as_ref().map_or(Ok(()), |(path, bytes)| files::write_whole(path, bytes)));
    if let Err(finding) = written {
        return trouble(finding);
    }
    complain(&sources, &findings, colour);
    let errors = heaviest(&findings) == Some(Severity::Error);
    let state = if errors || reading.plan.is_draft() { " as a draft" } else { "" };
    let (plan, mut target) = (args.plan.display().to_string(), target.display().to_string());
    if let Some((path, _)) = &paper {
        target = format!("{target} and {}", path.display());
    }
    eprint(&format!(
        "{}: {}; written{state} to {}\n",
        terminal::clean(&plan),
        terminal::count(&findings),
        terminal::clean(&target)
    ));
    if errors { NOT_MET } else { 0 }
}

fn same_file(a: &std::path::Path, b: &std::path::Path) -> bool {
    matches!((std::fs::canonicalize(a), std::fs::canonicalize(b)), (Ok(a), Ok(b)) if a == b)
}
