#![allow(clippy::unwrap_used, clippy::expect_used)]

use super::*;
use approx::{assert_abs_diff_eq, assert_relative_eq};
use proptest::prelude::*;

/// Invented: growth from 12 to 52 °C, fastest at 44 °C, a decade in half an hour.
fn model() -> Cardinal {
    Cardinal::new(12.0, 44.0, 52.0, 1.0 / 1800.0).unwrap()
}

/// The formula as published, written out once more and without any of the care above.
fn published(m: f64, o: f64, top: f64, t: f64) -> f64 {
    let up = (t - top) * (t - m) * (t - m);
    up / ((o - m) * ((o - m) * (t - o) - (o - top) * (o + m - 2.0 * t)))
}

#[test]
fn cardinal_points() {
    let m = model();
    for t in [-20.0, 11.9, 12.0, 52.0, 60.0] {
        assert_eq!(m.rate(t).unwrap(), 0.0, "{t}");
    }
    assert_relative_eq!(m.rate(44.0).unwrap() * 1800.0, 1.0, max_relative = 1e-14);
    // By hand at 28 °C: 24 · 16² / (32 · (32 · 8 + 16 · 16)) = 6144 / 16384 = 0.375.
    assert_relative_eq!(m.rate(28.0).unwrap() * 1800.0, 0.375, max_relative = 1e-14);
}

#[test]
fn bounds_by_hand() {
    // From 60 to 20 in 10 min: nothing at least, the optimum for 600 s at most.
    let (least, most) = model().bounds(&[(0.0, 60.0), (600.0, 20.0)]).unwrap();
    assert_eq!(least, 0.0);
    assert_abs_diff_eq!(most, 1.0 / 3.0, epsilon = 1e-12);
    // A step at 28 °C held: least and most agree to rounding.
    let (least, most) = model().bounds(&[(0.0, 28.0), (1800.0, 28.0)]).unwrap();
    assert!(least < 0.375 && 0.375 < most && most - least < 1e-12, "{least} {most}");
}

#[test]
fn rates_of_other_units() {
    // ln 10 per hour is one log10 per hour; a doubling in 7.1 min is log10 2 in 426 s.
    assert_relative_eq!(Cardinal::from_ln_per_hour(LN_10), 1.0 / 3600.0, max_relative = 1e-14);
    assert_relative_eq!(Cardinal::from_generation_minutes(7.1).unwrap(), 2f64.log10() / 426.0, max_relative = 1e-14);
    assert!(Cardinal::from_generation_minutes(0.0).is_err());
}

#[test]
fn refuses_what_the_form_cannot_carry() {
    let new = Cardinal::new;
    assert!(matches!(new(12.0, 32.0, 52.0, 1.0), Err(OutOfRange::Below { .. })), "optimum in the middle");
    assert!(matches!(new(12.0, 20.0, 52.0, 1.0), Err(OutOfRange::Below { .. })));
    assert!(matches!(new(12.0, 52.0, 52.0, 1.0), Err(OutOfRange::Above { .. })));
    assert!(matches!(new(52.0, 44.0, 12.0, 1.0), Err(OutOfRange::Reversed { .. })));
    assert!(matches!(new(12.0, 44.0, 52.0, 0.0), Err(OutOfRange::NotPositive { .. })));
    assert!(matches!(new(f64::NAN, 44.0, 52.0, 1.0), Err(OutOfRange::NotFinite { .. })));
    assert!(model().rate(f64::NAN).is_err());
    assert!(model().trapezoid(&[(0.0, 20.0)]).is_err());
    assert!(model().bounds(&[(0.0, 20.0), (0.0, 21.0)]).is_err());
}

#[test]
fn a_gap_may_be_anything() {
    let m = model();
    assert_eq!(m.highest(f64::NEG_INFINITY, f64::INFINITY), m.optimum());
    assert_eq!(m.highest(f64::NAN, f64::NAN), m.optimum());
    assert_eq!(m.lowest(f64::NEG_INFINITY, f64::INFINITY), 0.0);
    assert_eq!(m.lowest(f64::NAN, 44.0), 0.0);
    assert!(m.optimum() > 1.0 / 1800.0 && m.optimum() < 1.000_001 / 1800.0);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Any temperature inside a range has a rate between lowest and highest, for
    /// every model that is accepted; computed by the formula as published.
    #[test]
    fn encloses(
        m in -5.0..20.0f64, width in 5.0..60.0f64, at in 0.501..0.999f64,
        first in -10.0..90.0f64, second in -10.0..90.0f64, between in 0.0..=1.0f64,
    ) {
        let (top, o) = (m + width, m + at * width);
        let model = Cardinal::new(m, o, top, 1.0).unwrap();
        let (lo, hi) = (first.min(second), first.max(second));
        let t = lo + between * (hi - lo);
        let rate = if t > m && t < top { published(m, o, top, t) } else { 0.0 };
        let (low, high) = (model.lowest(lo, hi), model.highest(lo, hi));
        prop_assert!(low <= rate * (1.0 + 1e-9) && rate <= high * (1.0 + 1e-9) + 1e-15, "{} {} {}", low, rate, high);
        prop_assert!(high <= model.optimum());
    }

    /// At one temperature the two differ by a hair only, away from the ends.
    #[test]
    fn is_tight(t in 12.5..51.5f64) {
        let m = model();
        let (low, high) = (m.lowest(t, t), m.highest(t, t));
        let rate = m.rate(t).unwrap();
        prop_assert!(low <= rate && rate <= high && high - low <= 1e-11 * high, "{} {} {}", low, rate, high);
    }

    /// Just inside, at and beyond the ends the bounds still hold.
    #[test]
    fn near_the_ends(off in -1e-8..1e-8f64) {
        let m = model();
        for (end, other) in [(12.0, 13.0), (52.0, 51.0)] {
            let t = end + off;
            let rate = m.rate(t).unwrap();
            prop_assert!(m.lowest(t, t) <= rate && rate <= m.highest(t, t));
            prop_assert!(m.highest(t, t) < m.rate(other).unwrap());
        }
    }

    /// Joined pieces: the trapezoid estimate lies between the bounds.
    #[test]
    fn trapezoid_lies_between(values in prop::collection::vec(0.0..60.0f64, 2..20)) {
        let points: Vec<(f64, f64)> = (0..).map(|k| f64::from(k) * 60.0).zip(values).collect();
        let m = model();
        let (least, most) = m.bounds(&points).unwrap();
        let estimate = m.trapezoid(&points).unwrap();
        prop_assert!(least <= estimate && estimate <= most, "{} {} {}", least, estimate, most);
    }
}
