//! Eight lots of hot-smoked mackerel, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};
use chrono::NaiveDateTime;

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    Codes,
    OneFish,
    ColdFish,
    WeakBrine,
    NoRows,
    WarmStore,
    NoLastCheck,
    WrongRoll,
}

/// Lot, when its smoking begins, and what was planted.
const LOTS: [(&str, &str, Plant); 8] = [
    ("HM1005", "2026-10-05 07:00", Plant::Codes),
    ("HM1007", "2026-10-07 07:10", Plant::OneFish),
    ("HM1009", "2026-10-09 07:00", Plant::ColdFish),
    ("HM1013", "2026-10-13 07:05", Plant::WeakBrine),
    ("HM1015", "2026-10-15 07:00", Plant::NoRows),
    ("HM1019", "2026-10-19 07:15", Plant::WarmStore),
    ("HM1021", "2026-10-21 07:00", Plant::NoLastCheck),
    ("HM1023", "2026-10-23 07:05", Plant::WrongRoll),
];

const PLANTED: &[Planted] = &[
    Planted {
        lot: "HM1005",
        what: "two kiln probes write `----` in single rows, the store recorder once",
        verdicts: &[],
    },
    Planted {
        lot: "HM1007",
        what: "histamine 61 ppm in one fish of eighteen",
        verdicts: &[(
            "receipt.low-histamine",
            "not met",
            "one warm fish makes people ill, and the mean of the eighteen, about 9 ppm, would hide it",
        )],
    },
    Planted {
        lot: "HM1009",
        what: "the second of three large fish stays at 61.9 °C",
        verdicts: &[(
            "smoking.core-hold",
            "not met",
            "the worst probe decides: the mean of the three is above 62.8 °C for over 40 min; the reduction is met all the same",
        )],
    },
    Planted {
        lot: "HM1013",
        what: "salt 2.15 % and moisture 63 % in one loin of three",
        verdicts: &[("salting.salted", "not met", "3.30 % in the water phase, 3.5 % asked for: computed loin by loin")],
    },
    Planted {
        lot: "HM1015",
        what: "no chill room rows for 130 min from 20 min on",
        verdicts: &[(
            "cooling.first-passage",
            "not shown",
            "from 11 min to about 2 h 20 min are possible: a silent recorder shows no cooling; the second passage is met either way",
        )],
    },
    Planted {
        lot: "HM1019",
        what: "store up to 5.5 °C in the night of 20 October",
        verdicts: &[("cold-store.cold", "not met", "warmer than the allowance, in a pack without oxygen")],
    },
    Planted {
        lot: "HM1021",
        what: "no check of the detector after the last pack; the first one of the next lot is good",
        verdicts: &[],
    },
    Planted {
        lot: "HM1023",
        what: "the last label of the run lacks the words that keep it cold",
        verdicts: &[(
            "labels.roll",
            "not shown",
            "the roll may have been wrong for any part of the run since the first check",
        )],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "hot-smoked-fish",
        month: "2026-10",
        files: vec![batch(), receiving(), fish(), laboratory(), kiln(), chill(), store(), packing(), calibration()],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes after the start of the smoking.
const SMOKE: i64 = 200;
const CHILL_FROM: f64 = 212.0;
const CHILLING: i64 = 300;
const PACK_FROM: f64 = 1500.0;
const PACKING: f64 = 165.0;
const STORE_FROM: f64 = 1680.0;
const STORING: f64 = 1110.0;
/// The day before, when the fish was received.
const RECEIVED: f64 = -1410.0;

fn typed(time: NaiveDateTime) -> String {
    time.format("%m/%d/%Y %I:%M %p").to_string()
}

/// Typed, month first, twelve-hour clock.
fn batch() -> (String, String) {
    let mut sheet = Sheet::new(
        ',',
        "Lot,Product,Made lb,Smoke on,Smoke off,Chill in,Chill out,First pack,Last pack,Store in,Store out",
    );
    for (lot, start, _) in LOTS {
        let made = Chance::of(&format!("{lot} made")).whole(410, 460);
        let mut cells = vec![lot.to_owned(), "smoked-mackerel".to_owned(), made.to_string()];
        let minutes = [
            0.0,
            SMOKE as f64,
            CHILL_FROM,
            CHILL_FROM + CHILLING as f64,
            PACK_FROM,
            PACK_FROM + PACKING,
            STORE_FROM,
            STORE_FROM + STORING,
        ];
        cells.extend(minutes.map(|minute| typed(later(at(start), minute))));
        sheet.row(&cells);
    }
    sheet.named("batch-record.csv")
}

/// One row a lot: whether the harvest record of the boat is complete.
fn receiving() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Boat,Harvest record,Initials");
    for (lot, start, _) in LOTS {
        sheet.row(&[
            typed(later(at(start), RECEIVED)),
            lot.to_owned(),
            "boat 3".to_owned(),
            "complete".to_owned(),
            "dk".to_owned(),
        ]);
    }
    sheet.named("receiving.csv")
}

/// Twelve large fish of each lot, °F; the count of decomposed fish stands in the first row.
fn fish() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Fish,Core °F,Decomposed of 118,Initials");
    for (lot, start, _) in LOTS {
        let mut chance = Chance::of(&format!("{lot} fish"));
        let found = chance.whole(0, 2);
        for fish in 1..=12 {
            let time = typed(later(at(start), RECEIVED + 5.0 + f64::from(fish)));
            let core = shown(34.6, 1.0, &mut chance, 1, '.');
            let smell = if fish == 1 { found.to_string() } else { String::new() };
            sheet.row(&[time, lot.to_owned(), fish.to_string(), core, smell, "dk".to_owned()]);
        }
    }
    sheet.named("receiving-fish.csv")
}

