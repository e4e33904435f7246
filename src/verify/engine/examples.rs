//! One worked example per form, in numbers that can be done with a pencil.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

use super::*;
use crate::quantity::{Cut, Rational};
use crate::verdict::Verdict::{self, Met, NotMet, NotShown};

const MIN: i64 = 60_000_000_000;

fn cut(text: &str) -> Cut {
    Cut::new(Rational::parse(text).unwrap())
}

fn at_most(text: &str) -> Condition {
    Condition::exact(Band::up_to(Edge::inclusive(cut(text))))
}

fn at_least(text: &str) -> Condition {
    Condition::exact(Band::from(Edge::inclusive(cut(text))))
}

fn below(text: &str) -> Condition {
    Condition::exact(Band::up_to(Edge::strict(cut(text))))
}

fn above(text: &str) -> Condition {
    Condition::exact(Band::from(Edge::strict(cut(text))))
}

/// Rows every `step` minutes from minute nought.
fn every(step: i64, values: &[f64]) -> Vec<Row> {
    values.iter().zip(0..).map(|(value, i)| Row::reading(i * step * MIN, *value)).collect()
}

/// Readings up to 12.5 min apart are joined; an edge of up to 6 min may stay uncovered.
const SAMPLING: Sampling = Sampling { credit_gap: 12 * MIN + MIN / 2, edge_allowance: 6 * MIN };

fn window(from: i64, to: i64) -> Window {
    Window::exact(from * MIN, to * MIN)
}

fn minutes(outcome: &Outcome) -> (Option<f64>, Option<f64>) {
    let scale = |end: End| end.number().map(|time| time / MIN as f64);
    (scale(outcome.extent.least), scale(outcome.extent.most))
}

fn verdict(form: Form<'_>, from: i64, to: i64, rows: &[Row]) -> Verdict {
    judge(form, window(from, to), SAMPLING, rows.iter().copied()).verdict
}

#[test]
fn bound() {
    // air <= 4: readings 3, 4, 3.5 every 5 min. Highest of all is 4, and 4 is allowed; < 4 is not kept.
    let rows = every(5, &[3.0, 4.0, 3.5]);
    let outcome = judge(Form::Bound(at_most("4")), window(0, 10), SAMPLING, rows.clone());
    assert_eq!(outcome.verdict, Met);
    assert_eq!((outcome.extent.least, outcome.extent.most), (End::Closed(4.0), End::Closed(4.0)));
    assert_eq!((outcome.witness.readings, outcome.witness.longest_step), (3, 5 * MIN));
    assert_eq!(verdict(Form::Bound(below("4")), 0, 10, &rows), NotMet);
    // 16 min without a reading are no gap that anybody bridges.
    let holed = [Row::reading(0, 3.0), Row::reading(16 * MIN, 3.0)];
    assert_eq!(verdict(Form::Bound(at_most("4")), 0, 16, &holed), NotShown);
    // Hotter just once, whatever the gaps: not met. The stretch of breaking readings is kept.
    let hot = [holed[0], Row::reading(8 * MIN, 9.0), Row::reading(9 * MIN, 6.0), Row::reading(40 * MIN, 3.0)];
    let outcome = judge(Form::Bound(at_most("4")), window(0, 40), SAMPLING, hot);
    assert_eq!((outcome.verdict, outcome.breaks.count), (NotMet, 1));
    let stretch = outcome.breaks.items[0];
    assert_eq!((stretch.from, stretch.to, stretch.highest.value), (8 * MIN, 9 * MIN, 9.0));
    assert_eq!(outcome.extent.most, End::UnboundedAbove);
}

#[test]
fn bound_with_accuracy() {
    // <= 4 read with a probe that is right to 0.5: shown up to 3.5, denied only above 4.5.
    let condition = Condition { certain: at_most("3.5").certain, possible: at_most("4.5").certain };
    for (value, expected) in [(3.5, Met), (3.6, NotShown), (4.5, NotShown), (4.6, NotMet)] {
        assert_eq!(verdict(Form::Bound(condition), 0, 5, &every(5, &[3.0, value])), expected, "{value}");
    }
}

