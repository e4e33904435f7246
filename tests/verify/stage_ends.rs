//! Stages that end when a limit is met.

use super::scene::{Scene, minutely};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::LimitVerdict;

const STAGE: &str = "step heat \"Heat\" { stage heating from start-cook until lethal is met }\n";

fn scene(limit: &str, values: &[&str]) -> Scene {
    let times: Vec<String> = (0..values.len()).map(|index| format!("10:{:02}:00", 5 * index)).collect();
    let readings: Vec<(&str, &str)> = times.iter().map(String::as_str).zip(values.iter().copied()).collect();
    let mut scene = Scene::new(&format!("{limit}\n  limit lethal core >= 70 °C held for 5 min"), &readings);
    (scene.often, scene.stage, scene.more) = ("every 5 min", ("10:00:00", "10:25:00"), STAGE);
    scene
}

fn judged(limit: &str, values: &[&str]) -> LimitVerdict {
    scene(limit, values).limit()
}

/// The example of docs/limits.md.
#[test]
fn the_example_with_a_pencil() {
    let values = ["50", "62", "66", "75", "75", "40"];
    let verdict = |limit: &str| -> Verdict { judged(limit, &values).verdict };
    let share = |percent: u32| verdict(&format!("x core >= 60 °C in total at least {percent} % of heating"));
    assert_eq!([50, 66, 100].map(share), [Met, Met, NotShown]);
    let slow = |time: u32| verdict(&format!("x core above 40 °C in total at most {time} min during heating"));
    assert_eq!([20, 19, 14].map(slow), [Met, NotShown, NotMet]);
    let long = |time: u32| verdict(&format!("x heating lasts at least {time} min"));
    assert_eq!([15, 16, 21].map(long), [Met, NotShown, NotMet]);
    let said =
        judged("x core above 40 °C in total at most 20 min during heating", &values).parts[0].evidence.join("\n");
    assert!(said.contains("the stage ends when `lethal` is met: from 2026-10-05 10:15"), "{said}");
    // What comes after the end is no part of the stage.
    assert_eq!(verdict("x core >= 45 °C throughout heating"), Met);
    assert_eq!(verdict("x core >= 45 °C"), NotMet);
}

#[test]
fn a_stage_whose_limit_is_not_surely_met_has_no_end() {
    for values in [["50", "62", "66", "75", "66", "40"], ["50", "62", "66", "66", "66", "40"]] {
        assert_eq!(judged("x core >= 45 °C throughout heating", &values).verdict, NotShown, "{values:?}");
        assert_eq!(judged("x heating lasts at least 1 min", &values).verdict, NotShown, "{values:?}");
    }
    // A limit that binds every moment of it can still be broken.
    assert_eq!(judged("x core >= 55 °C throughout heating", &["50", "62", "66", "75", "75", "40"]).verdict, NotMet);
}

/// A law: a shorter hold never ends the stage later.
#[test]
fn a_shorter_hold_never_lengthens_the_stage() {
    let values = ["50", "62", "66", "71", "72", "75", "75", "75", "75", "75", "75"];
    let lasts = |held: u32, time: u32| {
        let mut scene = Scene::new(
            &format!("x heating lasts at most {time} min\n  limit lethal core >= 70 °C held for {held} min"),
            &[],
        );
        scene.files[0].1 = minutely(&values);
        scene.more = STAGE;
        scene.verdict()
    };
    for time in 1..11 {
        for held in 1..6 {
            assert!(lasts(held, time) >= lasts(held + 1, time), "{held} {time}");
        }
    }
}
