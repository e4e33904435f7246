//! What the block of a limit says about its shape: excursions that are allowed, and how many probes are enough.

use super::scene::{Scene, minutely, stamp};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use proptest::prelude::*;

fn core(limit: &str, values: &[&str]) -> Verdict {
    let mut scene = Scene::new(limit, &[]);
    scene.files[0].1 = minutely(values);
    scene.verdict()
}

#[test]
fn an_excursion_is_two_limits() {
    let allowed = |minutes: u32| format!("x core <= 4 °C {{ allow up to 7 °C at a stretch at most {minutes} min }}");
    // Three at 6 °C: the stay lasts from 2 to 4 min.
    let brief = ["3", "3", "3", "6", "6", "6", "3", "3", "3", "3", "3"];
    assert_eq!(core("x core <= 4 °C", &brief), NotMet);
    assert_eq!(core(&allowed(4), &brief), Met);
    assert_eq!(core(&allowed(3), &brief), NotShown);
    assert_eq!(core(&allowed(1), &brief), NotMet);
    // Beyond the excursion, however short.
    let high = ["3", "3", "3", "8", "3", "3", "3", "3", "3", "3", "3"];
    assert_eq!(core(&allowed(9), &high), NotMet);
    // The mirror image, and a strict bound: at 60 °C the excursion has begun.
    let low = ["61", "61", "60", "60", "60", "61", "61", "61", "61", "61", "61"];
    let down = |minutes: u32| format!("x core > 60 °C {{ allow down to 58 °C at a stretch at most {minutes} min }}");
    assert_eq!((core(&down(4), &low), core(&down(1), &low)), (Met, NotMet));
    assert_eq!(core("x core >= 60 °C { allow down to 58 °C at a stretch at most 1 min }", &low), Met);
    // Both are printed as they are judged.
    let mut scene = Scene::new(&allowed(4), &[]);
    scene.files[0].1 = minutely(&brief);
    let limit = scene.limit();
    assert_eq!(limit.parts.len(), 2);
    assert!(limit.symbols.contains("core ≤ 7") && limit.symbols.contains("core above 4"), "{}", limit.symbols);
}

/// The example of docs/limits.md.
#[test]
fn the_example_with_a_pencil() {
    let every_five = |values: [&str; 4], minutes: u32| {
        let limit = format!("x core <= 4 °C {{ allow up to 7 °C at a stretch at most {minutes} min }}");
        let at = ["10:00:00", "10:05:00", "10:10:00", "10:15:00"];
        let readings: Vec<(&str, &str)> = at.into_iter().zip(values).collect();
        let mut scene = Scene::new(&limit, &readings);
        (scene.often, scene.stage) = ("every 5 min", ("10:00:00", "10:15:00"));
        scene.verdict()
    };
    let brief = ["3", "6", "6", "3"];
    assert_eq!([20, 10, 4].map(|minutes| every_five(brief, minutes)), [Met, NotShown, NotMet]);
    assert_eq!(every_five(["3", "8", "3", "3"], 20), NotMet);
}

/// Three declared probes; an empty value is no reading.
fn probes(statement: &str, probes: [&str; 3]) -> Verdict {
    let mut scene = Scene::new(&format!("x heat >= 70 °C held for 2 min {statement}"), &[]);
    scene.files.clear();
    scene.more = "parameter heat { unit °C; probes p1, p2, p3 }\n";
    scene.also_monitored = "monitor heat continuously step 1 min by worker on cook-record";
    let mut text = "Time,Lot,A,B,C\n".to_owned();
    for minute in 0..11 {
        text.push_str(&format!("{},L1,{}\n", stamp(&format!("10:{minute:02}:00")), probes.join(",")));
    }
    let mapping = "readings:\n  - files: [heat.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }\n    lot: Lot\n    columns:\n      A: { parameter: heat, probe: p1, unit: °C }\n      B: { parameter: heat, probe: p2, unit: °C }\n      C: { parameter: heat, probe: p3, unit: °C }\n";
    scene.verification(&[("heat.csv", text.as_str())], mapping).lots[0].limits[0].verdict
}

#[test]
fn probes_are_counted_and_never_averaged() {
    for (values, every, two, one) in [
        (["72", "72", "72"], Met, Met, Met),
        (["72", "72", ""], NotShown, Met, Met),
        (["72", "60", ""], NotMet, NotShown, Met),
        // The mean is above 70 °C; two probes are not.
        (["99", "60", "60"], NotMet, NotMet, Met),
        (["60", "60", "60"], NotMet, NotMet, NotMet),
        (["", "", ""], NotShown, NotShown, NotShown),
    ] {
        assert_eq!(probes("", values), every, "{values:?}");
        assert_eq!(probes("{ probes worst }", values), every, "{values:?}");
        assert_eq!(probes("{ probes 3 of 3 }", values), every, "{values:?}");
        assert_eq!(probes("{ probes 2 of 3 }", values), two, "{values:?}");
        assert_eq!(probes("{ probes 1 of 3 }", values), one, "{values:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// A law: the order of the probes changes nothing, and asking for more of them never raises the verdict.
    #[test]
    fn probes_in_any_order(values in prop::array::uniform3(prop::sample::select(vec!["72", "60", ""])), turn in 0_usize..3) {
        let mut turned = values;
        turned.rotate_left(turn);
        let all: Vec<Verdict> = (1..=3).map(|enough| probes(&format!("{{ probes {enough} of 3 }}"), values)).collect();
        for (index, verdict) in all.iter().enumerate() {
            prop_assert_eq!(*verdict, probes(&format!("{{ probes {} of 3 }}", index + 1), turned));
        }
        prop_assert!(all.windows(2).all(|pair| pair[1] <= pair[0]), "{:?}", all);
    }

    /// A law: a shorter or lower excursion never raises the verdict.
    #[test]
    fn a_tighter_excursion_never_raises(
        values in prop::collection::vec(0_u32..12, 11),
        (a, b) in (5_u32..12, 5_u32..12),
        (d, e) in (1_u32..9, 1_u32..9),
    ) {
        let words: Vec<String> = values.iter().map(u32::to_string).collect();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let verdict = |to: u32, time: u32| {
            core(&format!("x core <= 4 °C {{ allow up to {to} °C at a stretch at most {time} min }}"), &words)
        };
        prop_assert!(verdict(a.min(b), d.min(e)) <= verdict(a.max(b), d.max(e)));
    }
}
