//! A trace in few bytes: steps of time, of lines and of digits, most of them one byte a reading.
//!
//! A [`Pen`] writes the readings of one stretch of one file; a [`Trace`] keeps such stretches one after the other. What
//! is read back is equal to what was written to the last bit.

use super::number::Decimal;
use super::series::{Entry, EntryKind};
use crate::time::SECOND;

/// What a row of a trace holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Held {
    /// A number by its digits.
    Decimal(Decimal),
    /// The lowest and the highest value that it may be.
    Spread(f64, f64),
    /// No reading: the trace breaks.
    Broken,
}

/// Below this a byte is a whole reading: the usual steps, and the step of its digits.
const SHORT: u8 = 240;
/// The short byte of an unchanged value.
const LEVEL: i64 = 120;
/// The step of time is written out.
const NEW_STEP: u8 = 1;
/// The step of lines is written out.
const NEW_LINES: u8 = 2;
/// How the value is written, in two bits: a step of digits, new places and digits, both ends, or broken.
const STEP: u8 = 0;
const PLACES: u8 = 4;
const ENDS: u8 = 8;
const BROKEN: u8 = 12;

/// What the reading before was, from which the next is told.
#[derive(Debug, Clone, Copy, Default)]
struct Before {
    at: i64,
    step: i64,
    digits: i64,
    row: u32,
    lines: i32,
    places: u8,
}

/// Bytes that a pen holds beside itself before they go into its list.
const BESIDE: usize = 56;

/// Writes the readings of one channel out of one stretch of one file.
///
/// Many pens are written in turn, so that each is two lines of the processor's memory and seldom touches more.
#[derive(Debug)]
#[repr(align(64))]
pub(crate) struct Pen {
    before: Before,
    list: Vec<u8>,
    /// How many were written.
    pub count: u32,
    filled: u8,
    disordered: bool,
    beside: [u8; BESIDE],
    first: i64,
}

impl Default for Pen {
    fn default() -> Self {
        Pen {
            before: Before::default(),
            list: Vec::new(),
            count: 0,
            filled: 0,
            disordered: false,
            beside: [0; BESIDE],
            first: 0,
        }
    }
}

impl Pen {
    /// Writes one row. `row` is its line in the file.
    #[inline]
    pub fn write(&mut self, at: i64, row: u32, held: Held) {
        let before = self.before;
        let (step, lines) = (at.wrapping_sub(before.at), i64::from(row) - i64::from(before.row));
        if let Held::Decimal(value) = held
            && step == before.step
            && lines == i64::from(before.lines)
            && value.places == before.places
            && let change @ 0..240 = value.digits.wrapping_sub(before.digits).wrapping_add(LEVEL)
            && let Some(place) = self.beside.get_mut(usize::from(self.filled))
        {
            *place = change as u8;
            self.filled += 1;
            self.before.digits = value.digits;
        } else {
            self.long(step, lines, held);
        }
        if self.count == 0 {
            self.first = at;
        } else if at <= before.at {
            self.disordered = true;
        }
        (self.before.at, self.before.row) = (at, row);
        self.count += 1;
    }

    /// Puts what stands beside the list into it.
    fn flush(&mut self) {
        self.list.extend_from_slice(self.beside.get(..usize::from(self.filled)).unwrap_or_default());
        self.filled = 0;
    }

