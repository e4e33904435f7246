//! Sums and clocks that another limit resets.

use super::*;
use crate::verdict::Verdict::{Met, NotMet, NotShown};

/// At or over 70 °C for 5 min; readings as they come for that hold are joined up to 5 min.
fn lethal(rows: &[Row], to: i64) -> Resets {
    let joined = Sampling { credit_gap: 5 * MIN, edge_allowance: 6 * MIN };
    resets(at_least("70"), 5 * MIN, window(0, to), joined, rows.iter().copied())
}

fn spans(spans: &[Span]) -> Vec<(i64, i64)> {
    spans.iter().map(|span| (span.from / MIN, span.to / MIN)).collect()
}

fn restarted(form: Form<'_>, to: i64, rows: &[Row]) -> Outcome {
    judge_restarting(form, window(0, to), SAMPLING, rows, &lethal(rows, to), false).outcome
}

#[test]
fn a_sum_starts_anew_at_a_reset() {
    let band = Condition::exact(Band::between(Edge::inclusive(cut("10")), Edge::inclusive(cut("60"))));
    let warm = |at_most: i64| Form::TotalAtMost { condition: band, at_most: at_most * MIN };
    // Every 5 min. The hold is certain from 15 to 20, so it is surely met at 20, perhaps from 15 to 25.
    let rows = every(5, &[5.0, 20.0, 40.0, 75.0, 75.0, 40.0, 20.0, 5.0]);
    let found = lethal(&rows, 35);
    assert_eq!((spans(&found.certain), spans(&found.possible)), (vec![(20, 20)], vec![(15, 25)]));
    // Before it 5 min in the band for certain, at most 15; after it the same.
    for (at_most, expected) in [(15, Met), (14, NotShown), (4, NotMet)] {
        let outcome = restarted(warm(at_most), 35, &rows);
        assert_eq!((outcome.verdict, minutes(&outcome)), (expected, (Some(5.0), Some(15.0))), "{at_most}");
    }
    let whole = judge(warm(15), window(0, 35), SAMPLING, rows);
    assert_eq!(minutes(&whole), (Some(10.0), Some(30.0)));
    // One reading over the line: the hold is perhaps met from 15 to 20, which lowers least alone.
    let rows = every(5, &[5.0, 20.0, 40.0, 75.0, 40.0, 20.0, 5.0]);
    let found = lethal(&rows, 30);
    assert_eq!((spans(&found.certain), spans(&found.possible)), (vec![], vec![(15, 20)]));
    assert_eq!(minutes(&restarted(warm(15), 30, &rows)), (Some(5.0), Some(30.0)));
    // Going back over the line without the hold resets nothing.
    let rows = every(5, &[5.0, 20.0, 40.0, 65.0, 65.0, 40.0, 20.0, 5.0]);
    assert_eq!(lethal(&rows, 35), Resets::default());
    assert_eq!(minutes(&restarted(warm(15), 35, &rows)), (Some(10.0), Some(30.0)));
}

#[test]
fn a_clock_starts_anew_at_a_reset() {
    let cooling = |within: i64| Form::Passage { before: at_least("60"), arrived: at_most("20"), within: within * MIN };
    // Cooled too slowly, heated again, cooled: 75, 75, 40, 75, 75, 40, 15 every 5 min.
    let rows = every(5, &[75.0, 75.0, 40.0, 75.0, 75.0, 40.0, 15.0]);
    let found = lethal(&rows, 30);
    assert_eq!((spans(&found.certain), spans(&found.possible)), (vec![(5, 5), (20, 20)], vec![(5, 10), (15, 25)]));
    // The first clock starts between 5 and 10 and is stopped between 15 and 20; the second runs 0 to 10 min.
    for (within, expected) in [(15, Met), (14, NotShown), (4, NotMet)] {
        let outcome = restarted(cooling(within), 30, &rows);
        assert_eq!((outcome.verdict, minutes(&outcome)), (expected, (Some(5.0), Some(15.0))), "{within}");
    }
    let whole = judge(cooling(15), window(0, 30), SAMPLING, rows);
    assert_eq!(minutes(&whole), (Some(15.0), Some(25.0)));
    // The same way to 65 °C and no further is one clock.
    let rows = every(5, &[75.0, 75.0, 40.0, 65.0, 65.0, 40.0, 15.0]);
    assert_eq!(minutes(&restarted(cooling(15), 30, &rows)), (Some(15.0), Some(25.0)));
    // A possible reset asks for a passage of its own, which the record must show to have been made.
    let rows = every(5, &[75.0, 75.0, 40.0, 15.0, 75.0, 65.0, 65.0]);
    assert_eq!(judge(cooling(15), window(0, 30), SAMPLING, rows.clone()).verdict, Met);
    let outcome = restarted(cooling(15), 30, &rows);
    assert_eq!((outcome.verdict, minutes(&outcome).1), (NotShown, None));
}
