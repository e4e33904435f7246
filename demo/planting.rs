//! What was planted in the month, and the verdict that each planting must get. The one list of both.
//!
//! The verdicts follow from the design of the planting and from the rules of judging (their numbers are in `why`),
//! never from a run of the program that they test.

use crate::schedule::{Lot, MINUTE, Second, Stretch, at};

/// A planting that concerns one lot; what each is stands in its row of [`PLANTED`].
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Plant {
    HoldShort,
    HoldDip,
    HoldTwice,
    CoreSparse,
    LowSetPoint,
    ProbeDead,
    HumidShort,
    WetLost,
    EndBeforeStart,
    RepeatedHourCook,
    FirstSlow,
    SecondSlow,
    Rewarmed,
    ChillGap,
    ChillEndBlank,
    ChillTwice,
    ChillCodes,
    NightPacking,
    PiecePassed,
    LastCheckBad,
    ChecksMissed,
    OxygenHigh,
    OxygenOnce,
    OxygenBlank,
    ActivityHigh,
    ActivityTwo,
    ActivityBelow,
    ActivityUnread,
    StillStored,
    NotPacked,
}

/// A limit that must not be met: CCP, limit, verdict, why.
pub(crate) type Consequence = (&'static str, &'static str, &'static str, &'static str);

/// One planting.
pub(crate) struct Planting {
    /// The lot it is planted on.
    pub(crate) lot: &'static str,
    /// Which one it is, for the code that plants it.
    pub(crate) plant: Plant,
    /// What was planted.
    pub(crate) what: &'static str,
    /// Every limit that it touches; all others stay met. Empty where the planting must change no verdict.
    pub(crate) consequences: &'static [Consequence],
}

const NOT_MET: &str = "not met";
const NOT_SHOWN: &str = "not shown";

