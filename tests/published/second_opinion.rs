//! General-purpose libraries asked the same questions: numpy and scipy
//! (trapezoid, quadrature, ODE, regression, sampling distributions), mpmath (rates to 50 digits),
//! PsychroLib and CoolProp (moist air, water). `second_opinion.py` writes the
//! data; its `--check` computes them again and compares.

use crate::table::{Account, Row};
use approx::assert_relative_eq;
use bourn::science::curing::Share;
use bourn::science::fermentation::{degree_hour_bounds, degree_hours};
use bourn::science::growth::Cardinal;
use bourn::science::humidity::{boiling_point, pressure_at_altitude, relative_humidity, saturation_pressure};
use bourn::science::lethality::LogLinear;
use bourn::science::sampling::{Attributes, samples_needed};
use bourn::science::weibull::Weibull;
use bourn::time::{WEEK, WorkingDays};

const WET_BULB: &str = "the libraries take the thermodynamic wet bulb (adiabatic saturation), the \
     formula that of a ventilated psychrometer, and reads 0.2 to 0.9 % RH lower: the careful side \
     where humidity is a minimum, not where it is a maximum";
const IAPWS: &str = "Hyland and Wexler 1983 against the IAPWS-95 equation of state: another fit, on \
     a later temperature scale; within 0.03 % from 1 to 200 °C";
const BOILING: &str = "boiling point by the same two equations: within 0.01 °C";

/// Parameters of the cook; the same numbers stand in `second_opinion.py`.
fn model(range: Option<(f64, f64)>) -> LogLinear {
    LogLinear::new(20.0, 65.0, 5.6, range).unwrap()
}

/// The cook at every `step` seconds (a multiple of 30).
fn cook(step: usize) -> Vec<(f64, f64)> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/published/data/synthetic-cook.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let points: Vec<(f64, f64)> =
        reader.records().map(|r| r.unwrap()).map(|r| (r[0].parse().unwrap(), r[1].parse().unwrap())).collect();
    assert_eq!(points.len(), 361);
    points.into_iter().step_by(step / 30).collect()
}

/// Lower and upper sum of the directed rates over the hull of each piece.
fn enclosure(m: &LogLinear, points: &[(f64, f64)]) -> (f64, f64) {
    points.windows(2).fold((0.0, 0.0), |(low, high), w| {
        let dt = w[1].0 - w[0].0;
        (low + dt * m.rate_low(w[0].1.min(w[1].1)), high + dt * m.rate_high(w[0].1.max(w[1].1)))
    })
}

fn check(row: &Row) -> Option<&'static str> {
    let value = row.number("value");
    match row.text("kind") {
        "trapezoid" => {
            let points = cook(row.number("a") as usize);
            assert_relative_eq!(model(None).trapezoid(&points).unwrap(), value, max_relative = 1e-12);
            let (low, high) = enclosure(&model(None), &points);
            assert!(low < value && value < high);
        }
        "trapezoid-clipped" => {
            let points = cook(row.number("a") as usize);
            let clipped = model(Some((55.0, 59.0)));
            assert_relative_eq!(clipped.trapezoid(&points).unwrap(), value, max_relative = 1e-12);
            let (low, high) = enclosure(&clipped, &points);
            assert!(low <= value && value <= high);
        }
        // The continuous cook. Steps of 30 s come within 0.1 % of it, coarse
        // steps overstate it, and the directed sums enclose it at any step.
        "reduction-by-quadrature" | "reduction-by-ode" => {
            let fine = model(None).trapezoid(&cook(30)).unwrap();
            assert_relative_eq!(fine, value, max_relative = 1e-3);
            for step in [30, 60, 300, 600] {
                let points = cook(step);
                let estimate = model(None).trapezoid(&points).unwrap();
                assert!(estimate > value, "{step} s: {estimate} {value}");
                let (low, high) = enclosure(&model(None), &points);
                assert!(low < value && value < high, "{step} s: {low} {value} {high}");
            }
        }
        // `value` is the double nearest to the 40 printed digits: bounds that
        // enclose the true rate cannot pass it.
        "rate" => {
            let m = LogLinear::new(row.number("a"), row.number("b"), row.number("c"), None).unwrap();
            let (low, high) = (m.rate_low(row.number("d")), m.rate_high(row.number("d")));
            assert!(low <= value && value <= high, "{row:?}: {low} {high}");
            assert!(high - low < 1e-12 * value, "{row:?}: {low} {high}");
            assert_relative_eq!(m.rate(row.number("d")).unwrap(), value, max_relative = 1e-13);
        }
        "z-of-three" => {
            let points = [("a", 125.0), ("b", 135.0), ("c", 145.0)].map(|(c, t)| (t, row.number(c)));
            assert_relative_eq!(LogLinear::fit(&points).unwrap().z_c(), value, max_relative = 1e-12);
        }
        "saturation-same-formula" => {
            assert_relative_eq!(saturation_pressure(row.number("a")).unwrap(), value, max_relative = 1e-12);
        }
        "saturation-iapws" => {
            let off = saturation_pressure(row.number("a")).unwrap() / value - 1.0;
            assert!(off.abs() < 0.0003, "{row:?}: {off}");
            return Some(IAPWS);
        }
        "pressure-at-altitude" => {
            assert_relative_eq!(pressure_at_altitude(row.number("a")).unwrap(), value, max_relative = 1e-12);
        }
        "boiling-point" => {
            let off = boiling_point(row.number("a")).unwrap() - value;
            assert!(off.abs() < 0.01, "{row:?}: {off}");
            return Some(BOILING);
        }
        "humidity-thermodynamic" => {
            let rh = relative_humidity(row.number("a"), row.number("b"), row.number("c")).unwrap();
            let off = rh - value;
            assert!((-0.9..-0.2).contains(&off), "{row:?}: {off}");
            return Some(WET_BULB);
        }
        kind => another(kind, row),
    }
    None
}

