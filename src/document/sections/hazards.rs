//! The hazard analysis, by material and by step: steps 6 and 7.

use crate::check::trees::{self, Question};
use crate::document::clean::anchor;
use crate::document::labels::{Labels, day, spaced};
use crate::document::page::{Block, Cell, Group, Piece, Row, Section, Table};
use crate::plan::{Analysis, Hazard, HazardRow, Name, Plan, Verb};

/// Columns after the one that names the material or step.
const COLUMNS: [(&str, u32); 7] = [
    ("Hazard and class", 17),
    ("What it does", 10),
    ("Likelihood", 11),
    ("Severity", 10),
    ("Significant, and why", 21),
    ("Decision answers", 12),
    ("Control", 20),
];

pub(super) fn analysis(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let mut parts = vec![considered(labels)];
    parts.extend(sources(labels));
    let materials: Vec<Group> = plan
        .materials
        .iter()
        .map(|material| {
            let name =
                Piece::plain(Plan::title(&material.name, &material.title)).to(anchor("material", &material.name.text));
            group(labels, anchor("analysis", &material.name.text), &name, &material.analysis)
        })
        .collect();
    parts.extend(tree(labels));
    parts.push(worksheet("hazards-materials", "Hazards of the materials", "Material", materials));
    let steps: Vec<Group> = plan
        .steps
        .iter()
        .map(|step| {
            let name = Piece::plain(format!(
                "{} {}",
                labels.step_number(&step.name.text),
                Plan::title(&step.name, &step.title)
            ));
            group(labels, anchor("step", &step.name.text), &name, &step.analysis)
        })
        .collect();
    parts.push(worksheet("hazards-steps", "Hazards by step", "Step", steps).own_page());
    Section::new("hazards", "Hazard analysis", Vec::new()).aside("Codex steps 6 and 7").with(parts).own_page()
}

fn worksheet(id: &str, title: &str, first: &str, groups: Vec<Group>) -> Section {
    let mut columns = vec![(first, 14)];
    columns.extend(COLUMNS);
    let groups: Vec<Group> = groups.into_iter().filter(|group| !group.rows.is_empty()).collect();
    let block = if groups.is_empty() {
        Block::text("No row is written.")
    } else {
        Block::Table(Table::new(title, &columns, groups).look("wide"))
    };
    Section::new(id, title, vec![block]).across()
}

fn considered(labels: &Labels<'_>) -> Section {
    let rows = labels
        .plan()
        .hazards
        .iter()
        .map(|hazard| {
            let severity = match &hazard.severity {
                Some((severity, Some(why))) => Cell::text(format!("{}: {why}", severity.word())),
                Some((severity, None)) => Cell::text(severity.word()),
                None => Cell::said(None),
            };
            Row::at(
                anchor("hazard", &hazard.name.text),
                vec![
                    Cell::text(Plan::title(&hazard.name, &hazard.title)),
                    Cell::said(hazard.class.map(|class| class.word())),
                    severity,
                    Cell::said(hazard.acceptable_level.as_deref()),
                    labels.cites(&hazard.cites).or("not stated"),
                ],
            )
        })
        .collect();
    let columns =
        [("Hazard", 22), ("Class", 13), ("Severity", 22), ("Acceptable level in the food", 20), ("Evidence", 23)];
    let table =
        Table::some("Hazards considered", &columns, rows).unwrap_or_else(|| Block::text("No hazard is described."));
    Section::new("hazards-considered", "Hazards considered", vec![table])
}

/// The sources of hazards that were looked at, where the plan says so.
fn sources(labels: &Labels<'_>) -> Option<Section> {
    let head = labels.plan().head.as_ref()?;
    let rows = head
        .considered
        .iter()
        .map(|said| {
            let sources = said.sources.iter().map(|name| spaced(&name.text)).collect::<Vec<_>>().join(", ");
            let hazards = said.hazards.iter().map(|name| labels.hazard(name));
            Row::new(vec![Cell::text(sources), Cell::pieces(hazards).or("none"), Cell::text(&said.why)])
        })
        .collect();
    let columns = [("Source", 30), ("Hazards it led to", 30), ("Why these and no other", 40)];
    let table = Table::some("Sources of hazards looked at", &columns, rows)?;
    Some(Section::new("hazards-sources", "Sources of hazards", vec![table]))
}

