#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]
//! The picture's own promises: nothing overlaps, nothing is cut, nothing leaks.

use super::layout::grid;
use super::parts::slices;
use super::route::{Drawing, draw};
use super::text::{escape, fit, width, wrap};
use super::*;
use proptest::prelude::*;

fn chain(steps: usize) -> Graph {
    let mut g = Graph::default();
    for i in 1..=steps {
        let mut node = Node::new(format!("s{i}"), NodeKind::Step, format!("Invented step {i}"));
        node.number = Some(i.to_string());
        if i % 7 == 0 {
            node.marks.push(format!("CCP {}", i / 7));
        }
        g.nodes.push(node);
        if i > 1 {
            g.edges.push(Edge::new(format!("s{}", i - 1), format!("s{i}"), EdgeKind::Forward));
        }
        if i % 5 == 0 {
            g.nodes.push(Node::new(format!("m{i}"), NodeKind::Material, format!("Material {i}")));
            g.edges.push(Edge::new(format!("m{i}"), format!("s{i}"), EdgeKind::Uses));
        }
        if i % 9 == 0 {
            g.edges.push(Edge::new(format!("s{i}"), format!("s{}", i - 4), EdgeKind::Rework));
        }
    }
    g
}

fn any_graph() -> impl Strategy<Value = Graph> {
    let kinds = prop::sample::select(vec![
        NodeKind::Material,
        NodeKind::Step,
        NodeKind::Product,
        NodeKind::ByProduct,
        NodeKind::Rework,
        NodeKind::Waste,
    ]);
    let node = (kinds, ".{0,40}", prop::option::of("[0-9]{1,3}[A-Z]?"), 0..2usize);
    let lines = prop::sample::select(vec![
        EdgeKind::Forward,
        EdgeKind::Branch,
        EdgeKind::Rework,
        EdgeKind::Waste,
        EdgeKind::Uses,
    ]);
    prop::collection::vec(node, 1..22).prop_flat_map(move |nodes| {
        let n = nodes.len();
        let edge = (0..n, 0..n, lines.clone(), prop::option::of("[a-z ]{1,20}"));
        prop::collection::vec(edge, 0..30).prop_map(move |edges| Graph {
            nodes: nodes
                .iter()
                .enumerate()
                .map(|(i, (kind, title, number, marks))| Node {
                    key: format!("k{i}"),
                    kind: *kind,
                    number: number.clone(),
                    title: title.clone(),
                    marks: vec!["CCP 1".to_owned(); *marks],
                    zone: None,
                })
                .collect(),
            edges: edges
                .into_iter()
                .map(|(a, b, kind, label)| Edge { from: format!("k{a}"), to: format!("k{b}"), kind, label })
                .collect(),
        })
    })
}

/// Does the segment pass through the inside of the rectangle (l, t, r, b)?
fn cuts(p: (f64, f64), q: (f64, f64), rect: (f64, f64, f64, f64)) -> bool {
    let (l, t, r, b) = (rect.0 + 0.5, rect.1 + 0.5, rect.2 - 0.5, rect.3 - 0.5);
    let (mut near, mut far) = (0.0f64, 1.0f64);
    for (start, delta, low, high) in [(p.0, q.0 - p.0, l, r), (p.1, q.1 - p.1, t, b)] {
        if delta.abs() < 1e-9 {
            if start <= low || start >= high {
                return false;
            }
        } else {
            let (a, z) = ((low - start) / delta, (high - start) / delta);
            near = near.max(a.min(z));
            far = far.min(a.max(z));
        }
    }
    near < far
}

/// Source, target and corners of a line.
type Line = (usize, usize, Vec<(f64, f64)>);

fn every_line(d: &Drawing) -> Vec<Line> {
    let mut all = Vec::new();
    for down in &d.downs {
        all.push((down.from, down.to, d.down_corners(down, 0, d.rows.len())));
    }
    for r in &d.returns {
        let mut corners = d.leave_corners(r);
        corners.extend(d.enter_corners(r));
        all.push((r.from, r.to, corners));
    }
    all
}

