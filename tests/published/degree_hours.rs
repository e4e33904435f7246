//! Degree-hours of a fermentation: the practice of the American Meat Institute Foundation (1997) as the University of
//! Wisconsin quotes it, with its worked example.

use crate::table::{Account, celsius};
use bourn::science::fermentation::{degree_hours, hours_until};

pub fn run() -> Account {
    let mut account = Account::open("degree-hours.csv");
    let rows = account.rows.clone();
    let value = |id: &str| rows.iter().find(|row| row.text("id") == id).unwrap().number("value");
    let base = celsius(value("dh.base"));
    for row in &rows {
        match row.text("id") {
            "dh.example" => {
                // 80 °F for 55 h.
                let points = [(0.0, celsius(80.0)), (55.0 * 3600.0, celsius(80.0))];
                let ours = 1.8 * degree_hours(&points, base).unwrap();
                assert!((ours - row.number("value")).abs() < 1e-6, "{ours}");
                assert!(ours <= value("dh.lt90"));
                account.checked(row);
            }
            "dh.base" => {
                // At the base nothing is ever used up.
                assert_eq!(hours_until(100.0, base, base).unwrap(), None);
                account.structure(row);
            }
            _ => {
                // The hotter, the fewer: 60 h at 80 °F, 28.6 h at 95 °F, 20 h at 105 °F.
                let (fahrenheit, hours) = match row.text("id") {
                    "dh.lt90" => (80.0, 60.0),
                    "dh.90_100" => (95.0, 1000.0 / 35.0),
                    "dh.gt100" => (105.0, 20.0),
                    other => panic!("unknown row {other}"),
                };
                let ours = hours_until(row.number("value") / 1.8, celsius(fahrenheit), base).unwrap().unwrap();
                assert!((ours - hours).abs() < 1e-9, "{row:?}: {ours}");
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
    assert_eq!(account.counts(), [5, 1, 0, 4, 0]);
}
