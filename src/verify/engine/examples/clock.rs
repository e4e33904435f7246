//! Passage, come-up, reached within, events.

use super::*;
use crate::verdict::Verdict::{Met, NotMet, NotShown};

fn cooling(within: i64) -> Form<'static> {
    Form::Passage { before: at_least("54.4"), arrived: at_most("26.7"), within: within * MIN }
}

#[test]
fn passage() {
    // Every 10 min: 60, 55 | 50, 40, 30, 26. Last reading at or over 54.4 at 10, so the clock starts
    // between 10 and 20; it stops between 40 (30 then 26 may have crossed at once) and 50.
    let rows = every(10, &[60.0, 55.0, 50.0, 40.0, 30.0, 26.0]);
    let outcome = judge(cooling(40), window(10, 60), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(20.0), Some(40.0))));
    assert_eq!(outcome.witness.clock_start, Some(Span { from: 10 * MIN, to: 20 * MIN }));
    assert_eq!(outcome.witness.clock_stop, Some(Span { from: 40 * MIN, to: 50 * MIN }));
    assert_eq!(verdict(cooling(39), 10, 60, &rows), NotShown);
    assert_eq!(verdict(cooling(19), 10, 60, &rows), NotMet);
    // Never arrived: the time is at least from 20 to the end of the stage, 30 min.
    let slow = every(10, &[60.0, 55.0, 50.0, 40.0, 30.0, 30.0]);
    let outcome = judge(cooling(29), window(10, 50), SAMPLING, slow);
    assert_eq!((outcome.verdict, minutes(&outcome)), (NotMet, (Some(30.0), None)));
}

#[test]
fn passage_does_not_restart() {
    // 60, 50, 56, 50, 26 every 10 min: back over the line at 20, still one clock, started between 0 and 10.
    let rows = every(10, &[60.0, 50.0, 56.0, 50.0, 26.0]);
    let outcome = judge(cooling(40), window(0, 40), SAMPLING, rows);
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(20.0), Some(40.0))));
    assert_eq!(outcome.witness.rewarmings.count, 1);
    assert_eq!(outcome.witness.rewarmings.items[0].highest, Point { at: 20 * MIN, value: 56.0 });
}

#[test]
fn passage_needs_a_start() {
    // First reading already below 54.4 and none before the stage: the start is not shown.
    let outcome = judge(cooling(60), window(0, 30), SAMPLING, every(10, &[50.0, 40.0, 26.0, 20.0]));
    assert_eq!((outcome.verdict, outcome.reason), (NotShown, Some(Reason::StartNotShown)));
    // A reading of 60 two hours before, unjoined: the clock runs from it, 120 + 20 min at most.
    let mut rows = vec![Row::reading(-120 * MIN, 60.0)];
    rows.extend(every(10, &[50.0, 40.0, 26.0, 20.0]));
    let outcome = judge(cooling(140), window(0, 30), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome).1), (Met, Some(140.0)));
    assert_eq!(verdict(cooling(139), 0, 30, &rows), NotShown);
}

#[test]
fn come_up_mirrors_a_cooling() {
    // From 10 to 50 within 25 min: 8, 20, 40, 55 every 10 min. Start 0..10, stop 20..30: 10 to 30 min.
    let form = |within: i64| Form::Passage { before: at_most("10"), arrived: at_least("50"), within: within * MIN };
    let rows = every(10, &[8.0, 20.0, 40.0, 55.0]);
    let outcome = judge(form(30), window(0, 30), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(10.0), Some(30.0))));
    assert_eq!(verdict(form(25), 0, 30, &rows), NotShown);
    assert_eq!(verdict(form(9), 0, 30, &rows), NotMet);
}

#[test]
fn reached_within() {
    // 63 within 40 min of racks-in at 0, known to 2 min: first possibly at 30, certainly at 40.
    let form = |within: i64| Form::ReachesWithin { condition: at_least("63"), within: within * MIN };
    let loose = Window { start: (-2 * MIN, 0), end: Some((60 * MIN, 60 * MIN)) };
    let rows = every(10, &[5.0, 20.0, 40.0, 55.0, 64.0, 70.0, 70.0]);
    let outcome = judge(form(42), loose, SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(30.0), Some(42.0))));
    assert_eq!(judge(form(41), loose, SAMPLING, rows.clone()).verdict, NotShown);
    assert_eq!(judge(form(29), loose, SAMPLING, rows.clone()).verdict, NotMet);
    // Racks-in known to lie between 40 and 60: reached at whatever instant that was.
    let late = Window { start: (40 * MIN, 60 * MIN), end: Some((60 * MIN, 60 * MIN)) };
    let outcome = judge(form(0), late, SAMPLING, rows);
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(0.0), Some(0.0))));
}

#[test]
fn duration_between_and_order() {
    let loose = Window { start: (0, 2 * MIN), end: Some((30 * MIN, 33 * MIN)) };
    let lasts = |least| duration(loose, Some(least * MIN), None).verdict;
    assert_eq!((lasts(28), lasts(29), lasts(34)), (Met, NotShown, NotMet));
    assert_eq!(duration(Window::open(0), Some(MIN), None).verdict, NotShown);
    // 24 h between two records, with a clock allowance of 2 min: 23:57 is shown, 23:59 is not, 24:03 is late.
    let moment = |at: i64, record| Some(Moment { first: at * MIN, last: at * MIN, record });
    let apart = |at, record| between(moment(0, 0), moment(at, record), 2 * MIN, None, Some(24 * 60 * MIN)).verdict;
    assert_eq!((apart(1437, 1), apart(1439, 1), apart(1443, 1)), (Met, NotShown, NotMet));
    assert_eq!((apart(1440, 0), apart(1441, 0), apart(-5, 1)), (Met, NotMet, NotShown));
    assert_eq!(between(moment(0, 0), None, 0, None, Some(MIN)).verdict, NotShown);
    let order = |at, record| in_order(moment(10, 0), moment(at, record), 2 * MIN).verdict;
    assert_eq!(
        (order(10, 0), order(9, 0), order(10, 1), order(12, 1), order(7, 1)),
        (Met, NotMet, NotShown, Met, NotMet)
    );
}
