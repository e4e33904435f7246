//! Lots, laboratory results and calibrations.

use crate::{balanced, lines, mapping, only, read_file, with};
use bourn::log::{Memory, Outcome, read};
use bourn::quantity::Rational;
use bourn::time::{HOUR, MINUTE};

const LOTS: &str = "zone: UTC
lots:
  - files: a.csv
    record: batch
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    product: Product
    quantity: { column: Made, unit: kg }
    facts: { oven: Oven }
    events: { start: Start, end: End }
readings:
  - files: t.csv
    record: r
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Load
    columns: { T: { parameter: core, unit: °C } }
";

#[test]
fn lots_with_their_events() {
    let csv = "Lot,Product,Made,Oven,Start,End\nL2,goose,120.5,2,2026-09-14 09:00,\nL1,goose,100,1,2026-09-14 08:00,2026-09-14 10:00\n,goose,1,1,,\n";
    let files = Memory::default().with("a.csv", csv).with("t.csv", "Time,Load,T\n2026-09-14 08:00,L1,70\n2026-09-14 08:01,L11,70\n2026-09-14 08:02,L11,70\n2026-09-14 08:03,L1,70\n");
    let records = read(&mapping(LOTS), &files);
    let codes: Vec<&str> = records.lots.iter().map(|lot| lot.code.as_str()).collect();
    assert_eq!(codes, ["L1", "L2"]);
    let lot = &records.lots[0];
    assert_eq!(lot.event("end").unwrap().at.0 - lot.event("start").unwrap().at.0, 2 * HOUR);
    assert_eq!(lot.event("end").unwrap().resolution, MINUTE);
    assert_eq!(lot.event("end").unwrap().record, "batch");
    assert_eq!(lot.facts, [("oven".to_owned(), "1".to_owned())]);
    assert_eq!(records.lots[1].quantity.unwrap().value, Rational::parse("120.5").unwrap());
    assert!(records.lots[1].event("end").is_none());
    assert_eq!(only(&records, "R308"), "R308 a.csv:4:Lot column `Lot` is blank, and the row shows nothing without it");
    assert_eq!(only(&records, "R401"), "R401 t.csv:3:Load lot `L11` is not in the lots register");
    assert_eq!(with(&records, "R401")[0].help.as_deref(), Some("the nearest code in the register is `L1`"));
    balanced(&records);
}

#[test]
fn a_lot_that_contradicts_itself_shows_nothing_there() {
    let csv = "Lot,Product,Made,Oven,Start,End\nL1,goose,100,1,2026-09-14 08:00,2026-09-14 10:00\nL1,goose,90,1,2026-09-14 08:30,2026-09-14 10:00\n";
    let records = read_file(LOTS, csv);
    let lot = &records.lots[0];
    assert!(lot.event("start").is_none() && lot.event("end").is_some());
    assert_eq!((lot.product.as_deref(), lot.quantity), (Some("goose"), None));
    assert_eq!(only(&records, "R402"), "R402 a.csv:3:Lot lot `L1` stands in row 2 of `a.csv` and again here");
    assert_eq!(
        only(&records, "R403"),
        "R403 a.csv:3:Start `start` of lot `L1` is 2026-09-14 08:00:00 +00:00 in row 2 and 2026-09-14 08:30:00 +00:00 here; neither is used"
    );
    assert!(only(&records, "R404").contains("`quantity` of lot `L1` is 100\u{a0}kg in row 2 and 90\u{a0}kg here"));
}

#[test]
fn two_registers_may_name_one_lot() {
    let yaml = LOTS.replace("files: a.csv", "files: [a.csv]").replace("readings:", "  - files: b.csv\n    record: packing\n    time: { format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    events: { pack: Pack }\nreadings:");
    let files = Memory::default()
        .with("a.csv", "Lot,Product,Made,Oven,Start,End\nL1,goose,100,1,2026-09-14 08:00,2026-09-14 10:00\n")
        .with("b.csv", "Lot,Pack\nL1,2026-09-15 08:00\n")
        .with("t.csv", "Time,Load,T\n2026-09-14 08:00,L1,70\n");
    let records = read(&mapping(&yaml), &files);
    assert!(records.findings.is_empty(), "{:?}", lines(&records.findings));
    assert_eq!(
        records.lots[0].events.iter().map(|event| event.event.as_str()).collect::<Vec<_>>(),
        ["start", "end", "pack"]
    );
}

