//! Laws that verdicts keep, whatever the record.

use crate::limit::{KINDS, Limit, Span};
use crate::random::Random;
use crate::record::{Entry, LAST, Record, TICK};
use crate::truth::{History, allowed};
use bourn::verdict::Verdict;
use bourn::verify::engine::{Outcome, Row};

fn rounds() -> usize {
    if std::env::var_os("BOURN_LONG").is_some() { 400_000 } else { 6_000 }
}

fn reversed(a: Verdict, b: Verdict) -> bool {
    a != b && a != Verdict::NotShown && b != Verdict::NotShown
}

fn draw(r: &mut Random, round: usize) -> (Limit, Record) {
    let kind = round % KINDS;
    let record = if kind == 7 && r.one_in(2) { Record::cooling(r) } else { Record::random(r) };
    (Limit::random(r, kind), record)
}

/// Runs a law on random limits and records; the closure answers whether it applied.
fn law(seed: u64, mut holds: impl FnMut(&mut Random, &Limit, &Record) -> bool) {
    let mut r = Random(seed);
    let mut applied = 0;
    for round in 0..rounds() {
        let (limit, record) = draw(&mut r, round);
        applied += usize::from(holds(&mut r, &limit, &record));
    }
    println!("applied {applied} times of {}", rounds());
    assert!(applied > rounds() / 20);
}

#[test]
fn one_more_true_reading_never_reverses() {
    law(1, |r, limit, record| {
        let before = limit.judge(record);
        let hull = allowed(record, true);
        let Some(history) = History::random(r, record, &hull) else {
            return false;
        };
        let mut record = record.clone();
        for _ in 0..3 {
            let at = r.within(0, LAST);
            if record.rows.iter().any(|row| row.at == at) {
                continue;
            }
            if matches!(limit, Limit::Falls { .. }) && !between_readings(&record, at) {
                // A rate is judged from its first to its last reading; a reading past them is a new question.
                continue;
            }
            let value = history.values[2 * at as usize] + r.within(-record.accuracy, record.accuracy);
            let place = record.rows.partition_point(|row| row.at < at);
            record.rows.insert(place, Entry { at, value: Some(value) });
            // Only the record at the start has promised anything about this history: a reading that
            // joins two others promises more than the history need keep.
            let after = limit.judge(&record).verdict;
            assert!(!reversed(before.verdict, after), "{limit:?}\n{record:?}\nadded {at}\n{before:#?}");
        }
        before.verdict != Verdict::NotShown
    });
}

fn between_readings(record: &Record, at: i64) -> bool {
    let (s1, _) = record.start;
    let e2 = record.end.map_or(LAST, |(_, e2)| e2);
    let places = || record.rows.iter().filter(|row| row.value.is_some()).map(|row| row.at);
    places().any(|p| s1 <= p && p < at) && places().any(|p| at < p && p <= e2)
}

#[test]
fn narrower_accuracy_and_narrower_times_never_reverse() {
    law(2, |r, limit, record| {
        let wide = limit.judge(record).verdict;
        let mut narrow = record.clone();
        narrow.accuracy -= i64::from(narrow.accuracy > 0);
        let accuracy = limit.judge(&narrow).verdict;
        // Wider accuracy only moves verdicts to not shown.
        assert!(wide == accuracy || wide == Verdict::NotShown, "{limit:?}\n{record:?}");
        let (s1, s2) = record.start;
        let s = r.within(s1, s2);
        narrow.start = (s, r.within(s, s2));
        if let Some((e1, e2)) = record.end {
            let e = r.within(e1, e2);
            narrow.end = Some((e, r.within(e, e2)));
        } else {
            let e = r.within(s2, LAST - 1);
            narrow.end = Some((e, LAST - 1));
        }
        let times = limit.judge(&narrow).verdict;
        assert!(!reversed(accuracy, times), "{limit:?}\n{record:?}\n{narrow:?}");
        wide != Verdict::NotShown
    });
}

