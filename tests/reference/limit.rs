//! Random limits in every form, judged by the rules.

use crate::anew::anew;
use crate::chain::{stretch, total};
use crate::exact::{End, Interval, Q, q};
use crate::fall::fall;
use crate::passage::{passage, reached};
use crate::random::Random;
use crate::record::{HIGH, Record};
use crate::rules::{Answer, Condition, answer, at_least, at_most, bound, highest, less_than, lowest, more_than};
use crate::share::share;
use crate::sums::{Table, above, growth, reduction};
use crate::timeline::Timeline;

/// What is asked. Times are nanoseconds, all else is in units of the value.
#[derive(Debug, Clone)]
pub enum Asked {
    Bound(Condition),
    Never(Condition),
    Held(Condition),
    TotalAtLeast(Condition),
    TotalAtMost(Condition),
    StretchAtMost(Condition),
    /// A share of the stage, asked for or else (`true`) allowed.
    Share(Condition, Q, bool),
    Passage(Condition, Condition),
    Reached(Condition),
    /// Over every such span; a rise where so said.
    Falls(i64, bool),
    Reduction(Table, bool),
    Growth(Table),
    Above(Q, Option<Q>),
    /// A total at most, the condition that resets it, and for how long that must be held.
    Anew(Condition, Condition, i64),
}

pub const FORMS: [&str; 16] = [
    "bound",
    "never",
    "held",
    "reaches",
    "total at least",
    "total at most",
    "stretch at most",
    "share",
    "share at most",
    "passage",
    "reached within",
    "falls",
    "reduction",
    "growth",
    "sum above",
    "total, reset",
];

/// Which form, and the number that it is compared with.
#[derive(Debug, Clone)]
pub struct Limit {
    pub form: usize,
    pub asked: Asked,
    pub threshold: Q,
    /// Whether the number itself is left out: less than, more than.
    pub strict: bool,
}

/// A value for a threshold: one of the record's own every other time, and sometimes between two steps.
fn value(r: &mut Random, record: &Record) -> Q {
    let steps = match record.rows.get(r.within(0, record.rows.len().max(1) as i64 - 1) as usize) {
        Some(row) if r.one_in(2) => row.value.map_or(60, |(a, _)| a) + record.accuracy * r.within(-1, 1),
        _ => r.within(0, HIGH),
    };
    // A ninth has no end as a decimal, as in a change of unit from degrees Fahrenheit.
    let ninth = if r.one_in(8) { Q::new(r.within(-1, 1).into(), 9 * i128::from(record.steps)) } else { q(0) };
    record.value(steps) + ninth
}

fn condition(r: &mut Random, record: &Record) -> Condition {
    let (a, b) = (value(r, record), value(r, record));
    let (strict, other) = (r.one_in(3), r.one_in(3));
    match r.within(0, 4) {
        0 | 1 => Condition { lower: Some((a, strict)), upper: None },
        2 | 3 => Condition { lower: None, upper: Some((a, strict)) },
        _ => Condition { lower: Some((a.min(b), strict)), upper: Some((a.max(b), other)) },
    }
}

/// Two lines, the start above or below the finish.
fn lines(r: &mut Random, record: &Record) -> (Condition, Condition) {
    let (a, b) = if r.one_in(3) {
        (value(r, record), value(r, record))
    } else {
        (record.value(r.within(70, 118)), record.value(r.within(5, 60)))
    };
    let (high, low) = if a == b { (a + q(1), b) } else { (a.max(b), a.min(b)) };
    let (strict, other) = (r.one_in(3), r.one_in(3));
    let over = |at, strict| Condition { lower: Some((at, strict)), upper: None };
    let under = |at, strict| Condition { lower: None, upper: Some((at, strict)) };
    if r.one_in(4) { (under(low, strict), over(high, other)) } else { (over(high, strict), under(low, other)) }
}

fn table(r: &mut Random, record: &Record, rising: bool) -> Table {
    // Quarters are exact in a double, thirds and tenths are not.
    let parts = if record.steps == 4 { 4 } else { [3, 10][r.within(0, 1) as usize] };
    let mut rate = 0;
    let mut rates = Vec::new();
    for _ in 0..=HIGH + 40 {
        rate = if rising { rate + r.within(-3, 2).max(0) } else { (rate + r.within(-6, 6)).abs().min(60) };
        rates.push(Q::new(rate.into(), parts));
    }
    Table { rates, steps: record.steps }
}

impl Asked {
    pub fn random(r: &mut Random, form: usize, record: &Record) -> Self {
        match FORMS[form] {
            "bound" => Asked::Bound(condition(r, record)),
            "never" => Asked::Never(condition(r, record)),
            "held" | "reaches" => Asked::Held(condition(r, record)),
            "total at least" => Asked::TotalAtLeast(condition(r, record)),
            "total at most" => Asked::TotalAtMost(condition(r, record)),
            "stretch at most" => Asked::StretchAtMost(condition(r, record)),
            "share" => Asked::Share(condition(r, record), Q::new(r.within(1, 12).into(), 12), false),
            "share at most" => Asked::Share(condition(r, record), Q::new(r.within(1, 11).into(), 12), true),
            "passage" => {
                let (before, arrived) = lines(r, record);
                Asked::Passage(before, arrived)
            }
            "reached within" => Asked::Reached(condition(r, record)),
            "falls" => Asked::Falls(r.within(1, 14) * record.tick + r.within(0, 1) * (record.tick / 3), r.one_in(3)),
            "reduction" => Asked::Reduction(table(r, record, true), !r.one_in(4)),
            "growth" => Asked::Growth(table(r, record, false)),
            "total, reset" => {
                let held = r.within(0, 6) * record.tick + r.within(0, 1) * (record.tick / 3);
                Asked::Anew(condition(r, record), condition(r, record), held)
            }
            _ => {
                let top = record.value(HIGH + 40);
                Asked::Above(value(r, record), (!r.one_in(4)).then_some(top))
            }
        }
    }

