//! The records as the plant's instruments and people would leave them, each in its own dialect.

use crate::chance::Chance;
use crate::physics::{Cell, store};
use crate::planting::{PROBES_OFF, Plant};
use crate::registers;
use crate::schedule::{Lot, MINUTE, Second, at, local, offset_hours, utc};
use std::fmt::Write as _;

/// A file: its name and its text.
pub(crate) type File = (String, String);

/// Tenths, rounded once; the half goes away from nought.
fn tenths(value: f64) -> i64 {
    (value * 10.0).round() as i64
}

/// A number of tenths with the given decimal mark.
fn decimal(tenths: i64, mark: char) -> String {
    let sign = if tenths < 0 { "-" } else { "" };
    let size = tenths.unsigned_abs();
    format!("{sign}{}{mark}{}", size / 10, size % 10)
}

/// A cell in °C with its instrument's words.
fn cell(cell: Cell, mark: char, missing: &str, broken: &str) -> String {
    match cell {
        Cell::Value(value) => decimal(tenths(value), mark),
        Cell::Missing => missing.to_owned(),
        Cell::Broken => broken.to_owned(),
    }
}

/// All records of the month.
pub(crate) fn all(lots: &[Lot]) -> Vec<File> {
    let mut files = vec![batch(lots), oven_1(lots), oven_2(lots), chiller(lots)];
    files.extend(store_weeks());
    files.extend([packing(lots), laboratory(lots), calibration()]);
    files.extend(registers::all(lots));
    files
}

fn named(name: &str, text: String) -> File {
    (name.to_owned(), text)
}

/// Typed by the oven and pack operators, to the minute.
fn batch(lots: &[Lot]) -> File {
    let mut text =
        "Lot,Product,Line,Made kg,Cook start,Cook end,Chill start,Chill end,Pack start,Pack end,Store in,Store out,Shipped\n"
            .to_owned();
    for lot in lots {
        let minute = |at: Second| local(at).format("%Y-%m-%d %H:%M").to_string();
        let mut events = [
            lot.cook.start,
            lot.cook.end,
            lot.chill.start,
            lot.chill.end,
            lot.packed.0,
            lot.packed.1,
            lot.stored.0,
            lot.stored.1,
        ]
        .map(minute);
        match lot.plant {
            Some(Plant::EndBeforeStart) => events[1] = minute(lot.cook.end - 86_400),
            Some(Plant::ChillEndBlank) => events[3].clear(),
            Some(Plant::StillStored) => events[7].clear(),
            Some(Plant::NotPacked) => events.iter_mut().skip(4).for_each(String::clear),
            _ => {}
        }
        let shipped = registers::shipped(lot).map_or_else(String::new, minute);
        let _ = writeln!(text, "{},goose-slices,oven {},{},{},{shipped}", lot.id, lot.oven, lot.made, events.join(","));
    }
    named("batch-record.csv", text)
}

/// Semicolons, decimal comma, day first, wall clock.
fn oven_1(lots: &[Lot]) -> File {
    let mut text = "Time;Load;Core 1 (°C);Core 2 (°C);Dry (°C);Wet (°C)\n".to_owned();
    for lot in lots.iter().filter(|lot| lot.oven == 1) {
        for row in &lot.cook.rows {
            let cells = row.cells.map(|one| cell(one, ',', "---", "OL"));
            let _ = writeln!(text, "{};{};{}", local(row.at).format("%d.%m.%Y %H:%M:%S"), lot.id, cells.join(";"));
        }
    }
    named("oven-1.csv", text)
}

/// Four lines of preamble, month first, twelve-hour clock, Fahrenheit, lines ended the Windows way.
fn oven_2(lots: &[Lot]) -> File {
    let mut text = "Recorder export\r\nUnit,Humid oven 2\r\nLogging interval,5 s\r\nClock,local\r\n".to_owned();
    text.push_str("Date,Time,Load,Core 1 °F,Core 2 °F,Dry °F,Wet °F\r\n");
    for lot in lots.iter().filter(|lot| lot.oven == 2) {
        for row in &lot.cook.rows {
            let cells = row.cells.map(|one| match one {
                Cell::Value(celsius) => decimal(tenths(celsius * 9.0 / 5.0 + 32.0), '.'),
                Cell::Missing | Cell::Broken => "-999".to_owned(),
            });
            let shown = local(row.at).format("%m/%d/%Y,%I:%M:%S %p");
            let _ = write!(text, "{shown},{},{}\r\n", lot.id, cells.join(","));
        }
    }
    named("oven-2.csv", text)
}

