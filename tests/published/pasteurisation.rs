//! Pasteurisation times: 21 CFR 1240.61 and 131.3 (milk, eggnog), 9 CFR 590.570
//! (egg white), UK core temperatures, juice, acidified food.

use crate::table::{Account, Row, celsius};
use approx::assert_relative_eq;
use bourn::science::lethality::LogLinear;

const ROUND_TIMES: &str = "UK core list: rounded up beyond the next printed unit, to a handy 45 min";

fn named<'a>(account: &'a Account, product: &str) -> Vec<&'a Row> {
    account.rows.iter().filter(|r| r.text("product") == product).collect()
}

/// z in °F between two rows.
fn z_f(a: &Row, b: &Row) -> f64 {
    let points = [a, b].map(|r| (celsius(r.number("temp_f")), r.number("seconds")));
    LogLinear::fit(&points).unwrap().z_c() * 1.8
}

/// UK core: 2 min at 70 °C, z 7.5 °C, over the temperatures of the list. Units
/// of the model are minutes at 70 °C.
fn uk() -> LogLinear {
    LogLinear::for_f_value(70.0, 7.5, Some((60.0, 80.0))).unwrap()
}

pub fn run() -> Account {
    let mut account = Account::open("pasteurisation.csv");
    let rows = account.rows.clone();
    let milk: Vec<Row> = named(&account, "milk").into_iter().cloned().collect();
    for (place, row) in rows.iter().enumerate() {
        let product = row.text("product");
        match product {
            "milk" | "eggnog" => {
                // Printed °C are °F rounded up to the next whole degree.
                let exact = celsius(row.number("temp_f"));
                assert_eq!(row.number("temp_c_printed"), exact.ceil(), "{row:?}");
                if let Some(next) = rows.get(place + 1).filter(|n| n.text("product") == product) {
                    assert!(next.number("seconds") < row.number("seconds"));
                }
                account.structure(row);
            }
            "milk (21 CFR 131.3)" => {
                let twin = milk.iter().find(|m| m.text("temp_f") == row.text("temp_f")).unwrap();
                assert_eq!(twin.number("seconds"), row.number("seconds"));
                account.checked(row);
            }
            "liquid egg white, no chemicals" => account.structure(row),
            "UK core general" => {
                let temp_c = row.number("temp_c_printed");
                let minutes = uk().seconds_for(2.0, temp_c).unwrap() / 60.0;
                let unit = if row.text("unit") == "min" { 1.0 } else { 0.1 };
                let printed = row.number("seconds") / 60.0;
                if temp_c == 60.0 {
                    assert!(printed - minutes > unit && printed / minutes < 1.05);
                    account.difference(row, ROUND_TIMES);
                } else {
                    let over = printed - minutes;
                    assert!((-1e-9..unit).contains(&over), "{row:?}: {minutes}");
                    account.checked(row);
                }
            }
            "UK core E. coli revision" => {
                let m = LogLinear::for_f_value(70.0, 6.0, None).unwrap();
                let minutes = m.seconds_for(2.0, row.number("temp_c_printed")).unwrap() / 60.0;
                assert!((row.number("value") - minutes).abs() < 0.5);
                account.hint(row);
            }
            "juice" => {
                assert_eq!(row.number("value"), 5.0);
                account.checked(row);
            }
            "juice (retail)" => {
                let left = 10f64.powf(-5.0);
                assert_relative_eq!(row.number("value"), 100.0 * (1.0 - left), epsilon = 1e-9);
                account.checked(row);
            }
            _ => {
                assert!(product.starts_with("acidified food"), "{product}");
                let (least, most) = row.span("value");
                assert!(least > 0.0 && least <= most);
                account.structure(row);
            }
        }
    }
    account.close()
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [34, 11, 1, 20, 2]);
}

/// DIFFERENCE: the milk times are not log-linear. The z between neighbours is
/// 7.7, 25.5, 10, 10, 10 and 11.4 °F, so they are a table to look up.
#[test]
fn milk_is_not_one_line() {
    let account = Account::open("pasteurisation.csv");
    let milk = named(&account, "milk");
    let z: Vec<f64> = milk.windows(2).map(|w| z_f(w[0], w[1])).collect();
    for (got, expected) in z.iter().zip([7.7, 25.5, 10.0, 10.0, 10.0, 11.4]) {
        assert!((got - expected).abs() < 0.1, "{z:?}");
    }
    let points: Vec<_> = milk.iter().map(|r| (celsius(r.number("temp_f")), r.number("seconds"))).collect();
    let line = LogLinear::fit(&points).unwrap();
    let off = |r: &Row| r.number("seconds") / line.seconds_for(1.0, celsius(r.number("temp_f"))).unwrap();
    assert!(milk.iter().any(|r| off(r) > 2.0) && milk.iter().any(|r| off(r) < 0.5));
}

/// The two egg white rows that were read fall with temperature, with a z of
/// about 8 °F; the regulation prints no z.
#[test]
fn egg_white_falls_with_temperature() {
    let account = Account::open("pasteurisation.csv");
    let white = named(&account, "liquid egg white, no chemicals");
    assert_eq!(white.len(), 2);
    assert!((z_f(white[0], white[1]) - 8.05).abs() < 0.05);
}
