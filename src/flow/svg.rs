//! Writes the drawing as SVG.

use std::fmt::Write as _;

use super::graph::{EdgeKind, Graph, Node, NodeKind};
use super::layout::{CAPTION, LEADING, Placed, TITLE};
use super::parts::{Connector, DrawOptions, Slice};
use super::route::{Drawing, Return, edge_label};
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
pub(super) fn write(
    graph: &Graph,
    drawing: &Drawing,
    slice: &Slice,
    options: &DrawOptions,
) -> String {
    let mut body = String::new();
    let row_at = |i: usize| drawing.rows.get(i).copied().unwrap_or_default();
    let (head, foot) = (
        row_at(slice.first).above,
        row_at(slice.end.saturating_sub(1)).below,
    );
    let (left, right) = drawing.part_extent(&(slice.first..slice.end));
    let mut reach = Reach { left, right };
    let cuts = spread(&slice.connectors, &mut reach);
    let has = |at_foot: bool| cuts.iter().any(|(c, _)| c.at_foot == at_foot);
    let top = head - if has(false) { CUT_BAND } else { 0.0 } - MARGIN;
    let bottom = foot + if has(true) { CUT_BAND } else { 0.0 } + MARGIN;

    lines(&mut body, graph, drawing, slice, &cuts);
    for (connector, x) in &cuts {
        let y = if connector.at_foot {
            foot + 26.0
        } else {
            head - 26.0
        };
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
        let mut side: Vec<&Connector> =
            connectors.iter().filter(|c| c.at_foot == at_foot).collect();
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

/// Every line that shows in the part.
fn lines(
    out: &mut String,
    graph: &Graph,
    drawing: &Drawing,
    slice: &Slice,
    cuts: &[(&Connector, f64)],
) {
    let row_at = |i: usize| drawing.rows.get(i).copied().unwrap_or_default();
    let foot = row_at(slice.end.saturating_sub(1)).below;
    let head = row_at(slice.first).above;
    let cut = |edge: usize, enters: bool| {
        cuts.iter()
            .find(|(c, _)| c.edge == edge && c.enters == enters)
            .map(|(c, x)| (*x, if c.at_foot { foot + 15.0 } else { head - 15.0 }))
    };
    for down in &drawing.downs {
        let last = down.first_row + down.columns.len().saturating_sub(1);
        let inside = |r: usize| r >= slice.first && r < slice.end;
        // A part that a line only passes does not show it.
        if !inside(down.first_row) && !inside(last) {
            continue;
        }
        let Some(kind) = graph.edges.get(down.edge).map(|e| e.kind) else {
            continue;
        };
        let mut corners = drawing.down_corners(down, slice.first, slice.end);
        if let Some(at) = cut(down.edge, true) {
            corners.insert(0, at);
        }
        if let Some(at) = cut(down.edge, false) {
            corners.push(at);
        }
        stroke(out, kind, &corners);
        if inside(last)
            && let (Some(x), Some(b)) = (down.columns.last(), drawing.boxes.get(down.to))
        {
            let left = *x < b.x;
            let style = Style {
                anchor: if left { "end" } else { "start" },
                ..Style::plain(CAPTION)
            };
            let x = x + if left { -6.0 } else { 6.0 };
            let label = edge_label(graph, down.edge);
            let first = row_at(b.row).top - 4.0 - label.len().saturating_sub(1) as f64 * 12.0;
            for (i, line) in label.iter().enumerate() {
                put(out, line, x, first + i as f64 * 12.0, style);
            }
        }
    }
    for line in &drawing.returns {
        returning(out, graph, drawing, slice, line, cut);
    }
}

/// The stretch of a returning line that shows in the part.
fn returning(
    out: &mut String,
    graph: &Graph,
    drawing: &Drawing,
    slice: &Slice,
    line: &Return,
    cut: impl Fn(usize, bool) -> Option<(f64, f64)>,
) {
    let Some(kind) = graph.edges.get(line.edge).map(|e| e.kind) else {
        return;
    };
    let inside = |i: usize| {
        let row = drawing.boxes.get(i).map(|b| b.row);
        row.is_some_and(|r| r >= slice.first && r < slice.end)
    };
    let mut corners = Vec::new();
    if inside(line.from) {
        corners.extend(drawing.leave_corners(line));
        corners.extend(cut(line.edge, false));
    }
    let mut enter = Vec::new();
    if inside(line.to) {
        enter.extend(cut(line.edge, true));
        enter.extend(drawing.enter_corners(line));
    }
    let whole = inside(line.from) && inside(line.to);
    if whole {
        corners.extend(enter.iter().copied());
        stroke(out, kind, &corners);
    } else {
        for half in [&corners, &enter] {
            if half.len() > 1 {
                stroke(out, kind, half);
            }
        }
    }
    // The label stands beside the upright stretch in the lane.
    let upright: Vec<f64> = corners
        .iter()
        .chain(&enter)
        .filter(|(x, _)| (x - line.lane).abs() < 0.05)
        .map(|(_, y)| *y)
        .collect();
    let (low, high) = (
        upright.iter().copied().fold(f64::MAX, f64::min),
        upright.iter().copied().fold(f64::MIN, f64::max),
    );
    if low <= high {
        let middle = f64::midpoint(low, high);
        let first = middle - line.label.len() as f64 * 6.0 + 9.0;
        for (i, text) in line.label.iter().enumerate() {
            let style = Style {
                anchor: "start",
                ..Style::plain(CAPTION)
            };
            put(out, text, line.lane + 5.0, first + i as f64 * 12.0, style);
        }
    }
}

/// A line through the corners with an arrowhead at its end.
fn stroke(out: &mut String, kind: EdgeKind, corners: &[(f64, f64)]) {
    let (class, style) = match kind {
        EdgeKind::Forward => ("forward", "stroke-width=\"1.6\""),
        EdgeKind::Branch => ("branch", "stroke-width=\"1.6\""),
        EdgeKind::Uses => ("uses", "stroke-width=\"1\""),
        EdgeKind::Rework => ("rework", "stroke-width=\"1.6\" stroke-dasharray=\"7 4\""),
        EdgeKind::Waste => (
            "waste",
            "stroke-width=\"1.8\" stroke-linecap=\"round\" stroke-dasharray=\"0.1 4.5\"",
        ),
    };
    let [.., before, end] = corners else {
        return;
    };
    let (dx, dy) = (end.0 - before.0, end.1 - before.1);
    let long = dx.hypot(dy).max(0.001);
    let (ux, uy) = (dx / long, dy / long);
    let tip = (end.0 - ux, end.1 - uy);
    let base = (end.0 - ux * 8.0, end.1 - uy * 8.0);
    let mut d = String::new();
    let shaft = corners.split_last().map_or(&[][..], |(_, rest)| rest);
    let mut last: Option<(String, String)> = None;
    for (x, y) in shaft.iter().chain([&base]) {
        let at = (number(*x), number(*y));
        if last.as_ref() == Some(&at) {
            continue;
        }
        let _ = write!(d, "{}{} {}", if last.is_none() { "M" } else { "L" }, at.0, at.1);
        last = Some(at);
    }
    let _ = writeln!(
        out,
        "<path class=\"flow-line flow-{class}\" d=\"{d}\" stroke-linejoin=\"round\" {style}/>"
    );
    let _ = writeln!(
        out,
        "<path class=\"flow-head\" d=\"M{} {}L{} {}L{} {}Z\" fill=\"currentColor\" stroke=\"none\"/>",
        number(tip.0),
        number(tip.1),
        number(base.0 - uy * 4.0),
        number(base.1 + ux * 4.0),
        number(base.0 + uy * 4.0),
        number(base.1 - ux * 4.0),
    );
}

/// The description used when the caller gives none.
fn describe(graph: &Graph) -> String {
    let count = |kind: NodeKind| graph.nodes.iter().filter(|n| n.kind == kind).count();
    let marks: Vec<&str> = graph
        .nodes
        .iter()
        .flat_map(|n| n.marks.iter().map(String::as_str))
        .collect();
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

#[derive(Clone, Copy)]
struct Style {
    size: f64,
    bold: bool,
    italic: bool,
    anchor: &'static str,
}

impl Style {
    fn plain(size: f64) -> Self {
        Style {
            size,
            bold: false,
            italic: false,
            anchor: "middle",
        }
    }
    fn bold(size: f64) -> Self {
        Style {
            bold: true,
            ..Style::plain(size)
        }
    }
}

/// One line of text.
fn put(out: &mut String, line: &str, x: f64, y: f64, style: Style) {
    let anchor = match style.anchor {
        "start" => "",
        "end" => " text-anchor=\"end\"",
        _ => " text-anchor=\"middle\"",
    };
    let _ = writeln!(
        out,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{}{} fill=\"currentColor\" \
         stroke=\"none\">{}</text>",
        number(x),
        number(y),
        number(style.size),
        if style.bold { " font-weight=\"bold\"" } else { "" },
        if style.italic { " font-style=\"italic\"" } else { "" },
        escape(line)
    );
}

/// A box with its text.
fn box_of(out: &mut String, node: &Node, b: &Placed) {
    let marked = !node.marks.is_empty();
    let (class, round, line) = match node.kind {
        NodeKind::Material => ("material", 9.0, "stroke-width=\"1\""),
        NodeKind::Step => ("step", 0.0, "stroke-width=\"1.6\""),
        NodeKind::Product => ("product", 20.0, "stroke-width=\"2.6\""),
        NodeKind::ByProduct => ("by-product", 20.0, "stroke-width=\"1.4\""),
        NodeKind::Rework => ("rework", 0.0, "stroke-width=\"1.4\" stroke-dasharray=\"7 4\""),
        NodeKind::Waste => (
            "waste",
            0.0,
            "stroke-width=\"1.8\" stroke-linecap=\"round\" stroke-dasharray=\"0.1 4.5\"",
        ),
    };
    let ccp = if marked { " flow-marked" } else { "" };
    let _ = writeln!(out, "<g class=\"flow-box flow-{class}{ccp}\">");
    let frame = |out: &mut String, inset: f64, line: &str| {
        let round = (round - inset).max(0.0).min(b.face.height / 2.0);
        let _ = writeln!(
            out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\" {line}/>",
            number(b.left() + inset),
            number(b.top() + inset),
            number(b.face.width - 2.0 * inset),
            number(b.face.height - 2.0 * inset),
            number(round)
        );
    };
    let inset = if marked { 5.0 } else { 0.0 };
    if marked {
        frame(out, 0.0, "stroke-width=\"3.2\"");
    }
    frame(out, inset, if marked { "stroke-width=\"1.2\"" } else { line });

    let text_height = b.face.title.len() as f64 * LEADING + b.face.caption.len() as f64 * 13.0;
    let mark_height = if marked {
        b.face.marks.len() as f64 * LEADING + 8.0
    } else {
        0.0
    };
    let (top, bottom) = (b.top() + inset, b.bottom() - inset - mark_height);
    if let Some(label) = &b.face.number {
        let x = b.left() + inset + b.face.column;
        let _ = writeln!(
            out,
            "<path d=\"M{} {}V{}\" stroke-width=\"1\"/>",
            number(x),
            number(top),
            number(bottom)
        );
        let middle = f64::midpoint(top, bottom) + 4.5;
        put(out, label, x - b.face.column / 2.0, middle, Style::bold(TITLE));
    }
    let column = if b.face.number.is_some() { b.face.column } else { 0.0 };
    let x = b.x + column / 2.0;
    let mut y = f64::midpoint(top, bottom) - text_height / 2.0 + 12.0;
    for line in &b.face.title {
        put(out, line, x, y, Style { size: b.face.title_size, ..Style::plain(TITLE) });
        y += LEADING;
    }
    y -= 2.0;
    for line in &b.face.caption {
        put(out, line, x, y, Style { italic: true, ..Style::plain(CAPTION) });
        y += 13.0;
    }
    if marked {
        let _ = writeln!(
            out,
            "<path d=\"M{} {}H{}\" stroke-width=\"1\"/>",
            number(b.left() + inset),
            number(bottom),
            number(b.right() - inset)
        );
        for (i, line) in b.face.marks.iter().enumerate() {
            let y = bottom + 17.0 + i as f64 * LEADING;
            put(out, line, b.x, y, Style::bold(TITLE));
        }
    }
    out.push_str("</g>\n");
}
