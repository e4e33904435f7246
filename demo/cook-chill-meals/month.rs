//! Nine lots of two chilled ready meals, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    OwnRework,
    RinseFound,
    ShortHold,
    SlowChill,
    OtherRework,
    WrongFilm,
    LoggerOut,
    NoStrip,
    WarmStore,
}

/// Lot, when its cook begins, and what was planted. A lot of curry is made after the bake.
const LOTS: [(&str, &str, Plant); 9] = [
    ("BB1005", "2026-10-05 07:00", Plant::OwnRework),
    ("CC1006", "2026-10-06 07:10", Plant::RinseFound),
    ("BB1008", "2026-10-08 07:00", Plant::ShortHold),
    ("CC1012", "2026-10-12 07:05", Plant::SlowChill),
    ("BB1014", "2026-10-14 07:00", Plant::OtherRework),
    ("CC1016", "2026-10-16 07:15", Plant::WrongFilm),
    ("BB1019", "2026-10-19 07:00", Plant::LoggerOut),
    ("CC1021", "2026-10-21 07:05", Plant::NoStrip),
    ("BB1027", "2026-10-27 07:00", Plant::WarmStore),
];

const PLANTED: &[Planted] = &[
    Planted {
        lot: "BB1005",
        what: "2.4 h old rework of the same recipe, written down; store at 6.4 °C for 20 min",
        verdicts: &[],
    },
    Planted {
        lot: "CC1006",
        what: "line looked clean after the bake, and the strip found protein in the last rinse",
        verdicts: &[(
            "changeover.clean-line",
            "not met",
            "a look finds no thin film: egg, gluten or celery of the bake may be in a meal that does not name them",
        )],
    },
    Planted {
        lot: "BB1008",
        what: "wall of the kettle at 70.6 °C for about a minute, then below; centre at 75 °C all the while",
        verdicts: &[(
            "cooking.core-hold",
            "not met",
            "the worst probe decides: the coldest place was never held for 2 min, though the mean was",
        )],
    },
    Planted {
        lot: "CC1012",
        what: "overfull chiller: 63 °C to 7 °C takes over 100 min",
        verdicts: &[(
            "chilling.first-passage",
            "not met",
            "rice that cools slowly lets Bacillus cereus grow; the passage to 5 °C within 2 h is met all the same",
        )],
    },
    Planted {
        lot: "BB1014",
        what: "rework written down with the recipe of the curry",
        verdicts: &[(
            "rework-control.same-recipe",
            "not met",
            "mustard of the curry is in a lot whose film does not name it",
        )],
    },
    Planted {
        lot: "CC1016",
        what: "film of the bake on the sealer in the middle of the run; right at the start and at the end",
        verdicts: &[(
            "labels.film",
            "not met",
            "a good check afterwards does not find the trays that were sealed under it",
        )],
    },
    Planted {
        lot: "BB1019",
        what: "the second chiller logger writes nothing from 20 °C on for 80 min",
        verdicts: &[
            (
                "chilling.first-passage",
                "not shown",
                "nobody knows when the slower tray came to 7 °C: the other tray does not speak for it",
            ),
            ("chilling.second-passage", "not shown", "nor when it came to 5 °C"),
        ],
    },
    Planted {
        lot: "CC1021",
        what: "line looked clean, cell of the strip left blank",
        verdicts: &[(
            "changeover.clean-line",
            "not shown",
            "half of the check: what was not tested was not found clean",
        )],
    },
    Planted {
        lot: "BB1027",
        what: "store door at 6.3 °C for 45 min in the evening",
        verdicts: &[(
            "cold-store.cold",
            "not met",
            "below 7 °C, and for longer than the 30 min that the plan allows at a stretch",
        )],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "cook-chill-meals",
        month: "2026-10",
        files: vec![batch(), cook(), line(), chill(), store(), changeover(), rework(), calibration()],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes after the start of the cook.
const FREED: f64 = -60.0;
const REWORK_IN: f64 = -12.0;
const COOK: i64 = 50;
const LINE_FROM: f64 = 60.0;
const LINE: f64 = 90.0;
const CHILL_FROM: f64 = 165.0;
const CHILL: i64 = 150;
const DETECT_FROM: f64 = 325.0;
const DETECT: f64 = 70.0;
const STORE_FROM: f64 = 405.0;
const STORE: i64 = 840;

fn is_curry(lot: &str) -> bool {
    lot.starts_with("CC")
}

fn has_rework(plant: Plant) -> bool {
    matches!(plant, Plant::OwnRework | Plant::OtherRework)
}

fn typed(start: &str, minute: f64) -> String {
    later(at(start), minute).format("%d/%m/%Y %H:%M").to_string()
}

fn batch() -> (String, String) {
    let mut sheet = Sheet::new(
        ',',
        "Lot,Meal,Made kg,Before,Rework,Line freed,Rework in,Cook start,Cook end,First tray,Last tray,Chill in,Chill out,Detector on,Detector off,Store in,Store out",
    );
    for (lot, start, plant) in LOTS {
        let made = Chance::of(&format!("{lot} made")).whole(410, 460);
        let (meal, before) =
            if is_curry(lot) { ("chickpea-curry", "other-meal") } else { ("beef-pasta-bake", "same-meal") };
        let rework = if has_rework(plant) { "added" } else { "none" };
        let mut cells = vec![lot.to_owned(), meal.to_owned(), made.to_string(), before.to_owned(), rework.to_owned()];
        cells.push(if is_curry(lot) { typed(start, FREED) } else { String::new() });
        cells.push(if has_rework(plant) { typed(start, REWORK_IN) } else { String::new() });
        let minutes = [
            0.0,
            COOK as f64,
            LINE_FROM,
            LINE_FROM + LINE,
            CHILL_FROM,
            CHILL_FROM + CHILL as f64,
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

/// Wall and centre of the kettle, every 30 s.
fn cook() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Batch,Wall,Centre");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} kettle"));
        for (minute, time) in ticks(at(start), (-2, COOK + 2), 30) {
            let (wall, centre) = match plant {
                Plant::ShortHold => (
                    curve(
                        &[
                            (0.0, 18.0),
                            (30.0, 67.0),
                            (40.0, 69.4),
                            (40.4, 70.6),
                            (41.1, 70.6),
                            (41.4, 69.3),
                            (50.0, 68.6),
                        ],
                        minute,
                    ),
                    curve(&[(0.0, 18.0), (30.0, 73.0), (36.0, 75.0), (50.0, 75.0)], minute),
                ),
                _ => (
                    curve(&[(0.0, 18.0), (30.0, 80.0), (36.0, 86.0), (50.0, 86.0)], minute),
                    curve(&[(0.0, 18.0), (30.0, 84.0), (36.0, 90.0), (50.0, 90.0)], minute),
                ),
            };
            sheet.row(&[
                time.format("%Y-%m-%d %H:%M:%S").to_string(),
                lot.to_owned(),
                shown(wall, 0.04, &mut chance, 1, '.'),
                shown(centre, 0.04, &mut chance, 1, '.'),
            ]);
        }
    }
    sheet.named("kettle.csv")
}

/// Trays, film, date and test pieces, typed at the line.
fn line() -> (String, String) {
    let mut sheet = Sheet::new(',', "Day,Clock,Lot,Tray °C,Film,Use-by,Fe 2.0,NF 2.5,SS 3.0,Initials");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} line"));
        let mut row = |minute: f64, tray: &str, film: &str, date: &str, piece: &str| {
            let time = later(at(start), minute);
            let (day, clock) = (time.format("%d/%m/%Y").to_string(), time.format("%H:%M").to_string());
            sheet.row(&[&day, &clock, lot, tray, film, date, piece, piece, piece, "ok"]);
        };
        row(LINE_FROM - 3.0, "", "match", "right", "");
        for minute in [2.0, 30.0, 60.0, 88.0] {
            row(LINE_FROM + minute, &shown(70.5, 0.7, &mut chance, 1, '.'), "", "", "");
            if minute == 30.0 && plant == Plant::WrongFilm {
                row(LINE_FROM + 45.0, "", "bake", "right", "");
            }
        }
        row(LINE_FROM + LINE + 3.0, "", "match", "right", "");
        for minute in [-3.0, 57.0, DETECT + 3.0] {
            row(DETECT_FROM + minute, "", "", "", "rejected");
        }
    }
    sheet.named("line.csv")
}

