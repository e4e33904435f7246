//! How near to its limit each lot came, lot after lot: charts of single values, and what they say of drift.
//!
//! A trend judges nothing. The value of a lot is the least favourable that its record allows, at the least favourable
//! probe; lots whose limit is not met are shown and left out of mean and spread.

use super::engine::End;
use super::{LimitVerdict, Verification};
use crate::log::{EntryKind, Records};
use crate::plan::limit::{EdgeAt, Over};
use crate::plan::{Condition, Limit, LimitKind, Plan};
use crate::quantity::Unit;
use crate::science::control_chart::{At, FEWEST, Individuals, individuals, signals, tolerance_factor};
use crate::verdict::Verdict;
use std::collections::BTreeMap;

/// The share of lots and the confidence of the tolerance bound. A choice, printed.
pub const COVERAGE: f64 = 0.95;
/// See [`COVERAGE`].
pub const CONFIDENCE: f64 = 0.95;

/// The value of one lot.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The lot.
    pub lot: String,
    /// Its value, in the unit of the trend.
    pub value: f64,
    /// Whether the limit is met.
    pub met: bool,
}

/// One limit over the lots of the period.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// The control.
    pub control: String,
    /// The limit.
    pub limit: String,
    /// Unit of the values; minutes for times.
    pub unit: String,
    /// The limit's figure.
    pub bound: f64,
    /// Whether values are to be at most the bound; else at least.
    pub at_most: bool,
    /// The lots, in order of their beginning.
    pub points: Vec<Point>,
    /// Lots without one number to show.
    pub left_out: usize,
    /// Lots that another text of the plan judged by another form of the limit, which cannot be set beside these.
    pub cut: usize,
    /// Mean and spread over the lots that met the limit; none of fewer than [`FEWEST`].
    pub chart: Option<Individuals>,
    /// Signals, at the index of their lot in [`Trend::points`], in the direction of the limit.
    pub signals: Vec<At>,
    /// The bound that holds at least [`COVERAGE`] of lots with [`CONFIDENCE`], if single values are normally distributed.
    pub tolerance: Option<f64>,
}

impl Trend {
    /// Signals among the last eight lots: the process may be moving towards its limit now.
    pub fn recent(&self) -> impl Iterator<Item = &At> {
        let from = self.points.len().saturating_sub(8);
        self.signals.iter().filter(move |(index, ..)| *index >= from)
    }
}

/// What of a limit is followed: its figure, the side, and where the value of a lot comes from.
struct Followed<'l> {
    figure: &'l crate::plan::limit::Measured,
    at_most: bool,
    time: bool,
    samples: Option<&'l str>,
}

/// One figure and one side, where the limit has them.
fn followed(condition: &Condition) -> Option<Followed<'_>> {
    let one = |lower: &'_ Option<EdgeAt>, upper: &'_ Option<EdgeAt>| match (lower.is_some(), upper.is_some()) {
        (true, false) => Some(false),
        (false, true) => Some(true),
        _ => None,
    };
    match condition {
        Condition::Level { parameter, range, over } => match over {
            Over::Always | Over::Throughout(_) | Over::Samples(_) => {
                let at_most = one(&range.lower, &range.upper)?;
                let edge = if at_most { range.upper.as_ref() } else { range.lower.as_ref() };
                let samples = matches!(over, Over::Samples(_)).then_some(parameter.text.as_str());
                Some(Followed { figure: &edge?.at, at_most, time: false, samples })
            }
            Over::Held(time) | Over::StretchAtLeast(time) => {
                Some(Followed { figure: time, at_most: false, time: true, samples: None })
            }
            Over::StretchAtMost(time) => Some(Followed { figure: time, at_most: true, time: true, samples: None }),
            Over::TotalAtMost(crate::plan::limit::Amount::Time(time)) => {
                Some(Followed { figure: time, at_most: true, time: true, samples: None })
            }
            Over::TotalAtLeast(_) | Over::TotalAtMost(_) => None,
        },
        Condition::Passage { within, .. } => {
            Some(Followed { figure: within, at_most: true, time: true, samples: None })
        }
        _ => None,
    }
}

/// The trend of every critical limit that has one figure.
#[must_use]
pub fn trends(plan: &Plan, records: &Records, whole: &Verification) -> Vec<Trend> {
    let mut out = Vec::new();
    for control in &plan.controls {
        for limit in control.limits.iter().filter(|limit| limit.kind == LimitKind::Critical) {
            out.extend(trend(records, whole, &control.name.text, limit));
        }
    }
    out
}

