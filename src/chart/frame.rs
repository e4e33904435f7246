//! Where things stand in the chart: axes, bands above the plot, labels beside
//! it.

use super::scale::{nice_values, value_labels};
use super::{Chart, Window, WindowKind};
use crate::flow::text;

/// Width of the whole picture.
pub(super) const WIDTH: f64 = 760.0;
/// Left end of the plot.
pub(super) const LEFT: f64 = 64.0;
/// Right end of the plot.
pub(super) const RIGHT: f64 = 590.0;
/// Height of the plot.
const TALL: f64 = 240.0;
/// Height of a lane for stretches above the plot.
pub(super) const LANE: f64 = 21.0;
/// Lanes above the plot at most.
const LANES: usize = 5;
/// Stretches of one kind at most.
const WINDOWS: usize = 16;
/// Traces drawn at most.
pub(super) const TRACES: usize = 8;
/// Limit lines drawn at most.
pub(super) const LIMITS: usize = 8;
/// Remarks drawn at most.
pub(super) const NOTES: usize = 12;

/// Places of the axes.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    pub from: i64,
    pub to: i64,
    pub low: f64,
    pub high: f64,
    pub top: f64,
    pub bottom: f64,
    pub values: Vec<(f64, String)>,
    pub title: Vec<String>,
    pub bands: Vec<Band>,
}

/// A stretch as it is drawn.
#[derive(Debug, Clone)]
pub(super) struct Band {
    pub kind: WindowKind,
    pub left: f64,
    pub right: f64,
    pub label: String,
    /// Lane above the plot, `None` when no lane had room.
    pub lane: Option<usize>,
    pub label_x: f64,
}

impl Frame {
    /// Lays out the chart; `shown` are the values that the plot must reach.
    pub fn new(chart: &Chart, shown: impl Iterator<Item = f64>) -> Self {
        let (from, to) = chart.span();
        let all = shown
            .chain(chart.limits.iter().take(LIMITS).map(|l| l.value))
            .chain(chart.notes.iter().take(NOTES).map(|n| n.value))
            .filter(|v| v.is_finite())
            .map(|v| v.clamp(-1e300, 1e300));
        let (low, high) = all.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        let (low, high) = if low > high {
            (0.0, 1.0)
        } else if high - low <= low.abs().max(high.abs()) * 1e-12 {
            let pad = (low.abs() * 0.05).max(1.0);
            (low - pad, high + pad)
        } else {
            let pad = (high - low) * 0.04;
            (low - pad, high + pad)
        };
        let values = nice_values(low, high, 6);
        let (low, high) = match values.as_slice() {
            [first, .., last] => (*first, *last),
            _ => (low, high),
        };
        let labels = value_labels(&values);
        let mut title = text::wrap(&chart.title, WIDTH - 16.0, 14.0);
        if title.len() > 2 {
            title = vec![text::fit(&chart.title, WIDTH - 16.0, 14.0)];
        }
        let mut frame = Frame {
            from,
            to,
            low,
            high,
            top: 0.0,
            bottom: 0.0,
            values: values.into_iter().zip(labels).collect(),
            title,
            bands: Vec::new(),
        };
        frame.bands = frame.bands_of(&chart.windows);
        let lanes = frame.lanes();
        let notes = if chart.notes.is_empty() { 0.0 } else { 22.0 };
        frame.top = 12.0 + frame.title.len() as f64 * 18.0 + lanes as f64 * LANE + notes + 8.0;
        frame.bottom = frame.top + TALL;
        frame
    }

    /// Number of lanes above the plot.
    pub fn lanes(&self) -> usize {
        self.bands.iter().filter_map(|b| b.lane).max().map_or(0, |l| l + 1)
    }

    /// The x of an instant, within the plot.
    pub fn x(&self, at: i64) -> f64 {
        let wide = (i128::from(self.to) - i128::from(self.from)).max(1) as f64;
        let part = (i128::from(at) - i128::from(self.from)) as f64 / wide;
        LEFT + part.clamp(0.0, 1.0) * (RIGHT - LEFT)
    }

    /// The y of a value, within the plot.
    pub fn y(&self, value: f64) -> f64 {
        let part = (value - self.low) / (self.high - self.low);
        let part = if part.is_finite() { part.clamp(0.0, 1.0) } else { 0.5 };
        self.bottom - part * (self.bottom - self.top)
    }

    /// Stretches of each kind; those too close to tell apart become one.
    fn bands_of(&self, windows: &[Window]) -> Vec<Band> {
        let mut bands = Vec::new();
        for kind in [WindowKind::Stage, WindowKind::Affected, WindowKind::Gap] {
            let mut own: Vec<(f64, f64, &str)> = windows
                .iter()
                .filter(|w| w.kind == kind)
                .map(|w| (w.from_ns.min(w.to_ns), w.from_ns.max(w.to_ns), w))
                .filter(|(a, b, _)| *b >= self.from && *a <= self.to)
                .map(|(a, b, w)| (self.x(a), self.x(b), w.label.as_str()))
                .collect();
            own.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
            let mut near = 0.5;
            let mut merged = merge(&own, if kind == WindowKind::Stage { -1.0 } else { near });
            while merged.len() > WINDOWS {
                near *= 2.0;
                merged = merge(&own, near);
            }
            bands.extend(merged.into_iter().map(|(left, right, label, count)| Band {
                kind,
                left,
                right,
                label: match count {
                    1 => label.to_owned(),
                    n => format!("{label} and {} more", n - 1),
                },
                lane: None,
                label_x: 0.0,
            }));
        }
        let mut taken: Vec<Vec<(f64, f64)>> = Vec::new();
        for band in &mut bands {
            band.label = text::fit(&band.label, 260.0, 10.0);
            let half = text::width(&band.label, 10.0) / 2.0;
            let middle = f64::midpoint(band.left, band.right);
            band.label_x = middle.max(LEFT + half - 40.0).min(RIGHT - half + 40.0);
            let ends = (band.left.min(band.label_x - half) - 4.0, band.right.max(band.label_x + half) + 4.0);
            let fits = |lane: &Vec<(f64, f64)>| lane.iter().all(|(a, b)| ends.1 <= *a || ends.0 >= *b);
            let lane = taken.iter().position(fits).unwrap_or(taken.len());
            if lane < LANES {
                if lane == taken.len() {
                    taken.push(Vec::new());
                }
                if let Some(lane) = taken.get_mut(lane) {
                    lane.push(ends);
                }
                band.lane = Some(lane);
            }
        }
        bands
    }
}

/// Joins stretches that are less than `near` apart: left, right, first label,
/// how many.
fn merge<'w>(own: &[(f64, f64, &'w str)], near: f64) -> Vec<(f64, f64, &'w str, usize)> {
    let mut merged: Vec<(f64, f64, &str, usize)> = Vec::new();
    for (left, right, label) in own {
        match merged.last_mut() {
            Some(last) if left - last.1 < near => {
                last.1 = last.1.max(*right);
                last.3 += 1;
            }
            _ => merged.push((*left, *right, label, 1)),
        }
    }
    merged
}
