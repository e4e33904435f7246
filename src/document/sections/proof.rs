//! Prerequisite programmes, the schedule of verification and validation, and records. Steps 11 and 12.

use crate::document::clean::anchor;
use crate::document::labels::{Labels, capital, day, spaced};
use crate::document::page::{Block, Cell, Fact, Piece, Row, Section, Table};
use crate::plan::{Name, Plan, Programme, Verify};

pub(super) fn programmes(labels: &Labels<'_>) -> Section {
    let parts: Vec<Section> =
        labels.plan().programmes.iter().map(|programme| programme_part(labels, programme)).collect();
    let blocks =
        if parts.is_empty() { vec![Block::text("No prerequisite programme is described.")] } else { Vec::new() };
    Section::new("programmes", "Prerequisite programmes", blocks).with(parts)
}

fn programme_part(labels: &Labels<'_>, programme: &Programme) -> Section {
    let relied: Vec<Piece> = relying(labels, &programme.name);
    let mut facts = vec![
        Fact::new("Covers", Cell::said(programme.covers.as_deref())),
        Fact::new("Procedure", Cell::said(programme.procedure.as_deref())),
        Fact::new("Relied on at", Cell::pieces(relied).or("no row of the hazard analysis")),
    ];
    if !programme.cites.is_empty() {
        facts.push(Fact::new("Evidence", labels.cites(&programme.cites)));
    }
    let mut blocks = vec![Block::Facts { facts }];
    let routines = programme
        .routines
        .iter()
        .map(|routine| {
            Row::new(vec![
                Cell::text(&routine.what),
                Cell::text(capital(&routine.often.to_string())),
                Cell::text(labels.role(&routine.by)),
                Cell::text(labels.record(&routine.record)),
            ])
        })
        .collect();
    blocks.extend(Table::some(
        "What is done",
        &[("What", 40), ("How often", 20), ("Who", 20), ("Record", 20)],
        routines,
    ));
    let verified = programme.verify.iter().map(|verify| verify_row(labels, Vec::new(), verify)).collect();
    blocks.extend(Table::some(
        "Verification",
        &[("Activity", 34), ("When", 22), ("Who", 22), ("Record", 22)],
        verified,
    ));
    Section::new(anchor("programme", &programme.name.text), Plan::title(&programme.name, &programme.title), blocks)
}

/// Materials and steps whose analysis leans on a programme.
fn relying(labels: &Labels<'_>, programme: &Name) -> Vec<Piece> {
    let plan = labels.plan();
    let leans = |analysis: &crate::plan::Analysis| {
        analysis.rows.iter().any(|row| {
            row.significance.as_ref().is_some_and(|said| said.relies_on.contains(programme))
                || row.controls.iter().any(|(name, _)| name == programme)
        })
    };
    let materials = plan.materials.iter().filter(|material| leans(&material.analysis)).map(|material| {
        Piece::plain(Plan::title(&material.name, &material.title)).to(anchor("analysis", &material.name.text))
    });
    let steps = plan.steps.iter().filter(|step| leans(&step.analysis)).map(|step| labels.step(&step.name));
    materials.chain(steps).collect()
}

fn verify_row(labels: &Labels<'_>, mut before: Vec<Cell>, verify: &Verify) -> Row {
    before.extend([
        Cell::text(capital(&spaced(&verify.activity.text))).labelled("How", verify.what.as_deref()),
        Cell::text(capital(&verify.when.to_string())),
        Cell::text(labels.role(&verify.by)),
        Cell::said(verify.record.as_ref().map(|name| labels.record(name)).as_deref()),
    ]);
    Row::new(before)
}

pub(super) fn schedule(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let controls = plan.controls.iter().flat_map(|control| {
        control
            .verify
            .iter()
            .map(|verify| verify_row(labels, vec![Cell::line(vec![labels.control(&control.name)])], verify))
    });
    let programmes = plan.programmes.iter().flat_map(|programme| {
        programme
            .verify
            .iter()
            .map(|verify| verify_row(labels, vec![Cell::line(vec![labels.programme(&programme.name)])], verify))
    });
    let calibrations = plan.instruments.iter().filter_map(|instrument| {
        let how = instrument.calibration.as_ref()?;
        Some(Row::new(vec![
            Cell::line(vec![
                Piece::plain(Plan::title(&instrument.name, &instrument.title))
                    .to(anchor("instrument", &instrument.name.text)),
            ]),
            Cell::text("Calibration"),
            Cell::text(format!("Every {}", how.every)),
            Cell::text(labels.role(&how.by)),
            Cell::text(labels.record(&how.record)),
        ]))
    });
    let rows = controls.chain(programmes).chain(calibrations).collect();
    let columns = [("Of what", 23), ("Activity", 18), ("When", 15), ("Who", 22), ("Record", 22)];
    let mut blocks: Vec<Block> = vec![
        Table::some("Verification schedule", &columns, rows)
            .unwrap_or_else(|| Block::text("No verification is written.")),
    ];
    let validated = plan
        .controls
        .iter()
        .flat_map(|control| {
            control.validated.iter().map(|validated| {
                let support = validated.support.iter().map(|(_, name)| labels.citable(name));
                Row::new(vec![
                    Cell::line(vec![labels.control(&control.name)]),
                    Cell::text(day(validated.date)),
                    Cell::pieces(support).or("not stated"),
                ])
            })
        })
        .collect();
    blocks.push(
        Table::some("Validation", &[("Of what", 26), ("Date", 17), ("Rests on", 57)], validated)
            .unwrap_or_else(|| Block::text("No validation is written.")),
    );
    Section::new("schedule", "Verification and validation schedule", blocks).aside("Codex step 11")
}

