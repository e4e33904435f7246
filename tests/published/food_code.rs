//! Food Code 2022, 3-401.11(B)(2), and an older adoption by a state: the ladder of times for whole roasts equals columns
//! of the FSIS cooking guideline.

use crate::table::{Account, celsius};
use bourn::science::lethality::LogLinear;

const OLDER: &str = "145 °F: the older ladder prints 3 min where the 7 log column has 4; no reason given";

pub fn run() -> Account {
    let mut account = Account::open("food-code-roasts.csv");
    let guideline = Account::open("fsis-lethality-meat.csv").rows;
    // The line of `fsis_meat`, up to 157 °F.
    let line = LogLinear::new(10.296, celsius(150.0), 10.0 / 1.8, Some((celsius(130.0), celsius(157.0)))).unwrap();
    for row in account.rows.clone() {
        let (ladder, fahrenheit) = row.text("id").split_once('.').unwrap();
        let column = if ladder == "roast" { "6.5" } else { "7" };
        let unit = if row.text("unit") == "min" { 60.0 } else { 1.0 };
        let seconds = row.number("value") * unit;
        let printed = guideline
            .iter()
            .find(|r| (r.text("edition"), r.text("log_reduction"), r.text("temp_f")) == ("2021", column, fahrenheit))
            .unwrap()
            .number("seconds");
        if seconds == printed {
            account.checked(&row);
        } else {
            assert_eq!((ladder, fahrenheit, seconds, printed), ("roast2014", "145", 180.0, 240.0));
            account.difference(&row, OLDER);
        }
        // The formula, rounded up to the unit in print, agrees with the 6.5 log ladder; 136 °F lies on the edge.
        if ladder == "roast" && seconds > 0.0 {
            let ours = line.seconds_for(6.5, celsius(fahrenheit.parse().unwrap())).unwrap() / unit;
            assert!((ours - 0.02).ceil() * unit == seconds, "{row:?}: {ours}");
        }
    }
    account.close()
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [26, 25, 1, 0, 0]);
}
