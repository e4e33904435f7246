//! Monitoring sheets: one for each control and record.

use super::{Sheet, blank, critical, limits, reviewed};
use crate::document::labels::{Labels, capital, spaced};
use crate::document::page::{Block, Cell, Row, Section, Table};
use crate::plan::{Cadence, Control, Limit, LimitKind, Monitor, Name, Rhythm};

pub(super) fn sheets(labels: &Labels<'_>) -> Vec<Section> {
    let mut all = Vec::new();
    for control in &labels.plan().controls {
        let mut records: Vec<&Name> = Vec::new();
        for monitor in &control.monitors {
            if !records.contains(&&monitor.record) {
                records.push(&monitor.record);
            }
        }
        all.extend(records.into_iter().map(|record| sheet(labels, control, record)));
    }
    all
}

fn sheet(labels: &Labels<'_>, control: &Control, record: &Name) -> Section {
    let monitors: Vec<&Monitor> = control.monitors.iter().filter(|monitor| monitor.record == *record).collect();
    let mut watched: Vec<&Name> = Vec::new();
    for name in monitors.iter().flat_map(|monitor| &monitor.parameters) {
        if !watched.contains(&name) {
            watched.push(name);
        }
    }
    let everywhere: Vec<&Name> = control.monitors.iter().flat_map(|monitor| &monitor.parameters).collect();
    // A limit on a computed value stands on every sheet of its control.
    let here = |limit: &&Limit| {
        let named = limit.parameters();
        named.iter().any(|name| watched.contains(name)) || !named.iter().any(|name| everywhere.contains(name))
    };
    let mut blocks = Vec::new();
    blocks.extend(limits(
        labels,
        "Critical limits",
        control.limits.iter().filter(|limit| critical(limit)).filter(here),
    ));
    let operating = control.limits.iter().filter(|limit| limit.kind == LimitKind::Operating).filter(here);
    blocks.extend(limits(labels, "Operating limits: adjust at these, before a critical limit is missed", operating));
    blocks.push(what(labels, &monitors));
    let columns = columns(labels, &watched);
    let columns: Vec<(&str, u32)> = columns.iter().map(|(title, width)| (title.as_str(), *width)).collect();
    let how = if watched.len() > 3 { Sheet::Across } else { Sheet::Upright };
    blocks.push(blank("Entries", &columns, &blocks, how));
    if let Some(deviation) = &control.deviation {
        let hold = deviation.hold.as_deref().unwrap_or("Hold the product");
        let record = deviation.record.as_ref().map_or_else(String::new, |name| format!(" ({})", labels.record(name)));
        blocks.push(Block::text(format!(
            "If a limit is not met, or a check was missed: {hold}. Fill in a corrective-action sheet{record}."
        )));
    }
    blocks.push(reviewed());
    let title = format!("{}: {}", labels.control_title(control), labels.record(record));
    let id = crate::document::clean::anchor("sheet", &format!("{}-{}", control.name.text, record.text));
    let section = Section::new(id, title, blocks);
    match how {
        Sheet::Across => section.across(),
        Sheet::Upright => section,
    }
}

/// What is read, how, how often and by whom.
fn what(labels: &Labels<'_>, monitors: &[&Monitor]) -> Block {
    let rows = monitors
        .iter()
        .map(|monitor| {
            let using: Vec<String> = monitor.using.iter().map(|name| labels.instrument(name)).collect();
            Row::new(vec![
                Cell::texts(monitor.parameters.iter().map(|name| labels.parameter(name))),
                Cell::texts(using.into_iter().chain(monitor.how.clone())).or("not stated"),
                often(&monitor.often),
                Cell::text(labels.role(&monitor.by)),
            ])
        })
        .collect();
    let columns = [("What", 26), ("How", 34), ("How often", 22), ("Who", 18)];
    Table::some("Monitoring", &columns, rows).unwrap_or_else(|| Block::text("No monitoring is written."))
}

fn often(cadence: &Cadence) -> Cell {
    let cell = Cell::text(capital(&cadence.to_string()));
    match cadence.rhythm {
        Rhythm::Continuously(_) => cell.labelled("Here", Some("checks of the recorder by hand")),
        _ => cell,
    }
}

/// A column for each parameter between those that every record needs.
fn columns(labels: &Labels<'_>, watched: &[&Name]) -> Vec<(String, u32)> {
    let each = (46 / u32::try_from(watched.len().max(1)).unwrap_or(1)).max(8);
    let mut columns = vec![("Time".to_owned(), 9), ("Lot".to_owned(), 13)];
    for name in watched {
        let parameter = labels.plan().parameter(&name.text);
        let answers: Vec<String> =
            parameter.into_iter().flat_map(|one| &one.answers).map(|answer| spaced(&answer.text)).collect();
        let unit = parameter.and_then(|one| one.unit.as_ref()).map(|unit| unit.value.symbol);
        let title = match (answers.is_empty(), unit) {
            (false, _) => format!("{}: {}", labels.parameter(name), answers.join(" / ")),
            (true, Some(unit)) => format!("{}, {unit}", labels.parameter(name)),
            (true, None) => labels.parameter(name),
        };
        columns.push((title, each));
    }
    columns.extend([("Instrument".to_owned(), 13), ("Met? yes / no".to_owned(), 9), ("Initials".to_owned(), 10)]);
    columns
}
