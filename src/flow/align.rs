//! Straightens the trunk: each step is set under the step it follows, and what
//! stands beside it in the row makes room. The order within rows stays.

use super::graph::{EdgeKind, Graph, NodeKind};
use super::layout::Placed;
use super::route::Down;

/// What stands in a row: a box, or a line passing through it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Thing {
    Box(usize),
    Line(usize, usize),
}

#[derive(Debug, Clone, Copy)]
struct Item {
    thing: Thing,
    x: f64,
    half: f64,
}

/// Distance that two neighbours in a row keep between their centres.
fn apart(a: &Item, b: &Item) -> f64 {
    let gap = match (a.thing, b.thing) {
        (Thing::Box(_), Thing::Box(_)) => 24.0,
        (Thing::Line(..), Thing::Line(..)) => 18.0,
        _ => 16.0,
    };
    a.half + b.half + gap
}

/// Moves boxes and the columns of lines sideways.
pub(super) fn align(graph: &Graph, boxes: &mut [Placed], downs: &mut [Down], rows: usize) {
    let before: Vec<f64> = boxes.iter().map(|b| b.x).collect();
    let depth = depths(graph, boxes, downs);
    let kind = |d: &Down| graph.edges.get(d.edge).map(|e| e.kind);
    for row in 0..rows {
        let mut items = items_of(row, boxes, downs);
        let shift = |at: usize| {
            let now = boxes.get(at).map(|b| b.x);
            now.zip(before.get(at)).map_or(0.0, |(now, was)| now - was)
        };
        // Followers first, the trunk last, so that the trunk has its way.
        let mut wishes: Vec<(Thing, f64, bool)> = Vec::new();
        for item in &items {
            match item.thing {
                Thing::Line(d, k) => {
                    let Some(down) = downs.get(d) else { continue };
                    let trunk = kind(down) == Some(EdgeKind::Forward);
                    let x = match k.checked_sub(1).and_then(|k| down.columns.get(k)) {
                        Some(x) if trunk && alone(graph, downs, down.from) => *x,
                        _ => item.x + shift(down.from),
                    };
                    wishes.push((item.thing, x, false));
                }
                Thing::Box(at) => {
                    let incoming = || downs.iter().filter(move |d| d.to == at);
                    let deepest = incoming()
                        .filter(|d| kind(d) == Some(EdgeKind::Forward))
                        .max_by_key(|d| (depth.get(d.from), std::cmp::Reverse(d.from)));
                    if let Some(d) = deepest {
                        let x = boxes.get(d.from).map_or(item.x, |b| b.x);
                        let single = alone(graph, downs, d.from);
                        let x = if single { x } else { item.x + shift(d.from) };
                        wishes.push((item.thing, x, single));
                    } else if let Some(d) = incoming().next() {
                        wishes.push((item.thing, item.x + shift(d.from), false));
                    }
                }
            }
        }
        wishes.sort_by_key(|w| w.2);
        for (thing, x, _) in wishes {
            place(&mut items, thing, x);
        }
        put_back(&items, boxes, downs);
    }
    follow_up(graph, boxes, downs, &before, rows);
}

/// Sets materials that nothing leads to above the step they enter, as far as
/// their neighbours leave room.
fn follow_up(
    graph: &Graph,
    boxes: &mut [Placed],
    downs: &mut [Down],
    before: &[f64],
    rows: usize,
) {
    for row in (0..rows).rev() {
        let mut items = items_of(row, boxes, downs);
        for i in 0..items.len() {
            let Some(Item { thing: Thing::Box(at), x, .. }) = items.get(i).copied() else {
                continue;
            };
            let material = boxes
                .get(at)
                .and_then(|b| graph.nodes.get(b.node))
                .is_some_and(|n| n.kind == NodeKind::Material);
            if !material || downs.iter().any(|d| d.to == at) {
                continue;
            }
            let Some(target) = downs.iter().find(|d| d.from == at).map(|d| d.to) else {
                continue;
            };
            let moved = boxes.get(target).zip(before.get(target));
            let wish = x + moved.map_or(0.0, |(b, was)| b.x - was);
            let mut wish = wish;
            let own = items.get(i).copied();
            if let (Some(own), Some(left)) = (own, i.checked_sub(1).and_then(|j| items.get(j))) {
                wish = wish.max(left.x + apart(left, &own));
            }
            if let (Some(own), Some(right)) = (own, items.get(i + 1)) {
                wish = wish.min(right.x - apart(&own, right));
            }
            let free = match (own, i.checked_sub(1).and_then(|j| items.get(j))) {
                (Some(own), Some(left)) => wish >= left.x + apart(left, &own) - 0.01,
                _ => true,
            };
            if free && let Some(item) = items.get_mut(i) {
                item.x = wish;
            }
        }
        put_back(&items, boxes, downs);
    }
}

