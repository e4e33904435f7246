//! Writes the chart as SVG.

use std::fmt::Write as _;

use super::frame::{Frame, LEFT, LIMITS, RIGHT, TRACES, WIDTH};
use super::marks;
use super::sides::Sides;
use super::thin::thin;
use super::{Chart, LimitKind, Side, text_alternative};
use crate::flow::pen::{Style, put};
use crate::flow::text::{self, escape, number};

/// Bytes that the picture stays below.
const SIZE: usize = 39_000;

/// Dash patterns of the traces, in order.
pub(super) const DASHES: [&str; 4] = ["", "8 3", "2.5 2.5", "9 3 2.5 3"];

/// The chart as one `svg` element under 40 KB; its ids begin with `id_prefix`.
/// At most eight traces, eight limit lines and twelve remarks are drawn; the
/// description names the number of the others.
pub fn svg(chart: &Chart, id_prefix: &str) -> String {
    let id = text::id_prefix(id_prefix);
    let span = chart.span();
    let mut strips = ((RIGHT - LEFT) as usize).max(1);
    loop {
        let drawn = chart.traces.iter().take(TRACES);
        let traces: Vec<_> = drawn.map(|t| thin(&t.pieces, span, strips)).collect();
        let picture = compose(chart, &traces, &id);
        if picture.len() < SIZE || strips < 8 {
            return picture;
        }
        strips = strips * 2 / 3;
    }
}

/// Runs of one trace, thinned.
type Runs = Vec<Vec<(i64, f64)>>;

/// The picture with these thinned traces.
fn compose(chart: &Chart, traces: &[Runs], id: &str) -> String {
    let values = traces.iter().flatten().flatten().map(|(_, v)| *v);
    let frame = Frame::new(chart, values);
    let mut body = String::new();
    for (i, line) in frame.title.iter().enumerate() {
        let y = 18.0 + i as f64 * 18.0;
        put(&mut body, line, 8.0, y, Style::bold(14.0).at_start());
    }
    marks::bands(&mut body, &frame, id);
    axes(&mut body, chart, &frame);
    let mut sides = Sides::default();
    limits(&mut body, chart, &frame, &mut sides);
    for (i, runs) in traces.iter().enumerate() {
        let d = path(&frame, runs);
        let dash = DASHES.get(i % DASHES.len()).copied().unwrap_or_default();
        let _ = writeln!(
            body,
            "<path class=\"chart-trace\" d=\"{d}\" stroke-width=\"1.5\" \
             stroke-linejoin=\"round\" stroke-linecap=\"round\"{}/>",
            dashes(dash)
        );
        marks::markers(&mut body, &frame, runs, i);
        let end = runs.iter().flatten().last().copied();
        let name = chart.traces.get(i).map_or("", |t| t.name.as_str());
        sides.trace(name, i, end.map(|(t, v)| (frame.x(t), frame.y(v))));
    }
    if marks::breaks(&mut body, chart, &frame) {
        sides.breaks(frame.bottom - 6.0);
    }
    sides.draw(&mut body, &frame);
    let foot = marks::notes(&mut body, chart, &frame, frame.bottom + 46.0);

    let description = match &chart.description {
        Some(text) => text.clone(),
        None => describe(chart),
    };
    let height = number(foot + 8.0);
    let wide = number(WIDTH);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"time-chart\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\" viewBox=\"0 0 {wide} {height}\" \
         width=\"{wide}\" height=\"{height}\" style=\"max-width:100%;height:auto\" fill=\"none\" \
         stroke=\"currentColor\" font-family=\"Helvetica, Arial, sans-serif\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n{body}</svg>\n",
        escape(&text::fit(&chart.title, 2_000.0, 10.0)),
        escape(&text::fit(&description, 14_000.0, 10.0)),
    )
}

/// A dash attribute, or nothing for a solid line.
pub(super) fn dashes(dash: &str) -> String {
    if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") }
}

/// The description written when the caller gives none.
fn describe(chart: &Chart) -> String {
    let mut text = text_alternative(chart).join(" ");
    let more = chart.traces.len().saturating_sub(TRACES);
    let lines = chart.limits.len().saturating_sub(LIMITS);
    let notes = chart.notes.len().saturating_sub(super::frame::NOTES);
    if more + lines + notes > 0 {
        text = format!("Not drawn for want of room: {more} traces, {lines} lines, {notes} notes. {text}");
    }
    text
}

