//! USDA FSIS, compliance guideline for meat and poultry jerky (2014),
//! Attachment 2: relative humidity printed beside dry and wet bulb of six
//! validated schedules.
//!
//! The attachment prints whole per cents and names neither its formula nor the
//! air pressure. Our formula reads 0.7 to 2.4 % RH higher in all six, and two
//! psychrometrics libraries, which use the thermodynamic wet bulb, read 0.4 to
//! 0.6 % RH higher still (see `second_opinion`), so the printed figures are the
//! odd ones. Tolerance 2.5 % RH, and one-sided. A plan that takes its limit from
//! these schedules does well to limit the bulbs themselves: a humidity of 43 %
//! by formula is a slightly cooler wet bulb than the schedule's.

use crate::table::{Account, celsius};
use bourn::science::humidity::{STANDARD_ATMOSPHERE_PA, relative_humidity};

const HIGHER: &str = "formula 0.7 to 2.4 % RH above the printed whole per cent; formula and pressure \
     behind the printed value are not stated, two libraries agree with the formula";

pub fn run() -> Account {
    let mut account = Account::open("jerky-humidity.csv");
    for row in account.rows.clone() {
        let (dry, wet) = (celsius(row.number("dry_f")), celsius(row.number("wet_f")));
        let rh = relative_humidity(dry, wet, STANDARD_ATMOSPHERE_PA).unwrap();
        let above = rh - row.number("value");
        assert!(above > row.half_digit("value") && above < 2.5, "{row:?}: {rh}");
        account.difference(&row, HIGHER);
    }
    account.close()
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [6, 0, 6, 0, 0]);
}

/// The order of the six schedules by humidity is the printed order.
#[test]
fn order_is_kept() {
    let account = Account::open("jerky-humidity.csv");
    let mut pairs: Vec<(f64, f64)> = account
        .rows
        .iter()
        .map(|r| {
            let (dry, wet) = (celsius(r.number("dry_f")), celsius(r.number("wet_f")));
            (r.number("value"), relative_humidity(dry, wet, STANDARD_ATMOSPHERE_PA).unwrap())
        })
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(pairs.windows(2).all(|w| w[0].1 < w[1].1), "{pairs:?}");
}
