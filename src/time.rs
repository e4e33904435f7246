//! Zones, instants and lengths of time.
//!
//! An instant is a whole number of nanoseconds since 1970-01-01 00:00 UTC. What a clock on the wall
//! shows is a [`NaiveDateTime`]; only a zone turns one into the other, and it may answer *twice* (the
//! repeated hour in autumn) or *never* (the lost hour in spring).

mod working;

pub use working::{WEEK, WorkingDays};

use chrono::{DateTime, Datelike, Days, FixedOffset, LocalResult, Months, NaiveDate, NaiveDateTime, Offset, TimeZone};
use chrono_tz::Tz;
use std::fmt;

/// Nanoseconds in a second.
pub const SECOND: i64 = 1_000_000_000;
/// Nanoseconds in a minute.
pub const MINUTE: i64 = 60 * SECOND;
/// Nanoseconds in an hour.
pub const HOUR: i64 = 60 * MINUTE;

/// A point in time, in nanoseconds since 1970-01-01 00:00 UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant(pub i64);

/// A place's clock: an IANA zone with its clock changes, or a fixed offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Zone {
    /// A zone of the IANA time zone database.
    Named(Tz),
    /// A clock that never changes.
    Fixed(FixedOffset),
}

/// The instants at which a wall clock showed a given reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Placed {
    /// Exactly once.
    Once(Instant),
    /// Twice: the clock was put back between them.
    Twice(Instant, Instant),
    /// Never: the clock was put forward over it, or the date is outside the range of instants.
    Never,
}

impl Zone {
    /// Coordinated universal time.
    pub const UTC: Zone = Zone::Named(Tz::UTC);

    /// Reads `Europe/London`, `UTC`, `+01:00` or `-07:00`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Zone> {
        if let Ok(zone) = text.parse::<Tz>() {
            return Some(Zone::Named(zone));
        }
        let (sign, rest) = match text.strip_prefix('+') {
            Some(rest) => (1, rest),
            None => (-1, text.strip_prefix(['-', '\u{2212}'])?),
        };
        let (hours, minutes) = rest.split_once(':')?;
        if hours.len() != 2 || minutes.len() != 2 {
            return None;
        }
        let (hours, minutes) = (hours.parse::<i32>().ok()?, minutes.parse::<i32>().ok()?);
        if minutes > 59 {
            return None;
        }
        FixedOffset::east_opt(sign * (hours * 3600 + minutes * 60)).map(Zone::Fixed)
    }

    /// When the wall clock of this zone showed `local`.
    #[must_use]
    pub fn place(&self, local: NaiveDateTime) -> Placed {
        match self {
            Zone::Named(zone) => placed(zone.from_local_datetime(&local)),
            Zone::Fixed(zone) => placed(zone.from_local_datetime(&local)),
        }
    }

    /// What the wall clock of this zone showed at an instant.
    #[must_use]
    pub fn local(&self, at: Instant) -> NaiveDateTime {
        self.zoned(at).naive_local()
    }

    fn zoned(&self, at: Instant) -> DateTime<FixedOffset> {
        let utc = DateTime::from_timestamp_nanos(at.0);
        let offset = match self {
            Zone::Named(zone) => zone.offset_from_utc_datetime(&utc.naive_utc()).fix(),
            Zone::Fixed(zone) => *zone,
        };
        utc.with_timezone(&offset)
    }

    /// Local date and time with the offset from UTC, `2026-10-25 01:30:00 +01:00`; fractions only where there are any.
    #[must_use]
    pub fn show(&self, at: Instant) -> String {
        self.zoned(at).format("%Y-%m-%d %H:%M:%S%.f %:z").to_string()
    }

    /// Local date and time without the offset, `2026-10-25 01:30:00`.
    #[must_use]
    pub fn show_local(&self, at: Instant) -> String {
        self.zoned(at).format("%Y-%m-%d %H:%M:%S%.f").to_string()
    }

    /// The first instant of a local day. Where midnight itself is skipped, the first instant after it.
    #[must_use]
    pub fn start_of(&self, day: NaiveDate) -> Option<Instant> {
        self.first_at(day.and_hms_opt(0, 0, 0)?)
    }

    /// The first instant at which the wall clock shows this time; where it is skipped, the first instant after it.
    #[must_use]
    pub fn first_at(&self, local: NaiveDateTime) -> Option<Instant> {
        (0..=180).find_map(|minutes| match self.place(local.checked_add_signed(chrono::TimeDelta::minutes(minutes))?) {
            Placed::Once(at) | Placed::Twice(at, _) => Some(at),
            Placed::Never => None,
        })
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Zone::Named(zone) => f.write_str(zone.name()),
            Zone::Fixed(zone) => write!(f, "{zone}"),
        }
    }
}

fn placed<T: TimeZone>(found: LocalResult<DateTime<T>>) -> Placed {
    let nanos = |time: DateTime<T>| time.timestamp_nanos_opt().map(Instant);
    match found {
        LocalResult::Single(time) => nanos(time).map_or(Placed::Never, Placed::Once),
        LocalResult::Ambiguous(a, b) => match (nanos(a), nanos(b)) {
            (Some(a), Some(b)) => Placed::Twice(a.min(b), a.max(b)),
            _ => Placed::Never,
        },
        LocalResult::None => Placed::Never,
    }
}

/// A number of days, weeks, months or years on the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Calendar {
    /// How many.
    pub count: u32,
    /// Of what.
    pub unit: CalendarUnit,
}