/// Runs as path data; a run of one point is a dot.
fn path(frame: &Frame, runs: &[Vec<(i64, f64)>]) -> String {
    let mut d = String::new();
    for run in runs {
        let mut last = (String::new(), String::new());
        let mut corners = 0;
        for (t, v) in run {
            let at = (number(frame.x(*t)), number(frame.y(*v)));
            if at == last {
                continue;
            }
            let _ = write!(d, "{}{} {}", if corners == 0 { "M" } else { "L" }, at.0, at.1);
            last = at;
            corners += 1;
        }
        if corners == 1 {
            d.push_str("h0");
        }
    }
    d
}

/// Frame, grid, tick labels and axis names.
fn axes(out: &mut String, chart: &Chart, frame: &Frame) {
    for (value, label) in &frame.values {
        let y = number(frame.y(*value));
        let _ = writeln!(
            out,
            "<path d=\"M{} {y}H{}\" stroke-width=\"0.5\" stroke-opacity=\"0.35\"/>",
            number(LEFT - 4.0),
            number(RIGHT)
        );
        let style = Style { anchor: "end", ..Style::plain(10.0) };
        let label = text::fit(label, 40.0, 10.0);
        put(out, &label, LEFT - 7.0, frame.y(*value) + 3.5, style);
    }
    let _ = writeln!(
        out,
        "<path d=\"M{l} {t}V{b}H{r}\" stroke-width=\"1.2\"/>",
        l = number(LEFT),
        t = number(frame.top),
        b = number(frame.bottom),
        r = number(RIGHT)
    );
    let mut ticks: Vec<(f64, &str)> = chart
        .ticks
        .iter()
        .filter(|t| t.at_ns >= frame.from && t.at_ns <= frame.to)
        .map(|t| (frame.x(t.at_ns), t.label.as_str()))
        .collect();
    ticks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut marks = String::new();
    let mut marked = f64::MIN;
    let mut clear = f64::MIN;
    for (x, label) in ticks {
        if x - marked < 3.0 {
            continue;
        }
        marked = x;
        let _ = write!(marks, "M{} {}v5", number(x), number(frame.bottom));
        let label = text::fit(label, 110.0, 10.0);
        let half = text::width(&label, 10.0) / 2.0;
        if x - half > clear {
            put(out, &label, x, frame.bottom + 17.0, Style::plain(10.0));
            clear = x + half + 4.0;
        }
    }
    if !marks.is_empty() {
        let _ = writeln!(out, "<path d=\"{marks}\" stroke-width=\"1.2\"/>");
    }
    let middle = f64::midpoint(LEFT, RIGHT);
    let name = text::fit(&chart.x_label, RIGHT - LEFT, 11.0);
    put(out, &name, middle, frame.bottom + 34.0, Style::plain(11.0));
    let name = text::fit(&chart.y_label, frame.bottom - frame.top, 11.0);
    let middle = number(f64::midpoint(frame.top, frame.bottom));
    let _ = writeln!(
        out,
        "<text transform=\"translate(14 {middle}) rotate(-90)\" font-size=\"11\" \
         text-anchor=\"middle\" fill=\"currentColor\" stroke=\"none\">{}</text>",
        escape(&name)
    );
}

/// Limit lines; hatches stand on the side where a critical limit is not met.
fn limits(out: &mut String, chart: &Chart, frame: &Frame, sides: &mut Sides) {
    for limit in chart.limits.iter().take(LIMITS) {
        if !limit.value.is_finite() {
            continue;
        }
        let y = frame.y(limit.value);
        let mut d = format!("M{} {}H{}", number(LEFT), number(y), number(RIGHT));
        let style = match limit.kind {
            LimitKind::Critical => {
                let way = if limit.side == Side::AtLeast { 5 } else { -5 };
                let mut x = LEFT + 4.0;
                while x < RIGHT - 4.0 {
                    let _ = write!(d, "M{} {}l-4 {way}", number(x + 4.0), number(y));
                    x += 12.0;
                }
                "stroke-width=\"1.9\""
            }
            LimitKind::Operating => "stroke-width=\"1.2\" stroke-dasharray=\"10 3 2 3\"",
        };
        let _ = writeln!(out, "<path class=\"chart-limit\" d=\"{d}\" {style}/>");
        sides.limit(&limit.label, y);
    }
}