/// Whether the box has one forward line only.
fn alone(graph: &Graph, downs: &[Down], from: usize) -> bool {
    let forward =
        |d: &&Down| graph.edges.get(d.edge).map(|e| e.kind) == Some(EdgeKind::Forward);
    downs.iter().filter(|d| d.from == from).filter(forward).count() == 1
}

/// Length of the longest way of forward lines that leads to each box.
fn depths(graph: &Graph, boxes: &[Placed], downs: &[Down]) -> Vec<usize> {
    let mut depth = vec![0; boxes.len()];
    let mut order: Vec<&Down> = downs
        .iter()
        .filter(|d| graph.edges.get(d.edge).map(|e| e.kind) == Some(EdgeKind::Forward))
        .collect();
    order.sort_by_key(|d| d.first_row);
    for d in order {
        let next = depth.get(d.from).map_or(0, |n: &usize| n + 1);
        if let Some(own) = depth.get_mut(d.to) {
            *own = next.max(*own);
        }
    }
    depth
}

/// The things in a row from left to right.
fn items_of(row: usize, boxes: &[Placed], downs: &[Down]) -> Vec<Item> {
    let mut items: Vec<Item> = boxes
        .iter()
        .enumerate()
        .filter(|(_, b)| b.row == row)
        .map(|(i, b)| Item {
            thing: Thing::Box(i),
            x: b.x,
            half: b.face.width / 2.0,
        })
        .collect();
    for (i, d) in downs.iter().enumerate() {
        let inner = row
            .checked_sub(d.first_row)
            .filter(|k| *k > 0 && k + 1 < d.columns.len());
        if let Some((k, x)) = inner.and_then(|k| Some((k, d.columns.get(k)?))) {
            items.push(Item {
                thing: Thing::Line(i, k),
                x: *x,
                half: 0.0,
            });
        }
    }
    items.sort_by(|a, b| a.x.total_cmp(&b.x));
    items
}

/// Sets one thing at `x`; neighbours on both sides give way.
fn place(items: &mut [Item], thing: Thing, x: f64) {
    let Some(at) = items.iter().position(|i| i.thing == thing) else {
        return;
    };
    let (left, rest) = items.split_at_mut(at);
    let Some((own, right)) = rest.split_first_mut() else {
        return;
    };
    own.x = x;
    let mut last = *own;
    for item in right {
        item.x = item.x.max(last.x + apart(&last, item));
        last = *item;
    }
    last = *own;
    for item in left.iter_mut().rev() {
        item.x = item.x.min(last.x - apart(item, &last));
        last = *item;
    }
}

/// Writes the row back, the ends of lines with their boxes.
fn put_back(items: &[Item], boxes: &mut [Placed], downs: &mut [Down]) {
    for item in items {
        match item.thing {
            Thing::Box(i) => {
                if let Some(b) = boxes.get_mut(i) {
                    b.x = item.x;
                }
                for d in downs.iter_mut() {
                    if d.from == i && let Some(x) = d.columns.first_mut() {
                        *x = item.x;
                    }
                    if d.to == i && let Some(x) = d.columns.last_mut() {
                        *x = item.x;
                    }
                }
            }
            Thing::Line(d, k) => {
                if let Some(x) = downs.get_mut(d).and_then(|d| d.columns.get_mut(k)) {
                    *x = item.x;
                }
            }
        }
    }
}
