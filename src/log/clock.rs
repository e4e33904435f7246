//! Date and time formats: what a cell says the clock on the wall showed.
//!
//! A format is written in the `%` notation of strftime. The common ones are read by a fixed layout; what
//! that layout does not take goes to the general parser, and both agree.

use crate::time::{HOUR, MINUTE, SECOND};
use chrono::format::{Fixed, Item, Numeric, Parsed, StrftimeItems};
use chrono::{Datelike, NaiveDate, Timelike};

/// A declared format, checked to be free of doubt.
#[derive(Debug, Clone)]
pub struct Format {
    /// As written in the mapping.
    pub text: String,
    /// The smallest step of time that the format can tell apart, in nanoseconds.
    pub resolution: i64,
    /// Whether the cell carries its own offset from UTC.
    pub has_offset: bool,
    /// Whether it has a time of day, not the date alone.
    pub has_time: bool,
    /// Whether day and month could be taken for each other in a file that shows only early days.
    pub order_matters: bool,
    items: Vec<Item<'static>>,
    layout: Option<Vec<Piece>>,
    hands: Option<Hands>,
}

/// Where minute and second stand in a cell in which every number has its full width.
#[derive(Debug, Clone, Copy)]
struct Hands {
    minute: usize,
    second: Option<usize>,
    /// The width of all that stands before an offset.
    width: usize,
    /// How many pieces of the layout that is.
    pieces: usize,
}

/// The cell that was read last: one that differs in minute and second alone is read from it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Memo {
    cell: Vec<u8>,
    /// What it says, at the full hour.
    hour: Option<Wall>,
}

/// What is wrong with a format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FormatFault {
    /// A `%` that means nothing.
    Unknown,
    /// Year, month or day is left out.
    NoDate,
    /// There is an hour and no minute.
    NoMinute,
    /// A 12-hour clock without AM or PM.
    HalfDay,
    /// A zone by abbreviation, which no one can turn into an offset.
    ZoneName,
}

/// What one cell says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Wall {
    /// Nanoseconds from 1970-01-01 00:00 on the same wall clock.
    pub local: i64,
    /// Seconds east of UTC, if the cell says so.
    pub offset: Option<i32>,
    /// Day of the month.
    pub day: u32,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Piece {
    Year,
    ShortYear,
    Month,
    Day,
    Hour,
    Hour12,
    Minute,
    Second,
    AmPm,
    Offset,
    Byte(u8),
}

impl Format {
    /// Checks a format and prepares it.
    pub(crate) fn new(text: &str) -> Result<Format, FormatFault> {
        let items = StrftimeItems::new(text).parse_to_owned().map_err(|_| FormatFault::Unknown)?;
        let number =
            |wanted: Numeric| items.iter().position(|item| matches!(item, Item::Numeric(found, _) if *found == wanted));
        let fixed =
            |wanted: &[Fixed]| items.iter().any(|item| matches!(item, Item::Fixed(found) if wanted.contains(found)));
        if fixed(&[Fixed::TimezoneName]) {
            return Err(FormatFault::ZoneName);
        }
        let full = fixed(&[Fixed::RFC3339, Fixed::RFC2822]);
        let stamp = number(Numeric::Timestamp).is_some();
        let (year, month, day) =
            (number(Numeric::Year).or(number(Numeric::YearMod100)), number(Numeric::Month), number(Numeric::Day));
        let month_known = month.is_some() || fixed(&[Fixed::ShortMonthName, Fixed::LongMonthName]);
        let dated = year.is_some() && ((month_known && day.is_some()) || number(Numeric::Ordinal).is_some());
        if !(full || stamp || dated) {
            return Err(FormatFault::NoDate);
        }
        let half = number(Numeric::Hour12).is_some();
        if half && !fixed(&[Fixed::LowerAmPm, Fixed::UpperAmPm]) {
            return Err(FormatFault::HalfDay);
        }
        let has_time = full || stamp || half || number(Numeric::Hour).is_some();
        if has_time && !full && !stamp && number(Numeric::Minute).is_none() {
            return Err(FormatFault::NoMinute);
        }
        let order_matters = match (year, month, day) {
            (Some(year), Some(month), Some(day)) => year > month.min(day),
            _ => false,
        };
        let has_offset = full
            || stamp
            || text.contains("%#z")
            || fixed(&[
                Fixed::TimezoneOffset,
                Fixed::TimezoneOffsetColon,
                Fixed::TimezoneOffsetColonZ,
                Fixed::TimezoneOffsetZ,
                Fixed::TimezoneOffsetDoubleColon,
                Fixed::TimezoneOffsetTripleColon,
            ]);
        let resolution = if !has_time {
            24 * HOUR
        } else if fixed(&[Fixed::Nanosecond3]) || text.contains("%3f") {
            SECOND / 1000
        } else if fixed(&[Fixed::Nanosecond6]) || text.contains("%6f") {
            SECOND / 1_000_000
        } else if fixed(&[Fixed::Nanosecond9]) || number(Numeric::Nanosecond).is_some() {
            1
        } else if full || stamp || number(Numeric::Second).is_some() {
            SECOND
        } else {
            MINUTE
        };
        let layout = layout(&items);
        Ok(Format {
            text: text.to_owned(),
            resolution,
            has_offset,
            has_time,
            order_matters,
            hands: layout.as_deref().and_then(hands),
            layout,
            items,
        })
    }

