//! The input of the flow diagram.

use std::collections::BTreeMap;

/// What a box of the diagram stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum NodeKind {
    /// Something that enters the process: ingredient, packaging, water.
    Material,
    /// A process step.
    Step,
    /// What the process is run for.
    Product,
    /// Something saleable that leaves beside the product.
    ByProduct,
    /// Material that goes back into the process.
    Rework,
    /// Material that is thrown away.
    Waste,
}

impl NodeKind {
    /// The word for this kind, as printed in the box and in the sentences.
    pub fn word(self) -> &'static str {
        match self {
            NodeKind::Material => "material",
            NodeKind::Step => "step",
            NodeKind::Product => "product",
            NodeKind::ByProduct => "by-product",
            NodeKind::Rework => "rework",
            NodeKind::Waste => "waste",
        }
    }
}

/// What a line of the diagram stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum EdgeKind {
    /// The step that follows; solid line.
    Forward,
    /// A way that only part of the product takes; solid line.
    Branch,
    /// Product that returns to an earlier step; dashed line with a label.
    Rework,
    /// What leaves to be thrown away; dotted line.
    Waste,
    /// A material entering a step; thin solid line.
    Uses,
}

/// One box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// Name by which edges refer to the box; unique in the graph (of two boxes
    /// with one key the first is kept).
    pub key: String,
    /// What the box stands for.
    pub kind: NodeKind,
    /// The step number as printed, `None` for a box without one.
    pub number: Option<String>,
    /// The text of the box.
    pub title: String,
    /// Control points at this step, as printed: `CCP 1`. A box with any mark
    /// gets the double border.
    pub marks: Vec<String>,
    /// Hygiene zone of the step, if the plan names one.
    pub zone: Option<String>,
}

impl Node {
    /// A box with no number, mark or zone.
    pub fn new(key: impl Into<String>, kind: NodeKind, title: impl Into<String>) -> Self {
        Node { key: key.into(), kind, number: None, title: title.into(), marks: Vec::new(), zone: None }
    }

    /// The box as a sentence names it: `step 3 Cook`, `Salt`.
    pub fn name(&self) -> String {
        match (&self.number, self.kind) {
            (Some(number), NodeKind::Step) => format!("step {number} {}", self.title),
            (None, NodeKind::Step) => format!("step {}", self.title),
            (Some(number), _) => format!("{number} {}", self.title),
            (None, _) => self.title.clone(),
        }
    }
}

/// One line from box to box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edge {
    /// Key of the box where the line begins.
    pub from: String,
    /// Key of the box where the arrow ends.
    pub to: String,
    /// What the line stands for.
    pub kind: EdgeKind,
    /// Text beside the line; a rework line without one is labelled `rework`.
    pub label: Option<String>,
}

impl Edge {
    /// A line without a label.
    pub fn new(from: impl Into<String>, to: impl Into<String>, kind: EdgeKind) -> Self {
        Edge { from: from.into(), to: to.into(), kind, label: None }
    }
}

/// Boxes in process order and the lines between them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Graph {
    /// The boxes; their order is the order of the sentences and breaks ties in
    /// the layout.
    pub nodes: Vec<Node>,
    /// The lines.
    pub edges: Vec<Edge>,
}

impl Graph {
    /// Lines that name a box the graph does not have. They are left out of the
    /// picture and the sentences, so a caller should report them.
    pub fn dangling(&self) -> Vec<&Edge> {
        let known = self.places();
        self.edges
            .iter()
            .filter(|e| !known.contains_key(e.from.as_str()) || !known.contains_key(e.to.as_str()))
            .collect()
    }

    /// Keys that more than one box bears. Only the first such box is drawn, so
    /// a caller should report them.
    pub fn repeated_keys(&self) -> Vec<&str> {
        let known = self.places();
        self.nodes
            .iter()
            .enumerate()
            .filter(|(i, n)| known.get(n.key.as_str()) != Some(i))
            .map(|(_, n)| n.key.as_str())
            .collect()
    }

    /// Place of the first box with each key.
    pub(super) fn places(&self) -> BTreeMap<&str, usize> {
        let mut places = BTreeMap::new();
        for (i, node) in self.nodes.iter().enumerate() {
            places.entry(node.key.as_str()).or_insert(i);
        }
        places
    }

    /// The usable lines as (place of the line, from, to), in order.
    pub(super) fn links(&self) -> Vec<(usize, usize, usize)> {
        let places = self.places();
        self.edges
            .iter()
            .enumerate()
            .filter_map(|(i, e)| {
                let from = places.get(e.from.as_str())?;
                let to = places.get(e.to.as_str())?;
                Some((i, *from, *to))
            })
            .collect()
    }
}
