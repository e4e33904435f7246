//! Ways in which an export passes a limit that the product did not.

use crate::{balanced, iso, line, lines, mapping, one, only, read_file, values, with};
use bourn::log::{EntryKind, Memory, read};
use bourn::time::{HOUR, MINUTE, SECOND};

#[test]
fn a_dropout_code_is_never_a_low_reading() {
    let csv = "Time,T\n2026-09-14 10:00,3.1\n2026-09-14 10:01,-200\n2026-09-14 10:02,-200.000\n2026-09-14 10:03,-9999\n2026-09-14 10:04,OL\n2026-09-14 10:05,3.2\n";
    let records =
        read_file(&iso("    missing: -200\n    broken: OL\n").replace("unit: °C", "unit: °C, range: [-50, 150]"), csv);
    let channel = &records.channels[0];
    assert_eq!(values(channel), [3.1, 3.2]);
    assert_eq!(channel.missing_count, 2);
    let broken: Vec<u32> =
        channel.rows.iter().filter(|entry| entry.kind == EntryKind::Broken).map(|entry| entry.row).collect();
    assert_eq!(broken, [5, 6]);
    assert_eq!(
        only(&records, "R304"),
        "R304 a.csv:5:T `-9999` in column `T` lies outside the possible range from -50 to 150"
    );
    assert_eq!(only(&records, "R303"), "R303 a.csv:6:T `OL` in column `T` is declared as a broken probe");
    assert_eq!(records.files[0].missing_cells, 2);
    assert_eq!(records.files[0].broken_cells, 2);
    balanced(&records);
}

#[test]
fn an_undeclared_code_breaks_the_trace_and_is_told_once() {
    let csv = "Time,T\n2026-09-14 10:00,3.1\n2026-09-14 10:01,ERR\n2026-09-14 10:02,NaN\n2026-09-14 10:03,inf\n2026-09-14 10:04,3.2\n";
    let records = read_file(&iso(""), csv);
    assert_eq!(records.channels[0].rows.iter().filter(|entry| entry.kind == EntryKind::Broken).count(), 3);
    assert_eq!(only(&records, "R301"), "R301 a.csv:3:T `ERR` in column `T` is no number; 3 times, the last in row 5");
}

#[test]
fn a_blank_is_no_reading_and_no_zero() {
    let records = read_file(
        &iso(""),
        "Time,T,Note\n2026-09-14 10:00,3.1,\n2026-09-14 10:01, ,Logged\n,,\n2026-09-14 10:03,3.3,\n\n",
    );
    assert_eq!(values(&records.channels[0]), [3.1, 3.3]);
    assert_eq!(records.channels[0].missing.len(), 1);
    let file = &records.files[0];
    assert_eq!((file.used_rows, file.event_rows, file.blank_rows), (2, 1, 1));
    balanced(&records);
}

#[test]
fn the_order_of_day_and_month_is_proved_or_reported() {
    let text = |day: u32| format!("Time,T\n03/10/2026 10:00,3.1\n{day:02}/10/2026 10:00,3.1\n");
    let yaml = one("    time: { column: Time, format: \"%d/%m/%Y %H:%M\" }");
    let unproved = read_file(&yaml, text(4));
    assert_eq!(
        only(&unproved, "R205"),
        "R205 a.csv:2:Time no day in column `Time` is later than the 12th, so the file does not prove the order of `%d/%m/%Y %H:%M`"
    );
    assert!(with(&read_file(&yaml, text(13)), "R205").is_empty());
    // Month-first dates under a day-first format.
    let wrong = read_file(&yaml, "Time,T\n10/03/2026 10:00,3.1\n10/13/2026 10:00,3.1\n");
    assert_eq!(
        only(&wrong, "R201"),
        "R201 a.csv:3:Time `10/13/2026 10:00` in column `Time` is no time of the form `%d/%m/%Y %H:%M`"
    );
    assert_eq!(
        with(&wrong, "R201")[0].help.as_deref(),
        Some("it can be read as `%m/%d/%Y %H:%M`: check the order of day and month")
    );
    assert_eq!(wrong.files[0].unplaced_rows, 1);
}

