//! What stands around the lines: stretches, markers, breaks and remarks.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::frame::{Frame, LANE, NOTES, RIGHT, TRACES, WIDTH};
use super::{Chart, WindowKind};
use crate::flow::pen::{Style, put};
use crate::flow::text::{self, number};

/// Size of labels.
pub(super) const LABEL: f64 = 11.0;
/// Stretches: their bar and label above the plot, their shade in it.
pub(super) fn bands(out: &mut String, frame: &Frame, id: &str) {
    let hatch = frame.bands.iter().any(|b| b.kind == WindowKind::Gap);
    if hatch {
        let _ = writeln!(
            out,
            "<pattern id=\"{id}-hatch\" width=\"7\" height=\"7\" \
             patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
             <path d=\"M0 0V7\" stroke=\"currentColor\" stroke-width=\"1.4\"/></pattern>"
        );
    }
    let head = 12.0 + frame.title.len() as f64 * 18.0;
    for band in &frame.bands {
        let (l, w) = (number(band.left), (band.right - band.left).max(1.0));
        let (t, h) = (number(frame.top), number(frame.bottom - frame.top));
        let wide = number(w);
        let _ = match band.kind {
            WindowKind::Stage => writeln!(
                out,
                "<path class=\"chart-stage\" d=\"M{l} {t}v{h}M{} {t}v{h}\" \
                 stroke-width=\"0.9\" stroke-dasharray=\"4 4\" stroke-opacity=\"0.7\"/>",
                number(band.right)
            ),
            WindowKind::Affected => writeln!(
                out,
                "<rect class=\"chart-affected\" x=\"{l}\" y=\"{t}\" width=\"{wide}\" \
                 height=\"{h}\" fill=\"currentColor\" fill-opacity=\"0.12\" stroke=\"none\"/>"
            ),
            WindowKind::Gap => writeln!(
                out,
                "<rect class=\"chart-gap\" x=\"{l}\" y=\"{t}\" width=\"{wide}\" height=\"{h}\" \
                 fill=\"url(#{id}-hatch)\" fill-opacity=\"0.45\" stroke=\"none\"/>"
            ),
        };
        let Some(lane) = band.lane else { continue };
        let y = head + lane as f64 * LANE;
        put(out, &band.label, band.label_x, y + 9.0, Style::plain(10.0));
        let y = number(y + 15.0);
        let r = number(band.left + w);
        let _ = match band.kind {
            WindowKind::Stage => {
                writeln!(out, "<path d=\"M{l} {y}H{r}M{l} {y}m0 -3v6M{r} {y}m0 -3v6\" stroke-width=\"1\"/>")
            }
            WindowKind::Affected => {
                writeln!(out, "<path d=\"M{l} {y}H{r}\" stroke-width=\"4\"/>")
            }
            WindowKind::Gap => {
                writeln!(out, "<path d=\"M{l} {y}H{r}\" stroke-width=\"5\" stroke-dasharray=\"1.5 2\"/>")
            }
        };
    }
}

/// A marker of trace `i` with its middle at the place.
pub(super) fn marker(x: f64, y: f64, i: usize) -> String {
    let at = format!("M{} {}", number(x), number(y));
    match i % 4 {
        0 => format!("{at}m-3 0a3 3 0 1 0 6 0a3 3 0 1 0 -6 0z"),
        1 => format!("{at}m-3 -3h6v6h-6z"),
        2 => format!("{at}m0 -4l4 7h-8z"),
        _ => format!("{at}m0 -4.5l4.5 4.5l-4.5 4.5l-4.5 -4.5z"),
    }
}

/// Filled for the first four traces, open for the others.
pub(super) fn marker_fill(i: usize) -> &'static str {
    if i < 4 { "currentColor" } else { "none" }
}

