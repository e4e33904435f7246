//! Any input at all.

use crate::record::TICK;
use bourn::quantity::{Cut, Rational};
use bourn::verdict::Verdict;
use bourn::verify::engine::{Band, Condition, Edge, Form, Judge, Row, Sampling, Window, judge};
use proptest::prelude::*;

fn up_to(value: &str) -> Condition {
    Condition::exact(Band::up_to(Edge::inclusive(Cut::new(Rational::parse(value).unwrap()))))
}

proptest! {
    /// Any instants, any doubles, any window: an outcome, never a panic.
    #[test]
    fn never_panics(
        rows in prop::collection::vec((any::<i64>(), any::<f64>(), any::<f64>()), 0..40),
        window in any::<(i64, i64, i64, i64, bool)>(),
        gap in any::<i64>(),
        allowance in any::<i64>(),
        time in any::<i64>(),
        sorted in any::<bool>(),
    ) {
        let (s1, s2, e1, e2, open) = window;
        let window = Window { start: (s1, s2), end: (!open).then_some((e1, e2)) };
        let sampling = Sampling { credit_gap: gap, edge_allowance: allowance };
        let mut rows: Vec<Row> = rows.into_iter().map(|(at, lo, hi)| Row { at, lo, hi }).collect();
        if sorted {
            rows.sort_by_key(|row| row.at);
        }
        let condition = up_to("4.5");
        let share = Rational::new(1, 3).unwrap();
        for form in [
            Form::Bound(condition),
            Form::Never(condition),
            Form::Held { condition, at_least: time },
            Form::TotalAtLeast { condition, at_least: time },
            Form::TotalAtMost { condition, at_most: time },
            Form::StretchAtMost { condition, at_most: time },
            Form::ShareAtLeast { condition, share, strict: true },
            Form::ShareAtMost { condition, share, strict: false },
            Form::Passage { before: condition, arrived: up_to("-7"), within: time },
            Form::ReachesWithin { condition, within: time },
            Form::FallsAtLeast { rises: true, strict: true, shown_by: share, denied_below: share, every: time },
            Form::SumAboveAtMost { base_least: 4.0, base_most: 4.0, top: Some(50.0), at_most: Cut::new(share) },
        ] {
            let outcome = judge(form, window, sampling, rows.iter().copied());
            let mut pushed = Judge::new(form, window, sampling);
            rows.iter().for_each(|row| pushed.push(*row));
            prop_assert_eq!(outcome.verdict, pushed.finish().verdict);
        }
    }

    /// With every instant read and joined, a bound is met exactly if no reading breaks it.
    #[test]
    fn a_covered_bound_is_decided(values in prop::collection::vec(-50_i32..120, 2..60)) {
        let rows: Vec<Row> = values.iter().enumerate()
            .map(|(i, v)| Row::reading(i as i64 * TICK, f64::from(*v) / 10.0)).collect();
        let window = Window::exact(0, (values.len() as i64 - 1) * TICK);
        let sampling = Sampling { credit_gap: TICK, edge_allowance: 0 };
        let outcome = judge(Form::Bound(up_to("4.5")), window, sampling, rows);
        let expected = if values.iter().all(|v| *v <= 45) { Verdict::Met } else { Verdict::NotMet };
        prop_assert_eq!(outcome.verdict, expected);
        let breaking: u64 = outcome.breaks.items.iter().map(|stretch| stretch.readings).sum();
        prop_assert_eq!(breaking, values.iter().filter(|v| **v > 45).count() as u64);
    }
}