    /// Reads one cell.
    pub(crate) fn read(&self, cell: &[u8]) -> Option<Wall> {
        self.layout.as_ref().and_then(|layout| fixed_layout(layout, cell)).or_else(|| self.general(cell))
    }

    /// Reads one cell, from the cell before where they differ in minute and second alone.
    #[inline]
    pub(crate) fn read_after(&self, memo: &mut Memo, cell: &[u8]) -> Option<Wall> {
        if let (Some(hands), Some(hour)) = (self.hands, memo.hour)
            && let Some(past) = hands.past(&memo.cell, cell)
        {
            return Some(Wall { local: hour.local + past, ..hour });
        }
        let wall = self.read(cell);
        memo.hour = wall.and_then(|wall| {
            let hands = self.hands?;
            // Only a cell in which the hands stand where they are looked for.
            let start = fixed_layout(self.layout.as_ref()?.get(..hands.pieces)?, cell.get(..hands.width)?)?;
            let past = hands.past(cell, cell)?;
            (start.local == wall.local).then(|| Wall { local: wall.local - past, ..wall })
        });
        memo.cell.clear();
        memo.cell.extend_from_slice(cell);
        wall
    }

    /// The general parser.
    fn general(&self, cell: &[u8]) -> Option<Wall> {
        let text = std::str::from_utf8(cell).ok()?;
        let mut parsed = Parsed::new();
        chrono::format::parse(&mut parsed, text, self.items.iter()).ok()?;
        if let Some(seconds) = parsed.timestamp() {
            let at = chrono::DateTime::from_timestamp(seconds, 0)?;
            return Some(Wall { local: seconds.checked_mul(SECOND)?, offset: Some(0), day: at.day() });
        }
        let date = parsed.to_naive_date().ok()?;
        let (mut seconds, mut nanos) = (0, 0);
        if self.has_time {
            let time = parsed.to_naive_time().ok()?;
            seconds = i64::from(time.num_seconds_from_midnight());
            nanos = i64::from(time.nanosecond());
        }
        let local = days(date).checked_mul(24 * HOUR)?.checked_add(seconds * SECOND + nanos)?;
        Some(Wall { local, offset: parsed.offset(), day: date.day() })
    }
}

impl Hands {
    /// Nanoseconds after the full hour, if the cell differs from the other in minute and second alone.
    #[inline]
    fn past(&self, other: &[u8], cell: &[u8]) -> Option<i64> {
        let same = |from: usize, to: usize| cell.get(from..to) == other.get(from..to);
        let number = |at: usize| {
            let &[tens, ones] = cell.get(at..at + 2)?.first_chunk::<2>()?;
            let (tens, ones) = (tens.wrapping_sub(b'0'), ones.wrapping_sub(b'0'));
            (tens < 6 && ones < 10).then(|| i64::from(tens * 10 + ones))
        };
        if cell.len() != other.len() {
            return None;
        }
        let minute = number(self.minute)? * MINUTE;
        let end = cell.len();
        match self.second {
            None => (same(0, self.minute) && same(self.minute + 2, end)).then_some(minute),
            Some(at) => {
                let (low, high) = (self.minute.min(at), self.minute.max(at));
                let rest = same(0, low) && same(low + 2, high) && same(high + 2, end);
                rest.then_some(minute + number(at)? * SECOND)
            }
        }
    }
}