/// Histamine of eighteen fish, salt and moisture of three loins.
fn laboratory() -> (String, String) {
    let mut sheet = Sheet::new(',', "Tested,Lot,Sample,Histamine ppm,Salt %,Moisture %,Analyst");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} laboratory"));
        for fish in 1..=18 {
            let histamine = if plant == Plant::OneFish && fish == 11 { 61 } else { chance.whole(2, 10) };
            let time = later(at(start), RECEIVED + 120.0 + f64::from(fish)).format("%Y-%m-%d %H:%M").to_string();
            let cells = [time, lot.to_owned(), format!("F{fish}"), histamine.to_string()];
            sheet.row(&[&cells[..], &[String::new(), String::new(), "ab".to_owned()]].concat());
        }
        for loin in 1..=3 {
            let weak = plant == Plant::WeakBrine && loin == 2;
            let salt = shown(2.62, 0.03, &mut chance, 2, '.');
            let moisture = shown(62.2, 0.3, &mut chance, 2, '.');
            let (salt, moisture) = if weak { ("2.15".to_owned(), "63.00".to_owned()) } else { (salt, moisture) };
            let time = later(at(start), 620.0 + 15.0 * f64::from(loin)).format("%Y-%m-%d %H:%M").to_string();
            sheet.row(&[time, lot.to_owned(), format!("L{loin}"), String::new(), salt, moisture, "ab".to_owned()]);
        }
    }
    sheet.named("laboratory.csv")
}

/// Three probes in the largest fish, °F, every 2 min.
fn kiln() -> (String, String) {
    let mut sheet = Sheet::new(',', "Date,Time,Load,Core 1 F,Core 2 F,Core 3 F");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} kiln"));
        let slower = [0.99, 1.0, 0.97];
        for (minute, time) in ticks(at(start), (-4, SMOKE + 4), 120) {
            let mut cells =
                vec![time.format("%m/%d/%Y").to_string(), time.format("%I:%M:%S %p").to_string(), lot.to_owned()];
            for (nth, slow) in slower.into_iter().enumerate() {
                let core = if plant == Plant::ColdFish && nth == 1 {
                    curve(&[(0.0, 8.0), (40.0, 29.0), (90.0, 48.0), (130.0, 59.0), (155.0, 61.9)], minute)
                } else {
                    curve(
                        &[(0.0, 8.0), (40.0, 30.0), (90.0, 50.0), (130.0, 62.0), (148.0, 66.0), (200.0, 67.5)],
                        minute * slow,
                    )
                };
                let dropped = plant == Plant::Codes && ((nth == 0 && minute == 160.0) || (nth == 2 && minute == 174.0));
                let cell = shown(core * 9.0 / 5.0 + 32.0, 0.05, &mut chance, 1, '.');
                cells.push(if dropped { "----".to_owned() } else { cell });
            }
            sheet.row(&cells);
        }
    }
    sheet.named("kiln.csv")
}

