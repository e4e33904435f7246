#![allow(clippy::unwrap_used, clippy::expect_used)]

use super::*;
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

const SEA: f64 = STANDARD_ATMOSPHERE_PA;

#[test]
fn equal_bulbs_mean_saturated_air() {
    for t in [0.0, 20.0, 60.0, 90.0, 99.0] {
        assert_abs_diff_eq!(relative_humidity(t, t, SEA).unwrap(), 100.0, epsilon = 1e-12);
    }
}

/// The coefficient by hand: 6.53e-4 at 0 °C, 6.53e-4 × 1.05664 at 60 °C. A wrong
/// slope moves humidity by less than the comparisons with libraries can see.
#[test]
fn coefficient_is_that_of_the_ventilated_bulb() {
    assert_abs_diff_eq!(coefficient(0.0), 6.53e-4, epsilon = 1e-15);
    assert_abs_diff_eq!(coefficient(60.0), 6.899_859e-4, epsilon = 1e-10);
    // Seen from outside: the share of pressure in the result.
    let at = |p| relative_humidity(80.0, 60.0, p).unwrap() / 100.0 * saturation_pressure(80.0).unwrap();
    assert_abs_diff_eq!((at(90_000.0) - at(100_000.0)) / (10_000.0 * 20.0), 6.9e-4, epsilon = 1e-7);
}

#[test]
fn wet_above_dry_is_an_error_not_a_clamp() {
    let err = relative_humidity(60.0, 60.6, SEA).unwrap_err();
    assert!(matches!(err, OutOfRange::WetAboveDry { .. }));
    assert_eq!(err.to_string(), "wet bulb 60.6 °C is above dry bulb 60 °C by more than 0.5 °C");
    assert!(relative_humidity(60.0, 60.5, SEA).unwrap() > 100.0);
}

#[test]
fn impossible_pairs_and_values_are_refused() {
    assert!(matches!(relative_humidity(120.0, 20.0, SEA), Err(OutOfRange::DrierThanDry { .. })));
    assert!(matches!(relative_humidity(120.0, 101.0, SEA), Err(OutOfRange::Above { what: "wet bulb", .. })));
    assert!(matches!(relative_humidity(60.0, -0.1, SEA), Err(OutOfRange::Below { what: "wet bulb", .. })));
    assert!(matches!(relative_humidity(151.0, 60.0, SEA), Err(OutOfRange::Above { what: "dry bulb", .. })));
    assert!(matches!(relative_humidity(60.0, 50.0, 1013.25), Err(OutOfRange::Below { what: "pressure", .. })));
    assert!(relative_humidity(f64::NAN, 50.0, SEA).is_err());
    assert!(relative_humidity(60.0, f64::NAN, SEA).is_err());
    assert!(relative_humidity(60.0, 50.0, f64::INFINITY).is_err());
    assert!(saturation_pressure(-0.1).is_err());
    assert!(saturation_pressure(200.1).is_err());
    assert!(pressure_at_altitude(6000.0).is_err());
    assert!(boiling_point(20_000.0).is_err());
}

/// Above the boiling point the air cannot be humid: pure steam at 110 °C is at
/// the pressure of the room, which is well under saturation.
#[test]
fn hot_ovens_cannot_reach_ninety_percent() {
    let steam = boiling_point(SEA).unwrap();
    let rh = relative_humidity(110.0, steam, SEA).unwrap();
    assert!(rh < 71.0, "{rh}");
}

#[test]
fn altitude_lowers_pressure_and_boiling_point() {
    assert_abs_diff_eq!(pressure_at_altitude(0.0).unwrap(), SEA);
    let p = pressure_at_altitude(1524.0).unwrap();
    assert!(p < 0.84 * SEA && p > 0.82 * SEA);
    assert!(boiling_point(p).unwrap() < boiling_point(SEA).unwrap() - 4.5);
    let b = boiling_point(p).unwrap();
    assert_abs_diff_eq!(saturation_pressure(b).unwrap(), p, epsilon = 1e-4);
}

#[test]
fn bounds_refuse_only_pairs_that_cannot_agree() {
    assert!(relative_humidity_bounds(59.0, 61.0, 60.0, 62.0, SEA).is_ok());
    assert!(matches!(relative_humidity_bounds(59.0, 60.0, 60.6, 62.0, SEA), Err(OutOfRange::WetAboveDry { .. })));
    assert!(matches!(
        relative_humidity_bounds(61.0, 60.0, 50.0, 51.0, SEA),
        Err(OutOfRange::Reversed { what: "dry bulb", .. })
    ));
    assert!(matches!(
        relative_humidity_bounds(60.0, 61.0, 51.0, 50.0, SEA),
        Err(OutOfRange::Reversed { what: "wet bulb", .. })
    ));
    assert!(matches!(relative_humidity_bounds(119.0, 120.0, 20.0, 21.0, SEA), Err(OutOfRange::DrierThanDry { .. })));
    let (low, high) = relative_humidity_bounds(60.0, 120.0, 30.0, 40.0, SEA).unwrap();
    assert_eq!(low, 0.0);
    assert!(high > 20.0);
    assert!(relative_humidity_bounds(99.0, 100.5, 99.5, 100.5, SEA).is_ok());
}

/// Humidity rises with the wet bulb and falls with the dry bulb over the whole
/// domain, on a grid of half degrees.
#[test]
fn humidity_is_monotone_in_both_bulbs() {
    for pressure in [50_000.0, 80_000.0, SEA, 110_000.0] {
        let mut compared = 0;
        for d in 0..=300 {
            for w in 0..=d {
                let (dry, wet) = (f64::from(d) / 2.0, f64::from(w) / 2.0);
                let Ok(here) = relative_humidity(dry, wet, pressure) else {
                    continue;
                };
                if let Ok(wetter) = relative_humidity(dry, wet + 0.5, pressure) {
                    assert!(wetter > here, "wet {wet} dry {dry} p {pressure}");
                    compared += 1;
                }
                if let Ok(hotter) = relative_humidity(dry + 0.5, wet, pressure) {
                    assert!(hotter < here, "wet {wet} dry {dry} p {pressure}");
                    compared += 1;
                }
            }
        }
        assert!(compared > 10_000, "{compared}");
    }
}

proptest! {
    /// No pair of readings inside the box gives a humidity outside the bounds.
    #[test]
    fn bounds_enclose(
        dry in 1.0..140.0f64, dry_width in 0.0..10.0f64, dry_at in 0.0..=1.0f64,
        below in 0.0..40.0f64, wet_width in 0.0..10.0f64, wet_at in 0.0..=1.0f64,
        pressure in 50_000.0..110_000.0f64,
    ) {
        let wet = dry - below;
        let bounds = relative_humidity_bounds(dry, dry + dry_width, wet, wet + wet_width, pressure);
        let inside = relative_humidity(dry + dry_at * dry_width, wet + wet_at * wet_width, pressure);
        if let Ok(rh) = inside {
            if let Ok((low, high)) = bounds {
                prop_assert!(low <= rh && rh <= high, "{} {} {}", low, rh, high);
            } else {
                // Bounds may refuse only because an end leaves the range.
                prop_assert!(wet < 0.0 || dry + dry_width > 150.0 || wet + wet_width > 150.0,
                    "{:?}", bounds);
            }
        }
    }
}