#[test]
fn without_a_declared_format_no_row_is_placed() {
    let yaml = one("    time: { column: Time }");
    let said = |csv: &str| only(&read_file(&yaml, csv), "R204");
    assert_eq!(
        said("Time,T\n03/10/2026 10:00,3.1\n"),
        "R204 a.csv:2:Time nothing says how the times of `a.csv` are written, such as `03/10/2026 10:00`: every day is 12 or less, so the date order cannot be told from the file"
    );
    assert!(said("Time,T\n13/10/2026 10:00,3.1\n").contains("the day stands first"));
    assert!(said("Time,T\n10/13/2026 10:00,3.1\n").contains("the month stands first"));
    assert!(said("Time,T\n10/13/2026 10:00,3.1\n13/10/2026 10:00,3.1\n").contains("the order changes inside the file"));
    assert!(read_file(&yaml, "Time,T\n03/10/2026 10:00,3.1\n").channels.is_empty());
}

#[test]
fn fahrenheit_stays_fahrenheit() {
    let records = read_file(&iso("").replace("°C", "°F"), "Time,T\n2026-09-14 10:00,150\n");
    assert_eq!(records.channels[0].unit.symbol, "°F");
    assert_eq!(values(&records.channels[0]), [150.0]);
}

#[test]
fn a_decimal_comma_is_read_only_where_declared() {
    let csv = "Time;T\n2026-09-14 10:00;74,5\n2026-09-14 10:01;74.5\n2026-09-14 10:02;1.074,5\n";
    let records = read_file(&iso("    delimiter: \";\"\n    decimal: \",\"\n"), csv);
    assert_eq!(values(&records.channels[0]), [74.5]);
    assert_eq!(
        only(&records, "R302"),
        "R302 a.csv:3:T `74.5` in column `T` is not written with the decimal mark `,` that the mapping declares; 2 times, the last in row 4"
    );
    let grouped = read_file(&iso("    delimiter: \";\"\n    decimal: \",\"\n    thousands: \".\"\n"), csv);
    assert_eq!(values(&grouped.channels[0]), [74.5, 1074.5]);
    // The comma splits the value where the file is read with the wrong delimiter: the row is not used.
    let split = read_file(&iso(""), "Time,T\n2026-09-14 10:00,74,5\n");
    assert!(only(&split, "R109").starts_with("R109 a.csv:2: a row has 3 cells and the headings have 2"));
    assert!(split.channels.iter().all(|channel| channel.rows.is_empty()));
}

#[test]
fn equal_readings_count_once_and_unlike_ones_become_an_interval() {
    let csv = "Time,T\n2026-09-14 10:00,70.0\n2026-09-14 10:01,71.0\n2026-09-14 10:00,70.00\n2026-09-14 10:01,73.5\n";
    let records = read_file(&iso(""), csv);
    let rows: Vec<(f64, f64)> = records.channels[0].rows.iter().map(|entry| (entry.lo, entry.hi)).collect();
    assert_eq!(rows, [(70.0, 70.0), (71.0, 73.5)]);
    assert_eq!(records.channels[0].repeated, 1);
    assert_eq!(
        only(&records, "R305"),
        "R305 a.csv:5:T `T` has two values at one instant: 71 in row 3 and 73.5 in row 5 of `a.csv`; 1 such"
    );
    assert_eq!(with(&records, "R305")[0].related.len(), 1);
    assert!(only(&records, "R306").starts_with("R306 a.csv:4:T"));
    assert!(only(&records, "R206").starts_with("R206 a.csv:4:"));
}

#[test]
fn overlapping_files_count_real_time_once() {
    let files = Memory::default()
        .with("a1.csv", "Time,T\n2026-09-14 10:00,70\n2026-09-14 10:01,71\n")
        .with("a2.csv", "Time,T\n2026-09-14 10:01,71\n2026-09-14 10:02,72\n")
        .with("a3.csv", "Time,T\n2026-09-14 10:01,71\n2026-09-14 10:02,72\n");
    let records = read(&mapping(&iso("").replace("a.csv", "a*.csv")), &files);
    assert_eq!(values(&records.channels[0]), [70.0, 71.0, 72.0]);
    assert_eq!(only(&records, "R111"), "R111 a3.csv:0: `a3.csv` is equal to `a2.csv` byte for byte");
}

