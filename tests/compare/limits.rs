//! Looser, tighter, or neither, form by form; each line is read both ways.

use super::{BASE, compared};
use bourn::compare::{Change, Kind};

/// Old condition, new condition, by how much it is looser (`-`: no amount is told).
const LOOSER: &[(&str, &str, &str)] = &[
    ("core <= 10 °C", "core <= 12 °C", "2 °C"),
    ("core < 10 °C", "core <= 10 °C", "-"),
    ("core >= 72 °C held for 2 min", "core >= 72 °C held for 90 s", "30 s"),
    ("core >= 72 °C held for 2 min", "core >= 70 °C held for 1 min", "2 °C and 1 min"),
    // 4 °C is 39.2 °F.
    ("core <= 4 °C", "core <= 40 °F", "0.8 °F"),
    ("core between 70 °C and 80 °C", "core between 70 °C and 85 °C", "5 °C"),
    ("core = 75 °C ± 5 °C", "core = 75 °C ± 6 °C", "1 °C"),
    ("no core between 10 °C and 60 °C", "no core between 20 °C and 60 °C", "10 °C"),
    ("core above 10 °C in total at most 2 h", "core above 10 °C in total at most 3 h", "1 h"),
    ("core above 10 °C in total at most 2 h", "core above 12 °C in total at most 2 h", "2 °C"),
    ("core above 10 °C at a stretch at most 30 min", "core above 10 °C at a stretch at most 45 min", "15 min"),
    ("core from 60 °C to 10 °C within 2 h", "core from 60 °C to 10 °C within 3 h", "1 h"),
    ("core reaches 74 °C", "core reaches 70 °C", "4 °C"),
    ("core reaches 63 °C within 40 min of boil-start", "core reaches 63 °C within 1 h of boil-start", "20 min"),
    ("core falls at least 5 °C in every 1 h", "core falls at least 4 °C in every 1 h", "1 °C"),
    ("boiling lasts at least 30 min", "boiling lasts at least 20 min", "10 min"),
    ("from boil-start to boil-end within 1 h", "from boil-start to boil-end within 2 h", "1 h"),
    ("boil-start at most 1 time per lot", "boil-start at most 2 times per lot", "-"),
    ("F of core at 70 °C z 7.5 °C >= 2 min", "F of core at 70 °C z 7.5 °C >= 1 min", "1 min"),
    ("reduction by cereus-death from core >= 6 log10", "reduction by cereus-death from core >= 5 log10", "1 log10"),
    ("core meets any row of core-rows", "core >= 68 °C held for 30 s", "-"),
    (
        "one of { option slow core >= 70 °C held for 2 min; option quick core >= 75 °C held for 30 s }",
        "one of { option slow core >= 70 °C held for 2 min; option quick core >= 74 °C held for 30 s }",
        "1 °C",
    ),
    (
        "core >= 70 °C held for 2 min",
        "one of { option slow core >= 70 °C held for 2 min; option quick core >= 75 °C held for 30 s }",
        "-",
    ),
    ("all of { core >= 70 °C held for 2 min; core <= 99 °C }", "core >= 70 °C held for 2 min", "-"),
    (
        "all of { core >= 70 °C held for 2 min; core <= 99 °C }",
        "all of { core >= 70 °C held for 2 min; core <= 101 °C }",
        "2 °C",
    ),
];

/// Neither is plainly the stricter.
const NEITHER: &[(&str, &str)] = &[
    ("core >= 72 °C held for 2 min", "core >= 75 °C held for 30 s"),
    ("core >= 72 °C held for 2 min", "core >= 72 °C in total at least 2 min"),
    ("core <= 10 °C", "core >= 10 °C"),
    ("core from 60 °C to 10 °C within 2 h", "core from 55 °C to 10 °C within 2 h"),
    ("F of core at 70 °C z 7.5 °C >= 2 min", "F of core at 70 °C z 10 °C >= 2 min"),
    (
        "all of { core >= 70 °C held for 2 min; core <= 99 °C }",
        "all of { core >= 72 °C held for 2 min; core <= 101 °C }",
    ),
];

fn told(old: &str, new: &str) -> Vec<Change> {
    let with = |text: &str| BASE.replace("core >= 72 °C held for 2 min\n  limit", &format!("{text}\n  limit"));
    compared(&with(old), &with(new)).changes
}

#[test]
fn looser_one_way_is_tighter_the_other() {
    for (old, new, amount) in LOOSER {
        for (from, to, kind) in [(old, new, Kind::LimitLoosened), (new, old, Kind::LimitTightened)] {
            let changes = told(from, to);
            assert_eq!(changes.len(), 1, "{from} / {to}: {changes:?}");
            assert_eq!(changes[0].kind, kind, "{from} / {to}: {changes:?}");
            if kind == Kind::LimitLoosened {
                let shown = changes[0].amount.as_deref().unwrap_or("-").replace('\u{a0}', " ");
                assert_eq!(shown, *amount, "{from} / {to}");
            }
        }
    }
}

#[test]
fn what_cannot_be_put_in_order_is_for_a_person() {
    for (old, new) in NEITHER {
        for (from, to) in [(old, new), (new, old)] {
            let changes = told(from, to);
            assert_eq!(changes.len(), 1, "{from} / {to}: {changes:?}");
            assert_eq!(changes[0].kind, Kind::LimitChanged, "{from} / {to}: {changes:?}");
            assert!(changes[0].note.as_deref().is_some_and(|note| note.contains("a person must judge")));
        }
    }
}