fn sound(g: &Graph) {
    let d = draw(g, grid(g));
    assert_eq!(d.boxes.len(), g.nodes.len() - g.repeated_keys().len());
    for (i, a) in d.boxes.iter().enumerate() {
        assert!(a.x.is_finite() && a.y.is_finite());
        for b in &d.boxes[i + 1..] {
            let apart = a.right() < b.left() || b.right() < a.left() || a.bottom() < b.top() || b.bottom() < a.top();
            assert!(apart, "boxes {} and {} overlap", a.node, b.node);
        }
    }
    let lines = every_line(&d);
    assert_eq!(lines.len(), g.edges.len() - g.dangling().len());
    for (from, to, corners) in lines {
        // From the border of the one box to the border of the other.
        let (first, last) = (corners[0], corners[corners.len() - 1]);
        for ((x, y), b) in [(first, &d.boxes[from]), (last, &d.boxes[to])] {
            assert!(x >= b.left() - 0.1 && x <= b.right() + 0.1, "x of an end");
            assert!(y >= b.top() - 0.1 && y <= b.bottom() + 0.1, "y of an end");
        }
        for pair in corners.windows(2) {
            for (i, b) in d.boxes.iter().enumerate() {
                let rect = (b.left(), b.top(), b.right(), b.bottom());
                assert!(!cuts(pair[0], pair[1], rect), "line {from} to {to} cuts box {i}: {pair:?} {rect:?}");
            }
        }
    }
}

/// Every `<` opens a tag this module writes, and tags pair up.
fn well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for chunk in svg.split('<').skip(1) {
        let tag = chunk.split('>').next().unwrap();
        let name = tag.trim_start_matches('/').split([' ', '/']).next().unwrap();
        let known = ["svg", "title", "desc", "g", "rect", "path", "circle", "text"];
        assert!(known.contains(&name), "unexpected tag {name}");
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty());
    assert!(!svg.contains("NaN") && !svg.contains("inf\""));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_box_overlaps_and_no_line_cuts_a_box(g in any_graph()) {
        sound(&g);
    }

    #[test]
    fn every_drawing_is_well_formed_and_repeats(g in any_graph(), rows in 1..5usize) {
        let options = DrawOptions { max_rows: rows, ..DrawOptions::default() };
        let whole = diagram(&g, &options);
        well_formed(&whole);
        prop_assert_eq!(&whole, &diagram(&g.clone(), &options));
        let cut = parts(&g, &options);
        prop_assert_eq!(&cut, &parts(&g, &options));
        let boxes = |svg: &str| svg.matches("class=\"flow-box").count();
        let shown: usize = cut.iter().map(|p| boxes(&p.svg)).sum();
        prop_assert_eq!(shown, boxes(&whole));
        for part in &cut {
            well_formed(&part.svg);
        }
    }

    #[test]
    fn wrapped_text_keeps_its_letters_and_its_room(t in ".{0,80}", room in 30.0..200.0f64) {
        let lines = wrap(&t, room, 12.0);
        let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace() && *c != '-').collect::<String>();
        prop_assert_eq!(letters(&lines.concat()), letters(&t));
        for line in &lines {
            prop_assert!(line.chars().count() <= 2 || width(line, 12.0) <= room + 0.01);
        }
        prop_assert!(width(&fit(&t, room, 12.0), 12.0) <= room + 12.0);
    }
}

#[test]
fn sixty_steps_are_sound_and_split() {
    let g = chain(60);
    sound(&g);
    let options = DrawOptions { max_rows: 8, ..DrawOptions::default() };
    let drawing = draw(&g, grid(&g));
    let cut = slices(&g, &drawing, 8);
    assert!(cut.iter().all(|s| s.end - s.first <= 8 && s.end > s.first));
    assert_eq!(cut.iter().map(|s| s.end - s.first).sum::<usize>(), drawing.rows.len());
    let parts = parts(&g, &options);
    assert_eq!(parts.len(), cut.len());
    // Each letter that a line ends in begins a line in another part.
    for slice in &cut {
        for c in &slice.connectors {
            let partners = cut
                .iter()
                .filter(|s| s.number != slice.number)
                .flat_map(|s| &s.connectors)
                .filter(|o| o.letter == c.letter && o.enters != c.enters)
                .count();
            assert_eq!(partners, 1, "connector {}", c.letter);
        }
    }
    assert!(parts[0].svg.contains("continues") && parts[1].svg.contains("continued"));
    assert!(parts[1].svg.contains("id=\"flow-2-title\""));
}

