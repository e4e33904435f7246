//! Lines between the boxes. A line that goes down runs upright through every
//! row and slants only in the gap between two rows, so it can cut no foreign
//! box; a line that returns leaves to the right and climbs in a lane of its own
//! beside the boxes.

use super::align::align;
use super::graph::{EdgeKind, Graph, NodeKind};
use super::layout::{CAPTION, Descent, Grid, Placed};
use super::rows::{heights, lanes};
use super::text;

/// A row at its height. Lines are upright from `above` to `below`.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Row {
    pub above: f64,
    pub top: f64,
    pub bottom: f64,
    pub below: f64,
}

/// A line that goes down: its x in each row from the source to the target.
#[derive(Debug, Clone)]
pub(super) struct Down {
    pub edge: usize,
    pub from: usize,
    pub to: usize,
    pub first_row: usize,
    pub columns: Vec<f64>,
}

/// Where a returning line meets a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Port {
    /// The right side, this far below the centre.
    Side(f64),
    /// Top or bottom at this x, by the track of this number in the gap.
    Face(f64, usize),
}

/// A line that returns.
#[derive(Debug, Clone)]
pub(super) struct Return {
    pub edge: usize,
    pub from: usize,
    pub to: usize,
    pub out: Port,
    pub back: Port,
    pub lane: f64,
    pub label: Vec<String>,
}

/// The finished drawing in coordinates.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawing {
    pub boxes: Vec<Placed>,
    pub rows: Vec<Row>,
    pub downs: Vec<Down>,
    pub returns: Vec<Return>,
    pub left: f64,
    pub right: f64,
}

const LABEL_ROOM: f64 = 84.0;

/// Routes all lines and sets the heights of rows.
pub(super) fn draw(graph: &Graph, grid: Grid) -> Drawing {
    let Grid { mut boxes, row_centres, descents, returns } = grid;
    let mut downs: Vec<Down> = descents.iter().filter_map(|d| columns(&boxes, &row_centres, d)).collect();
    align(graph, &mut boxes, &mut downs, row_centres.len());
    let (mut backs, tracks) = returning(graph, &boxes, &returns, row_centres.len());
    ports(graph, &boxes, &mut downs, &mut backs);
    let rows = heights(graph, &boxes, &downs, &tracks, row_centres.len());
    let mut drawing = Drawing { boxes, rows, downs, returns: backs, left: 0.0, right: 0.0 };
    for b in &mut drawing.boxes {
        if let Some(row) = drawing.rows.get(b.row) {
            b.y = f64::midpoint(row.top, row.bottom);
        }
    }
    lanes(&mut drawing);
    drawing
}

/// The x of a descending line in each row; inner rows keep clear of boxes.
fn columns(boxes: &[Placed], centres: &[f64], descent: &Descent) -> Option<Down> {
    let (from, to) = (boxes.get(descent.from)?, boxes.get(descent.to)?);
    let mut columns = vec![from.x];
    for (row, centre) in centres.iter().enumerate().take(to.row).skip(from.row + 1) {
        let bend = descent.bends.iter().find(|(_, y)| (y - centre).abs() < 0.75);
        let wanted = bend.map_or(to.x, |(x, _)| *x);
        columns.push(free_column(boxes, row, wanted));
    }
    columns.push(to.x);
    Some(Down { edge: descent.edge, from: descent.from, to: descent.to, first_row: from.row, columns })
}

/// The x nearest to `wanted` that no box of the row covers.
fn free_column(boxes: &[Placed], row: usize, wanted: f64) -> f64 {
    const CLEAR: f64 = 8.0;
    let walls: Vec<(f64, f64)> =
        boxes.iter().filter(|b| b.row == row).map(|b| (b.left() - CLEAR, b.right() + CLEAR)).collect();
    let free = |x: f64| walls.iter().all(|(l, r)| x <= *l || x >= *r);
    if free(wanted) {
        return wanted;
    }
    walls
        .iter()
        .flat_map(|(l, r)| [*l, *r])
        .filter(|x| free(*x))
        .min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
        .unwrap_or(wanted)
}

/// Tracks taken in the gap above and below each row.
pub(super) type Tracks = Vec<(usize, usize)>;

