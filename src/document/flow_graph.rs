//! The plan's steps, materials and outlets as the graph that the flow diagram draws.

use super::clean::clean;
use super::labels::Labels;
use crate::flow::{Edge, EdgeKind, Graph, Node, NodeKind};
use crate::plan::{Outcome, Plan, Step};
use std::collections::BTreeSet;

/// The graph of a plan. Steps follow each other as written unless `after` says otherwise; each dispatch step
/// leads to the products it is for; a material stands before the first step that uses it.
#[must_use]
pub fn graph(labels: &Labels<'_>) -> Graph {
    let plan = labels.plan();
    let mut graph = Graph::default();
    let mut seen = BTreeSet::new();
    for step in &plan.steps {
        for name in &step.uses {
            let Some(material) = plan.material(&name.text) else { continue };
            let key = format!("material {}", name.text);
            if seen.insert(key.clone()) {
                graph.nodes.push(Node::new(
                    key.clone(),
                    NodeKind::Material,
                    clean(Plan::title(&material.name, &material.title)),
                ));
            }
            graph.edges.push(Edge::new(key, step_key(step), EdgeKind::Uses));
        }
        graph.nodes.push(step_node(labels, step));
        gives(&mut graph, labels, step);
    }
    for material in &plan.materials {
        let key = format!("material {}", material.name.text);
        if seen.insert(key.clone()) {
            graph.nodes.push(Node::new(key, NodeKind::Material, clean(Plan::title(&material.name, &material.title))));
        }
    }
    follow(&mut graph, plan);
    products(&mut graph, plan);
    graph
}

fn step_key(step: &Step) -> String {
    format!("step {}", step.name.text)
}

fn step_node(labels: &Labels<'_>, step: &Step) -> Node {
    let mut node = Node::new(step_key(step), NodeKind::Step, clean(Plan::title(&step.name, &step.title)));
    node.number = Some(clean(labels.step_number(&step.name.text)));
    node.zone = step.zone.as_ref().map(|zone| clean(&zone.text));
    node.marks = labels
        .plan()
        .ccps()
        .filter(|control| control.at.contains(&step.name))
        .map(|control| clean(&labels.mark(control)))
        .collect();
    node
}

fn gives(graph: &mut Graph, labels: &Labels<'_>, step: &Step) {
    for give in &step.gives {
        let title = clean(&labels.used(&give.name));
        if let (Outcome::Rework, Some(to)) = (give.outcome, &give.to) {
            let mut edge = Edge::new(step_key(step), format!("step {}", to.text), EdgeKind::Rework);
            edge.label = Some(title);
            graph.edges.push(edge);
            continue;
        }
        let (node, edge) = match give.outcome {
            Outcome::Waste => (NodeKind::Waste, EdgeKind::Waste),
            Outcome::ByProduct => (NodeKind::ByProduct, EdgeKind::Branch),
            Outcome::Rework => (NodeKind::Rework, EdgeKind::Branch),
        };
        let key = format!("out {} {}", step.name.text, give.name.text);
        graph.nodes.push(Node::new(key.clone(), node, title));
        graph.edges.push(Edge::new(step_key(step), key, edge));
    }
}

/// Draws the lines from step to step. The first line out of a step is its way on, each further one a branch.
fn follow(graph: &mut Graph, plan: &Plan) {
    let mut left = BTreeSet::new();
    let mut before: Option<&Step> = None;
    for step in &plan.steps {
        let from: Vec<&str> = if step.after.is_empty() {
            before
                .filter(|last| !step.starts && !last.dispatches)
                .map(|last| last.name.text.as_str())
                .into_iter()
                .collect()
        } else {
            step.after.iter().map(|name| name.text.as_str()).collect()
        };
        for name in from {
            let first = left.insert(name);
            let mut edge = Edge::new(
                format!("step {name}"),
                step_key(step),
                if first { EdgeKind::Forward } else { EdgeKind::Branch },
            );
            let same = plan.step(name).is_some_and(|other| other.only_for == step.only_for);
            if !step.only_for.is_empty() && !same {
                let titles: Vec<String> =
                    step.only_for.iter().map(|product| clean(product_title(plan, &product.text))).collect();
                edge.label = Some(format!("only {}", titles.join(", ")));
            }
            graph.edges.push(edge);
        }
        before = Some(step);
    }
}

fn product_title<'a>(plan: &'a Plan, name: &'a str) -> &'a str {
    plan.products
        .iter()
        .find(|product| product.name.text == name)
        .map_or(name, |product| Plan::title(&product.name, &product.title))
}

fn products(graph: &mut Graph, plan: &Plan) {
    for product in &plan.products {
        let key = format!("product {}", product.name.text);
        graph.nodes.push(Node::new(key.clone(), NodeKind::Product, clean(Plan::title(&product.name, &product.title))));
        for step in plan.steps.iter().filter(|step| step.dispatches) {
            if step.only_for.is_empty() || step.only_for.contains(&product.name) {
                graph.edges.push(Edge::new(step_key(step), key.clone(), EdgeKind::Forward));
            }
        }
    }
}
