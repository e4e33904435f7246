//! Sums and clocks that another limit resets, on a dense history.

use crate::limit::Span;
use crate::measure::{Quantity, Truth, total};
use crate::record::Record;
use crate::truth::History;

/// Which elements of the window are resets: the value has been in `span` for so many ticks without a break, all of
/// them in the window. Element `2t` is an instant, `2t + 1` the open time after it; within an element nothing changes.
pub fn resets(window: &[i64], span: Span, held: i64) -> Vec<bool> {
    let back = 2 * held as usize;
    (0..window.len()).map(|i| i >= back && window[i - back..=i].iter().all(|value| span.holds(*value))).collect()
}

/// The stretches between resets, as element ranges; the flags say whether a reset stands before and after.
fn stretches(flags: &[bool]) -> Vec<(usize, usize, bool, bool)> {
    let mut list = Vec::new();
    let mut from: Option<usize> = None;
    for i in 0..=flags.len() {
        let inside = i < flags.len() && !flags[i];
        match (inside, from) {
            (true, None) => from = Some(i),
            (false, Some(start)) => {
                list.push((start, i, start > 0, i < flags.len()));
                from = None;
            }
            _ => {}
        }
    }
    list
}

/// The largest time in a span between two resets. A stretch begins and ends at whole ticks.
pub fn largest(window: &[i64], span: Span, reset: (Span, i64), at_most: i64) -> Truth {
    let flags = resets(window, reset.0, reset.1);
    let time = |from: usize, to: usize| -> i64 {
        (from..to).filter(|i| i % 2 == 1).map(|i| i64::from(span.holds(window[i]))).sum()
    };
    let most = stretches(&flags).into_iter().map(|(from, to, ..)| time(from, to)).max().unwrap_or(0);
    debug_assert!(most <= total(window, span));
    Truth::of(most <= at_most, Quantity::Number(most))
}

/// The longest of all clocks: each reset stops the one that runs, and asks for a passage of its own.
pub fn slowest(
    record: &Record,
    history: &History,
    (before, arrived, within): (Span, Span, i64),
    reset: (Span, i64),
) -> Truth {
    let start = 2 * history.start as usize;
    let flags = resets(history.window(), reset.0, reset.1);
    let values = &history.values;
    let sure = before.moved(-record.accuracy);
    let shown_hot =
        record.readings().iter().any(|r| r.at <= history.start && !r.void && sure.holds(r.lo) && sure.holds(r.hi));
    let tick = |i: usize| i as i64 / 2;
    let (mut settled, mut unsettled) = (Vec::new(), Vec::new());
    let mut clocks = stretches(&flags);
    // A reset at the very end asks for a passage too.
    if flags.last() == Some(&true) {
        clocks.push((flags.len(), flags.len(), true, false));
    }
    for (from, to, after_reset, stopped) in clocks {
        let (from, to) = (start + from, start + to);
        // The last instant of the reset belongs to the clock that it starts.
        let first = match (after_reset, shown_hot) {
            (true, _) => from - 1,
            (false, true) => (0..=start).rev().find(|i| before.holds(values[*i])).unwrap(),
            (false, false) => from,
        };
        let tick = |i: usize| if after_reset { tick(i).max(tick(from)) } else { tick(i) };
        let limit = if after_reset || shown_hot { to } else { values.len() };
        let a = (first..limit).find(|i| !before.holds(values[*i]));
        let time = |inside: usize| match a {
            None => stopped.then_some(0),
            Some(a) => match (a.max(inside)..to).find(|i| arrived.holds(values[*i])) {
                Some(b) => Some(tick(b) - tick(a)),
                None => stopped.then_some((tick(to) - tick(a)).max(0)),
            },
        };
        settled.push(time(if after_reset { first } else { from }));
        unsettled.push(time(first));
    }
    let largest =
        |times: &[Option<i64>]| times.iter().copied().reduce(|a, b| a.zip(b).map(|(a, b)| a.max(b))).flatten();
    let (inside, any) = (largest(&settled), largest(&unsettled));
    let holds = |time: Option<i64>| time.is_some_and(|time| time <= within);
    let quantity = if inside == any { Quantity::Time(any) } else { Quantity::Unsettled };
    Truth { holds: holds(any), surely: holds(inside), quantity }
}

#[test]
fn a_pencil() {
    let hot = Span { lower: Some((7, false)), upper: None };
    let warm = Span { lower: Some((3, false)), upper: Some((6, false)) };
    // Three ticks warm, two hot, two warm: the hold of one tick is met from the fourth to the fifth tick.
    let window = [5, 5, 5, 5, 5, 5, 8, 8, 8, 8, 8, 5, 5, 5, 5];
    let flags = resets(&window, hot, 1);
    assert_eq!(flags.iter().position(|flag| *flag), Some(8));
    assert_eq!(flags.iter().rposition(|flag| *flag), Some(10));
    assert_eq!(largest(&window, warm, (hot, 1), 3).quantity, Quantity::Number(3));
    assert_eq!(largest(&window, warm, (hot, 9), 3).quantity, Quantity::Number(5));
}
