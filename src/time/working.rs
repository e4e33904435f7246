//! Days on which a plant works, and counting by them.

use chrono::{Datelike, NaiveDate, Weekday};
use std::collections::BTreeSet;
use std::fmt;

/// More working days than anyone counts: about four centuries.
const MOST: u32 = 100_000;

/// The days of the week, from Monday, by the words of a plan.
pub const WEEK: [(Weekday, &str); 7] = [
    (Weekday::Mon, "monday"),
    (Weekday::Tue, "tuesday"),
    (Weekday::Wed, "wednesday"),
    (Weekday::Thu, "thursday"),
    (Weekday::Fri, "friday"),
    (Weekday::Sat, "saturday"),
    (Weekday::Sun, "sunday"),
];

/// The days on which a plant works: some days of each week, without the holidays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkingDays {
    /// Whether each day of the week is worked, from Monday.
    week: [bool; 7],
    /// Days that are not worked although their day of the week is.
    holidays: BTreeSet<NaiveDate>,
}

impl Default for WorkingDays {
    /// Monday to Friday without holidays: common practice, no source.
    fn default() -> Self {
        WorkingDays { week: [true, true, true, true, true, false, false], holidays: BTreeSet::new() }
    }
}

impl WorkingDays {
    /// These days of the week without these holidays.
    #[must_use]
    pub fn new(days: impl IntoIterator<Item = Weekday>, holidays: impl IntoIterator<Item = NaiveDate>) -> Self {
        let days: Vec<Weekday> = days.into_iter().collect();
        WorkingDays { week: WEEK.map(|(day, _)| days.contains(&day)), holidays: holidays.into_iter().collect() }
    }

    /// How many days of a week are worked, holidays apart.
    #[must_use]
    pub fn each_week(&self) -> usize {
        self.week.iter().filter(|worked| **worked).count()
    }

    /// Whether a day is worked.
    #[must_use]
    pub fn works(&self, day: NaiveDate) -> bool {
        let index = day.weekday().num_days_from_monday();
        let in_week = usize::try_from(index).ok().and_then(|index| self.week.get(index)).copied().unwrap_or(false);
        in_week && !self.holidays.contains(&day)
    }

    /// The last of so many working days that follow `day`, which is itself not counted; `None` where no day is worked,
    /// or past the end of the calendar.
    #[must_use]
    pub fn after(&self, day: NaiveDate, count: u32) -> Option<NaiveDate> {
        if self.each_week() == 0 || count > MOST {
            return None;
        }
        let (mut at, mut left) = (day, count);
        while left > 0 {
            at = at.succ_opt()?;
            left -= u32::from(self.works(at));
        }
        Some(at)
    }

    /// How many working days lie after `from`, up to `to` and with it; none if `to` is not later.
    #[must_use]
    pub fn between(&self, from: NaiveDate, to: NaiveDate) -> usize {
        from.iter_days().skip(1).take_while(|day| *day <= to).filter(|day| self.works(*day)).count()
    }
}

impl fmt::Display for WorkingDays {
    /// As in `Monday to Friday, 2 holidays left out`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let capital = |word: &str| {
            let mut letters = word.chars();
            letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
        };
        let worked: Vec<usize> =
            self.week.iter().enumerate().filter(|(_, worked)| **worked).map(|(at, _)| at).collect();
        let names: Vec<String> = worked.iter().filter_map(|at| WEEK.get(*at)).map(|(_, word)| capital(word)).collect();
        let in_a_row = worked.windows(2).all(|pair| pair.first().map(|at| at + 1) == pair.get(1).copied());
        match (names.first(), names.last()) {
            (Some(first), Some(last)) if in_a_row && names.len() > 2 => write!(f, "{first} to {last}")?,
            (Some(_), _) => f.write_str(&names.join(", "))?,
            (None, _) => f.write_str("no day")?,
        }
        match self.holidays.len() {
            0 => f.write_str(", no holidays named"),
            1 => f.write_str(", 1 holiday left out"),
            count => write!(f, ", {count} holidays left out"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    /// Counted by hand on a calendar of 2026, in which 1 September is a Tuesday and 25 December a Friday.
    #[test]
    fn counted_by_hand() {
        let plain = WorkingDays::default();
        // Friday 4 September: Mon 7, Tue 8, Wed 9, Thu 10, Fri 11, Mon 14, Tue 15.
        assert_eq!(plain.after(day("2026-09-04"), 7), Some(day("2026-09-15")));
        // A Saturday or a Sunday counts as the Friday before.
        assert_eq!(plain.after(day("2026-09-05"), 7), Some(day("2026-09-15")));
        assert_eq!(plain.after(day("2026-09-06"), 1), Some(day("2026-09-07")));
        assert_eq!(plain.after(day("2026-09-04"), 0), Some(day("2026-09-04")));
        // Tuesday 22 December with Christmas, Boxing Day (a Saturday) and New Year: Wed 23, Thu 24, Mon 28 to Thu 31,
        // Mon 4 January.
        let holidays = ["2026-12-25", "2026-12-26", "2027-01-01"].map(day);
        let week = WEEK.iter().take(5).map(|(day, _)| *day);
        let festive = WorkingDays::new(week, holidays);
        assert_eq!(festive.after(day("2026-12-22"), 7), Some(day("2027-01-04")));
        assert_eq!(festive.between(day("2026-12-22"), day("2027-01-04")), 7);
        assert_eq!(festive.between(day("2027-01-04"), day("2026-12-22")), 0);
        assert_eq!(festive.to_string(), "Monday to Friday, 3 holidays left out");
    }

    #[test]
    fn a_week_without_work_ends_nowhere() {
        let none = WorkingDays::new([], []);
        assert_eq!(none.after(day("2026-09-04"), 1), None);
        assert_eq!(WorkingDays::default().after(day("2026-09-04"), u32::MAX), None);
        assert_eq!(none.to_string(), "no day, no holidays named");
    }

    /// What is so many working days after a day lies so many working days after it.
    #[test]
    fn counting_there_and_back() {
        let six = WorkingDays::new(WEEK.iter().take(6).map(|(day, _)| *day), [day("2026-05-01")]);
        for start in day("2026-04-20").iter_days().take(30) {
            for count in 1..20 {
                let end = six.after(start, count).unwrap();
                assert!(six.works(end));
                assert_eq!(six.between(start, end), usize::try_from(count).unwrap());
            }
        }
    }
}
