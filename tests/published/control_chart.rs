//! Charts of single values, run rules and tolerance factors.
//!
//! The flow rates are the worked example of the NIST/SEMATECH e-Handbook, section 6.3.2.2, recalled from memory; what is
//! checked on them is plain arithmetic that can be redone beside it. The tolerance factors come from scipy 1.x
//! (`scipy.stats.nct.ppf`), a general-purpose library.

use bourn::science::control_chart::{Signal, individuals, signals, tolerance_factor};

/// Ten flow rates.
const FLOW: [f64; 10] = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

#[test]
fn individuals_and_moving_ranges_of_the_worked_example() {
    let chart = individuals(&FLOW).unwrap();
    assert!((chart.mean - 50.81).abs() < 5e-5, "{}", chart.mean);
    // 2.0 + 2.3 + 1.4 + 3.5 + 3.4 + 1.4 + 0.2 + 1.2 + 1.5 = 16.9, over nine.
    assert!((chart.range - 16.9 / 9.0).abs() < 1e-9, "{}", chart.range);
    let (lower, upper) = chart.limits();
    assert!((upper - 55.8041).abs() < 5e-5 && (lower - 45.8159).abs() < 5e-5, "{lower} {upper}");
    assert!(signals(&FLOW, &chart).iter().all(|(_, signal, _)| *signal != Signal::Beyond), "all within their limits");
}

#[test]
fn one_sided_tolerance_factors_are_those_of_the_library() {
    // Values, coverage, confidence, factor.
    for (count, coverage, confidence, factor) in [
        (5, 0.90, 0.90, 2.742_348),
        (5, 0.99, 0.99, 8.939_025),
        (10, 0.95, 0.95, 2.910_963),
        (10, 0.99, 0.90, 3.531_659),
        (20, 0.90, 0.95, 1.925_991),
        (20, 0.99, 0.99, 3.831_558),
        (43, 0.90, 0.99, 1.873_954),
        (77, 0.95, 0.95, 1.971_489),
        (77, 0.99, 0.95, 2.741_726),
    ] {
        let ours = tolerance_factor(count, coverage, confidence).unwrap();
        assert!((ours - factor).abs() < 2e-5, "{count} {coverage} {confidence}: {ours}, not {factor}");
    }
    for (count, coverage, confidence) in [(1, 0.9, 0.9), (5, 0.4, 0.9), (5, 0.9, 1.0), (5, f64::NAN, 0.9)] {
        assert_eq!(tolerance_factor(count, coverage, confidence), None);
    }
}

#[test]
fn each_run_rule_fires_where_its_run_is_complete_and_not_before() {
    // A chart of mean 0 and standard deviation 1, and runs beside it.
    let chart =
        bourn::science::control_chart::Individuals { mean: 0.0, range: 1.128, sigma: 1.0, deviation: 1.0, count: 50 };
    let at = |values: &[f64]| signals(values, &chart);
    assert_eq!(at(&[0.5, 3.1]), [(1, Signal::Beyond, true)]);
    assert_eq!(at(&[2.5, -0.1, 2.1]), [(2, Signal::TwoOfThree, true)]);
    assert_eq!(at(&[2.5, -2.5, 0.1]), [], "one on each side");
    assert_eq!(at(&[-1.5, -1.2, 0.3, -1.1, -1.9]), [(4, Signal::FourOfFive, false)]);
    let eight = [-0.1, -0.2, -0.1, -0.3, -0.1, -0.2, -0.1, -0.2];
    assert_eq!(at(&eight), [(7, Signal::EightOnOneSide, false)]);
    assert_eq!(at(&eight[1..]), []);
    assert_eq!(at(&[3.0, 0.0]), [], "on the line is not beyond it");
}

#[test]
fn nothing_comes_of_too_little_or_of_what_is_no_number() {
    assert_eq!(individuals(&[1.0]), None);
    assert_eq!(individuals(&[1.0, f64::NAN]), None);
    let flat = individuals(&[2.0, 2.0, 2.0]).unwrap();
    assert_eq!((flat.limits(), flat.capability(3.0)), ((2.0, 2.0), None));
}
