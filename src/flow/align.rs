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
    let before = Before {
        boxes: boxes.iter().map(|b| b.x).collect(),
        columns: downs.iter().map(|d| d.columns.clone()).collect(),
    };
    let depth = depths(graph, boxes, downs);
    let kind = |d: &Down| graph.edges.get(d.edge).map(|e| e.kind);
    for row in 0..rows {
        let mut items = items_of(row, boxes, downs);
        let shift = |at: usize| {
            let now = boxes.get(at).map(|b| b.x);
            now.zip(before.boxes.get(at)).map_or(0.0, |(now, was)| now - was)
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
                    if let Some(d) = deepest(graph, downs, &depth, at) {
                        let x = boxes.get(d.from).map_or(item.x, |b| b.x);
                        let single = alone(graph, downs, d.from);
                        let x = if single { x } else { item.x + shift(d.from) };
                        wishes.push((item.thing, x, single));
                    } else if let Some(d) = downs.iter().find(|d| d.to == at) {
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
    follow_up(graph, boxes, downs, &before, (rows, &depth));
}

/// Draws side branches back to the box they lead to, as far as their
/// neighbours leave room.
fn follow_up(
    graph: &Graph,
    boxes: &mut [Placed],
    downs: &mut [Down],
    before: &Before,
    (rows, depth): (usize, &[usize]),
) {
    let trunk = trunk(graph, downs, depth);
    for row in (0..rows).rev() {
        let mut items = items_of(row, boxes, downs);
        let wishes: Vec<Option<f64>> = items
            .iter()
            .map(|item| {
                let (d, k) = match item.thing {
                    Thing::Line(d, k) => (d, k),
                    Thing::Box(at) if trunk.contains(&at) => return None,
                    Thing::Box(at) => {
                        if let Some(x) = beside(graph, boxes, downs, at) {
                            return Some(x);
                        }
                        (downs.iter().position(|d| d.from == at)?, 0)
                    }
                };
                // Keep the old distance from the next corner of the line.
                let was = before.columns.get(d)?;
                Some(downs.get(d)?.columns.get(k + 1)? + was.get(k)? - was.get(k + 1)?)
            })
            .collect();
        let leftward = 0..items.len();
        for i in leftward.clone().chain(leftward.rev()) {
            let (Some(own), Some(Some(wish))) = (items.get(i).copied(), wishes.get(i)) else {
                continue;
            };
            let left = i.checked_sub(1).and_then(|j| items.get(j));
            let least = left.map_or(f64::MIN, |l| l.x + apart(l, &own));
            let most = items.get(i + 1).map_or(f64::MAX, |r| r.x - apart(&own, r));
            let x = if *wish < own.x { wish.max(least).min(own.x) } else { wish.min(most).max(own.x) };
            if let Some(item) = items.get_mut(i) {
                item.x = x;
            }
        }
        put_back(&items, boxes, downs);
    }
}

/// Where a material stands that shares its row with others for the same step:
/// side by side about the middle of the step.
fn beside(graph: &Graph, boxes: &[Placed], downs: &[Down], at: usize) -> Option<f64> {
    let own = boxes.get(at)?;
    if graph.nodes.get(own.node)?.kind != NodeKind::Material {
        return None;
    }
    let to = downs.iter().find(|d| d.from == at)?.to;
    let mut group: Vec<(f64, usize)> = boxes
        .iter()
        .enumerate()
        .filter(|(i, b)| b.row == own.row && downs.iter().find(|d| d.from == *i).is_some_and(|d| d.to == to))
        .map(|(i, b)| (b.x, i))
        .collect();
    group.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let place = group.iter().position(|(_, i)| *i == at)? as f64;
    let middle = (group.len() as f64 - 1.0) / 2.0;
    Some(boxes.get(to)?.x + (place - middle) * (own.face.width + 24.0))
}

/// Places before anything was moved.
struct Before {
    boxes: Vec<f64>,
    columns: Vec<Vec<f64>>,
}

/// The boxes on the longest way of forward lines.
fn trunk(graph: &Graph, downs: &[Down], depth: &[usize]) -> Vec<usize> {
    let end = (0..depth.len()).max_by_key(|i| (depth.get(*i), std::cmp::Reverse(*i)));
    let mut trunk: Vec<usize> = end.into_iter().collect();
    while let Some(d) = trunk.last().and_then(|at| deepest(graph, downs, depth, *at)) {
        trunk.push(d.from);
    }
    trunk
}

/// The forward line into the box that comes from the longest way.
fn deepest<'d>(graph: &Graph, downs: &'d [Down], depth: &[usize], at: usize) -> Option<&'d Down> {
    downs
        .iter()
        .filter(|d| d.to == at)
        .filter(|d| graph.edges.get(d.edge).map(|e| e.kind) == Some(EdgeKind::Forward))
        .max_by_key(|d| (depth.get(d.from), std::cmp::Reverse(d.from)))
}

/// Whether the box has one forward line only.
fn alone(graph: &Graph, downs: &[Down], from: usize) -> bool {
    let forward = |d: &&Down| graph.edges.get(d.edge).map(|e| e.kind) == Some(EdgeKind::Forward);
    downs.iter().filter(|d| d.from == from).filter(forward).count() == 1
}

/// Length of the longest way of forward lines that leads to each box.
fn depths(graph: &Graph, boxes: &[Placed], downs: &[Down]) -> Vec<usize> {
    let mut depth = vec![0; boxes.len()];
    let mut order: Vec<&Down> =
        downs.iter().filter(|d| graph.edges.get(d.edge).map(|e| e.kind) == Some(EdgeKind::Forward)).collect();
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
        .map(|(i, b)| Item { thing: Thing::Box(i), x: b.x, half: b.face.width / 2.0 })
        .collect();
    for (i, d) in downs.iter().enumerate() {
        let inner = row.checked_sub(d.first_row).filter(|k| *k > 0 && k + 1 < d.columns.len());
        if let Some((k, x)) = inner.and_then(|k| Some((k, d.columns.get(k)?))) {
            items.push(Item { thing: Thing::Line(i, k), x: *x, half: 0.0 });
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
                    if d.from == i
                        && let Some(x) = d.columns.first_mut()
                    {
                        *x = item.x;
                    }
                    if d.to == i
                        && let Some(x) = d.columns.last_mut()
                    {
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