/// Two trays in the blast chiller, every minute; semicolons, decimal comma.
fn chill() -> (String, String) {
    let mut sheet = Sheet::new(';', "Zeit;Charge;Kern 1;Kern 2");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} chiller"));
        let slow = chance.between(0.97, 1.03);
        for (minute, time) in ticks(later(at(start), CHILL_FROM), (-3, CHILL + 3), 60) {
            let core = |lag: f64| match plant {
                Plant::SlowChill => curve(
                    &[
                        (0.0, 66.0),
                        (10.0, 63.6),
                        (40.0, 45.0),
                        (80.0, 20.0),
                        (112.0, 7.3),
                        (116.0, 6.4),
                        (126.0, 4.7),
                        (150.0, 4.1),
                    ],
                    minute - lag,
                ),
                _ => curve(
                    &[
                        (0.0, 66.5),
                        (10.0, 63.6),
                        (30.0, 45.0),
                        (60.0, 22.0),
                        (80.0, 8.6),
                        (90.0, 5.6),
                        (100.0, 4.5),
                        (150.0, 3.1),
                    ],
                    (minute - lag) * slow,
                ),
            };
            let out = plant == Plant::LoggerOut && (62.0..142.0).contains(&minute);
            let second = shown(core(2.0), 0.05, &mut chance, 1, ',');
            sheet.row(&[
                time.format("%d.%m.%Y %H:%M:%S").to_string(),
                lot.to_owned(),
                shown(core(0.0), 0.05, &mut chance, 1, ','),
                if out { String::new() } else { second },
            ]);
        }
    }
    sheet.named("chiller.csv")
}

