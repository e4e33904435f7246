//! The labels at the right of the plot.

use std::fmt::Write as _;

use super::draw::{DASHES, dashes};
use super::frame::{Frame, LEFT, RIGHT, WIDTH};
use super::marks::{LABEL, marker, marker_fill};
use crate::flow::pen::{Style, put};
use crate::flow::text::{self, number};

/// Left end of the labels.
const SIDE: f64 = RIGHT + 16.0;

/// What a label at the right stands for.
enum Sample {
    Trace(usize),
    Limit,
    Break,
}

/// Labels at the right of the plot.
#[derive(Default)]
pub(super) struct Sides {
    labels: Vec<(f64, Option<f64>, Sample, Vec<String>)>,
}

impl Sides {
    /// Names a trace, near the place where it ends.
    pub fn trace(&mut self, name: &str, i: usize, end: Option<(f64, f64)>) {
        let (x, y) = end.unwrap_or((LEFT, f64::MAX));
        let leader = (RIGHT - x < 12.0).then_some(x);
        self.push(y, leader, Sample::Trace(i), name);
    }

    /// Names a limit line.
    pub fn limit(&mut self, label: &str, y: f64) {
        self.push(y, Some(RIGHT), Sample::Limit, label);
    }

    /// Says what the crosses at the foot are.
    pub fn breaks(&mut self, y: f64) {
        self.push(y, None, Sample::Break, "row without a value");
    }

    fn push(&mut self, y: f64, leader: Option<f64>, sample: Sample, label: &str) {
        let room = match sample {
            Sample::Limit => (WIDTH - SIDE - 8.0) * 0.92,
            _ => WIDTH - SIDE - 34.0,
        };
        let label = glued(label);
        let mut lines = text::wrap(&label, room, LABEL);
        if lines.len() > 3 {
            lines.truncate(2);
            let rest = label.split_whitespace().collect::<Vec<_>>().join(" ");
            let shown = lines.join(" ").chars().count();
            let rest: String = rest.chars().skip(shown).collect();
            lines.push(text::fit(&rest, room, LABEL));
        }
        self.labels.push((y, leader, sample, lines));
    }

    /// Draws the labels, moved apart where they would overlap.
    pub fn draw(mut self, out: &mut String, frame: &Frame) {
        self.labels.sort_by(|a, b| a.0.total_cmp(&b.0));
        let tall = |lines: &Vec<String>| lines.len() as f64 * 13.0 + 5.0;
        let wishes: Vec<(f64, f64)> =
            self.labels.iter().map(|(y, _, _, lines)| (y.min(frame.bottom), tall(lines))).collect();
        let tops = settle(&wishes, frame.top - 24.0, frame.bottom + 40.0);
        for (top, (y, leader, sample, lines)) in tops.iter().zip(&self.labels) {
            let middle = top + tall(lines) / 2.0;
            if let Some(x) = leader {
                let _ = writeln!(
                    out,
                    "<path d=\"M{} {}L{} {}\" stroke-width=\"0.7\" stroke-opacity=\"0.7\"/>",
                    number(x + 2.0),
                    number(*y),
                    number(SIDE - 1.0),
                    number(middle)
                );
            }
            let (a, b) = (SIDE + 1.0, SIDE + 27.0);
            let _ = match sample {
                Sample::Trace(i) => {
                    let dash = DASHES.get(i % DASHES.len()).copied().unwrap_or_default();
                    writeln!(
                        out,
                        "<path d=\"M{} {m}H{}\" stroke-width=\"1.5\"{}/>\
                         <path d=\"{}\" fill=\"{}\" stroke-width=\"1\"/>",
                        number(a),
                        number(b),
                        dashes(dash),
                        marker(f64::midpoint(a, b), middle, *i),
                        marker_fill(*i),
                        m = number(middle),
                    )
                }
                Sample::Limit => Ok(()),
                Sample::Break => writeln!(
                    out,
                    "<path d=\"M{} {}l4 4m0 -4l-4 4\" stroke-width=\"1.1\"/>",
                    number(a + 11.0),
                    number(middle - 2.0)
                ),
            };
            let (x, style) = match sample {
                Sample::Limit => (SIDE + 3.0, Style::bold(LABEL)),
                _ => (b + 5.0, Style::plain(LABEL)),
            };
            for (k, line) in lines.iter().enumerate() {
                let y = top + 12.0 + k as f64 * 13.0;
                put(out, line, x, y, style.at_start());
            }
        }
    }
}

/// The label with no-break spaces after a comparison sign and between a figure
/// and its unit.
fn glued(label: &str) -> String {
    let mut last = ' ';
    label
        .chars()
        .map(|c| {
            let tied = "≥≤<>=±".contains(last) || last.is_ascii_digit();
            last = c;
            if c == ' ' && tied { '\u{A0}' } else { c }
        })
        .collect()
}

/// Tops of labels that stand as near to their wished middles as they can
/// without overlap, in order, between `least` and `most`. `wishes` holds
/// (middle, height).
fn settle(wishes: &[(f64, f64)], least: f64, most: f64) -> Vec<f64> {
    // Blocks of touching labels: (top, height, how many).
    let mut blocks: Vec<(f64, f64, usize)> = Vec::new();
    for (middle, height) in wishes {
        let mut block = (middle - height / 2.0, *height, 1);
        while let Some(last) = blocks.pop_if(|last| last.0 + last.1 > block.0) {
            let count = (last.2 + block.2) as f64;
            let centre =
                (last.0 + last.1 / 2.0) * last.2 as f64 / count + (block.0 + block.1 / 2.0) * block.2 as f64 / count;
            let height = last.1 + block.1;
            block = (centre - height / 2.0, height, last.2 + block.2);
        }
        block.0 = block.0.min(most - block.1).max(least);
        blocks.push(block);
    }
    let starts = blocks
        .iter()
        .flat_map(|(top, _, count)| std::iter::once(Some(*top)).chain(std::iter::repeat_n(None, count - 1)));
    let mut tops = Vec::with_capacity(wishes.len());
    let mut next: f64 = least;
    for (start, (_, height)) in starts.zip(wishes) {
        let top = start.map_or(next, |s: f64| s.max(next));
        tops.push(top);
        next = top + height;
    }
    tops
}
