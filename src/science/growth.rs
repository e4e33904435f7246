//! Growth by temperature: the cardinal temperature model with inflection.
//!
//! # Formula
//! With the lowest, fastest and highest temperature of growth m, o, M and the
//! rate at the optimum r, the rate at T is r · γ(T),
//! `γ = (T - M)(T - m)² / ((o - m) ((o - m)(T - o) - (o - M)(o + m - 2T)))`
//! between m and M, and 0 outside. Source: L. Rosso, J. R. Lobry and J. P.
//! Flandrois, J. Theor. Biol. 162 (1993) 447; cited from memory. Checked by hand
//! at the three cardinal points, and by a general-purpose library that integrates
//! it, in `tests/published/`.
//!
//! **Nothing is built in.** All four numbers belong to one organism in one food,
//! and the plan declares and cites them. The model has no lag: it takes growth to
//! begin at once and to go on without end, which is the careful side for a limit
//! on growth, and says nothing of a germination or a carrying capacity.
//!
//! # Why two ends and the optimum are enough for a range
//! Write a = o - m, b = M - o, x = T - o, k = a - 2b. The denominator is
//! a (k x - a b): for a > b it is below 0 from m to M, so γ has no pole there. The
//! derivative of γ has the sign of `x (k x - b (2a - b))` times a factor without a
//! change of sign in between; its other root `b (2a - b) / k` lies above M for
//! k > 0 and below m for k < 0, again if a > b. So γ rises from m to o and falls
//! from o to M, and nowhere else turns. For a <= b the form breaks down, and
//! [`Cardinal::new`] refuses.

use super::lethality::trapezoid;
use super::{OutOfRange, finite, positive, within};

/// Natural logarithm of ten: published rates are often in ln per hour.
const LN_10: f64 = std::f64::consts::LN_10;

/// How far, in °C, a value may lie beyond a cardinal temperature and still be
/// taken for it: far above the rounding of a conversion from °F.
const SLACK_C: f64 = 1e-9;

/// Cardinal temperatures and rate of one organism in one food.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cardinal {
    minimum_c: f64,
    optimum_c: f64,
    maximum_c: f64,
    rate: f64,
}

impl Cardinal {
    /// A model from the lowest, fastest and highest temperature of growth in °C
    /// and the rate at the optimum in log10 per second.
    ///
    /// # Errors
    /// A number that is not finite, a rate not above 0, temperatures out of
    /// order, or an optimum not above the middle of the other two, where the
    /// form breaks down.
    pub fn new(minimum_c: f64, optimum_c: f64, maximum_c: f64, rate: f64) -> Result<Self, OutOfRange> {
        finite("lowest temperature of growth", minimum_c)?;
        finite("highest temperature of growth", maximum_c)?;
        finite("temperature of fastest growth", optimum_c)?;
        positive("rate of growth", rate)?;
        if minimum_c >= maximum_c {
            return Err(OutOfRange::Reversed {
                what: "the temperature range of growth",
                low: minimum_c,
                high: maximum_c,
            });
        }
        let middle = 0.5 * (minimum_c + maximum_c);
        within("temperature of fastest growth", optimum_c, (middle, maximum_c), "°C")?;
        if optimum_c <= middle {
            return Err(OutOfRange::Below {
                what: "temperature of fastest growth",
                value: optimum_c,
                least: middle.next_up(),
                unit: "°C",
            });
        }
        if optimum_c >= maximum_c {
            return Err(OutOfRange::Above {
                what: "temperature of fastest growth",
                value: optimum_c,
                most: maximum_c.next_down(),
                unit: "°C",
            });
        }
        Ok(Self { minimum_c, optimum_c, maximum_c, rate })
    }

    /// A rate in ln per hour, as publications often give it, in log10 per second.
    #[must_use]
    pub fn from_ln_per_hour(rate: f64) -> f64 {
        rate / LN_10 / 3600.0
    }

    /// A generation time (doubling) in minutes as a rate in log10 per second.
    ///
    /// # Errors
    /// A time not above 0.
    pub fn from_generation_minutes(minutes: f64) -> Result<f64, OutOfRange> {
        Ok(std::f64::consts::LOG10_2 / (positive("generation time", minutes)? * 60.0))
    }

    /// The rate at `t` °C in log10 per second: 0 below the lowest and above the
    /// highest temperature of growth, as the model says.
    ///
    /// # Errors
    /// A temperature that is not finite.
    pub fn rate(&self, t: f64) -> Result<f64, OutOfRange> {
        finite("temperature", t)?;
        Ok(self.rate * self.share(t).0)
    }

    /// The rate at the optimum in log10 per second, rounded up.
    #[must_use]
    pub fn optimum(&self) -> f64 {
        (self.rate * (1.0 + 16.0 * f64::EPSILON)).next_up()
    }

