//! Eight lots of pickled garden vegetables, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};
use chrono::Datelike as _;

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    Sour,
    HeavyFill,
    LateTest,
    ProbeOut,
    ColdJars,
    FaultyCap,
    Uncleared,
    Cleared,
}

/// Lot, when its first jar is filled, and what was planted.
const LOTS: [(&str, &str, Plant); 8] = [
    ("GP1006", "2026-10-06 07:00", Plant::Sour),
    ("GP1008", "2026-10-08 07:10", Plant::HeavyFill),
    ("GP1013", "2026-10-13 07:00", Plant::LateTest),
    ("GP1015", "2026-10-15 07:05", Plant::ProbeOut),
    ("GP1019", "2026-10-19 07:00", Plant::ColdJars),
    ("GP1021", "2026-10-21 07:15", Plant::FaultyCap),
    ("GP1026", "2026-10-26 07:00", Plant::Uncleared),
    ("GP1028", "2026-10-28 07:05", Plant::Cleared),
];

const PLANTED: &[Planted] = &[
    Planted {
        lot: "GP1006",
        what: "pH 4.19 in the last of three jars, 3.94 and 3.97 in the others",
        verdicts: &[(
            "acidification.acid-enough",
            "not met",
            "below 4.6, and above what the scheduled process was set for: the mean of the three, 4.03, would hide it",
        )],
    },
    Planted {
        lot: "GP1008",
        what: "278 g of vegetables in one jar of six",
        verdicts: &[(
            "brine-and-fill.light-fill",
            "not met",
            "too much food for its acid: three jars inside the pH say nothing about that one",
        )],
    },
    Planted {
        lot: "GP1013",
        what: "last jar measured 26 h after filling, pH 3.95",
        verdicts: &[(
            "acidification.in-time",
            "not met",
            "a good pH that comes too late does not show that it came in time",
        )],
    },
    Planted {
        lot: "GP1015",
        what: "the second jar's probe writes -999 for 9 min in the middle of the hold",
        verdicts: &[(
            "pasteurising.core-hold",
            "not shown",
            "a hold is without a break: about 12 min before and after it, and nobody knows what lay between",
        )],
    },
    Planted {
        lot: "GP1019",
        what: "line stood still: a jar enters the bath at 113 °F",
        verdicts: &[(
            "pasteurising.warm-start",
            "not met",
            "time and temperature were set for jars of 120 °F; the hold at the probes is met all the same",
        )],
    },
    Planted {
        lot: "GP1021",
        what: "a cap with an open lug in the middle of the run; sound before and afterwards",
        verdicts: &[(
            "closure.caps-sound",
            "not met",
            "jars since the last good look may leak; a good look afterwards does not close them",
        )],
    },
    Planted {
        lot: "GP1026",
        what: "a jar broke, the line started again, and no clearing is written down",
        verdicts: &[("glass-care.cleared", "not shown", "what is not written down was not shown to be done")],
    },
    Planted {
        lot: "GP1028",
        what: "a jar broke and the line was cleared by two people; one row of a probe in the bath is -999",
        verdicts: &[],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "acidified-vegetables",
        month: "2026-10",
        files: vec![
            batch(),
            brine(),
            fill(),
            vacuum(),
            bath(),
            bath_start(),
            laboratory(),
            labels(),
            glass(),
            calibration(),
        ],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes after the first jar.
const MIXED: f64 = -50.0;
const FILLING: f64 = 150.0;
const RESTARTED: f64 = 78.0;
const BATH_FROM: f64 = 165.0;
const BATH: i64 = 60;
const LABELLING: f64 = 120.0;

fn broke(plant: Plant) -> bool {
    matches!(plant, Plant::Uncleared | Plant::Cleared)
}

/// When the last jar of a lot is measured.
fn measured(plant: Plant) -> f64 {
    FILLING + if plant == Plant::LateTest { 26.0 * 60.0 } else { 21.0 * 60.0 }
}

fn typed(start: &str, minute: f64) -> String {
    later(at(start), minute).format("%m/%d/%Y %I:%M %p").to_string()
}

fn batch() -> (String, String) {
    let mut sheet = Sheet::new(
        ',',
        "Lot,Product,Jars,Broken,Brine mixed,First jar,Last jar,Restarted,Bath in,Bath out,pH done,Freed,Label on,Label off",
    );
    for (lot, start, plant) in LOTS {
        let jars = Chance::of(&format!("{lot} jars")).whole(1080, 1180);
        let mut cells = vec![lot.to_owned(), "garden-pickles".to_owned(), jars.to_string()];
        cells.push(if broke(plant) { "broken" } else { "none" }.to_owned());
        cells.extend([MIXED, 0.0, FILLING].map(|minute| typed(start, minute)));
        cells.push(if broke(plant) { typed(start, RESTARTED) } else { String::new() });
        let done = measured(plant);
        let rest = [BATH_FROM, BATH_FROM + BATH as f64, done, done + 25.0, done + 60.0, done + 60.0 + LABELLING];
        cells.extend(rest.map(|minute| typed(start, minute)));
        sheet.row(&cells);
    }
    sheet.named("batch-record.csv")
}

/// Each batch of brine, titrated before it is used.
fn brine() -> (String, String) {
    let mut sheet = Sheet::new(',', "Titrated,Lot,Batch,Acetic acid %,Initials");
    for (lot, start, _) in LOTS {
        let acid = shown(4.4, 0.05, &mut Chance::of(&format!("{lot} brine")), 2, '.');
        sheet.row(&[typed(start, MIXED + 5.0).as_str(), lot, "B1", &acid, "rd"]);
    }
    sheet.named("brine.csv")
}

/// Weight, largest piece and cap, every half hour.
fn fill() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Fill g,Largest mm,Cap,Initials");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} fill"));
        for (nth, minute) in [-3.0, 28.0, 58.0, 88.0, 118.0, FILLING + 3.0].into_iter().enumerate() {
            let usual = chance.whole(249, 260);
            let grams = if plant == Plant::HeavyFill && nth == 3 { 278 } else { usual };
            let piece = chance.whole(31, 38);
            let cap = if plant == Plant::FaultyCap && nth == 2 { "open lug" } else { "sound" };
            sheet.row(&[typed(start, minute).as_str(), lot, &grams.to_string(), &piece.to_string(), cap, "mf"]);
        }
    }
    sheet.named("fill.csv")
}