/// A limit that asks for more, with its condition, its number, or both made harder.
fn tightened(r: &mut Random, limit: Limit) -> Limit {
    let by = r.within(0, 3);
    let inward = |span: Span| span.moved(-by);
    let outward = |span: Span| span.moved(by);
    let time = r.within(0, 4);
    match limit {
        Limit::Bound(span) => Limit::Bound(inward(span)),
        Limit::Never(span) => Limit::Never(outward(span)),
        Limit::Held(span, t) => Limit::Held(inward(span), t + time),
        Limit::TotalAtLeast(span, t) => Limit::TotalAtLeast(inward(span), t + time),
        Limit::TotalAtMost(span, t) => Limit::TotalAtMost(outward(span), t - time),
        Limit::StretchAtMost(span, t) => Limit::StretchAtMost(outward(span), t - time),
        Limit::Share(span, n, d) => Limit::Share(inward(span), (n + time).min(d), d),
        Limit::ShareMost(span, n, d, strict) => Limit::ShareMost(outward(span), n - time, d, strict),
        // The starting line stays where it is.
        Limit::Passage { before, arrived, within } => {
            Limit::Passage { before, arrived: inward(arrived), within: within - time }
        }
        Limit::Reach(span, t) => Limit::Reach(inward(span), t - time),
        Limit::Reduction { flat, top_stated, at_least } => {
            Limit::Reduction { flat, top_stated, at_least: at_least + time }
        }
        Limit::Growth(t) => Limit::Growth(t - time),
        // What resets it stays as it is.
        Limit::Anew(span, t, reset) => Limit::Anew(outward(span), t - time, reset),
        Limit::PassageAnew { before, arrived, within, reset } => {
            Limit::PassageAnew { before, arrived: inward(arrived), within: within - time, reset }
        }
        Limit::Falls { by, every, rises, strict } => Limit::Falls { by: by + time, every, rises, strict },
        Limit::Above { base, top, at_most } => Limit::Above { base: base - by, top, at_most: at_most - time },
    }
}

#[test]
fn tightening_a_threshold_never_raises_a_verdict() {
    law(3, |r, limit, record| {
        let loose = limit.judge(record).verdict;
        let tight_limit = tightened(r, *limit);
        let tight = limit_verdict(&tight_limit, record);
        assert!(tight <= loose, "{limit:?} {loose}\n{tight_limit:?} {tight}\n{record:?}");
        tight != loose
    });
}

fn limit_verdict(limit: &Limit, record: &Record) -> Verdict {
    limit.judge(record).verdict
}

/// All that must be equal when nothing has changed.
fn same(a: &Outcome, b: &Outcome) -> bool {
    a == b
}

#[test]
fn order_within_an_instant_and_repeated_rows_change_nothing() {
    law(4, |r, limit, record| {
        let before = limit.judge(record);
        let mut rows = record.rows.clone();
        for _ in 0..3 {
            let again = rows[r.within(0, rows.len() as i64 - 1) as usize];
            rows.push(again);
        }
        for i in (1..rows.len()).rev() {
            rows.swap(i, r.within(0, i as i64) as usize);
        }
        rows.sort_by_key(|row| row.at);
        let shuffled = Record { rows, ..record.clone() };
        let after = limit.judge(&shuffled);
        let witness_free = |mut outcome: Outcome| {
            outcome.witness.broken = 0;
            outcome
        };
        assert!(same(&witness_free(before), &witness_free(after)), "{limit:?}\n{record:?}");
        true
    });
}

#[test]
fn rows_after_the_next_reading_past_the_window_change_nothing() {
    law(5, |r, limit, record| {
        let Some((_, e2)) = record.end else { return false };
        let Some(past) = record.readings().iter().find(|reading| reading.at > e2).map(|reading| reading.at) else {
            return false;
        };
        let before = limit.judge(record);
        let mut changed = record.clone();
        for row in &mut changed.rows {
            if row.at > past {
                row.value = (!r.one_in(3)).then(|| r.within(-5, 20));
            }
        }
        assert!(same(&before, &limit.judge(&changed)), "{limit:?}\n{record:?}");
        true
    });
}

#[test]
fn another_offset_changes_nothing() {
    law(6, |r, limit, record| {
        let shift = r.within(0, 1000);
        let mut moved = record.clone();
        for row in &mut moved.rows {
            row.at += shift;
        }
        moved.start = (record.start.0 + shift, record.start.1 + shift);
        moved.end = record.end.map(|(e1, e2)| (e1 + shift, e2 + shift));
        let (before, after) = (limit.judge(record), limit.judge(&moved));
        assert_eq!((before.verdict, before.extent), (after.verdict, after.extent), "{limit:?}\n{record:?}");
        true
    });
}

#[test]
fn a_deletion_that_unjoins_only_hides() {
    law(7, |r, limit, record| {
        let before = limit.judge(record).verdict;
        let mut less = record.clone();
        let from = r.within(0, less.rows.len() as i64 - 1) as usize;
        let to = (from + r.within(3, 12) as usize).min(less.rows.len());
        less.rows.drain(from..to);
        let after = limit.judge(&less).verdict;
        assert!(!reversed(before, after) || joined_across(record, &less), "{limit:?}\n{record:?}\n{less:?}");
        before != after
    });
}

