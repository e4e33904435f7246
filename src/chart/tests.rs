#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]
//! Promises of the chart: bounded size, exact extremes, no false joins.

use super::scale::value_labels;
use super::thin::thin;
use super::*;
use proptest::prelude::*;

const S: i64 = 1_000_000_000;

fn one(points: Vec<(i64, f64)>) -> Chart {
    Chart {
        title: "Deviation".to_owned(),
        from_ns: points.first().map_or(0, |p| p.0),
        to_ns: points.last().map_or(0, |p| p.0),
        traces: vec![Trace { name: "Core".to_owned(), pieces: vec![points], breaks: Vec::new() }],
        ..Chart::default()
    }
}

fn well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for chunk in svg.split('<').skip(1) {
        let tag = chunk.split('>').next().unwrap();
        let name = tag.trim_start_matches('/').split([' ', '/']).next().unwrap();
        let known = ["svg", "title", "desc", "rect", "path", "circle", "text", "pattern"];
        assert!(known.contains(&name), "unexpected tag {name}");
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty());
    assert!(!svg.contains("NaN") && !svg.contains("inf "));
}

/// Noise from a fixed recurrence, within -1..1.
fn noise(n: usize) -> Vec<f64> {
    let mut state = 7u64;
    (0..n)
        .map(|_| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 33) as f64 / (1u64 << 30) as f64 - 1.0
        })
        .collect()
}

#[test]
fn many_points_stay_small_and_keep_their_extremes() {
    let mut points: Vec<(i64, f64)> =
        noise(60_000).into_iter().enumerate().map(|(i, v)| (i as i64 * S, 60.0 + v)).collect();
    points[23_456].1 = 12.25;
    points[50_001].1 = 99.5;
    for strips in [3, 50, 526] {
        let thinned = thin(&[points.clone()], (0, 60_000 * S), strips);
        let all: Vec<(i64, f64)> = thinned.concat();
        assert!(all.len() <= strips * 4, "{} points", all.len());
        assert!(all.contains(&(23_456 * S, 12.25)) && all.contains(&(50_001 * S, 99.5)));
        assert!(all.iter().all(|p| points[(p.0 / S) as usize] == *p), "no point is invented");
        assert_eq!(thinned.len(), 1, "one run stays one run");
    }
    let mut chart = one(points.clone());
    for _ in 0..11 {
        chart.traces.push(chart.traces[0].clone());
    }
    for trace in &mut chart.traces {
        trace.breaks = (0..20_000).map(|i| i * 3 * S).collect();
    }
    for i in 0..5_000 {
        chart.windows.push(Window {
            kind: [WindowKind::Stage, WindowKind::Gap, WindowKind::Affected][i % 3],
            from_ns: i as i64 * 12 * S,
            to_ns: (i as i64 * 12 + 4) * S,
            label: "a stretch with a long label that says a good deal".repeat(3),
        });
        chart.notes.push(Note { at_ns: i as i64 * S, value: 60.0, text: "remark ".repeat(60) });
        chart.limits.push(LimitLine {
            label: "limit ".repeat(40),
            value: i as f64 / 50.0,
            side: Side::AtLeast,
            kind: LimitKind::Critical,
        });
        chart.ticks.push(Tick { at_ns: i as i64 * 12 * S, label: "00:00".to_owned() });
    }
    let svg = svg(&chart, "d");
    well_formed(&svg);
    assert!(svg.len() < 40_000, "{} bytes", svg.len());
    assert!(svg.contains("Not drawn for want of room: 4 traces, 4992 lines, 4988 notes."));
}

#[test]
fn many_pieces_stay_small_and_are_not_joined() {
    // Pieces of one point each, more than strips: no slanting line may appear.
    let mut chart = one(vec![(0, 0.0), (100_000 * S, 1.0)]);
    chart.traces[0].pieces = noise(100_000).into_iter().enumerate().map(|(i, v)| vec![(i as i64 * S, v)]).collect();
    let runs = thin(&chart.traces[0].pieces, (0, 100_000 * S), 200);
    assert!(runs.len() <= 400);
    assert!(runs.iter().all(|r| r.iter().all(|p| p.0 == r[0].0)), "only upright strokes");
    assert!(svg(&chart, "d").len() < 40_000);
}

#[test]
fn a_gap_is_not_bridged_and_a_bad_value_parts_the_run() {
    let runs =
        thin(&[vec![(0, 1.0), (10, 2.0)], vec![(500, 3.0), (510, f64::NAN), (520, 4.0), (530, 5.0)]], (0, 1000), 500);
    assert_eq!(runs, [vec![(0, 1.0), (10, 2.0)], vec![(500, 3.0)], vec![(520, 4.0), (530, 5.0)]]);
}

#[test]
fn a_line_that_leaves_the_range_is_cut_at_its_end() {
    let runs = thin(&[vec![(0, 0.0), (100, 10.0), (200, 20.0)]], (50, 150), 100);
    assert_eq!(runs, [vec![(50, 5.0), (100, 10.0), (150, 15.0)]]);
    assert!(thin(&[vec![(0, 0.0), (10, 1.0)]], (50, 150), 100).is_empty());
}