/// Thickest fish in the chill room, °C, every 5 min.
fn chill() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Load,Core °C");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} chill"));
        let slow = chance.between(0.98, 1.04);
        for (minute, time) in ticks(later(at(start), CHILL_FROM), (-5, CHILLING + 5), 300) {
            let core = curve(
                &[
                    (0.0, 63.0),
                    (10.0, 56.0),
                    (30.0, 42.0),
                    (60.0, 27.0),
                    (85.0, 20.5),
                    (120.0, 13.0),
                    (170.0, 7.5),
                    (220.0, 4.2),
                    (300.0, 2.6),
                ],
                minute * slow,
            );
            if plant == Plant::NoRows && (20.0..150.0).contains(&minute) {
                continue;
            }
            let cell = shown(core, 0.05, &mut chance, 1, '.');
            sheet.row(&[time.format("%Y-%m-%d %H:%M").to_string(), lot.to_owned(), cell]);
        }
    }
    sheet.named("chill.csv")
}

/// Air of the store, ISO times with offset, every 20 min.
fn store() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Air °C");
    let mut chance = Chance::of("store of packs");
    let (from, warm, dropped) = (at("2026-10-06 00:00"), at("2026-10-20 20:00"), at("2026-10-06 15:00"));
    for (_, time) in ticks(from, (0, 20 * 1440), 1200) {
        let since = (time - warm).num_minutes() as f64;
        let air = curve(&[(0.0, 1.9), (60.0, 5.5), (160.0, 5.5), (240.0, 2.0)], since);
        // A defrost of 20 min every 12 h reaches 3.9 °C.
        let defrost = (time - from).num_minutes() % 720 == 260;
        let cell = shown(if defrost { 3.9 } else { air }, 0.1, &mut chance, 1, '.');
        let cell = if time == dropped { "----".to_owned() } else { cell };
        sheet.row(&[format!("{}-04:00", time.format("%Y-%m-%dT%H:%M:%S")), cell]);
    }
    sheet.named("store.csv")
}

/// Detector and label at the start and the end of each run, typed.
fn packing() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Fe 2.0,SS 3.0,Species,Cold words,Initials");
    for (lot, start, plant) in LOTS {
        for (nth, minute) in [PACK_FROM - 6.0, PACK_FROM + PACKING + 6.0].into_iter().enumerate() {
            let piece = if plant == Plant::NoLastCheck && nth == 1 { "" } else { "rejected" };
            let words = if plant == Plant::WrongRoll && nth == 1 { "no" } else { "yes" };
            let time = typed(later(at(start), minute));
            sheet.row(&[time.as_str(), lot, piece, piece, "yes", words, "mp"]);
        }
    }
    sheet.named("packing.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    sheet.row(&["2026-06-16 10:00", "sensory-examination", "2", "2", "pieces", "coordinator"]);
    let monthly = [
        ("receipt-thermometer", "0.1", "0.0", "°C", "te"),
        ("kiln-probes", "63.2", "63.0", "°C", "te"),
        ("chill-probe", "0.2", "0.0", "°C", "te"),
        ("store-recorder", "-0.1", "0.0", "°C", "te"),
        ("histamine-kit", "48", "50", "ppm", "ab"),
        ("salt-analysis", "2.52", "2.50", "%", "ab"),
    ];
    for day in ["2026-09-28", "2026-10-26"] {
        for (nth, (instrument, reading, reference, unit, by)) in monthly.into_iter().enumerate() {
            sheet.row(&[&format!("{day} 05:0{}", nth + 1), instrument, reading, reference, unit, by]);
        }
    }
    sheet.named("calibration.csv")
}