/// The calendar's units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CalendarUnit {
    /// Days.
    Day,
    /// Days that the plant works.
    WorkingDay,
    /// Weeks.
    Week,
    /// Months.
    Month,
    /// Years.
    Year,
}

impl CalendarUnit {
    /// The word for one of them.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            CalendarUnit::Day => "day",
            CalendarUnit::WorkingDay => "working day",
            CalendarUnit::Week => "week",
            CalendarUnit::Month => "month",
            CalendarUnit::Year => "year",
        }
    }
}

impl Calendar {
    /// The date that many units after `day`; the last day of a shorter month where the day is missing there. Only
    /// working days ask which days are worked.
    #[must_use]
    pub fn after(&self, day: NaiveDate, worked: &WorkingDays) -> Option<NaiveDate> {
        match self.unit {
            CalendarUnit::WorkingDay => worked.after(day, self.count),
            CalendarUnit::Day => day.checked_add_days(Days::new(u64::from(self.count))),
            CalendarUnit::Week => day.checked_add_days(Days::new(u64::from(self.count).checked_mul(7)?)),
            CalendarUnit::Month => day.checked_add_months(Months::new(self.count)),
            CalendarUnit::Year => day.checked_add_months(Months::new(self.count.checked_mul(12)?)),
        }
    }

    /// Roughly how long, for putting two terms in order: months of 30.4 days, years of 365.25, five working days a week.
    #[must_use]
    pub fn days(&self) -> f64 {
        let one = match self.unit {
            CalendarUnit::Day => 1.0,
            CalendarUnit::WorkingDay => 7.0 / 5.0,
            CalendarUnit::Week => 7.0,
            CalendarUnit::Month => 365.25 / 12.0,
            CalendarUnit::Year => 365.25,
        };
        f64::from(self.count) * one
    }
}

impl fmt::Display for Calendar {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}\u{a0}{}{}", self.count, self.unit.word(), if self.count == 1 { "" } else { "s" })
    }
}

/// A length of time as people write it: `1 h 30 min`, `15 s`, `2.5 s`. Exact to the nanosecond.
#[must_use]
pub fn show_duration(nanoseconds: i64) -> String {
    if nanoseconds == 0 {
        return "0\u{a0}s".to_owned();
    }
    let mut rest = nanoseconds.unsigned_abs();
    let mut parts = Vec::new();
    for (unit, word) in [(HOUR, "h"), (MINUTE, "min")] {
        let count = rest / unit.unsigned_abs();
        rest %= unit.unsigned_abs();
        if count > 0 {
            parts.push(format!("{count}\u{a0}{word}"));
        }
    }
    if rest > 0 {
        let seconds = format!("{}.{:09}", rest / SECOND.unsigned_abs(), rest % SECOND.unsigned_abs());
        parts.push(format!("{}\u{a0}s", seconds.trim_end_matches('0').trim_end_matches('.')));
    }
    let sign = if nanoseconds < 0 { "-" } else { "" };
    format!("{sign}{}", parts.join(" "))
}

/// The first and last day of a calendar month.
#[must_use]
pub fn month(year: i32, month: u32) -> Option<(NaiveDate, NaiveDate)> {
    let first = NaiveDate::from_ymd_opt(year, month, 1)?;
    let last = first.checked_add_months(Months::new(1))?.pred_opt()?;
    debug_assert_eq!(first.month(), last.month());
    Some((first, last))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn local(text: &str) -> NaiveDateTime {
        NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap()
    }

    /// Clock changes of Great Britain in 2026: forward on 29 March, back on 25 October, both at 01:00 UTC
    /// (IANA time zone database, rule GB-Eire/EU).
    #[test]
    fn the_hour_that_comes_twice_and_the_hour_that_never_comes() {
        let london = Zone::parse("Europe/London").unwrap();
        let Placed::Twice(first, second) = london.place(local("2026-10-25 01:30")) else {
            panic!("the repeated hour must be seen")
        };
        assert_eq!(second.0 - first.0, HOUR);
        assert_eq!(london.place(local("2026-03-29 01:30")), Placed::Never);
        assert_eq!(london.show(first), "2026-10-25 01:30:00 +01:00");
        assert_eq!(london.show(second), "2026-10-25 01:30:00 +00:00");
    }

    #[test]
    fn fixed_offsets() {
        let zone = Zone::parse("-07:00").unwrap();
        assert_eq!(zone.show(Instant(0)), "1969-12-31 17:00:00 -07:00");
        for text in ["7", "+7:00", "+01:75", "Mars/Base", ""] {
            assert_eq!(Zone::parse(text), None, "{text}");
        }
    }

    #[test]
    fn durations_read_as_written() {
        assert_eq!(show_duration(90 * MINUTE), "1\u{a0}h 30\u{a0}min");
        assert_eq!(show_duration(2_500_000_000), "2.5\u{a0}s");
        assert_eq!(show_duration(-15 * SECOND), "-15\u{a0}s");
    }

    #[test]
    fn a_month_after_the_last_of_january_is_the_last_of_february() {
        let day = NaiveDate::from_ymd_opt(2026, 1, 31).unwrap();
        let one = Calendar { count: 1, unit: CalendarUnit::Month };
        assert_eq!(one.after(day, &WorkingDays::default()), NaiveDate::from_ymd_opt(2026, 2, 28));
    }
}
