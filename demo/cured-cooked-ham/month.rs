//! Eight lots of sliced cured ham, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    Quick,
    Slower,
    MixedWays,
    WeakCure,
    StrongCure,
    ForPork,
    SteamOff,
    LoggersOut,
}

/// Lot, when its cook begins, and what was planted.
const LOTS: [(&str, &str, Plant); 8] = [
    ("CH1001", "2026-10-01 05:00", Plant::Quick),
    ("CH1005", "2026-10-05 05:10", Plant::Slower),
    ("CH1007", "2026-10-07 05:00", Plant::MixedWays),
    ("CH1012", "2026-10-12 05:00", Plant::WeakCure),
    ("CH1014", "2026-10-14 05:05", Plant::StrongCure),
    ("CH1019", "2026-10-19 05:00", Plant::ForPork),
    ("CH1021", "2026-10-21 05:10", Plant::SteamOff),
    ("CH1026", "2026-10-26 05:00", Plant::LoggersOut),
];

const PLANTED: &[Planted] = &[
    Planted {
        lot: "CH1001",
        what: "cooled the quick way, 80 °F after about an hour; a probe of the smokehouse writes `----` in two single rows",
        verdicts: &[],
    },
    Planted {
        lot: "CH1005",
        what: "cooled the slower way: 80 °F after about 4 h, 40 °F about 8 h later, 152 ppm nitrite",
        verdicts: &[],
    },
    Planted {
        lot: "CH1007",
        what: "80 °F after about 5 h 40 min, 40 °F under 5 h later",
        verdicts: &[(
            "stabilization.two-stages",
            "not met",
            "the first stage is too slow for both ways; the second alone would do for either, and parts of two ways never add up",
        )],
    },
    Planted {
        lot: "CH1012",
        what: "92 ppm nitrite and cooled the slower way",
        verdicts: &[
            ("curing.nitrite-least", "not met", "too little for the slower cooling to rest on"),
            (
                "stabilization.two-stages",
                "not met",
                "times of the slower way, which asks for 100 ppm: the record of the cure decides about the cooling",
            ),
        ],
    },
    Planted {
        lot: "CH1014",
        what: "214 ppm nitrite in the second brine of two",
        verdicts: &[(
            "curing.nitrite-most",
            "not met",
            "poisons at once; the mean of both brines, 183 ppm, would hide it",
        )],
    },
    Planted {
        lot: "CH1019",
        what: "bound with turkey, and cooked by a row for pork: 145.6 °F for 8 min",
        verdicts: &[(
            "lethality.cook-row",
            "not shown",
            "4 min would do for pork; with turkey 13.8 min are asked for. A short peak between two readings cannot be denied, and is not credited",
        )],
    },
    Planted {
        lot: "CH1021",
        what: "steam valve shut after 35 min of the cook, hams in nets",
        verdicts: &[(
            "lethality.moist",
            "not met",
            "half of the cook is asked for, here 2 h 45 min: in dry air the surface dries and cells on it live on",
        )],
    },
    Planted {
        lot: "CH1026",
        what: "both cooling loggers write nothing for 5.5 h from about 105 °F on",
        verdicts: &[
            (
                "stabilization.two-stages",
                "not shown",
                "80 °F was passed at some time in the gap: within the 5 h of the slower way or not, nobody knows",
            ),
            (
                "stabilization.little-growth",
                "not shown",
                "growth is worked out from the curve, and the warmest it may have been allows more than tenfold",
            ),
        ],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "cured-cooked-ham",
        month: "2026-10",
        files: vec![batch(), cure(), smokehouse(), cooling(), packing(), store(), calibration()],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes after the start of the cook.
const COOK: i64 = 330;
const COOL_FROM: f64 = 350.0;
const COOLING: i64 = 840;
const DETECT_FROM: f64 = 1560.0;
const DETECT: f64 = 110.0;
const STORE_FROM: f64 = 1685.0;
const STORE: i64 = 960;

fn typed(start: &str, minute: f64) -> String {
    later(at(start), minute).format("%m/%d/%Y %I:%M %p").to_string()
}

fn batch() -> (String, String) {
    let mut sheet = Sheet::new(
        ',',
        "Lot,Product,Green lb,Meat,Casing,Cook on,Cook off,Chill in,Chill out,First pack,Last pack,Store in,Store out",
    );
    for (lot, start, plant) in LOTS {
        let pounds = Chance::of(&format!("{lot} green")).whole(1450, 1600);
        let meat = if plant == Plant::ForPork { "with-poultry" } else { "pork-alone" };
        // The quick lot lies in moisture-proof casings, which need no steam.
        let casing = if plant == Plant::Quick { "moisture-proof" } else { "net" };
        let mut cells: Vec<String> = [lot, "sliced-ham", &pounds.to_string(), meat, casing].map(str::to_owned).into();
        let minutes = [
            0.0,
            COOK as f64,
            COOL_FROM,
            COOL_FROM + COOLING as f64,
            DETECT_FROM,
            DETECT_FROM + DETECT,
            STORE_FROM,
            STORE_FROM + STORE as f64,
        ];
        cells.extend(minutes.map(|minute| typed(start, minute)));
        sheet.row(&cells);
    }
    sheet.named("batch-record.csv")
}

/// Ingoing nitrite of each brine, worked out two days before the cook.
fn cure() -> (String, String) {
    let mut sheet = Sheet::new(',', "Weighed,Lot,Brine,Nitrite ppm,Initials");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} cure"));
        let usual = chance.whole(148, 154);
        let brines: &[i64] = match plant {
            Plant::StrongCure => &[152, 214],
            Plant::WeakCure => &[92],
            _ => &[usual],
        };
        for (nth, ppm) in brines.iter().enumerate() {
            let time = typed(start, -2760.0 + 40.0 * nth as f64);
            sheet.row(&[time.as_str(), lot, &format!("B{}", nth + 1), &ppm.to_string(), "lw/ac"]);
        }
    }
    sheet.named("cure.csv")
}