#[test]
fn events_that_cannot_be_placed_are_missing() {
    let csv = "Lot,Product,Made,Oven,Start,End\nL1,goose,x,1,14.9.2026,2026-10-25 01:30\n";
    let records = read_file(&LOTS.replace("zone: UTC", "zone: Europe/London"), csv);
    assert!(records.lots[0].events.is_empty());
    assert!(only(&records, "R201").starts_with("R201 a.csv:2:Start `14.9.2026`"));
    assert!(only(&records, "R203").starts_with("R203 a.csv:2:End `2026-10-25 01:30`"));
    assert!(only(&records, "R301").starts_with("R301 a.csv:2:Made `x`"));
}

const LAB: &str = "zone: UTC
samples:
  - files: a.csv
    record: lab
    time: { column: Done, format: \"%Y-%m-%d\" }
    lot: Lot
    sample: No
    columns: { Count: { parameter: listeria, unit: cfu/g, not-detected: [nd, not detected], broken: [TNTC] } }
";

#[test]
fn laboratory_results_keep_what_is_open() {
    let csv = "Lot,No,Done,Count\nL1,1,2026-09-14,<10\nL1,2,2026-09-14,1.2E+03\nL1,3,2026-09-14,>300\nL1,4,2026-09-14,ND\nL1,5,2026-09-14,TNTC\nL1,6,2026-09-14,spreader\nL1,7,2026-09-14,\nL1,8,2026-09-14,\u{2264} 20\nL1,8,2026-09-14,\u{2264} 20\nL1,8,2026-09-15,7\n,9,2026-09-14,7\n";
    let records = read_file(LAB, csv);
    let shown: Vec<(&str, Outcome, f64, f64, bool)> =
        records.samples.iter().map(|s| (s.sample.as_str(), s.outcome, s.lo, s.hi, s.hi_open)).collect();
    let (no, inf) = (f64::NEG_INFINITY, f64::INFINITY);
    assert_eq!(
        shown,
        [
            ("1", Outcome::Below, no, 10.0, true),
            ("2", Outcome::Value, 1200.0, 1200.0, false),
            ("3", Outcome::Above, 300.0, inf, false),
            ("4", Outcome::NotDetected, no, inf, false),
            ("5", Outcome::Unreadable, no, inf, false),
            ("6", Outcome::Unreadable, no, inf, false),
            ("8", Outcome::Below, no, 20.0, false),
            ("8", Outcome::Value, 7.0, 7.0, false),
        ]
    );
    assert!(records.samples[2].lo_open);
    assert_eq!(records.samples[0].resolution, 24 * HOUR);
    assert!(only(&records, "R301").contains("`spreader`"));
    assert!(only(&records, "R303").contains("`TNTC`"));
    assert!(only(&records, "R308").starts_with("R308 a.csv:12:Lot"));
    balanced(&records);
}

const CALIBRATION: &str = "zone: UTC
calibrations:
  - files: a.csv
    record: calibration
    time: { column: Done, format: \"%Y-%m-%d %H:%M\" }
    instrument: Unit id
    reading: { column: Reading, decimal: \",\" }
    reference: { column: Reference }
    unit: { column: Unit }
    by: Initials
";

#[test]
fn calibrations_are_exact() {
    let csv = "Done,Unit id,Reading,Reference,Unit,Initials\n2026-09-14 08:00,probe,\"0,30\",0.0,°C,AB\n2026-09-15 08:00,probe,,0.0,°C,AB\n2026-09-16 08:00,probe,\"0,1\",0.0,deg,AB\n2026-09-17 08:00,,\"0,1\",0.0,°C,AB\n";
    let records = read_file(CALIBRATION, csv);
    assert_eq!(records.calibrations.len(), 2);
    assert_eq!(records.calibrations[0].reading, Rational::parse("0.3"));
    assert_eq!(records.calibrations[0].reference, Some(Rational::ZERO));
    assert_eq!(records.calibrations[0].by.as_deref(), Some("AB"));
    assert_eq!(records.calibrations[1].reading, None);
    assert_eq!(
        only(&records, "R007"),
        "R007 a.csv:4:Unit `deg` in column `Unit` is no known unit; the row is not used"
    );
    assert_eq!(with(&records, "R308").len(), 2);
    balanced(&records);
    let fixed = read_file(&CALIBRATION.replace("unit: { column: Unit }", "unit: °F"), csv);
    assert_eq!(fixed.calibrations.len(), 3);
}
