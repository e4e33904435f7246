//! Seven lots of pasteurised apple juice, October 2026. Invented, as is the plant.

use crate::chance::Chance;
use crate::frame::{Month, Planted, Sheet, at, curve, later, shown, ticks};

/// What happens to a lot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Plant {
    Diverted,
    Cool,
    FlowLost,
    Patulin,
    NoGuarantee,
    OnePh,
    Broken,
}

/// Lot, when its juice goes forward, and what was planted.
const LOTS: [(&str, &str, Plant); 7] = [
    ("AJ1006", "2026-10-06 09:00", Plant::Diverted),
    ("AJ1008", "2026-10-08 09:10", Plant::Cool),
    ("AJ1013", "2026-10-13 09:05", Plant::FlowLost),
    ("AJ1015", "2026-10-15 09:00", Plant::Patulin),
    ("AJ1020", "2026-10-20 09:15", Plant::NoGuarantee),
    ("AJ1022", "2026-10-22 09:00", Plant::OnePh),
    ("AJ1027", "2026-10-27 09:05", Plant::Broken),
];

const PLANTED: &[Planted] = &[
    Planted {
        lot: "AJ1006",
        what: "juice down to 68 °C for 6 min, and the valve diverts before and after it",
        verdicts: &[],
    },
    Planted {
        lot: "AJ1008",
        what: "juice down to 70.4 °C for 4 min, and the valve stays forward",
        verdicts: &[(
            "pasteurising.hot-enough",
            "not met",
            "the valve should have sent it back: juice below the limit went to the filler",
        )],
    },
    Planted {
        lot: "AJ1013",
        what: "the flow meter writes `ERR` for 25 min",
        verdicts: &[(
            "pasteurising.long-enough",
            "not shown",
            "a meter at fault shows no flow: the juice may have run through the tube too fast",
        )],
    },
    Planted {
        lot: "AJ1015",
        what: "patulin 64 ppb at the end of the press, 31 ppb at its beginning",
        verdicts: &[(
            "fruit.low-patulin",
            "not met",
            "every sample counts, and the mean, 47.5 ppb, would pass; heat does not destroy it",
        )],
    },
    Planted {
        lot: "AJ1020",
        what: "no guarantee with one of two deliveries",
        verdicts: &[(
            "fruit.no-fallen-fruit",
            "not met",
            "one delivery without it may bring fallen fruit into the whole lot",
        )],
    },
    Planted {
        lot: "AJ1022",
        what: "pH typed once only",
        verdicts: &[(
            "sourness.sour",
            "not shown",
            "one sample, and two are needed; the figures of the tube hold at 4.0 or less",
        )],
    },
    Planted {
        lot: "AJ1027",
        what: "a bottle broke at the capper in the middle of the run; line intact twice afterwards",
        verdicts: &[("glass-line.intact", "not met", "bottles since the last good check stood open beside it")],
    },
];

const REMARKS: &[(&str, &str, &str)] = &[("R303", "`ERR`", "the flow meter at fault in AJ1013, 25 rows")];

/// The month.
pub(crate) fn month() -> Month {
    Month {
        plan: "pasteurised-juice",
        month: "2026-10",
        files: vec![batch(), fruit(), culling(), laboratory(), pasteuriser(), filling(), calibration()],
        planted: PLANTED,
        remarks: REMARKS,
    }
}

/// Minutes of juice through the tube, and of filling after it has begun.
const JUICE: i64 = 180;
const FILL_FROM: f64 = 20.0;
const FILLING: f64 = 200.0;

fn batch() -> (String, String) {
    let mut sheet = Sheet::new(',', "Lot,Product,Made L,Juice on,Juice off,First bottle,Last bottle");
    for (lot, start, _) in LOTS {
        let made = Chance::of(&format!("{lot} made")).whole(4850, 5050);
        let mut cells = vec![lot.to_owned(), "apple-juice".to_owned(), made.to_string()];
        let minutes = [0.0, JUICE as f64, FILL_FROM, FILL_FROM + FILLING];
        cells.extend(minutes.map(|minute| later(at(start), minute).format("%m/%d/%Y %H:%M").to_string()));
        sheet.row(&cells);
    }
    sheet.named("batch-record.csv")
}

/// Two deliveries a lot.
fn fruit() -> (String, String) {
    let mut sheet = Sheet::new(',', "Received,Lot,Delivery,Guarantee,Initials");
    for (lot, start, plant) in LOTS {
        for delivery in 1..=2 {
            let time = later(at(start), -1500.0 + 60.0 * f64::from(delivery)).format("%m/%d/%Y %H:%M").to_string();
            let guarantee = if plant == Plant::NoGuarantee && delivery == 2 { "none" } else { "yes" };
            sheet.row(&[time, lot.to_owned(), format!("D{delivery}"), guarantee.to_owned(), "cw".to_owned()]);
        }
    }
    sheet.named("fruit.csv")
}