/// Two cores and the steam valve, every minute.
fn smokehouse() -> (String, String) {
    let mut sheet = Sheet::new(',', "House 2 recorder\nDate,Time,Rack,Core 1 F,Core 2 F,Steam %");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} smokehouse"));
        for (minute, time) in ticks(at(start), (-4, COOK + 4), 60) {
            let core = |lag: f64| match plant {
                Plant::ForPork => curve(
                    &[
                        (0.0, 38.0),
                        (150.0, 105.0),
                        (260.0, 138.0),
                        (310.0, 144.4),
                        (312.0, 145.6),
                        (320.0, 145.6),
                        (322.0, 144.3),
                        (330.0, 143.6),
                    ],
                    minute,
                ),
                _ => {
                    curve(&[(0.0, 38.0), (150.0, 105.0), (260.0, 143.0), (290.0, 152.0), (330.0, 153.5)], minute - lag)
                }
            };
            let steam = match plant {
                Plant::SteamOff if minute >= 35.0 => 0.0,
                _ if (2.0..200.0).contains(&minute) => 42.0,
                _ => 0.0,
            };
            let dropped = plant == Plant::Quick && [120.0, 220.0].contains(&minute);
            let first = shown(core(0.0), 0.06, &mut chance, 1, '.');
            let second = shown(core(4.0), 0.06, &mut chance, 1, '.');
            sheet.row(&[
                time.format("%m/%d/%Y").to_string(),
                time.format("%I:%M %p").to_string(),
                lot.to_owned(),
                if dropped { "----".to_owned() } else { first },
                second,
                format!("{steam:.0}"),
            ]);
        }
    }
    sheet.named("smokehouse.csv")
}

/// Two hams in the chiller, every 5 min; semicolons, decimal comma, °C.
fn cooling() -> (String, String) {
    let mut sheet = Sheet::new(';', "Zeit;Charge;Kern 1 C;Kern 2 C");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} cooling"));
        for (minute, time) in ticks(later(at(start), COOL_FROM), (-5, COOLING + 5), 300) {
            let knots: &[(f64, f64)] = match plant {
                Plant::Quick => {
                    &[(0.0, 150.0), (20.0, 133.0), (85.0, 76.0), (200.0, 45.0), (260.0, 38.0), (840.0, 35.0)]
                }
                Plant::MixedWays => {
                    &[(0.0, 151.0), (30.0, 133.0), (375.0, 78.5), (560.0, 46.0), (640.0, 38.5), (840.0, 35.0)]
                }
                _ => &[(0.0, 151.0), (30.0, 133.0), (265.0, 78.5), (600.0, 46.0), (740.0, 38.5), (840.0, 36.5)],
            };
            let celsius = |lag: f64| (curve(knots, minute - lag) - 32.0) / 1.8;
            let first = shown(celsius(0.0), 0.03, &mut chance, 1, ',');
            let second = shown(celsius(5.0), 0.03, &mut chance, 1, ',');
            let out = plant == Plant::LoggersOut && (165.0..495.0).contains(&minute);
            let blank = |cell: String| if out { String::new() } else { cell };
            sheet.row(&[time.format("%d.%m.%Y %H:%M").to_string(), lot.to_owned(), blank(first), blank(second)]);
        }
    }
    sheet.named("cooling.csv")
}

/// Test pieces at the start, each hour and at the end.
fn packing() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Fe 1.5,NF 2.0,SS 2.5,Initials");
    for (lot, start, _) in LOTS {
        for minute in [-4.0, 56.0, DETECT + 4.0] {
            sheet.row(&[typed(start, DETECT_FROM + minute).as_str(), lot, "rejected", "rejected", "rejected", "gb"]);
        }
    }
    sheet.named("packing.csv")
}

/// Door and back of the cold store, every 5 min of each lot's stay; a record of the place, °F.
fn store() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Door F,Back F");
    for (lot, start, _) in LOTS {
        let mut chance = Chance::of(&format!("{lot} store"));
        for (_, time) in ticks(later(at(start), STORE_FROM), (-5, STORE + 5), 300) {
            sheet.row(&[
                format!("{}-05:00", time.format("%Y-%m-%dT%H:%M:%S")),
                shown(37.1, 0.15, &mut chance, 1, '.'),
                shown(36.2, 0.15, &mut chance, 1, '.'),
            ]);
        }
    }
    sheet.named("store.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    sheet.row(&["2026-08-31 08:00", "valve-sensors", "50", "50", "%", "hn"]);
    let monthly = [
        ("cure-scale", "150", "150", "ppm"),
        ("cook-probes", "150.4", "150.0", "°F"),
        ("chill-loggers", "60.2", "60.0", "°F"),
        ("store-loggers", "32.3", "32.0", "°F"),
    ];
    for day in ["2026-09-25", "2026-10-23"] {
        for (nth, (instrument, reading, reference, unit)) in monthly.into_iter().enumerate() {
            sheet.row(&[&format!("{day} 15:0{nth}"), instrument, reading, reference, unit, "hn"]);
        }
    }
    sheet.named("calibration.csv")
}