/// The plantings on single lots, in the order of the month.
#[rustfmt::skip]
pub(crate) const PLANTED: &[Planting] = &[
    Planting { lot: "GB1002A", plant: Plant::HoldShort, what: "core 1 above 70 °C only once, for about 75 s",
        consequences: &[("lethality", "core-hold", NOT_MET, "rules 5, 8: longest possible stretch at core-1 is below 2 min")] },
    Planting { lot: "GB1002C", plant: Plant::HoldDip, what: "core 1 above 70 °C four times for about 80 s, below it in between",
        consequences: &[("lethality", "core-hold", NOT_MET, "rules 5, 8: over 5 min in total, but no stretch of 2 min without a break")] },
    Planting { lot: "GB1003A", plant: Plant::CoreSparse, what: "from 69 °C on only every fourth core reading, `---` between",
        consequences: &[("lethality", "core-hold", NOT_SHOWN, "rules 2, 3: readings 20 s apart, credit gap 12.5 s; nothing is joined above 70 °C")] },
    Planting { lot: "GB1003B", plant: Plant::LowSetPoint, what: "oven 2 set to about 60 °C; cook stopped by its clock",
        consequences: &[("lethality", "core-hold", NOT_MET, "rule 5: 70 °C never reached"),
                        ("lethality", "kill", NOT_MET, "rule 9: even the highest reading of each step gives less than 6.5")] },
    Planting { lot: "GB1009A", plant: Plant::ProbeDead, what: "core probe 2 of oven 1 writes `OL` in every row",
        consequences: &[("lethality", "core-hold", NOT_SHOWN, "rule 8: a silent probe shows nothing though core-1 held"),
                        ("lethality", "kill", NOT_SHOWN, "rule 8: a silent probe shows nothing though core-1 is enough")] },
    Planting { lot: "GB1009B", plant: Plant::HumidShort, what: "steam valve stuck 22 min after the start of the cook",
        consequences: &[("lethality", "humid", NOT_MET, "rule 12: under 20 min at 90 % or more, below 30 min and below a quarter")] },
    Planting { lot: "GB1009C", plant: Plant::FirstSlow, what: "chiller fan stood still until the core was at 28 °C",
        consequences: &[("cooling", "first-passage", NOT_MET, "passage form: over 1 h 40 min from 54.4 to 26.7 °C at both probes")] },
    Planting { lot: "GB1010A", plant: Plant::WetLost, what: "wet bulb writes `---` for 76 min of the humid phase",
        consequences: &[("lethality", "humid", NOT_SHOWN, "rules 3, 5: certain time is too short, possible time long enough")] },
    Planting { lot: "GB1013A", plant: Plant::ChillEndBlank, what: "chill end not typed",
        consequences: &[("cooling", "first-passage", NOT_SHOWN, "rule 4: a stage without an end is never closed at its last reading"),
                        ("cooling", "second-passage", NOT_SHOWN, "rule 4: a stage without an end is never closed at its last reading"),
                        ("cooling", "warm-time", NOT_SHOWN, "rule 4: a stage without an end is never closed at its last reading")] },
    Planting { lot: "GB1014A", plant: Plant::HoldTwice, what: "core 1 above 70 °C for about 3 min; a row in its middle stands twice, the second time with 69.1 °C",
        consequences: &[("lethality", "core-hold", NOT_SHOWN, "rule 6: one reading from 69.1 to 70.4 °C; certain stretches of about 85 s, possible 3 min")] },
    Planting { lot: "GB1014C", plant: Plant::SecondSlow, what: "chiller iced up below 10 °C",
        consequences: &[("cooling", "second-passage", NOT_MET, "passage form: over 5 h from 26.7 to 4.4 °C at both probes")] },
    Planting { lot: "GB1016A", plant: Plant::ChillGap, what: "no chiller rows for 118 min from 60 °C down",
        consequences: &[("cooling", "first-passage", NOT_SHOWN, "rules 2, 4: least nothing, most about 2 h")] },
    Planting { lot: "GB1016C", plant: Plant::Rewarmed, what: "chiller door left open after the core was at 4 °C",
        consequences: &[("cooling", "warm-time", NOT_MET, "rule 13: time above 10 °C is summed over both stays; no restart")] },
    Planting { lot: "GB1017A", plant: Plant::ChillTwice, what: "one chiller row stands twice, with the same values",
        consequences: &[] },
    Planting { lot: "GB1019A", plant: Plant::EndBeforeStart, what: "cook end typed with the date of the day before",
        consequences: &[("lethality", "core-hold", NOT_SHOWN, "a stage whose end is before its start contradicts itself"),
                        ("lethality", "humid", NOT_SHOWN, "a stage whose end is before its start contradicts itself"),
                        ("lethality", "kill", NOT_SHOWN, "a stage whose end is before its start contradicts itself")] },
    Planting { lot: "GB1019B", plant: Plant::PiecePassed, what: "stainless piece passed in the middle check; two repeats good",
        consequences: &[("detection", "pieces", NOT_MET, "checks form: a check between start and end answers against the limit")] },
    Planting { lot: "GB1022A", plant: Plant::LastCheckBad, what: "stainless piece passed in the check 5 min after the end; two repeats good",
        consequences: &[("detection", "pieces", NOT_SHOWN, "rule 16: first check after the end is not good; window reaches back into the lot")] },
    Planting { lot: "GB1022C", plant: Plant::ChecksMissed, what: "no detector check between the start and the end of 2 h 30 min",
        consequences: &[("detection", "pieces", NOT_SHOWN, "rules 16, 17: two due checks missed")] },
    Planting { lot: "GB1023A", plant: Plant::OxygenHigh, what: "1.4 % oxygen in lane 2 at the middle check",
        consequences: &[("gas-pack", "low-oxygen", NOT_MET, "samples form: one result over the limit")] },
    Planting { lot: "GB1023B", plant: Plant::OxygenOnce, what: "oxygen typed once only, the other cells blank",
        consequences: &[("gas-pack", "low-oxygen", NOT_SHOWN, "rule 3, samples form: one sample, two needed")] },
    Planting { lot: "GB1023C", plant: Plant::OxygenBlank, what: "one of four oxygen cells blank",
        consequences: &[] },
    Planting { lot: "GB1024A", plant: Plant::NightPacking, what: "packed over the clock change; two detector checks typed 01:25, without offset",
        consequences: &[("detection", "pieces", NOT_SHOWN, "rule 6: both rows are not placed, so the checks due between are not shown")] },
    Planting { lot: "GB1025A", plant: Plant::RepeatedHourCook, what: "cooked in oven 1 over the clock change; rows settle the hour by their order",
        consequences: &[] },
    Planting { lot: "GB1026A", plant: Plant::ActivityHigh, what: "water activity 0.971 in one of three samples",
        consequences: &[("composition", "dryness", NOT_MET, "samples form: one result over the limit")] },
    Planting { lot: "GB1026B", plant: Plant::ActivityTwo, what: "two water activity samples only",
        consequences: &[("composition", "dryness", NOT_SHOWN, "samples form: two samples, three needed")] },
    Planting { lot: "GB1026C", plant: Plant::ActivityBelow, what: "one water activity typed `<0.970`",
        consequences: &[("composition", "dryness", NOT_SHOWN, "open interval below 0.970 holds values on both sides of 0.965")] },
    Planting { lot: "GB1029A", plant: Plant::ActivityUnread, what: "one water activity typed `0.9?1`",
        consequences: &[("composition", "dryness", NOT_SHOWN, "samples form: an unreadable result is unknown and counts")] },
    Planting { lot: "GB1029B", plant: Plant::ChillCodes, what: "two blanks and one `ERR` in single chiller rows",
        consequences: &[] },
    Planting { lot: "GB1031A", plant: Plant::StillStored, what: "still in the store at the last row: no store-out",
        consequences: &[("cold-storage", "cold", NOT_SHOWN, "rule 4: a stage without an end is never closed at its last reading"),
                        ("cold-storage", "warm-spell", NOT_SHOWN, "rule 4: a stage without an end is never closed at its last reading")] },
    Planting { lot: "GB1031B", plant: Plant::NotPacked, what: "not yet packed at the last row: pack and store events blank, no checks",
        consequences: &[("gas-pack", "low-oxygen", NOT_SHOWN, "rule 18: no sample, nothing is met for want of one"),
                        ("detection", "pieces", NOT_SHOWN, "rule 18: stage has not begun"),
                        ("cold-storage", "cold", NOT_SHOWN, "rule 18: stage has not begun"),
                        ("cold-storage", "warm-spell", NOT_SHOWN, "rule 18: stage has not begun")] },
];