#[test]
fn round_values_and_their_labels() {
    assert_eq!(nice_values(0.3, 9.7, 5), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
    assert_eq!(value_labels(&nice_values(-0.12, 0.31, 5)), ["-0.2", "-0.1", "0.0", "0.1", "0.2", "0.3", "0.4"]);
    assert!(nice_values(1.0, 1.0, 5).is_empty() && nice_values(f64::NAN, 1.0, 5).is_empty());
}

#[test]
fn time_ticks_follow_local_time_across_a_clock_change() {
    // 2026-10-25 in London: 01:00 UTC is the end of summer time
    // (time zone database, Europe/London).
    let change = 1_792_890_000 * S;
    let offset = |t: i64| if t < change { 3600 * S } else { 0 };
    let (from, to) = (change - 5 * 3600 * S, change + 5 * 3600 * S);
    let hours = time_ticks(from, to, 12, offset);
    // Every local hour, and the hour from 01:00 to 02:00 twice.
    assert_eq!(hours.len(), 11);
    for t in &hours {
        assert_eq!((t + offset(*t)).rem_euclid(3600 * S), 0);
    }
    // Two-hour marks sit on even local hours on both sides.
    for t in time_ticks(from, to, 5, offset) {
        assert_eq!((t + offset(t)).rem_euclid(7200 * S), 0);
    }
    assert!(time_ticks(5, 5, 5, |_| 0).is_empty());
    assert!(time_ticks(i64::MIN, i64::MAX, 5, |_| 0).len() <= 8);
}

#[test]
fn text_is_escaped_and_ids_carry_the_prefix() {
    let mut chart = one(vec![(0, 1.0), (S, 2.0)]);
    chart.title = "<lot> & \"co\"".to_owned();
    chart.windows.push(Window { kind: WindowKind::Gap, from_ns: 0, to_ns: S, label: "<g>".to_owned() });
    let svg = svg(&chart, "dev 1");
    well_formed(&svg);
    assert!(svg.contains("<title id=\"dev-1-title\">&lt;lot&gt; &amp; &quot;co&quot;</title>"));
    assert!(svg.contains("id=\"dev-1-hatch\"") && svg.contains("url(#dev-1-hatch)"));
    assert_eq!(svg.matches('#').count(), 1, "no fixed colour");
}

#[test]
fn labels_at_the_right_do_not_overlap() {
    let mut chart = one(vec![(0, 1.0), (S, 2.0)]);
    for i in 0..6 {
        chart.limits.push(LimitLine {
            label: format!("limit {i}"),
            value: 2.0 + f64::from(i) * 0.01,
            side: Side::AtMost,
            kind: LimitKind::Operating,
        });
    }
    let svg = svg(&chart, "d");
    let mut ys: Vec<f64> = svg
        .lines()
        .filter(|l| l.contains(">limit ") || l.contains(">Core<"))
        .map(|l| l.split("y=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap())
        .collect();
    assert_eq!(ys.len(), 7);
    ys.sort_by(f64::total_cmp);
    assert!(ys.windows(2).all(|p| p[1] - p[0] >= 12.0), "{ys:?}");
}

#[test]
fn an_empty_chart_and_sentences() {
    well_formed(&svg(&Chart::default(), ""));
    let mut chart = one(vec![(0, 1.5), (S, f64::NAN), (2 * S, 4.25)]);
    chart.traces.push(Trace { name: "Air".to_owned(), ..Trace::default() });
    chart.notes.push(Note { at_ns: 0, value: 1.5, text: "lowest".to_owned() });
    assert_eq!(
        text_alternative(&chart),
        ["Core: 2 readings, lowest 1.5, highest 4.25, 0 rows without a value.", "Air: no readings.", "Note 1: lowest",]
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_chart_is_well_formed_and_repeats(
        values in prop::collection::vec((any::<i64>(), any::<f64>()), 0..60),
        from in any::<i64>(), to in any::<i64>(), words in ".{0,60}", limit in any::<f64>(),
    ) {
        let mut values = values;
        values.sort_by_key(|p| p.0);
        let at = values.first().map_or(from, |p| p.0);
        let mut chart = one(values);
        (chart.from_ns, chart.to_ns) = (from, to);
        chart.title = words.clone();
        chart.y_label = words.clone();
        chart.limits.push(LimitLine {
            label: words.clone(), value: limit, side: Side::AtMost, kind: LimitKind::Critical,
        });
        chart.windows.push(Window {
            kind: WindowKind::Affected, from_ns: to, to_ns: from, label: words.clone(),
        });
        chart.notes.push(Note { at_ns: at, value: limit, text: words });
        chart.ticks = time_ticks(from, to, 8, |_| 0)
            .into_iter()
            .map(|at_ns| Tick { at_ns, label: "t".to_owned() })
            .collect();
        let first = svg(&chart, "x");
        well_formed(&first);
        prop_assert!(first.len() < 40_000);
        prop_assert_eq!(first, svg(&chart.clone(), "x"));
    }

    #[test]
    fn round_values_hold_the_range(low in -1e6..1e6f64, span in 1e-3..1e6f64, want in 2..9usize) {
        let values = nice_values(low, low + span, want);
        prop_assert!(values.len() >= 2 && values.len() <= want + 3);
        prop_assert!(values[0] <= low + span * 1e-9);
        prop_assert!(values[values.len() - 1] >= low + span * (1.0 - 1e-9));
        let labels = value_labels(&values);
        let mut distinct = labels.clone();
        distinct.dedup();
        prop_assert_eq!(labels.len(), distinct.len());
    }
}
