//! Log-linear inactivation by heat: D, z, lethal rate, F and the trapezoid
//! estimate.
//!
//! The model is the common one of the trade: at a constant temperature the
//! logarithm of the number of survivors falls in a straight line with time (one
//! log10 in D), and log10 D falls in a straight line with temperature (by one
//! in z). Sources: W. D. Bigelow, J. Infect. Dis. 29 (1921) 528 for the line in
//! temperature, and W. D. Bigelow et al., NCA Bulletin 16-L (1920) for the
//! general method; both cited from memory, the formulas are checked against
//! published tables and worked examples in `tests/published/`.
//!
//! The model says nothing about lag, shoulders, tails, or heat tolerance gained
//! by slow heating or drying; it holds for the organism, the food and the
//! temperatures of the study that gave D and z. A table printed by an agency
//! comes before it: several are not log-linear at their ends.

use super::{OutOfRange, finite, not_negative, positive, within};

/// Below this power of ten, relative rounding bounds no longer hold once the
/// number is divided, so the directed pair falls back to [0, something].
const TINY: f64 = 1e-290;

/// D and z of one organism in one food, with the temperatures they hold for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogLinear {
    d_seconds: f64,
    reference_c: f64,
    z_c: f64,
    range_c: Option<(f64, f64)>,
}

impl LogLinear {
    /// A model from D in seconds at the reference temperature in °C, z in °C
    /// (a difference), and the temperatures in °C for which they were shown,
    /// both ends included.
    ///
    /// # Errors
    /// A number that is not finite, D or z not above 0, a range that runs
    /// backwards.
    pub fn new(d_seconds: f64, reference_c: f64, z_c: f64, range_c: Option<(f64, f64)>) -> Result<Self, OutOfRange> {
        positive("D", d_seconds)?;
        finite("reference temperature", reference_c)?;
        positive("z", z_c)?;
        if let Some((low, high)) = range_c {
            finite("lower end of the range", low)?;
            finite("upper end of the range", high)?;
            if low > high {
                return Err(OutOfRange::Reversed { what: "the temperature range", low, high });
            }
        }
        Ok(Self { d_seconds, reference_c, z_c, range_c })
    }

    /// The model behind an F-value: no organism, only a reference temperature
    /// and z. Its "log10" are minutes at the reference temperature (D is set to
    /// 60 s), so every function of the model, the directed pair too, then gives
    /// equivalent minutes.
    ///
    /// # Errors
    /// As [`LogLinear::new`].
    pub fn for_f_value(reference_c: f64, z_c: f64, range_c: Option<(f64, f64)>) -> Result<Self, OutOfRange> {
        Self::new(60.0, reference_c, z_c, range_c)
    }

