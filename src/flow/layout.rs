//! Boxes to rows: sizes from the text, order and columns from `dagre`, row
//! heights of our own.

use dagre::graph::{Graph as DagreGraph, GraphOptions};
use dagre::{EdgeLabel, LayoutOptions, NodeLabel};

use super::graph::{EdgeKind, Graph, Node, NodeKind};
use super::text;

/// Size of the text of a step's title.
pub(super) const TITLE: f64 = 13.0;
/// Size of the text of a title in a smaller box.
pub(super) const SMALL: f64 = 12.0;
/// Size of captions and labels.
pub(super) const CAPTION: f64 = 10.0;
/// Distance from one title line to the next.
pub(super) const LEADING: f64 = 16.0;
/// Room for the arrowhead above a row.
pub(super) const STUB: f64 = 14.0;

/// The text of a box, broken into lines, and the room it needs.
#[derive(Debug, Clone)]
pub(super) struct Face {
    pub width: f64,
    pub height: f64,
    /// Width of the compartment with the number; 0 without one.
    pub column: f64,
    pub number: Option<String>,
    pub title: Vec<String>,
    pub title_size: f64,
    pub caption: Vec<String>,
    pub marks: Vec<String>,
}

/// A box at its place; `x` and `y` are its centre.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    pub node: usize,
    pub row: usize,
    pub x: f64,
    pub y: f64,
    pub face: Face,
}

impl Placed {
    pub fn left(&self) -> f64 {
        self.x - self.face.width / 2.0
    }
    pub fn right(&self) -> f64 {
        self.x + self.face.width / 2.0
    }
    pub fn top(&self) -> f64 {
        self.y - self.face.height / 2.0
    }
    pub fn bottom(&self) -> f64 {
        self.y + self.face.height / 2.0
    }
}

/// A line that `dagre` has been asked to route: place of the edge, its ends
/// (places in the list of boxes) and the bends `dagre` proposes.
#[derive(Debug, Clone)]
pub(super) struct Descent {
    pub edge: usize,
    pub from: usize,
    pub to: usize,
    pub bends: Vec<(f64, f64)>,
}

/// Boxes in rows, before lines are routed. `y` of boxes is that of `dagre`
/// until [`super::route`] sets the row heights.
#[derive(Debug, Clone, Default)]
pub(super) struct Grid {
    pub boxes: Vec<Placed>,
    /// Centre of each row in the coordinates of `dagre`.
    pub row_centres: Vec<f64>,
    /// Lines that go down.
    pub descents: Vec<Descent>,
    /// Lines that return: place of the edge, its two ends.
    pub returns: Vec<(usize, usize, usize)>,
}

/// Lays the graph out in rows.
pub(super) fn grid(graph: &Graph) -> Grid {
    let places = graph.places();
    let shown: Vec<usize> =
        graph.nodes.iter().enumerate().filter(|(i, n)| places.get(n.key.as_str()) == Some(i)).map(|(i, _)| i).collect();
    let (down, back) = part_returns(graph);

    let mut dg: DagreGraph<NodeLabel, EdgeLabel> =
        DagreGraph::with_options(GraphOptions { directed: true, multigraph: true, compound: false });
    let mut faces: Vec<(usize, Face)> = Vec::new();
    for i in shown {
        let Some(node) = graph.nodes.get(i) else {
            continue;
        };
        let face = measure(node);
        let label = NodeLabel { width: face.width, height: face.height, ..NodeLabel::default() };
        dg.set_node(format!("n{i}"), Some(label));
        faces.push((i, face));
    }
    let mut into: Vec<i32> = vec![0; graph.nodes.len()];
    for (edge, from, to) in &down {
        let kind = graph.edges.get(*edge).map(|e| e.kind);
        let (weight, minlen) = match kind {
            Some(EdgeKind::Uses) => {
                // At most three materials beside each other; more stand higher.
                let count = into.get_mut(*to).map(|n| {
                    *n += 1;
                    *n - 1
                });
                (2, 1 + count.unwrap_or(0) / 3)
            }
            Some(EdgeKind::Forward) => (12, 1),
            Some(EdgeKind::Branch) => (6, 1),
            _ => (1, 1),
        };
        let label = EdgeLabel { weight, minlen, ..EdgeLabel::default() };
        let (v, w, name) = (format!("n{from}"), format!("n{to}"), format!("e{edge}"));
        dg.set_edge(&v, &w, Some(label), Some(&name));
    }
    dagre::layout(
        &mut dg,
        Some(LayoutOptions { nodesep: 28.0, edgesep: 22.0, ranksep: 40.0, ..LayoutOptions::default() }),
    );

    let mut boxes: Vec<Placed> = faces
        .into_iter()
        .map(|(node, face)| {
            let label = dg.node(&format!("n{node}"));
            let x = label.and_then(|l| l.x).unwrap_or(0.0);
            let y = label.and_then(|l| l.y).unwrap_or(0.0);
            Placed { node, row: 0, x, y, face }
        })
        .collect();
    let row_centres = rows(&mut boxes);
    let at = |node: usize| boxes.iter().position(|b| b.node == node);
    let mut descents = Vec::new();
    let mut returns = Vec::new();
    for (edge, from, to) in down {
        let (Some(a), Some(b)) = (at(from), at(to)) else {
            continue;
        };
        let row = |i: usize| boxes.get(i).map(|b| b.row);
        if row(a) >= row(b) {
            returns.push((edge, a, b));
            continue;
        }
        let label = dg.edge(&format!("n{from}"), &format!("n{to}"), Some(&format!("e{edge}")));
        let bends = label.map(|l| l.points.iter().map(|p| (p.x, p.y)).collect()).unwrap_or_default();
        descents.push(Descent { edge, from: a, to: b, bends });
    }
    for (edge, from, to) in back {
        if let (Some(a), Some(b)) = (at(from), at(to)) {
            returns.push((edge, a, b));
        }
    }
    Grid { boxes, row_centres, descents, returns }
}

