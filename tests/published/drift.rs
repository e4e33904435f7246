//! A straight line by least squares against the certified values of NIST.
//!
//! Statistical Reference Datasets, linear regression, Norris (calibration of ozone monitors, 36 observations), read in a
//! copy of the file Norris.dat: parameters, their standard deviations and the residual standard deviation.

use bourn::science::drift::line;

const NORRIS: [(f64, f64); 36] = [
    (0.2, 0.1),
    (337.4, 338.8),
    (118.2, 118.1),
    (884.6, 888.0),
    (10.1, 9.2),
    (226.5, 228.1),
    (666.3, 668.5),
    (996.3, 998.5),
    (448.6, 449.1),
    (777.0, 778.9),
    (558.2, 559.2),
    (0.4, 0.3),
    (0.6, 0.1),
    (775.5, 778.1),
    (666.9, 668.8),
    (338.0, 339.3),
    (447.5, 448.9),
    (11.6, 10.8),
    (556.0, 557.7),
    (228.1, 228.3),
    (995.8, 998.0),
    (887.6, 888.8),
    (120.2, 119.6),
    (0.3, 0.3),
    (0.3, 0.6),
    (556.8, 557.6),
    (339.1, 339.3),
    (887.2, 888.0),
    (999.0, 998.5),
    (779.0, 778.9),
    (11.1, 10.2),
    (118.3, 117.6),
    (229.2, 228.9),
    (669.1, 668.4),
    (448.9, 449.2),
    (0.5, 0.2),
];

#[test]
fn the_line_is_that_of_the_certified_values() {
    let found = line(&NORRIS).unwrap();
    for (what, ours, certified) in [
        ("intercept", found.intercept, -0.262_323_073_774_029),
        ("slope", found.slope, 1.002_116_818_020_45),
        ("deviation of the intercept", found.intercept_deviation, 0.232_818_234_301_152),
        ("deviation of the slope", found.slope_deviation, 0.429_796_848_199_937e-3),
        ("residual deviation", found.residual, 0.884_796_396_144_373),
    ] {
        assert!((ours / certified - 1.0).abs() < 1e-10, "{what}: {ours}, not {certified}");
    }
    assert!(found.moves() && found.count == 36);
}

/// The 97.5th percentile of Student's t with three degrees of freedom is 3.182 (any table of it): slopes on either side.
#[test]
fn a_slope_counts_where_it_passes_the_t_of_the_table() {
    let five = |slope: f64| {
        line(&[(0.0, 0.1), (1.0, slope - 0.1), (2.0, 2.0 * slope), (3.0, 3.0 * slope - 0.1), (4.0, 4.0 * slope + 0.1)])
    };
    let mut seen = (false, false);
    for step in 0..40 {
        let line = five(f64::from(step) * 0.01).unwrap();
        let past = (line.slope / line.slope_deviation).abs() > 3.182_446;
        assert_eq!(line.moves(), past, "{line:?}");
        if past { seen.0 = true } else { seen.1 = true }
    }
    assert_eq!(seen, (true, true));
}

#[test]
fn what_gives_no_line() {
    assert_eq!(line(&[(0.0, 1.0), (1.0, 2.0)]), None, "two points");
    assert_eq!(line(&[(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)]), None, "one place");
    assert_eq!(line(&[(0.0, f64::NAN), (1.0, 2.0), (2.0, 3.0)]), None);
    let flat = line(&[(0.0, 1.0), (1.0, 1.0), (2.0, 1.0), (3.0, 1.0), (4.0, 1.0)]).unwrap();
    assert!(!flat.moves(), "no slope and no scatter");
}