#[test]
fn range_and_forbidden_band() {
    let range = Condition::exact(Band::between(Edge::inclusive(cut("120")), Edge::inclusive(cut("156"))));
    let outcome = judge(Form::Bound(range), window(0, 10), SAMPLING, every(5, &[120.0, 140.0, 156.0]));
    assert_eq!(outcome.verdict, Met);
    assert_eq!((outcome.extent.most, outcome.lower.unwrap().least), (End::Closed(156.0), End::Closed(120.0)));
    assert_eq!(verdict(Form::Bound(range), 0, 5, &every(5, &[119.9, 130.0])), NotMet);
    // Never between 38 and 40: 36 then 41 may have passed through, 37 then 36 did not, 39 did.
    let band = Condition::exact(Band::between(Edge::inclusive(cut("38")), Edge::inclusive(cut("40"))));
    assert_eq!(verdict(Form::Never(band), 0, 5, &every(5, &[36.0, 41.0])), NotShown);
    assert_eq!(verdict(Form::Never(band), 0, 5, &every(5, &[37.0, 36.0])), Met);
    assert_eq!(verdict(Form::Never(band), 0, 5, &every(5, &[37.0, 39.0])), NotMet);
}

#[test]
fn short_edges_follow_their_nearest_reading() {
    // The lot starts 6 min before the first reading: as long as the allowance, and it says so.
    let rows = [Row::reading(6 * MIN, 3.0), Row::reading(11 * MIN, 3.0)];
    let outcome = judge(Form::Bound(at_most("4")), window(0, 11), SAMPLING, rows);
    assert_eq!((outcome.verdict, outcome.witness.edge_by_nearest), (Met, true));
    assert_eq!(outcome.witness.start_edge, EdgeUse::Nearest(6 * MIN));
    let later = [Row::reading(7 * MIN, 3.0), Row::reading(11 * MIN, 3.0)];
    assert_eq!(verdict(Form::Bound(at_most("4")), 0, 11, &later), NotShown);
    // A breaking row in the edge, on its very start here, shows nothing for it.
    let broken = [Row::broken(0), rows[0], rows[1]];
    assert_eq!(verdict(Form::Bound(at_most("4")), 0, 11, &broken), NotShown);
    // A reading just outside covers it.
    let outside = [Row::reading(-2 * MIN, 3.0), later[0], later[1]];
    assert_eq!(verdict(Form::Bound(at_most("4")), 0, 11, &outside), Met);
    // Against an at-most limit the edge is charged in full: 6 + 0 min of 5.
    let outcome = judge(Form::TotalAtMost { condition: at_least("10"), at_most: 5 * MIN }, window(0, 11), SAMPLING, rows);
    assert_eq!((outcome.verdict, minutes(&outcome)), (NotShown, (Some(0.0), Some(6.0))));
}

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
    let share = |num, den| Form::ShareAtLeast { condition: at_least("90"), share: Rational::new(num, den).unwrap() };
    let outcome = judge(share(1, 4), window(0, 20), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome)), (Met, (Some(0.0), Some(5.0))));
    assert_eq!(verdict(share(1, 2), 0, 20, &rows), NotShown);
    assert_eq!(verdict(share(3, 5), 0, 20, &rows), NotMet);
    // The start is known to 5 min: from minute 5 the certain piece is gone. 0 − 0.25 · 15 = −3.75.
    let loose = Window { start: (0, 5 * MIN), end: Some((20 * MIN, 20 * MIN)) };
    let outcome = judge(share(1, 4), loose, SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, minutes(&outcome).0), (NotShown, Some(-3.75)));
    // An empty stage, and one with no recorded end, show nothing.
    assert_eq!(verdict(share(1, 4), 0, 0, &rows), NotShown);
    let open = judge(share(1, 4), Window::open(0), SAMPLING, rows);
    assert_eq!((open.verdict, open.reason), (NotShown, Some(Reason::NoEnd)));
}

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
    assert_eq!(judge(form(29), loose, SAMPLING, rows).verdict, NotMet);
}

