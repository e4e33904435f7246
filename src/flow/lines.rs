//! Lines of the flow diagram in SVG.

use std::fmt::Write as _;

use super::graph::{EdgeKind, Graph};
use super::layout::CAPTION;
use super::parts::{Connector, Slice};
use super::pen::{Style, put};
use super::route::{Drawing, Return, edge_label};
use super::text::number;

/// Every line that shows in the part.
pub(super) fn lines(out: &mut String, graph: &Graph, drawing: &Drawing, slice: &Slice, cuts: &[(&Connector, f64)]) {
    let row_at = |i: usize| drawing.rows.get(i).copied().unwrap_or_default();
    let foot = row_at(slice.end.saturating_sub(1)).below;
    let head = row_at(slice.first).above;
    // The corners from the end of the rows to the circle: the slant stays in
    // the band of the circles.
    let cut = |edge: usize, enters: bool, x: f64| -> Vec<(f64, f64)> {
        let Some((c, to)) = cuts.iter().find(|(c, _)| c.edge == edge && c.enters == enters) else {
            return Vec::new();
        };
        let (y, way) = if c.at_foot { (foot, 1.0) } else { (head, -1.0) };
        let mut corners = vec![(x, y), (*to, y + 6.0 * way), (*to, y + 15.0 * way)];
        if enters {
            corners.reverse();
        }
        corners
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
        let inner = drawing.down_corners(down, slice.first, slice.end);
        let (Some(first), Some(end)) = (inner.first().copied(), inner.last().copied()) else {
            continue;
        };
        let mut corners = cut(down.edge, true, first.0);
        corners.extend(inner);
        corners.extend(cut(down.edge, false, end.0));
        stroke(out, kind, &corners);
        if inside(last)
            && let (Some(x), Some(b)) = (down.columns.last(), drawing.boxes.get(down.to))
        {
            let left = *x < b.x;
            let style = Style { anchor: if left { "end" } else { "start" }, ..Style::plain(CAPTION) };
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
    cut: impl Fn(usize, bool, f64) -> Vec<(f64, f64)>,
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
        corners.extend(cut(line.edge, false, line.lane));
    }
    let mut enter = Vec::new();
    if inside(line.to) {
        enter.extend(cut(line.edge, true, line.lane));
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
    let upright: Vec<f64> =
        corners.iter().chain(&enter).filter(|(x, _)| (x - line.lane).abs() < 0.05).map(|(_, y)| *y).collect();
    let (low, high) =
        (upright.iter().copied().fold(f64::MAX, f64::min), upright.iter().copied().fold(f64::MIN, f64::max));
    if low <= high {
        let middle = f64::midpoint(low, high);
        let first = middle - line.label.len() as f64 * 6.0 + 9.0;
        for (i, text) in line.label.iter().enumerate() {
            let style = Style { anchor: "start", ..Style::plain(CAPTION) };
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
        EdgeKind::Waste => ("waste", "stroke-width=\"1.8\" stroke-linecap=\"round\" stroke-dasharray=\"0.1 4.5\""),
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
    let _ = writeln!(out, "<path class=\"flow-line flow-{class}\" d=\"{d}\" stroke-linejoin=\"round\" {style}/>");
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
