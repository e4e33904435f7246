//! Eight lots of peanut butter, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    OneRow,
    CoolOven,
    AtTheLevel,
    DampBag,
    NoLastDepth,
    StoneMissed,
    WrongRoll,
    SteelPassed,
}

/// Lot, when its roast begins, and what was planted.
const LOTS: [(&str, &str, Plant); 8] = [
    ("PB1005", "2026-10-05 06:00", Plant::OneRow),
    ("PB1007", "2026-10-07 06:10", Plant::CoolOven),
    ("PB1009", "2026-10-09 06:00", Plant::AtTheLevel),
    ("PB1013", "2026-10-13 06:05", Plant::DampBag),
    ("PB1015", "2026-10-15 06:00", Plant::NoLastDepth),
    ("PB1019", "2026-10-19 06:10", Plant::StoneMissed),
    ("PB1021", "2026-10-21 06:00", Plant::WrongRoll),
    ("PB1026", "2026-10-26 06:05", Plant::SteelPassed),
];

const PLANTED: &[Planted] = &[
    Planted { lot: "PB1005", what: "the oven recorder writes `----` in two single rows", verdicts: &[] },
    Planted {
        lot: "PB1007",
        what: "oven air below 300 °F for some 7 min in the middle of the roast",
        verdicts: &[(
            "roast.five-decades",
            "not met",
            "time and depth were right, and the three were validated together: none makes up for another",
        )],
    },
    Planted {
        lot: "PB1009",
        what: "20 ppb aflatoxin on the certificate",
        verdicts: &[("nut-supply.nut-certificate", "not met", "below 20 ppb is asked for, and 20 is not below it")],
    },
    Planted {
        lot: "PB1013",
        what: "moisture 8.7 % in one bag of three",
        verdicts: &[(
            "dry-storage.dry-nuts",
            "not met",
            "every bag counts: the mean of the three, 7.7 %, would hide the damp corner where moulds grow",
        )],
    },
    Planted {
        lot: "PB1015",
        what: "depth of the bed measured at the start, and the cell of the end left blank",
        verdicts: &[(
            "roast.five-decades",
            "not shown",
            "one measurement, and two are asked for: the bar may have moved",
        )],
    },
    Planted {
        lot: "PB1019",
        what: "one of ten marked stones missed after the run, all ten found before it",
        verdicts: &[(
            "sorting.stones",
            "not shown",
            "no later step finds stones: what passed since the good check is in question",
        )],
    },
    Planted {
        lot: "PB1021",
        what: "roll of the earlier revision in the middle of the run; right at the start and at the end",
        verdicts: &[(
            "label-check.roll",
            "not met",
            "a right roll afterwards does not find the jars that bear the old one",
        )],
    },
    Planted {
        lot: "PB1026",
        what: "the stainless test piece passed after the end of the run; all three rejected at the start and each hour",
        verdicts: &[(
            "detection.pieces",
            "not shown",
            "the detector failed at some time since the last good check: jars filled after it are in question",
        )],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "peanut-butter",
        month: "2026-10",
        files: vec![
            batch(),
            certificates(),
            moisture(),
            roast_checks(),
            oven(),
            sorter(),
            swabs(),
            detector(),
            proofs(),
            labels(),
            calibration(),
        ],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes after the first peanuts on the belt.
const IN_STORE: f64 = -5760.0;
const OUT_OF_STORE: f64 = -75.0;
const SORT_FROM: f64 = -60.0;
const SORT_TO: f64 = 210.0;
const ROAST: i64 = 240;
const DETECT_FROM: f64 = 300.0;
const DETECT: f64 = 170.0;
const LABEL_FROM: f64 = 305.0;
const LABEL: f64 = 175.0;

fn typed(start: &str, minute: f64) -> String {
    later(at(start), minute).format("%m/%d/%Y %I:%M %p").to_string()
}

fn batch() -> (String, String) {
    let mut sheet = Sheet::new(
        ',',
        "Lot,Product,Made lb,Nuts in,Nuts out,Sorter on,Sorter off,Roast on,Roast off,Detector on,Detector off,First label,Last label",
    );
    for (lot, start, _) in LOTS {
        let made = Chance::of(&format!("{lot} made")).whole(7300, 7700);
        let mut cells = vec![lot.to_owned(), "peanut-butter".to_owned(), made.to_string()];
        let minutes = [
            IN_STORE,
            OUT_OF_STORE,
            SORT_FROM,
            SORT_TO,
            0.0,
            ROAST as f64,
            DETECT_FROM,
            DETECT_FROM + DETECT,
            LABEL_FROM,
            LABEL_FROM + LABEL,
        ];
        cells.extend(minutes.map(|minute| typed(start, minute)));
        sheet.row(&cells);
    }
    sheet.named("batch-record.csv")
}

/// The certificate of each delivery.
fn certificates() -> (String, String) {
    let mut sheet = Sheet::new(',', "Received,Lot,Delivery,Certificate,Aflatoxin ppb,Initials");
    for (lot, start, plant) in LOTS {
        let usual = Chance::of(&format!("{lot} certificate")).whole(2, 11);
        let ppb = if plant == Plant::AtTheLevel { 20 } else { usual };
        sheet.row(&[typed(start, IN_STORE - 60.0).as_str(), lot, "D1", "yes", &ppb.to_string(), "jo"]);
    }
    sheet.named("certificates.csv")
}

/// Moisture of three bags.
fn moisture() -> (String, String) {
    let mut sheet = Sheet::new(',', "Measured,Lot,Bag,Moisture %,Analyst");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} moisture"));
        for bag in 1..=3 {
            let usual = shown(7.1, 0.1, &mut chance, 1, '.');
            let share = match (plant, bag) {
                (Plant::DampBag, 3) => "8.7".to_owned(),
                (Plant::DampBag, _) => "7.2".to_owned(),
                _ => usual,
            };
            let time = typed(start, OUT_OF_STORE - 60.0 + 10.0 * f64::from(bag));
            sheet.row(&[time.as_str(), lot, &bag.to_string(), &share, "tv"]);
        }
    }
    sheet.named("moisture.csv")
}

