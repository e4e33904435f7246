//! Fall, reduction, growth, sum above a base.

use super::*;
use crate::verdict::Verdict::{Met, NotMet, NotShown};

#[test]
fn fall_over_every_span() {
    // Every 10 min: 60, 50, 40, 35. From reading to reading 20 min later: 20 and 15. From any instant
    // between 0 and 10 (50 or more) to 20 min later (40 or less): 10 at least.
    let rows = every(10, &[60.0, 50.0, 40.0, 35.0]);
    let falls = |by: &str| {
        let by = Rational::parse(by).unwrap();
        Form::FallsAtLeast { rises: false, strict: false, shown_by: by, denied_below: by, every: 20 * MIN }
    };
    let outcome = judge(falls("10"), window(0, 30), SAMPLING, rows.clone());
    assert_eq!(
        (outcome.verdict, outcome.extent.least, outcome.extent.most),
        (Met, End::Closed(10.0), End::Closed(15.0))
    );
    assert_eq!(verdict(falls("10.1"), 0, 30, &rows), NotShown);
    assert_eq!(verdict(falls("15.1"), 0, 30, &rows), NotMet);
    // The figure itself is too little where more is asked for; a rise is the mirror image.
    let more = |rises: bool, by: i64, values: [f64; 4]| {
        let by = Rational::whole(by);
        let form = Form::FallsAtLeast { rises, strict: true, shown_by: by, denied_below: by, every: 20 * MIN };
        verdict(form, 0, 30, &every(10, &values))
    };
    assert_eq!([9, 10, 15].map(|by| more(false, by, [60.0, 50.0, 40.0, 35.0])), [Met, NotShown, NotMet]);
    assert_eq!([9, 10, 15].map(|by| more(true, by, [5.0, 15.0, 25.0, 30.0])), [Met, NotShown, NotMet]);
    // Decimals as written: 50.3 − 40.2 is 10.1 to the last place.
    let rows = every(10, &[50.3, 50.3, 40.2, 40.2]);
    assert_eq!(verdict(falls("10.1"), 0, 30, &rows), Met);
    // No span of 20 min fits in 10 min of readings.
    assert_eq!(verdict(falls("1"), 0, 10, &rows), NotShown);
}

#[test]
fn sum_above_rounds_outwards_where_doubles_cancel() {
    // 10 min at 20.6 above 20.5 is a sum of exactly 60, though 20.6 − 20.5 in doubles is a little more than 0.1.
    let rows = every(10, &[20.6, 20.6]);
    let form = |at_most: &str| Form::SumAboveAtMost {
        base_least: 20.5,
        base_most: 20.5,
        top: None,
        at_most: Cut::new(Rational::parse(at_most).unwrap()),
    };
    let outcome = judge(form("60"), window(0, 10), SAMPLING, rows.clone());
    assert_eq!(outcome.verdict, NotShown);
    let (least, most) = (outcome.extent.least.number().unwrap(), outcome.extent.most.number().unwrap());
    assert!(59.999_999 < least && least < 60.0 && 60.0 < most && most < 60.000_001, "{outcome:?}");
    assert_eq!(verdict(form("60.000001"), 0, 10, &rows), Met);
    assert_eq!(verdict(form("59.999999"), 0, 10, &rows), NotMet);
    // A reading on the base adds nothing at all.
    let rows = every(10, &[20.5, 20.5]);
    assert_eq!(verdict(form("0"), 0, 10, &rows), Met);
}

/// One decade per minute from 60 up, a tenth of it from 50 up, nothing below; no more above 70.
#[derive(Debug)]
struct Steps(bool);

impl Steps {
    fn rate(value: f64) -> f64 {
        match value {
            v if v >= 60.0 => 1.0 / 60.0,
            v if v >= 50.0 => 0.1 / 60.0,
            _ => 0.0,
        }
    }
}

impl DeathRates for Steps {
    fn low(&self, value: f64) -> f64 {
        Self::rate(value).next_down()
    }
    fn high(&self, value: f64) -> f64 {
        Self::rate(value).next_up()
    }
    fn top(&self) -> Option<f64> {
        self.0.then_some((1.0_f64 / 60.0).next_up())
    }
}