/// The planting of a lot.
pub(crate) fn plant_of(lot: &str) -> Option<Plant> {
    PLANTED.iter().find(|planting| planting.lot == lot).map(|planting| planting.plant)
}

/// A trouble in the cold store, which concerns every lot inside.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum StoreTrouble {
    /// No rows at all.
    NoRows,
    /// Door left open: above 5 °C, below 7 °C.
    DoorOpen,
    /// The door sensor writes its dropout code.
    SensorLost,
    /// Warm air: above 7 °C for minutes.
    WarmAir,
}

/// A planting that concerns every lot of a stretch of time.
pub(crate) struct Wide {
    /// Which trouble, and from which day and minute (wall clock) for how many minutes.
    pub(crate) trouble: (StoreTrouble, i64, i64, i64),
    /// What was planted.
    pub(crate) what: &'static str,
    /// As for a single lot.
    pub(crate) consequences: &'static [Consequence],
}

/// The troubles in the store, in the order of the month.
#[rustfmt::skip]
pub(crate) const STORE: &[Wide] = &[
    Wide { trouble: (StoreTrouble::NoRows, 7, 19 * 60, 120), what: "store recorder off on 7 October, 19:00 to 21:00",
        consequences: &[("cold-storage", "cold", NOT_SHOWN, "rule 4: the gap may hold any value"),
                        ("cold-storage", "warm-spell", NOT_SHOWN, "rule 4: a possible stretch of 2 h")] },
    Wide { trouble: (StoreTrouble::DoorOpen, 9, 17 * 60, 50), what: "store door open on 9 October, 17:00 to 17:50, up to about 6.3 °C",
        consequences: &[("cold-storage", "warm-spell", NOT_MET, "rule 8: over 40 min above 5 °C at the door")] },
    Wide { trouble: (StoreTrouble::SensorLost, 22, 22 * 60 + 30, 20), what: "door sensor writes -200 on 22 October, 22:30 to 22:50",
        consequences: &[("cold-storage", "cold", NOT_SHOWN, "rule 3: a dropout code is no reading and never a low temperature; the possible warm spell stays under 30 min")] },
    Wide { trouble: (StoreTrouble::WarmAir, 29, 18 * 60 + 30, 12), what: "warm air at the door on 29 October from 18:30, up to about 8 °C for minutes",
        consequences: &[("cold-storage", "cold", NOT_MET, "rules 8, 13: a bound binds every instant; above 5 °C for less than 30 min")] },
];

