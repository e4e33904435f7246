//! Degree-hours of a fermentation: the temperature above a base, summed over time
//! until the pH is reached that stops *Staphylococcus aureus*.
//!
//! `sum of (T - base) dt where T > base`. Source: the good manufacturing practice
//! of the American Meat Institute Foundation (1997), as quoted by the University of
//! Wisconsin in Principles of Preservation of Shelf-Stable Dried Meat Products (2005),
//! p. 163, with its worked example in `tests/published/`. The base (there 60 °F), the
//! end pH (there 5.3) and the bound are arguments of the plan, not of this tool; the
//! end point is the caller's: give the points up to it.

use super::{OutOfRange, finite};

/// Degree-hours above `base_c` over (seconds, °C), if the temperature runs
/// straight from reading to reading; in °C·h. Exact for that line, crossing of the
/// base included.
///
/// # Errors
/// Fewer than two points, a number that is not finite, a time that is not after
/// the one before it.
pub fn degree_hours(points: &[(f64, f64)], base_c: f64) -> Result<f64, OutOfRange> {
    sum(points, base_c, |first, second| match (first > 0.0, second > 0.0) {
        (true, true) => 0.5 * (first + second),
        (false, false) => 0.0,
        (true, false) => 0.5 * first * first / (first - second),
        (false, true) => 0.5 * second * second / (second - first),
    })
}

/// Least and most degree-hours, in °C·h, if the temperature only stays between
/// each two neighbouring readings.
///
/// # Errors
/// As [`degree_hours`].
pub fn degree_hour_bounds(points: &[(f64, f64)], base_c: f64) -> Result<(f64, f64), OutOfRange> {
    let least = sum(points, base_c, |first, second| first.min(second).max(0.0))?;
    let most = sum(points, base_c, |first, second| first.max(second).max(0.0))?;
    Ok((least * (1.0 - 1e-12), most * (1.0 + 1e-12)))
}

/// Hours at a constant `t` °C until `degree_hours` °C·h are used up; `None` at or
/// below the base, where they never are.
///
/// # Errors
/// A number that is not finite, or degree-hours below 0.
pub fn hours_until(degree_hours: f64, t: f64, base_c: f64) -> Result<Option<f64>, OutOfRange> {
    super::not_negative("degree-hours", degree_hours)?;
    finite("temperature", t)?;
    finite("base", base_c)?;
    if t <= base_c {
        return Ok(None);
    }
    finite("time", degree_hours / (t - base_c)).map(Some)
}

/// The sum of time in hours by what each piece is worth: `worth` takes the
/// heights above the base at both ends.
fn sum(points: &[(f64, f64)], base_c: f64, worth: fn(f64, f64) -> f64) -> Result<f64, OutOfRange> {
    if points.len() < 2 {
        return Err(OutOfRange::TooFewPoints { got: points.len(), need: 2 });
    }
    finite("base", base_c)?;
    for &(seconds, t) in points {
        finite("time", seconds)?;
        finite("temperature", t)?;
    }
    let mut total = 0.0;
    for (index, pair) in points.windows(2).enumerate() {
        if let &[(from, first), (to, second)] = pair {
            if to <= from {
                return Err(OutOfRange::TimeNotRising { point: index + 2 });
            }
            total += (to - from) / 3600.0 * worth(first - base_c, second - base_c);
        }
    }
    finite("degree-hours", total)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// By hand: 25 °C for 2 h over a base of 15 is 20; then down to 5 °C in an hour
    /// crosses the base half way: 10 · 0.5 / 2 = 2.5.
    #[test]
    fn by_hand() {
        let points = [(0.0, 25.0), (7200.0, 25.0), (10_800.0, 5.0)];
        assert_relative_eq!(degree_hours(&points, 15.0).unwrap(), 22.5, max_relative = 1e-12);
        let (least, most) = degree_hour_bounds(&points, 15.0).unwrap();
        assert_relative_eq!(least, 20.0, max_relative = 1e-9);
        assert_relative_eq!(most, 30.0, max_relative = 1e-9);
        // Up again the same way.
        let points = [(0.0, 5.0), (3600.0, 25.0)];
        assert_relative_eq!(degree_hours(&points, 15.0).unwrap(), 2.5, max_relative = 1e-12);
        assert_eq!(hours_until(20.0, 25.0, 15.0).unwrap(), Some(2.0));
        assert_eq!(hours_until(20.0, 15.0, 15.0).unwrap(), None);
    }

    #[test]
    fn refuses() {
        assert!(matches!(degree_hours(&[(0.0, 20.0)], 15.0), Err(OutOfRange::TooFewPoints { .. })));
        assert!(matches!(degree_hours(&[(0.0, 20.0), (0.0, 20.0)], 15.0), Err(OutOfRange::TimeNotRising { point: 2 })));
        assert!(degree_hours(&[(0.0, 20.0), (1.0, f64::NAN)], 15.0).is_err());
        assert!(hours_until(-1.0, 20.0, 15.0).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn bounds_hold_the_line(values in prop::collection::vec(-5.0..45.0f64, 2..20), base in 0.0..30.0f64) {
            let points: Vec<(f64, f64)> = (0..).map(|k| f64::from(k) * 900.0).zip(values).collect();
            let (least, most) = degree_hour_bounds(&points, base).unwrap();
            let line = degree_hours(&points, base).unwrap();
            prop_assert!(least <= line + 1e-12 && line <= most + 1e-12, "{} {} {}", least, line, most);
        }
    }
}
