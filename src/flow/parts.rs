//! One drawing or several: where a tall diagram is cut for paper, and how the
//! cut lines are named on both sides.

use super::graph::Graph;
use super::layout::grid;
use super::route::{Down, Drawing, Return, draw};
use super::svg;

/// How the diagram is drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrawOptions {
    /// Beginning of every id in the SVG. Two drawings in one page need two
    /// prefixes. Characters that an id may not hold become hyphens.
    pub id_prefix: String,
    /// Title of the drawing, for readers who cannot see it.
    pub title: String,
    /// Longer description; `None` writes one that counts boxes and names the
    /// ends.
    pub description: Option<String>,
    /// Most rows in one part, for [`parts`]; at least 1 is taken.
    pub max_rows: usize,
}

impl Default for DrawOptions {
    fn default() -> Self {
        DrawOptions { id_prefix: "flow".to_owned(), title: "Flow diagram".to_owned(), description: None, max_rows: 9 }
    }
}

/// One of the pictures of a cut diagram.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Which part, from 1.
    pub number: usize,
    /// How many parts there are.
    pub of: usize,
    /// The picture, an `svg` element.
    pub svg: String,
}

/// A line cut between parts, as it is named on one side of the cut.
#[derive(Debug, Clone)]
pub(super) struct Connector {
    /// Letter that stands on both sides.
    pub letter: String,
    /// `to 12 Chill, part 2` or `from 11 Cook, part 1`.
    pub text: String,
    /// x of the line at the cut.
    pub x: f64,
    /// At the foot of the part (else at its head).
    pub at_foot: bool,
    /// Whether the line runs into the part here (else out of it).
    pub enters: bool,
    /// Place of the edge.
    pub edge: usize,
}

/// What one part shows: rows `first..end` and the named cuts.
#[derive(Debug, Clone)]
pub(super) struct Slice {
    pub first: usize,
    pub end: usize,
    pub connectors: Vec<Connector>,
    pub number: usize,
    pub of: usize,
}

/// The whole diagram as one `svg` element.
pub fn diagram(graph: &Graph, options: &DrawOptions) -> String {
    let drawing = draw(graph, grid(graph));
    let whole = Slice { first: 0, end: drawing.rows.len(), connectors: Vec::new(), number: 1, of: 1 };
    svg::write(graph, &drawing, &whole, options)
}

/// The diagram as several `svg` elements of at most `options.max_rows` rows
/// each. A line that is cut ends in a circle with a letter and says where it
/// goes on; the same letter begins it in the other part. The ids of part `n`
/// begin with the prefix and `-n`.
pub fn parts(graph: &Graph, options: &DrawOptions) -> Vec<Part> {
    let drawing = draw(graph, grid(graph));
    slices(graph, &drawing, options.max_rows.max(1))
        .iter()
        .map(|slice| {
            let own = DrawOptions { id_prefix: format!("{}-{}", options.id_prefix, slice.number), ..options.clone() };
            Part { number: slice.number, of: slice.of, svg: svg::write(graph, &drawing, slice, &own) }
        })
        .collect()
}

/// First and last row of a descending line.
fn down_span(down: &Down) -> (usize, usize) {
    let last = down.first_row + down.columns.len().saturating_sub(1);
    (down.first_row, last)
}

/// Row where a returning line begins and row where it ends.
fn return_span(drawing: &Drawing, line: &Return) -> (usize, usize) {
    let row = |i: usize| drawing.boxes.get(i).map_or(0, |b| b.row);
    (row(line.from), row(line.to))
}

