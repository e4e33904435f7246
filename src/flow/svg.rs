//! Writes the drawing as SVG.

use std::fmt::Write as _;

use super::boxes::box_of;
use super::graph::{Graph, NodeKind};
use super::layout::CAPTION;
use super::lines::lines;
use super::parts::{Connector, DrawOptions, Slice};
use super::pen::{Style, put};
use super::route::Drawing;
use super::text::{self, escape, number};

/// Room around the drawing.
const MARGIN: f64 = 8.0;
/// Radius of the circle at a cut line.
const CIRCLE: f64 = 11.0;
/// Room for the text of a cut line.
const CUT_TEXT: f64 = 120.0;
/// Height of the band that holds cut lines.
const CUT_BAND: f64 = 86.0;

/// One part of the drawing as an `svg` element.
pub(super) fn write(graph: &Graph, drawing: &Drawing, slice: &Slice, options: &DrawOptions) -> String {
    let mut body = String::new();
    let row_at = |i: usize| drawing.rows.get(i).copied().unwrap_or_default();
    let (head, foot) = (row_at(slice.first).above, row_at(slice.end.saturating_sub(1)).below);
    let (left, right) = drawing.part_extent(&(slice.first..slice.end));
    let mut reach = Reach { left, right };
    let cuts = spread(&slice.connectors, &mut reach);
    let has = |at_foot: bool| cuts.iter().any(|(c, _)| c.at_foot == at_foot);
    let top = head - if has(false) { CUT_BAND } else { 0.0 } - MARGIN;
    let bottom = foot + if has(true) { CUT_BAND } else { 0.0 } + MARGIN;

    lines(&mut body, graph, drawing, slice, &cuts);
    for (connector, x) in &cuts {
        let y = if connector.at_foot { foot + 26.0 } else { head - 26.0 };
        circle(&mut body, connector, *x, y);
    }
    for b in &drawing.boxes {
        if b.row >= slice.first
            && b.row < slice.end
            && let Some(node) = graph.nodes.get(b.node)
        {
            box_of(&mut body, node, b);
        }
    }
    let id = text::id_prefix(&options.id_prefix);
    let title = if slice.of > 1 {
        format!("{}, part {} of {}", options.title, slice.number, slice.of)
    } else {
        options.title.clone()
    };
    let description = match &options.description {
        Some(text) => text.clone(),
        None => describe(graph),
    };
    let (x, y) = (reach.left - MARGIN, top);
    let (w, h) = (reach.right - reach.left + 2.0 * MARGIN, bottom - top);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"flow-diagram\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\" viewBox=\"{} {} {} {}\" width=\"{}\" \
         height=\"{}\" style=\"max-width:100%;height:auto\" fill=\"none\" \
         stroke=\"currentColor\" font-family=\"Helvetica, Arial, sans-serif\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n{body}</svg>\n",
        number(x),
        number(y),
        number(w),
        number(h),
        number(w),
        number(h),
        escape(&title),
        escape(&description),
    )
}

struct Reach {
    left: f64,
    right: f64,
}

/// Moves the cuts of each side apart so that their texts do not overlap.
fn spread<'c>(connectors: &'c [Connector], reach: &mut Reach) -> Vec<(&'c Connector, f64)> {
    let mut all = Vec::new();
    for at_foot in [false, true] {
        let mut side: Vec<&Connector> = connectors.iter().filter(|c| c.at_foot == at_foot).collect();
        side.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.edge.cmp(&b.edge)));
        let mut next = f64::MIN;
        let mut placed: Vec<(&Connector, f64)> = Vec::new();
        for c in side {
            let x = c.x.max(next);
            next = x + CUT_TEXT + 10.0;
            placed.push((c, x));
        }
        for (_, x) in &placed {
            reach.left = reach.left.min(x - CUT_TEXT / 2.0);
            reach.right = reach.right.max(x + CUT_TEXT / 2.0);
        }
        all.extend(placed);
    }
    all
}

/// A circle with its letter and its text.
fn circle(out: &mut String, connector: &Connector, x: f64, y: f64) {
    let _ = writeln!(
        out,
        "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" stroke-width=\"1.6\"/>",
        number(x),
        number(y),
        number(CIRCLE)
    );
    put(out, &connector.letter, x, y + 4.0, Style::bold(12.0));
    let mut wrapped = text::wrap(&connector.text, CUT_TEXT, CAPTION);
    if wrapped.len() > 4 {
        wrapped.truncate(4);
        if let Some(last) = wrapped.last_mut() {
            last.push('…');
        }
    }
    let first = if connector.at_foot {
        y + CIRCLE + 12.0
    } else {
        y - CIRCLE - 5.0 - (wrapped.len().saturating_sub(1)) as f64 * 12.0
    };
    for (i, line) in wrapped.iter().enumerate() {
        put(out, line, x, first + i as f64 * 12.0, Style::plain(CAPTION));
    }
}

/// The description used when the caller gives none.
fn describe(graph: &Graph) -> String {
    let count = |kind: NodeKind| graph.nodes.iter().filter(|n| n.kind == kind).count();
    let marks: Vec<&str> = graph.nodes.iter().flat_map(|n| n.marks.iter().map(String::as_str)).collect();
    let mut text = format!(
        "{} process steps, {} materials, {} products.",
        count(NodeKind::Step),
        count(NodeKind::Material),
        count(NodeKind::Product)
    );
    if !marks.is_empty() {
        let _ = write!(text, " Control points: {}.", marks.join(", "));
    }
    text.push_str(" The same flow follows in words.");
    text
}
