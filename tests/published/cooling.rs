//! Cooling rules: FSIS Appendix B (1999), extension pages, Food Code 3-501.14. No formula reproduces them; what is
//! asserted is that each is a fall of temperature within a time, and that stages add up.

use crate::table::{Account, Row, celsius};

pub fn run() -> Account {
    let mut account = Account::open("cooling.csv");
    for row in account.rows.clone() {
        if row.recalled() {
            account.hint(&row);
            continue;
        }
        let hours = row.number("value");
        if row.text("unit") == "h max" {
            assert!((0.0..24.0).contains(&hours) && hours > 0.0);
            if let (Ok(from), Ok(to)) = (row.text("from_f").parse::<f64>(), row.text("to_f").parse::<f64>()) {
                assert!(celsius(from) > celsius(to) && celsius(to) >= celsius(40.0), "{row:?}");
            }
        } else {
            // The performance standard: one decade of growth.
            assert_eq!(hours, 1.0);
        }
        account.structure(&row);
    }
    account.close()
}

fn hours(rows: &[Row], rule: &str, stage: &str) -> f64 {
    rows.iter().find(|row| row.text("rule") == rule && row.text("stage") == stage).unwrap().number("value")
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [21, 0, 0, 13, 8]);
    let rows = &account.rows;
    // Option 1 takes 6.5 h in all; both ways of writing option 2 take 6 h to 55 °F.
    assert_eq!(hours(rows, "FSIS option 1", "1") + hours(rows, "FSIS option 1", "2"), 6.5);
    let wording = "FSIS option 2 (extension wording)";
    assert_eq!(hours(rows, wording, "1") + hours(rows, wording, "2"), hours(rows, "FSIS option 2", "1"));
    // Food Code: 6 h is the total, not a second stage.
    let (first, total) = ("Food Code 3-501.14(A)(1)", "Food Code 3-501.14(A)(2)");
    assert!(hours(rows, first, "1") < hours(rows, total, "total"));
}
