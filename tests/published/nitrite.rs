//! Ingoing nitrite: 9 CFR 424.21(c) and 424.22(b), 21 CFR 172.170, and worked examples that quote the
//! USDA FSIS Processing Inspectors' Calculations Handbook (Directive 7620.3, rev. 1995).
//!
//! The handbook's own pages beyond the introduction were not at hand: the examples are public posts and
//! pages that quote its formulas, and the weights of the regulation turned into parts per million.

use crate::table::{Account, Row};
use bourn::science::curing::{Nitrite, Share, direct, nitrite_for_pickle, nitrite_in_cure, pumped};

const CUT: &str = "140.7 ppm is printed as 140: cut, not rounded";
const ABOUT: &str = "55.97 ppm; the author says approximately 57";
const PRINTED_246: &str = "200 ppm as potassium nitrite is 246.7; the rule prints 246: cut, not rounded";

fn percent(value: f64) -> Share {
    Share::from_percent(value).unwrap()
}

/// Ingoing ppm from a cure in a pickle at a pump of 10 %.
fn through_pickle(cure: f64, nitrite: f64, pickle: f64) -> f64 {
    pumped(nitrite_in_cure(cure, percent(nitrite)).unwrap(), pickle, percent(10.0)).unwrap()
}

fn expected(row: &Row) -> f64 {
    // Ounces in 100 pounds.
    let ounces = |oz: f64| direct(oz / 16.0, 100.0).unwrap();
    // Pounds in 100 gallons of pickle of 10 lb each, pumped at 10 %.
    let gallons = |lb: f64| pumped(lb, 1000.0, percent(10.0)).unwrap();
    match row.text("id") {
        "PICKLE.148" => through_pickle(32.0, 5.88, 1266.0),
        "SALT.brine" => 100.0 * (110.0 + 32.0 * 0.9412) / 1266.0,
        // Printed from the rounded share of the row above.
        "SALT.meat" => 1200.0 * percent(10.0).fraction() * 0.110_68,
        "PICKLE.140" => through_pickle(3.0 / 16.0, 6.25, 8.33),
        "PICKLE.188" => through_pickle(4.0 / 16.0, 6.25, 8.33),
        "PICKLE.57" => through_pickle(0.6, 6.25, 67.0),
        "DIRECT.200" => direct(1.0, 5000.0).unwrap(),
        "DIRECT.150" => direct(0.75, 5000.0).unwrap(),
        "BACON.0.06" => nitrite_for_pickle(120.0, 100.0, percent(20.0)).unwrap(),
        "OZ.625" => ounces(1.0),
        "OZ.156" => ounces(0.25),
        "OZ.2187" => ounces(3.5),
        "OZ.1718" => ounces(2.75),
        "GAL.200" => gallons(2.0),
        "GAL.700" => gallons(7.0),
        "K.148" => Nitrite::Potassium.from_sodium(120.0),
        "K.246" => Nitrite::Potassium.from_sodium(200.0),
        other => panic!("unknown example {other}"),
    }
}

pub fn worked() -> Account {
    let mut account = Account::open("nitrite-worked-examples.csv");
    for row in account.rows.clone() {
        let (printed, ours) = (row.number("value"), expected(&row));
        let reason = match row.text("id") {
            "PICKLE.140" => Some((CUT, 0.0..1.0)),
            "PICKLE.57" => Some((ABOUT, -1.1..-1.0)),
            "K.246" => Some((PRINTED_246, 0.0..1.0)),
            // 2187.5 and 1718.75 printed without the fraction.
            "OZ.2187" | "OZ.1718" => Some(("the fraction of a ppm is cut, not rounded", 0.0..1.0)),
            _ => None,
        };
        match reason {
            None => {
                assert!((ours - printed).abs() <= row.half_digit("value") + 1e-9, "{row:?}: {ours}");
                // Salt of the brine: plain arithmetic here, no function of the tool.
                if row.text("id").starts_with("SALT") { account.structure(&row) } else { account.checked(&row) }
            }
            Some((reason, by)) => {
                assert!(by.contains(&(ours - printed)), "{row:?}: {ours}");
                account.difference(&row, reason);
            }
        }
    }
    account.close()
}

pub fn limits() -> Account {
    let mut account = Account::open("nitrite-limits.csv");
    let rows = account.rows.clone();
    for row in &rows {
        let printed = || row.number("value");
        match (row.text("substance"), row.text("unit")) {
            // The weights of the regulation give the limits that the handbook states.
            ("nitrite", "oz per 100 lb") => {
                let ppm = direct(printed() / 16.0, 100.0).unwrap();
                let stated = rows.iter().find(|other| {
                    other.text("unit") == "ppm ingoing max"
                        && other.text("method").starts_with(&row.text("method").replace("dry cure", "dry cured"))
                });
                assert_eq!(stated.unwrap().number("value"), ppm.floor(), "{row:?}");
                account.checked(row);
            }
            ("nitrite", "lb per 100 gal pickle at 10 % pump") => {
                // With pickle of 10 lb a gallon; at 8.33 it would be 240.
                assert!((pumped(printed(), 1000.0, percent(10.0)).unwrap() - 200.0).abs() < 1e-9);
                assert!((pumped(printed(), 833.0, percent(10.0)).unwrap() - 240.1).abs() < 0.05);
                account.checked(row);
            }
            // The same method of bacon in sodium nitrite, as potassium nitrite.
            ("potassium nitrite equivalent", _) => {
                let twin = rows.iter().find(|other| {
                    (other.text("substance"), other.text("product")) == ("sodium nitrite", "bacon")
                        && other.text("method") == row.text("method")
                });
                let ours = Nitrite::Potassium.from_sodium(twin.unwrap().number("value"));
                if printed() == 246.0 {
                    assert!((ours - 246.7).abs() < 0.05);
                    account.difference(row, PRINTED_246);
                } else {
                    assert_eq!(ours.round(), printed(), "{row:?}");
                    account.checked(row);
                }
            }
            ("basis", _) => {
                // Finished weight would give a larger figure than green weight after any loss.
                assert_eq!(row.text("value"), "green weight");
                assert!(direct(1.0, 80.0).unwrap() > direct(1.0, 100.0).unwrap());
                account.structure(row);
            }
            _ => {
                assert!((0.0..=2000.0).contains(&printed()), "{row:?}");
                account.structure(row);
            }
        }
    }
    account.close()
}

#[test]
fn rows() {
    assert_eq!(worked().counts(), [17, 10, 5, 2, 0]);
    let limits = limits();
    println!("{limits}");
    assert_eq!(limits.counts()[..3], [32, 8, 1]);
}

/// The known trap: a pump of 10 % put into the formula as 10 is refused, and as
/// 0.10 per cent gives a hundredth.
#[test]
fn pump_is_a_fraction() {
    assert!(Share::from_fraction(10.0).is_err());
    let right = pumped(1.8816, 1266.0, percent(10.0)).unwrap();
    assert_eq!(right, pumped(1.8816, 1266.0, Share::from_fraction(0.1).unwrap()).unwrap());
    assert!((right / pumped(1.8816, 1266.0, percent(0.1)).unwrap() - 100.0).abs() < 1e-9);
}