/// Where the hands stand, if no piece before them may be wider or narrower.
fn hands(layout: &[Piece]) -> Option<Hands> {
    let (mut minute, mut second, mut width, mut pieces) = (None, None, 0, 0);
    for piece in layout {
        match piece {
            Piece::Minute => minute = Some(width),
            Piece::Second => second = Some(width),
            Piece::Offset => break,
            _ => {}
        }
        pieces += 1;
        width += match piece {
            Piece::Byte(_) => 1,
            Piece::Year => 4,
            _ => 2,
        };
    }
    let behind = layout.get(pieces..).unwrap_or_default();
    (!behind.iter().any(|piece| matches!(piece, Piece::Minute | Piece::Second))).then_some(())?;
    Some(Hands { minute: minute?, second, width, pieces })
}

/// Days from 1970-01-01.
fn days(date: NaiveDate) -> i64 {
    i64::from(date.num_days_from_ce()) - 719_163
}

fn layout(items: &[Item<'static>]) -> Option<Vec<Piece>> {
    let mut pieces = Vec::new();
    for item in items {
        match item {
            Item::Literal(text) | Item::Space(text) => pieces.extend(text.bytes().map(Piece::Byte)),
            Item::OwnedLiteral(text) | Item::OwnedSpace(text) => pieces.extend(text.bytes().map(Piece::Byte)),
            Item::Numeric(number, _) => pieces.push(match number {
                Numeric::Year => Piece::Year,
                Numeric::YearMod100 => Piece::ShortYear,
                Numeric::Month => Piece::Month,
                Numeric::Day => Piece::Day,
                Numeric::Hour => Piece::Hour,
                Numeric::Hour12 => Piece::Hour12,
                Numeric::Minute => Piece::Minute,
                Numeric::Second => Piece::Second,
                _ => return None,
            }),
            Item::Fixed(Fixed::LowerAmPm | Fixed::UpperAmPm) => pieces.push(Piece::AmPm),
            Item::Fixed(Fixed::TimezoneOffset | Fixed::TimezoneOffsetColon | Fixed::TimezoneOffsetColonZ) => {
                pieces.push(Piece::Offset);
            }
            _ => return None,
        }
    }
    // A part given twice must agree with itself; that is left to the general parser.
    let twice = |piece: &Piece| pieces.iter().filter(|other| *other == piece).count() > 1;
    let day_parts = [Piece::Year, Piece::Month, Piece::Day, Piece::Hour, Piece::Minute, Piece::Second];
    let mixed = pieces.contains(&Piece::Hour) && (pieces.contains(&Piece::Hour12) || pieces.contains(&Piece::AmPm));
    let years = pieces.contains(&Piece::Year) && pieces.contains(&Piece::ShortYear);
    (!mixed && !years && !day_parts.iter().any(twice)).then_some(pieces)
}

fn fixed_layout(layout: &[Piece], cell: &[u8]) -> Option<Wall> {
    let mut rest = cell;
    let (mut year, mut month, mut day) = (0_i32, 0, 0);
    let (mut hour, mut minute, mut second) = (0, 0, 0);
    let (mut half_day, mut evening, mut offset) = (false, false, None);
    for piece in layout {
        match piece {
            Piece::Byte(byte) => rest = rest.strip_prefix(std::slice::from_ref(byte))?,
            Piece::Year => {
                let (high, after) = two_digits(rest)?;
                let (low, after) = two_digits(after)?;
                year = i32::try_from(high * 100 + low).ok()?;
                rest = after;
            }
            Piece::ShortYear => {
                let (short, after) = two_digits(rest)?;
                year = i32::try_from(short + if short < 70 { 2000 } else { 1900 }).ok()?;
                rest = after;
            }
            Piece::Month => (month, rest) = digits(rest)?,
            Piece::Day => (day, rest) = digits(rest)?,
            Piece::Hour => (hour, rest) = digits(rest)?,
            Piece::Hour12 => {
                (hour, rest) = digits(rest)?;
                half_day = true;
                if hour == 0 || hour > 12 {
                    return None;
                }
            }
            Piece::Minute => (minute, rest) = digits(rest)?,
            Piece::Second => (second, rest) = digits(rest)?,
            Piece::AmPm => {
                let (&[letter, m], after) = rest.split_first_chunk::<2>()?;
                evening = match (letter.to_ascii_lowercase(), m.to_ascii_lowercase()) {
                    (b'a', b'm') => false,
                    (b'p', b'm') => true,
                    _ => return None,
                };
                rest = after;
            }
            Piece::Offset => {
                let found;
                (found, rest) = offset_of(rest)?;
                offset = Some(found);
            }
        }
    }
    if half_day {
        hour = hour % 12 + if evening { 12 } else { 0 };
    }
    if !rest.is_empty() || hour > 23 || minute > 59 || second > 59 {
        return None;
    }
    let date = NaiveDate::from_ymd_opt(year, month, day)?;
    let of_day = i64::from(hour) * HOUR + i64::from(minute) * MINUTE + i64::from(second) * SECOND;
    let local = days(date).checked_mul(24 * HOUR)?.checked_add(of_day)?;
    Some(Wall { local, offset, day })
}

fn digit(byte: u8) -> Option<u32> {
    byte.is_ascii_digit().then(|| u32::from(byte - b'0'))
}

fn two_digits(text: &[u8]) -> Option<(u32, &[u8])> {
    let (&[a, b], rest) = text.split_first_chunk::<2>()?;
    Some((digit(a)? * 10 + digit(b)?, rest))
}

/// One or two digits, as many as there are.
fn digits(text: &[u8]) -> Option<(u32, &[u8])> {
    two_digits(text).or_else(|| {
        let (&byte, rest) = text.split_first()?;
        Some((digit(byte)?, rest))
    })
}

/// `Z`, `+01:00` or `+0100`, in seconds east of UTC.
fn offset_of(text: &[u8]) -> Option<(i32, &[u8])> {
    let (&sign, rest) = text.split_first()?;
    let sign = match sign {
        b'Z' => return Some((0, rest)),
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let (hours, rest) = two_digits(rest)?;
    let (minutes, rest) = two_digits(rest.strip_prefix(b":").unwrap_or(rest))?;
    let seconds = i32::try_from(hours * 3600 + minutes * 60).ok()?;
    (hours < 24 && minutes < 60).then_some((sign * seconds, rest))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use chrono::NaiveDateTime;
    use proptest::prelude::*;

    fn local(text: &str) -> i64 {
        let time = NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M:%S").unwrap();
        time.and_utc().timestamp_nanos_opt().unwrap()
    }

    #[test]
    fn the_shapes_that_loggers_write() {
        for (format, cell, expected) in [
            ("%m/%d/%y %I:%M:%S %p", "01/13/17 12:00:00 AM", "2017-01-13 00:00:00"),
            ("%m/%d/%y %I:%M:%S %p", "01/13/17 12:30:00 PM", "2017-01-13 12:30:00"),
            ("%d.%m.%Y %H:%M:%S", "03.10.2026 18:00:00", "2026-10-03 18:00:00"),
            ("%d/%m/%Y %H.%M.%S", "10/03/2004 18.00.00", "2004-03-10 18:00:00"),
            ("%Y/%m/%d,%H:%M:%S", "2025/7/7,0:41:36", "2025-07-07 00:41:36"),
            ("%d %b %Y %H:%M", "3 Oct 2026 07:05", "2026-10-03 07:05:00"),
            ("%Y%m%d%H%M%S", "20261003070500", "2026-10-03 07:05:00"),
            ("%Y-%m-%d", "2026-10-03", "2026-10-03 00:00:00"),
        ] {
            let wall = Format::new(format).unwrap().read(cell.as_bytes());
            assert_eq!(wall.map(|wall| wall.local), Some(local(expected)), "{format} {cell}");
        }
    }

    #[test]
    fn an_offset_in_the_cell_is_taken() {
        let format = Format::new("%Y-%m-%dT%H:%M:%S%:z").unwrap();
        assert!(format.has_offset);
        assert_eq!(format.read(b"2026-10-25T01:30:00+01:00").unwrap().offset, Some(3600));
        assert_eq!(format.read(b"2026-10-25T01:30:00Z").unwrap().offset, Some(0));
        assert_eq!(format.read(b"2026-10-25T01:30:00"), None);
    }

    #[test]
    fn formats_with_a_doubt_are_refused() {
        for (format, fault) in [
            ("%d/%m/%Y %I:%M", FormatFault::HalfDay),
            ("%d/%m %H:%M", FormatFault::NoDate),
            ("%H:%M", FormatFault::NoDate),
            ("%Y-%m-%d %H", FormatFault::NoMinute),
            ("%Y-%m-%d %H:%M %Z", FormatFault::ZoneName),
            ("%Y-%m-%d %Q", FormatFault::Unknown),
            ("dd/mm/yyyy", FormatFault::NoDate),
        ] {
            assert_eq!(Format::new(format).err(), Some(fault), "{format}");
        }
    }

    #[test]
    fn what_is_no_time_is_none() {
        let format = Format::new("%d/%m/%Y %H:%M").unwrap();
        for cell in [
            "13/13/2026 10:00",
            "31/02/2026 10:00",
            "01/02/2026 24:00",
            "01/02/2026",
            "",
            "01/02/2026 10:00 x",
            "1/2/26 10:00",
        ] {
            assert_eq!(format.read(cell.as_bytes()), None, "{cell}");
        }
    }

    #[test]
    fn resolution_follows_the_format() {
        for (format, expected) in
            [("%Y-%m-%d", 24 * HOUR), ("%Y-%m-%d %H:%M", MINUTE), ("%F %T", SECOND), ("%F %T%.3f", SECOND / 1000)]
        {
            assert_eq!(Format::new(format).unwrap().resolution, expected, "{format}");
        }
        assert!(Format::new("%d/%m/%Y").unwrap().order_matters);
        assert!(!Format::new("%Y-%m-%d").unwrap().order_matters);
    }

    proptest! {
        /// Reading from the cell before says what reading alone says.
        #[test]
        fn the_cell_before_changes_nothing(
            cells in proptest::collection::vec("0?[1-2]/0[1-2]/(20)?26[ T]1?[0-2]:[0-6]?[0-9]:[0-6][0-9x]( PM| AM|Z|[+-]0[0-2]:00)?", 1..20),
        ) {
            for text in ["%d/%m/%Y %H:%M:%S", "%m/%d/%y %I:%M:%S %p", "%d/%m/%YT%H:%M:%S%:z", "%d/%m/%y %H:%M:%S"] {
                let format = Format::new(text).unwrap();
                let mut memo = Memo::default();
                for cell in &cells {
                    prop_assert_eq!(format.read_after(&mut memo, cell.as_bytes()), format.read(cell.as_bytes()), "{} {}", text, cell);
                }
            }
        }

        /// The fixed layout never says other than the general parser.
        #[test]
        fn both_ways_agree(cell in "[0-3]?[0-9]/[0-1]?[0-9]/[0-9]{2,4} [0-2]?[0-9]:[0-6]?[0-9]:[0-6]?[0-9] ?[AaPp]?[Mm]?") {
            for text in ["%d/%m/%Y %H:%M:%S", "%m/%d/%y %I:%M:%S %p", "%d/%m/%y %H:%M:%S"] {
                let format = Format::new(text).unwrap();
                if let Some(quick) = fixed_layout(format.layout.as_ref().unwrap(), cell.as_bytes()) {
                    prop_assert_eq!(Some(quick), format.general(cell.as_bytes()), "{}", text);
                }
            }
        }
    }
}
