//! What the document of the demo's plan holds.

use crate::markup::{attribute, nested, outline, plain, text};
use crate::{GOOSE, day, read};
use bourn::document::Paper;
use bourn::document::flow_graph::graph;
use bourn::document::labels::Labels;
use bourn::flow::{EdgeKind, NodeKind};
use bourn::plan::Plan;
use std::collections::BTreeSet;

/// The text of the whole document, to be read when it changes.
#[test]
fn the_goose_plan_as_an_outline() {
    insta::assert_snapshot!(outline(&read(GOOSE).html()));
}

#[test]
fn tags_nest_anchors_are_unique_and_links_lead_somewhere() {
    let html = read(GOOSE).html();
    nested(&html);
    let ids = attribute(&html, "id");
    let known: BTreeSet<&String> = ids.iter().collect();
    assert_eq!(ids.len(), known.len(), "an anchor stands twice");
    let links = attribute(&html, "href");
    assert!(links.len() > 100);
    for link in links {
        let target = link.strip_prefix('#').expect("every link stays in the file").to_owned();
        assert!(known.contains(&target), "{target}");
    }
}

#[test]
fn nothing_is_asked_of_the_outside_and_nothing_runs() {
    let html = read(GOOSE).html().to_lowercase();
    for bad in [
        "<script",
        "src=",
        "http:",
        "https:",
        "url(",
        "@import",
        "javascript:",
        "<iframe",
        "<form",
        "<object",
        "<link",
        " onload",
        " onclick",
    ] {
        assert!(!html.contains(bad), "{bad}");
    }
    assert!(html.contains("content-security-policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'\""));
    assert!(html.contains("<html lang=\"en\">"));
}

#[test]
fn every_name_and_every_limit_is_there() {
    let read = read(GOOSE);
    let said = text(&read.html());
    let plan = &read.plan;
    let mut wanted: Vec<String> = Vec::new();
    wanted.extend(plan.hazards.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(plan.materials.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(plan.roles.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(plan.instruments.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(plan.parameters.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(plan.programmes.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(plan.records.iter().map(|thing| Plan::title(&thing.name, &thing.title).to_owned()));
    wanted.extend(
        plan.sources.iter().chain(&plan.studies).map(|thing| Plan::title(&thing.name, &thing.title).to_owned()),
    );
    wanted.extend(plan.steps.iter().filter_map(|step| step.does.clone()));
    for control in &plan.controls {
        wanted.push(format!("{} {}", control.number.as_ref().unwrap(), control.title.as_ref().unwrap()));
        for limit in &control.limits {
            wanted.push(limit.sentence(plan));
            wanted.push(limit.symbols());
        }
        let deviation = control.deviation.as_ref().unwrap();
        wanted.extend(
            [&deviation.hold, &deviation.cause, &deviation.restore, &deviation.prevent].into_iter().flatten().cloned(),
        );
    }
    for analysis in
        plan.steps.iter().map(|step| &step.analysis).chain(plan.materials.iter().map(|material| &material.analysis))
    {
        wanted.extend(analysis.rows.iter().map(|row| row.significance.as_ref().unwrap().why.clone()));
        wanted.extend(analysis.none.iter().map(|(_, why, _)| why.clone()));
        wanted.extend(analysis.no_other.iter().map(|(why, _)| why.clone()));
    }
    assert!(wanted.len() > 120);
    for text in wanted {
        assert!(said.contains(&plain(&text)), "{text}");
    }
}

#[test]
fn the_flow_follows_the_plan() {
    let read = read(GOOSE);
    let graph = graph(&Labels::new(&read.plan));
    let count = |kind: NodeKind| graph.nodes.iter().filter(|node| node.kind == kind).count();
    assert_eq!((count(NodeKind::Step), count(NodeKind::Material), count(NodeKind::Product)), (9, 5, 1));
    assert_eq!((count(NodeKind::Waste), count(NodeKind::ByProduct)), (2, 1));
    let forward = graph.edges.iter().filter(|edge| edge.kind == EdgeKind::Forward).count();
    assert_eq!(forward, 9, "eight ways from step to step and one to the product");
    assert!(graph.dangling().is_empty() && graph.repeated_keys().is_empty());
    let marks: Vec<&str> = graph.nodes.iter().flat_map(|node| node.marks.iter().map(String::as_str)).collect();
    assert_eq!(marks, ["CCP 1", "CCP 2", "CCP 3", "CCP 4", "CCP 5", "CCP 6"]);
}

/// Branch, return and rework, in a flow that is invented.
#[test]
fn branches_and_rework_are_drawn() {
    let read = read(concat!(
        "step weigh \"Weigh\" {\n  start\n}\n",
        "step mince \"Mince\" {\n}\n",
        "step slice \"Slice\" {\n  after weigh\n  gives ends as rework to mince\n}\n",
        "step pack \"Pack\" {\n  number \"9a\"\n  after mince, slice\n  dispatch\n}\n",
    ));
    let labels = Labels::new(&read.plan);
    let graph = graph(&labels);
    let edges: Vec<(&str, &str, EdgeKind)> =
        graph.edges.iter().map(|edge| (edge.from.as_str(), edge.to.as_str(), edge.kind)).collect();
    for wanted in [
        ("step weigh", "step mince", EdgeKind::Forward),
        ("step weigh", "step slice", EdgeKind::Branch),
        ("step slice", "step mince", EdgeKind::Rework),
        ("step mince", "step pack", EdgeKind::Forward),
        ("step slice", "step pack", EdgeKind::Forward),
    ] {
        assert!(edges.contains(&wanted), "{wanted:?} in {edges:?}");
    }
    assert_eq!(["weigh", "mince", "slice", "pack"].map(|name| labels.step_number(name)), ["1", "2", "3", "9a"]);
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    assert_eq!(read(GOOSE).html(), read(GOOSE).html());
}

#[test]
fn paper_is_named_in_the_style_sheet() {
    let read = read(GOOSE);
    assert!(read.html().contains("size: A4;"));
    let letter = read.html_on(Paper::Letter, day());
    assert!(
        letter.contains("size: Letter;") && letter.contains("size: Letter landscape;") && !letter.contains("size: A4")
    );
}