    /// A rate in log10 per second that is surely not above the lowest anywhere
    /// from `lo` to `hi` °C. 0 for ends that are infinite or not a number.
    ///
    /// As γ rises to the optimum and falls from there, the lowest rate is that
    /// of one of the ends.
    #[must_use]
    pub fn lowest(&self, lo: f64, hi: f64) -> f64 {
        self.directed(lo).0.min(self.directed(hi).0)
    }

    /// A rate in log10 per second that is surely not below the highest anywhere
    /// from `lo` to `hi` °C: that at the optimum if it lies in between. An end
    /// that is not a number may be any temperature.
    #[must_use]
    pub fn highest(&self, lo: f64, hi: f64) -> f64 {
        let spans = lo <= self.optimum_c + SLACK_C && hi >= self.optimum_c - SLACK_C;
        if spans || lo.is_nan() || hi.is_nan() {
            return self.optimum();
        }
        self.directed(lo).1.max(self.directed(hi).1)
    }

    /// Growth in log10 over (seconds, °C), taking straight lines between the
    /// rates: an estimate to be printed, never a verdict.
    ///
    /// # Errors
    /// Fewer than two points, a number that is not finite, a time that is not
    /// after the one before it.
    pub fn trapezoid(&self, points: &[(f64, f64)]) -> Result<f64, OutOfRange> {
        let rates: Result<Vec<_>, _> = points.iter().map(|&(s, t)| Ok((s, self.rate(t)?))).collect();
        trapezoid(&rates?)
    }

    /// Least and most growth in log10 over (seconds, °C), if the temperature
    /// stays between each two neighbouring readings.
    ///
    /// # Errors
    /// As [`Cardinal::trapezoid`].
    pub fn bounds(&self, points: &[(f64, f64)]) -> Result<(f64, f64), OutOfRange> {
        self.trapezoid(points)?;
        let (mut least, mut most) = (0f64, 0f64);
        for pair in points.windows(2) {
            if let &[(from, first), (to, second)] = pair {
                let (lo, hi) = (first.min(second), first.max(second));
                let span = to - from;
                least = (least + (span * self.lowest(lo, hi)).next_down()).next_down();
                most = (most + (span * self.highest(lo, hi)).next_up()).next_up();
            }
        }
        Ok((least.max(0.0), most))
    }

    /// γ at `t` and a relative bound on its rounding error.
    ///
    /// # Why the bound holds
    /// With u = 2^-53 each temperature may be off by 4 u (|value| + 64) (its
    /// decimal, and a conversion from °F), so a, b, x and the two distances from
    /// the ends are off by not more than e = u (4 sum of the four sizes + 512)
    /// each, including their own rounding. The distances enter γ once and
    /// twice, the denominator changes by at most e (4|x| + 4a + 4b), and some
    /// ten roundings are allowed 32 u. Where that stops being small, near an end,
    /// the callers do without the value.
    fn share(&self, t: f64) -> (f64, f64) {
        if !(t > self.minimum_c && t < self.maximum_c) {
            return (0.0, f64::INFINITY);
        }
        let (a, b, x) = (self.optimum_c - self.minimum_c, self.maximum_c - self.optimum_c, t - self.optimum_c);
        let (above, below) = (t - self.minimum_c, self.maximum_c - t);
        let denominator = a * b - (a - 2.0 * b) * x;
        let share = below * above * above / (a * denominator);
        let half_ulp = f64::EPSILON / 2.0;
        let sizes = t.abs() + self.minimum_c.abs() + self.optimum_c.abs() + self.maximum_c.abs();
        let e = half_ulp * (4.0 * sizes + 512.0);
        let inner = e * (4.0 * x.abs() + 4.0 * a + 4.0 * b) / denominator;
        let margin = 2.0 * (e * (2.0 / above + 1.0 / below + 1.0 / a) + inner + 32.0 * half_ulp);
        if share.is_finite() && denominator > 0.0 { (share.clamp(0.0, 1.0), margin) } else { (1.0, f64::INFINITY) }
    }

    /// Rates that surely enclose the one at `t`.
    fn directed(&self, t: f64) -> (f64, f64) {
        if t.is_nan() {
            return (0.0, self.optimum());
        }
        if t < self.minimum_c - SLACK_C || t > self.maximum_c + SLACK_C {
            return (0.0, 0.0);
        }
        let (share, margin) = self.share(t);
        if margin < 1e-6 {
            let low = (self.rate * share * (1.0 - margin)).next_down();
            return (low.max(0.0), (self.rate * share * (1.0 + margin)).next_up().min(self.optimum()));
        }
        // Too near an end: what a little way towards the optimum grows is more.
        let inner = t + 1e-3 * (self.optimum_c - t);
        let (share, margin) = self.share(inner);
        let high = if margin < 1e-6 { (self.rate * share * (1.0 + margin)).next_up() } else { f64::INFINITY };
        (0.0, high.min(self.optimum()))
    }
}

#[cfg(test)]
#[path = "growth_tests.rs"]
mod tests;