/// Door and back of the store, every 5 min of each lot's stay; a record of the place.
fn store() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Door °C,Back °C");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} store"));
        for (minute, time) in ticks(later(at(start), STORE_FROM), (-5, STORE + 5), 300) {
            let door = match plant {
                Plant::OwnRework => {
                    curve(&[(200.0, 3.0), (204.0, 4.9), (205.0, 6.4), (220.0, 6.4), (221.0, 4.9), (230.0, 3.0)], minute)
                }
                Plant::WarmStore => curve(&[(200.0, 3.0), (205.0, 6.3), (250.0, 6.3), (260.0, 3.0)], minute),
                _ => 3.0,
            };
            sheet.row(&[
                time.format("%Y-%m-%dT%H:%M:%S").to_string(),
                shown(door, 0.08, &mut chance, 1, '.'),
                shown(2.4, 0.08, &mut chance, 1, '.'),
            ]);
        }
    }
    sheet.named("store.csv")
}

/// The line freed between two meals, typed.
fn changeover() -> (String, String) {
    let mut sheet = Sheet::new(',', "Freed,Lot,Part,Look,Strip,Initials");
    for (lot, start, plant) in LOTS.into_iter().filter(|(lot, _, _)| is_curry(lot)) {
        let strip = match plant {
            Plant::RinseFound => "found",
            Plant::NoStrip => "",
            _ => "absent",
        };
        sheet.row(&[typed(start, FREED).as_str(), lot, "whole line", "clean", strip, "kl"]);
    }
    sheet.named("changeover.csv")
}

/// Rework that went in, lot by lot, typed.
fn rework() -> (String, String) {
    let mut sheet = Sheet::new(',', "Weighed in,Lot,From lot,Recipe,Age h,Initials");
    for (lot, start, plant) in LOTS.into_iter().filter(|(_, _, plant)| has_rework(*plant)) {
        let (from, recipe, age) =
            if plant == Plant::OtherRework { ("CC1014", "other", "3.1") } else { ("BB1005-A", "same", "2.4") };
        sheet.row(&[typed(start, REWORK_IN).as_str(), lot, from, recipe, age, "tm"]);
    }
    sheet.named("rework.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    sheet.row(&["2026-09-07 08:00", "store-sensors", "5.1", "5.0", "°C", "pg"]);
    sheet.row(&["2026-09-07 08:10", "rework-clocks", "12.0", "12.0", "h", "pg"]);
    for day in ["2026-09-28", "2026-10-26"] {
        for (nth, (instrument, reading, reference)) in
            [("kettle-probes", "70.2", "70.0"), ("chill-loggers", "60.1", "60.0")].into_iter().enumerate()
        {
            sheet.row(&[&format!("{day} 05:1{nth}"), instrument, reading, reference, "°C", "pg"]);
        }
    }
    for day in ["2026-09-28", "2026-10-05", "2026-10-12", "2026-10-19", "2026-10-26"] {
        sheet.row(&[&format!("{day} 05:30"), "hand-probe", "0.2", "0.0", "°C", "pg"]);
    }
    sheet.named("calibration.csv")
}