    /// Least squares line of log10 D against temperature through two or more
    /// (temperature in °C, D in seconds); the reference is the mean of the
    /// temperatures and the range runs from the lowest to the highest.
    ///
    /// # Errors
    /// Fewer than two points, a number that is not finite, a D not above 0, or
    /// points through which no falling line passes.
    pub fn fit(points: &[(f64, f64)]) -> Result<Self, OutOfRange> {
        if points.len() < 2 {
            return Err(OutOfRange::TooFewPoints { got: points.len(), need: 2 });
        }
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut sum_t, mut sum_y) = (0.0, 0.0);
        for &(t, d) in points {
            finite("temperature", t)?;
            positive("D", d)?;
            low = low.min(t);
            high = high.max(t);
            sum_t += t;
            sum_y += d.log10();
        }
        let count = points.len() as f64;
        let (mean_t, mean_y) = (sum_t / count, sum_y / count);
        let (mut tt, mut ty) = (0.0, 0.0);
        for &(t, d) in points {
            tt += (t - mean_t) * (t - mean_t);
            ty += (t - mean_t) * (d.log10() - mean_y);
        }
        if !(tt > 0.0 && ty < 0.0) {
            return Err(OutOfRange::NoSlope);
        }
        Self::new(10f64.powf(mean_y), mean_t, -tt / ty, Some((low, high)))
    }

    /// D in seconds at the reference temperature.
    #[must_use]
    pub fn d_seconds(&self) -> f64 {
        self.d_seconds
    }

    /// Reference temperature in °C.
    #[must_use]
    pub fn reference_c(&self) -> f64 {
        self.reference_c
    }

    /// z in °C (a temperature difference).
    #[must_use]
    pub fn z_c(&self) -> f64 {
        self.z_c
    }

    /// The temperatures in °C for which D and z were shown, if stated.
    #[must_use]
    pub fn range_c(&self) -> Option<(f64, f64)> {
        self.range_c
    }

    /// Lethal rate L at `t` °C: seconds at the reference temperature that one
    /// second at `t` is worth, `10^((t - reference) / z)`.
    ///
    /// # Errors
    /// A temperature that is not finite or outside the stated range.
    pub fn lethal_rate(&self, t: f64) -> Result<f64, OutOfRange> {
        match self.range_c {
            Some(range) => within("temperature", t, range, "°C")?,
            None => finite("temperature", t)?,
        };
        finite("lethal rate", self.power(t))
    }

    /// Inactivation rate at `t` °C in log10 per second: L / D.
    ///
    /// # Errors
    /// A temperature that is not finite or outside the stated range.
    pub fn rate(&self, t: f64) -> Result<f64, OutOfRange> {
        Ok(self.lethal_rate(t)? / self.d_seconds)
    }

    /// Seconds at a constant `t` °C for a reduction of `log10`.
    ///
    /// # Errors
    /// A temperature that is not finite or outside the stated range; a
    /// reduction below 0; a time too long to be a number.
    pub fn seconds_for(&self, log10: f64, t: f64) -> Result<f64, OutOfRange> {
        not_negative("reduction", log10)?;
        finite("time", log10 / self.rate(t)?)
    }

    /// Reduction in log10 after `seconds` at a constant `t` °C.
    ///
    /// # Errors
    /// A temperature that is not finite or outside the stated range; a time
    /// below 0.
    pub fn reduction(&self, t: f64, seconds: f64) -> Result<f64, OutOfRange> {
        not_negative("time", seconds)?;
        finite("reduction", self.rate(t)? * seconds)
    }

    /// Equivalent minutes at the reference temperature after `seconds` at a
    /// constant `t` °C: the F-value of a holding time.
    ///
    /// # Errors
    /// As [`LogLinear::reduction`].
    pub fn equivalent_minutes(&self, t: f64, seconds: f64) -> Result<f64, OutOfRange> {
        not_negative("time", seconds)?;
        finite("equivalent time", self.lethal_rate(t)? * seconds / 60.0)
    }

    /// Reduction in log10 over a record of (seconds, °C), by the trapezoid rule
    /// on the rate (the "general method" of the textbooks).
    ///
    /// The rate counts 0 below the stated range and stays flat above it, as in
    /// [`LogLinear::rate_low`], since every cook passes through temperatures
    /// below the range. This is an estimate to be printed, never a verdict: the
    /// rate curves upwards, so on a rising or falling temperature the chord
    /// lies above it and coarse steps overstate the reduction.
    ///
    /// # Errors
    /// Fewer than two points, a number that is not finite, or a time that is
    /// not after the one before it.
    pub fn trapezoid(&self, points: &[(f64, f64)]) -> Result<f64, OutOfRange> {
        let mut rates = Vec::with_capacity(points.len());
        for &(seconds, t) in points {
            finite("temperature", t)?;
            rates.push((seconds, self.clipped(t).map_or(0.0, |t| self.power(t)) / self.d_seconds));
        }
        trapezoid(&rates)
    }

    /// A rate in log10 per second that is surely not above the true one at
    /// `t` °C: 0 below the stated range, flat above it, rounded down.
    ///
    /// # Why the result encloses
    /// With u = 2^-53, let t, reference, z and D each be the nearest double (or
    /// within 4 u) of the number that was written, which covers a conversion
    /// from °F; temperatures may then be off by 4 u (|value| + 64) absolutely.
    /// In x = (t - reference) / z the subtraction and the division add 2 u |x|,
    /// z adds 4 u |x| and the two temperatures 4 u (|t| + |reference| + 128) /
    /// z; a change of x by e changes 10^x by the factor 10^e, which is
    /// 1 + 2.303 e for such small e. The power function of the usual C
    /// libraries errs by 1 to 2 ulp; 4 (8 u) are allowed. D adds 4 u and the
    /// last division u. In all, not more than u (13.9 |x| + 9.3 (|t| +
    /// |reference| + 128) / z + 13); the margin used is larger, u (32 |x| +
    /// 16 (|t| + |reference| + 128) / z + 32). Where the numbers are so extreme
    /// that the margin stops being small, the answer is 0.
    ///
    /// The ends of the range are compared as given; reading and range must have
    /// been converted to °C in the same way. A value that is not a number may be
    /// any temperature and counts 0.
    #[must_use]
    pub fn rate_low(&self, t: f64) -> f64 {
        self.directed(t).0
    }

    /// A rate in log10 per second that is surely not below the true one at
    /// `t` °C: 0 below the stated range, flat above it, rounded up; infinite
    /// where the numbers are too extreme for a bound. For a gap in the record
    /// (`t` infinite, or not a number) it is the rate at the top of the range,
    /// or infinite if no range is stated.
    ///
    /// Rounding as in [`LogLinear::rate_low`].
    #[must_use]
    pub fn rate_high(&self, t: f64) -> f64 {
        self.directed(t).1
    }

    /// `10^((t - reference) / z)` for a temperature already judged.
    fn power(&self, t: f64) -> f64 {
        10f64.powf((t - self.reference_c) / self.z_c)
    }

    /// The temperature that counts: none below the range, its top above it.
    fn clipped(&self, t: f64) -> Option<f64> {
        match self.range_c {
            Some((low, _)) if t < low => None,
            Some((_, high)) if t > high => Some(high),
            _ => Some(t),
        }
    }

    /// The pair behind `rate_low` and `rate_high`.
    fn directed(&self, t: f64) -> (f64, f64) {
        if t.is_nan() {
            let top = self.range_c.map_or(f64::INFINITY, |(_, high)| high);
            return (0.0, self.directed(top).1);
        }
        let Some(t) = self.clipped(t) else {
            return (0.0, 0.0);
        };
        if t == f64::NEG_INFINITY {
            return (0.0, 0.0);
        }
        let half_ulp = f64::EPSILON / 2.0;
        let x = (t - self.reference_c) / self.z_c;
        let heat = (t.abs() + self.reference_c.abs() + 128.0) / self.z_c;
        let margin = half_ulp * (32.0 * x.abs() + 16.0 * heat + 32.0);
        let power = 10f64.powf(x);
        let rate = power.max(TINY) / self.d_seconds;
        let sound = margin < 1e-6 && rate > 1e6 * f64::MIN_POSITIVE;
        if !sound || !rate.is_finite() {
            return (0.0, f64::INFINITY);
        }
        let high = (rate * (1.0 + margin)).next_up();
        if power < TINY {
            return (0.0, high);
        }
        ((rate * (1.0 - margin)).next_down(), high)
    }
}

/// Trapezoid rule over (seconds, value): the area under straight lines between
/// the points, in value · seconds. The first and last point carry half a step.
///
/// # Errors
/// Fewer than two points, a number that is not finite, or a time that is not
/// after the one before it.
pub fn trapezoid(points: &[(f64, f64)]) -> Result<f64, OutOfRange> {
    if points.len() < 2 {
        return Err(OutOfRange::TooFewPoints { got: points.len(), need: 2 });
    }
    for &(seconds, value) in points {
        finite("time", seconds)?;
        finite("value", value)?;
    }
    let mut area = 0.0;
    for (index, pair) in points.windows(2).enumerate() {
        if let &[(from, first), (to, second)] = pair {
            if to <= from {
                return Err(OutOfRange::TimeNotRising { point: index + 2 });
            }
            area += (to - from) * (first + second) / 2.0;
        }
    }
    finite("area", area)
}

#[cfg(test)]
#[path = "lethality_tests.rs"]
mod tests;