    #[inline(never)]
    fn long(&mut self, step: i64, lines: i64, held: Held) {
        if self.list.is_empty() {
            self.list.reserve(2 * BESIDE);
        }
        self.flush();
        let start = self.list.len();
        self.list.push(0);
        let mut tag = SHORT;
        if step != self.before.step {
            tag |= NEW_STEP;
            self.before.step = step;
            if step % SECOND == 0 {
                varint(zigzag(step / SECOND) + 1, &mut self.list);
            } else {
                self.list.push(0);
                self.list.extend_from_slice(&step.to_le_bytes());
            }
        }
        // A step of lines beyond 32 bits is told anew each time.
        if lines != i64::from(self.before.lines) {
            tag |= NEW_LINES;
            self.before.lines = i32::try_from(lines).unwrap_or(0);
            varint(zigzag(lines), &mut self.list);
        }
        match held {
            Held::Decimal(value) => match self.before.raised(value) {
                Some(digits) => {
                    tag |= STEP;
                    varint(zigzag(digits.wrapping_sub(self.before.digits)), &mut self.list);
                    self.before.digits = digits;
                }
                None => {
                    tag |= PLACES;
                    self.list.push(value.places);
                    varint(zigzag(value.digits), &mut self.list);
                    (self.before.digits, self.before.places) = (value.digits, value.places);
                }
            },
            Held::Spread(lo, hi) => {
                tag |= ENDS;
                self.list.extend_from_slice(&lo.to_bits().to_le_bytes());
                self.list.extend_from_slice(&hi.to_bits().to_le_bytes());
            }
            Held::Broken => tag |= BROKEN,
        }
        if let Some(first) = self.list.get_mut(start) {
            *first = tag;
        }
    }
}

impl Before {
    /// The digits of a number with the places of the one before: the same double, for both divisions round the same
    /// fraction of two exact doubles.
    fn raised(&self, value: Decimal) -> Option<i64> {
        const MOST: i64 = 1 << 53;
        let more = self.places.checked_sub(value.places)?;
        let digits = value.digits.checked_mul(10_i64.checked_pow(u32::from(more))?)?;
        (-MOST..=MOST).contains(&digits).then_some(digits)
    }
}

/// A run of stretches with its first and last instant.
#[derive(Debug, Clone)]
struct Piece {
    bytes: Box<[u8]>,
    first: i64,
    last: i64,
}

/// The readings of one channel.
#[derive(Debug, Clone, Default)]
pub(crate) struct Trace {
    pieces: Vec<Piece>,
    tail: Vec<u8>,
    /// The instants between which the tail lies.
    within: Option<(i64, i64)>,
    /// The latest instant so far.
    last: Option<i64>,
    /// Whether some row is not later than the row before it.
    pub disordered: bool,
}

/// A tail of so many bytes becomes a piece.
const FULL: usize = 4096;

impl Trace {
    /// Adds what a pen wrote out of a file.
    pub fn add(&mut self, file: u16, pen: &Pen) {
        if pen.count == 0 {
            return;
        }
        let (low, high) = if pen.disordered { (i64::MIN, i64::MAX) } else { (pen.first, pen.before.at) };
        self.disordered |= pen.disordered || self.last.is_some_and(|last| pen.first <= last);
        self.last = Some(self.last.map_or(pen.before.at, |last| last.max(pen.before.at)));
        let beside = pen.beside.get(..usize::from(pen.filled)).unwrap_or_default();
        self.tail.reserve(pen.list.len() + beside.len() + 8);
        varint(u64::from(pen.count), &mut self.tail);
        varint(u64::from(file), &mut self.tail);
        self.tail.extend_from_slice(&pen.list);
        self.tail.extend_from_slice(beside);
        self.within = Some(self.within.map_or((low, high), |(first, last)| (first.min(low), last.max(high))));
        if self.tail.len() >= FULL {
            self.close();
        }
    }

    /// Adds another trace behind this one.
    pub fn join(&mut self, other: &mut Trace) {
        if self.last.is_none() {
            *self = std::mem::take(other);
            return;
        }
        let Some(last) = other.last else { return };
        let first = other.pieces.first().map(|piece| piece.first).or(other.within.map(|(first, _)| first));
        self.disordered |= other.disordered || first.zip(self.last).is_none_or(|(first, last)| first <= last);
        self.last = self.last.max(Some(last));
        if !other.pieces.is_empty() {
            self.close();
            self.pieces.append(&mut other.pieces);
        }
        if let Some((first, last)) = other.within {
            self.tail.extend_from_slice(&other.tail);
            self.within = Some(self.within.map_or((first, last), |(low, high)| (low.min(first), high.max(last))));
            if self.tail.len() >= FULL {
                self.close();
            }
        }
    }

