//! `bourn verify`: hold a plant's records against its plan.

mod against;
mod texts;

use super::folder::Folder;
use super::meant::{self, Wanted};
use super::{Colour, NOT_MET, NOT_SHOWN, UNUSABLE, complain, eprint, files, print, signing, style};
use crate::document::Paper;
use crate::document::report;
use crate::finding::{Finding, Severity};
use crate::log::{EVER, Manner, Mapping, Records, read_compact};
use crate::plan::Plan;
use crate::report::{
    against as beside, by_lot as one, json, listing, summary, terminal, verification, workings as pencil,
};
use crate::source::{Place, Source, Sources};
use crate::time::Zone;
use crate::verdict::Verdict;
use crate::verify::{InParts, Period, by_lot, keeps_lot, verify, verify_in_parts, workings};
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::{Path, PathBuf};

/// What to verify, and where to write.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The plan.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    #[command(flatten)]
    earlier: texts::Earlier,
    /// The mapping: which column of which record is what (YAML).
    #[arg(long, short, value_name = "FILE")]
    mapping: PathBuf,
    /// The folder that the files named in the mapping are looked for in; the mapping's own folder if not given.
    #[arg(long, value_name = "FOLDER")]
    records: Option<PathBuf>,
    /// Verify the lots begun in this month.
    #[arg(long, value_name = "YYYY-MM", conflicts_with_all = ["from", "to"], value_parser = month)]
    month: Option<(NaiveDate, NaiveDate)>,
    /// Verify the lots begun on or after this day.
    #[arg(long, value_name = "YYYY-MM-DD")]
    from: Option<NaiveDate>,
    /// Verify the lots begun on or before this day.
    #[arg(long, value_name = "YYYY-MM-DD")]
    to: Option<NaiveDate>,
    /// One lot alone, everything on record about it on one page: for the inspector at the desk.
    #[arg(long, value_name = "CODE", conflicts_with_all = ["month", "from", "to", "workings"])]
    lot: Option<String>,
    /// Say what differs from this earlier report (JSON) in place of the summary: inputs by their digests, verdicts by lot
    /// and limit. Its period is taken where none is given. Status 0 if nothing differs, else 1.
    #[arg(long, value_name = "REPORT", conflicts_with_all = ["lot", "workings"])]
    against: Option<PathBuf>,
    /// Write the findings into this file: CSV or a spreadsheet if it ends in .csv or .xlsx, else one JSON object a line.
    #[arg(long, value_name = "FILE")]
    findings: Option<PathBuf>,
    /// Write the verdicts into this file, one JSON object a lot and limit, a line each.
    #[arg(long, value_name = "FILE")]
    lines: Option<PathBuf>,
    /// Write the verification as JSON into this file.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Write the report as one HTML file, for screen and paper.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Folder with the look of the plant for the report: logo, style sheet, front matter, templates.
    #[arg(long, value_name = "FOLDER", requires = "html")]
    style: Option<PathBuf>,
    /// Hold at most so many readings in memory at once; large records are read in parts by themselves.
    #[arg(long, value_name = "READINGS", value_parser = clap::value_parser!(u64).range(1..))]
    at_once: Option<u64>,
    /// Print the arithmetic of one verdict instead: LOT, LOT/LIMIT or LOT/CCP.LIMIT.
    #[arg(long, value_name = "LOT/LIMIT", conflicts_with_all = ["json", "html", "findings", "lines"])]
    workings: Option<String>,
    /// With --workings, print every row of long unchanging stretches.
    #[arg(long, requires = "workings")]
    all_rows: bool,
    /// What is printed on standard output.
    #[arg(long, value_enum, default_value_t = Format::Terminal)]
    format: Format,
}

/// Records of more readings are verified in parts.
const AT_ONCE: u64 = 1_000_000;
/// How many readings of lots are held as rows at once then.
const PART: u64 = 250_000;

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Format {
    /// A summary for people.
    Terminal,
    /// JSON.
    Json,
}

fn month(text: &str) -> Result<(NaiveDate, NaiveDate), String> {
    let parts =
        text.split_once('-').and_then(|(year, month)| crate::time::month(year.parse().ok()?, month.parse().ok()?));
    parts.ok_or_else(|| format!("`{text}` is no month; write it as 2026-10"))
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let mut sources = Sources::new();
    match verified(args, &mut sources, colour) {
        Ok(status) => status,
        Err(findings) => {
            complain(&sources, &findings, colour);
            eprint(&format!("nothing was verified: {}\n", terminal::count(&findings)));
            UNUSABLE
        }
    }
}

