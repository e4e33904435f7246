//! Worked examples of lethal rate, F-value, D and the trapezoid rule from
//! teaching texts.

use crate::table::{Account, Row, celsius};
use bourn::science::lethality::{LogLinear, trapezoid};

const TRUNCATED: &str = "8.65 min is printed as 8.6: cut, not rounded";
const AREA: &str = "71 cm2 / 4 cm2 is 17.75 min, printed 17.5: the printed area or answer is rounded";

/// F0 model: 121.11 °C (250 °F), z 10 °C.
fn f0() -> LogLinear {
    LogLinear::for_f_value(121.11, 10.0, None).unwrap()
}

/// Trapezoid in minutes over lethal rates that are 5 min apart.
fn five_minute_steps(rates: &[f64]) -> f64 {
    let points: Vec<(f64, f64)> = (0..).map(|k| f64::from(k) * 300.0).zip(rates.iter().copied()).collect();
    trapezoid(&points).unwrap() / 60.0
}

/// Minutes for a reduction with D in minutes at its own temperature.
fn minutes(log: f64, d_minutes: f64) -> f64 {
    let m = LogLinear::new(d_minutes * 60.0, 121.0, 10.0, None).unwrap();
    m.seconds_for(log, 121.0).unwrap() / 60.0
}

fn expected(row: &Row) -> f64 {
    match row.text("id") {
        "L110" => f0().lethal_rate(110.0).unwrap(),
        // Only the sum of the inner rates is printed; the ends are 0, so any
        // split of the sum gives the same trapezoid.
        "FC.total" => {
            let one = five_minute_steps(&[0.0, 2.925, 0.0]);
            let split = five_minute_steps(&[0.0, 0.4, 1.0, 0.776, 0.749, 0.0]);
            assert!((one - split).abs() < 1e-9);
            one
        }
        // 1.730 = inner rates + half of the last rate, 0.776.
        "FC.heating" => five_minute_steps(&[0.0, 1.730 - 0.388, 0.776]),
        "FC.area" => 71.0 / 4.0,
        "TDT.235" => minutes(6.0, 10.0),
        "TDT.270" => minutes(6.0, 0.1),
        "BOT.12D" => minutes(12.0, 0.21),
        "BOT.12D.02" => minutes(12.0, 0.2),
        "BOT.111" => {
            let m = LogLinear::new(12.0, 121.0, 10.0, None).unwrap();
            m.seconds_for(12.0, 111.0).unwrap() / 60.0
        }
        other => panic!("unknown example {other}"),
    }
}

pub fn run() -> Account {
    let mut account = Account::open("lethality-points.csv");
    for row in account.rows.clone() {
        let off = row.number("value") - expected(&row);
        let rounding = row.half_digit("value") - 1e-9;
        match row.text("id") {
            "FC.heating" => {
                assert!((off + 0.05).abs() < 1e-9, "{off}");
                account.difference(&row, TRUNCATED);
            }
            "FC.area" => {
                assert!((off + 0.25).abs() < 1e-9, "{off}");
                account.difference(&row, AREA);
            }
            id => {
                assert!(off.abs() <= rounding, "{id}: {off}");
                account.checked(&row);
            }
        }
    }
    account.close()
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [9, 7, 2, 0, 0]);
}

/// D of 10 min at 235 °F and 0.1 min at 270 °F imply z = 17.5 °F.
#[test]
fn thermal_death_time_curve_implies_its_z() {
    let line = LogLinear::fit(&[(celsius(235.0), 600.0), (celsius(270.0), 6.0)]).unwrap();
    assert!((line.z_c() * 1.8 - 17.5).abs() < 1e-9);
}