/// Chooses where returning lines leave and enter.
fn returning(graph: &Graph, boxes: &[Placed], returns: &[(usize, usize, usize)], rows: usize) -> (Vec<Return>, Tracks) {
    let mut tracks: Tracks = vec![(0, 0); rows];
    let mut on_side: Vec<usize> = vec![0; boxes.len()];
    let mut lines = Vec::new();
    for (edge, from, to) in returns {
        let (Some(a), Some(b)) = (boxes.get(*from), boxes.get(*to)) else {
            continue;
        };
        let mut port = |at: usize, place: &Placed, leaving: bool| {
            let outermost = boxes.iter().all(|o| o.row != place.row || o.x <= place.x);
            let taken = on_side.get(at).copied().unwrap_or(0);
            let offset: Option<f64> = [8.0, -8.0, 0.0, 14.0, -14.0].get(taken).copied();
            match offset {
                Some(y) if outermost && y.abs() < place.face.height / 2.0 - 4.0 => {
                    if let Some(n) = on_side.get_mut(at) {
                        *n += 1;
                    }
                    Port::Side(y)
                }
                _ => {
                    let number = tracks.get_mut(place.row).map_or(0, |(above, below)| {
                        let n = if leaving { below } else { above };
                        *n += 1;
                        *n - 1
                    });
                    Port::Face(place.x, number)
                }
            }
        };
        let out = port(*from, a, true);
        let back = port(*to, b, false);
        lines.push(Return { edge: *edge, from: *from, to: *to, out, back, lane: 0.0, label: edge_label(graph, *edge) });
    }
    (lines, tracks)
}

/// The label of a line in short lines; a rework line always has one.
pub(super) fn edge_label(graph: &Graph, edge: usize) -> Vec<String> {
    match graph.edges.get(edge) {
        Some(e) => match (&e.label, e.kind) {
            (Some(label), _) => text::wrap(label, LABEL_ROOM, CAPTION),
            (None, EdgeKind::Rework) => {
                // The box itself says that it is rework.
                let to = graph.nodes.iter().find(|n| n.key == e.to);
                match to.map(|n| n.kind) {
                    Some(NodeKind::Rework) => Vec::new(),
                    _ => vec!["rework".to_owned()],
                }
            }
            (None, _) => Vec::new(),
        },
        None => Vec::new(),
    }
}

/// Spreads the lines that meet at one face of a box, so that none covers
/// another; the main line keeps the middle.
fn ports(graph: &Graph, boxes: &[Placed], downs: &mut [Down], backs: &mut [Return]) {
    for (at, place) in boxes.iter().enumerate() {
        for leaving in [true, false] {
            // (where it comes from or goes to, is it the main line, place, is it a return)
            let mut ends: Vec<(f64, bool, usize, bool)> = Vec::new();
            for (i, d) in downs.iter().enumerate() {
                if (if leaving { d.from } else { d.to }) != at {
                    continue;
                }
                let near = if leaving { d.columns.get(1) } else { d.columns.iter().rev().nth(1) };
                let kind = graph.edges.get(d.edge).map(|e| e.kind);
                let main = kind == Some(EdgeKind::Forward);
                ends.push((near.copied().unwrap_or(place.x), main, i, false));
            }
            for (i, r) in backs.iter().enumerate() {
                let (own, port) = if leaving { (r.from, r.out) } else { (r.to, r.back) };
                if own == at && matches!(port, Port::Face(..)) {
                    ends.push((f64::MAX, false, i, true));
                }
            }
            ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
            let count = ends.len();
            if count < 2 {
                continue;
            }
            let mains: Vec<usize> = (0..count).filter(|i| ends.get(*i).is_some_and(|e| e.1)).collect();
            let middle = match mains.as_slice() {
                [one] => *one as f64,
                _ => (count - 1) as f64 / 2.0,
            };
            let reach = middle.max((count - 1) as f64 - middle).max(1.0);
            let pitch = ((place.face.width / 2.0 - 12.0) / reach).min(26.0);
            for (k, (_, _, i, is_return)) in ends.into_iter().enumerate() {
                let x = place.x + (k as f64 - middle) * pitch;
                if is_return {
                    if let Some(r) = backs.get_mut(i) {
                        let port = if leaving { &mut r.out } else { &mut r.back };
                        if let Port::Face(at, _) = port {
                            *at = x;
                        }
                    }
                } else if let Some(d) = downs.get_mut(i) {
                    let column = if leaving { d.columns.first_mut() } else { d.columns.last_mut() };
                    if let Some(column) = column {
                        *column = x;
                    }
                }
            }
        }
    }
}
