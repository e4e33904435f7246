//! What is measured, with what, and the models that limits are evaluated by.

use crate::document::clean::anchor;
use crate::document::labels::Labels;
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};
use crate::plan::condition::Condition;
use crate::plan::limit::{Limit, Measured};
use crate::plan::{Formula, LimitKind, Name, Parameter, Plan, Shape, TableRow};

pub(super) fn section(labels: &Labels<'_>) -> Section {
    let parts = vec![parameters(labels), instruments(labels)];
    Section::new("measurement", "Measurement, instruments and calibration", Vec::new())
        .with(parts.into_iter().chain(models(labels)).chain(tables(labels)).collect())
}

fn shown(value: Option<&Measured>) -> Cell {
    Cell::said(value.map(Measured::shown).as_deref())
}

fn between(range: Option<&(Measured, Measured)>) -> Cell {
    Cell::said(range.map(|(low, high)| format!("{} to {}", low.shown(), high.shown())).as_deref())
}

fn parameters(labels: &Labels<'_>) -> Section {
    let rows = labels
        .plan()
        .parameters
        .iter()
        .map(|parameter| {
            let unit = match (&parameter.unit, parameter.answers.is_empty()) {
                (Some(unit), _) => unit.value.symbol.to_owned(),
                (None, false) => {
                    parameter.answers.iter().map(|answer| answer.text.as_str()).collect::<Vec<_>>().join(", ")
                }
                (None, true) => "no unit".to_owned(),
            };
            Row::at(
                anchor("parameter", &parameter.name.text),
                vec![
                    Cell::text(Plan::title(&parameter.name, &parameter.title)),
                    Cell::styled("code", &parameter.name.text),
                    Cell::text(unit),
                    Cell::lines(origin(labels, parameter)),
                ],
            )
        })
        .collect();
    let columns = [("Parameter", 32), ("As named in limits", 20), ("Unit or answers", 18), ("Where it comes from", 30)];
    let block = Table::some("Parameters", &columns, rows).unwrap_or_else(|| Block::text("No parameter is described."));
    Section::new("parameters", "Parameters", vec![block])
}

fn origin(labels: &Labels<'_>, parameter: &Parameter) -> Vec<Vec<Piece>> {
    let mut lines: Vec<String> = Vec::new();
    match &parameter.formula {
        Some(Formula::Humidity { dry, wet, pressure }) => {
            let at = pressure.as_ref().map_or_else(|| "the standard atmosphere".to_owned(), Measured::shown);
            lines.push(format!("computed: relative humidity from {dry} and {wet}, at {at}"));
        }
        Some(Formula::Arithmetic(expression)) => lines.push(format!("computed: {}", expression.symbols())),
        None => {}
    }
    lines.extend(parameter.pairing.as_ref().map(|pairing| format!("readings paired within {}", pairing.shown())));
    if !parameter.probes.is_empty() {
        let probes: Vec<&str> = parameter.probes.iter().map(|probe| probe.text.as_str()).collect();
        lines.push(format!("probes: {}; each must meet the limit", probes.join(", ")));
    }
    lines.extend(
        parameter
            .recorded
            .as_ref()
            .map(|(each, record)| format!("recorded once each {each} on {}", labels.record(record))),
    );
    if lines.is_empty() {
        lines.push(if parameter.answers.is_empty() {
            "measured".to_owned()
        } else {
            "answered at each check".to_owned()
        });
    }
    lines.into_iter().map(|line| vec![Piece::plain(line)]).collect()
}

