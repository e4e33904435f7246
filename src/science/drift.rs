//! A straight line through values over time, by least squares, and whether its slope is more than scatter.
//!
//! Forms as in the NIST/SEMATECH e-Handbook of Statistical Methods, section 4.1.4.1 (linear least squares) and the usual
//! t test of a slope (from memory); the fit is held against certified values of NIST (StRD, Norris). It describes what
//! was found; what comes next it can only expect.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Fewer values than this give no line. A choice.
pub const FEWEST: usize = 5;

/// The confidence at which a slope counts as more than scatter, two-sided. A choice.
pub const CONFIDENCE: f64 = 0.95;

/// A line through values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The value at nought.
    pub intercept: f64,
    /// The change of the value for each one of the places.
    pub slope: f64,
    /// Standard deviation of the intercept.
    pub intercept_deviation: f64,
    /// Standard deviation of the slope.
    pub slope_deviation: f64,
    /// Standard deviation of what is left.
    pub residual: f64,
    /// How many values it rests on.
    pub count: usize,
}

impl Line {
    /// The value that the line gives at a place.
    #[must_use]
    pub fn at(&self, place: f64) -> f64 {
        self.intercept + self.slope * place
    }

    /// Whether the slope differs from none by more than scatter would make at [`CONFIDENCE`]. A line without scatter is
    /// moving if it has a slope.
    #[must_use]
    pub fn moves(&self) -> bool {
        let freedom = self.count.saturating_sub(2);
        if freedom == 0 || !self.slope.is_finite() {
            return false;
        }
        if self.slope_deviation <= f64::EPSILON * self.slope.abs() {
            return self.slope != 0.0;
        }
        let Ok(student) = StudentsT::new(0.0, 1.0, freedom as f64) else { return false };
        (self.slope / self.slope_deviation).abs() > student.inverse_cdf(f64::midpoint(1.0, CONFIDENCE))
    }
}

/// The line through pairs of place and value; none of fewer than three, where all places are one, or a number is none.
#[must_use]
pub fn line(pairs: &[(f64, f64)]) -> Option<Line> {
    if pairs.len() < 3 || pairs.iter().any(|(place, value)| !place.is_finite() || !value.is_finite()) {
        return None;
    }
    let count = pairs.len() as f64;
    let mean = |pick: fn(&(f64, f64)) -> f64| pairs.iter().map(pick).sum::<f64>() / count;
    let (place, value) = (mean(|pair| pair.0), mean(|pair| pair.1));
    let spread: f64 = pairs.iter().map(|(x, _)| (x - place).powi(2)).sum();
    if spread <= 0.0 {
        return None;
    }
    let slope = pairs.iter().map(|(x, y)| (x - place) * (y - value)).sum::<f64>() / spread;
    let intercept = value - slope * place;
    let left: f64 = pairs.iter().map(|(x, y)| (y - intercept - slope * x).powi(2)).sum();
    let residual = (left / (count - 2.0)).sqrt();
    let slope_deviation = residual / spread.sqrt();
    let intercept_deviation = residual * (1.0 / count + place * place / spread).sqrt();
    Some(Line { intercept, slope, intercept_deviation, slope_deviation, residual, count: pairs.len() })
}
