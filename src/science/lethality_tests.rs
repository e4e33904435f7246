#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

use super::*;
use approx::assert_relative_eq;

fn model() -> LogLinear {
    LogLinear::new(20.0, 65.0, 5.0, Some((55.0, 75.0))).unwrap()
}

#[test]
fn one_d_at_the_reference_is_one_log() {
    let m = model();
    assert_relative_eq!(m.reduction(65.0, 20.0).unwrap(), 1.0, max_relative = 1e-15);
    assert_relative_eq!(m.rate(65.0).unwrap(), 0.05, max_relative = 1e-15);
    assert_relative_eq!(m.seconds_for(7.0, 65.0).unwrap(), 140.0, max_relative = 1e-15);
}

#[test]
fn one_z_is_a_factor_of_ten() {
    let m = model();
    assert_relative_eq!(m.seconds_for(1.0, 70.0).unwrap(), 2.0, max_relative = 1e-14);
    assert_relative_eq!(m.seconds_for(1.0, 60.0).unwrap(), 200.0, max_relative = 1e-14);
    assert_relative_eq!(m.lethal_rate(70.0).unwrap(), 10.0, max_relative = 1e-14);
}

#[test]
fn f_value_counts_minutes_at_the_reference() {
    let f = LogLinear::for_f_value(121.1, 10.0, None).unwrap();
    assert_relative_eq!(f.equivalent_minutes(111.1, 600.0).unwrap(), 1.0, max_relative = 1e-13);
    assert_relative_eq!(f.reduction(111.1, 600.0).unwrap(), 1.0, max_relative = 1e-13);
    let points = [(0.0, 121.1), (90.0, 121.1), (180.0, 121.1)];
    assert_relative_eq!(f.trapezoid(&points).unwrap(), 3.0, max_relative = 1e-14);
}

#[test]
fn outside_the_range_is_refused_not_extrapolated() {
    let m = model();
    assert!(matches!(m.rate(54.9), Err(OutOfRange::Below { .. })));
    assert!(matches!(m.rate(75.1), Err(OutOfRange::Above { .. })));
    assert!(matches!(m.seconds_for(1.0, 80.0), Err(OutOfRange::Above { .. })));
    assert!(matches!(m.rate(f64::NAN), Err(OutOfRange::NotFinite { .. })));
    assert!(m.rate(55.0).is_ok() && m.rate(75.0).is_ok());
    assert_eq!(
        m.rate(75.5).unwrap_err().to_string(),
        "temperature of 75.5 °C is above 75 °C, where the formula ceases to hold"
    );
}

#[test]
fn a_model_that_makes_no_sense_is_refused() {
    assert!(matches!(LogLinear::new(0.0, 65.0, 5.0, None), Err(OutOfRange::NotPositive { what: "D", .. })));
    assert!(matches!(LogLinear::new(20.0, 65.0, -5.0, None), Err(OutOfRange::NotPositive { what: "z", .. })));
    assert!(LogLinear::new(f64::NAN, 65.0, 5.0, None).is_err());
    assert!(LogLinear::new(20.0, f64::INFINITY, 5.0, None).is_err());
    assert!(LogLinear::new(20.0, 65.0, 5.0, Some((70.0, f64::NAN))).is_err());
    assert!(matches!(LogLinear::new(20.0, 65.0, 5.0, Some((70.0, 60.0))), Err(OutOfRange::Reversed { .. })));
    assert!(matches!(model().reduction(65.0, -1.0), Err(OutOfRange::Negative { .. })));
    assert!(model().seconds_for(-1.0, 65.0).is_err());
}

#[test]
fn directed_pair_is_zero_below_and_flat_above() {
    let m = model();
    assert_eq!((m.rate_low(54.99), m.rate_high(54.99)), (0.0, 0.0));
    assert_eq!(m.rate_low(90.0), m.rate_low(75.0));
    assert_eq!(m.rate_high(f64::INFINITY), m.rate_high(75.0));
    assert_eq!(m.rate_high(f64::NAN), m.rate_high(75.0));
    assert_eq!(m.rate_low(f64::NAN), 0.0);
    assert_eq!(m.rate_high(f64::NEG_INFINITY), 0.0);
    let open = LogLinear::new(20.0, 65.0, 5.0, None).unwrap();
    assert_eq!(open.rate_high(f64::INFINITY), f64::INFINITY);
    assert!(open.rate_low(54.99) > 0.0);
}

#[test]
fn directed_pair_is_strict_and_narrow() {
    let m = LogLinear::new(12.345, 63.3, 5.6, None).unwrap();
    for step in 0..2000 {
        let t = -20.0 + f64::from(step) * 0.07;
        let rate = m.rate(t).unwrap();
        let (low, high) = (m.rate_low(t), m.rate_high(t));
        assert!(low < rate && rate < high, "{t}");
        assert!((high - low) / rate < 1e-12, "{t}");
    }
}

