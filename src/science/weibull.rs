//! Inactivation by heat that is no straight line: the Weibull form, with δ and p.
//!
//! At a constant temperature the logarithm of the survivors falls as
//! `log10 (N0/N) = (t / δ)^p`: δ is the time of the first decimal reduction, p
//! the shape (above 1 a shoulder, below 1 a tail, 1 the log-linear model with
//! D = δ). δ falls with temperature by a factor of ten for each z. The same
//! curve is written `b t^n` with `b = δ^-p`, `n = p`. Sources: M. Peleg and M. B.
//! Cole, Crit. Rev. Food Sci. Nutr. 38 (1998) 353; P. Mafart et al., Int. J. Food
//! Microbiol. 72 (2002) 107; both cited from memory. The curve itself is compared
//! with a general-purpose library's survival function in `tests/published/`.
//!
//! **Only for a constant temperature.** What a second adds depends on what went
//! before, so the reduction over a changing temperature is no sum of rates, and
//! this module offers none. A tail or a shoulder was seen only as far down as the
//! study went: the largest reduction shown is an argument, and beyond it the
//! functions refuse.

use super::{OutOfRange, finite, not_negative, positive, within};

/// δ, p and z of one organism in one food, with what the study covers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    delta_seconds: f64,
    p: f64,
    reference_c: f64,
    z_c: f64,
    range_c: (f64, f64),
    shown_log10: f64,
}

impl Weibull {
    /// A model from δ in seconds at the reference temperature in °C, p (no
    /// unit), z in °C (a difference), the temperatures in °C that the study
    /// covered, both ends included, and the largest reduction in log10 that it
    /// showed.
    ///
    /// # Errors
    /// A number that is not finite; δ, p, z or the reduction not above 0; a
    /// range that runs backwards.
    pub fn new(
        (delta_seconds, reference_c): (f64, f64),
        p: f64,
        z_c: f64,
        range_c: (f64, f64),
        shown_log10: f64,
    ) -> Result<Self, OutOfRange> {
        positive("δ", delta_seconds)?;
        finite("reference temperature", reference_c)?;
        positive("p", p)?;
        positive("z", z_c)?;
        let (low, high) = range_c;
        finite("lower end of the range", low)?;
        finite("upper end of the range", high)?;
        if low > high {
            return Err(OutOfRange::Reversed { what: "the temperature range", low, high });
        }
        positive("largest reduction shown", shown_log10)?;
        Ok(Self { delta_seconds, p, reference_c, z_c, range_c, shown_log10 })
    }

    /// δ in seconds from the other way of writing it, `b t^n` with t in
    /// seconds: `b^(-1/n)`.
    ///
    /// # Errors
    /// b or n not above 0, or a δ too long to be a number.
    pub fn delta_from_b_n(b: f64, n: f64) -> Result<f64, OutOfRange> {
        positive("b", b)?;
        positive("n", n)?;
        finite("δ", b.powf(-1.0 / n))
    }

    /// δ in seconds at `t` °C: the time of the first decimal reduction.
    ///
    /// # Errors
    /// A temperature that is not finite or outside the range of the study.
    pub fn delta_seconds(&self, t: f64) -> Result<f64, OutOfRange> {
        within("temperature", t, self.range_c, "°C")?;
        positive("δ", self.delta_seconds * 10f64.powf((self.reference_c - t) / self.z_c))
    }

    /// Reduction in log10 after `seconds` at a constant `t` °C.
    ///
    /// # Errors
    /// A temperature outside the range of the study, a time below 0, or a
    /// reduction beyond what the study showed.
    pub fn reduction(&self, t: f64, seconds: f64) -> Result<f64, OutOfRange> {
        not_negative("time", seconds)?;
        let log10 = (seconds / self.delta_seconds(t)?).powf(self.p);
        within("reduction", log10, (0.0, self.shown_log10), "log10")
    }

    /// Seconds at a constant `t` °C for a reduction of `log10`: `δ log10^(1/p)`.
    ///
    /// # Errors
    /// A temperature outside the range of the study, a reduction below 0 or
    /// beyond what the study showed.
    pub fn seconds_for(&self, log10: f64, t: f64) -> Result<f64, OutOfRange> {
        not_negative("reduction", log10)?;
        within("reduction", log10, (0.0, self.shown_log10), "log10")?;
        finite("time", self.delta_seconds(t)? * log10.powf(1.0 / self.p))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::science::lethality::LogLinear;
    use approx::assert_relative_eq;

    fn model(p: f64) -> Weibull {
        Weibull::new((20.0, 60.0), p, 6.0, (55.0, 65.0), 7.0).unwrap()
    }

    #[test]
    fn with_p_of_one_it_is_the_log_linear_model() {
        let line = LogLinear::new(20.0, 60.0, 6.0, None).unwrap();
        for t in [55.0, 58.3, 60.0, 65.0] {
            for log10 in [0.0, 1.0, 6.5] {
                let seconds = model(1.0).seconds_for(log10, t).unwrap();
                assert_relative_eq!(seconds, line.seconds_for(log10, t).unwrap(), max_relative = 1e-12);
            }
        }
    }

    /// By hand: p = 2, δ = 20 s: 4 log10 after 40 s; p = 0.5: 4 log10 after 320 s.
    #[test]
    fn shoulder_and_tail() {
        assert_relative_eq!(model(2.0).seconds_for(4.0, 60.0).unwrap(), 40.0, max_relative = 1e-12);
        assert_relative_eq!(model(0.5).seconds_for(4.0, 60.0).unwrap(), 320.0, max_relative = 1e-12);
        assert_relative_eq!(model(0.5).reduction(60.0, 320.0).unwrap(), 4.0, max_relative = 1e-12);
        // The first reduction takes δ whatever the shape.
        assert_relative_eq!(model(0.5).reduction(54.0 + 6.0, 20.0).unwrap(), 1.0, max_relative = 1e-12);
    }

    #[test]
    fn the_other_way_of_writing_it() {
        // b = 20^-0.5, n = 0.5.
        assert_relative_eq!(Weibull::delta_from_b_n(20f64.powf(-0.5), 0.5).unwrap(), 20.0, max_relative = 1e-12);
    }

    #[test]
    fn refuses_beyond_the_study() {
        let m = model(0.5);
        assert!(matches!(m.seconds_for(7.1, 60.0), Err(OutOfRange::Above { what: "reduction", .. })));
        assert!(matches!(m.reduction(60.0, 1e5), Err(OutOfRange::Above { what: "reduction", .. })));
        assert!(matches!(m.reduction(54.9, 1.0), Err(OutOfRange::Below { what: "temperature", .. })));
        assert!(matches!(m.reduction(60.0, -1.0), Err(OutOfRange::Negative { .. })));
        assert!(matches!(Weibull::new((20.0, 60.0), 0.0, 6.0, (55.0, 65.0), 7.0), Err(OutOfRange::NotPositive { .. })));
        assert!(matches!(Weibull::new((20.0, 60.0), 1.0, 6.0, (65.0, 55.0), 7.0), Err(OutOfRange::Reversed { .. })));
    }
}