impl Wide {
    /// From when until when.
    fn stretch(&self) -> Stretch {
        let (_, day, minute, length) = self.trouble;
        (at(day, minute), at(day, minute) + length * MINUTE)
    }
}

/// The trouble in the store at an instant.
pub(crate) fn trouble_at(now: Second) -> Option<StoreTrouble> {
    STORE.iter().find(|wide| wide.stretch().0 <= now && now < wide.stretch().1).map(|wide| wide.trouble.0)
}

/// When a planted trouble in the store was over; none for another planting.
pub(crate) fn store_trouble(what: &str) -> Option<Second> {
    STORE.iter().find(|wide| wide.what == what).map(|wide| wide.stretch().1)
}

/// When the probes of oven 2 were last found good, found off, and found good again (days and minutes, wall clock).
pub(crate) const PROBES_OFF: [(i64, i64); 3] = [(12, 440), (19, 438), (19, 485)];
/// What that planting is.
pub(crate) const PROBES_OFF_WHAT: &str = "oven 2 core probes read 0.9 °C high in the weekly check of 19 October";
const PROBES_OFF_MEANS: &[Consequence] = &[
    (
        "lethality",
        "core-hold",
        NOT_SHOWN,
        "rule 11a: core not trusted from the last good calibration on 12 October to the next on 19 October",
    ),
    (
        "lethality",
        "kill",
        NOT_SHOWN,
        "rule 11a: core not trusted from the last good calibration on 12 October to the next on 19 October",
    ),
];

/// One line of the expected verdicts.
pub(crate) struct Expected<'a> {
    /// The lot.
    pub(crate) lot: &'a str,
    /// CCP, limit, verdict, why.
    pub(crate) consequence: Consequence,
    /// What was planted.
    pub(crate) planted: &'static str,
}

/// Every limit of every lot that must not be met, in the order of the lots; all others must be.
pub(crate) fn expected(lots: &[Lot]) -> Vec<Expected<'_>> {
    let mut all = Vec::new();
    for lot in lots {
        for (planted, consequences) in touching(lot) {
            for &consequence in consequences {
                all.push(Expected { lot: &lot.id, consequence, planted });
            }
        }
    }
    all
}

/// What touches a lot: its own planting, the calibration and the store.
pub(crate) fn touching(lot: &Lot) -> Vec<(&'static str, &'static [Consequence])> {
    // Each end of a lot moves outwards by the clock allowance of 2 min.
    let meets = |lot: Stretch, other: Stretch| lot.0 - 2 * MINUTE <= other.1 && other.0 <= lot.1 + 2 * MINUTE;
    let mut all = Vec::new();
    if let Some(planting) = PLANTED.iter().find(|planting| planting.lot == lot.id) {
        all.push((planting.what, planting.consequences));
    }
    let [good, _, again] = PROBES_OFF.map(|(day, minute)| at(day, minute));
    if lot.oven == 2 && meets((lot.cook.start, lot.cook.end), (good, again)) {
        all.push((PROBES_OFF_WHAT, PROBES_OFF_MEANS));
    }
    for wide in STORE {
        if lot.plant != Some(Plant::NotPacked) && meets(lot.stored, wide.stretch()) {
            all.push((wide.what, wide.consequences));
        }
    }
    all
}
