//! A time-series chart as SVG, for one deviation.
//!
//! The caller gives instants in nanoseconds and every label in words; this
//! module knows no zone and no unit. The chart needs no colour: traces differ
//! by dash pattern and marker and are named beside their end, a limit carries
//! hatches on the side where it is not met, a stretch without record is hatched
//! and says so. Any number of points gives a picture of bounded size in which
//! the extremes of every trace are kept. The same chart gives the same bytes.

mod draw;
mod frame;
mod marks;
mod scale;
mod sides;
#[cfg(test)]
mod tests;
mod thin;

pub use draw::svg;
pub use scale::{nice_values, time_ticks};

/// One mark on the time axis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// The instant, nanoseconds since 1970-01-01 UTC.
    pub at_ns: i64,
    /// Its label in local time, as printed.
    pub label: String,
}

/// A series of readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trace {
    /// Name, printed beside the end of the line.
    pub name: String,
    /// Runs of (instant in ns, value in the unit of the y axis), in time order.
    /// Readings within a run are joined by a line; runs are not joined to each
    /// other. A value that is no finite number parts its run.
    pub pieces: Vec<Vec<(i64, f64)>>,
    /// Instants of rows that hold no usable value, marked at the foot.
    pub breaks: Vec<i64>,
}

/// On which side of a line the limit is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Met at the value and above.
    AtLeast,
    /// Met at the value and below.
    AtMost,
}

/// How a limit line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitKind {
    /// A critical limit: heavy line, hatched on the side where it is not met.
    Critical,
    /// An operating limit: lighter dash-dot line.
    Operating,
}

/// A horizontal line.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitLine {
    /// Text beside the line: `limit ≥ 71.1 °C`.
    pub label: String,
    /// Value in the unit of the y axis.
    pub value: f64,
    /// Where the limit is met.
    pub side: Side,
    /// Critical or operating.
    pub kind: LimitKind,
}

/// What a shaded stretch of time stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum WindowKind {
    /// A stage of the process: two upright dashed lines.
    Stage,
    /// A stretch without record: hatched.
    Gap,
    /// The stretch that the deviation affects: tinted, heavy bar on top.
    Affected,
}

/// A stretch of time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Window {
    /// What it stands for.
    pub kind: WindowKind,
    /// Begin in ns.
    pub from_ns: i64,
    /// End in ns.
    pub to_ns: i64,
    /// Text above it.
    pub label: String,
}

/// A point with a remark; it gets a number in the chart and a line below it.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// Instant in ns.
    pub at_ns: i64,
    /// Value in the unit of the y axis.
    pub value: f64,
    /// The remark, with its time and value as printed.
    pub text: String,
}

/// All that one chart shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chart {
    /// Heading.
    pub title: String,
    /// Description for readers who cannot see the chart; `None` writes one from
    /// the data, see [`text_alternative`].
    pub description: Option<String>,
    /// Name of the y axis with its unit: `Core temperature, °C`.
    pub y_label: String,
    /// Name of the time axis with its zone: `Local time, Europe/London`.
    pub x_label: String,
    /// First instant shown, in ns.
    pub from_ns: i64,
    /// Last instant shown, in ns.
    pub to_ns: i64,
    /// Marks on the time axis, see [`time_ticks`]. Labels that would overlap
    /// their left neighbour are left out, their marks stay.
    pub ticks: Vec<Tick>,
    /// The readings.
    pub traces: Vec<Trace>,
    /// Limit lines.
    pub limits: Vec<LimitLine>,
    /// Shaded stretches.
    pub windows: Vec<Window>,
    /// Remarks; the first twelve are drawn, the description names the number of
    /// the others.
    pub notes: Vec<Note>,
}

impl Chart {
    /// First and last instant shown, at least 1 ns apart.
    fn span(&self) -> (i64, i64) {
        let (a, b) = (self.from_ns.min(self.to_ns), self.from_ns.max(self.to_ns));
        if a == b { (a.saturating_sub(1), b.saturating_add(1)) } else { (a, b) }
    }
}

/// What the chart shows, in sentences: the range of each trace, limits,
/// stretches and remarks. Values are printed as they are; a caller who wants
/// them rounded rounds them before.
pub fn text_alternative(chart: &Chart) -> Vec<String> {
    let (from, to) = chart.span();
    let mut lines = Vec::new();
    for trace in &chart.traces {
        let shown: Vec<f64> = trace
            .pieces
            .iter()
            .flatten()
            .filter(|(t, v)| *t >= from && *t <= to && v.is_finite())
            .map(|(_, v)| *v)
            .collect();
        let low = shown.iter().copied().min_by(f64::total_cmp);
        let high = shown.iter().copied().max_by(f64::total_cmp);
        lines.push(match low.zip(high) {
            Some((low, high)) => format!(
                "{}: {} readings, lowest {low}, highest {high}, {} rows without a value.",
                trace.name,
                shown.len(),
                trace.breaks.len()
            ),
            None => format!("{}: no readings.", trace.name),
        });
    }
    lines.extend(chart.limits.iter().map(|l| format!("Line: {}.", l.label)));
    for window in &chart.windows {
        let kind = match window.kind {
            WindowKind::Stage => "Stage",
            WindowKind::Gap => "No record",
            WindowKind::Affected => "Affected",
        };
        lines.push(format!("{kind}: {}.", window.label));
    }
    for (i, note) in chart.notes.iter().enumerate() {
        lines.push(format!("Note {}: {}", i + 1, note.text));
    }
    lines
}
