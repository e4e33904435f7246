//! Rules 2 to 7 and 10: readings, pieces, short edges, the surest and the widest window.

use crate::exact::Q;
use crate::record::Record;

/// Lowest and highest value; nothing stands for "anything".
pub type Hull = Option<(Q, Q)>;

/// All rows of one instant that has at least one reading.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    pub at: i64,
    pub hull: Hull,
}

/// What lies between two readings, before the first, or after the last.
#[derive(Debug, Clone, Copy)]
pub struct Piece {
    pub from: i64,
    pub to: i64,
    /// What the value can have been; "anything" wherever the two readings are not joined.
    pub hull: Hull,
    /// For a short uncovered edge: what its nearest reading says.
    pub nearest: Hull,
    pub at_start: bool,
}

/// A closed window; the last instant is `i64::MAX` where no end is recorded.
#[derive(Debug, Clone, Copy)]
pub struct Window {
    pub from: i64,
    pub to: i64,
}

impl Window {
    pub fn holds(&self, at: i64) -> bool {
        self.from <= at && at <= self.to
    }

    /// The part of a piece (its ends are readings of their own) that lies in the window.
    pub fn part(&self, piece: &Piece) -> Option<Window> {
        let meets = self.from <= self.to && piece.from < self.to && piece.to > self.from;
        meets.then(|| Window { from: piece.from.max(self.from), to: piece.to.min(self.to) })
    }

    pub fn length(&self) -> Q {
        Q::from_integer(i128::from(self.to) - i128::from(self.from))
    }
}

/// Everything in time order: piece `i` ends at reading `i`, piece `i + 1` starts there.
#[derive(Debug)]
pub struct Timeline {
    pub readings: Vec<Reading>,
    pub pieces: Vec<Piece>,
    /// Rule 10: [S1, E2], over which most is taken.
    pub widest: Window,
    /// Rule 10: [S2, E1], over which least is taken; empty if it ends before it starts.
    pub surest: Window,
    pub endless: bool,
    /// The record contradicts itself.
    pub contradiction: bool,
    /// Something in the widest window shows a value.
    pub judged: bool,
}

pub fn both(a: Hull, b: Hull) -> Hull {
    let ((a_lo, a_hi), (b_lo, b_hi)) = (a?, b?);
    Some((a_lo.min(b_lo), a_hi.max(b_hi)))
}

/// Rule 3: a breaking row in the span, its ends included.
fn breaks(record: &Record, from: i64, to: i64) -> bool {
    record.rows.iter().any(|row| row.value.is_none() && from <= row.at && row.at <= to)
}

/// Rules 6 and 7: one reading for an instant, the hull of its values, widened by the accuracy.
/// Rule 3: a breaking row at that instant leaves "anything".
fn readings(record: &Record) -> Vec<Reading> {
    let mut instants: Vec<i64> = record.rows.iter().filter(|row| row.value.is_some()).map(|row| row.at).collect();
    instants.sort();
    instants.dedup();
    let reading = |at: &i64| {
        let values: Vec<i64> = record
            .rows
            .iter()
            .filter(|row| row.at == *at)
            .filter_map(|row| row.value)
            .flat_map(|(a, b)| [a, b])
            .collect();
        let lo = record.value(values.iter().min().unwrap() - record.accuracy);
        let hi = record.value(values.iter().max().unwrap() + record.accuracy);
        Reading { at: *at, hull: (!breaks(record, *at, *at)).then_some((lo, hi)) }
    };
    instants.iter().map(reading).collect()
}

/// Rules 2 and 4: the piece between two readings.
fn between(record: &Record, a: &Reading, b: &Reading) -> Piece {
    let joined = b.at - a.at <= record.credit_gap && !breaks(record, a.at, b.at);
    let hull = if joined { both(a.hull, b.hull) } else { None };
    Piece { from: a.at, to: b.at, hull, nearest: None, at_start: false }
}

impl Timeline {
    pub fn new(record: &Record) -> Self {
        let readings = readings(record);
        let (s1, s2) = record.start;
        let (e1, e2) = record.end.unwrap_or((s1, i64::MAX));
        let widest = Window { from: s1, to: e2 };
        let surest = Window { from: s2, to: e1 };
        let stepped_back = record.rows.windows(2).any(|pair| pair[1].at < pair[0].at);
        let contradiction = s1 > s2 || e1 > e2 || e2 < s1 || stepped_back;
        let mut pieces = Vec::new();
        let loose = |from, to| Piece { from, to, hull: None, nearest: None, at_start: false };
        pieces.push(loose(i64::MIN, readings.first().map_or(i64::MAX, |first| first.at)));
        for pair in readings.windows(2) {
            pieces.push(between(record, &pair[0], &pair[1]));
        }
        if let Some(last) = readings.last() {
            pieces.push(loose(last.at, i64::MAX));
        }
        let judged = readings.iter().any(|reading| widest.holds(reading.at) && reading.hull.is_some())
            || pieces.iter().any(|piece| piece.hull.is_some() && widest.part(piece).is_some());
        let endless = record.end.is_none();
        let mut timeline = Self { readings, pieces, widest, surest, endless, contradiction, judged };
        timeline.short_edges(record);
        timeline
    }

    /// Rule 4: an uncovered edge no longer than the allowance. Rule 3: none with a breaking row in it.
    fn short_edges(&mut self, record: &Record) {
        let Window { from: start, to: end } = self.widest;
        let hull_before = |i: usize| i.checked_sub(1).and_then(|i| self.readings.get(i));
        let mut pieces = self.pieces.clone();
        for (i, piece) in pieces.iter_mut().enumerate() {
            if piece.hull.is_some() {
                continue;
            }
            let before = hull_before(i);
            let after = self.readings.get(i);
            // The start lies in the piece and the first reading of the window ends it.
            if let Some(after) = after
                && piece.from < start
                && start < after.at
                && after.at <= end
                && after.at - start <= record.edge_allowance
                && !breaks(record, start, after.at)
            {
                piece.at_start = true;
                piece.nearest = match before {
                    Some(before) if before.hull.is_some() && start - before.at < after.at - start => {
                        both(before.hull, after.hull)
                    }
                    _ => after.hull,
                };
            }
            // The end lies in the piece and the last reading of the window starts it.
            if let Some(before) = before
                && before.at < end
                && end < piece.to
                && before.at >= start
                && !self.endless
                && end - before.at <= record.edge_allowance
                && !breaks(record, before.at, end)
            {
                piece.nearest = match after {
                    Some(after) if after.hull.is_some() && after.at - end < end - before.at => {
                        both(before.hull, after.hull)
                    }
                    _ => before.hull,
                };
            }
        }
        self.pieces = pieces;
    }
}
