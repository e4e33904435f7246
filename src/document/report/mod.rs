//! Verification → report: the answer first, then what a person must look at, then the evidence.

mod adjusted;
mod by_lot;
mod charts;
mod deviations;
mod evidence;
mod followed;
mod kept;
mod series;
mod trend;

pub use by_lot::by_lot;

use super::html::{Fault, write};
use super::labels::Labels;
use super::page::{Block, Cell, Fact, Page, Paper, Piece, Row, Section, Table, number};
use super::sections::closing;
use crate::check::signing::Signing;
use crate::finding::Finding;
use crate::log::Records;
use crate::plan::{Control, Limit, LimitKind, Plan};
use crate::source::Sources;
use crate::verdict::Verdict;
use crate::verify::{LotVerdicts, Verification};

/// What is to be reported.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its texts and the mapping, for the places of findings.
    pub sources: &'a Sources,
    /// The records.
    pub records: &'a Records,
    /// What they show.
    pub verification: &'a Verification,
    /// The signatures kept beside the plan up to the end of the period, where somebody looked.
    pub signing: Option<&'a Signing>,
    /// Paper for which it is laid out.
    pub paper: Paper,
}

/// The verification as one HTML file.
///
/// # Errors
/// A fault of a template; the shipped ones are covered by tests.
pub fn report(order: &Order<'_>) -> Result<String, Fault> {
    write(&page_of(order))
}

/// The same report before it is HTML.
#[must_use]
pub fn page_of(order: &Order<'_>) -> Page {
    let mut sections: Vec<Section> = followed::first(order).into_iter().collect();
    sections.push(answer(order));
    sections.extend(deviations::section(order, Verdict::NotMet));
    sections.extend(deviations::section(order, Verdict::NotShown));
    sections.extend(adjusted::section(order));
    sections.extend(series::section(order));
    sections.extend(evidence::affected(order));
    sections.push(followed::section(order));
    sections.push(evidence::instruments(order));
    sections.push(evidence::monitoring(order));
    sections.extend(trend::section(order));
    sections.push(lots(order));
    sections.push(evidence::files(order));
    sections.extend(evidence::findings(order));
    sections.push(evidence::choices(order));
    sections.push(signing());
    sections.push(closing::cautions());
    let right = format!("Verification, {}", period(order.verification));
    framed(order, "Verification of records", (title(order.plan), right), cover(order), sections)
}

fn title(plan: &Plan) -> &str {
    plan.head.as_ref().map_or("A plan without a name", |head| Plan::title(&head.name, &head.title))
}

/// A page about records: the plan and the plant in its head, the revision at its foot.
fn framed(
    order: &Order<'_>,
    kind: &str,
    (title, right): (&str, String),
    cover: Vec<Block>,
    mut sections: Vec<Section>,
) -> Page {
    let head = order.plan.head.as_ref();
    let owner = head.and_then(|head| head.establishment.as_deref()).unwrap_or_default();
    let revision = head.and_then(|head| head.revision.as_ref());
    number(&mut sections, "");
    Page {
        lang: "en",
        kind: kind.to_owned(),
        title: super::clean::clean(title),
        owner: super::clean::clean(owner),
        head: (self::title(order.plan).to_owned(), right),
        foot: revision.map_or_else(String::new, |revision| format!("plan revision {}", revision.number)),
        watermark: String::new(),
        paper: order.paper,
        sheets: false,
        compact: false,
        cover,
        sections,
    }
}

fn period(verification: &Verification) -> String {
    let day = |day: Option<chrono::NaiveDate>, open: &str| day.map_or_else(|| open.to_owned(), |day| day.to_string());
    format!("{} to {}", day(verification.period.from, "first record"), day(verification.period.to, "last record"))
}

