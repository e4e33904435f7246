//! CCPs: the summary, each in full, and the other controls. Steps 7 to 11.

use super::{Place, hazards_of};
use crate::document::clean::anchor;
use crate::document::labels::{Labels, capital, day, spaced};
use crate::document::page::{Block, Cell, Fact, Group, Piece, Row, Section, Table};
use crate::plan::limit::Limit;
use crate::plan::{Citable, Control, Deviation, HoldBack, LimitKind, Monitor, Name, Series, SupportKind};

/// The ten columns of the trade's summary (see the HACCP plan form of the FDA seafood guide).
const SUMMARY: [(&str, u32); 10] = [
    ("CCP", 8),
    ("Significant hazards", 10),
    ("Critical limits", 15),
    ("Monitoring: what", 9),
    ("Monitoring: how", 11),
    ("Monitoring: how often", 9),
    ("Monitoring: who", 8),
    ("Corrective action", 15),
    ("Records", 8),
    ("Verification", 8),
];

pub(super) fn summary(labels: &Labels<'_>) -> Section {
    let groups: Vec<Group> = labels
        .plan()
        .ccps()
        .map(|control| Group { id: String::new(), rows: vec![summary_row(labels, control)] })
        .collect();
    let block = if groups.is_empty() {
        Block::text("The plan names no CCP.")
    } else {
        Block::Table(Table::new("Summary of the critical control points", &SUMMARY, groups).look("wide widest"))
    };
    Section::new("ccp-summary", "CCP summary", vec![block]).aside("Codex steps 7 to 12").across().own_page()
}

fn summary_row(labels: &Labels<'_>, control: &Control) -> Row {
    let plan = labels.plan();
    let critical = control.limits.iter().filter(|limit| limit.kind == LimitKind::Critical);
    let what = |monitor: &Monitor| monitor.parameters.iter().map(|name| labels.parameter(name)).collect::<Vec<_>>();
    let mut records: Vec<String> = control.monitors.iter().map(|monitor| labels.record(&monitor.record)).collect();
    records.extend(
        control.deviation.iter().filter_map(|deviation| deviation.record.as_ref()).map(|name| labels.record(name)),
    );
    records.extend(control.verify.iter().filter_map(|verify| verify.record.as_ref()).map(|name| labels.record(name)));
    let verify =
        control.verify.iter().map(|verify| format!("{}, {}", capital(&spaced(&verify.activity.text)), verify.when));
    Row::new(vec![
        Cell::line(vec![labels.control(&control.name)]).then(vec![Piece::styled("quiet", steps(labels, control))]),
        Cell::pieces(hazards_of(plan, control).into_iter().map(|(hazard, _)| labels.hazard(hazard))).or("none named"),
        Cell::texts(critical.map(|limit| limit.sentence(plan)).chain(control.series.iter().map(Series::sentence)))
            .or("none"),
        Cell::texts(once(control.monitors.iter().flat_map(what))).or("none"),
        Cell::texts(once(control.monitors.iter().flat_map(|monitor| how(labels, monitor)))).or("not stated"),
        Cell::texts(once(control.monitors.iter().map(|monitor| capital(&monitor.often.to_string())))).or("none"),
        Cell::texts(once(control.monitors.iter().map(|monitor| labels.role(&monitor.by)))).or("none"),
        control
            .deviation
            .as_ref()
            .map_or_else(Cell::empty, |deviation| Cell::texts(brief(labels, deviation)))
            .or("none"),
        Cell::texts(once(records)).or("none"),
        Cell::texts(verify).or("none"),
    ])
}

fn steps(labels: &Labels<'_>, control: &Control) -> String {
    let steps: Vec<String> = control.at.iter().map(|name| labels.step(name).text).collect();
    if steps.is_empty() { "at no step".to_owned() } else { format!("at {}", steps.join(", ")) }
}

/// Every text once, in the order of its first coming.
fn once(texts: impl IntoIterator<Item = String>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for text in texts {
        if !found.contains(&text) {
            found.push(text);
        }
    }
    found
}

fn how(labels: &Labels<'_>, monitor: &Monitor) -> Vec<String> {
    let instruments: Vec<String> = monitor.using.iter().map(|name| labels.instrument(name)).collect();
    let with = (!instruments.is_empty()).then(|| instruments.join(", "));
    with.into_iter().chain(monitor.how.clone()).collect()
}

fn back(back: HoldBack) -> &'static str {
    match back {
        HoldBack::LastGoodCheck => "back to the last good check",
        HoldBack::LastCheckWithEveryLimitMet => "back to the last check with every limit met",
    }
}

fn adjust(labels: &Labels<'_>, event: &Name) -> String {
    let moment = labels.plan().event(&event.text).and_then(|event| event.title.clone());
    format!("A good check before {} adjusts a miss; both are on record", moment.unwrap_or_else(|| spaced(&event.text)))
}

