//! Trends: how near to its limit each lot came, with a chart of single values.

use super::Order;
use crate::chart::{self, Chart, LimitKind, LimitLine, Side, Tick, Trace};
use crate::document::page::{Block, Cell, Row, Section, Table};
use crate::document::sections::food::inline;
use crate::quantity::plain;
use crate::science::control_chart::{FEWEST, Individuals};
use crate::verify::trend::{CONFIDENCE, COVERAGE, Trend};

/// Every trend that has enough lots; none if no limit has.
pub(super) fn section(order: &Order<'_>) -> Option<Section> {
    let trends = &order.verification.trends;
    let shown: Vec<(&Trend, Individuals)> =
        trends.iter().filter_map(|trend| trend.chart.map(|chart| (trend, chart))).collect();
    let rows = shown.iter().map(|(trend, chart)| row(trend, chart)).collect();
    let table = Table::some(
        "The least favourable value of each lot that its record allows",
        &[
            ("Limit", 24),
            ("Figure", 13),
            ("Mean", 10),
            ("Spread", 10),
            ("Capability", 13),
            ("Tolerance", 12),
            ("Towards the limit, last eight lots", 22),
        ],
        rows,
    )?;
    let lead = Block::text(format!(
        "A trend judges nothing. Mean and spread are over the lots that met the limit, at least {FEWEST}; capability is the distance from mean to limit in threes of the standard deviation; the tolerance bound holds {} % of lots at {} % confidence if their values are normally distributed.",
        COVERAGE * 100.0,
        CONFIDENCE * 100.0
    ));
    let charts = shown.iter().enumerate().map(|(index, (trend, chart))| drawn(trend, chart, index));
    let mut blocks = vec![lead, table];
    blocks.extend(charts);
    Some(Section::new("trend", "Trend", blocks))
}

fn number(value: f64) -> String {
    plain(value, 3)
}

fn row(trend: &Trend, chart: &Individuals) -> Row {
    let side = if trend.at_most { "≤" } else { "≥" };
    let dash = || "–".to_owned();
    let signals: Vec<String> = trend
        .recent()
        .filter_map(|(index, signal, _)| Some(format!("{}: {}", trend.points.get(*index)?.lot, signal.words())))
        .collect();
    Row::new(vec![
        Cell::text(format!("{}.{}", trend.control, trend.limit)),
        Cell::text(format!("{side} {} {}", number(trend.bound), trend.unit)),
        Cell::text(number(chart.mean)),
        Cell::text(number(chart.deviation)),
        Cell::text(chart.capability(trend.bound).map_or_else(dash, |value| plain(value, 2))),
        Cell::text(trend.tolerance.map_or_else(dash, number)),
        if signals.is_empty() { Cell::text("none") } else { Cell::texts(signals) },
    ])
}

/// Lots across in their order, a mark a lot; the limit, and the limits of the chart as lighter lines.
fn drawn(trend: &Trend, chart: &Individuals, index: usize) -> Block {
    let place = |at: usize| i64::try_from(at).unwrap_or(i64::MAX).saturating_mul(crate::time::SECOND);
    let last = trend.points.len().saturating_sub(1);
    let step = last.div_ceil(6).max(1);
    let points = trend.points.iter().enumerate();
    let ticks = points
        .clone()
        .filter(|(at, _)| at % step == 0)
        .map(|(at, point)| Tick { at_ns: place(at), label: point.lot.clone() })
        .collect();
    let (lower, upper) = chart.limits();
    let line = |value: f64, label: &str, side: Side, kind: LimitKind| LimitLine {
        label: format!("{label} {}", number(value)),
        value,
        side,
        kind,
    };
    let side = if trend.at_most { Side::AtMost } else { Side::AtLeast };
    let title = format!("{}.{}, lot by lot", trend.control, trend.limit);
    let drawing = Chart {
        title: title.clone(),
        description: Some("One value a lot, with the limit, and three standard deviations from the mean.".to_owned()),
        y_label: trend.unit.clone(),
        x_label: "Lots in the order of their beginning".to_owned(),
        from_ns: 0,
        to_ns: place(last.max(1)),
        ticks,
        traces: vec![Trace {
            name: "lot".to_owned(),
            pieces: vec![points.map(|(at, point)| (place(at), point.value)).collect()],
            breaks: Vec::new(),
        }],
        limits: vec![
            line(trend.bound, "limit", side, LimitKind::Critical),
            line(lower, "mean − 3 s", Side::AtLeast, LimitKind::Operating),
            line(upper, "mean + 3 s", Side::AtMost, LimitKind::Operating),
        ],
        ..Chart::default()
    };
    Block::Figure {
        id: format!("chart-trend-{}", index + 1),
        shown: "both",
        svg: inline(&chart::svg(&drawing, &format!("trend-{}-", index + 1))),
        caption: if trend.cut == 0 {
            title
        } else {
            format!("{title}, without {} lots judged by an earlier form of the limit", trend.cut)
        },
    }
}
