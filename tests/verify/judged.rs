//! Limits judged over loads, days, shifts and runs of a stage: the worst one decides. Every record is invented.

use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::{Period, Verification, verify};

/// One lot whose register has these rows `load,start,end`, and one reading a minute by the minute of 2026-10-05, UTC.
fn run(limit: &str, rows: &[(&str, &str, &str)], value: impl Fn(i32) -> i32) -> Verification {
    let text = format!(
        "plan p {{ time-zone Europe/Berlin; shifts from 06:00, 14:00, 22:00 }}
role worker {{ }}
record log {{ }}
event start-cook on log
event end-cook on log
parameter core {{ unit °C }}
step cook {{ stage cooking from start-cook to end-cook }}
ccp c at cook {{
  limit x {limit}
  monitor core continuously step 1 min by worker on log
}}
"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    let mapping = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    load: Load
    events: { start-cook: Start, end-cook: End }
readings:
  - files: [core.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    columns:
      Core: { parameter: core, unit: °C }
";
    let id = sources.add(Source::new("mapping", mapping));
    let (mapping, findings) = Mapping::parse(mapping, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    let stamp = |time: &str| if time.is_empty() { String::new() } else { format!("2026-10-05 {time}") };
    let lots: String =
        rows.iter().map(|(load, start, end)| format!("L1,{load},{},{}\n", stamp(start), stamp(end))).collect();
    let core: String = (8 * 60..24 * 60)
        .map(|minute| format!("2026-10-05 {:02}:{:02},{}\n", minute / 60, minute % 60, value(minute)))
        .collect();
    let files = Memory::default()
        .with("lots.csv", format!("Lot,Load,Start,End\n{lots}"))
        .with("core.csv", format!("Time,Core\n{core}"));
    let records = read(&mapping, &files);
    let verification = verify(&reading.plan, &records, Period::default());
    crate::workings::explained(&reading.plan, &records, &verification);
    verification
}

fn verdict(limit: &str, rows: &[(&str, &str, &str)], value: impl Fn(i32) -> i32) -> Verdict {
    run(limit, rows, value).lots[0].limits[0].verdict
}

/// Hot for 12 min in the first load and for 4 min in the second.
fn two_holds(minute: i32) -> i32 {
    let at = minute - 9 * 60;
    if (5..=17).contains(&at) || (65..=69).contains(&at) { 74 } else { 60 }
}

const LOADS: [(&str, &str, &str); 2] = [("1", "09:00", "09:30"), ("2", "10:00", "10:30")];

#[test]
fn one_load_never_stands_for_another() {
    let hold = |per: &str| verdict(&format!("core >= 72 °C held for 10 min {per}"), &LOADS, two_holds);
    assert_eq!(hold("{ judged per lot }"), Met);
    assert_eq!(hold("{ judged per load }"), NotMet);
    assert_eq!(hold("{ judged per cooking }"), NotMet);
    assert_eq!(verdict("core >= 72 °C held for 4 min { judged per load }", &LOADS, two_holds), Met);
    // Without a word the whole lot is judged, and that is said.
    assert_eq!(hold(""), Met);
    let codes = |per: &str| -> Vec<&'static str> {
        let told = run(&format!("core >= 72 °C held for 10 min {per}"), &LOADS, two_holds);
        told.findings.iter().map(|finding| finding.rule.code).collect()
    };
    assert!(codes("").contains(&"V108"));
    assert!(!codes("{ judged per load }").contains(&"V108"));
}

#[test]
fn a_load_that_is_not_recorded_shows_nothing() {
    let limit = "core >= 72 °C held for 4 min { judged per load }";
    assert_eq!(verdict(limit, &[("", "09:00", "10:30")], two_holds), NotShown);
    assert_eq!(verdict(limit, &[LOADS[0], ("2", "10:00", "")], |_| 60), NotMet);
    assert_eq!(verdict(limit, &[LOADS[0], ("2", "", "")], two_holds), NotShown);
    // The whole lot has no end while one of its loads has none.
    let cold = "core <= 80 °C { judged per lot }";
    assert_eq!(verdict(cold, &LOADS, two_holds), Met);
    assert_eq!(verdict(cold, &[LOADS[0], ("2", "10:00", "")], two_holds), NotShown);
}

#[test]
fn the_order_of_loads_changes_nothing() {
    for limit in ["core >= 72 °C held for 10 min { judged per load }", "core <= 73 °C { judged per cooking }"] {
        let turned = [LOADS[1], LOADS[0]];
        assert_eq!(verdict(limit, &LOADS, two_holds), verdict(limit, &turned, two_holds), "{limit}");
    }
}

/// Days and shifts belong to the plan's zone: in October, 22:00 in Berlin is 20:00 UTC, and midnight is 22:00 UTC.
#[test]
fn days_and_shifts_are_cut_in_the_zone_of_the_plan() {
    let lot = [("", "19:00", "23:00")];
    // Warm for 40 min before 20:00 UTC and 40 min after.
    let warm = |minute: i32| if (19 * 60 + 20..=20 * 60 + 40).contains(&minute) { 12 } else { 5 };
    let total =
        |per: &str| verdict(&format!("core above 10 °C in total at most 50 min {{ judged per {per} }}"), &lot, warm);
    assert_eq!(total("lot"), NotMet);
    assert_eq!(total("day"), NotMet);
    assert_eq!(total("shift"), Met);
    // Around midnight of Berlin.
    let late = |minute: i32| warm(minute - 120);
    let total =
        |per: &str| verdict(&format!("core above 10 °C in total at most 50 min {{ judged per {per} }}"), &lot, late);
    assert_eq!((total("lot"), total("day"), total("shift")), (NotMet, Met, NotMet));
    // Each day must be shown: nothing is hot after midnight.
    let hot = |minute: i32| if minute < 21 * 60 { 75 } else { 60 };
    assert_eq!(verdict("core >= 72 °C held for 10 min { judged per lot }", &lot, hot), Met);
    assert_eq!(verdict("core >= 72 °C held for 10 min { judged per day }", &lot, hot), NotMet);
}

#[test]
fn a_day_that_only_perhaps_belongs_never_makes_a_lot_not_met() {
    // The lot ends one minute after midnight of Berlin, within the clock allowance.
    let lot = [("", "19:00", "22:01")];
    let hot = |minute: i32| if minute < 21 * 60 { 75 } else { 60 };
    assert_eq!(verdict("core >= 72 °C held for 10 min { judged per day }", &lot, hot), NotShown);
    // No recorded end: the last day stays open.
    assert_eq!(verdict("core <= 80 °C { judged per day }", &[("", "19:00", "")], hot), NotShown);
    assert_eq!(verdict("core <= 70 °C { judged per day }", &[("", "19:00", "")], hot), NotMet);
}
