//! What a sampling plan of a lot can detect: probability of acceptance of
//! two-class (n, c) and three-class (n, c, m, M) attributes plans.
//!
//! # Formulas
//! Two-class, share p of the units positive: `Pa = sum over i <= c of C(n,i) p^i
//! (1-p)^(n-i)` for a lot much larger than the sample (binomial), and the
//! hypergeometric sum for a lot of a known number of units. Three-class, share p of
//! the units above m up to M, share q above M: `sum over i <= c of C(n,i) p^i
//! (1-p-q)^(n-i)` (trinomial, none above M), which is `(1-q)^n` times the binomial
//! sum with `p / (1-q)`. Source: FAO Fisheries Technical Paper 444 (2004), table
//! 3.2, for the two-class binomial; the others are elementary probability. The
//! sums are those of a statistics library.
//!
//! Takes for granted that units are drawn at random, that positives are spread
//! through the lot by chance, and that the method finds every positive unit it
//! is given. Contamination in clumps, and methods that miss, make detection rarer
//! than printed. No sampling plan shows that a lot is free of anything.

use super::curing::Share;
use super::{OutOfRange, finite, within};
use statrs::distribution::{Binomial, DiscreteCDF, Hypergeometric};

/// Most samples for which the sums are offered.
pub const MOST_SAMPLES: u64 = 100_000;

/// Most units of a lot for which the sums are offered; above, the lot is as good
/// as endless.
pub const MOST_UNITS: u64 = 10_000_000;

/// How far below the wanted probability of detection a number of samples may fall
/// and still do, so that rounding asks for no sample more.
const TOLERANCE: f64 = 1e-10;

/// n samples, of which at most c may be positive (two-class) or marginal
/// (three-class).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Attributes {
    n: u64,
    c: u64,
}

impl Attributes {
    /// A plan of n samples with at most c positive.
    ///
    /// # Errors
    /// No samples, too many, or c not below n: then nothing would ever be
    /// refused.
    pub fn new(n: u64, c: u64) -> Result<Self, OutOfRange> {
        within("number of samples n", n as f64, (1.0, MOST_SAMPLES as f64), "samples")?;
        if c >= n {
            return Err(OutOfRange::Above {
                what: "acceptance number c",
                value: c as f64,
                most: (n - 1) as f64,
                unit: "samples",
            });
        }
        Ok(Self { n, c })
    }

    /// Probability, 0 to 1, that a large lot with this share of positive units is
    /// accepted: at most c positive samples.
    ///
    /// # Errors
    /// A probability that cannot be computed.
    pub fn accepted(&self, positive: Share) -> Result<f64, OutOfRange> {
        let law = Binomial::new(positive.fraction(), self.n).map_err(|_| NO_LAW)?;
        finite("probability", law.cdf(self.c))
    }

    /// Probability that a large lot is refused: more than c positive samples. Not
    /// one minus the other, so that small ones keep their digits.
    ///
    /// # Errors
    /// As [`Attributes::accepted`].
    pub fn detected(&self, positive: Share) -> Result<f64, OutOfRange> {
        let law = Binomial::new(positive.fraction(), self.n).map_err(|_| NO_LAW)?;
        finite("probability", law.sf(self.c))
    }

    /// Probability that a lot of `units` units, of which `positive` are positive,
    /// is accepted.
    ///
    /// # Errors
    /// A lot too large or smaller than the sample, or more positive units than
    /// there are.
    pub fn accepted_of_lot(&self, units: u64, positive: u64) -> Result<f64, OutOfRange> {
        finite("probability", self.of_lot(units, positive)?.cdf(self.c))
    }

    /// Probability that a lot of `units` units, of which `positive` are positive,
    /// is refused.
    ///
    /// # Errors
    /// As [`Attributes::accepted_of_lot`].
    pub fn detected_of_lot(&self, units: u64, positive: u64) -> Result<f64, OutOfRange> {
        finite("probability", self.of_lot(units, positive)?.sf(self.c))
    }

    fn of_lot(&self, units: u64, positive: u64) -> Result<Hypergeometric, OutOfRange> {
        within("lot", units as f64, (self.n as f64, MOST_UNITS as f64), "units")?;
        within("number of positive units", positive as f64, (0.0, units as f64), "units")?;
        Hypergeometric::new(units, positive, self.n).map_err(|_| NO_LAW)
    }

    /// Probability that a large lot is accepted by a three-class plan: no sample
    /// above M and at most c from m to M, for a share `marginal` of units from m to
    /// M and a share `above` beyond M.
    ///
    /// # Errors
    /// Shares that make more than the whole.
    pub fn accepted_three_class(&self, marginal: Share, above: Share) -> Result<f64, OutOfRange> {
        let (p, q) = (marginal.fraction(), above.fraction());
        if p + q > 1.0 + 1e-12 {
            return Err(OutOfRange::MoreThanWhole { what: "marginal units and those above M", whole: "lot" });
        }
        if q >= 1.0 {
            return Ok(0.0);
        }
        let law = Binomial::new((p / (1.0 - q)).min(1.0), self.n).map_err(|_| NO_LAW)?;
        let none_above = (self.n as f64 * (-q).ln_1p()).exp();
        finite("probability", none_above * law.cdf(self.c))
    }
}

/// The library refused the numbers; they have been checked before.
const NO_LAW: OutOfRange = OutOfRange::NotFinite { what: "probability" };

/// The smallest n for which a large lot with this share of positive units is
/// refused with at least the wanted probability, with acceptance number c; `None`
/// if none up to [`MOST_SAMPLES`] does.
///
/// # Errors
/// A probability that cannot be computed.
pub fn samples_needed(c: u64, positive: Share, wanted: Share) -> Result<Option<u64>, OutOfRange> {
    smallest(c, MOST_SAMPLES, wanted, |plan| plan.detected(positive))
}