/// A clock that stays on UTC; rows of all lots in one series.
fn chiller(lots: &[Lot]) -> File {
    let mut rows: Vec<_> =
        lots.iter().flat_map(|lot| lot.chill.rows.iter().map(|row| (row.at, lot.id.as_str(), row))).collect();
    rows.sort_by_key(|(at, lot, _)| (*at, *lot));
    let mut text = "Time,Lot,Probe 1,Probe 2\n".to_owned();
    for (at, lot, row) in rows {
        let cells = row.cells.map(|one| cell(one, '.', "", "ERR"));
        let _ = writeln!(text, "{},{lot},{}", utc(at).format("%Y-%m-%d %H:%M:%S"), cells.join(","));
    }
    named("chiller.csv", text)
}

/// Wall clock with its offset, a file a week; the last week runs on until the last lot has left.
fn store_weeks() -> Vec<File> {
    const HEAD: &str = "Time,Door,Back\n";
    let mut texts: [String; 5] = std::array::from_fn(|_| HEAD.to_owned());
    for row in store() {
        let week = (row.at - at(1, 0) - 3_600 * (1 - offset_hours(row.at))).div_euclid(7 * 86_400).min(4);
        let cells = row.cells.map(|one| cell(one, '.', "-200", "-200"));
        let text = usize::try_from(week).ok().and_then(|week| texts.get_mut(week));
        if let Some(text) = text {
            let shown = local(row.at).format("%Y-%m-%dT%H:%M:%S");
            let _ = writeln!(text, "{shown}+{:02}:00,{}", offset_hours(row.at), cells.join(","));
        }
    }
    (1..).zip(texts).map(|(week, text)| (format!("store-{week}.csv"), text)).collect()
}