/// Powers of ten with a whole exponent are known without any library.
#[test]
fn directed_pair_holds_exact_powers() {
    let m = LogLinear::new(1.0, 60.0, 5.0, None).unwrap();
    for (t, truth) in [(60.0, 1.0), (65.0, 10.0), (70.0, 100.0), (75.0, 1000.0)] {
        assert!(m.rate_low(t) < truth && truth < m.rate_high(t));
    }
}

#[test]
fn directed_pair_stays_sound_where_numbers_are_extreme() {
    let steep = LogLinear::new(1.0, 60.0, 1e-3, None).unwrap();
    assert_eq!(steep.rate_low(0.0), 0.0);
    assert!(steep.rate_high(0.0) > 0.0 && steep.rate_high(0.0) < 1e-280);
    assert_eq!(steep.rate_high(120.0), f64::INFINITY);
    assert_eq!(steep.rate_low(120.0), 0.0);
    let absurd = LogLinear::new(1.0, 60.0, 1e-300, None).unwrap();
    assert_eq!((absurd.rate_low(70.0), absurd.rate_high(70.0)), (0.0, f64::INFINITY));
    assert!(absurd.rate(70.0).is_err());
}

#[test]
fn trapezoid_of_a_straight_line_is_exact() {
    assert_eq!(trapezoid(&[(0.0, 0.0), (2.0, 4.0), (10.0, 20.0)]).unwrap(), 100.0);
}

#[test]
fn trapezoid_refuses_bad_records() {
    assert!(matches!(trapezoid(&[(0.0, 1.0)]), Err(OutOfRange::TooFewPoints { got: 1, need: 2 })));
    assert!(matches!(trapezoid(&[(0.0, 1.0), (5.0, 1.0), (5.0, 1.0)]), Err(OutOfRange::TimeNotRising { point: 3 })));
    assert!(trapezoid(&[(0.0, 1.0), (5.0, f64::NAN)]).is_err());
    assert!(model().trapezoid(&[(0.0, 60.0), (1.0, f64::INFINITY)]).is_err());
}

#[test]
fn trapezoid_lies_between_the_directed_sums() {
    let m = model();
    let points: Vec<(f64, f64)> =
        (0..=90).map(|k| (f64::from(k) * 10.0, 20.0 + f64::from(k) * 0.8 * (1.0 - f64::from(k % 7) / 40.0))).collect();
    let (mut low, mut high) = (0.0, 0.0);
    for pair in points.windows(2) {
        let dt = pair[1].0 - pair[0].0;
        low += dt * m.rate_low(pair[0].1.min(pair[1].1));
        high += dt * m.rate_high(pair[0].1.max(pair[1].1));
    }
    let middle = m.trapezoid(&points).unwrap();
    assert!(low < middle && middle < high, "{low} {middle} {high}");
}

/// On a straight come-up the sum of trapezoids has a closed form; coarse steps
/// overstate it.
#[test]
fn trapezoid_overstates_a_straight_come_up() {
    let m = LogLinear::new(60.0, 70.0, 7.5, None).unwrap();
    let exact = {
        let slope = 1.0 / 60.0;
        (7.5 / std::f64::consts::LN_10) / slope * (m.rate(80.0).unwrap() - m.rate(40.0).unwrap())
    };
    let estimate = |step: u32| {
        let points: Vec<(f64, f64)> =
            (0..=2400 / step).map(|k| (f64::from(k * step), 40.0 + f64::from(k * step) / 60.0)).collect();
        m.trapezoid(&points).unwrap()
    };
    assert_relative_eq!(estimate(1), exact, max_relative = 1e-5);
    assert!(estimate(300) > exact * 1.01 && estimate(600) > estimate(300));
}

#[test]
fn fit_recovers_the_line_it_was_given() {
    let m = LogLinear::new(618.0, 60.0, 5.6, None).unwrap();
    let points: Vec<(f64, f64)> =
        [55.0, 58.0, 61.0, 66.0].iter().map(|&t| (t, m.seconds_for(1.0, t).unwrap())).collect();
    let fitted = LogLinear::fit(&points).unwrap();
    assert_relative_eq!(fitted.z_c(), 5.6, max_relative = 1e-12);
    assert_relative_eq!(fitted.seconds_for(1.0, 60.0).unwrap(), 618.0, max_relative = 1e-12);
    assert_eq!(fitted.range_c(), Some((55.0, 66.0)));
}

#[test]
fn fit_refuses_what_fixes_no_line() {
    assert_eq!(LogLinear::fit(&[(60.0, 5.0), (60.0, 6.0)]), Err(OutOfRange::NoSlope));
    assert_eq!(LogLinear::fit(&[(60.0, 5.0), (65.0, 6.0)]), Err(OutOfRange::NoSlope));
    assert!(LogLinear::fit(&[(60.0, 5.0)]).is_err());
    assert!(LogLinear::fit(&[(60.0, 5.0), (65.0, 0.0)]).is_err());
}