fn brief(labels: &Labels<'_>, deviation: &Deviation) -> Vec<String> {
    let mut lines: Vec<String> = deviation.hold.iter().cloned().collect();
    lines.extend(deviation.hold_back.map(|how| format!("Product in question: {}", back(how))));
    lines.extend(deviation.adjust.as_ref().map(|event| adjust(labels, event)));
    lines.extend(deviation.cause.clone());
    lines.extend(deviation.restore.clone());
    if let Some((ways, by)) = &deviation.disposition {
        let ways: Vec<&str> = ways.iter().map(|way| way.text.as_str()).collect();
        lines.push(format!("{} decides: {}", labels.role(by), ways.join(", ")));
    }
    lines
}

pub(super) fn each(labels: &Labels<'_>) -> Section {
    let parts: Vec<Section> = labels.plan().ccps().map(|control| full(labels, control).own_page()).collect();
    let blocks = if parts.is_empty() { vec![Block::text("The plan names no CCP.")] } else { Vec::new() };
    Section::new("ccps", "Critical control points in full", blocks).aside("Codex steps 8 to 11").with(parts)
}

pub(super) fn others(labels: &Labels<'_>) -> Section {
    let parts: Vec<Section> = labels
        .plan()
        .controls
        .iter()
        .filter(|control| !control.is_ccp())
        .map(|control| full(labels, control))
        .collect();
    let blocks = if parts.is_empty() {
        vec![Block::text("The plan names no control beside its CCPs and prerequisite programmes.")]
    } else {
        Vec::new()
    };
    Section::new("other-controls", "Other controls", blocks).with(parts).own_page()
}

/// One control in full.
fn full(labels: &Labels<'_>, control: &Control) -> Section {
    let plan = labels.plan();
    let hazards = hazards_of(plan, control).into_iter().map(|(hazard, places)| {
        let mut line = vec![labels.hazard(hazard), Piece::styled("quiet", " from ")];
        for (at, place) in places.into_iter().enumerate() {
            if at > 0 {
                line.push(Piece::plain(", "));
            }
            line.push(match place {
                Place::Step(name) => labels.step(name),
                Place::Material(name) => Piece::plain(labels.used(name)).to(anchor("analysis", &name.text)),
            });
        }
        line
    });
    let mut facts = vec![
        Fact::new("Works at", Cell::pieces(control.at.iter().map(|name| labels.step(name))).or("no step")),
        Fact::new(
            "Hazards it controls",
            Cell::lines(hazards).or("none: no row of the hazard analysis names this control"),
        ),
    ];
    if !control.is_ccp() {
        facts.insert(0, Fact::new("Kind", Cell::said(control.kind.map(|kind| spaced(kind.word())).as_deref())));
    }
    if let Some(why) = &control.because {
        facts.push(Fact::new("Reason", Cell::text(why)));
    }
    if !control.cites.is_empty() {
        facts.push(Fact::new("Evidence", labels.cites(&control.cites)));
    }
    let mut blocks = vec![Block::Facts { facts }];
    blocks.extend(limits(labels, control));
    blocks.push(monitoring(labels, control));
    blocks.push(Block::heading("Corrective action when a limit is not met or not shown"));
    blocks.push(
        control
            .deviation
            .as_ref()
            .map_or_else(|| Block::text("None is written."), |deviation| corrective(labels, deviation)),
    );
    blocks.push(verification(labels, control));
    blocks.push(validation(labels, control));
    Section::new(anchor("control", &control.name.text), labels.control_title(control), blocks)
}

fn limits(labels: &Labels<'_>, control: &Control) -> Vec<Block> {
    let kinds = [
        (LimitKind::Critical, if control.is_ccp() { "Critical limits" } else { "Limits" }),
        (LimitKind::Operating, "Operating limits: targets of the plant, inside the critical limits"),
        (LimitKind::Identity, "Values that the name of the food demands"),
        (LimitKind::Guide, "Advice"),
    ];
    let mut blocks = Vec::new();
    for (kind, caption) in kinds {
        let rows = control
            .limits
            .iter()
            .filter(|limit| limit.kind == kind)
            .map(|limit| limit_row(labels, control, limit))
            .collect();
        blocks.extend(Table::some(caption, &[("Limit", 16), ("In words", 40), ("As evaluated", 44)], rows));
    }
    if blocks.is_empty() {
        blocks.push(Block::text("No limit is set."));
    }
    let series = control.series.iter().map(|series| series_row(labels, series)).collect();
    let caption = "Over successive lots or samples, apart from the limits of a lot";
    blocks.extend(Table::some(caption, &[("Series", 16), ("In words", 40), ("As evaluated", 44)], series));
    blocks
}

fn series_row(labels: &Labels<'_>, series: &Series) -> Row {
    let mut words = Cell::text(series.sentence()).labelled("Reason", series.because.as_deref());
    words.lines.extend(labels.cites(&series.cites).lines);
    Row::new(vec![Cell::text(spaced(&series.name.text)), words, Cell::styled("code", series.symbols())])
}