#[test]
fn reduction() {
    // 40, 55, 65, 65, 55 every 5 min. Least: 0 + 0.5 + 5 + 0.5 = 6. Most: 0.5 + 5 + 5 + 5 = 15.5.
    // Trapezoid: 0.25 + 2.75 + 5 + 2.75 = 10.75.
    let rows = every(5, &[40.0, 55.0, 65.0, 65.0, 55.0]);
    let rates = Steps(true);
    let form = |text: &str| Form::Reduction { rates: &rates, at_least: cut(text) };
    let outcome = judge(form("5.9"), window(0, 20), SAMPLING, rows.clone());
    assert_eq!(outcome.verdict, Met);
    let number = |end: End| end.number().unwrap();
    // Rounded outwards, and by no more than a hair.
    assert!(number(outcome.extent.least) < 6.0 && number(outcome.extent.least) > 6.0 - 1e-12);
    assert!(number(outcome.extent.most) > 15.5 && number(outcome.extent.most) < 15.5 + 1e-12);
    assert!((outcome.witness.trapezoid.unwrap() - 10.75).abs() < 1e-9);
    assert_eq!(verdict(form("6.1"), 0, 20, &rows), NotShown);
    assert_eq!(verdict(form("15.6"), 0, 20, &rows), NotMet);
    // A gap of 20 min adds nothing to least and 20 decades to most; with no stated top, no bound.
    let mut holed = rows.clone();
    holed.push(Row::reading(40 * MIN, 55.0));
    let most = |form: Form<'_>| judge(form, window(0, 40), SAMPLING, holed.clone()).extent.most;
    assert!((number(most(form("1"))) - 35.5).abs() < 1e-9);
    let boundless = Steps(false);
    assert_eq!(most(Form::Reduction { rates: &boundless, at_least: cut("1") }), End::UnboundedAbove);
}

/// Fastest at 40, a decade in 20 min; a tenth of that from 10 up; nothing at 60 and over.
#[derive(Debug)]
struct Hump;

impl Hump {
    const PEAK: f64 = 1.0 / 1200.0;
}

impl GrowthRates for Hump {
    fn lowest(&self, lo: f64, hi: f64) -> f64 {
        if lo >= 10.0 && hi < 60.0 { Self::PEAK / 10.0 } else { 0.0 }
    }
    fn highest(&self, lo: f64, hi: f64) -> f64 {
        match (lo <= 40.0 && hi >= 40.0, hi >= 10.0 && lo < 60.0) {
            (true, _) => Self::PEAK,
            (_, true) => Self::PEAK / 10.0,
            _ => 0.0,
        }
    }
    fn optimum(&self) -> f64 {
        Self::PEAK
    }
}

#[test]
fn growth() {
    // 60 then 20 in 10 min passes the peak on the way: at most half a decade, though neither end shows it.
    let form = |text: &str| Form::GrowthAtMost { rates: &Hump, at_most: cut(text) };
    let rows = every(10, &[60.0, 20.0, 12.0]);
    let outcome = judge(form("0.6"), window(0, 20), SAMPLING, rows.clone());
    // Least: 0 + 0.05. Most: 0.5 + 0.05.
    assert_eq!(outcome.verdict, Met);
    assert!((outcome.extent.least.number().unwrap() - 0.05).abs() < 1e-9);
    assert!((outcome.extent.most.number().unwrap() - 0.55).abs() < 1e-9);
    assert_eq!(verdict(form("0.5"), 0, 20, &rows), NotShown);
    assert_eq!(verdict(form("0.04"), 0, 20, &rows), NotMet);
}

#[test]
fn degree_hours() {
    // Above a base of 15.6: 20.6 for an hour is 5 °C·h, 30.6 for the next 15 °C·h, the step between counts either way.
    let rows = every(60, &[20.6, 20.6, 30.6, 30.6]);
    let sampling = Sampling { credit_gap: 60 * MIN, edge_allowance: 0 };
    let form = |hours: i64| Form::SumAboveAtMost {
        base_least: 15.6,
        base_most: 15.6,
        top: None,
        at_most: Cut::new(Rational::whole(hours * 3600)),
    };
    // Least: 5 + 5 + 15 = 25. Most: 5 + 15 + 15 = 35.
    let verdict = |hours| judge(form(hours), window(0, 180), sampling, rows.clone()).verdict;
    assert_eq!((verdict(36), verdict(30), verdict(24)), (Met, NotShown, NotMet));
}
