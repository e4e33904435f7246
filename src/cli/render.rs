//! `bourn render`: the formal plan document as one HTML file.

use super::checked::{Checked, checked};
use super::{Colour, NOT_MET, UNUSABLE, complain, eprint, files, pdf, style};
use crate::document::page::Page;
use crate::document::{self, Order, Paper, Style};
use crate::finding::{Finding, Severity, heaviest};
use crate::report::{book, json, terminal};
use crate::source::{Place, Sources};
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::{Path, PathBuf};

/// Which plan, and what else to write of it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    page: Paged,
    /// Earlier text of the plan: what changed since comes first in the document.
    #[arg(long, value_name = "OLD")]
    since: Option<PathBuf>,
    /// Write the plan as JSON too, for other programs.
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// Write the worksheets as a spreadsheet too: hazard analysis, CCP summary, schedule, records.
    #[arg(long, value_name = "FILE.xlsx")]
    xlsx: Option<PathBuf>,
}

/// Which plan, and where to.
#[derive(Debug, clap::Args)]
pub(super) struct Paged {
    /// Plan file.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// File to write; next to the plan, with its name, if not given.
    #[arg(short, long, value_name = "FILE.html")]
    output: Option<PathBuf>,
    /// The day on which the plan is checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// File that says which SSH key may sign as whom; NAME.allowed-signers beside the plan if not given.
    #[arg(long, value_name = "FILE")]
    allowed_signers: Option<PathBuf>,
    /// Paper for which it is laid out.
    #[arg(long, value_enum, default_value_t = Sheet::A4)]
    paper: Sheet,
    /// Folder with the look of the plant: logo, style sheet, front matter, templates.
    #[arg(long, value_name = "FOLDER")]
    style: Option<PathBuf>,
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

/// A page, and further files to be written with it, each whole or none at all.
pub(super) struct Made {
    pub page: Page,
    pub files: Vec<(PathBuf, Vec<u8>)>,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    make(&args.page, colour, "html", |order| {
        let mut page = document::page_of(order);
        let mut files = Vec::new();
        if let Some(path) = &args.json {
            files.push((path.clone(), json::text(&crate::report::plan::value(order.plan)).into_bytes()));
        }
        if let Some(path) = &args.xlsx {
            let book = book::book(&page).map_err(|why| {
                Finding::new(&crate::registry::disk::UNWRITABLE_FILE, Place::file(path.display().to_string()), why)
                    .help("shorten the text in the plan; the HTML document holds it whole")
            })?;
            files.push((path.clone(), book));
        }
        if let Some(path) = &args.since {
            since(&mut page, order, path)?;
        }
        Ok(Made { page, files })
    })
}

/// Puts first what changed since another text of the plan.
fn since(page: &mut Page, order: &Order<'_>, path: &Path) -> Result<(), Finding> {
    let old = files::plan(&mut Sources::new(), path)?;
    let broken = |findings: &[Finding]| findings.iter().any(|finding| finding.rule.code.starts_with('S'));
    document::put_changes(page, &old.plan, order.plan, !broken(&old.findings) && !broken(order.findings));
    Ok(())
}

/// Makes a page of a plan and writes it. `ending` is that of the file where none is named.
pub(super) fn make(
    args: &Paged,
    colour: Colour,
    ending: &str,
    page: impl Fn(&Order<'_>) -> Result<Made, Finding>,
) -> u8 {
    let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
    let mut sources = Sources::new();
    let Checked { plan, findings, signing } =
        match checked(&mut sources, &args.plan, args.allowed_signers.as_deref(), on) {
            Ok(checked) => checked,
            Err(finding) => {
                complain(&sources, &[finding], colour);
                return UNUSABLE;
            }
        };
    let target = args.output.clone().unwrap_or_else(|| args.plan.with_extension(ending));
    let trouble = |finding: Finding| {
        complain(&sources, &[finding], colour);
        UNUSABLE
    };
    let paper = match args.paper {
        Sheet::A4 => Paper::A4,
        Sheet::Letter => Paper::Letter,
    };
    let order = Order { plan: &plan, sources: &sources, findings: &findings, on, signing: Some(&signing), paper };
    let look = args.style.as_deref();
    let made = style::of(look).and_then(|style| {
        let Made { page, mut files } = page(&order)?;
        // The front matter is in the contents too.
        let page = style.fronted(&page).into_owned();
        let style = Style { front: None, ..style };
        let written = |page: &Page| style::written(page, &style, look);
        let html = written(&page)?;
        if args.pdf {
            let pdf = if page.sheets { pdf::print(&html)? } else { pdf::numbered(&page, &written)? };
            files.push((target.with_extension("pdf"), pdf));
        }
        Ok((html, files))
    });
    let (html, mut more) = match made {
        Ok(made) => made,
        Err(finding) => return trouble(finding),
    };
    // All are made before the first is written, so that a fault in one leaves none.
    more.insert(0, (target, html.into_bytes()));
    for (path, _) in &more {
        if files::same(path, &args.plan) {
            return trouble(files::taken(path, "the plan itself"));
        }
    }
    if let Err(finding) = files::write_all(&more) {
        return trouble(finding);
    }
    complain(&sources, &findings, colour);
    let errors = heaviest(&findings) == Some(Severity::Error);
    let state = if errors || plan.is_draft() { " as a draft" } else { "" };
    let path = args.plan.display().to_string();
    let target = more.iter().map(|(path, _)| path.display().to_string()).collect::<Vec<_>>().join(" and ");
    eprint(&format!(
        "{}: {}; written{state} to {}\n",
        terminal::clean(&path),
        terminal::count(&findings),
        terminal::clean(&target)
    ));
    if errors { NOT_MET } else { 0 }
}
