//! A lot that has left: what stands open on it, and what the registers of lots and of corrective actions say against
//! each other.

use crate::scene::{Scene, minutely};

const ACTIONS: &str = "registers:
  - files: [actions.csv]
    record: batch-record
    holds: corrective-actions
    time: { format: \"%Y-%m-%d %H:%M\" }
    unit: kg
    fields: { number: Number, lots: Lots, limits: Limits, found: Found, by: By, disposition: What, quantity: Kg, decided-by: Who, decided: When }
";
const HEAD: &str = "Number,Lots,Limits,Found,By,What,Kg,Who,When\n";

/// A lot that never came to 70 °C, and was shipped at 18:00.
fn cold() -> Scene {
    let mut scene = Scene::new("hot  core >= 70 °C held for 2 min", &[]);
    scene.files = vec![("°C", minutely(&["60", "61", "62", "63", "64", "65", "66", "67", "68", "69", "69"]))];
    scene.one_record = false;
    let register = "Lot,Start,End,Gone,Made\nL1,2026-10-05 10:00,2026-10-05 10:10,2026-10-05 18:00,230\n";
    // What follows the events stands in the same entry of the mapping.
    let events = "start-cook: Start, end-cook: End }\n    shipped: Gone\n    quantity: { column: Made, unit: kg";
    scene.register = Some((register.to_owned(), events));
    scene
}

fn codes(further: &[(&str, &str)], mapping: &str) -> Vec<&'static str> {
    cold().verification(further, mapping).findings.iter().map(|finding| finding.rule.code).collect()
}

#[test]
fn without_a_register_of_actions_what_is_open_is_said_all_the_same() {
    let verification = cold().verification(&[], "");
    let open: Vec<_> = verification.followed.shipped_open().collect();
    assert!(open.iter().any(|(deviation, lots)| deviation.about() == "c.hot" && lots[0].code == "L1"), "{open:#?}");
    let found = verification.findings.iter().find(|finding| finding.rule.code == "E201").unwrap();
    assert!(found.message.ends_with("; no register of corrective actions was given"), "{}", found.message);
    let why = &verification.lots[0].limits[0].why;
    assert!(why.contains("(readings from 60 °C to 69 °C)") || why.contains("69\u{a0}°C"), "{why}");
}

#[test]
fn an_action_may_name_the_number_that_the_document_prints() {
    let row = |limits: &str| format!("{HEAD}CA-1,L1,{limits},2026-10-05 11:00,AB,rework,230,CD,2026-10-05 12:00\n");
    let mut numbered = cold();
    numbered.also_monitored = "number \"CCP 1\"";
    for (limits, known) in
        [("c.hot", true), ("CCP 1", true), ("ccp 1.hot", true), ("CCP 9", false), ("CCP 1.cold", false)]
    {
        let text = row(limits);
        let findings = numbered.verification(&[("actions.csv", &text)], ACTIONS).findings;
        assert_eq!(findings.iter().all(|finding| finding.rule.code != "E405"), known, "{limits}");
    }
}

#[test]
fn shipped_though_all_of_it_was_to_be_destroyed() {
    let row = |what: &str, kg: &str, when: &str| {
        format!("{HEAD}CA-1,L1,c.hot,2026-10-05 11:00,AB,{what},{kg},CD,2026-10-05 {when}\n")
    };
    let found = |what: &str, kg: &str, when: &str| {
        let text = row(what, kg, when);
        codes(&[("actions.csv", &text)], ACTIONS).contains(&"E205")
    };
    assert!(found("destroy", "230", "12:00"));
    assert!(found("Discarded as category 3", "", "12:00"));
    assert!(!found("rework", "230", "12:00"));
    assert!(!found("not to be destroyed", "230", "12:00"));
    // A part of the lot, or a decision after the shipping, contradicts nothing; the latter is told as such.
    assert!(!found("destroy", "30", "12:00"));
    assert!(!found("destroy", "230", "19:00"));
}