    /// Least and most; for a bound of its highest value, and for `>=` of its lowest. Nothing where
    /// there is nothing that the form could be applied to.
    pub fn interval(&self, line: &Timeline) -> Option<Interval> {
        if line.contradiction {
            return None;
        }
        Some(match self {
            Asked::Bound(condition) if condition.upper.is_none() => lowest(line),
            Asked::Bound(_) => highest(line),
            Asked::Never(condition) | Asked::Held(condition) => stretch(line, condition, true),
            Asked::TotalAtLeast(condition) => total(line, condition, true),
            Asked::TotalAtMost(condition) => total(line, condition, false),
            Asked::StretchAtMost(condition) => stretch(line, condition, false),
            // A stage with no recorded end, or an empty one, shows nothing.
            Asked::Share(..) if line.endless || line.widest.from == line.widest.to => return None,
            Asked::Share(condition, part, most) => share(line, condition, *part, *most),
            Asked::Passage(before, arrived) => passage(line, before, arrived),
            Asked::Reached(condition) => reached(line, condition),
            Asked::Falls(every, rises) => return fall(line, *every, *rises),
            Asked::Reduction(table, top_stated) => reduction(line, table, *top_stated),
            Asked::Growth(table) => growth(line, table),
            Asked::Above(base, top) => above(line, *base, *top),
            Asked::Anew(counted, reset, held) => anew(line, counted, reset, *held),
        })
    }

    fn is_time(&self) -> bool {
        !matches!(self, Asked::Falls(..) | Asked::Reduction(..) | Asked::Growth(_) | Asked::Above(..))
    }
}

/// A threshold near what the record shows: often exactly one end of the interval, or a hair off it.
fn threshold(r: &mut Random, record: &Record, asked: &Asked, interval: Option<Interval>) -> Q {
    let number = |end: End| if let End::Number(n) = end { Some(n) } else { None };
    let least = interval.and_then(|interval| number(interval.least));
    let most = interval.and_then(|interval| number(interval.most));
    let (low, high) = match (least, most) {
        (Some(low), Some(high)) => (low, high),
        (Some(one), None) | (None, Some(one)) => (one, one),
        _ if asked.is_time() => (q(0), q(20 * record.tick)),
        _ => (q(0), q(20)),
    };
    let hair = if asked.is_time() { q(1) } else { Q::new(1, 1_000_000) };
    let chosen = match r.within(0, 7) {
        0 => low,
        1 => high,
        2 => low + hair,
        3 => low - hair,
        4 => high + hair,
        5 => high - hair,
        6 => (low + high) / q(2),
        _ => low * Q::new(r.within(0, 30).into(), 10),
    };
    if asked.is_time() { chosen.floor().max(q(0)) } else { chosen }
}

impl Limit {
    pub fn random(r: &mut Random, form: usize, record: &Record, line: &Timeline) -> Self {
        let asked = Asked::random(r, form, record);
        let threshold = match FORMS[form] {
            "bound" | "never" | "share" | "share at most" | "reaches" => q(0),
            // Where every moment is a reset there is no stretch to be less than nought.
            "total, reset" => threshold(r, record, &asked, asked.interval(line)).max(q(1)),
            _ => threshold(r, record, &asked, asked.interval(line)),
        };
        let strict = !matches!(FORMS[form], "bound" | "never" | "reaches") && r.one_in(3);
        Self { form, asked, threshold, strict }
    }

    pub fn judge(&self, line: &Timeline) -> Answer {
        if line.contradiction || !line.judged {
            return Answer::NotShown;
        }
        let Some(interval) = self.asked.interval(line) else { return Answer::NotShown };
        match &self.asked {
            Asked::Bound(condition) => bound(line, condition),
            // A forbidden band is kept if there is no such instant, and broken if there surely is one.
            Asked::Never(_) => answer(interval.most == End::Nothing, interval.least > End::Nothing),
            Asked::Held(_) | Asked::TotalAtLeast(_) | Asked::Reduction(..) | Asked::Falls(..) if self.strict => {
                more_than(interval, self.threshold)
            }
            Asked::Held(_) | Asked::TotalAtLeast(_) | Asked::Reduction(..) | Asked::Falls(..) => {
                at_least(interval, self.threshold)
            }
            Asked::Share(_, _, most) => {
                let side = match (*most, self.strict) {
                    (false, false) => at_least,
                    (false, true) => more_than,
                    (true, false) => at_most,
                    (true, true) => less_than,
                }(interval, self.threshold);
                // Table: duration > 0. A stage that may be empty is not shown to have lasted.
                let lasts = line.surest.to > line.surest.from;
                answer(lasts && side == Answer::Met, side == Answer::NotMet)
            }
            Asked::TotalAtMost(_)
            | Asked::StretchAtMost(_)
            | Asked::Passage(..)
            | Asked::Reached(_)
            | Asked::Growth(_)
            | Asked::Above(..)
            | Asked::Anew(..)
                if self.strict =>
            {
                less_than(interval, self.threshold)
            }
            Asked::TotalAtMost(_)
            | Asked::StretchAtMost(_)
            | Asked::Passage(..)
            | Asked::Reached(_)
            | Asked::Growth(_)
            | Asked::Above(..)
            | Asked::Anew(..) => at_most(interval, self.threshold),
        }
    }
}
