//! What a limit's quantity is on a dense history.

use crate::limit::Span;
use crate::record::Record;
use crate::truth::History;

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Quantity {
    Number(i64),
    Sevenths(i64),
    Values(i64, i64),
    Stretch(Option<i64>),
    Time(Option<i64>),
    Fall(i64),
    /// A computed sum, in the unit of the limit.
    Real(f64),
    Unsettled,
}

#[derive(Debug, Clone, Copy)]
pub struct Truth {
    /// In some reading of the rule.
    pub holds: bool,
    /// In every reading of the rule; differs only for an arrival before the stage begins.
    pub surely: bool,
    pub quantity: Quantity,
}

impl Truth {
    pub fn of(holds: bool, quantity: Quantity) -> Self {
        Self { holds, surely: holds, quantity }
    }
}

pub fn sum(window: &[i64], rate: impl Fn(i64) -> i64) -> i64 {
    window.iter().skip(1).step_by(2).map(|v| rate(*v)).sum()
}

pub fn total(window: &[i64], span: Span) -> i64 {
    sum(window, |v| i64::from(span.holds(v)))
}

pub fn stretch(window: &[i64], span: Span, holds: impl Fn(Option<i64>) -> bool) -> Truth {
    let mut longest: Option<i64> = None;
    let mut run: Option<i64> = None;
    for (i, v) in window.iter().enumerate() {
        run = span.holds(*v).then(|| run.unwrap_or(0) + (i as i64 % 2));
        longest = longest.max(run);
    }
    Truth::of(holds(longest), Quantity::Stretch(longest))
}

/// Judged from the first to the last reading in the window.
pub fn fall(record: &Record, history: &History, (by, strict, rises): (i64, bool, bool), every: i64) -> Truth {
    let inside = |at: i64| history.start <= at && at <= history.end;
    let places: Vec<i64> = record.readings().iter().map(|r| r.at).filter(|at| inside(*at)).collect();
    let (Some(first), Some(last)) = (places.first(), places.last()) else {
        return Truth { holds: true, surely: false, quantity: Quantity::Unsettled };
    };
    let values = &history.values;
    let spans = 2 * *first as usize..=(2 * (last - every)).max(0) as usize;
    let smallest = spans
        .filter(|i| i + 2 * every as usize <= 2 * *last as usize)
        .map(|i| values[i] - values[i + 2 * every as usize])
        .map(|fall| if rises { -fall } else { fall })
        .min();
    match smallest {
        Some(smallest) => Truth::of(smallest >= by + i64::from(strict), Quantity::Fall(smallest)),
        // Nothing to judge: neither a met nor a not met would be right.
        None => Truth { holds: true, surely: false, quantity: Quantity::Unsettled },
    }
}

/// From the last instant at or before the start that is still over the starting line, if a reading
/// of the record shows such an instant; otherwise from the first instant of the stage that has left it.
pub fn passage(record: &Record, history: &History, before: Span, arrived: Span, within: i64) -> Truth {
    let start = 2 * history.start as usize;
    let end = 2 * history.end as usize;
    let sure = before.moved(-record.accuracy);
    let shown_hot =
        record.readings().iter().any(|r| r.at <= history.start && !r.void && sure.holds(r.lo) && sure.holds(r.hi));
    let values = &history.values;
    let from = if shown_hot { (0..=start).rev().find(|i| before.holds(values[*i])).unwrap() } else { start };
    let a = (from..values.len()).find(|i| !before.holds(values[*i]));
    // Arrived before the stage has begun counts neither for a met nor for a not met: both are tried.
    let b = a.and_then(|a| (a..=end).find(|i| arrived.holds(values[*i])));
    let b_inside = a.and_then(|a| (a.max(start)..=end).find(|i| arrived.holds(values[*i])));
    let tick = |i: usize| i as i64 / 2;
    let time = |b: Option<usize>| Some(tick(b?) - tick(a?));
    let holds = |b: Option<usize>| time(b).is_some_and(|t| t <= within);
    let quantity = if b == b_inside { Quantity::Time(time(b)) } else { Quantity::Unsettled };
    Truth { holds: holds(b), surely: holds(b_inside), quantity }
}
