//! The 25 ways in which an export passes a limit that the food did not meet, worst first: for each a small record that
//! passes if it is read carelessly, and the verdict that it gets. docs/records.md lists them; both are compared.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, missing_docs)]

mod records;

use bourn::finding::Severity;
use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict;
use bourn::verify::{Period, verify};
use records::{Case, cases};

/// What a record comes to: the verdict of its one limit, and the codes of what was said.
fn outcome(case: &Case) -> (Option<Verdict>, Vec<&'static str>) {
    let mut sources = Sources::new();
    let text = format!(
        "plan p \"P\" {{ time-zone Europe/London }}
role worker \"Worker\" {{ duties \"All\" }}
parameter core \"Core\" {{ unit °C }}
parameter air \"Air\" {{ unit °C }}
parameter germ \"Germ\" {{ unit cfu/g }}
parameter absence \"Absence\" {{ answers detected, not-detected }}
parameter piece \"Piece\" {{ answers found, lost }}
parameter valve \"Valve\" {{ answers forward, diverted }}
instrument probe \"Probe\" {{ measures core, air; range -50 °C to 200 °C; {instrument} }}
step cook \"Cook\" {{ stage cooking from start to end }}
record log \"Log\" {{ kept for 1 year }}
record other \"Other\" {{ kept for 1 year }}
event start on {events}
event end on {events}
ccp c \"C\" at cook {{
  limit {limit}
  monitor core continuously step 1 min by worker using probe on log
  monitor air continuously step 1 min by worker using probe on log
  monitor valve continuously step 1 min by worker on log
  monitor germ each lot by worker on log
  monitor absence each lot by worker on log
  monitor piece every 1 h late after 10 min by worker on log
}}
",
        instrument = case.instrument,
        events = if case.other_clock { "other" } else { "log" },
        limit = case.limit,
    );
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    let wrong: Vec<_> = reading.findings.iter().filter(|finding| finding.rule.severity == Severity::Error).collect();
    assert!(wrong.is_empty(), "{}: {wrong:#?}", case.number);
    let lots = if case.lots.is_empty() { "Lot,Start,End\nL1,2026-10-05 10:00,2026-10-05 10:10\n" } else { case.lots };
    let mut files = Memory::default().with("lots.csv", lots);
    for (name, content) in &case.files {
        files = files.with(*name, content.clone());
    }
    let record = if case.other_clock { "other" } else { "log" };
    let zone = if case.mapping.contains("no-zone") { "" } else { "zone: UTC\n" };
    let mapping = format!(
        "{zone}lots:\n  - files: [lots.csv]\n    record: {record}\n    time: {{ format: \"%Y-%m-%d %H:%M\", zone: UTC }}\n    lot: Lot\n    events: {{ start: Start, end: End }}\n{}",
        case.mapping
    );
    let id = sources.add(Source::new("mapping", mapping.clone()));
    let (parsed, findings) = Mapping::parse(&mapping, id);
    let mut codes: Vec<&'static str> = findings.iter().map(|finding| finding.rule.code).collect();
    let Some(parsed) = parsed else { return (None, codes) };
    let records = read(&parsed, &files);
    let verification = verify(&reading.plan, &records, Period::default());
    codes.extend(records.findings.iter().chain(&verification.findings).map(|finding| finding.rule.code));
    codes.sort_unstable();
    codes.dedup();
    let lot = verification.lots.iter().find(|lot| lot.code == "L1");
    (lot.and_then(|lot| lot.limits.first()).map(|limit| limit.verdict), codes)
}

#[test]
fn no_hazard_is_a_pass() {
    let cases = cases();
    let numbers: Vec<u32> = cases.iter().map(|case| case.number).collect();
    for number in 1..=25 {
        assert!(numbers.contains(&number), "hazard {number} has no record");
    }
    let mut wrong = String::new();
    for case in &cases {
        let (verdict, codes) = outcome(case);
        let said = case.said.iter().all(|code| codes.contains(code));
        if verdict != case.verdict || !said {
            wrong += &format!(
                "\n{} {}: {verdict:?} {codes:?}, wanted {:?} {:?}",
                case.number, case.what, case.verdict, case.said
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// The same limit and mapping with a sound record is met: the verdict above is due to the hazard alone.
#[test]
fn the_sound_record_is_met() {
    let mut wrong = String::new();
    for mut case in cases() {
        let Some(sound) = case.sound.take() else { continue };
        case.files = sound;
        if let Some(mapping) = case.sound_mapping.take() {
            case.mapping = mapping;
        }
        if let Some(lots) = case.sound_lots.take() {
            case.lots = lots;
        }
        let (verdict, codes) = outcome(&case);
        if verdict.is_some() && verdict != Some(Verdict::Met) {
            wrong += &format!("\n{} {}: {verdict:?} {codes:?}", case.number, case.what);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn the_page_lists_every_hazard() {
    let page = include_str!("../../docs/records.md");
    for case in cases() {
        let line = page.lines().find(|line| line.starts_with(&format!("| {} |", case.number)));
        let line = line.unwrap_or_else(|| panic!("docs/records.md has no line for hazard {}", case.number));
        for code in &case.said {
            assert!(line.contains(code), "{line} does not name {code}");
        }
    }
}
