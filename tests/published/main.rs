//! Checks against figures published outside this project.
//!
//! One module per publication; README.md beside this file says how a row is
//! admitted. Every row of every data file is accounted for, and a row that
//! departs from the printed value by more than its rounding is listed as a
//! DIFFERENCE with its reason, and must go on departing.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod calibration;
mod control_chart;
mod cooling;
#[path = "../support/counts.rs"]
#[allow(dead_code)]
mod counts;
mod d_and_z;
mod drift;
mod degree_hours;
mod food_code;
mod fsis_meat;
mod fsis_poultry;
mod jerky_humidity;
mod nitrite;
mod pasteurisation;
mod perfringens;
mod sampling;
mod second_opinion;
mod table;
mod vapour_pressure;
mod worked_examples;

use std::fmt::Write as _;

/// Prints what was checked, per publication and in all; the second opinion of
/// the libraries is counted apart.
///
/// The sum stands in the output of every run; `tests/run.sh` prints the rest at its end.
#[test]
fn count_of_rows() {
    let publications = [
        fsis_meat::run(),
        fsis_poultry::run(),
        pasteurisation::run(),
        worked_examples::run(),
        d_and_z::run(),
        jerky_humidity::run(),
        vapour_pressure::run(),
        calibration::run(),
        nitrite::worked(),
        nitrite::limits(),
        sampling::plans(),
        sampling::eu(),
        cooling::run(),
        perfringens::run(),
        degree_hours::run(),
        food_code::run(),
    ];
    let mut sums = [0; 5];
    let mut lines = String::new();
    for account in &publications {
        writeln!(lines, "{account}").unwrap();
        let counts = account.counts();
        assert_eq!(counts[0], counts[1..].iter().sum::<usize>(), "{account}");
        for (sum, count) in sums.iter_mut().zip(counts) {
            *sum += count;
        }
    }
    let [rows, checked, differ, structure, hints] = sums;
    let sum = format!(
        "published, in all: {rows} rows; {checked} reproduced, {differ} DIFFERENCE with a \
         reason, {structure} checked in order and shape only, {hints} from memory (hint only)"
    );
    counts::report("published", &format!("{sum}\n{lines}{}\n", second_opinion::run()));
}
