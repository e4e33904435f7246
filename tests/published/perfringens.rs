//! Growth of *Clostridium perfringens*: cardinal temperatures, generation times and cooling trials, from abstracts.
//!
//! No publication read gives a full parameter set together with growth over a named cooling curve, and the abstract
//! with cardinal temperatures does not state the form of its model. So these rows show order of magnitude only: none
//! counts as reproduced.

use crate::table::Account;
use bourn::science::growth::Cardinal;

fn value(account: &Account, id: &str) -> f64 {
    account.rows.iter().find(|row| row.text("id") == id).unwrap().number("value")
}

/// The two published sets of cardinal temperatures in the form of Rosso et al.
fn models(account: &Account) -> [Cardinal; 2] {
    ["roasted", "braised"].map(|food| {
        let of = |what: &str| value(account, &format!("{food}.{what}"));
        Cardinal::new(of("Tmin"), of("Topt"), of("Tmax"), Cardinal::from_ln_per_hour(of("mu_opt"))).unwrap()
    })
}

/// A straight fall from one temperature to another.
fn fall(from: f64, to: f64, hours: f64) -> Vec<(f64, f64)> {
    (0..=200).map(|k| f64::from(k) / 200.0).map(|x| (x * hours * 3600.0, from + x * (to - from))).collect()
}

pub fn run() -> Account {
    let mut account = Account::open("c-perfringens.csv");
    let models = models(&account);
    let most = |points: &[(f64, f64)]| models.map(|model| model.bounds(points).unwrap().1);
    for row in account.rows.clone() {
        let printed = row.number("value");
        match row.text("id") {
            id if id.starts_with("roasted.") || id.starts_with("braised.") => {
                // Used above: the form accepts them.
                assert!(printed > 0.0);
            }
            "beef.Topt" => assert!((43.5..=46.4).contains(&printed)),
            id if id.starts_with("gt.") => {
                // Within a factor of two at the temperature of the trial.
                let t = if id.ends_with("7.1") {
                    41.0
                } else if id.ends_with("9.2") {
                    46.0
                } else {
                    43.0
                };
                let measured = Cardinal::from_generation_minutes(printed).unwrap();
                for model in models {
                    let ratio = model.rate(t).unwrap() / measured;
                    assert!((0.5..2.0).contains(&ratio), "{row:?}: {ratio}");
                }
            }
            // 51 to 11 °C in 8 h, falling exponentially; cured, with the lag of spores. A model without either must
            // lie above, or it would not be the careful side.
            "cured.RG" | "cured.RG95" => {
                let points: Vec<(f64, f64)> =
                    fall(0.0, 1.0, 8.0).iter().map(|&(s, x)| (s, 51.0 * (11.0f64 / 51.0).powf(x))).collect();
                assert!((0.5..0.94).contains(&printed.log10()));
                assert!(most(&points).into_iter().all(|log10| log10 > printed.log10()));
            }
            // No growth seen at 12 °C; the model allows a hundredth of the fastest rate at most.
            "cured.nogrowth" => {
                assert!(models.into_iter().all(|m| m.rate(printed).unwrap() < 0.01 * m.optimum()));
            }
            // No growth at 15 to 25 °C/h, at most tenfold at 10 °C/h: the model without lag lies above, and rises with
            // the time of cooling.
            "cool.25_15" => {
                let (fast, slow) = (most(&fall(60.0, 12.0, 48.0 / 25.0)), most(&fall(60.0, 12.0, 48.0 / 15.0)));
                assert!(fast.into_iter().zip(slow).all(|(fast, slow)| printed < fast && fast < slow));
            }
            "cool.10" => {
                assert!(most(&fall(60.0, 12.0, 4.8)).into_iter().all(|log10| log10 > printed.log10()));
            }
            "std" => assert_eq!(printed, 1.0),
            other => panic!("unknown row {other}"),
        }
        account.structure(&row);
    }
    account.close()
}

#[test]
fn rows() {
    let account = run();
    println!("{account}");
    assert_eq!(account.counts(), [20, 0, 0, 20, 0]);
}