fn share(row: &Row, column: &str) -> Share {
    Share::from_fraction(row.number(column)).unwrap()
}

/// Sampling, growth, Weibull and degree-hours.
fn another(kind: &str, row: &Row) {
    let value = row.number("value");
    let whole = |column: &str| row.number(column) as u64;
    let plan = || Attributes::new(whole("a"), whole("b")).unwrap();
    let same = |ours: f64| assert_relative_eq!(ours, value, max_relative = 1e-9, epsilon = 1e-15);
    match kind {
        "accept-binomial" => same(plan().accepted(share(row, "c")).unwrap()),
        "detect-binomial" => same(plan().detected(share(row, "c")).unwrap()),
        "accept-hypergeometric" => same(plan().accepted_of_lot(whole("c"), whole("d")).unwrap()),
        "detect-hypergeometric" => same(plan().detected_of_lot(whole("c"), whole("d")).unwrap()),
        "accept-trinomial" => same(plan().accepted_three_class(share(row, "c"), share(row, "d")).unwrap()),
        "samples-needed" => {
            let n = samples_needed(whole("a"), share(row, "b"), share(row, "c")).unwrap().unwrap();
            assert_eq!(n, value as u64, "{row:?}");
        }
        "growth-by-quadrature" | "growth-by-ode" => {
            let [low, best, high, rate, lag] = ["a", "b", "c", "d", "e"].map(|column| row.number(column));
            let model = Cardinal::new(low, best, high, rate / 3600.0).unwrap();
            let record = |step: f64| -> Vec<(f64, f64)> {
                let count = (6.0 * lag / step).ceil() as u32;
                (0..=count).map(|k| f64::from(k) * step).map(|s| (s, 2.0 + 63.0 * (-s / lag).exp())).collect()
            };
            assert_relative_eq!(model.trapezoid(&record(5.0)).unwrap(), value, max_relative = 1e-4);
            // Whatever the step, the bounds hold the growth of the continuous cooling.
            for step in [5.0, 60.0, 600.0] {
                let (least, most) = model.bounds(&record(step)).unwrap();
                assert!(least < value && value < most, "{row:?} at {step} s: {least} {most}");
            }
        }
        "weibull" => {
            let model = Weibull::new((row.number("a"), 60.0), row.number("b"), 6.0, (50.0, 70.0), 100.0).unwrap();
            same(model.reduction(60.0, row.number("c")).unwrap());
        }
        "degree-hours" => {
            let points: Vec<(f64, f64)> = (0..=2400u32)
                .map(|k| f64::from(k) / 100.0)
                .map(|hour| (3600.0 * hour, 20.0 + 6.0 * hour.sin()))
                .collect();
            assert_relative_eq!(degree_hours(&points, row.number("a")).unwrap(), value, max_relative = 1e-4);
            let (least, most) = degree_hour_bounds(&points, row.number("a")).unwrap();
            assert!(least < value && value < most, "{row:?}: {least} {most}");
        }
        "working-days-after" | "working-days-between" => working_days(kind, row),
        other => panic!("unknown kind {other}"),
    }
}

/// Days counted by the days that a plant works, against numpy's business days.
fn working_days(kind: &str, row: &Row) {
    let epoch = chrono::NaiveDate::from_ymd_opt(1970, 1, 1).unwrap();
    let day = |ordinal: f64| epoch + chrono::TimeDelta::days(ordinal as i64);
    let digits = format!("{:07}", row.number("c"));
    let week = WEEK.iter().zip(digits.chars()).filter(|(_, digit)| *digit == '1').map(|((day, _), _)| *day);
    let holidays = ["2026-12-25", "2026-12-26", "2027-01-01", "2026-05-04"].map(|day| day.parse().unwrap());
    let left_out = if row.number("d") == 0.0 { &holidays[..0] } else { &holidays[..] };
    let worked = WorkingDays::new(week, left_out.iter().copied());
    let start = day(row.number("a"));
    if kind == "working-days-after" {
        let end = worked.after(start, row.number("b") as u32).unwrap();
        assert_eq!(end, day(row.number("value")), "{row:?}");
    } else {
        assert_eq!(worked.between(start, day(row.number("b"))), row.number("value") as usize, "{row:?}");
    }
}

pub fn run() -> Account {
    let mut account = Account::open("second-opinion.csv");
    for row in account.rows.clone() {
        assert!(!row.text("version").is_empty() && !row.text("library").is_empty());
        match check(&row) {
            None => account.checked(&row),
            Some(reason) => account.difference(&row, reason),
        }
    }
    account.close()
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [1111, 850, 261, 0, 0]);
}