/// Vacuum of six cooled jars.
fn vacuum() -> (String, String) {
    let mut sheet = Sheet::new(',', "Pierced,Lot,Head,Vacuum kPa,Initials");
    for (lot, start, _) in LOTS {
        let mut chance = Chance::of(&format!("{lot} vacuum"));
        for head in 1..=6 {
            let time = typed(start, BATH_FROM + 240.0 + f64::from(head));
            let vacuum = chance.whole(48, 58).to_string();
            sheet.row(&[time.as_str(), lot, &format!("H{head}"), &vacuum, "mf"]);
        }
    }
    sheet.named("vacuum.csv")
}

/// Two jars in the bath, every minute.
fn bath() -> (String, String) {
    let mut sheet = Sheet::new(',', "Bath 1 recorder\nTime,Load,Jar 1 F,Jar 2 F");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} bath"));
        for (minute, time) in ticks(later(at(start), BATH_FROM), (-3, BATH + 3), 60) {
            let jar = |lag: f64| {
                curve(&[(0.0, 126.0), (22.0, 164.0), (30.0, 171.0), (52.0, 172.0), (60.0, 150.0)], minute - lag)
            };
            let first = shown(jar(0.0), 0.1, &mut chance, 1, '.');
            let second = shown(jar(1.5), 0.1, &mut chance, 1, '.');
            let out = (plant == Plant::ProbeOut && (36.0..45.0).contains(&minute))
                || (plant == Plant::Cleared && minute == 40.0);
            let second = if out { "-999".to_owned() } else { second };
            sheet.row(&[time.format("%Y-%m-%d %H:%M:%S").to_string(), lot.to_owned(), first, second]);
        }
    }
    sheet.named("bath.csv")
}

