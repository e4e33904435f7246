//! The diagram as sentences, for readers who cannot see the picture.

use super::graph::{EdgeKind, Graph, Node, NodeKind};

/// The facts of the diagram as an ordered list of sentences, one for each box
/// that the sentence of a step does not already name, in the order of the
/// graph's boxes: `Step 3 Cook follows step 2 Thaw; uses Salt; CCP 1.`
pub fn text_alternative(graph: &Graph) -> Vec<String> {
    let links = graph.links();
    let places = graph.places();
    graph
        .nodes
        .iter()
        .enumerate()
        .filter(|(i, node)| places.get(node.key.as_str()) == Some(i))
        .filter_map(|(i, node)| match node.kind {
            NodeKind::Material => unused(graph, &links, i, node),
            NodeKind::Step => Some(sentence(graph, &links, i, node)),
            NodeKind::Product | NodeKind::ByProduct => Some(sentence(graph, &links, i, node)),
            NodeKind::Rework | NodeKind::Waste => outlet(graph, &links, i, node),
        })
        .collect()
}

/// Only a material that no box receives needs a sentence of its own.
fn unused(graph: &Graph, links: &Links, at: usize, node: &Node) -> Option<String> {
    let used = links.iter().any(|(_, from, _)| *from == at);
    if used && node.marks.is_empty() {
        return None;
    }
    let mut clauses = vec![format!("Material {}", node.name())];
    let used_by = neighbours(graph, links, at, Way::Out, |_| true);
    if used_by.is_empty() {
        clauses.push("is used by no step".to_owned());
    } else {
        clauses.push(format!("is used by {}", list(&used_by)));
    }
    let mut text = clauses.join(" ");
    close(&mut text, node);
    Some(text)
}

/// Waste and rework are named by the step that gives them; the sentence says
/// where rework goes next.
fn outlet(graph: &Graph, links: &Links, at: usize, node: &Node) -> Option<String> {
    let from = neighbours(graph, links, at, Way::In, |_| true);
    let to = neighbours(graph, links, at, Way::Out, |_| true);
    if to.is_empty() && !from.is_empty() && node.marks.is_empty() {
        return None;
    }
    let mut text = format!("{} {}", capital(node.kind.word()), node.name());
    if from.is_empty() {
        text.push_str(" comes from no step");
    } else {
        text.push_str(&format!(" comes from {}", list(&from)));
    }
    if !to.is_empty() {
        text.push_str(&format!("; goes to {}", list(&to)));
    }
    close(&mut text, node);
    Some(text)
}

/// The sentence of a step or product.
fn sentence(graph: &Graph, links: &Links, at: usize, node: &Node) -> String {
    let mut text = if node.kind == NodeKind::Step {
        capital(&node.name())
    } else {
        format!("{} {}", capital(node.kind.word()), node.name())
    };
    let along = |k: EdgeKind| matches!(k, EdgeKind::Forward | EdgeKind::Branch);
    let before = neighbours(graph, links, at, Way::In, along);
    let verb = if node.kind == NodeKind::Step { "follows" } else { "comes from" };
    if before.is_empty() {
        text.push_str(if node.kind == NodeKind::Step { " starts the flow" } else { " comes from no step" });
    } else {
        text.push_str(&format!(" {verb} {}", list(&before)));
    }
    let rows: [(&str, Way, EdgeKind); 5] = [
        ("uses", Way::In, EdgeKind::Uses),
        ("takes back rework from", Way::In, EdgeKind::Rework),
        ("gives waste", Way::Out, EdgeKind::Waste),
        ("sends rework to", Way::Out, EdgeKind::Rework),
        ("branches to", Way::Out, EdgeKind::Branch),
    ];
    for (words, way, kind) in rows {
        let names = neighbours(graph, links, at, way, |k| k == kind);
        if !names.is_empty() {
            text.push_str(&format!("; {words} {}", list(&names)));
        }
    }
    close(&mut text, node);
    text
}

type Links = [(usize, usize, usize)];

#[derive(Clone, Copy, PartialEq)]
enum Way {
    In,
    Out,
}

fn neighbours(graph: &Graph, links: &Links, at: usize, way: Way, wanted: impl Fn(EdgeKind) -> bool) -> Vec<String> {
    links
        .iter()
        .filter_map(|(edge, from, to)| {
            let (own, other) = match way {
                Way::In => (*to, *from),
                Way::Out => (*from, *to),
            };
            let edge = graph.edges.get(*edge)?;
            if own != at || !wanted(edge.kind) {
                return None;
            }
            let name = if other == at { "itself".to_owned() } else { graph.nodes.get(other)?.name() };
            Some(match &edge.label {
                Some(label) => format!("{name} ({label})"),
                None => name,
            })
        })
        .collect()
}

fn close(text: &mut String, node: &Node) {
    if let Some(zone) = &node.zone {
        text.push_str(&format!("; zone {zone}"));
    }
    for mark in &node.marks {
        text.push_str(&format!("; {mark}"));
    }
    text.push('.');
}

fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(c) => c.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}
