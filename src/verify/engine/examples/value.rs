//! Bound, range, forbidden band, edges, duplicates.

use super::*;
use crate::verdict::Verdict::{Met, NotMet, NotShown};

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
    let outcome =
        judge(Form::TotalAtMost { condition: at_least("10"), at_most: 5 * MIN }, window(0, 11), SAMPLING, rows);
    assert_eq!((outcome.verdict, minutes(&outcome)), (NotShown, (Some(0.0), Some(6.0))));
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