/// Sorts boxes into rows by their centre; gives the centres from the top.
fn rows(boxes: &mut [Placed]) -> Vec<f64> {
    let mut centres: Vec<f64> = boxes.iter().map(|b| b.y).collect();
    centres.sort_by(f64::total_cmp);
    centres.dedup_by(|a, b| (*a - *b).abs() < 0.5);
    for b in boxes {
        b.row = centres.iter().position(|c| (c - b.y).abs() < 0.75).unwrap_or(0);
    }
    centres
}

type Links = Vec<(usize, usize, usize)>;

/// Parts the lines that go down from those that return. Lines are taken in
/// order, rework last; one that would close a loop returns.
fn part_returns(graph: &Graph) -> (Links, Links) {
    let links = graph.links();
    let is_rework = |edge: usize| graph.edges.get(edge).map(|e| e.kind) == Some(EdgeKind::Rework);
    let mut after: Vec<Vec<usize>> = vec![Vec::new(); graph.nodes.len()];
    let (mut down, mut back) = (Vec::new(), Vec::new());
    let first = links.iter().filter(|l| !is_rework(l.0));
    let last = links.iter().filter(|l| is_rework(l.0));
    for link in first.chain(last) {
        let (_, from, to) = *link;
        if from == to || reaches(&after, to, from) {
            back.push(*link);
        } else {
            if let Some(list) = after.get_mut(from) {
                list.push(to);
            }
            down.push(*link);
        }
    }
    (down, back)
}

fn reaches(after: &[Vec<usize>], from: usize, goal: usize) -> bool {
    let mut seen = vec![false; after.len()];
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        if at == goal {
            return true;
        }
        match seen.get_mut(at) {
            Some(seen) if !*seen => *seen = true,
            _ => continue,
        }
        open.extend(after.get(at).into_iter().flatten());
    }
    false
}

/// Breaks the text of a box into lines and sizes the box.
fn measure(node: &Node) -> Face {
    let step = node.kind == NodeKind::Step;
    let (wide, title_size) = match node.kind {
        NodeKind::Step => (220.0, TITLE),
        NodeKind::Product | NodeKind::ByProduct => (180.0, TITLE),
        NodeKind::Material | NodeKind::Rework | NodeKind::Waste => (132.0, SMALL),
    };
    let marked = !node.marks.is_empty();
    let number = node.number.as_ref().map(|n| text::fit(n, 60.0, TITLE));
    let column = number.as_ref().map_or(0.0, |n| (text::width(n, TITLE) + 16.0).max(34.0));
    let inset = if marked { 10.0 } else { 0.0 };
    let room = wide - column - inset - 18.0;
    let title = text::wrap(&node.title, room, title_size);
    let mut caption = Vec::new();
    if !step {
        caption.push(node.kind.word().to_owned());
    }
    if let Some(zone) = &node.zone {
        caption.extend(text::wrap(&format!("zone: {zone}"), room, CAPTION));
    }
    let marks = if marked { text::wrap(&node.marks.join(" · "), wide - 28.0, TITLE) } else { Vec::new() };
    let lines = title.len() as f64 * LEADING
        + caption.len() as f64 * 13.0
        + marks.len() as f64 * LEADING
        + if marked { 8.0 } else { 0.0 };
    Face { width: wide, height: lines + 14.0 + inset, column, number, title, title_size, caption, marks }
}