/// Whether the deletion left a joined step, or a short edge, where rows had stood.
fn joined_across(record: &Record, less: &Record) -> bool {
    let gone = |at: i64| !less.rows.iter().any(|row| row.at == at);
    let mut places: Vec<i64> = less.rows.iter().map(|row| row.at).collect();
    places.extend([record.start.0, record.end.map_or(LAST, |(_, e2)| e2)]);
    places.sort_unstable();
    let reach = record.credit_gap.max(record.edge_allowance);
    places.windows(2).any(|pair| {
        pair[1] - pair[0] <= reach
            && record.rows.iter().any(|row| pair[0] <= row.at && row.at <= pair[1] && gone(row.at))
    })
}

#[test]
fn the_trapezoid_of_joined_pieces_lies_in_the_interval() {
    law(8, |_, limit, record| {
        let Some((e1, _)) = record.end else { return false };
        if !matches!(limit, Limit::Reduction { .. } | Limit::Above { .. } | Limit::Growth(_)) {
            return false;
        }
        let start = (record.start.0, record.start.0);
        let record = Record { accuracy: 0, start, end: Some((e1, e1)), ..record.clone() };
        let outcome = limit.judge(&record);
        let estimate = outcome.witness.trapezoid.unwrap();
        assert!(outcome.extent.least.number().unwrap() <= estimate + 1e-9);
        assert!(outcome.extent.most.number().is_none_or(|most| estimate <= most + 1e-9));
        true
    });
}

#[test]
fn a_higher_reading_never_lowers_the_least_reduction() {
    law(9, |r, limit, record| {
        if !matches!(limit, Limit::Reduction { .. }) {
            return false;
        }
        let before = limit.judge(record).extent.least.number().unwrap();
        let mut raised = record.clone();
        // Every row of the instant is raised: a second value would only widen the reading.
        let at = raised.rows[r.within(0, raised.rows.len() as i64 - 1) as usize].at;
        for row in raised.rows.iter_mut().filter(|row| row.at == at) {
            row.value = row.value.map(|value| value + 2);
        }
        let after = limit.judge(&raised).extent.least.number().unwrap();
        assert!(before <= after, "{limit:?}\n{record:?}");
        true
    });
}

/// A reading between two, above the lower of them: the promise of the joined pair is kept from below.
#[test]
fn a_further_reading_not_below_its_neighbours_never_lowers_the_least_reduction() {
    law(12, |r, limit, record| {
        if !matches!(limit, Limit::Reduction { .. }) || record.rows.len() < 2 {
            return false;
        }
        let before = limit.judge(record).extent.least.number().unwrap();
        let mut more = record.clone();
        let fits = |pair: &[Entry]| pair[0].value.is_some() && pair[1].value.is_some() && pair[1].at - pair[0].at > 1;
        let places: Vec<usize> = (1..more.rows.len()).filter(|at| fits(&more.rows[at - 1..=*at])).collect();
        if places.is_empty() {
            return false;
        }
        let index = places[r.within(0, places.len() as i64 - 1) as usize] - 1;
        let (a, b) = (more.rows[index], more.rows[index + 1]);
        let (low, high) = (a.value.unwrap(), b.value.unwrap());
        let value = if r.one_in(2) { low.max(high) } else { low.min(high) } + r.within(0, 3);
        more.rows.insert(index + 1, Entry { at: r.within(a.at + 1, b.at - 1), value: Some(value) });
        let after = limit.judge(&more).extent.least.number().unwrap();
        // One more step is one more rounding down.
        assert!(before <= after + 1e-12 * (1.0 + after), "{before} {after}\n{limit:?}\n{record:?}\n{more:?}");
        true
    });
}

#[test]
fn a_record_that_steps_back_contradicts_itself() {
    law(10, |r, limit, record| {
        let mut rows = record.engine_rows();
        let at = rows.last().unwrap().at - TICK * r.within(1, 5);
        rows.push(Row::reading(at, 5.0));
        assert_eq!(limit.judge_rows(record, rows).verdict, Verdict::NotShown);
        let mut backwards = record.clone();
        backwards.end = Some((record.start.0 - 3, record.start.0 - 1));
        assert_eq!(limit.judge(&backwards).verdict, Verdict::NotShown);
        true
    });
}

#[test]
fn without_a_reading_nothing_is_shown() {
    law(11, |_, limit, record| {
        let mut silent = record.clone();
        let (s1, e2) = (record.start.0, record.end.map_or(i64::MAX, |(_, e2)| e2));
        silent.rows.retain(|row| row.at + 20 < s1 || row.at - 20 > e2);
        assert_eq!(limit.judge(&silent).verdict, Verdict::NotShown, "{limit:?}\n{silent:?}");
        for row in &mut silent.rows {
            row.value = None;
        }
        assert_eq!(limit.judge(&silent).verdict, Verdict::NotShown, "{limit:?}\n{silent:?}");
        assert_eq!(limit.judge_rows(&silent, Vec::new()).verdict, Verdict::NotShown);
        true
    });
}
