//! Sampling plans: FAO Fisheries Technical Paper 444, Table 3.2; two points of an
//! operating characteristic from a forum of practitioners; case numbers of FSIS and
//! the EU criteria (Regulation (EC) 2073/2005, Annex I).

use crate::table::Account;
use bourn::science::curing::Share;
use bourn::science::sampling::Attributes;

const ROUNDED_UP: &str = "n 5 at 10 %: printed 59.1, exact 59.05 is 59.049: rounded up from two decimals";
const ROUGH: &str = "n 60 at 2 %: printed 30.0, exact 29.76; no reason given";

pub fn plans() -> Account {
    let mut account = Account::open("sampling-plans.csv");
    for row in account.rows.clone() {
        if row.recalled() {
            account.hint(&row);
            continue;
        }
        let plan = Attributes::new(row.number("n") as u64, row.number("c") as u64).unwrap();
        if row.text("unit") == "plan" {
            // No probability is printed: only that none of n may be positive.
            assert_eq!(row.number("c"), 0.0);
            let none = plan.accepted(Share::from_percent(20.0).unwrap()).unwrap();
            assert!((none - 0.8f64.powf(row.number("n"))).abs() < 1e-12);
            account.structure(&row);
            continue;
        }
        let positive = Share::from_percent(row.number("defective_pct")).unwrap();
        let percent = 100.0 * plan.accepted(positive).unwrap();
        let off = percent - row.number("value");
        match (row.text("n"), row.text("defective_pct")) {
            ("5", "10") => {
                assert!((off + 0.051).abs() < 1e-6, "{off}");
                account.difference(&row, ROUNDED_UP);
            }
            ("60", "2") => {
                assert!((off + 0.24).abs() < 0.01, "{off}");
                account.difference(&row, ROUGH);
            }
            _ => {
                assert!(off.abs() <= row.half_digit("value") + 1e-12, "{row:?}: {percent}");
                account.checked(&row);
            }
        }
    }
    account.close()
}

pub fn eu() -> Account {
    let mut account = Account::open("eu-2073-criteria.csv");
    let rows = account.rows.clone();
    for row in &rows {
        if row.recalled() {
            account.hint(row);
            continue;
        }
        if row.text("n").is_empty() {
            assert_eq!(row.text("value"), "pH <= 4.4 or aw <= 0.92");
            account.structure(row);
            continue;
        }
        // Two-class throughout: c is 0, ten samples for infants and five otherwise.
        let infants = row.text("food").contains("infants");
        assert_eq!((row.number("n"), row.number("c")), (if infants { 10.0 } else { 5.0 }, 0.0), "{row:?}");
        assert!(Attributes::new(row.number("n") as u64, 0).is_ok());
        account.structure(row);
    }
    account.close()
}

#[test]
fn rows() {
    let plans = plans();
    println!("{plans}");
    assert_eq!(plans.counts()[2], 2);
    assert_eq!(eu().counts(), [15, 0, 0, 12, 3]);
}