/// Markers: every reading of a short trace, a few of a long one.
pub(super) fn markers(out: &mut String, frame: &Frame, runs: &[Vec<(i64, f64)>], i: usize) {
    let points: Vec<(i64, f64)> = runs.iter().flatten().copied().collect();
    let want = if points.len() <= 30 { points.len() } else { 6 };
    let mut d = String::new();
    for k in 0..want {
        // Middles of equal parts, so that traces sampled alike do not hide
        // each other's markers at the ends.
        let at = (points.len() * (2 * k + 1) + i * points.len() / 8) / (2 * want);
        if let Some((t, v)) = points.get(at.min(points.len().saturating_sub(1))) {
            d.push_str(&marker(frame.x(*t), frame.y(*v), i));
        }
    }
    if !d.is_empty() {
        let _ =
            writeln!(out, "<path class=\"chart-marker\" d=\"{d}\" fill=\"{}\" stroke-width=\"1\"/>", marker_fill(i));
    }
}

/// Crosses at the foot for rows without a value; says whether there were any.
pub(super) fn breaks(out: &mut String, chart: &Chart, frame: &Frame) -> bool {
    let cells: BTreeSet<i64> = chart
        .traces
        .iter()
        .take(TRACES)
        .flat_map(|t| &t.breaks)
        .filter(|t| **t >= frame.from && **t <= frame.to)
        .map(|t| (frame.x(*t) / 5.0).round() as i64)
        .collect();
    if cells.is_empty() {
        return false;
    }
    let mut d = String::new();
    for cell in cells {
        let x = cell as f64 * 5.0;
        let y = frame.bottom - 8.0;
        let _ = write!(d, "M{} {}l4 4m0 -4l-4 4", number(x - 2.0), number(y));
    }
    let _ = writeln!(out, "<path class=\"chart-break\" d=\"{d}\" stroke-width=\"1.1\"/>");
    true
}

/// Numbers above the plot with a line down to their point, and the remarks in a
/// list below; gives the y where the list ends.
pub(super) fn notes(out: &mut String, chart: &Chart, frame: &Frame, below: f64) -> f64 {
    let mut order: Vec<usize> = (0..chart.notes.len().min(NOTES)).collect();
    order.sort_by_key(|i| chart.notes.get(*i).map(|n| n.at_ns));
    let mut places: Vec<(usize, f64)> = Vec::new();
    for i in order {
        let Some(note) = chart.notes.get(i) else {
            continue;
        };
        let next = places.last().map_or(f64::MIN, |(_, x)| x + 19.0);
        places.push((i, frame.x(note.at_ns).max(next)));
    }
    let mut limit = RIGHT + 8.0;
    for (_, x) in places.iter_mut().rev() {
        *x = x.min(limit);
        limit = *x - 19.0;
    }
    let y = frame.top - 15.0;
    for (i, x) in &places {
        let Some(note) = chart.notes.get(*i) else {
            continue;
        };
        if !note.value.is_finite() || note.at_ns < frame.from || note.at_ns > frame.to {
            continue;
        }
        let (px, py) = (frame.x(note.at_ns), frame.y(note.value));
        let _ = writeln!(
            out,
            "<path class=\"chart-note\" d=\"M{} {}L{px} {}V{}\" stroke-width=\"0.9\" \
             stroke-dasharray=\"2 2\"/><circle cx=\"{px}\" cy=\"{}\" r=\"5\" \
             stroke-width=\"1.6\"/><circle cx=\"{}\" cy=\"{}\" r=\"8\" stroke-width=\"1\"/>",
            number(*x),
            number(y + 8.0),
            number(frame.top),
            number((py - 5.0).max(frame.top)),
            number(py),
            number(*x),
            number(y),
            px = number(px),
        );
        put(out, &(i + 1).to_string(), *x, y + 3.6, Style::bold(10.0));
    }
    let mut y = below;
    for (i, note) in chart.notes.iter().take(NOTES).enumerate() {
        let mut lines = text::wrap(&note.text, WIDTH - 48.0, LABEL);
        if lines.len() > 2 {
            lines = vec![text::fit(&note.text, WIDTH - 48.0, LABEL)];
        }
        y += 6.0;
        let head = format!("{}", i + 1);
        put(out, &head, 16.0, y + 9.0, Style::bold(LABEL).at_start());
        for line in &lines {
            put(out, line, 34.0, y + 9.0, Style::plain(LABEL).at_start());
            y += 14.0;
        }
    }
    y
}