pub(super) fn records(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let rows = plan
        .records
        .iter()
        .map(|record| {
            let (kept, place) = match &record.kept {
                Some((term, place)) => (Cell::text(term.to_string()), Cell::said(place.as_deref())),
                None => (Cell::said(None), Cell::said(None)),
            };
            Row::at(
                anchor("record", &record.name.text),
                vec![
                    Cell::text(Plan::title(&record.name, &record.title)),
                    Cell::texts(held(labels, &record.name)).or("nothing yet"),
                    kept,
                    place,
                ],
            )
        })
        .collect();
    let columns = [("Record", 28), ("What is written on it", 40), ("Kept for", 14), ("Where", 18)];
    let mut blocks = vec![
        Table::some("Records and how long they are kept", &columns, rows)
            .unwrap_or_else(|| Block::text("No record is described.")),
    ];
    let events = plan
        .events
        .iter()
        .map(|event| {
            Row::new(vec![
                Cell::text(capital(&spaced(&event.name.text))),
                Cell::said(event.title.as_deref()),
                Cell::text(labels.record(&event.record)),
            ])
        })
        .collect();
    blocks.extend(Table::some(
        "Moments that records must name",
        &[("Moment", 24), ("What it is", 46), ("Record", 30)],
        events,
    ));
    let stages = plan
        .steps
        .iter()
        .flat_map(|step| {
            step.stages.iter().map(|stage| {
                let moment = |name: &Name| {
                    plan.event(&name.text).and_then(|event| event.title.clone()).unwrap_or_else(|| spaced(&name.text))
                };
                Row::new(vec![
                    Cell::text(capital(&spaced(&stage.name.text))),
                    Cell::line(vec![labels.step(&step.name)]),
                    Cell::text(moment(&stage.from)),
                    Cell::text(match stage.ends_when() {
                        Some(limit) => format!("when {} is met", spaced(&limit.text)),
                        None => stage.ends_at().map_or_else(String::new, &moment),
                    }),
                ])
            })
        })
        .collect();
    blocks.extend(Table::some("Stages between them", &[("Stage", 20), ("Step", 26), ("From", 27), ("To", 27)], stages));
    Section::new("records", "Records and retention", blocks).aside("Codex step 12")
}

/// What a plan writes on a record.
fn held(labels: &Labels<'_>, record: &Name) -> Vec<String> {
    let plan = labels.plan();
    let mut found: Vec<String> = Vec::new();
    let mut add = |text: String| {
        if !found.contains(&text) {
            found.push(text);
        }
    };
    for control in &plan.controls {
        let mark = labels.mark(control);
        if control.monitors.iter().any(|monitor| monitor.record == *record) {
            add(format!("monitoring of {mark}"));
        }
        if control.deviation.as_ref().is_some_and(|deviation| deviation.record.as_ref() == Some(record)) {
            add("corrective actions".to_owned());
        }
        for verify in control.verify.iter().filter(|verify| verify.record.as_ref() == Some(record)) {
            add(spaced(&verify.activity.text));
        }
    }
    if plan
        .instruments
        .iter()
        .any(|instrument| instrument.calibration.as_ref().is_some_and(|how| how.record == *record))
    {
        add("calibrations".to_owned());
    }
    for programme in &plan.programmes {
        let verified = programme.verify.iter().any(|verify| verify.record.as_ref() == Some(record));
        if verified || programme.routines.iter().any(|routine| routine.record == *record) {
            add(Plan::title(&programme.name, &programme.title).to_lowercase());
        }
    }
    for parameter in
        plan.parameters.iter().filter(|parameter| parameter.recorded.as_ref().is_some_and(|(_, on)| on == record))
    {
        add(Plan::title(&parameter.name, &parameter.title).to_lowercase());
    }
    if plan.events.iter().any(|event| event.record == *record) {
        add("start and end of each stage".to_owned());
    }
    found
}