/// The rows of one material or step: its hazards, then the classes answered with no.
fn group(labels: &Labels<'_>, id: String, name: &Piece, analysis: &Analysis) -> Group {
    let mut rows: Vec<Row> = analysis.rows.iter().map(|row| hazard_row(labels, name, row)).collect();
    let mut answer = |what: String, why: &str| {
        let mut cells = vec![Cell::line(vec![name.clone()]), Cell::text(what)];
        cells.extend([Cell::dash(), Cell::dash(), Cell::dash()]);
        cells.push(Cell::line(vec![Piece::styled("strong", "No. "), Piece::plain(why)]));
        cells.extend([Cell::dash(), Cell::dash()]);
        rows.push(Row::new(cells));
    };
    for (class, why, _) in &analysis.none {
        answer(format!("No {} hazard", class.word()), why);
    }
    if let Some((why, _)) = &analysis.no_other {
        answer("No other hazard".to_owned(), why);
    }
    Group { id, rows }
}

fn hazard_row(labels: &Labels<'_>, name: &Piece, row: &HazardRow) -> Row {
    let find = |name: &Name| labels.plan().hazard(&name.text);
    let hazards = row.hazards.iter().map(|name| {
        let class =
            find(name).and_then(|hazard| hazard.class).map_or_else(String::new, |class| format!(" ({})", class.word()));
        vec![labels.hazard(name), Piece::styled("quiet", class)]
    });
    let likelihood = match &row.likelihood {
        Some((word, Some(why))) => Cell::text(format!("{}: {why}", spaced(&word.text))),
        Some((word, None)) => Cell::text(spaced(&word.text)),
        None => Cell::said(None),
    };
    let (significant, relies) = match &row.significance {
        Some(said) => {
            let word = if said.significant { "Yes. " } else { "No. " };
            let cell = Cell::line(vec![Piece::styled("strong", word), Piece::plain(&said.why)]);
            let relies = said
                .relies_on
                .iter()
                .map(|name| vec![Piece::styled("quiet", "relies on "), labels.programme(name)])
                .collect();
            (cell, relies)
        }
        None => (Cell::said(None), Vec::new()),
    };
    let decision = row
        .decision
        .iter()
        .map(|(question, answer)| format!("{}\u{a0}{}", question.text.to_uppercase(), answer.word()));
    let scores = row.scores.iter().map(|(name, score)| format!("{}\u{a0}{score}", spaced(&name.text)));
    let mut decision: Vec<String> = scores.chain(decision).collect();
    if let Some((date, what, _)) = &row.changed {
        decision.push(format!("changed {}: {what}", day(*date)));
    }
    let decision = if decision.is_empty() { Cell::dash() } else { Cell::text(decision.join(", ")) };
    let mut controls: Vec<Vec<Piece>> = row
        .controls
        .iter()
        .map(|(control, how)| {
            let mut line = vec![labels.control(control)];
            line.extend(how.as_ref().map(|how| Piece::plain(format!(": {how}"))));
            line
        })
        .collect();
    controls.extend(relies);
    Row::new(vec![
        Cell::line(vec![name.clone()]),
        Cell::lines(hazards),
        Cell::text(verb(row.verb)),
        likelihood,
        severities(&row.hazards.iter().filter_map(find).collect::<Vec<_>>()),
        significant,
        decision,
        Cell::lines(controls).or("none"),
    ])
}

/// The severity of each hazard of a row; one word if they agree.
fn severities(hazards: &[&Hazard]) -> Cell {
    let mut words: Vec<&str> = hazards
        .iter()
        .map(|hazard| hazard.severity.as_ref().map_or("not stated", |(severity, _)| severity.word()))
        .collect();
    if words.windows(2).all(|pair| matches!(pair, [a, b] if a == b)) {
        words.truncate(1);
    }
    Cell::texts(words).or("not stated")
}

fn verb(verb: Verb) -> &'static str {
    match verb {
        Verb::Arrives => "arrives with the material",
        Verb::Introduced => "is introduced",
        Verb::Grows => "grows",
        Verb::FormsToxin => "forms toxin",
        Verb::Survives => "survives",
        Verb::Remains => "remains",
    }
}

/// The questions of the decision tree that the plan names.
fn tree(labels: &Labels<'_>) -> Option<Section> {
    let tree = labels.plan().head.as_ref()?.tree.as_ref()?;
    let mut blocks = vec![Block::text(format!(
        "The decision answers below follow the tree named {}. The published tree prevails over any wording here.",
        tree.text
    ))];
    let cells = |one: &Question| [&one.key, &one.asks, &one.yes, &one.no].map(Cell::text).into();
    let rows = trees::questions(&tree.text).map(|question| Row::new(cells(question))).collect();
    let columns = [("Question", 12), ("What it asks", 48), ("Yes", 20), ("No", 20)];
    blocks.extend(Table::some("Questions in brief", &columns, rows));
    Some(Section::new("decision-tree", "Decision tree", blocks))
}
