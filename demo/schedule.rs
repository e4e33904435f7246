//! When things happen: the clock of the plant and the month's lots, three each working day.

use crate::chance::Chance;
use crate::physics::{self, Chill, Cook};
use crate::planting::{Plant, plant_of};
use chrono::{DateTime, NaiveDateTime, TimeDelta};

/// Seconds since 1970-01-01 00:00 UTC.
pub(crate) type Second = i64;

/// Midnight UTC before Thursday, 1 October 2026.
const OCTOBER: Second = 20_727 * 86_400;
/// British clocks go back on Sunday, 25 October 2026 at 01:00 UTC (IANA time zone database, rule EU). It is written
/// out here, so that the files do not change with a newer edition of the database.
pub(crate) const CHANGE: Second = OCTOBER + 24 * 86_400 + 3_600;
/// One minute.
pub(crate) const MINUTE: Second = 60;

/// What the plant's wall clock shows.
pub(crate) fn local(at: Second) -> NaiveDateTime {
    utc(at + offset_hours(at) * 3_600)
}

/// What a clock kept on UTC shows.
pub(crate) fn utc(at: Second) -> NaiveDateTime {
    (DateTime::UNIX_EPOCH + TimeDelta::seconds(at)).naive_utc()
}

/// Hours by which the wall clock is ahead of UTC.
pub(crate) fn offset_hours(at: Second) -> i64 {
    i64::from(at < CHANGE)
}

/// The instant at which the wall clock shows so many minutes after midnight of a day of October (32 is 1 November).
/// Within the repeated hour the second passing is meant.
pub(crate) fn at(day: i64, minutes: i64) -> Second {
    let shown = OCTOBER + (day - 1) * 86_400 + minutes * MINUTE;
    if shown < CHANGE { shown - 3_600 } else { shown }
}

/// Day of the week, Monday is 0; 1 October 2026 is a Thursday.
fn weekday(day: i64) -> i64 {
    (day + 2).rem_euclid(7)
}

/// A closed stretch of time.
pub(crate) type Stretch = (Second, Second);

/// What really happened to one lot. What was typed about it may differ: see [`crate::records`].
pub(crate) struct Lot {
    /// `GB` for goose breast, month, day, letter.
    pub(crate) id: String,
    /// Oven 1 or 2.
    pub(crate) oven: u8,
    /// Kilograms made.
    pub(crate) made: i64,
    /// The humid cook.
    pub(crate) cook: Cook,
    /// Blast chilling.
    pub(crate) chill: Chill,
    /// First of the three water activity tests.
    pub(crate) tested: Second,
    /// First and last tray sealed.
    pub(crate) packed: Stretch,
    /// In and out of the cold store.
    pub(crate) stored: Stretch,
    /// What was planted on this lot alone.
    pub(crate) plant: Option<Plant>,
}

/// All lots begun in the month, in the order of their cooks.
pub(crate) fn lots() -> Vec<Lot> {
    let mut lots = Vec::new();
    for day in 1..=31 {
        let slots: &[(char, i64)] = match weekday(day) {
            // One extra load in the night of the clock change, for an order brought forward.
            6 if day == 25 => &[('A', 20)],
            6 => &[],
            5 => &[('A', 300), ('B', 510)],
            _ => &[('A', 300), ('B', 510), ('C', 725)],
        };
        for &(letter, minutes) in slots {
            lots.push(lot(day, letter, minutes));
        }
    }
    lots
}

fn lot(day: i64, letter: char, minutes: i64) -> Lot {
    let id = format!("GB10{day:02}{letter}");
    let plant = plant_of(&id);
    let mut chance = Chance::of(&id);
    let oven = match letter {
        'A' => 1,
        'B' => 2,
        _ if day % 2 == 0 => 1,
        _ => 2,
    };
    let night = day == 25;
    let cook_start = at(day, minutes + if night { 0 } else { chance.whole(0, 9) });
    // The night load stays until the repeated hour is over: an event typed inside it could not be placed.
    let cook = physics::cook(&id, cook_start, if night { 172 } else { 0 }, plant);
    let chill_start = cook.end + chance.whole(8, 11) * MINUTE;
    let chill = physics::chill(&id, chill_start, cook.last_core, plant);

    // Rest of 12 h, three tests, then packing on the next working day.
    let mut pack_day = if night { 26 } else { day + 1 };
    if weekday(pack_day) == 6 {
        pack_day += 1;
    }
    let (mut pack_minute, mut tested) = match letter {
        'A' => (480, at(pack_day, 370)),
        'B' => (620, at(pack_day, 400)),
        _ => (765, at(pack_day, 430)),
    };
    if night {
        (pack_minute, tested) = (765, at(pack_day, 430));
    }
    let mut length = chance.whole(100, 110);
    if plant == Some(Plant::ChecksMissed) {
        length = 150;
    }
    let mut packed = (at(pack_day, pack_minute), at(pack_day, pack_minute + length));
    if plant == Some(Plant::NightPacking) {
        // Half past midnight before the clocks go back, until twenty past two after they have.
        packed = (at(25, 30), at(25, 140));
        tested = at(24, 1_390);
        pack_day = 25;
    }
    let stored_in = packed.1 + chance.whole(12, 18) * MINUTE;
    let mut out_day = pack_day + if letter == 'A' { 1 } else { 2 };
    if weekday(out_day) == 6 {
        out_day += 1;
    }
    let stored = (stored_in, at(out_day, 320 + chance.whole(0, 30)));
    Lot { id, oven, made: chance.whole(310, 420), cook, chill, tested, packed, stored, plant }
}