#[test]
fn a_broken_row_beside_a_reading_is_kept() {
    let records = read_file(&iso(""), "Time,T\n2026-09-14 10:00,70\n2026-09-14 10:00,ERR\n");
    let kinds: Vec<EntryKind> = records.channels[0].rows.iter().map(|entry| entry.kind).collect();
    assert_eq!(kinds, [EntryKind::Reading, EntryKind::Broken]);
}

#[test]
fn unlike_spot_values_of_one_minute_are_two_pieces() {
    let csv = "Time,T\n2026-09-14 10:00,1.4\n2026-09-14 10:00,0.5\n2026-09-14 10:00,1.4\n";
    let records = read_file(&iso("    spot: true\n"), csv);
    assert_eq!(values(&records.channels[0]), [0.5, 1.4]);
    assert_eq!(records.channels[0].repeated, 1);
}

/// Great Britain put its clocks back at 01:00 UTC on 25 October 2026 (IANA time zone database).
fn autumn(step: i64, from: i64, to: i64) -> String {
    let zone = bourn::time::Zone::parse("Europe/London").unwrap();
    let start = 1_792_886_400 * SECOND; // 2026-10-25 00:00 UTC
    let mut text = "Time,T\n".to_owned();
    for number in 0..(to - from) / step {
        let at = bourn::time::Instant(start + from + number * step);
        text += &format!("{},{number}\n", &zone.show_local(at)[..16]);
    }
    text
}

#[test]
fn the_repeated_hour_is_refused_or_settled_by_row_order() {
    let csv = autumn(10 * MINUTE, -HOUR, 3 * HOUR);
    let refused = read_file(&iso(""), csv.as_str());
    assert_eq!(refused.files[0].unplaced_rows, 12);
    assert!(only(&refused, "R203").starts_with("R203 a.csv:8:Time `2026-10-25 01:00` in column `Time` was there twice, and the mapping does not say which it is; 12 times"));
    let yaml = iso("").replace("%M\" }", "%M\", repeated-hour: row-order }");
    let settled = read_file(&yaml, csv.as_str());
    let rows = &settled.channels[0].rows;
    assert_eq!(rows.len(), 24);
    assert!(rows.windows(2).all(|pair| pair[1].at - pair[0].at == 10 * MINUTE));
    assert!(with(&settled, "R203").is_empty());
    let hourly = read_file(&yaml, autumn(HOUR, -2 * HOUR, 4 * HOUR));
    assert!(hourly.channels[0].rows.windows(2).all(|pair| pair[1].at - pair[0].at == HOUR));
    assert_eq!(hourly.channels[0].rows.len(), 6);
}

#[test]
fn row_order_settles_nothing_where_the_rows_do_not_step_back_once() {
    let yaml = iso("").replace("%M\" }", "%M\", repeated-hour: row-order }");
    let csv = autumn(10 * MINUTE, -HOUR, 3 * HOUR);
    // The same export appended to itself.
    let body = csv.strip_prefix("Time,T\n").unwrap();
    let twice = read_file(&yaml, format!("{csv}{body}"));
    assert_eq!(twice.files[0].unplaced_rows, 24);
    assert!(only(&twice, "R203").contains("they step back"));
    // Only one of the two hours recorded.
    let half = read_file(&yaml, autumn(10 * MINUTE, -HOUR, HOUR));
    assert!(only(&half, "R203").contains("their order does not tell"));
    // One hour recorded, with one row late: the step is far from the usual one.
    let late = "Time,T\n2026-10-25 01:10,1\n2026-10-25 01:20,2\n2026-10-25 01:15,3\n2026-10-25 01:30,4\n";
    assert!(only(&read_file(&yaml, late), "R203").contains("they do not step back by one hour"));
    // One hour recorded, with one row twice.
    let again = "Time,T\n2026-10-25 01:10,1\n2026-10-25 01:20,2\n2026-10-25 01:20,2\n2026-10-25 01:30,4\n";
    assert_eq!(read_file(&yaml, again).files[0].unplaced_rows, 4);
    // Two lots an hour, one hour recorded.
    let lots = "Time,T\n2026-10-25 00:00,1\n2026-10-25 00:00,2\n2026-10-25 01:00,3\n2026-10-25 01:00,4\n";
    assert_eq!(read_file(&yaml, lots).files[0].unplaced_rows, 2);
    // A declared fixed offset needs no settling.
    let fixed = read_file(&iso("").replace("%M\" }", "%M\", offset: \"+00:00\" }"), csv);
    assert!(with(&fixed, "R203").is_empty());
}