/// The smallest n for which a lot of `units` units with `positive` positive ones is
/// refused with at least the wanted probability; `None` if not even all units do.
///
/// # Errors
/// As [`Attributes::accepted_of_lot`].
pub fn samples_needed_of_lot(c: u64, units: u64, positive: u64, wanted: Share) -> Result<Option<u64>, OutOfRange> {
    within("lot", units as f64, (1.0, MOST_UNITS as f64), "units")?;
    smallest(c, units.min(MOST_SAMPLES), wanted, |plan| plan.detected_of_lot(units, positive))
}

/// Search by halving: with c fixed, more samples never detect less.
fn smallest(
    c: u64,
    most: u64,
    wanted: Share,
    detected: impl Fn(&Attributes) -> Result<f64, OutOfRange>,
) -> Result<Option<u64>, OutOfRange> {
    let enough = |n: u64| Ok(detected(&Attributes::new(n, c)?)? >= wanted.fraction() - TOLERANCE);
    let (mut low, mut high) = (c.saturating_add(1), most);
    if low > high || !enough(high)? {
        return Ok(None);
    }
    while low < high {
        let middle = low + (high - low) / 2;
        if enough(middle)? {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Ok(Some(low))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn percent(value: f64) -> Share {
        Share::from_percent(value).unwrap()
    }

    fn plan(n: u64, c: u64) -> Attributes {
        Attributes::new(n, c).unwrap()
    }

    /// By hand: 0.9^5; 0.9^5 + 5 · 0.1 · 0.9^4; a lot of 4 with one positive, two drawn: half.
    #[test]
    fn by_hand() {
        assert_relative_eq!(plan(5, 0).accepted(percent(10.0)).unwrap(), 0.590_49, max_relative = 1e-12);
        assert_relative_eq!(plan(5, 1).accepted(percent(10.0)).unwrap(), 0.918_54, max_relative = 1e-12);
        assert_relative_eq!(plan(2, 0).accepted_of_lot(4, 1).unwrap(), 0.5, max_relative = 1e-9);
        // Two samples, c = 1, a fifth marginal, a tenth above M: 0.7² + 2 · 0.2 · 0.7 = 0.77.
        let three = plan(2, 1).accepted_three_class(percent(20.0), percent(10.0)).unwrap();
        assert_relative_eq!(three, 0.77, max_relative = 1e-12);
        assert_eq!(plan(2, 1).accepted_three_class(percent(0.0), percent(100.0)).unwrap(), 0.0);
    }

    /// 1 - 0.95^58 = 0.9490, 1 - 0.95^59 = 0.9515; exactly three quarters with two of a half.
    #[test]
    fn smallest_number_of_samples() {
        assert_eq!(samples_needed(0, percent(5.0), percent(95.0)).unwrap(), Some(59));
        assert_eq!(samples_needed(0, percent(50.0), percent(75.0)).unwrap(), Some(2));
        assert_eq!(samples_needed(0, percent(0.0), percent(95.0)).unwrap(), None);
        assert_eq!(samples_needed_of_lot(0, 100, 5, percent(95.0)).unwrap(), Some(45));
        assert_eq!(samples_needed_of_lot(0, 10, 0, percent(95.0)).unwrap(), None);
        assert_eq!(samples_needed_of_lot(0, 10, 1, percent(100.0)).unwrap(), Some(10));
        assert_eq!(samples_needed_of_lot(10, 10, 1, percent(95.0)).unwrap(), None);
    }

    #[test]
    fn refuses() {
        assert!(matches!(Attributes::new(0, 0), Err(OutOfRange::Below { .. })));
        assert!(matches!(Attributes::new(5, 5), Err(OutOfRange::Above { .. })));
        assert!(matches!(Attributes::new(100_001, 0), Err(OutOfRange::Above { .. })));
        assert!(matches!(plan(5, 0).accepted_of_lot(4, 1), Err(OutOfRange::Below { what: "lot", .. })));
        assert!(matches!(plan(5, 0).accepted_of_lot(10, 11), Err(OutOfRange::Above { .. })));
        assert!(plan(5, 1).accepted_three_class(percent(60.0), percent(50.0)).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

        /// Accepted and refused make one; no share above M is the two-class plan;
        /// more positives are never accepted more often.
        #[test]
        fn laws(n in 2u64..80, c in 0u64..2, p in 0.0..100.0f64, more in 0.0..100.0f64) {
            let plan = plan(n, c);
            let accepted = plan.accepted(percent(p)).unwrap();
            prop_assert!((accepted + plan.detected(percent(p)).unwrap() - 1.0).abs() < 1e-9);
            let three = plan.accepted_three_class(percent(p), percent(0.0)).unwrap();
            prop_assert!((three - accepted).abs() < 1e-9);
            prop_assert!(plan.accepted(percent(p.max(more))).unwrap() <= accepted + 1e-9);
        }

        /// The number found does, and one fewer does not.
        #[test]
        fn is_the_smallest(c in 0u64..3, p in 1.0..60.0f64, wanted in 50.0..99.9f64) {
            let n = samples_needed(c, percent(p), percent(wanted)).unwrap().unwrap();
            prop_assert!(plan(n, c).detected(percent(p)).unwrap() >= wanted / 100.0 - 1e-9);
            if n > c + 1 {
                prop_assert!(plan(n - 1, c).detected(percent(p)).unwrap() < wanted / 100.0);
            }
        }
    }
}