fn limit_row(labels: &Labels<'_>, control: &Control, limit: &Limit) -> Row {
    let mut words = Cell::text(limit.sentence(labels.plan())).labelled("Reason", limit.because.as_deref());
    if let Some((by, until)) = &limit.pending {
        words = words.labelled("To be set by", Some(&format!("{}, before {}", labels.role(by), day(*until))));
    }
    words.lines.extend(labels.cites(&limit.cites).lines);
    for (what, said) in limit.beside(labels.plan(), control) {
        words = words.labelled(what, Some(&said));
    }
    let gap = limit.credit_gap.as_ref().map(|gap| gap.shown());
    let pairing = limit.pairing.as_ref().map(|pairing| pairing.shown());
    Row::new(vec![
        Cell::text(spaced(&limit.name.text)),
        words,
        Cell::styled("code", limit.symbols())
            .labelled("Readings are joined up to", gap.as_deref())
            .labelled("Readings are paired within", pairing.as_deref()),
    ])
}

fn monitoring(labels: &Labels<'_>, control: &Control) -> Block {
    let rows = control
        .monitors
        .iter()
        .map(|monitor| {
            Row::new(vec![
                Cell::texts(monitor.parameters.iter().map(|name| labels.parameter(name))),
                Cell::texts(how(labels, monitor)).or("not stated"),
                Cell::text(capital(&monitor.often.to_string())),
                Cell::text(labels.role(&monitor.by)),
                Cell::text(labels.record(&monitor.record)),
            ])
        })
        .collect();
    let columns = [("What", 23), ("How", 27), ("How often", 20), ("Who", 15), ("Record", 15)];
    Table::some("Monitoring", &columns, rows).unwrap_or_else(|| Block::text("No monitoring is written."))
}

fn corrective(labels: &Labels<'_>, deviation: &Deviation) -> Block {
    let disposition = deviation.disposition.as_ref().map(|(ways, by)| {
        let ways: Vec<&str> = ways.iter().map(|way| way.text.as_str()).collect();
        format!("{}; {} decides", ways.join(", "), labels.role(by))
    });
    let fact = |name: &str, text: Option<&str>| Fact::new(name, Cell::said(text));
    let adjusted = deviation.adjust.as_ref().map(|event| Fact::new("Adjustment", Cell::text(adjust(labels, event))));
    let mut facts = vec![
        fact("Hold the product", deviation.hold.as_deref()),
        fact("Product in question", deviation.hold_back.map(back)),
    ];
    facts.extend(adjusted);
    facts.extend([
        fact("Find and remove the cause", deviation.cause.as_deref()),
        fact("Bring back under control", deviation.restore.as_deref()),
        fact("Keep from happening again", deviation.prevent.as_deref()),
        fact("Disposition of the product", disposition.as_deref()),
        fact("Record", deviation.record.as_ref().map(|name| labels.record(name)).as_deref()),
    ]);
    Block::Facts { facts }
}

/// The verification of a control as a table; none where none is written.
pub(crate) fn verification_table(labels: &Labels<'_>, control: &Control, caption: &str) -> Option<Block> {
    let rows = control
        .verify
        .iter()
        .map(|verify| {
            Row::new(vec![
                Cell::text(capital(&spaced(&verify.activity.text))).labelled("How", verify.what.as_deref()),
                Cell::text(capital(&verify.when.to_string())),
                Cell::text(labels.role(&verify.by)),
                Cell::said(verify.record.as_ref().map(|name| labels.record(name)).as_deref()),
            ])
        })
        .collect();
    Table::some(caption, &[("Activity", 34), ("When", 22), ("Who", 22), ("Record", 22)], rows)
}

fn verification(labels: &Labels<'_>, control: &Control) -> Block {
    verification_table(labels, control, "Verification").unwrap_or_else(|| Block::text("No verification is written."))
}

fn validation(labels: &Labels<'_>, control: &Control) -> Block {
    let mut rows = Vec::new();
    for validated in &control.validated {
        for (kind, name) in &validated.support {
            let kind = match kind {
                SupportKind::Science => "scientific or technical support",
                SupportKind::InPlant => "data from the plant",
            };
            let shown =
                labels.plan().citable(&name.text).and_then(|thing| thing.finding.clone().or_else(|| edition(thing)));
            rows.push(Row::new(vec![
                Cell::text(day(validated.date)),
                Cell::text(kind),
                Cell::line(vec![labels.citable(name)]),
                Cell::said(shown.as_deref()),
            ]));
        }
        if validated.support.is_empty() {
            rows.push(Row::new(vec![
                Cell::text(day(validated.date)),
                Cell::said(None),
                Cell::said(None),
                Cell::said(None),
            ]));
        }
    }
    let columns = [("Date", 14), ("Kind", 20), ("Evidence", 33), ("What it showed, or its edition", 33)];
    Table::some("Validation", &columns, rows).unwrap_or_else(|| Block::text("No validation is written."))
}

/// Publisher and edition of a publication.
fn edition(thing: &Citable) -> Option<String> {
    let parts: Vec<&str> = [&thing.publisher, &thing.edition].into_iter().flatten().map(String::as_str).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}
