//! Row heights, lanes beside the boxes, and the corners of every line.

use super::graph::Graph;
use super::layout::{CAPTION, Placed, STUB};
use super::route::{Down, Drawing, Port, Return, Row, Tracks, edge_label};
use super::text;

const TRACK: f64 = 9.0;

/// Heights of rows and gaps: a gap grows with its longest slant, with a label
/// and with the tracks of returning lines.
pub(super) fn heights(graph: &Graph, boxes: &[Placed], downs: &[Down], tracks: &Tracks, count: usize) -> Vec<Row> {
    let mut rows = Vec::with_capacity(count);
    let mut y = 0.0;
    for r in 0..count {
        let tall = boxes.iter().filter(|b| b.row == r).map(|b| b.face.height).fold(0.0, f64::max);
        let (in_tracks, out_tracks) = tracks.get(r).copied().unwrap_or((0, 0));
        let above = y;
        let top = above + STUB + in_tracks as f64 * TRACK + label_height(graph, downs, r);
        let bottom = top + tall;
        let below = bottom + 5.0 + out_tracks as f64 * TRACK;
        rows.push(Row { above, top, bottom, below });
        let slant = downs
            .iter()
            .filter_map(|d| {
                let k = r.checked_sub(d.first_row)?;
                Some((d.columns.get(k)? - d.columns.get(k + 1)?).abs())
            })
            .fold(0.0, f64::max);
        y = below + (8.0 + slant * 0.12).clamp(8.0, 48.0);
    }
    rows
}

/// Room above row `r` for the labels of lines that end there.
fn label_height(graph: &Graph, downs: &[Down], r: usize) -> f64 {
    downs
        .iter()
        .filter(|d| d.first_row + d.columns.len() == r + 1)
        .map(|d| edge_label(graph, d.edge).len() as f64 * 12.0)
        .fold(0.0, f64::max)
}

/// Gives returning lines their lanes to the right of the rows they pass, short
/// loops innermost, and sets the left and right ends of the drawing.
pub(super) fn lanes(drawing: &mut Drawing) {
    let all = 0..drawing.rows.len();
    drawing.left = drawing.extent(&all).0;
    drawing.right = drawing.extent(&all).1;
    let span = |r: &Return| {
        let row = |i: usize| drawing.boxes.get(i).map_or(0, |b| b.row);
        (row(r.from).min(row(r.to)), row(r.from).max(row(r.to)))
    };
    let spans: Vec<(usize, usize)> = drawing.returns.iter().map(span).collect();
    let mut order: Vec<usize> = (0..spans.len()).collect();
    order.sort_by_key(|i| spans.get(*i).map(|(a, b)| (b - a, *a, *i)));
    // First row, last row and right end of each lane already given.
    let mut taken: Vec<(usize, usize, f64)> = Vec::new();
    for i in order {
        let Some((a, b)) = spans.get(i).copied() else {
            continue;
        };
        let beside = drawing.extent(&(a..b + 1)).1 + 22.0;
        let x = taken
            .iter()
            .filter(|(c, d, _)| a <= *d && *c <= b)
            .map(|(_, _, right)| right + 14.0)
            .fold(beside, f64::max);
        if let Some(r) = drawing.returns.get_mut(i) {
            r.lane = x;
            let right = x + r.label_width() + 6.0;
            taken.push((a, b, right));
            drawing.right = drawing.right.max(right);
        }
    }
}

impl Return {
    /// Width of the widest line of the label.
    pub fn label_width(&self) -> f64 {
        let label = self.label.iter().map(|l| text::width(l, CAPTION));
        label.fold(0.0, f64::max)
    }
}

impl Drawing {
    /// Left and right end of the boxes and descending lines within the rows.
    pub fn extent(&self, rows: &std::ops::Range<usize>) -> (f64, f64) {
        let boxes = self.boxes.iter().filter(|b| rows.contains(&b.row));
        let mut ends: Vec<f64> = boxes.flat_map(|b| [b.left(), b.right()]).collect();
        for d in &self.downs {
            let columns = d.columns.iter().enumerate();
            let shown = columns.filter(|(k, _)| rows.contains(&(d.first_row + k)));
            ends.extend(shown.map(|(_, x)| *x));
        }
        let left = ends.iter().copied().fold(f64::MAX, f64::min);
        let right = ends.iter().copied().fold(f64::MIN, f64::max);
        if left > right { (0.0, 0.0) } else { (left, right) }
    }

    /// Left and right end of what a part with these rows shows.
    pub fn part_extent(&self, rows: &std::ops::Range<usize>) -> (f64, f64) {
        let inside = |i: usize| self.boxes.get(i).is_some_and(|b| rows.contains(&b.row));
        let (left, right) = self.extent(rows);
        let lanes =
            self.returns.iter().filter(|r| inside(r.from) || inside(r.to)).map(|r| r.lane + r.label_width() + 6.0);
        (left, lanes.fold(right, f64::max))
    }

    /// The corners of a descending line within rows `first..end`.
    pub fn down_corners(&self, down: &Down, first: usize, end: usize) -> Vec<(f64, f64)> {
        let last_row = down.first_row + down.columns.len().saturating_sub(1);
        let mut corners = Vec::new();
        for (k, x) in down.columns.iter().enumerate() {
            let r = down.first_row + k;
            let Some(row) = self.rows.get(r).filter(|_| r >= first && r < end) else {
                continue;
            };
            let top = match self.boxes.get(down.from) {
                Some(b) if k == 0 => b.bottom(),
                _ => row.above,
            };
            let bottom = match self.boxes.get(down.to) {
                Some(b) if r == last_row => b.top(),
                _ => row.below,
            };
            corners.push((*x, top));
            corners.push((*x, bottom));
        }
        corners
    }

    /// The corners where a returning line leaves its box, up to its lane.
    pub fn leave_corners(&self, line: &Return) -> Vec<(f64, f64)> {
        self.boxes.get(line.from).map(|b| self.port_corners(b, line.out, line.lane, true)).unwrap_or_default()
    }

    /// The corners where a returning line enters its box, from its lane on.
    pub fn enter_corners(&self, line: &Return) -> Vec<(f64, f64)> {
        self.boxes
            .get(line.to)
            .map(|b| {
                let mut corners = self.port_corners(b, line.back, line.lane, false);
                corners.reverse();
                corners
            })
            .unwrap_or_default()
    }

    fn port_corners(&self, b: &Placed, port: Port, lane: f64, leaving: bool) -> Vec<(f64, f64)> {
        match port {
            Port::Side(offset) => vec![(b.right(), b.y + offset), (lane, b.y + offset)],
            Port::Face(x, track) => {
                let row = self.rows.get(b.row).copied().unwrap_or_default();
                let (edge, y) = if leaving {
                    (b.bottom(), row.bottom + (track + 1) as f64 * TRACK)
                } else {
                    (b.top(), row.top - STUB - track as f64 * TRACK)
                };
                vec![(x, edge), (x, y), (lane, y)]
            }
        }
    }
}
