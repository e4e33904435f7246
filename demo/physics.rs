//! What the instruments saw: heating, chilling and the cold store, by first-order steps.
//!
//! Every curve is built up step by step from sums, products and quotients of doubles. No exponential, logarithm or
//! other library function takes part, so no last bit can differ between machines, and the tenth that is printed
//! cannot either.

use crate::chance::Chance;
use crate::planting::{Plant, StoreTrouble, trouble_at};
use crate::schedule::{MINUTE, Second, at};

/// What stands in one cell of an instrument's record.
#[derive(Clone, Copy)]
pub(crate) enum Cell {
    /// A temperature in °C.
    Value(f64),
    /// The instrument's word for "no reading".
    Missing,
    /// The instrument's word for "this probe is broken".
    Broken,
}

/// One row of an oven: two core probes, dry and wet bulb.
pub(crate) struct OvenRow {
    /// When.
    pub(crate) at: Second,
    /// Core 1, core 2, dry bulb, wet bulb.
    pub(crate) cells: [Cell; 4],
}

/// A humid cook.
pub(crate) struct Cook {
    /// Load enters the heated oven.
    pub(crate) start: Second,
    /// Heat off.
    pub(crate) end: Second,
    /// Every 5 s from 5 min before the start to 5 min after the end.
    pub(crate) rows: Vec<OvenRow>,
    /// Both cores in the last row, °C.
    pub(crate) last_core: [f64; 2],
}

/// A share of the way that a first-order lag goes in one step.
fn share(step: f64, lag: f64) -> f64 {
    step / lag
}

/// A triangle wave between -1 and 1.
fn wave(at: i64, period: i64) -> f64 {
    let half = period / 2;
    let place = at.rem_euclid(period);
    let up = if place < half { place } else { period - place };
    2.0 * up as f64 / half as f64 - 1.0
}

/// A core held just below 70 °C, lifted above it from `from` for `top` seconds at full height (20 s longer above
/// 70 °C: the ramps of 30 s cross it 20 s after they begin).
fn lift(since: i64, from: i64, top: i64) -> f64 {
    let (up, flat, down) = (from + 30, from + 30 + top, from + 60 + top);
    let height = match since {
        s if s < from || s >= down => 0.0,
        s if s < up => (s - from) as f64 / 30.0,
        s if s < flat => 1.0,
        s => (down - s) as f64 / 30.0,
    };
    1.2 * height
}