#[test]
fn fall_over_every_span() {
    // Every 10 min: 60, 50, 40, 35. From reading to reading 20 min later: 20 and 15. From any instant
    // between 0 and 10 (50 or more) to 20 min later (40 or less): 10 at least.
    let rows = every(10, &[60.0, 50.0, 40.0, 35.0]);
    let falls = |by: &str| {
        let by = Rational::parse(by).unwrap();
        Form::FallsAtLeast { shown_by: by, denied_below: by, every: 20 * MIN }
    };
    let outcome = judge(falls("10"), window(0, 30), SAMPLING, rows.clone());
    assert_eq!((outcome.verdict, outcome.extent.least, outcome.extent.most), (Met, End::Closed(10.0), End::Closed(15.0)));
    assert_eq!(verdict(falls("10.1"), 0, 30, &rows), NotShown);
    assert_eq!(verdict(falls("15.1"), 0, 30, &rows), NotMet);
    // Decimals as written: 50.3 − 40.2 is 10.1 to the last place.
    let rows = every(10, &[50.3, 50.3, 40.2, 40.2]);
    assert_eq!(verdict(falls("10.1"), 0, 30, &rows), Met);
    // No span of 20 min fits in 10 min of readings.
    assert_eq!(verdict(falls("1"), 0, 10, &rows), NotShown);
}

/// One decade per minute from 60 up, a tenth of it from 50 up, nothing below; no more above 70.
#[derive(Debug)]
struct Steps(bool);

impl Steps {
    fn rate(value: f64) -> f64 {
        match value {
            v if v >= 60.0 => 1.0 / 60.0,
            v if v >= 50.0 => 0.1 / 60.0,
            _ => 0.0,
        }
    }
}

impl DeathRates for Steps {
    fn low(&self, value: f64) -> f64 {
        Self::rate(value).next_down()
    }
    fn high(&self, value: f64) -> f64 {
        Self::rate(value).next_up()
    }
    fn top(&self) -> Option<f64> {
        self.0.then_some((1.0_f64 / 60.0).next_up())
    }
}

#[test]
fn reduction() {
    // 40, 55, 65, 65, 55 every 5 min. Least: 0 + 0.5 + 5 + 0.5 = 6. Most: 0.5 + 5 + 5 + 5 = 15.5.
    // Trapezoid: 0.25 + 2.75 + 5 + 2.75 = 10.75.
    let rows = every(5, &[40.0, 55.0, 65.0, 65.0, 55.0]);
    let rates = Steps(true);
    let form = |text: &str| Form::Reduction { rates: &rates, at_least: cut(text) };
    let outcome = judge(form("5.9"), window(0, 20), SAMPLING, rows.clone());
    assert_eq!(outcome.verdict, Met);
    let number = |end: End| end.number().unwrap();
    // Rounded outwards, and by no more than a hair.
    assert!(number(outcome.extent.least) < 6.0 && number(outcome.extent.least) > 6.0 - 1e-12);
    assert!(number(outcome.extent.most) > 15.5 && number(outcome.extent.most) < 15.5 + 1e-12);
    assert!((outcome.witness.trapezoid.unwrap() - 10.75).abs() < 1e-9);
    assert_eq!(verdict(form("6.1"), 0, 20, &rows), NotShown);
    assert_eq!(verdict(form("15.6"), 0, 20, &rows), NotMet);
    // A gap of 20 min adds nothing to least and 20 decades to most; with no stated top, no bound.
    let mut holed = rows.clone();
    holed.push(Row::reading(40 * MIN, 55.0));
    let most = |form: Form<'_>| judge(form, window(0, 40), SAMPLING, holed.clone()).extent.most;
    assert!((number(most(form("1"))) - 35.5).abs() < 1e-9);
    let boundless = Steps(false);
    assert_eq!(most(Form::Reduction { rates: &boundless, at_least: cut("1") }), End::UnboundedAbove);
}