/// First and last jar of each load before it enters the bath.
fn bath_start() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Jar,Centre F,Initials");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} start"));
        for (nth, jar) in ["first", "last"].into_iter().enumerate() {
            let usual = shown(127.0, 1.0, &mut chance, 1, '.');
            let centre = if plant == Plant::ColdJars && nth == 0 { "113.0".to_owned() } else { usual };
            sheet.row(&[typed(start, BATH_FROM - 3.0 + nth as f64).as_str(), lot, jar, &centre, "eh"]);
        }
    }
    sheet.named("bath-start.csv")
}

/// pH of three whole jars.
fn laboratory() -> (String, String) {
    let mut sheet = Sheet::new(',', "Measured,Lot,Jar,pH,Analyst");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} laboratory"));
        for (nth, jar) in ["first", "middle", "last"].into_iter().enumerate() {
            let usual = shown(3.95, 0.02, &mut chance, 2, '.');
            let acidity = match (plant, nth) {
                (Plant::Sour, 0) => "3.94".to_owned(),
                (Plant::Sour, 1) => "3.97".to_owned(),
                (Plant::Sour, _) => "4.19".to_owned(),
                (Plant::LateTest, 2) => "3.95".to_owned(),
                _ => usual,
            };
            let time =
                later(at(start), measured(plant) - 20.0 + 10.0 * nth as f64).format("%Y-%m-%d %H:%M").to_string();
            sheet.row(&[time.as_str(), lot, jar, &acidity, "rd"]);
        }
    }
    sheet.named("laboratory.csv")
}

/// The roll of labels at the start and the end of each run.
fn labels() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Mustard,Print,Initials");
    for (lot, start, plant) in LOTS {
        for minute in [57.0, 60.0 + LABELLING + 3.0] {
            sheet.row(&[typed(start, measured(plant) + minute).as_str(), lot, "declared", "matching", "mf"]);
        }
    }
    sheet.named("labels.csv")
}

/// The line after a breakage.
fn glass() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Break,Line,Initials");
    for (lot, start, _) in LOTS.into_iter().filter(|(_, _, plant)| *plant == Plant::Cleared) {
        sheet.row(&[typed(start, RESTARTED - 1.0).as_str(), lot, "G1", "cleared", "ps"]);
    }
    sheet.named("glass.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    sheet.row(&["2026-03-02 08:00", "calliper", "40.0", "40.0", "mm", "jk"]);
    sheet.row(&["2026-09-07 08:10", "vacuum-gauge", "50", "50", "kPa", "jk"]);
    for day in ["2026-09-28", "2026-10-26"] {
        sheet.row(&[&format!("{day} 05:00"), "titration-set", "4.05", "4.00", "%", "rd"]);
        sheet.row(&[&format!("{day} 05:20"), "fill-scale", "250", "250", "g", "jk"]);
        sheet.row(&[&format!("{day} 05:40"), "jar-probes", "165.3", "165.0", "°F", "jk"]);
    }
    for day in ["2026-10-05", "2026-10-12", "2026-10-19", "2026-10-26"] {
        sheet.row(&[&format!("{day} 06:00"), "hand-thermometer", "32.4", "32.0", "°F", "jk"]);
    }
    // Before the first measurement of each working day.
    for (_, day) in
        ticks(at("2026-10-05 06:10"), (0, 25 * 1440), 86_400).filter(|(_, day)| day.weekday().number_from_monday() < 6)
    {
        sheet.row(&[day.format("%Y-%m-%d %H:%M").to_string().as_str(), "ph-meter", "4.02", "4.01", "pH", "rd"]);
    }
    sheet.named("calibration.csv")
}
