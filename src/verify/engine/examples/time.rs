//! Held, total time, longest stay, share.

use super::*;
use crate::verdict::Verdict::{Met, NotMet, NotShown};

#[test]
fn held_and_reached() {
    // 70, 72, 73, 72, 60 every 5 min. Certainly >= 72 from minute 5 to 15, possibly from 0 to 20.
    let rows = every(5, &[70.0, 72.0, 73.0, 72.0, 60.0]);
    let held = |time: i64| Form::Held { condition: at_least("72"), at_least: time * MIN };
    let outcome = judge(held(10), window(0, 20), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(10.0), Some(20.0))));
    assert_eq!(outcome.witness.longest_certain, Some(Span { from: 5 * MIN, to: 15 * MIN }));
    assert_eq!(verdict(held(11), 0, 20, &rows), NotShown);
    assert_eq!(verdict(held(21), 0, 20, &rows), NotMet);
    // One reading is an instant: it reaches, and is held for nought. No such reading is none, not nought.
    let once = every(5, &[60.0, 72.0, 60.0]);
    assert_eq!(verdict(held(0), 0, 10, &once), Met);
    let none = judge(held(0), window(0, 10), SAMPLING, every(5, &[60.0, 71.9, 60.0]));
    assert_eq!((none.verdict, none.extent.most), (NotMet, End::Nothing));
    // A reading below the line breaks the longest possible stretch: 5 + 5, never 10.
    let dip = every(5, &[72.0, 60.0, 72.0]);
    assert_eq!(minutes(&judge(held(6), window(0, 10), SAMPLING, dip)).1, Some(5.0));
}

#[test]
fn total_time() {
    // >= 90 % in three pieces of 5 min: certain, half (95 then 80), outside. Total from 5 to 10 min.
    let rows = every(5, &[95.0, 95.0, 80.0, 80.0]);
    let total = |time: i64| Form::TotalAtLeast { condition: at_least("90"), at_least: time * MIN };
    let outcome = judge(total(5), window(0, 15), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(5.0), Some(10.0))));
    assert_eq!(verdict(total(6), 0, 15, &rows), NotShown);
    assert_eq!(verdict(total(11), 0, 15, &rows), NotMet);
    // The same rows against exposure at most.
    let most = |time: i64| Form::TotalAtMost { condition: at_least("90"), at_most: time * MIN };
    assert_eq!(verdict(most(10), 0, 15, &rows), Met);
    assert_eq!(verdict(most(9), 0, 15, &rows), NotShown);
    assert_eq!(verdict(most(4), 0, 15, &rows), NotMet);
    // A window without any reading is not met by silence, however short.
    assert_eq!(verdict(most(60), 30, 40, &rows), NotShown);
}

#[test]
fn more_than_a_time_leaves_it_out() {
    // Readings 70, 72, 73, 72, 60: 10 to 20 min at or above 72.
    let rows = every(5, &[70.0, 72.0, 73.0, 72.0, 60.0]);
    let more = |time: i64| Form::Held { condition: at_least("72"), at_least: time * MIN + 1 };
    assert_eq!(verdict(more(9), 0, 20, &rows), Met);
    assert_eq!(verdict(more(10), 0, 20, &rows), NotShown);
    assert_eq!(verdict(more(20), 0, 20, &rows), NotMet);
}

#[test]
fn longest_stay() {
    // Above 10: out at 5, back at 15, out at 25. Single stays of at most 10 min, 20 min in all.
    let rows = every(5, &[8.0, 12.0, 8.0, 8.0, 12.0, 8.0]);
    let stay = |time: i64| Form::StretchAtMost { condition: above("10"), at_most: time * MIN };
    assert_eq!(minutes(&judge(stay(10), window(0, 25), SAMPLING, rows.clone())), (Some(0.0), Some(10.0)));
    assert_eq!(verdict(stay(10), 0, 25, &rows), Met);
    assert_eq!(verdict(stay(9), 0, 25, &rows), NotShown);
    assert_eq!(verdict(Form::TotalAtMost { condition: above("10"), at_most: 19 * MIN }, 0, 25, &rows), NotShown);
    assert_eq!(verdict(stay(4), 0, 5, &every(5, &[12.0, 12.0])), NotMet);
    // A breaking row inside takes the join away and the charge stays.
    let broken = [Row::reading(0, 8.0), Row::broken(3 * MIN), Row::reading(5 * MIN, 8.0)];
    assert_eq!(verdict(stay(4), 0, 5, &broken), NotShown);
}

#[test]
fn share_of_a_stage() {
    // 20 min stage, 5 min certain: 5 − 0.25 · 20 = 0, and nought is enough.
    let rows = every(5, &[95.0, 95.0, 80.0, 80.0, 80.0]);
    let form = |num, den, strict| Form::ShareAtLeast {
        condition: at_least("90"),
        share: Rational::new(num, den).unwrap(),
        strict,
    };
    let share = |num, den| form(num, den, false);
    let outcome = judge(share(1, 4), window(0, 20), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(0.0), Some(5.0))));
    assert_eq!(verdict(share(1, 2), 0, 20, &rows), NotShown);
    assert_eq!(verdict(share(3, 5), 0, 20, &rows), NotMet);
    // Nought is not enough where more than a quarter is asked for, nor may it be half where less than that is allowed.
    assert_eq!([form(1, 4, true), form(1, 2, true)].map(|form| verdict(form, 0, 20, &rows)), [NotShown, NotMet]);
    let most = |num, den, strict| {
        let share = Rational::new(num, den).unwrap();
        verdict(Form::ShareAtMost { condition: at_least("90"), share, strict }, 0, 20, &rows)
    };
    assert_eq!([most(1, 2, false), most(1, 4, false), most(1, 5, false)], [Met, NotShown, NotMet]);
    assert_eq!([most(1, 2, true), most(1, 4, true)], [NotShown, NotMet]);
    // The start is known to 5 min: from minute 5 the certain piece is gone. 0 − 0.25 · 15 = −3.75.
    let loose = Window { start: (0, 5 * MIN), end: Some((20 * MIN, 20 * MIN)) };
    let outcome = judge(share(1, 4), loose, SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome).0), (NotShown, Some(-3.75)));
    // An empty stage, and one with no recorded end, show nothing.
    assert_eq!(verdict(share(1, 4), 0, 0, &rows), NotShown);
    let open = judge(share(1, 4), Window::open(0), SAMPLING, rows);
    assert_eq!((open.verdict, open.reason), (NotShown, Some(Reason::NoEnd)));
}

#[test]
fn no_recorded_end_is_never_the_last_reading() {
    let rows = every(5, &[80.0, 80.0, 80.0]);
    for form in [Form::Bound(at_least("72")), Form::Held { condition: at_least("72"), at_least: 5 * MIN }] {
        let outcome = judge(form, Window::open(0), SAMPLING, rows.clone());
        assert_eq!((outcome.verdict, outcome.reason), (NotShown, Some(Reason::NoEnd)));
    }
    // A record that shows the stage ran at least to minute 10 says so with an end known from below.
    let known = Window { start: (0, 0), end: Some((10 * MIN, i64::MAX)) };
    assert_eq!(judge(Form::Held { condition: at_least("72"), at_least: 5 * MIN }, known, SAMPLING, rows).verdict, Met);
}