#[test]
fn a_local_time_that_never_was_is_not_placed() {
    // Great Britain put its clocks forward at 01:00 UTC on 29 March 2026.
    let records = read_file(&iso(""), "Time,T\n2026-03-29 00:59,3\n2026-03-29 01:30,3\n2026-03-29 02:00,3\n");
    assert!(only(&records, "R202").starts_with("R202 a.csv:3:Time `2026-03-29 01:30` in column `Time` never was"));
    let rows = &records.channels[0].rows;
    assert_eq!(rows[1].at - rows[0].at, MINUTE);
}

#[test]
fn headings_repeated_inside_are_no_reading() {
    let records = read_file(&iso(""), "Time,T\n2026-09-14 10:00,3\nTime,T\n2026-09-14 10:02,4\n");
    assert!(only(&records, "R112").starts_with("R112 a.csv:3:"));
    assert_eq!(values(&records.channels[0]), [3.0, 4.0]);
    assert_eq!(records.files[0].heading_rows, 1);
    balanced(&records);
}

#[test]
fn stored_digits_are_kept() {
    let records = read_file(&iso(""), "Time,T\n2026-09-14 10:00,164.96\n2026-09-14 10:01,71.11111111111111111\n");
    let rows = &records.channels[0].rows;
    assert_eq!((rows[0].lo, rows[0].hi), (164.96, 164.96));
    assert!(rows[1].lo < 71.111_111_111_111_11 && 71.111_111_111_111_11 < rows[1].hi);
}

#[test]
fn answers_are_a_closed_set() {
    let yaml = iso("    lot: Lot\n    by: By\n").replace(
        "{ parameter: core, unit: °C }",
        "{ parameter: piece, answers: { rejected: [yes, \"✓\"], passed: no } }",
    );
    let records = read_file(
        &yaml,
        "Time,Lot,By,T\n2026-09-14 10:00,L1,AB,Yes\n2026-09-14 11:00,L1,AB,N/A\n2026-09-14 12:00,L1,,no\n2026-09-14 13:00,L1,AB,\n",
    );
    let answers: Vec<Option<&str>> = records.checks.iter().map(|check| check.answer.as_deref()).collect();
    assert_eq!(answers, [Some("rejected"), None, Some("passed")]);
    assert_eq!(records.checks[2].by, None);
    assert_eq!(records.checks[0].lot.as_deref(), Some("L1"));
    assert_eq!(only(&records, "R307"), "R307 a.csv:3:T `N/A` in column `T` is not among the declared answers");
}

#[test]
fn a_row_with_a_cell_too_many_or_too_few_is_not_used() {
    let records = read_file(&iso(""), "Time,X,T\n2026-09-14 10:00,9,3\n2026-09-14 10:01,3\n2026-09-14 10:02,9,3,1\n");
    assert_eq!(values(&records.channels[0]), [3.0]);
    assert_eq!(
        only(&records, "R109"),
        "R109 a.csv:3: a row has 2 cells and the headings have 3; it is not used; 2 times, the last in row 4"
    );
    assert_eq!(records.files[0].bad_rows, 2);
    balanced(&records);
}

#[test]
fn probes_stay_apart_and_lots_stay_apart() {
    let yaml =
        iso("    lot: Lot\n").replace("      T:", "      U: { parameter: core, probe: two, unit: °C }\n      T:");
    let records =
        read_file(&yaml, "Time,Lot,T,U\n2026-09-14 10:00,L1,3,4\n2026-09-14 10:01,L2,5,6\n2026-09-14 10:02,,7,8\n");
    let shown: Vec<(Option<&str>, Option<&str>, Vec<f64>)> =
        records.channels.iter().map(|c| (c.lot.as_deref(), c.probe.as_deref(), values(c))).collect();
    assert_eq!(shown.len(), 6);
    assert!(
        shown.contains(&(Some("L2"), Some("two"), vec![6.0])) && shown.contains(&(None, None, vec![7.0])),
        "{shown:?}"
    );
    assert!(lines(&records.findings).is_empty(), "{:?}", records.findings.iter().map(line).collect::<Vec<_>>());
}