fn cover(order: &Order<'_>) -> Vec<Block> {
    let verification = order.verification;
    let (met, not_met, not_shown) = verification.counts();
    let mut facts = vec![
        Fact::new("Lots begun", Cell::text(format!("{}, days in {}", period(verification), verification.zone))),
        Fact::new("Lots verified", Cell::text(verification.lots.len().to_string())),
        Fact::new(
            "Critical limits",
            Cell::text(format!(
                "{} judged: {met} met, {not_met} not met, {not_shown} not shown",
                met + not_met + not_shown
            )),
        ),
    ];
    if !verification.series.is_empty() {
        let count = |wanted| verification.series.iter().filter(|series| series.verdict == wanted).count();
        facts.push(Fact::new(
            "Over successive lots or samples",
            Cell::text(format!(
                "{} judged: {} met, {} not met, {} not shown",
                verification.series.len(),
                count(Verdict::Met),
                count(Verdict::NotMet),
                count(Verdict::NotShown)
            )),
        ));
    }
    if let Some(head) = &order.plan.head {
        if let Some(revision) = &head.revision {
            let date = revision.date.map_or_else(String::new, |date| format!(" of {date}"));
            facts.insert(0, Fact::new("Plan revision", Cell::text(format!("{}{date}", revision.number))));
        }
        if verification.revisions.len() > 1 {
            let lines = verification.revisions.iter().enumerate().map(|(index, one)| {
                let lots = verification.lots.iter().filter(|lot| lot.revision == index).count();
                format!("{} ({}), {}: {lots} lots", one.words(), one.short(), one.force())
            });
            let told = lines.collect::<Vec<_>>().join("; ");
            facts.push(Fact::new("Judged by the text in force when each lot was begun", Cell::text(told)));
        }
        let force = head
            .in_force
            .as_ref()
            .map_or_else(|| "not stated; the plan is a draft".to_owned(), |day| format!("in force from {}", day.value));
        let signed = order.signing.map_or_else(|| "not looked at".to_owned(), Signing::words);
        facts.insert(1, Fact::new("State of the plan", Cell::text(force)));
        facts.insert(2, Fact::new("Sign-off of the plan", Cell::text(signed)));
    }
    let lines = vec![
        Cell::text(
            "Met: every course of events that the record allows keeps the limit. Not met: none does. Not shown: the record does not decide; product is treated as in question until it is shown.",
        ),
        Cell::text("The report decides nothing about product. Disposition is for the person whom the plan names."),
    ];
    vec![Block::Facts { facts }, Block::note("caution", "How to read it", lines)]
}

/// Every critical limit of the plan with its control, in order.
fn critical(plan: &Plan) -> impl Iterator<Item = (&Control, &Limit)> {
    plan.controls
        .iter()
        .flat_map(|control| control.limits.iter().map(move |limit| (control, limit)))
        .filter(|(_, limit)| limit.kind == LimitKind::Critical)
}

/// The verdict of one limit for one lot, if it counts for it.
fn verdict_of(lot: &LotVerdicts, control: &Control, limit: &Limit) -> Option<Verdict> {
    lot.limits.iter().find(|one| one.is_of(control, limit)).map(|one| one.verdict)
}

/// A verdict, set strong if there is something to look at.
fn told(verdict: Verdict) -> Cell {
    match verdict {
        Verdict::Met => Cell::styled("quiet", "met"),
        Verdict::NotMet => Cell::styled("strong", "NOT MET"),
        Verdict::NotShown => Cell::styled("strong", "not shown"),
    }
}

/// A number, set strong if there is something to look at.
fn counted(count: usize, alarming: bool) -> Cell {
    match count {
        0 => Cell::styled("quiet", "0"),
        _ if alarming => Cell::styled("strong", count.to_string()),
        _ => Cell::text(count.to_string()),
    }
}

