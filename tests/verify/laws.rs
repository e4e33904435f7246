//! What must not change a verdict: the unit of the readings, the order of the rows, the split into files.

use super::scene::{Scene, minutely};
use proptest::prelude::*;

const LIMITS: [&str; 9] = [
    "x core <= 72 °C",
    "x core >= 68 °C",
    "x core >= 70 °C held for 3 min",
    "x core >= 70 °C in total at least 5 min",
    "x core >= 70 °C in total at least 40 % of cooking or 3 min, whichever is longer",
    "x core above 70 °C in total at most 4 min",
    "x core above 70 °C at a stretch at most 2 min",
    "x core from 71 °C to 69 °C within 4 min",
    "x reduction by bug from core >= 8 log10",
];

/// Tenths of a degree around 70 °C, with blanks and broken codes among them.
fn reading() -> impl Strategy<Value = Option<i64>> {
    prop_oneof![8 => (680_i64..730).prop_map(Some), 1 => Just(None)]
}

fn celsius(tenths: Option<i64>) -> String {
    tenths.map_or_else(String::new, |tenths| format!("{}.{}", tenths / 10, tenths % 10))
}

/// The same temperature in °F, exactly: tenths of °C are fiftieths of °F.
fn fahrenheit(tenths: Option<i64>) -> String {
    tenths.map_or_else(String::new, |tenths| {
        let hundredths = tenths * 18 + 3200;
        format!("{}.{:02}", hundredths / 100, hundredths % 100)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn the_unit_of_the_readings_changes_nothing(values in prop::collection::vec(reading(), 11), limit in 0..LIMITS.len()) {
        let mut scene = Scene::new(LIMITS[limit], &[]);
        let texts: Vec<String> = values.iter().map(|value| celsius(*value)).collect();
        scene.files[0].1 = minutely(&texts.iter().map(String::as_str).collect::<Vec<_>>());
        let in_celsius = scene.verdict();
        let texts: Vec<String> = values.iter().map(|value| fahrenheit(*value)).collect();
        scene.files[0] = ("°F", minutely(&texts.iter().map(String::as_str).collect::<Vec<_>>()));
        // A reduction whose bounds straddle the threshold by less than the rounding may be not shown; it is never reversed.
        let in_fahrenheit = scene.verdict();
        prop_assert_eq!(in_celsius, in_fahrenheit);
    }

    #[test]
    fn the_order_of_the_rows_and_the_split_into_files_change_nothing(
        values in prop::collection::vec(reading(), 11),
        order in Just((0..11_usize).collect::<Vec<_>>()).prop_shuffle(),
        split in 1..10_usize,
        limit in 0..LIMITS.len(),
    ) {
        let mut scene = Scene::new(LIMITS[limit], &[]);
        let texts: Vec<String> = values.iter().map(|value| celsius(*value)).collect();
        let rows = minutely(&texts.iter().map(String::as_str).collect::<Vec<_>>());
        scene.files[0].1 = rows.clone();
        let straight = scene.limit();
        scene.files[0].1 = order.iter().map(|&index| rows[index].clone()).collect();
        prop_assert_eq!(scene.verdict(), straight.verdict);
        scene.files = vec![("°C", rows[split..].to_vec()), ("°C", rows[..split].to_vec())];
        let parted = scene.limit();
        prop_assert_eq!(parted.verdict, straight.verdict);
        let interval = |limit: &bourn::verify::LimitVerdict| limit.parts.iter().filter_map(|part| part.outcome.as_ref()).map(|outcome| outcome.extent).collect::<Vec<_>>();
        prop_assert_eq!(interval(&parted), interval(&straight));
    }

    /// Taking readings away can only lead to *not shown*, unless what is left stays joined (rule 3 prints that).
    #[test]
    fn a_hole_that_is_not_bridged_never_reverses_a_verdict(
        values in prop::collection::vec((680_i64..730).prop_map(Some), 11),
        hole in 1..7_usize,
        limit in 0..LIMITS.len(),
    ) {
        let mut scene = Scene::new(LIMITS[limit], &[]);
        let texts: Vec<String> = values.iter().map(|value| celsius(*value)).collect();
        let rows = minutely(&texts.iter().map(String::as_str).collect::<Vec<_>>());
        scene.files[0].1 = rows.clone();
        let whole = scene.verdict();
        scene.files[0].1 = rows.iter().enumerate().filter(|(index, _)| !(hole..hole + 3).contains(index)).map(|(_, row)| row.clone()).collect();
        let holed = scene.verdict();
        prop_assert!(holed == whole || holed == bourn::verdict::Verdict::NotShown || whole == bourn::verdict::Verdict::NotShown, "{whole} became {holed}");
    }
}
