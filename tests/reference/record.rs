//! Random records: uneven steps, gaps, breaking rows, spreads, doubled instants, loose ends, contradictions.

use crate::exact::Q;
use crate::random::Random;

/// One row. `None` breaks the join; two numbers are a reading known only to lie between them.
/// Values are counted in steps of one tenth or one quarter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    pub at: i64,
    pub value: Option<(i64, i64)>,
}

/// A record and the window over which it is judged. Times are nanoseconds.
#[derive(Debug, Clone)]
pub struct Record {
    pub rows: Vec<Entry>,
    /// How many steps of value make one unit: 10 (not exact in a double) or 4 (exact).
    pub steps: i64,
    /// Accuracy of the instrument, in steps.
    pub accuracy: i64,
    pub start: (i64, i64),
    /// Nothing where no end is recorded.
    pub end: Option<(i64, i64)>,
    pub credit_gap: i64,
    pub edge_allowance: i64,
    /// The time between two ticks.
    pub tick: i64,
}

/// Largest value of a reading, in steps.
pub const HIGH: i64 = 120;

const TICKS: [i64; 5] = [1, 977, 1_000_000_000, 60_000_000_000, 7_300_000_001];

impl Record {
    /// A number of steps as a value.
    pub fn value(&self, steps: i64) -> Q {
        Q::new(steps.into(), self.steps.into())
    }

    pub fn random(r: &mut Random, cooling: bool) -> Self {
        let tick = TICKS[r.within(0, 4) as usize];
        let interval = r.within(1, 6);
        // A coarse grid makes values that equal a threshold, and each other, common.
        let grain = [1, 5, 10][r.within(0, 2) as usize];
        let shape = if cooling { 5 } else { r.within(0, 4) };
        let tidy = r.one_in(3);
        let rare = |r: &mut Random, n: u64| !tidy && r.one_in(n);
        let mut rows = Vec::new();
        let mut at = r.within(0, 14);
        let mut value = match shape {
            1 | 5 => HIGH,
            2 => 0,
            _ => grain * r.within(0, HIGH / grain),
        };
        let until = if r.one_in(20) { r.within(0, 20) } else { r.within(25, 75) };
        while at <= until {
            let width = if rare(r, 12) { grain * r.within(0, 3) } else { 0 };
            rows.push(Entry { at, value: Some((value, value + width)) });
            if rare(r, 20) {
                rows.push(Entry { at, value: Some((value + grain * r.within(-2, 2), value)) });
            }
            if rare(r, 40) {
                let place = rows.len() - usize::from(r.one_in(2));
                rows.insert(place, Entry { at, value: None });
            }
            let step = if rare(r, 12) { r.within(4, 20) } else { (interval + r.within(-1, 1)).max(1) };
            if rare(r, 25) && step > 1 {
                rows.push(Entry { at: at + r.within(1, step - 1), value: None });
            }
            at += step;
            value += grain
                * match shape {
                    0 => r.within(-1, 1),
                    1 => r.within(-3, 1),
                    2 => r.within(-1, 3),
                    3 => r.within(-60 / grain, 60 / grain),
                    4 => 0,
                    _ if r.one_in(9) => r.within(0, 2),
                    _ => r.within(-20 / grain, 0),
                };
            value = value.clamp(0, HIGH);
        }
        let s1 = if cooling { r.within(0, 12) } else { r.within(0, 25) };
        let s2 = if r.one_in(2) { s1 } else { s1 + r.within(0, 7) };
        let e1 = s1 + if cooling { r.within(20, 60) } else { r.within(0, 45) };
        let e2 = if r.one_in(2) { e1 } else { e1 + r.within(0, 7) };
        let mut end = (!r.one_in(15)).then_some((e1, e2));
        let mut start = (s1, s2);
        if r.one_in(40) {
            match r.within(0, 2) {
                0 => start = (s2 + 1, s1),
                1 => end = Some((e2 + 1, e1)),
                _ => end = Some((s1 - 3, s1 - 1)),
            }
        }
        let within_window = end.map_or(i64::MAX, |(_, e2)| e2);
        if r.one_in(40) && rows.len() > 3 && rows[2].at > rows[1].at && rows[2].at <= within_window {
            rows.swap(1, 2);
        }
        for row in &mut rows {
            row.at *= tick;
        }
        // Some windows do not begin and end on the grid of the readings.
        let jitter = if tick > 1 { r.within(0, 1) * (tick / 3) } else { 0 };
        let scaled = |(a, b): (i64, i64)| (a * tick + jitter, b * tick + jitter);
        let uneven = r.within(0, 1) * (tick / 2);
        Self {
            rows,
            steps: if r.one_in(2) { 4 } else { 10 },
            accuracy: if r.one_in(3) { r.within(1, 3) * grain.min(5) } else { 0 },
            start: scaled(start),
            end: end.map(scaled),
            credit_gap: interval * tick * 5 / 2 + uneven,
            edge_allowance: (interval + r.within(0, 2)) * tick + uneven,
            tick,
        }
    }
}