/// Damaged fruit in 10 kg after the culling table, three times a lot.
fn culling() -> (String, String) {
    let mut sheet = Sheet::new(',', "Weighed,Lot,Weighing,Damaged %,Initials");
    for (lot, start, _) in LOTS {
        let mut chance = Chance::of(&format!("{lot} culling"));
        for nth in 1..=3 {
            let time = later(at(start), -150.0 + 40.0 * f64::from(nth)).format("%m/%d/%Y %H:%M").to_string();
            let share = shown(0.5, 0.12, &mut chance, 1, '.');
            sheet.row(&[time, lot.to_owned(), nth.to_string(), share, "cw".to_owned()]);
        }
    }
    sheet.named("culling.csv")
}

/// pH and patulin at the beginning and the end of the press.
fn laboratory() -> (String, String) {
    let mut sheet = Sheet::new(',', "Tested,Lot,Sample,pH,Patulin ppb,Analyst");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} laboratory"));
        for sample in 1..=2 {
            let time = later(at(start), -40.0 + 15.0 * f64::from(sample)).format("%Y-%m-%d %H:%M").to_string();
            let acidity = shown(3.62, 0.04, &mut chance, 2, '.');
            let usual = chance.whole(6, 19);
            let patulin = match (plant, sample) {
                (Plant::Patulin, 1) => 31,
                (Plant::Patulin, _) => 64,
                _ => usual,
            };
            let acidity = if plant == Plant::OnePh && sample == 2 { String::new() } else { acidity };
            sheet.row(&[time, lot.to_owned(), format!("S{sample}"), acidity, patulin.to_string(), "nv".to_owned()]);
        }
    }
    sheet.named("laboratory.csv")
}

/// End of the holding tube, flow and valve, every minute; semicolons, wall clock.
fn pasteuriser() -> (String, String) {
    let mut sheet = Sheet::new(';', "Pasteurizer 1;;;;\nTime;Lot;Outlet C;Flow L/min;Valve");
    for (lot, start, plant) in LOTS {
        let mut chance = Chance::of(&format!("{lot} pasteuriser"));
        for (minute, time) in ticks(at(start), (-4, JUICE + 4), 60) {
            let outlet = match plant {
                Plant::Diverted => curve(&[(80.0, 74.2), (84.0, 68.0), (90.0, 68.0), (94.0, 74.2)], minute),
                Plant::Cool => curve(&[(80.0, 74.2), (83.0, 70.4), (87.0, 70.4), (90.0, 74.2)], minute),
                _ => 74.2,
            };
            let diverted = plant == Plant::Diverted && (80.0..=95.0).contains(&minute);
            let outlet = shown(outlet, 0.08, &mut chance, 1, '.');
            let flow = shown(27.8, 0.15, &mut chance, 1, '.');
            let lost = plant == Plant::FlowLost && (60.0..85.0).contains(&minute);
            sheet.row(&[
                time.format("%Y-%m-%d %H:%M:%S").to_string(),
                lot.to_owned(),
                outlet,
                if lost { "ERR".to_owned() } else { flow },
                if diverted { "back".to_owned() } else { "fwd".to_owned() },
            ]);
        }
    }
    sheet.named("pasteuriser.csv")
}

/// Detector and glass at the line, typed.
fn filling() -> (String, String) {
    let mut sheet = Sheet::new(',', "Time,Lot,Fe 2.0,SS 2.5,Line,Initials");
    for (lot, start, plant) in LOTS {
        for (nth, minute) in [-5.0, 100.0, 130.0, FILLING + 6.0].into_iter().enumerate() {
            let time = later(at(start), FILL_FROM + minute).format("%m/%d/%Y %H:%M").to_string();
            let line = if plant == Plant::Broken && nth == 1 { "glass at capper" } else { "intact" };
            sheet.row(&[time.as_str(), lot, "rejected", "rejected", line, "js"]);
        }
    }
    sheet.named("filling.csv")
}

/// What each instrument showed beside a reference.
fn calibration() -> (String, String) {
    let mut sheet = Sheet::new(',', "Done,Instrument,Reading,Reference,Unit,Initials");
    sheet.row(&["2026-09-01 08:00", "scale", "10.0", "10.0", "%", "pg"]);
    let monthly = [
        ("outlet-recorder", "71.9", "72.0", "°C", "pg"),
        ("flow-meter", "28.1", "28.0", "L/min", "pg"),
        ("patulin-test", "52", "50", "ppb", "nv"),
    ];
    for day in ["2026-09-28", "2026-10-26"] {
        for (nth, (instrument, reading, reference, unit, by)) in monthly.into_iter().enumerate() {
            sheet.row(&[&format!("{day} 05:0{}", nth + 1), instrument, reading, reference, unit, by]);
        }
    }
    for day in ["2026-09-28", "2026-10-05", "2026-10-12", "2026-10-19", "2026-10-26"] {
        sheet.row(&[&format!("{day} 05:30"), "ph-meter", "4.02", "4.01", "pH", "nv"]);
    }
    sheet.named("calibration.csv")
}