fn verified(args: &Args, sources: &mut Sources, colour: Colour) -> Result<u8, Vec<Finding>> {
    let before = args.against.as_deref().map(against::earlier).transpose().map_err(|finding| vec![finding])?;
    let look = style::of(args.style.as_deref()).map_err(|finding| vec![finding])?;
    let newest = texts::newest(sources, &args.plan)?;
    let until = args.month.map_or(args.to, |(_, to)| Some(to));
    let signing = args.html.as_ref().map(|_| signing::until(sources, &newest.plan, &args.plan, until));
    let earlier = texts::earlier(sources, &args.plan, &args.earlier)?;
    let texts = texts::ordered(&newest, &earlier)?;
    let joined = texts.joined();
    meant::look(&args.mapping, Wanted::Mapping).map_err(|finding| vec![finding])?;
    let text = files::text(&args.mapping).map_err(|finding| vec![finding])?;
    let id = sources.add(Source::new(args.mapping.display().to_string(), text.clone()));
    let (mut mapping, findings) = Mapping::parse(&text, id);
    if let Some(mapping) = &mut mapping {
        mapping.counted = joined.counted_events();
    }
    let Some(mapping) = mapping else { return Err(findings) };
    if let Some(records) = &args.records {
        meant::folder(records).map_err(|finding| vec![finding])?;
    }
    let folder = args.records.as_ref().map_or_else(|| Folder::of(&args.mapping), Folder::new);
    let manner = Manner::default();
    let mut records = read_compact(&mapping, &folder, manner);
    let readings: u64 = records.channels.iter().map(|channel| channel.count).sum();
    let at_once = args.at_once.or_else(|| (readings > AT_ONCE).then_some(PART));
    if at_once.is_none() {
        records.hold(manner, &|_| EVER);
    }
    records.findings.extend(findings);
    if records.findings.iter().any(unusable) {
        return Err(records.findings.into_iter().filter(unusable).collect());
    }
    // Of one lot alone the text that judges it speaks.
    let judging = args.lot.as_deref().or(args.workings.as_deref()).and_then(|asked| texts.of(about(&records, asked)?));
    let plan = judging.map_or(&joined, |text| text.plan);
    if let Some(wanted) = &args.workings {
        let again = |lot: &crate::log::Lot| {
            at_once.map(|_| {
                let mut own = records.clone();
                own.hold(manner, &keeps_lot(plan, lot, &records));
                own
            })
        };
        return shown(args, sources, (plan, &records), wanted, &again, colour);
    }
    let period = match (args.month, &args.lot) {
        (Some((from, to)), _) => Period { from: Some(from), to: Some(to) },
        (None, Some(code)) => by_lot::period_of(plan, &records, code).map_err(|near| vec![no_lot(code, near)])?,
        (None, None) if args.from.is_none() && args.to.is_none() => {
            before.as_ref().map_or_else(Period::default, against::period)
        }
        (None, None) => Period { from: args.from, to: args.to },
    };
    let throughout = |parameter: &str| texts.survey_keeps(parameter);
    let bounds = |at_once| InParts { at_once, drawn: args.html.is_some(), throughout: &throughout, manner };
    let mut verification = texts.verify(&mut records, period, &mut |plan, records, period| match at_once {
        None => verify(plan, records, period),
        Some(most) => verify_in_parts(plan, records, period, bounds(most)),
    });
    if verification
        .findings
        .iter()
        .any(|finding| finding.rule.severity == Severity::Error && finding.rule.code.starts_with('V'))
    {
        return Err(verification
            .findings
            .into_iter()
            .filter(|finding| finding.rule.severity == Severity::Error)
            .collect());
    }
    let mut chapters = None;
    if let Some(code) = &args.lot {
        verification = verification.of_lot(code, &records);
        chapters = Some(by_lot::chapters(plan, &records, &verification));
    }
    let asked = args.json.is_some() || before.is_some() || matches!(args.format, Format::Json);
    let value = asked.then(|| match &chapters {
        Some(chapters) => one::value(chapters),
        None => verification::value(sources, plan, &records, &verification),
    });
    let json = value.as_ref().map(json::text);
    // All are made before any is written, so that a fault leaves none.
    let mut outputs: Vec<(&Path, Vec<u8>)> = Vec::new();
    if let (Some(path), Some(json)) = (&args.json, &json) {
        outputs.push((path, json.clone().into_bytes()));
    }
    if let Some(path) = &args.html {
        let order = report::Order {
            plan,
            sources,
            records: &records,
            verification: &verification,
            signing: signing.as_ref(),
            paper: Paper::A4,
        };
        let page = match &chapters {
            Some(chapters) => report::by_lot(&order, chapters),
            None => report::page_of(&order),
        };
        let html = style::written(&page, &look, args.style.as_deref()).map_err(|finding| vec![finding])?;
        outputs.push((path, html.into_bytes()));
    }
    if let Some(path) = &args.findings {
        let bytes = listed(path, sources, &verification.findings).map_err(|finding| vec![finding])?;
        outputs.push((path, bytes));
    }
    if let Some(path) = &args.lines {
        outputs.push((path, verification::lines(plan, &records, &verification).into_bytes()));
    }
    let read = records.files.iter().map(|file| folder.path(&file.name));
    let read: Vec<PathBuf> = read.chain([args.plan.clone(), args.mapping.clone()]).collect();
    for (at, (path, _)) in outputs.iter().enumerate() {
        if read.iter().any(|read| files::same(read, path)) {
            return Err(vec![files::taken(path, "what this run reads")]);
        }
        if outputs.iter().skip(at + 1).any(|(other, _)| other == path) {
            return Err(vec![files::taken(path, "named for two outputs")]);
        }
    }
    files::write_all(&outputs).map_err(|finding| vec![finding])?;
    if let Some(((before, path), value)) = before.as_ref().zip(args.against.as_ref()).zip(value.as_ref()) {
        return Ok(compared(args, (before, &path.display().to_string()), value));
    }
    if chapters.is_none() {
        complain(sources, &verification.findings, colour);
    }
    match args.format {
        Format::Terminal => print(&terminal::clean(&match &chapters {
            Some(chapters) => one::text(chapters),
            None => summary::text(plan, &records, &verification),
        })),
        Format::Json => print(json.as_deref().unwrap_or_default()),
    }
    let errors = verification.findings.iter().any(|finding| finding.rule.severity == Severity::Error);
    let whole =
        verification.series_verdict().map_or(verification.verdict(), |series| series.and(verification.verdict()));
    Ok(match whole {
        Verdict::NotMet => NOT_MET,
        _ if errors => NOT_MET,
        Verdict::NotShown => NOT_SHOWN,
        Verdict::Met => 0,
    })
}

