//! Seven lots of smoked dried turkey strips, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    Codes,
    TwoStays,
    WickDry,
    BurnerOut,
    Moist,
    OneOxygen,
    SteelPassed,
}

/// Lot, when its cook begins, and what was planted.
const LOTS: [(&str, &str, Plant); 7] = [
    ("TT1005", "2026-10-05 06:40", Plant::Codes),
    ("TT1008", "2026-10-08 06:50", Plant::TwoStays),
    ("TT1012", "2026-10-12 06:40", Plant::WickDry),
    ("TT1015", "2026-10-15 06:45", Plant::BurnerOut),
    ("TT1019", "2026-10-19 06:35", Plant::Moist),
    ("TT1022", "2026-10-22 06:40", Plant::OneOxygen),
    ("TT1026", "2026-10-26 06:50", Plant::SteelPassed),
];

const PLANTED: &[Planted] = &[
    Planted { lot: "TT1005", what: "core probe writes `---` in three single rows, dryer sensor once", verdicts: &[] },
    Planted {
        lot: "TT1008",
        what: "core above 67.8 °C twice for about a minute, below it for 4 min in between",
        verdicts: &[(
            "lethality.core-hold",
            "not met",
            "a hold is without a break: nearly 2 min in all, and no stretch of 90 s; the reduction is met all the same",
        )],
    },
    Planted {
        lot: "TT1012",
        what: "wick dry: the wet bulb writes -999 for 30 min of the humid hour",
        verdicts: &[(
            "lethality.humid",
            "not shown",
            "about 41 min are certain, over 1 h is possible: a dropout code is never humid air, and never dry air",
        )],
    },
    Planted {
        lot: "TT1015",
        what: "burner out: dryer air falls to 41 °C and is below 46 °C for over 30 min",
        verdicts: &[(
            "dryness.warm-air",
            "not met",
            "further down than the allowance, and for longer: warm moist strips let Staphylococcus aureus grow",
        )],
    },
    Planted {
        lot: "TT1019",
        what: "water activity 0.862 in one of three strips",
        verdicts: &[(
            "dryness.dry-enough",
            "not met",
            "every sample counts: the mean of the three, 0.839, would hide the thick strip",
        )],
    },
    Planted {
        lot: "TT1022",
        what: "oxygen read in the first pouch alone; the later cells are blank",
        verdicts: &[(
            "gas-pack.low-oxygen",
            "not shown",
            "one sample, and two are needed: nothing is met for want of one",
        )],
    },
    Planted {
        lot: "TT1026",
        what: "the stainless test piece passed in the second check; later checks good",
        verdicts: &[(
            "detection.pieces",
            "not met",
            "a good check afterwards does not find the pouches that passed before it",
        )],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "smoked-turkey-strips",
        month: "2026-10",
        files: vec![batch(), cook_core(), cook_air(), dryer(), laboratory(), packing(), calibration()],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes after the start of the cook.
const COOK: i64 = 80;
const DRY_FROM: f64 = 95.0;
const DRYING: i64 = 300;
const PACK_FROM: f64 = 1500.0;
const PACKING: f64 = 150.0;

fn batch() -> (String, String) {
    let mut sheet =
        Sheet::new(',', "Lot,Product,Made kg,Cook start,Cook end,Dry start,Dry end,Detector start,Detector end");
    for (lot, start, _) in LOTS {
        let start = at(start);
        let made = Chance::of(&format!("{lot} made")).whole(118, 134);
        let minutes = [0.0, COOK as f64, DRY_FROM, DRY_FROM + DRYING as f64, PACK_FROM, PACK_FROM + PACKING]
            .map(|minute| later(start, minute));
        let mut cells = vec![lot.to_owned(), "turkey-strips".to_owned(), made.to_string()];
        cells.extend(minutes.map(|time| time.format("%d/%m/%Y %H:%M").to_string()));
        sheet.row(&cells);
    }
    sheet.named("batch-record.csv")
}

/// The core of the thickest strip, every 20 s; day first.
fn cook_core() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Load,Core °C");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} core"));
        let slow = chance.between(0.97, 1.03);
        for (minute, time) in ticks(at(start), (-4, COOK + 4), 20) {
            let core = match plant {
                Plant::TwoStays => curve(
                    &[
                        (0.0, 5.0),
                        (12.0, 40.0),
                        (35.0, 61.0),
                        (55.0, 66.5),
                        (60.1, 67.2),
                        (60.3, 68.6),
                        (61.05, 68.6),
                        (61.25, 67.2),
                        (65.1, 67.2),
                        (65.3, 68.6),
                        (66.05, 68.6),
                        (66.25, 67.2),
                    ],
                    minute,
                ),
                _ => curve(&[(0.0, 5.0), (12.0, 40.0), (35.0, 62.0), (55.0, 69.2), (80.0, 71.0)], minute * slow),
            };
            let dropped = plant == Plant::Codes && [27.0, 48.0, 70.0].contains(&minute);
            let cell = if dropped { "---".to_owned() } else { shown(core, 0.03, &mut chance, 1, '.') };
            sheet.row(&[time.format("%d/%m/%Y %H:%M:%S").to_string(), lot.to_owned(), cell]);
        }
    }
    sheet.named("cook-core.csv")
}

