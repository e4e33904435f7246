//! Trends on a terminal and as JSON.

use crate::quantity::plain;
use crate::science::control_chart::FEWEST;
use crate::verify::trend::{CONFIDENCE, COVERAGE, Trend};
use serde_json::{Value, json};
use std::fmt::Write;

/// A line a limit, and the signals among the last lots.
pub(super) fn text(out: &mut String, trends: &[Trend]) {
    if trends.iter().all(|trend| trend.chart.is_none()) {
        return;
    }
    out.push_str("\nTrend, lot by lot (the least favourable value that the record allows; judges nothing):\n");
    for trend in trends {
        let Some(chart) = trend.chart else {
            let _ = writeln!(
                out,
                "  {}.{}: {} lots with a number that met it, fewer than {FEWEST}",
                trend.control,
                trend.limit,
                trend.points.iter().filter(|point| point.met).count()
            );
            cut(out, trend);
            continue;
        };
        let side = if trend.at_most { "at most" } else { "at least" };
        let number = |value: f64| plain(value, 3);
        let capability =
            chart.capability(trend.bound).map_or(String::new(), |value| format!("; capability {}", plain(value, 2)));
        let tolerance = trend.tolerance.map_or(String::new(), |value| {
            format!("; {} % of lots within {} at {} % confidence", COVERAGE * 100.0, number(value), CONFIDENCE * 100.0)
        });
        let _ = writeln!(
            out,
            "  {}.{}: {side} {} {}; mean {}, standard deviation {} over {} lots{capability}{tolerance}",
            trend.control,
            trend.limit,
            number(trend.bound),
            trend.unit,
            number(chart.mean),
            number(chart.deviation),
            chart.count
        );
        cut(out, trend);
        for (index, signal, _) in trend.recent() {
            if let Some(point) = trend.points.get(*index) {
                let _ = writeln!(
                    out,
                    "      towards the limit at {}: {} ({} {})",
                    point.lot,
                    signal.words(),
                    number(point.value),
                    trend.unit
                );
            }
        }
    }
}

/// Lots that cannot be set beside the others, since the limit has changed.
fn cut(out: &mut String, trend: &Trend) {
    if trend.cut > 0 {
        let _ = writeln!(out, "      without {} lots judged by an earlier form of this limit", trend.cut);
    }
}

/// Every trend with its points.
pub(super) fn value(trends: &[Trend]) -> Value {
    trends
        .iter()
        .map(|trend| {
            json!({
                "control": trend.control,
                "limit": trend.limit,
                "unit": trend.unit,
                "bound": trend.bound,
                "side": if trend.at_most { "at-most" } else { "at-least" },
                "points": trend.points.iter().map(|point| json!({ "lot": point.lot, "value": point.value, "met": point.met })).collect::<Vec<_>>(),
                "left-out": trend.left_out,
                "judged-by-another-form": trend.cut,
                "mean": trend.chart.map(|chart| chart.mean),
                "mean-moving-range": trend.chart.map(|chart| chart.range),
                "limits": trend.chart.map(|chart| chart.limits()),
                "standard-deviation": trend.chart.map(|chart| chart.deviation),
                "capability": trend.chart.and_then(|chart| chart.capability(trend.bound)),
                "tolerance-bound": trend.tolerance,
                "signals": trend.signals.iter().filter_map(|(index, signal, _)| {
                    Some(json!({ "lot": trend.points.get(*index)?.lot, "rule": signal.words() }))
                }).collect::<Vec<_>>(),
            })
        })
        .collect()
}