/// Chooses the cuts, fewest cut lines first and even parts before uneven ones,
/// and names the cut lines.
pub(super) fn slices(graph: &Graph, drawing: &Drawing, most: usize) -> Vec<Slice> {
    let count = drawing.rows.len();
    let cut_lines = |at: usize| {
        let downs = drawing.downs.iter().map(down_span);
        let returns = drawing.returns.iter().map(|r| {
            let (a, b) = return_span(drawing, r);
            (a.min(b), a.max(b))
        });
        downs.chain(returns).filter(|(a, b)| *a < at && at <= *b).count()
    };
    let mut bounds = vec![0];
    let mut first = 0;
    while count - first > most {
        let rest = count - first;
        let parts = rest.div_ceil(most);
        let even = rest.div_ceil(parts);
        // The rows that stay must still fit into the parts that stay.
        let least = rest.saturating_sub((parts - 1) * most).max(even * 3 / 5).max(1);
        let cut = (first + least..=first + most)
            .min_by_key(|at| (cut_lines(*at), at.abs_diff(first + even)))
            .unwrap_or(first + even);
        bounds.push(cut);
        first = cut;
    }
    bounds.push(count);
    let of = bounds.len() - 1;
    let mut slices: Vec<Slice> = bounds
        .windows(2)
        .enumerate()
        .filter_map(|(i, pair)| match pair {
            [first, end] => Some(Slice { first: *first, end: *end, connectors: Vec::new(), number: i + 1, of }),
            _ => None,
        })
        .collect();
    name_cuts(graph, drawing, &mut slices);
    slices
}

/// Sets a connector on both sides of every cut line.
fn name_cuts(graph: &Graph, drawing: &Drawing, slices: &mut [Slice]) {
    let part_of = |slices: &[Slice], row: usize| slices.iter().position(|s| row >= s.first && row < s.end);
    let title = |at: usize| {
        let node = drawing.boxes.get(at).and_then(|b| graph.nodes.get(b.node));
        node.map_or(String::new(), |n| match &n.number {
            Some(number) => format!("{number} {}", n.title),
            None => n.title.clone(),
        })
    };
    let mut named = 0;
    let mut cut = |slices: &mut [Slice], edge, ends: (usize, usize), rows: (usize, usize), xs| {
        let (Some(a), Some(b)) = (part_of(slices, rows.0), part_of(slices, rows.1)) else {
            return;
        };
        if a == b {
            return;
        }
        let letter = letters(named);
        named += 1;
        let (leave_x, enter_x): (f64, f64) = xs;
        let leaving = Connector {
            letter: letter.clone(),
            text: format!("continues at {letter}, part {}: {}", b + 1, title(ends.1)),
            x: leave_x,
            at_foot: b > a,
            enters: false,
            edge,
        };
        let entering = Connector {
            text: format!("continued from {letter}, part {}: {}", a + 1, title(ends.0)),
            letter,
            x: enter_x,
            at_foot: a > b,
            enters: true,
            edge,
        };
        for (part, connector) in [(a, leaving), (b, entering)] {
            if let Some(slice) = slices.get_mut(part) {
                slice.connectors.push(connector);
            }
        }
    };
    for down in &drawing.downs {
        let rows = down_span(down);
        let x_at = |row: usize| {
            let k = row.checked_sub(down.first_row);
            k.and_then(|k| down.columns.get(k)).copied().unwrap_or(0.0)
        };
        let foot = part_of(slices, rows.0).and_then(|p| slices.get(p)).map(|s| s.end);
        let head = part_of(slices, rows.1).and_then(|p| slices.get(p)).map(|s| s.first);
        let leave = x_at(foot.unwrap_or(1).saturating_sub(1));
        let xs = (leave, x_at(head.unwrap_or(0)));
        cut(slices, down.edge, (down.from, down.to), rows, xs);
    }
    for line in &drawing.returns {
        let rows = return_span(drawing, line);
        let xs = (line.lane, line.lane);
        cut(slices, line.edge, (line.from, line.to), rows, xs);
    }
}

/// A, B … Z, AA, AB …
fn letters(mut n: usize) -> String {
    let mut text = String::new();
    loop {
        let c = char::from_u32('A' as u32 + (n % 26) as u32).unwrap_or('A');
        text.insert(0, c);
        if n < 26 {
            return text;
        }
        n = n / 26 - 1;
    }
}
