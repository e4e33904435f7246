//! Records that cannot be used, or not in full.

use crate::{Desk, LOTS, MAPPING, readings, same};

#[test]
fn missing_and_empty() {
    let desk = Desk::new();
    desk.drop("cook.csv").unusable("records-missing");
    desk.put("cook.csv", "").unusable("records-empty");
}

#[test]
fn wrong_column_and_dates_that_could_be_two_days() {
    let desk = Desk::new();
    desk.put("cook.csv", readings().replace("Core", "Kern")).unusable("records-column");
    desk.put("cook.csv", readings().replace("2026-09-14", "03/10/2026"))
        .put("mapping.yaml", MAPPING.replace("{ column: Time, format: \"%Y-%m-%d %H:%M\" }", "{ column: Time }"));
    desk.unusable("records-ambiguous");
}

/// What the other rows show stands; the row at fault is named.
#[test]
fn a_lot_that_the_register_does_not_know() {
    let desk = Desk::new();
    desk.put("cook.csv", readings().replace("10:04,L1", "10:04,L9"));
    let ran = desk.verify();
    assert_eq!(ran.status, 1, "{ran:#?}");
    same("records-lot", &ran.err);
    assert!(ran.out.contains("1 met, 0 not met, 0 not shown"), "{ran:#?}");
}

/// A row that is cut short may have lost digits of its last number too: nothing is judged by the file.
#[test]
fn a_last_row_that_breaks_off() {
    let desk = Desk::new();
    let text = readings();
    // The row is named and not used; what is left is judged, and the status says that a record has an error.
    let ran = desk.put("cook.csv", &text[..text.len() - 5]).verify();
    assert_eq!(ran.status, 1);
    super::same("records-truncated", &ran.err);
}

#[test]
fn the_status_follows_the_verdict() {
    let desk = Desk::new();
    let status = |cook: &str| desk.put("cook.csv", cook).verify().status;
    assert_eq!(status(&readings()), 0);
    // What was read ends with the cook, and the clocks of the two records may differ by some minutes.
    assert_eq!(status(&readings().replace(",75", ",69")), 3);
    desk.put("lots.csv", LOTS.replace("10:00", "10:03").replace("10:10", "10:07"));
    assert_eq!(status(&readings().replace(",75", ",69")), 1);
    desk.put("lots.csv", LOTS);
    // The first rows alone: the hold may have come later.
    let first: String = readings().lines().take(4).map(|line| format!("{line}\n")).collect();
    assert_eq!(status(&first), 3);
}

/// The workings of one verdict, on the terminal; the same with every row; and of names that are not there.
#[test]
fn the_workings_of_a_verdict() {
    let desk = Desk::new();
    let ask = |wanted: &str, more: &[&str]| {
        let mut args = vec!["verify", "plan.haccp", "--mapping", "mapping.yaml", "--workings", wanted];
        args.extend(more);
        desk.run(&args)
    };
    let ran = ask("L1/hold", &[]);
    assert_eq!(ran.status, 0, "{ran:#?}");
    same("workings", &ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
    assert_eq!(ask("L1/lethality.hold", &[]).out, ran.out);
    assert_eq!(ask("L1", &[]).out, ran.out);
    let long = ask("L1/hold", &["--all-rows"]);
    assert!(long.out.lines().count() > ran.out.lines().count(), "{}", long.out);
    for (wanted, case) in [("L2/hold", "workings-lot"), ("L1/holt", "workings-limit"), ("L1/kill.hold", "workings-ccp")]
    {
        let ran = ask(wanted, &[]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
        same(case, &ran.err);
    }
}