#[test]
fn titles_are_escaped_and_ids_carry_the_prefix() {
    let mut g = Graph::default();
    g.nodes.push(Node::new("a", NodeKind::Step, "Chill < 5 & \"hold\" <script>\u{1}"));
    let options = DrawOptions { id_prefix: "9 a\"b".to_owned(), title: "A & B".to_owned(), ..DrawOptions::default() };
    let svg = diagram(&g, &options);
    well_formed(&svg);
    assert!(svg.contains("&lt;script&gt;") && svg.contains("<title id=\"s9-a-b-title\">A &amp; B<"));
    assert!(svg.contains("role=\"img\" aria-labelledby=\"s9-a-b-title s9-a-b-desc\""));
    assert_eq!(escape("a\u{0}b'"), "a\u{FFFD}b&#39;");
    assert!(!svg.contains('#'), "no fixed colour");
}

#[test]
fn a_mark_has_the_double_border_and_its_words() {
    let mut g = Graph::default();
    let mut node = Node::new("cook", NodeKind::Step, "Cook");
    g.nodes.push(node.clone());
    let plain = diagram(&g, &DrawOptions::default());
    node.marks = vec!["CCP 1".to_owned()];
    g.nodes = vec![node];
    let marked = diagram(&g, &DrawOptions::default());
    assert_eq!(plain.matches("<rect").count(), 1);
    assert_eq!(marked.matches("<rect").count(), 2);
    assert!(marked.contains(">CCP 1</text>"));
}

#[test]
fn empty_graph_unknown_ends_and_repeated_keys() {
    well_formed(&diagram(&Graph::default(), &DrawOptions::default()));
    assert_eq!(parts(&Graph::default(), &DrawOptions::default()).len(), 1);
    let mut g = chain(3);
    g.edges.push(Edge::new("s1", "nowhere", EdgeKind::Waste));
    g.nodes.push(Node::new("s2", NodeKind::Step, "Twice"));
    assert_eq!(g.dangling().len(), 1);
    assert_eq!(g.repeated_keys(), ["s2"]);
    sound(&g);
    assert!(!diagram(&g, &DrawOptions::default()).contains("Twice"));
}

#[test]
fn sentences_name_what_the_picture_shows() {
    let mut g = Graph::default();
    let mut add = |key: &str, kind, number: Option<&str>, title: &str, mark: Option<&str>| {
        let mut n = Node::new(key, kind, title);
        n.number = number.map(str::to_owned);
        n.marks.extend(mark.map(str::to_owned));
        g.nodes.push(n);
    };
    add("thaw", NodeKind::Step, Some("2"), "Thaw", None);
    add("salt", NodeKind::Material, None, "Salt", None);
    add("cook", NodeKind::Step, Some("3"), "Cook", Some("CCP 1"));
    add("drip", NodeKind::Waste, None, "Drip", None);
    add("pack", NodeKind::Product, None, "Strips", None);
    add("film", NodeKind::Material, None, "Film", None);
    g.edges = vec![
        Edge::new("thaw", "cook", EdgeKind::Forward),
        Edge::new("salt", "cook", EdgeKind::Uses),
        Edge::new("thaw", "drip", EdgeKind::Waste),
        Edge::new("cook", "pack", EdgeKind::Forward),
        Edge::new("cook", "thaw", EdgeKind::Rework),
    ];
    assert_eq!(
        text_alternative(&g),
        [
            "Step 2 Thaw starts the flow; takes back rework from step 3 Cook; gives waste Drip.",
            "Step 3 Cook follows step 2 Thaw; uses Salt; sends rework to step 2 Thaw; CCP 1.",
            "Product Strips comes from step 3 Cook.",
            "Material Film is used by no step.",
        ]
    );
}
