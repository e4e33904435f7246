//! Sources and studies, each with its edition and every place that leans on it.

use crate::document::clean::anchor;
use crate::document::labels::{Labels, day};
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};
use crate::plan::{Citable, Citation, Name, Plan};

pub(super) fn section(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let sources = plan
        .sources
        .iter()
        .map(|source| {
            Row::at(
                anchor("evidence", &source.name.text),
                vec![
                    Cell::text(Plan::title(&source.name, &source.title))
                        .labelled("Replaces", source.replaces.as_deref()),
                    Cell::said(source.publisher.as_deref()),
                    Cell::said(source.edition.as_deref()).labelled("Copy", source.place.as_deref()),
                    cited(labels, source),
                ],
            )
        })
        .collect();
    let columns = [("Source", 36), ("Publisher", 18), ("Edition", 18), ("Cited for", 28)];
    let mut blocks: Vec<Block> = Table::some("Sources", &columns, sources).into_iter().collect();
    let studies = plan
        .studies
        .iter()
        .map(|study| {
            let date = study.date.as_ref().map(|date| day(date.value));
            Row::at(
                anchor("evidence", &study.name.text),
                vec![
                    Cell::text(Plan::title(&study.name, &study.title)).labelled("File", study.place.as_deref()),
                    Cell::said(date.as_deref()),
                    Cell::said(study.finding.as_deref()),
                    cited(labels, study),
                ],
            )
        })
        .collect();
    let columns = [("Study or trial", 31), ("Date", 13), ("What it showed", 28), ("Cited for", 28)];
    blocks.extend(Table::some("Studies and trials", &columns, studies));
    if blocks.is_empty() {
        blocks.push(Block::text("No source or study is described."));
    }
    Section::new("evidence", "Supporting evidence", blocks)
}

/// Every place that cites a source or study, with the place cited in it.
fn cited(labels: &Labels<'_>, thing: &Citable) -> Cell {
    let plan = labels.plan();
    let mut lines: Vec<Vec<Piece>> = Vec::new();
    let mut add = |who: Piece, cites: &[Citation]| {
        for cite in cites.iter().filter(|cite| cite.name == thing.name) {
            let mut line = vec![who.clone()];
            line.extend(cite.at.as_ref().map(|at| Piece::styled("quiet", format!(", {at}"))));
            lines.push(line);
        }
    };
    for hazard in &plan.hazards {
        add(labels.hazard(&hazard.name), &hazard.cites);
    }
    for material in &plan.materials {
        add(plain(&material.name, &material.title, "material"), &material.cites);
    }
    for programme in &plan.programmes {
        add(labels.programme(&programme.name), &programme.cites);
    }
    for control in &plan.controls {
        add(labels.control(&control.name), &control.cites);
        for limit in &control.limits {
            let who = labels.control(&control.name);
            add(Piece { text: format!("{}, {}", who.text, limit.name.text.replace('-', " ")), ..who }, &limit.cites);
        }
    }
    for model in &plan.inactivations {
        add(Piece::plain(Plan::title(&model.name, &model.title)).to("models"), &model.cites);
    }
    for model in &plan.growth_models {
        add(Piece::plain(Plan::title(&model.name, &model.title)).to("models"), &model.cites);
    }
    for table in &plan.tables {
        add(Piece::plain(Plan::title(&table.name, &table.title)).to("limit-tables"), &table.cites);
    }
    for other in plan.sources.iter().chain(&plan.studies) {
        add(labels.citable(&other.name), &other.cites);
    }
    for control in &plan.controls {
        if control.validated.iter().any(|validated| validated.support.iter().any(|(_, name)| *name == thing.name)) {
            lines.push(vec![labels.control(&control.name), Piece::styled("quiet", ", validation")]);
        }
    }
    Cell::lines(lines).or("not cited")
}

fn plain(name: &Name, title: &Option<String>, kind: &str) -> Piece {
    Piece::plain(Plan::title(name, title)).to(anchor(kind, &name.text))
}
