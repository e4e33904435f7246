//! Two real exports (see data/README.md), read as they are.

use crate::{balanced, lines, mapping, only, values, with};
use bourn::log::{Memory, read};
use bourn::time::{HOUR, Instant, Zone};

/// The gaps that data/ambient-hourly.csv has, in hours, counted with the standard library of another language.
const GAPS: [i64; 10] = [2, 32, 48, 160, 96, 71, 30, 3, 15, 174];

#[test]
fn hourly_readings_with_unmarked_gaps() {
    let yaml = "zone: UTC\nreadings:\n  - files: ambient-hourly.csv\n    record: room\n    time: { column: timestamp, format: \"%Y-%m-%d %H:%M:%S\" }\n    columns: { value: { parameter: air, unit: °F } }\n";
    let bytes = include_bytes!("data/ambient-hourly.csv");
    let records = read(&mapping(yaml), &Memory::default().with("ambient-hourly.csv", *bytes));
    assert!(records.findings.is_empty(), "{:?}", lines(&records.findings));
    let rows = &records.channels[0].rows;
    assert_eq!(rows.len(), 7267);
    let gaps: Vec<i64> =
        rows.windows(2).map(|pair| (pair[1].at - pair[0].at) / HOUR).filter(|hours| *hours != 1).collect();
    assert_eq!(gaps, GAPS);
    assert_eq!((rows[0].lo, rows[0].hi, rows[0].row), (69.880_835_14, 69.880_835_14, 2));
    // Some values are written with 16 digits and become the interval around their double.
    assert!(rows.iter().any(|entry| entry.lo < entry.hi));
    assert_eq!(Zone::UTC.show(records.files[0].last.unwrap()), "2014-05-28 15:00:00 +00:00");
    balanced(&records);
}

#[test]
fn the_same_hours_in_a_zone_that_changes_its_clock() {
    let yaml = "zone: America/New_York\nreadings:\n  - files: ambient-hourly.csv\n    record: room\n    time: { column: timestamp, format: \"%Y-%m-%d %H:%M:%S\" }\n    columns: { value: { parameter: air, unit: °F } }\n";
    let records =
        read(&mapping(yaml), &Memory::default().with("ambient-hourly.csv", *include_bytes!("data/ambient-hourly.csv")));
    // 3 November 2013 and 9 March 2014 (IANA time zone database, rule US): the file keeps one offset.
    assert!(only(&records, "R203").contains("`2013-11-03 01:00:00`"));
    assert!(only(&records, "R202").contains("`2014-03-09 02:00:00`"));
    assert_eq!(records.files[0].unplaced_rows, 2);
}

#[test]
fn preamble_half_day_clock_and_event_columns() {
    let yaml = "zone: UTC
readings:
  - files: preamble-12h-clock.csv
    record: logger
    preamble: 1
    time: { column: \"Date Time, GMT-08:00\", format: \"%m/%d/%y %I:%M:%S %p\", offset: \"-08:00\" }
    columns:
      \"Temp, °F (LGR S/N: 10173910, SEN S/N: 10173910)\": { parameter: air, unit: °F }
      \"RH, % (LGR S/N: 10173910, SEN S/N: 10173910)\": { parameter: humidity, unit: \"%\" }
";
    let bytes = include_bytes!("data/preamble-12h-clock.csv");
    let records = read(&mapping(yaml), &Memory::default().with("preamble-12h-clock.csv", *bytes));
    assert!(records.findings.is_empty(), "{:?}", lines(&records.findings));
    assert_eq!(with(&records, "R205").len(), 0);
    let file = &records.files[0];
    assert_eq!((file.rows, file.used_rows, file.missing_cells, file.broken_cells), (1000, 1000, 0, 0));
    // As sha256sum prints it.
    assert_eq!(file.sha256, "67fb0bf0ce4d7010d298d630084f17992363e8d504336619ab52cf6c683a0de9");
    assert_eq!(Zone::UTC.show(file.first.unwrap()), "2017-01-13 09:00:00 +00:00");
    let air = records.channels.iter().find(|channel| channel.parameter == "air").unwrap();
    assert_eq!((air.rows[0].lo, air.rows[0].row), (31.44, 3));
    assert_eq!(air.rows[999].row, 1002);
    assert_eq!(Instant(air.rows[999].at), file.last.unwrap());
    let humidity = records.channels.iter().find(|channel| channel.parameter == "humidity").unwrap();
    assert_eq!(values(humidity).iter().filter(|value| **value == 100.0).count(), 473);
    balanced(&records);
}