/// Dry and wet bulb of the oven, every minute; twelve-hour clock.
fn cook_air() -> (String, String) {
    let mut sheet = Sheet::new(',', "Oven recorder 1\nTime,Load,Dry °C,Wet °C");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} air"));
        for (minute, time) in ticks(at(start), (-4, COOK + 4), 60) {
            let dry = curve(&[(-4.0, 70.0), (0.0, 62.0), (4.0, 74.0), (76.0, 74.0), (80.0, 66.0)], minute);
            let wet = curve(&[(0.0, 52.0), (4.0, 72.6), (76.0, 72.6), (80.0, 58.0)], minute);
            let dry = shown(dry, 0.05, &mut chance, 1, '.');
            let wet = shown(wet, 0.05, &mut chance, 1, '.');
            let wick = plant == Plant::WickDry && (20.0..50.0).contains(&minute);
            let wet = if wick { "-999".to_owned() } else { wet };
            sheet.row(&[time.format("%d/%m/%Y %I:%M %p").to_string(), lot.to_owned(), dry, wet]);
        }
    }
    sheet.named("cook-air.csv")
}

/// Return air of the dryer, every 5 min; semicolons and decimal comma.
fn dryer() -> (String, String) {
    let mut sheet = Sheet::new(';', "Zeit;Lot;Air °C");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} dryer"));
        for (minute, time) in ticks(later(at(start), DRY_FROM), (-5, DRYING + 5), 300) {
            let air = match plant {
                Plant::BurnerOut => curve(
                    &[(0.0, 57.0), (20.0, 63.0), (120.0, 63.0), (145.0, 41.0), (170.0, 41.0), (185.0, 62.0)],
                    minute,
                ),
                _ => curve(&[(0.0, 57.0), (20.0, 63.0)], minute),
            };
            let dropped = plant == Plant::Codes && minute == 140.0;
            let cell = if dropped { "---".to_owned() } else { shown(air, 0.2, &mut chance, 1, ',') };
            sheet.row(&[time.format("%d.%m.%Y %H:%M").to_string(), lot.to_owned(), cell]);
        }
    }
    sheet.named("dryer.csv")
}

/// Three strips of each lot, typed.
fn laboratory() -> (String, String) {
    let mut sheet = Sheet::new(',', "Tested,Lot,Strip,aw,Analyst");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} laboratory"));
        let tested = later(at(start), DRY_FROM + DRYING as f64 + 40.0);
        for strip in 1..=3 {
            let activity = match (plant, strip) {
                (Plant::Moist, 3) => "0.862".to_owned(),
                (Plant::Moist, 1) => "0.826".to_owned(),
                (Plant::Moist, _) => "0.829".to_owned(),
                _ => shown(0.805, 0.006, &mut chance, 3, '.'),
            };
            let when = later(tested, f64::from(strip) * 12.0).format("%Y-%m-%d %H:%M").to_string();
            sheet.row(&[when, lot.to_owned(), strip.to_string(), activity, "lk".to_owned()]);
        }
    }
    sheet.named("laboratory.csv")
}

/// Detector pieces and oxygen at the packing line, typed, date and time apart.
fn packing() -> (String, String) {
    let mut sheet = Sheet::new(',', "Day,Clock,Lot,O2 %,Fe 1.5,SS 2.5,Initials");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} packing"));
        let first = later(at(start), PACK_FROM - 5.0);
        for check in 0..4 {
            let time = later(first, if check == 3 { PACKING + 10.0 } else { f64::from(check) * 60.0 });
            let oxygen = match plant {
                Plant::OneOxygen if check > 0 => String::new(),
                _ if check == 3 => String::new(),
                _ => shown(0.5, 0.12, &mut chance, 1, '.'),
            };
            let steel = if plant == Plant::SteelPassed && check == 1 { "no" } else { "yes" };
            sheet.row(&[
                time.format("%d/%m/%Y").to_string(),
                time.format("%H:%M").to_string(),
                lot.to_owned(),
                oxygen,
                "yes".to_owned(),
                steel.to_owned(),
                "rb".to_owned(),
            ]);
        }
    }
    sheet.named("packing.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    let monthly = [
        ("probes", "71.2", "71.0", "°C", "jm"),
        ("bulbs", "73.9", "74.0", "°C", "jm"),
        ("dryer-sensors", "62.3", "62.0", "°C", "jm"),
        ("gas-analyser", "1.0", "1.0", "%", "lk"),
    ];
    for day in ["2026-09-28", "2026-10-26"] {
        for (nth, (instrument, reading, reference, unit, by)) in monthly.into_iter().enumerate() {
            sheet.row(&[&format!("{day} 05:{}0", nth + 1), instrument, reading, reference, unit, by]);
        }
    }
    for day in ["2026-09-28", "2026-10-05", "2026-10-12", "2026-10-19", "2026-10-26"] {
        sheet.row(&[&format!("{day} 05:55"), "aw-meter", "0.761", "0.760", "aw", "lk"]);
    }
    sheet.named("calibration.csv")
}
