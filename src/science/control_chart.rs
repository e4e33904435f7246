//! Control charts of single values with moving ranges, run rules, and one-sided tolerance bounds.
//!
//! Forms as in the NIST/SEMATECH e-Handbook of Statistical Methods, sections 6.3.2 (run rules), 6.3.2.2 (individuals and
//! moving ranges) and 7.2.6.3 (tolerance intervals). They describe how a process has run; they prove no limit.

use statrs::distribution::{ContinuousCDF, Normal};
use statrs::function::gamma::ln_gamma;

/// The mean range of two values of a normal distribution of standard deviation 1.
pub const D2: f64 = 1.128;

/// Fewer values than this give no chart: their limits would say little. A choice.
pub const FEWEST: usize = 20;

/// Centre and limits of a chart of single values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Individuals {
    /// The mean.
    pub mean: f64,
    /// The mean moving range of two.
    pub range: f64,
    /// Standard deviation by the moving range.
    pub sigma: f64,
    /// The sample standard deviation.
    pub deviation: f64,
    /// How many values they rest on.
    pub count: usize,
}

impl Individuals {
    /// Lower and upper limit: three standard deviations by the moving range from the mean.
    #[must_use]
    pub fn limits(&self) -> (f64, f64) {
        (self.mean - 3.0 * self.sigma, self.mean + 3.0 * self.sigma)
    }

    /// How many times three sample standard deviations lie between the mean and a bound; none where nothing varies.
    #[must_use]
    pub fn capability(&self, bound: f64) -> Option<f64> {
        (self.deviation > 0.0).then(|| (bound - self.mean).abs() / (3.0 * self.deviation))
    }
}

/// Centre and spread of values in order of time; none of fewer than two, or where one is no number.
#[must_use]
pub fn individuals(values: &[f64]) -> Option<Individuals> {
    if values.len() < 2 || values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let moved = values.iter().zip(values.iter().skip(1)).map(|(a, b)| (b - a).abs()).sum::<f64>();
    let range = moved / (count - 1.0);
    let square = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
    let deviation = (square / (count - 1.0)).sqrt();
    Some(Individuals { mean, range, sigma: range / D2, deviation, count: values.len() })
}

/// A run that chance seldom makes while nothing changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Signal {
    /// A value beyond three standard deviations.
    Beyond,
    /// Two of three beyond two standard deviations, on one side.
    TwoOfThree,
    /// Four of five beyond one standard deviation, on one side.
    FourOfFive,
    /// Eight in a row on one side of the mean.
    EightOnOneSide,
}

impl Signal {
    /// The rule in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Signal::Beyond => "beyond three standard deviations",
            Signal::TwoOfThree => "two of three beyond two standard deviations",
            Signal::FourOfFive => "four of five beyond one standard deviation",
            Signal::EightOnOneSide => "eight in a row on one side of the mean",
        }
    }
}

/// A signal: at which value it stands, which rule, and whether it lies above the mean.
pub type At = (usize, Signal, bool);

/// Every signal, at the value that completes it.
#[must_use]
pub fn signals(values: &[f64], chart: &Individuals) -> Vec<At> {
    let mut found = Vec::new();
    for index in 0..values.len() {
        for above in [true, false] {
            let far = |value: &f64| {
                let off = if above { value - chart.mean } else { chart.mean - value };
                if chart.sigma > 0.0 { off / chart.sigma } else { off * f64::INFINITY }
            };
            let past = |last: usize, beyond: f64| {
                let from = (index + 1).saturating_sub(last);
                let window = values.get(from..=index).unwrap_or_default();
                window.iter().filter(|value| far(value) > beyond).count()
            };
            let here = values.get(index).map_or(f64::NAN, far);
            for (signal, last, beyond, wanted) in [
                (Signal::Beyond, 1, 3.0, 1),
                (Signal::TwoOfThree, 3, 2.0, 2),
                (Signal::FourOfFive, 5, 1.0, 4),
                (Signal::EightOnOneSide, 8, 0.0, 8),
            ] {
                // The value that completes a run belongs to it.
                if here > beyond && past(last, beyond) >= wanted {
                    found.push((index, signal, above));
                }
            }
        }
    }
    found
}

/// By how many sample standard deviations the one-sided bound lies from the mean that holds at least the share
/// `coverage` of a normal distribution, with this confidence. None outside 2 to 10,000 values, or shares outside
/// 0.5 to 0.9999.
///
/// The noncentral t distribution, its probability by Simpson's rule over the chi distribution of the deviation.
#[must_use]
pub fn tolerance_factor(count: usize, coverage: f64, confidence: f64) -> Option<f64> {
    let share = 0.5..=0.9999;
    if !(2..=10_000).contains(&count) || !share.contains(&coverage) || !share.contains(&confidence) {
        return None;
    }
    let normal = Normal::standard();
    let root = (count as f64).sqrt();
    let shift = normal.inverse_cdf(coverage) * root;
    let (mut low, mut high) = (0.0, 1000.0);
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if noncentral_t(middle * root, count - 1, shift, &normal) < confidence { low = middle } else { high = middle }
    }
    Some(f64::midpoint(low, high))
}

/// The probability that a noncentral t variable of so many degrees of freedom is at most `t`.
fn noncentral_t(t: f64, freedom: usize, shift: f64, normal: &Normal) -> f64 {
    const STEPS: usize = 4_000;
    let freedom = freedom as f64;
    // The deviation over its true value: a chi variable over the root of its freedom.
    let log_scale = std::f64::consts::LN_2 + 0.5 * freedom * (0.5 * freedom).ln() - ln_gamma(0.5 * freedom);
    let density = |s: f64| {
        if s <= 0.0 {
            return if freedom > 1.0 { 0.0 } else { log_scale.exp() };
        }
        (log_scale + (freedom - 1.0) * s.ln() - 0.5 * freedom * s * s).exp()
    };
    let spread = 12.0 / (2.0 * freedom).sqrt();
    let (from, to) = ((1.0 - spread).max(0.0), 1.0 + spread);
    let step = (to - from) / STEPS as f64;
    let mut sum = 0.0;
    for index in 0..=STEPS {
        let s = from + step * index as f64;
        let weight = if index == 0 || index == STEPS {
            1.0
        } else if index % 2 == 1 {
            4.0
        } else {
            2.0
        };
        sum += weight * density(s) * normal.cdf(t * s - shift);
    }
    sum * step / 3.0
}