/// Fastest at 40, a decade in 20 min; a tenth of that from 10 up; nothing at 60 and over.
#[derive(Debug)]
struct Hump;

impl Hump {
    const PEAK: f64 = 1.0 / 1200.0;
}

impl GrowthRates for Hump {
    fn lowest(&self, lo: f64, hi: f64) -> f64 {
        if lo >= 10.0 && hi < 60.0 { Self::PEAK / 10.0 } else { 0.0 }
    }
    fn highest(&self, lo: f64, hi: f64) -> f64 {
        match (lo <= 40.0 && hi >= 40.0, hi >= 10.0 && lo < 60.0) {
            (true, _) => Self::PEAK,
            (_, true) => Self::PEAK / 10.0,
            _ => 0.0,
        }
    }
    fn optimum(&self) -> f64 {
        Self::PEAK
    }
}

#[test]
fn growth() {
    // 60 then 20 in 10 min passes the peak on the way: at most half a decade, though neither end shows it.
    let form = |text: &str| Form::GrowthAtMost { rates: &Hump, at_most: cut(text) };
    let rows = every(10, &[60.0, 20.0, 12.0]);
    let outcome = judge(form("0.6"), window(0, 20), SAMPLING, rows.clone());
    // Least: 0 + 0.05. Most: 0.5 + 0.05.
    assert_eq!(outcome.verdict, Met);
    assert!((outcome.extent.least.number().unwrap() - 0.05).abs() < 1e-9);
    assert!((outcome.extent.most.number().unwrap() - 0.55).abs() < 1e-9);
    assert_eq!(verdict(form("0.5"), 0, 20, &rows), NotShown);
    assert_eq!(verdict(form("0.04"), 0, 20, &rows), NotMet);
}

#[test]
fn degree_hours() {
    // Above a base of 15.6: 20.6 for an hour is 5 °C·h, 30.6 for the next 15 °C·h, the step between counts either way.
    let rows = every(60, &[20.6, 20.6, 30.6, 30.6]);
    let sampling = Sampling { credit_gap: 60 * MIN, edge_allowance: 0 };
    let form = |hours: i64| Form::SumAboveAtMost {
        base_least: 15.6,
        base_most: 15.6,
        top: None,
        at_most: Cut::new(Rational::whole(hours * 3600)),
    };
    // Least: 5 + 5 + 15 = 25. Most: 5 + 15 + 15 = 35.
    let verdict = |hours| judge(form(hours), window(0, 180), sampling, rows.clone()).verdict;
    assert_eq!((verdict(36), verdict(30), verdict(24)), (Met, NotShown, NotMet));
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
    assert_eq!((order(10, 0), order(9, 0), order(10, 1), order(12, 1), order(7, 1)), (Met, NotMet, NotShown, Met, NotMet));
}

#[test]
fn duplicates_and_breaking_rows() {
    // Two values at one instant are one reading known only to lie between them.
    let rows = [Row::reading(0, 3.0), Row::reading(0, 5.0), Row::reading(5 * MIN, 3.0)];
    let outcome = judge(Form::Bound(at_most("4")), window(0, 5), SAMPLING, rows);
    assert_eq!((outcome.verdict, outcome.witness.spreads), (NotShown, 1));
    // A breaking row at the instant of a reading leaves nothing of it.
    let broken = [Row::reading(0, 9.0), Row::broken(0), Row::reading(5 * MIN, 3.0)];
    assert_eq!(verdict(Form::Bound(at_most("4")), 0, 5, &broken), NotShown);
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