    /// Makes a piece of the tail.
    fn close(&mut self) {
        if let Some((first, last)) = self.within.take() {
            self.pieces.push(Piece { bytes: self.tail.as_slice().into(), first, last });
            self.tail.clear();
        }
    }

    /// Appends the rows of every piece that reaches into a stretch of time, in the order in which they were written.
    pub fn read(&self, (from, to): (i64, i64), out: &mut Vec<Entry>) {
        let tail = self.within.map(|(first, last)| (self.tail.as_slice(), first, last));
        let pieces = self.pieces.iter().map(|piece| (&*piece.bytes, piece.first, piece.last)).chain(tail);
        for (bytes, first, last) in pieces {
            if first <= to && last >= from {
                stretches(bytes, out);
            }
        }
    }

    /// The same rows written anew, from rows in order of time.
    pub fn of(rows: &[Entry]) -> Trace {
        let mut trace = Trace::default();
        for run in rows.chunk_by(|a, b| a.file == b.file) {
            for part in run.chunks(FULL) {
                let mut pen = Pen::default();
                for entry in part {
                    let held = match entry.kind {
                        EntryKind::Reading if entry.lo.to_bits() == entry.hi.to_bits() => {
                            Decimal::of(entry.lo).map_or(Held::Spread(entry.lo, entry.hi), Held::Decimal)
                        }
                        EntryKind::Reading => Held::Spread(entry.lo, entry.hi),
                        EntryKind::Broken => Held::Broken,
                    };
                    pen.write(entry.at, entry.row, held);
                }
                trace.add(part.first().map_or(0, |entry| entry.file), &pen);
            }
        }
        trace
    }
}

/// Reads stretch after stretch; what is written here is whole, so a stretch that breaks off cannot be.
fn stretches(bytes: &[u8], out: &mut Vec<Entry>) {
    let mut rest = bytes;
    while let Some(next) = stretch(rest, out) {
        rest = next;
    }
}

fn stretch<'b>(mut rest: &'b [u8], out: &mut Vec<Entry>) -> Option<&'b [u8]> {
    let count = number(&mut rest)?;
    let file = u16::try_from(number(&mut rest)?).ok()?;
    let mut before = Before::default();
    let mut tens = 1.0;
    out.reserve(usize::try_from(count).ok()?);
    for _ in 0..count {
        let (&tag, after) = rest.split_first()?;
        rest = after;
        let mut kind = EntryKind::Reading;
        let mut lines = i64::from(before.lines);
        let (lo, hi);
        if tag < SHORT {
            before.digits = before.digits.wrapping_add(i64::from(tag) - LEVEL);
            lo = before.digits as f64 / tens;
            hi = lo;
        } else {
            if tag & NEW_STEP != 0 {
                before.step = match number(&mut rest)? {
                    0 => i64::from_le_bytes(eight(&mut rest)?),
                    seconds => unzigzag(seconds - 1) * SECOND,
                };
            }
            if tag & NEW_LINES != 0 {
                lines = unzigzag(number(&mut rest)?);
                before.lines = i32::try_from(lines).unwrap_or(0);
            }
            match tag & BROKEN {
                STEP => {
                    before.digits = before.digits.wrapping_add(unzigzag(number(&mut rest)?));
                    lo = before.digits as f64 / tens;
                    hi = lo;
                }
                PLACES => {
                    let (&places, after) = rest.split_first()?;
                    rest = after;
                    before.digits = unzigzag(number(&mut rest)?);
                    tens = Decimal { digits: 1, places }.power();
                    lo = before.digits as f64 / tens;
                    hi = lo;
                }
                ENDS => {
                    lo = f64::from_bits(u64::from_le_bytes(eight(&mut rest)?));
                    hi = f64::from_bits(u64::from_le_bytes(eight(&mut rest)?));
                }
                _ => {
                    kind = EntryKind::Broken;
                    (lo, hi) = (0.0, 0.0);
                }
            }
        }
        before.at = before.at.wrapping_add(before.step);
        before.row = u32::try_from(i64::from(before.row) + lines).ok()?;
        out.push(Entry { at: before.at, lo, hi, row: before.row, file, kind });
    }
    Some(rest)
}