fn answer(order: &Order<'_>) -> Section {
    let labels = Labels::new(order.plan);
    let rows = critical(order.plan)
        .map(|(control, limit)| {
            let count = |wanted| {
                order.verification.lots.iter().filter(|lot| verdict_of(lot, control, limit) == Some(wanted)).count()
            };
            Row::new(vec![
                Cell::text(labels.mark(control)).then(vec![Piece::styled("quiet", &limit.name.text)]),
                Cell::text(forms(order.verification, control, limit)),
                counted(count(Verdict::Met), false),
                counted(count(Verdict::NotMet), true),
                counted(count(Verdict::NotShown), true),
            ])
        })
        .collect();
    let table = Table::some(
        "Lots by critical limit",
        &[("Limit", 22), ("As evaluated", 44), ("Met", 10), ("Not met", 12), ("Not shown", 12)],
        rows,
    );
    let mut blocks: Vec<Block> = table.into_iter().collect();
    let waiting: Vec<String> = order
        .verification
        .lots
        .iter()
        .filter(|lot| lot.critical().any(|limit| limit.not_yet))
        .map(|lot| lot.code.clone())
        .collect();
    if !waiting.is_empty() {
        blocks.push(Block::text(format!(
            "Not yet through every stage by the last record, and open in the next period: {}.",
            waiting.join(", ")
        )));
    }
    Section::new("answer", "The answer", blocks)
}

/// The limit as it was evaluated; where texts of the plan differ, every form of it.
fn forms(verification: &Verification, control: &Control, limit: &Limit) -> String {
    let mut forms = vec![limit.symbols()];
    for lot in &verification.lots {
        for own in lot.limits.iter().filter(|own| own.is_of(control, limit)) {
            if !forms.contains(&own.symbols) {
                forms.push(own.symbols.clone());
            }
        }
    }
    forms.join("; in an earlier text: ")
}

fn lots(order: &Order<'_>) -> Section {
    let labels = Labels::new(order.plan);
    let limits: Vec<(&Control, &Limit)> = critical(order.plan).collect();
    let revisions = &order.verification.revisions;
    let mut columns = vec![("Lot".to_owned(), 12)];
    columns.extend((revisions.len() > 1).then(|| ("Judged by".to_owned(), 12)));
    columns.extend(limits.iter().map(|(control, limit)| (format!("{} {}", labels.mark(control), limit.name), 10)));
    let columns: Vec<(&str, u32)> = columns.iter().map(|(title, width)| (title.as_str(), *width)).collect();
    let rows = order
        .verification
        .lots
        .iter()
        .map(|lot| {
            let mut cells = vec![Cell::text(&lot.code)];
            let judged = revisions.get(lot.revision).filter(|_| revisions.len() > 1);
            cells.extend(judged.map(|one| Cell::text(one.number.as_ref().map_or(&one.name, |number| number))));
            cells.extend(
                limits.iter().map(|(control, limit)| verdict_of(lot, control, limit).map_or_else(Cell::dash, told)),
            );
            Row::new(cells)
        })
        .collect();
    let table = Table::some("Each lot by each critical limit", &columns, rows).map(|block| match block {
        Block::Table(table) => Block::Table(table.look("wide")),
        other => other,
    });
    let none = Block::text("No lot of the register was begun in this period.");
    Section::new("lots", "Lots by limits", vec![table.unwrap_or(none)]).across()
}

fn signing() -> Section {
    let rows = ["Prepared by", "Reviewed by (someone else than who made the records)", "Plant"]
        .iter()
        .map(|role| Row::new(vec![Cell::text(role), Cell::empty(), Cell::empty(), Cell::empty()]))
        .collect();
    let table = Table::new(
        "To be signed by hand",
        &[("Role", 34), ("Name", 26), ("Signature", 26), ("Date", 14)],
        vec![super::page::Group { id: String::new(), rows }],
    );
    Section::new("signing", "Review", vec![Block::Table(table.look("signing"))])
}

/// The place of a finding in words.
fn place(sources: &Sources, finding: &Finding) -> String {
    match &finding.place {
        crate::source::Place::Text(loc) => sources.get(loc.source).map_or_else(String::new, |source| {
            let at = source.line_col(loc.span.start);
            format!("{}, line {}, column {}", source.name(), at.line, at.column)
        }),
        crate::source::Place::Cell(cell) => match (&cell.column, cell.row) {
            (Some(column), row) if row > 0 => format!("{}, row {row}, column {column}", cell.file),
            (None, row) if row > 0 => format!("{}, row {row}", cell.file),
            _ => cell.file.clone(),
        },
        crate::source::Place::Named(text) => text.clone(),
    }
}