/// What differs from an earlier report, in place of the summary.
fn compared(args: &Args, (before, name): (&serde_json::Value, &str), now: &serde_json::Value) -> u8 {
    let found = beside::against(before, now);
    match args.format {
        Format::Terminal => print(&terminal::clean(&beside::text(name, &found))),
        Format::Json => print(&json::text(&beside::value(name, &found))),
    }
    if found.changes.is_empty() { 0 } else { NOT_MET }
}

/// The list of findings in the form that the name of the file asks for.
fn listed(path: &Path, sources: &Sources, findings: &[Finding]) -> Result<Vec<u8>, Finding> {
    let ends = |wanted: &str| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(wanted));
    if ends("xlsx") {
        return listing::book(sources, findings).map_err(|why| files::unwritable(path, &why));
    }
    let list = if ends("csv") { listing::csv } else { listing::lines };
    Ok(list(sources, findings).into_bytes())
}

/// The lot that `LOT`, `LOT/LIMIT` or `LOT/CCP.LIMIT` is about.
fn about<'r>(records: &'r Records, asked: &str) -> Option<&'r crate::log::Lot> {
    let of = |code: &str| records.lots.iter().find(|lot| lot.code == code);
    of(asked).or_else(|| asked.match_indices('/').find_map(|(at, _)| of(asked.get(..at)?)))
}

/// The workings of one lot's limits in place of the whole verification.
fn shown(
    args: &Args,
    sources: &Sources,
    (plan, records): (&Plan, &Records),
    wanted: &str,
    again: &dyn Fn(&crate::log::Lot) -> Option<Records>,
    colour: Colour,
) -> Result<u8, Vec<Finding>> {
    let wanted = workings::wanted(plan, records, wanted).map_err(|(message, help)| {
        let place = Place::Named("--workings".to_owned());
        vec![Finding::new(&crate::registry::disk::NO_SUCH_VERDICT, place, message).help(help)]
    })?;
    let own = records.lots.get(wanted.lot).and_then(again);
    let records = own.as_ref().unwrap_or(records);
    let shown = workings::show(plan, records, &wanted);
    let zone = plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
    let order = pencil::Order { records, zone, shown: &shown, all_rows: args.all_rows };
    complain(sources, &records.findings, colour);
    match args.format {
        Format::Terminal => print(&terminal::clean(&pencil::text(&order))),
        Format::Json => print(&json::text(&pencil::value(&order))),
    }
    Ok(match Verdict::all(shown.limits.iter().map(|limit| limit.verdict)) {
        Verdict::NotMet => NOT_MET,
        Verdict::NotShown => NOT_SHOWN,
        Verdict::Met => 0,
    })
}

fn no_lot(code: &str, near: Option<String>) -> Finding {
    let place = Place::Named("--lot".to_owned());
    let message = format!("the register of lots has no lot `{code}`");
    let finding = Finding::new(&crate::registry::disk::NO_SUCH_VERDICT, place, message);
    match near {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("look the code up in the register of lots"),
    }
}

/// Faults of a mapping or a whole file: nothing may be judged by what is left. A single row of the wrong width is
/// not used, and named.
fn unusable(finding: &Finding) -> bool {
    finding.rule.severity == Severity::Error
        && finding.rule.code != "R109"
        && ["R0", "R1", "R204", "R506"].iter().any(|code| finding.rule.code.starts_with(code))
}
