//! Boxes of the flow diagram in SVG.

use std::fmt::Write as _;

use super::graph::{Node, NodeKind};
use super::layout::{CAPTION, LEADING, Placed, TITLE};
use super::pen::{Style, put};
use super::text::number;

/// A box with its text.
pub(super) fn box_of(out: &mut String, node: &Node, b: &Placed) {
    let marked = !node.marks.is_empty();
    let (class, round, line) = match node.kind {
        NodeKind::Material => ("material", 9.0, "stroke-width=\"1\""),
        NodeKind::Step => ("step", 0.0, "stroke-width=\"1.6\""),
        NodeKind::Product => ("product", 20.0, "stroke-width=\"2.6\""),
        NodeKind::ByProduct => ("by-product", 20.0, "stroke-width=\"1.4\""),
        NodeKind::Rework => ("rework", 0.0, "stroke-width=\"1.4\" stroke-dasharray=\"7 4\""),
        NodeKind::Waste => ("waste", 0.0, "stroke-width=\"1.8\" stroke-linecap=\"round\" stroke-dasharray=\"0.1 4.5\""),
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
    let mark_height = if marked { b.face.marks.len() as f64 * LEADING + 8.0 } else { 0.0 };
    let (top, bottom) = (b.top() + inset, b.bottom() - inset - mark_height);
    if let Some(label) = &b.face.number {
        let x = b.left() + inset + b.face.column;
        let _ = writeln!(out, "<path d=\"M{} {}V{}\" stroke-width=\"1\"/>", number(x), number(top), number(bottom));
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