fn instruments(labels: &Labels<'_>) -> Section {
    let all = &labels.plan().instruments;
    let rows = all
        .iter()
        .map(|instrument| {
            let title = Cell::text(Plan::title(&instrument.name, &instrument.title))
                .labelled("Serial", instrument.serial.as_deref());
            let responds = instrument.response.as_ref().map(|time| format!("within {}", time.shown()));
            let stuck = instrument.stuck_after.as_ref().map(|after| format!("unchanged for {}", after.shown()));
            Row::at(
                anchor("instrument", &instrument.name.text),
                vec![
                    title,
                    Cell::texts(instrument.measures.iter().map(|name| labels.parameter(name))).or("not stated"),
                    between(instrument.range.as_ref()),
                    shown(instrument.resolution.as_ref()),
                    shown(instrument.accuracy.as_ref())
                        .labelled("Shows nothing once", stuck.as_deref())
                        .labelled("Responds", responds.as_deref()),
                ],
            )
        })
        .collect();
    let columns = [("Instrument", 26), ("Measures", 32), ("Range", 18), ("Resolution", 12), ("Accuracy", 12)];
    let mut blocks: Vec<Block> = Table::some("Instruments", &columns, rows).into_iter().collect();
    let rows = all
        .iter()
        .map(|instrument| {
            let title = Cell::text(Plan::title(&instrument.name, &instrument.title));
            match &instrument.calibration {
                Some(how) => Row::new(vec![
                    title.labelled("How", how.method.as_deref()),
                    Cell::text(format!("every {}", how.every)),
                    Cell::text(how.within.shown()),
                    Cell::text(labels.role(&how.by)),
                    Cell::text(labels.record(&how.record)),
                ]),
                None => Row::new(vec![title, Cell::said(None), Cell::said(None), Cell::said(None), Cell::said(None)]),
            }
        })
        .collect();
    let columns = [("Instrument", 30), ("How often", 16), ("Within", 12), ("Who", 21), ("Record", 21)];
    blocks.extend(Table::some("Calibration", &columns, rows));
    if blocks.is_empty() {
        blocks.push(Block::text("No instrument is described."));
    }
    Section::new("instruments", "Instruments and calibration", blocks)
}

fn models(labels: &Labels<'_>) -> Option<Section> {
    let plan = labels.plan();
    let heat = plan
        .inactivations
        .iter()
        .map(|model| {
            let d = model.d.as_ref().map(|(time, at)| format!("{} at {}", time.shown(), at.shown()));
            Row::new(vec![
                Cell::text(Plan::title(&model.name, &model.title)),
                Cell::said(d.as_deref()),
                shown(model.z.as_ref()),
                between(model.range.as_ref()),
                labels.cites(&model.cites).or("not stated"),
            ])
        })
        .collect();
    let columns = [("Organism and food", 28), ("D", 16), ("z", 10), ("Holds for", 18), ("Evidence", 28)];
    let mut blocks: Vec<Block> = Table::some("Heat destruction, log-linear", &columns, heat).into_iter().collect();
    let growth = plan
        .growth_models
        .iter()
        .map(|model| {
            Row::new(vec![
                Cell::text(Plan::title(&model.name, &model.title)),
                shown(model.minimum.as_ref()),
                shown(model.optimum.as_ref()),
                shown(model.maximum.as_ref()),
                shown(model.rate.as_ref()),
                labels.cites(&model.cites).or("not stated"),
            ])
        })
        .collect();
    let columns = [
        ("Organism and food", 26),
        ("Lowest", 11),
        ("Fastest at", 12),
        ("Highest", 11),
        ("Rate there", 14),
        ("Evidence", 26),
    ];
    blocks.extend(Table::some("Growth by temperature", &columns, growth));
    (!blocks.is_empty()).then(|| Section::new("models", "Models behind limits", blocks))
}

fn tables(labels: &Labels<'_>) -> Option<Section> {
    let mut blocks = Vec::new();
    for table in &labels.plan().tables {
        let rows = table.rows.iter().map(|row| Row::new(vec![Cell::styled("code", table_row(row))])).collect();
        blocks.extend(Table::some(Plan::title(&table.name, &table.title), &[("Row", 1)], rows));
        if !table.cites.is_empty() {
            blocks.push(Block::Text { text: labels.cites(&table.cites) });
        }
    }
    (!blocks.is_empty()).then(|| Section::new("limit-tables", "Tables of limits", blocks))
}

/// A row of a table in the symbols of a limit, without a parameter.
fn table_row(row: &TableRow) -> String {
    let bare = Name { text: String::new(), loc: row.loc };
    let limit = Limit {
        kind: LimitKind::Critical,
        name: bare.clone(),
        condition: Some(Condition::Level { parameter: bare, range: row.range.clone(), over: row.over.clone() }),
        during: None,
        since: None,
        guard: row.guard.clone(),
        credit_gap: None,
        pairing: None,
        shape: Shape::default(),
        pending: None,
        because: None,
        cites: Vec::new(),
        loc: row.loc,
        condition_loc: row.loc,
    };
    let otherwise = if row.otherwise { " otherwise" } else { "" };
    let name = row.name.as_ref().map_or_else(String::new, |name| format!("{name}: "));
    format!("{name}{}{otherwise}", limit.symbols().trim_start())
}
