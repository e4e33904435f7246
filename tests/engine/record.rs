//! Random records: rows at whole ticks, whole values, uneven steps, gaps, duplicates, breaking rows.

use crate::random::Random;
use bourn::verify::engine::{Row, Sampling, Window};

/// One tick in nanoseconds: a second, so that rates per second are rates per tick.
pub const TICK: i64 = 1_000_000_000;
/// The last tick of the world.
pub const LAST: i64 = 60;
/// Values lie between these, save in gaps.
pub const LOW: i64 = 0;
pub const HIGH: i64 = 12;

/// A reading in whole ticks and whole units; `None` breaks the join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    pub at: i64,
    pub value: Option<i64>,
}

#[derive(Debug, Clone)]
pub struct Record {
    /// Sorted by instant; several entries may share one.
    pub rows: Vec<Entry>,
    /// The true value lies this far at most from a reading.
    pub accuracy: i64,
    /// Readings were promised this often.
    pub interval: i64,
    pub start: (i64, i64),
    pub end: Option<(i64, i64)>,
    pub credit_gap: i64,
    pub edge_allowance: i64,
}

/// All that the record says about one instant that has a reading.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    pub at: i64,
    pub lo: i64,
    pub hi: i64,
    pub void: bool,
}

impl Record {
    pub fn random(r: &mut Random) -> Self {
        let shape = r.within(0, 3);
        Self::shaped(r, shape)
    }

    /// A slow fall from the top with few gaps, as a cooling has it.
    pub fn cooling(r: &mut Random) -> Self {
        Self::shaped(r, 4)
    }

    pub fn shaped(r: &mut Random, shape: i64) -> Self {
        let accuracy = if r.one_in(3) { r.within(1, 2) } else { 0 };
        let interval = r.within(1, 4);
        let mut rows = Vec::new();
        let mut at = r.within(0, 12);
        let until = r.within(30, LAST);
        let mut value = if matches!(shape, 1 | 4 | 5) { HIGH } else { r.within(LOW, HIGH) };
        while at <= until {
            rows.push(Entry { at, value: Some(value) });
            if r.one_in(25) {
                rows.push(Entry { at, value: Some((value + r.within(-2, 2)).clamp(LOW, HIGH)) });
            }
            if r.one_in(40) {
                rows.push(Entry { at, value: None });
            }
            let step = if r.one_in(if shape == 4 { 40 } else { 12 }) {
                r.within(4, 12)
            } else {
                (interval + r.within(-1, 1)).max(1)
            };
            if r.one_in(25) && step > 1 {
                rows.push(Entry { at: at + r.within(1, step - 1), value: None });
            }
            at += step;
            value += match shape {
                0 => r.within(-1, 1),
                1 if r.one_in(6) => r.within(-2, 2),
                1 => r.within(-2, 0),
                2 => r.within(0, 2),
                4 if r.one_in(9) => r.within(0, 1),
                4 => r.within(-1, 0),
                // A steady fall.
                5 => r.within(-2, -1),
                _ => r.within(-4, 4),
            };
            value = value.clamp(LOW, HIGH);
        }
        let s1 = r.within(0, 25);
        let s2 = if r.one_in(2) { s1 } else { s1 + r.within(0, 4) };
        let e1 = (s1 + r.within(0, 40)).min(LAST - 4);
        let e2 = if r.one_in(2) { e1 } else { e1 + r.within(0, 4) };
        Self {
            rows,
            accuracy,
            interval,
            start: (s1, s2),
            end: (!r.one_in(15)).then_some((e1, e2)),
            credit_gap: interval * 5 / 2,
            edge_allowance: interval + r.within(0, 2),
        }
    }

    pub fn window(&self) -> Window {
        let (s1, s2) = self.start;
        Window { start: (s1 * TICK, s2 * TICK), end: self.end.map(|(e1, e2)| (e1 * TICK, e2 * TICK)) }
    }

    pub fn sampling(&self) -> Sampling {
        Sampling { credit_gap: self.credit_gap * TICK, edge_allowance: self.edge_allowance * TICK }
    }

    pub fn engine_rows(&self) -> Vec<Row> {
        let row = |entry: &Entry| match entry.value {
            Some(value) => Row::reading(entry.at * TICK, value as f64),
            None => Row::broken(entry.at * TICK),
        };
        self.rows.iter().map(row).collect()
    }

    pub fn readings(&self) -> Vec<Reading> {
        let mut list: Vec<Reading> = Vec::new();
        for entry in &self.rows {
            let Some(value) = entry.value else { continue };
            match list.last_mut() {
                Some(last) if last.at == entry.at => {
                    last.lo = last.lo.min(value);
                    last.hi = last.hi.max(value);
                }
                _ => list.push(Reading { at: entry.at, lo: value, hi: value, void: false }),
            }
        }
        for reading in &mut list {
            reading.void = self.breaks_in(reading.at, reading.at);
        }
        list
    }

    pub fn breaks_in(&self, from: i64, to: i64) -> bool {
        self.rows.iter().any(|row| row.value.is_none() && from <= row.at && row.at <= to)
    }
}
