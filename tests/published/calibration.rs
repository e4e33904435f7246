//! Reference points of instruments: saturated salts (Greenspan 1977, a printed table to one decimal, the CRC
//! Handbook) and the boiling point of water at altitude.

use crate::table::{Account, Row};
use bourn::science::humidity::{boiling_point, pressure_at_altitude};
use bourn::science::salts::Salt;

const NACL: &str = "printed 75.7 at 20 °C, and 75.7 at 10 °C; Greenspan's polynomial gives 75.48; no reason given";
const LAST_DIGIT: &str = "one tenth beside the polynomial: the printed figure was rounded from two decimals";
const FORMULA: &str = "a line or parabola through altitudes, not the vapour pressure: up to 0.5 °C beside it";
const TOO_HIGH: &str = "6325 m lies above the range that is offered here (5500 m)";

/// Humidity by the polynomial in %.
fn percent(salt: Salt, row: &Row) -> f64 {
    100.0 * salt.water_activity(row.number("temp_c")).unwrap()
}

/// A salt by its formula, water of crystallisation left off.
fn salt(item: &str) -> Option<Salt> {
    Salt::find(item.split('.').next().unwrap())
}

/// The numbers behind `polynomial`, or behind `A=` and `B=`.
fn numbers(row: &Row) -> Vec<f64> {
    row.text("method").split([' ', '=']).filter_map(|word| word.parse().ok()).collect()
}

pub fn run() -> Account {
    let mut account = Account::open("calibration.csv");
    for row in account.rows.clone() {
        let printed = row.number("value");
        if row.recalled() {
            account.hint(&row);
            continue;
        }
        let method = row.text("method").to_owned();
        if method.starts_with("polynomial") {
            // The coefficients were read; the value is what they give.
            let salt = salt(row.text("item")).unwrap();
            let ours = salt.polynomial();
            let mut read = numbers(&row);
            read.resize(4, 0.0);
            assert_eq!(ours.to_vec(), read, "{row:?}");
            assert!((percent(salt, &row) - printed).abs() <= row.half_digit("value") + 1e-9, "{row:?}");
            account.checked(&row);
        } else if method.starts_with("tabulated, 1") {
            let Some(salt) = salt(row.text("item")) else {
                // Sodium bromide: no polynomial here. It dries as it warms.
                assert!(row.text("item") == "sodium bromide" && (55.0..65.0).contains(&printed));
                account.structure(&row);
                continue;
            };
            let off = printed - percent(salt, &row);
            if off.abs() <= 0.05 {
                account.checked(&row);
            } else if off.abs() <= 0.06 {
                account.difference(&row, LAST_DIGIT);
            } else {
                assert!(salt == Salt::SodiumChloride && row.text("temp_c") == "20" && off < 0.25, "{row:?}: {off}");
                account.difference(&row, NACL);
            }
        } else if method == "tabulated" {
            // An uncertainty of the reference itself, 0.12 % humidity: our difference from print is smaller.
            assert!(row.text("unit").contains("uncertainty") && printed < 0.5);
            account.structure(&row);
        } else if method.starts_with("A=") {
            let [a, b] = numbers(&row)[..2] else { panic!("{row:?}") };
            let theirs = a * (b / (row.number("temp_c") + 273.15)).exp();
            assert!((theirs - printed).abs() < 0.6, "{row:?}: {theirs}");
            match salt(row.text("item")) {
                // The handbook says ± 2 % humidity.
                Some(salt) => {
                    assert!((percent(salt, &row) - printed).abs() < 2.0);
                    assert!((percent(salt, &row) - theirs).abs() < 2.0);
                    account.checked(&row);
                }
                None => account.structure(&row),
            }
        } else {
            // Boiling points: altitude in m stands in the column of the unit, the value is in °C.
            boiling(&mut account, &row);
        }
    }
    account.close()
}

fn boiling(account: &mut Account, row: &Row) {
    let celsius = row.number("temp_c");
    let altitude = row.number("value");
    let Ok(pascal) = pressure_at_altitude(altitude) else {
        assert_eq!(altitude, 6325.0);
        account.difference(row, TOO_HIGH);
        return;
    };
    let ours = boiling_point(pascal).unwrap();
    let off = celsius - ours;
    if off.abs() <= 0.05 {
        account.checked(row);
    } else {
        assert!(off.abs() < 0.5, "{row:?}: {ours}");
        account.difference(row, FORMULA);
    }
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    let [rows, checked, ..] = account.counts();
    assert_eq!(rows, 80);
    assert!(checked >= 45, "{checked}");
}

/// Sodium bromide, which is offered nowhere, and the others fall or stay as they warm in print too.
#[test]
fn order_in_print() {
    let account = Account::open("calibration.csv");
    let table: Vec<&Row> = account.rows.iter().filter(|row| row.text("method").starts_with("tabulated, 1")).collect();
    assert_eq!(table.len(), 35);
    for pair in table.windows(2).filter(|pair| pair[0].text("item") == pair[1].text("item")) {
        let rise = pair[1].number("value") - pair[0].number("value");
        assert!(rise <= 0.1 + 1e-9, "{pair:?}");
    }
}