/// Cooks one load. `least` is the shortest cook in minutes.
pub(crate) fn cook(id: &str, start: Second, least: i64, plant: Option<Plant>) -> Cook {
    const STEP: i64 = 5;
    let mut chance = Chance::of(&format!("{id} cook"));
    let (mut dry, mut wet) = (74.0 + chance.between(-1.0, 1.0), 71.0);
    let mut core = [chance.between(4.0, 6.0), chance.between(4.0, 6.0)];
    let mut skin = core;
    let lag = [60.0 * chance.between(43.0, 46.5), 60.0 * chance.between(43.0, 46.5)];
    let set = if plant == Some(Plant::LowSetPoint) { 59.8 } else { 82.0 + chance.between(-0.6, 0.6) };
    let mut smoke = false;
    let mut plateau: Option<i64> = None;
    let mut end: Option<i64> = None;
    let mut rows = Vec::new();
    let mut since = -300;
    while end.is_none_or(|end| since <= end + 300) {
        let coldest = core[0].min(core[1]);
        smoke |= coldest >= 68.0;
        let steam_failed = plant == Some(Plant::HumidShort) && since > 22 * MINUTE;
        let (aim_dry, aim_wet) = match since {
            s if end.is_some_and(|end| s > end) => (48.0, 42.0),
            s if s < 0 => (75.0, 72.5),
            s if s < 120 => (56.0, 50.0),
            _ if steam_failed => (89.0, 78.0),
            _ if smoke => (80.5, 74.5),
            _ => (set, set - 0.9),
        };
        dry += (aim_dry - dry) * share(5.0, 170.0);
        wet += (aim_wet - wet) * share(5.0, 170.0);
        let hunting = 0.2 * wave(start + since, 240);
        if since >= 0 {
            let heat = 0.75 * wet + 0.25 * dry;
            for ((core, skin), lag) in core.iter_mut().zip(&mut skin).zip(lag) {
                *skin += (heat - *skin) * share(5.0, 600.0);
                *core += (*skin - *core) * share(5.0, lag);
            }
        }
        if end.is_none() {
            let done = match plant {
                Some(Plant::LowSetPoint) => (since == 148 * MINUTE).then_some(150 * MINUTE),
                _ => (coldest >= 72.5).then(|| (since / MINUTE + 13).max(least) * MINUTE),
            };
            end = done.or((since > 280 * MINUTE).then_some(285 * MINUTE));
        }
        let mut seen = core;
        if matches!(plant, Some(Plant::HoldShort | Plant::HoldDip | Plant::HoldTwice)) {
            if core[0] >= 69.2 && plateau.is_none() {
                plateau = Some(since);
            }
            if let Some(from) = plateau {
                let since = since - from;
                let lifted = match plant {
                    Some(Plant::HoldShort) => lift(since, 300, 55),
                    Some(Plant::HoldDip) => (0..4).map(|n| lift(since, 300 + 150 * n, 60)).sum(),
                    _ => lift(since, 300, 160),
                };
                seen[0] = 69.2 + lifted;
            }
        }
        let mut cells = seen.map(|core| Cell::Value(core + chance.noise(0.03)));
        let shown_dry = dry + hunting + chance.noise(0.05);
        let shown_wet = (wet + hunting + chance.noise(0.05)).min(shown_dry);
        match plant {
            Some(Plant::ProbeDead) => cells[1] = Cell::Broken,
            Some(Plant::CoreSparse) if coldest >= 69.0 && since % 20 != 0 => cells = [Cell::Missing; 2],
            _ => {}
        }
        let wick_dry = plant == Some(Plant::WetLost) && (12 * MINUTE..88 * MINUTE).contains(&since);
        let wet_cell = if wick_dry { Cell::Missing } else { Cell::Value(shown_wet) };
        let [first, second] = cells;
        rows.push(OvenRow { at: start + since, cells: [first, second, Cell::Value(shown_dry), wet_cell] });
        if plant == Some(Plant::HoldTwice) && plateau.is_some_and(|from| since - from == 300 + 30 + 80) {
            // The recorder wrote this row a second time, with another core.
            let other = [Cell::Value(69.1), second, Cell::Value(shown_dry), wet_cell];
            rows.push(OvenRow { at: start + since, cells: other });
        }
        since += STEP;
    }
    Cook { start, end: start + end.unwrap_or(since), rows, last_core: core }
}

/// One row of the blast chiller: two core probes.
pub(crate) struct ChillRow {
    /// When.
    pub(crate) at: Second,
    /// Probe 1 and probe 2.
    pub(crate) cells: [Cell; 2],
}

/// One stay in the blast chiller.
pub(crate) struct Chill {
    /// Load enters.
    pub(crate) start: Second,
    /// Load leaves.
    pub(crate) end: Second,
    /// Every minute from 5 min before the start to 5 min after the end.
    pub(crate) rows: Vec<ChillRow>,
}