/// Time of the belt and depth of the bed, at the start and at the end.
fn roast_checks() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Place,Belt min,Bed in,Initials");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} belt"));
        for (place, minute) in [("start", 2.0), ("end", ROAST as f64 - 3.0)] {
            let belt = shown(26.1, 0.15, &mut chance, 1, '.');
            let bed = shown(1.8, 0.03, &mut chance, 2, '.');
            let bed = if plant == Plant::NoLastDepth && place == "end" { String::new() } else { bed };
            sheet.row(&[typed(start, minute).as_str(), lot, place, &belt, &bed, "sd"]);
        }
    }
    sheet.named("roast-checks.csv")
}

/// Oven air, every minute; twelve-hour clock.
fn oven() -> (String, String) {
    let mut sheet = Sheet::new(',', "Roaster 1 recorder\nDate,Time,Lot,Air F");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} oven"));
        for (minute, time) in ticks(at(start), (-5, ROAST + 5), 60) {
            let air = match plant {
                Plant::CoolOven => curve(&[(110.0, 312.0), (118.0, 296.0), (123.0, 296.0), (130.0, 312.0)], minute),
                _ => 312.0,
            };
            let air = format!("{:.0}", air + chance.noise(0.8));
            let dropped = plant == Plant::OneRow && [70.0, 151.0].contains(&minute);
            sheet.row(&[
                time.format("%m/%d/%Y").to_string(),
                time.format("%I:%M %p").to_string(),
                lot.to_owned(),
                if dropped { "----".to_owned() } else { air },
            ]);
        }
    }
    sheet.named("oven.csv")
}

/// Ten marked stones through the sorter, before the run and after it.
fn sorter() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Stones found,Initials");
    for (lot, start, plant) in LOTS {
        for minute in [SORT_FROM - 4.0, SORT_TO + 4.0] {
            let found = if plant == Plant::StoneMissed && minute > 0.0 { "9" } else { "10" };
            sheet.row(&[typed(start, minute).as_str(), lot, found, "sd"]);
        }
    }
    sheet.named("sorter.csv")
}

/// Swabs of the roasted side, once a week; a record of the place.
fn swabs() -> (String, String) {
    let mut sheet = Sheet::new(',', "Taken,Zones 1-3,Zone 4,Analyst");
    for week in 0..7 {
        let time = later(at("2026-09-21 10:00"), f64::from(week) * 10_080.0).format("%Y-%m-%d %H:%M").to_string();
        sheet.row(&[time.as_str(), "absent", "absent", "tv"]);
    }
    sheet.named("swabs.csv")
}

/// Test pieces at the start, each hour and at the end.
fn detector() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Fe 1.5,NF 2.0,SS 2.5,Initials");
    for (lot, start, plant) in LOTS {
        for minute in [-4.0, 55.0, 114.0, DETECT + 4.0] {
            let last = plant == Plant::SteelPassed && minute > DETECT;
            let steel = if last { "passed" } else { "rejected" };
            sheet.row(&[typed(start, DETECT_FROM + minute).as_str(), lot, "rejected", "rejected", steel, "mc"]);
        }
    }
    sheet.named("detector.csv")
}

/// Each delivery of labels against the master; a record of the label store.
fn proofs() -> (String, String) {
    let mut sheet = Sheet::new(',', "Received,Peanut,Revision,Initials");
    for day in ["2026-09-22 09:00", "2026-10-12 10:30", "2026-11-02 09:15"] {
        sheet.row(&[typed(day, 0.0).as_str(), "yes", "rev 7", "aw"]);
    }
    sheet.named("proofs.csv")
}

/// The roll at the start, in the middle and at the end of each run.
fn labels() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Peanut,Revision,Initials");
    for (lot, start, plant) in LOTS {
        for minute in [-4.0, 90.0, LABEL + 4.0] {
            let old = plant == Plant::WrongRoll && minute == 90.0;
            let revision = if old { "rev 6" } else { "rev 7" };
            sheet.row(&[typed(start, LABEL_FROM + minute).as_str(), lot, "yes", revision, "mc"]);
        }
    }
    sheet.named("rolls.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    sheet.row(&["2026-02-02 08:00", "certificate-figure", "11", "10", "ppb", "tv"]);
    sheet.row(&["2026-07-27 08:00", "stopwatch", "10.0", "10.0", "min", "wb"]);
    sheet.row(&["2026-07-27 08:20", "leveling-bar", "2.00", "2.00", "inch", "wb"]);
    sheet.row(&["2026-09-14 05:00", "oven-recorder", "301", "300", "°F", "wb"]);
    for day in ["2026-09-21", "2026-10-19"] {
        sheet.row(&[&format!("{day} 09:00"), "moisture-meter", "7.1", "7.0", "%", "tv"]);
    }
    sheet.named("calibration.csv")
}