fn zigzag(number: i64) -> u64 {
    ((number << 1) ^ (number >> 63)).cast_unsigned()
}

fn unzigzag(number: u64) -> i64 {
    (number >> 1).cast_signed() ^ -((number & 1).cast_signed())
}

/// Seven bits a byte, the lowest first.
fn varint(mut number: u64, out: &mut Vec<u8>) {
    while number >= 0x80 {
        out.push((number as u8) | 0x80);
        number >>= 7;
    }
    out.push(number as u8);
}

fn number(rest: &mut &[u8]) -> Option<u64> {
    let mut value = 0;
    for shift in (0..64).step_by(7) {
        let (&byte, after) = rest.split_first()?;
        *rest = after;
        value |= u64::from(byte & 0x7f) << shift;
        if byte < 0x80 {
            return Some(value);
        }
    }
    None
}

fn eight(rest: &mut &[u8]) -> Option<[u8; 8]> {
    let (&bytes, after) = rest.split_first_chunk::<8>()?;
    *rest = after;
    Some(bytes)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn held() -> impl Strategy<Value = Held> {
        let decimal = |range: std::ops::Range<i64>| {
            (range, 0_u8..4).prop_map(|(digits, places)| Held::Decimal(Decimal { digits, places }))
        };
        prop_oneof![
            8 => decimal(600..800),
            2 => decimal(-999_999_999_999_999..999_999_999_999_999),
            1 => (any::<f64>(), any::<f64>()).prop_map(|(lo, hi)| Held::Spread(lo, hi)),
            1 => Just(Held::Spread(-0.0, -0.0)),
            1 => Just(Held::Broken),
        ]
    }

    fn step() -> impl Strategy<Value = i64> {
        prop_oneof![6 => Just(5 * SECOND), 2 => (-3..100_i64).prop_map(|s| s * SECOND), 1 => -1_000_000..9_000_000_000_i64]
    }

    proptest! {
        /// What is read back is what was written, to the bit, however the rows are parted.
        #[test]
        fn what_is_written_is_read_back(
            rows in proptest::collection::vec((step(), 0..5_u32, held(), 0..40_u8), 1..300),
            start in any::<i32>(),
        ) {
            let (mut at, mut line) = (i64::from(start) * 1_000_003, 1_u32);
            let (mut trace, mut pen, mut file) = (Trace::default(), Pen::default(), 0);
            let mut wanted = Vec::new();
            for (step, lines, held, end) in rows {
                (at, line) = (at + step, line + lines);
                pen.write(at, line, held);
                let (lo, hi, kind) = match held {
                    Held::Decimal(value) => (value.value(), value.value(), EntryKind::Reading),
                    Held::Spread(lo, hi) => (lo, hi, EntryKind::Reading),
                    Held::Broken => (0.0, 0.0, EntryKind::Broken),
                };
                wanted.push((at, lo.to_bits(), hi.to_bits(), line, file, kind));
                if end == 0 {
                    trace.add(file, &std::mem::take(&mut pen));
                    file += 1;
                }
            }
            trace.add(file, &pen);
            let mut read = Vec::new();
            trace.read((i64::MIN, i64::MAX), &mut read);
            let bits = |rows: &[Entry]| -> Vec<_> {
                rows.iter().map(|e| (e.at, e.lo.to_bits(), e.hi.to_bits(), e.row, e.file, e.kind)).collect()
            };
            prop_assert_eq!(bits(&read), wanted.clone());
            let ordered = wanted.windows(2).all(|pair| pair[0].0 < pair[1].0);
            prop_assert_eq!(trace.disordered, !ordered);
            let mut again = Vec::new();
            Trace::of(&read).read((i64::MIN, i64::MAX), &mut again);
            prop_assert_eq!(bits(&again), wanted);
        }
    }
}