/// Chills one load that comes from the oven with these cores.
pub(crate) fn chill(id: &str, start: Second, from: [f64; 2], plant: Option<Plant>) -> Chill {
    let mut chance = Chance::of(&format!("{id} chill"));
    let mut core = from;
    let mut skin = from;
    let air = chance.between(-4.6, -3.6);
    let usual = chance.between(52.0, 58.0);
    let slower = [1.0, chance.between(1.02, 1.06)];
    let (mut below_upper, mut fault_over) = (None, false);
    let mut warm_again = 0;
    let mut end: Option<i64> = None;
    let mut gap_from: Option<i64> = None;
    let mut rows = Vec::new();
    let mut minute = -5;
    while end.is_none_or(|end| minute <= end + 5) {
        let (coldest, warmest) = (core[0].min(core[1]), core[0].max(core[1]));
        if warmest <= 26.7 && below_upper.is_none() {
            below_upper = Some(minute);
        }
        let (mut aim, mut lag) = (air, usual);
        match plant {
            _ if minute < 0 || end.is_some_and(|end| minute > end) => (aim, lag) = (12.0, 300.0),
            // The fan stood still until the load was half cold.
            Some(Plant::FirstSlow) if warmest > 28.0 => lag = 165.0,
            // The evaporator iced up below 10 °C and was only cleared hours later.
            Some(Plant::SecondSlow) if warmest <= 9.5 && below_upper.is_some_and(|b| minute < b + 350) => {
                (aim, lag) = (3.7, 180.0);
            }
            // Cold once, then left with the door open.
            Some(Plant::Rewarmed) if !fault_over && (warm_again > 0 || warmest <= 3.8) => {
                (aim, lag) = (14.0, 100.0);
                warm_again = if coldest > 10.0 { warm_again + 1 } else { warm_again.max(1) };
                fault_over = warm_again > 160;
            }
            _ => {}
        }
        for ((core, skin), slower) in core.iter_mut().zip(&mut skin).zip(slower) {
            *skin += (aim - *skin) * share(1.0, if minute < 0 { 90.0 } else { 8.0 });
            *core += (*skin - *core) * share(1.0, lag * slower);
        }
        let faulty = plant == Some(Plant::Rewarmed) && !fault_over;
        if end.is_none() && ((warmest <= 3.6 && !faulty) || minute > 900) {
            end = Some(minute + 8);
        }
        let mut cells = core.map(|core| Cell::Value(core + chance.noise(0.04)));
        if plant == Some(Plant::ChillCodes) {
            match minute {
                // Single rows only: each is bridged by its neighbours, or costs a few minutes.
                40 | 75 => cells[0] = Cell::Missing,
                90 => cells[1] = Cell::Broken,
                _ => {}
            }
        }
        if plant == Some(Plant::ChillGap) && coldest <= 60.0 && gap_from.is_none() {
            gap_from = Some(minute);
        }
        if gap_from.is_none_or(|from| minute >= from + 118) {
            rows.push(ChillRow { at: start + minute * MINUTE, cells });
            if plant == Some(Plant::ChillTwice) && minute == 60 {
                rows.push(ChillRow { at: start + minute * MINUTE, cells });
            }
        }
        minute += 1;
    }
    Chill { start, end: start + end.unwrap_or(minute) * MINUTE, rows }
}

/// One row of the cold store: air at the door and at the back.
pub(crate) struct StoreRow {
    /// When.
    pub(crate) at: Second,
    /// Door and back.
    pub(crate) cells: [Cell; 2],
}

/// The cold store, every minute from 1 October to the end of 5 November, wall clock.
pub(crate) fn store() -> Vec<StoreRow> {
    let mut chance = Chance::of("store");
    let (mut door, mut back) = (2.6, 2.0);
    let mut opened_until = 0;
    let mut rows = Vec::new();
    let (first, last) = (at(1, 0), at(37, 0));
    for now in (first..last).step_by(60) {
        let running = 0.5 * wave(now, 26 * MINUTE);
        let (mut aim_door, mut aim_back) = (2.7 + running, 2.1 + running);
        let (mut lag_door, mut lag_back) = (11.0, 14.0);
        // Defrost for 18 min every 6 h, by a timer that knows no summer time.
        let defrost = (now + 4 * 3_600).rem_euclid(6 * 3_600) < 18 * MINUTE;
        if defrost {
            (aim_door, aim_back) = (5.0, 4.7);
        }
        // Doors open now and then while people work, but not during a defrost: a lamp at the door tells them.
        let hour = ((now + 3_600).rem_euclid(86_400)) / 3_600;
        if (5..18).contains(&hour) && chance.whole(1, 24) == 1 {
            opened_until = now + 3 * MINUTE;
        }
        if now < opened_until && !defrost {
            aim_door += 1.0;
        }
        let trouble = trouble_at(now);
        match trouble {
            Some(StoreTrouble::DoorOpen) => (aim_door, aim_back, lag_door) = (6.3, 4.3, 4.0),
            Some(StoreTrouble::WarmAir) => (aim_door, aim_back, lag_door) = (8.3, 4.0, 4.0),
            _ if door > 4.7 => (lag_door, lag_back) = (5.0, 10.0),
            _ => {}
        }
        door += (aim_door - door) * share(1.0, lag_door);
        back += (aim_back - back) * share(1.0, lag_back);
        let mut cells = [door, back].map(|air| Cell::Value(air + chance.noise(0.05)));
        if trouble == Some(StoreTrouble::SensorLost) {
            cells[0] = Cell::Missing;
        }
        if trouble != Some(StoreTrouble::NoRows) {
            rows.push(StoreRow { at: now, cells });
        }
    }
    rows
}