/// One typed row of the packing record.
struct Check {
    at: Second,
    lane: &'static str,
    oxygen: String,
    pieces: [&'static str; 3],
}

const GOOD: [&str; 3] = ["yes", "yes", "yes"];
const STAINLESS_PASSED: [&str; 3] = ["yes", "yes", "no"];
const NO_PIECES: [&str; 3] = ["", "", ""];

/// Typed by hand, day first, wall clock, to the minute: pieces 5 min before the first tray, hourly, and 5 min after
/// the last; oxygen in two lanes, ten minutes in and then with the hourly pieces.
fn packing(lots: &[Lot]) -> File {
    let mut text = "Day,Clock,Lot,Initials,Lane,Oxygen %,Fe 1.5,NFe 2.0,SS 2.5\n".to_owned();
    let mut packed: Vec<_> = lots.iter().filter(|lot| lot.plant != Some(Plant::NotPacked)).collect();
    packed.sort_by_key(|lot| lot.packed.0);
    for lot in packed {
        for (index, check) in checks(lot).into_iter().enumerate() {
            let initials = match lot.oven {
                _ if lot.id == "GB1006A" && index == 0 => "",
                1 => "pk",
                _ => "rm",
            };
            let shown = local(check.at).format("%d/%m/%Y,%H:%M");
            let _ = writeln!(
                text,
                "{shown},{},{initials},{},{},{}",
                lot.id,
                check.lane,
                check.oxygen,
                check.pieces.join(",")
            );
        }
    }
    named("packing.csv", text)
}

fn checks(lot: &Lot) -> Vec<Check> {
    // The values of 16 October are written off those of the day before.
    let seed = lot.id.replace("GB1015", "GB1014");
    let mut chance = Chance::of(&format!("{seed} packing"));
    let (start, end) = lot.packed;
    let pieces = |at: Second, pieces: [&'static str; 3]| Check { at, lane: "", oxygen: String::new(), pieces };
    let mut all = vec![pieces(start - 5 * MINUTE, GOOD)];
    let mut middle = start + chance.whole(53, 56) * MINUTE;
    let mut oxygens = vec![start + 10 * MINUTE];
    match lot.plant {
        Some(Plant::NightPacking) => {
            // 00:25 and 02:25 are placed; 01:25 was read twice on the wall, and typed twice.
            all.extend([pieces(start + 55 * MINUTE, GOOD), pieces(start + 115 * MINUTE, GOOD)]);
            oxygens.push(end - 8 * MINUTE);
        }
        Some(Plant::ChecksMissed) => {
            oxygens.extend([middle, middle + 60 * MINUTE]);
        }
        Some(Plant::PiecePassed) => {
            all.push(pieces(middle, STAINLESS_PASSED));
            all.extend([pieces(middle + 5 * MINUTE, GOOD), pieces(middle + 8 * MINUTE, GOOD)]);
            middle += 10 * MINUTE;
            oxygens.push(middle);
        }
        _ => {
            all.push(pieces(middle, GOOD));
            oxygens.push(middle);
        }
    }
    if lot.plant == Some(Plant::LastCheckBad) {
        all.push(pieces(end + 5 * MINUTE, STAINLESS_PASSED));
        all.extend([pieces(end + 8 * MINUTE, GOOD), pieces(end + 11 * MINUTE, GOOD)]);
    } else {
        all.push(pieces(end + 5 * MINUTE, GOOD));
    }
    let mut count = 0;
    for at in oxygens {
        for (lane, later) in [("1", 0), ("2", 2)] {
            count += 1;
            let tenths = match lot.plant {
                Some(Plant::OxygenHigh) if count == 4 => Some(14),
                Some(Plant::OxygenOnce) if count > 1 => None,
                Some(Plant::OxygenBlank) if count == 3 => None,
                _ => Some(chance.whole(2, 6)),
            };
            let oxygen = tenths.map_or_else(String::new, |tenths| decimal(tenths, '.'));
            // In the hourly check the first lane stands on the same row as the pieces.
            match all.iter_mut().find(|check| check.at == at && check.pieces == GOOD && later == 0) {
                Some(check) => (check.lane, check.oxygen) = (lane, oxygen),
                None => all.push(Check { at: at + later * MINUTE, lane, oxygen, pieces: NO_PIECES }),
            }
        }
    }
    all.sort_by_key(|check| check.at);
    all
}

/// Three pieces a lot.
fn laboratory(lots: &[Lot]) -> File {
    let mut text = "Tested,Lot,Sample,aw,Analyst,Typed\n".to_owned();
    let mut tested: Vec<_> = lots.iter().collect();
    tested.sort_by_key(|lot| lot.tested);
    for lot in tested {
        let mut chance = Chance::of(&format!("{} laboratory", lot.id));
        for sample in 1..=3 {
            let thousandths = chance.whole(943, 956);
            let activity = match (lot.plant, sample) {
                (Some(Plant::ActivityHigh), 2) => "0.971".to_owned(),
                (Some(Plant::ActivityTwo), 3) => continue,
                (Some(Plant::ActivityBelow), 2) => "<0.970".to_owned(),
                (Some(Plant::ActivityUnread), 3) => "0.9?1".to_owned(),
                _ => format!("0.{thousandths}"),
            };
            let tested = lot.tested + (sample - 1) * 6 * MINUTE;
            // Two results were not typed when they were read: planted.
            let typed = match (lot.id.as_str(), sample) {
                ("GB1013C", 2) => tested + 190 * MINUTE,
                ("GB1020A", 1) => tested - 25 * MINUTE,
                _ => tested + 3 * MINUTE,
            };
            let shown = |at: Second| local(at).format("%Y-%m-%d %H:%M");
            let _ = writeln!(text, "{},{},{sample},{activity},jt,{}", shown(tested), lot.id, shown(typed));
        }
    }
    named("laboratory.csv", text)
}

/// One row a calibration, every one inside its term save the gas analyser's, which came three days late and was good.
/// The core probes of oven 1 read a tenth higher from week to week, which is planted.
fn calibration() -> File {
    let mut rows: Vec<(Second, &str, String, &str, &str, &str)> = Vec::new();
    let mut chance = Chance::of("calibration");
    // Day 1 is 1 October: the Mondays from 28 September (day -2) to 2 November (day 33).
    for (week, monday) in (0..).zip((-2..=33).step_by(7)) {
        // Drawn and left, so that the other figures stay as they are.
        let _ = chance.whole(-1, 2);
        rows.push((at(monday, 600), "oven-1-probes", decimal(700 + week, '.'), "70.0", "°C", "ek"));
        if monday != PROBES_OFF[1].0 {
            rows.push((at(monday, 440), "oven-2-probes", decimal(700 + chance.whole(-1, 2), '.'), "70.0", "°C", "ek"));
        }
        rows.push((at(monday, 345), "aw-meter", format!("0.{}", 920 + chance.whole(-1, 1)), "0.920", "aw", "jt"));
    }
    let [_, off, again] = PROBES_OFF.map(|(day, minute)| at(day, minute));
    rows.push((off, "oven-2-probes", "70.9".to_owned(), "70.0", "°C", "ek"));
    rows.push((again, "oven-2-probes", "70.1".to_owned(), "70.0", "°C", "ek"));
    for (day, instrument, reading, reference, unit) in [
        (-16, "bulbs", "80.1", "80.0", "°C"),
        (14, "bulbs", "79.9", "80.0", "°C"),
        (-9, "chill-probes", "0.1", "0.0", "°C"),
        (20, "chill-probes", "0.0", "0.0", "°C"),
        (-28, "store-sensors", "0.2", "0.0", "°C"),
        (-14, "gas-analyser", "1.0", "1.0", "%"),
        (19, "gas-analyser", "1.1", "1.0", "%"),
    ] {
        rows.push((at(day, 660), instrument, reading.to_owned(), reference, unit, "ek"));
    }
    rows.sort_by_key(|row| (row.0, row.1));
    let mut text = "Done,Instrument,Reading,Reference,Unit,Initials\n".to_owned();
    for (at, instrument, reading, reference, unit, initials) in rows {
        let _ = writeln!(
            text,
            "{},{instrument},{reading},{reference},{unit},{initials}",
            local(at).format("%Y-%m-%d %H:%M")
        );
    }
    named("calibration.csv", text)
}
