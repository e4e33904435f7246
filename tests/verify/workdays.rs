//! Working days and promises by what was made, from plan text and records. Every record here is invented.

use bourn::log::{Mapping, Memory, Records, read};
use bourn::plan::{self, Plan};
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict;
use bourn::verify::{Period, WatchKind, verify};
use chrono::NaiveDate;

const MAPPING: &str = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    missing: [\"\"]
    events: { begun: Begun }
    quantity: { column: Made, unit: L }
samples:
  - files: [tests.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    sample: Sample
    columns:
      Sugar: { parameter: sugar, unit: \"%\" }
calibrations:
  - files: [calibrations.csv]
    record: log
    time: { column: Done, format: \"%Y-%m-%d %H:%M\" }
    instrument: Instrument
    reading: { column: Reading }
    reference: { column: Reference }
    unit: \"%\"
";

fn plan(head: &str, often: &str) -> Plan {
    let text = format!(
        "plan p {{ time-zone UTC; {head} }}
role worker {{ }}
record log {{ }}
event begun on log
event ended on log
parameter sugar {{ unit % }}
instrument meter {{ measures sugar; calibrate every 5 working days within 1 % by worker on log }}
step press {{ stage pressing from begun to ended }}
control juice at press {{
  guide sweet sugar >= 10 % in every sample
  monitor sugar {often} by worker using meter on log
}}
"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    reading.plan
}

fn records(lots: &str, tests: &str, calibrations: &str) -> Records {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("mapping", MAPPING));
    let (mapping, findings) = Mapping::parse(MAPPING, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    let files = Memory::default()
        .with("lots.csv", format!("Lot,Begun,Made\n{lots}"))
        .with("tests.csv", format!("Time,Lot,Sample,Sugar\n{tests}"))
        .with("calibrations.csv", format!("Instrument,Done,Reading,Reference\n{calibrations}"));
    read(&mapping, &files)
}

/// Tuesday 1 September 2026 and five working days end on Tuesday the 8th, or on the 9th if Monday was a holiday.
#[test]
fn a_calibration_falls_due_by_the_days_worked() {
    let done = "meter,2026-09-01 08:00,10,10\nmeter,2026-09-09 08:00,10,10\n";
    let records = records("L1,2026-09-02 08:00,10\n", "", done);
    let late = |head: &str| {
        verify(&plan(head, "each lot"), &records, Period::default()).instruments[0].calibrations[1].late_since
    };
    assert_eq!(late(""), NaiveDate::from_ymd_opt(2026, 9, 8));
    assert_eq!(late("holidays 2026-09-07"), None);
    // Saturday is worked: Wed 2, Thu 3, Fri 4, Sat 5, Mon 7.
    assert_eq!(late("working-days monday to saturday"), NaiveDate::from_ymd_opt(2026, 9, 7));
    // From Sunday to Thursday, over the end of the week: Wed 2, Thu 3, Sun 6, Mon 7, Tue 8.
    assert_eq!(late("working-days sunday to thursday"), NaiveDate::from_ymd_opt(2026, 9, 8));
}

/// A gallon is 231 cubic inches of 2.54 cm: 1000 gal are 3785.411784 L exactly (NIST SP 811, appendix B.8).
#[test]
fn gallons_are_held_against_litres_exactly() {
    let plan = plan("", "every 1000 gal");
    let kept = |made: &str| {
        let lots = format!("L0,2026-09-01 08:00,1\nL1,2026-09-02 08:00,{made}\n");
        let tests = "2026-09-01 09:00,L0,1,11\n2026-09-01 10:00,L0,2,11\n";
        verify(&plan, &records(&lots, tests, ""), Period::default()).watches.remove(0)
    };
    assert_eq!(kept("3785.411783").kept, Some(Verdict::Met));
    let missed = kept("3785.411784");
    assert_eq!(missed.kept, Some(Verdict::NotMet));
    let [(WatchKind::Missed, lot, _)] = missed.faults.as_slice() else { panic!("{:?}", missed.faults) };
    assert_eq!(lot, "L1");
    // Without a quantity nothing is kept by silence.
    let open = kept("");
    assert_eq!(open.kept, Some(Verdict::NotShown));
    assert_eq!(open.open, [("L1".to_owned(), "its quantity is not recorded".to_owned())]);
}

/// A register in litres shows nothing of a promise by pieces; a lot without a time stands nowhere.
#[test]
fn what_cannot_be_held_against_a_promise_is_said() {
    let records = records("L1,2026-09-01 08:00,100\nL2,,100\n", "2026-09-01 09:00,L1,1,11\n", "");
    let watch = verify(&plan("", "every 50 pieces"), &records, Period::default()).watches.remove(0);
    assert_eq!(watch.kept, Some(Verdict::NotShown));
    let why: Vec<&str> = watch.open.iter().map(|(_, why)| why.as_str()).collect();
    assert_eq!(
        why,
        ["no time on record says when it was made", "its quantity is recorded as a volume, not as a number of pieces"]
    );
    let plan = plan("", "every 50 pieces");
    let text = bourn::report::summary::text(&plan, &records, &verify(&plan, &records, Period::default()));
    assert!(text.contains("Checks late or missed, or not shown to be made"), "{text}");
    assert!(text.contains("L1 not shown: its quantity is recorded as a volume"), "{text}");
}

/// A look of the month before counts for the first days of this one.
#[test]
fn working_days_over_the_edge_of_the_period() {
    let lots: String = (1..=11).map(|day| format!("L{day},2026-09-{day:02} 08:00,10\n")).collect();
    let plan = plan("", "every 5 working days");
    let period = Period { from: NaiveDate::from_ymd_opt(2026, 9, 7), to: None };
    let judged = |tests: &str| verify(&plan, &records(&lots, tests, ""), period).watches.remove(0);
    // Thursday 3 September and five working days end on Thursday the 10th.
    let kept = judged("2026-09-03 09:00,L3,1,11\n2026-09-10 09:00,L10,1,11\n");
    assert_eq!(kept.kept, Some(Verdict::Met));
    let missed = judged("2026-09-03 09:00,L3,1,11\n2026-09-11 09:00,L11,1,11\n");
    assert_eq!(missed.kept, Some(Verdict::NotMet));
    assert_eq!(missed.faults[0].1, "L10");
    // None before the period: it is not shown that the first was in time.
    assert_eq!(judged("2026-09-08 09:00,L8,1,11\n").kept, Some(Verdict::NotShown));
}