fn trend(records: &Records, whole: &Verification, control: &str, limit: &Limit) -> Option<Trend> {
    let wanted = followed(limit.condition.as_ref()?)?;
    let quantity = wanted.figure.quantity?;
    let (unit, bound) = if wanted.time {
        ("min".to_owned(), quantity.nanoseconds()? as f64 / 60e9)
    } else {
        (quantity.unit.symbol.to_owned(), quantity.value.to_f64())
    };
    let (mut points, mut left_out, mut cut) = (Vec::new(), 0, 0);
    let symbols = limit.symbols();
    let samples = wanted.samples.map(|parameter| singles(records, parameter, quantity.unit, wanted.at_most));
    for lot in &whole.lots {
        let own = lot.limits.iter().find(|one| one.control == control && limit.name == *one.limit.as_str());
        let Some(own) = own.filter(|own| !own.not_yet) else {
            continue;
        };
        if own.symbols != symbols {
            cut += 1;
            continue;
        }
        let value = match &samples {
            Some(samples) => samples.get(lot.code.as_str()).copied(),
            None => value(own, &wanted, quantity.unit),
        };
        match value {
            Some(value) => {
                points.push(Point { lot: lot.code.clone(), value, met: own.verdict == Verdict::Met });
            }
            None => left_out += 1,
        }
    }
    let steady: Vec<f64> = points.iter().filter(|point| point.met).map(|point| point.value).collect();
    let chart = individuals(&steady).filter(|chart| chart.count >= FEWEST);
    let all: Vec<f64> = points.iter().map(|point| point.value).collect();
    let signals = chart.map_or_else(Vec::new, |chart| signals(&all, &chart));
    let signals = signals.into_iter().filter(|(_, _, above)| *above == wanted.at_most).collect();
    let tolerance = chart.and_then(|chart| {
        let far = tolerance_factor(chart.count, COVERAGE, CONFIDENCE)? * chart.deviation;
        Some(if wanted.at_most { chart.mean + far } else { chart.mean - far })
    });
    Some(Trend {
        control: control.to_owned(),
        limit: limit.name.text.clone(),
        unit,
        bound,
        at_most: wanted.at_most,
        points,
        left_out,
        cut,
        chart,
        signals,
        tolerance,
    })
}

/// The value that lies nearest to the limit, or furthest beyond it.
fn worst(values: impl IntoIterator<Item = f64>, at_most: bool) -> Option<f64> {
    let pick = |a: f64, b: f64| if at_most { a.max(b) } else { a.min(b) };
    values.into_iter().filter(|value| value.is_finite()).reduce(pick)
}

/// The least favourable single value of each lot, of samples and of single readings.
fn singles<'r>(records: &'r Records, parameter: &str, unit: Unit, at_most: bool) -> BTreeMap<&'r str, f64> {
    let mut all: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for one in records.samples.iter().filter(|one| one.parameter == parameter) {
        if one.unit.is_some_and(|own| std::ptr::eq(own, unit)) {
            all.entry(&one.lot).or_default().push(if at_most { one.hi } else { one.lo });
        }
    }
    for channel in records.channels.iter().filter(|channel| channel.spot && channel.parameter == parameter) {
        if let Some(lot) = channel.lot.as_deref().filter(|_| std::ptr::eq(channel.unit, unit)) {
            let read = channel.rows.iter().filter(|row| row.kind == EntryKind::Reading);
            all.entry(lot).or_default().extend(read.map(|row| if at_most { row.hi } else { row.lo }));
        }
    }
    all.into_iter().filter_map(|(lot, values)| Some((lot, worst(values, at_most)?))).collect()
}

/// The least favourable number that the record of a lot allows.
fn value(own: &LimitVerdict, wanted: &Followed<'_>, unit: Unit) -> Option<f64> {
    let mut values = Vec::new();
    for part in &own.parts {
        let extent = part.outcome.as_ref()?.extent;
        let end = if wanted.at_most { extent.most } else { extent.least };
        // A stay that never was lasted no time.
        let none = wanted.time.then_some(0.0).filter(|_| end == End::Nothing);
        let number = end.number().or(none)?;
        if wanted.time {
            values.push(number / 60e9);
        } else if part.unit.is_some_and(|own| std::ptr::eq(own, unit)) {
            values.push(number);
        } else {
            return None;
        }
    }
    worst(values, wanted.at_most)
}
