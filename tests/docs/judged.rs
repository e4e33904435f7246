//! The pencil examples of docs/limits.md on samples and checks, and what docs/records.md says of rows, judged from
//! records. Every record here is invented.

use bourn::log::{Files, Mapping, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict;
use bourn::verify::{Period, Verification, verify};

const PLAN: &str = r#"
plan example { time-zone UTC }
record batch-record { }
record check-record { }
record laboratory-record { }
record calibration-record { }
role operator { }
event pack-start on batch-record
event pack-end on batch-record
step pack { stage packing from pack-start to pack-end }
parameter ferrous { answers rejected, passed }
parameter steel-2.5 { answers rejected, passed }
parameter water-activity { unit aw }
parameter acidity { unit pH }
parameter air { unit °C }
parameter species { answers eel, trout; recorded each lot on batch-record }
instrument sensor { measures air; calibrate every 1 month within 0.5 °C by operator on calibration-record }
ccp example at pack {
  limit pieces  ferrous is rejected and steel-2.5 is rejected during packing
  limit dry     water-activity <= 0.85 in every sample, at least 3 per lot
  limit trout   acidity <= 5 pH in every sample when species is trout
  limit blank   acidity <= ___ pH in every sample
  limit cold    air <= 4 °C
  monitor ferrous, steel-2.5  every 1 h by operator on check-record
  monitor water-activity, acidity each lot by operator on laboratory-record
  monitor air every 10 min by operator using sensor on check-record
}
"#;

const MAPPING: &str = r#"
zone: UTC
lots:
  - files: [lots.csv]
    record: batch-record
    time: { format: "%Y-%m-%d %H:%M" }
    lot: Lot
    events: { pack-start: From, pack-end: To }
    facts: { species: Species }
readings:
  - files: [checks.csv]
    record: check-record
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    lot: Lot
    columns:
      Fe: { parameter: ferrous, answers: { rejected: r, passed: p } }
      SS: { parameter: steel-2.5, answers: { rejected: r, passed: p } }
  - files: [air.csv]
    record: check-record
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns:
      Air: { parameter: air, unit: °C }
samples:
  - files: [laboratory.csv]
    record: laboratory-record
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    lot: Lot
    sample: Piece
    columns:
      aw: { parameter: water-activity, unit: aw, not-detected: n.d. }
"#;

/// Files in memory: name and text.
struct Shelf(Vec<(&'static str, String)>);

impl Files for Shelf {
    fn matching(&self, pattern: &str) -> Result<Vec<String>, String> {
        Ok(self.0.iter().filter(|(name, _)| *name == pattern).map(|(name, _)| (*name).to_owned()).collect())
    }

    fn bytes(&self, name: &str) -> Result<Vec<u8>, String> {
        self.0
            .iter()
            .find(|(other, _)| *other == name)
            .map(|(_, text)| text.clone().into_bytes())
            .ok_or_else(|| "no such file".to_owned())
    }
}

/// Checks as `time answer`, typed under the given lot; sample results as `piece result`; air as `time value`.
#[derive(Clone, Copy)]
struct Month<'a> {
    checks: &'a [(&'a str, &'a str)],
    typed_under: &'a str,
    results: &'a [(&'a str, &'a str)],
    air: &'a [(&'a str, &'a str)],
    species: &'a str,
    calibrations: Option<&'a str>,
}

const NOTHING: Month<'static> =
    Month { checks: &[], typed_under: "A", results: &[], air: &[], species: "eel", calibrations: None };

fn judge(month: Month<'_>) -> Verification {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", PLAN));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    let rows = |head: &str, rows: Vec<String>| {
        format!("{head}\n{}", rows.iter().map(|row| format!("{row}\n")).collect::<String>())
    };
    let checks = month
        .checks
        .iter()
        .map(|(time, answer)| format!("2026-05-13 {time},{},{answer},r", month.typed_under))
        .collect();
    let results = month.results.iter().map(|(piece, result)| format!("2026-05-13 15:00,A,{piece},{result}")).collect();
    let air = month.air.iter().map(|(time, value)| format!("2026-05-13 {time},{value}")).collect();
    let lots = vec![format!("A,2026-05-13 09:10,2026-05-13 10:50,{}", month.species), "B,,,eel".to_owned()];
    let mut files = vec![
        ("lots.csv", rows("Lot,From,To,Species", lots)),
        ("checks.csv", rows("Time,Lot,Fe,SS", checks)),
        ("laboratory.csv", rows("Time,Lot,Piece,aw", results)),
        ("air.csv", rows("Time,Air", air)),
    ];
    let mut mapping = MAPPING.to_owned();
    if let Some(done) = month.calibrations {
        mapping.push_str(
            "calibrations:\n  - files: [calibrations.csv]\n    record: calibration-record\n    time: { column: Done, format: \"%Y-%m-%d\" }\n    instrument: Which\n    reading: { column: Shown }\n    reference: { column: Reference }\n    unit: °C\n",
        );
        files.push(("calibrations.csv", format!("Done,Which,Shown,Reference\n{done}\n")));
    }
    let id = sources.add(Source::new("mapping", mapping.as_str()));
    let (mapping, findings) = Mapping::parse(&mapping, id);
    assert!(findings.is_empty(), "{findings:#?}");
    let records = read(&mapping.unwrap(), &Shelf(files));
    verify(&reading.plan, &records, Period::default())
}

/// The verdict of a limit for lot A; none where the limit does not count.
fn verdict(month: Month<'_>, limit: &str) -> Option<Verdict> {
    let verification = judge(month);
    let lot = verification.lots.iter().find(|lot| lot.code == "A").unwrap();
    lot.limits.iter().find(|one| one.limit == limit).map(|one| one.verdict)
}

const MET: Option<Verdict> = Some(Verdict::Met);
const NOT_MET: Option<Verdict> = Some(Verdict::NotMet);
const NOT_SHOWN: Option<Verdict> = Some(Verdict::NotShown);

#[test]
fn checks() {
    let pieces = |checks| verdict(Month { checks, ..NOTHING }, "pieces");
    assert_eq!(pieces(&[("09:00", "r"), ("10:00", "r"), ("11:00", "r")]), MET);
    assert_eq!(pieces(&[("09:00", "r"), ("10:00", "p"), ("11:00", "r")]), NOT_MET);
    assert_eq!(pieces(&[("09:00", "r"), ("10:00", "r"), ("11:00", "p")]), NOT_SHOWN);
    assert_eq!(pieces(&[("10:00", "r"), ("11:00", "r")]), NOT_SHOWN);
    assert_eq!(pieces(&[("09:00", "r"), ("10:00", "what"), ("11:00", "r")]), NOT_SHOWN);
    assert_eq!(pieces(&[("09:00", "r"), ("11:10", "r")]), NOT_SHOWN);
    assert_eq!(pieces(&[]), NOT_SHOWN);
}

/// A check on a line is judged whatever lot it was typed under.
#[test]
fn checks_typed_under_another_lot() {
    let checks = &[("09:00", "r"), ("10:00", "p"), ("11:00", "r")];
    assert_eq!(verdict(Month { checks, typed_under: "B", ..NOTHING }, "pieces"), NOT_MET);
}

#[test]
fn samples() {
    let dry = |results| verdict(Month { results, ..NOTHING }, "dry");
    assert_eq!(dry(&[("1", "0.84"), ("2", "0.83"), ("3", "0.85")]), MET);
    assert_eq!(dry(&[("1", "0.84"), ("2", "0.83")]), NOT_SHOWN);
    assert_eq!(dry(&[("1", "0.84"), ("2", "0.86")]), NOT_MET);
    assert_eq!(dry(&[("1", "0.86"), ("1", "0.84"), ("2", "0.83"), ("3", "0.83")]), NOT_MET);
    assert_eq!(dry(&[("1", "0.84"), ("1", "0.83"), ("2", "0.83")]), NOT_SHOWN);
    assert_eq!(dry(&[("1", "<0.85"), ("2", "0.83"), ("3", "0.85")]), MET);
    assert_eq!(dry(&[("1", "n.d."), ("2", "0.83"), ("3", "0.85")]), NOT_SHOWN);
    assert_eq!(dry(&[("1", "0.8?"), ("2", "0.83"), ("3", "0.85")]), NOT_SHOWN);
}

#[test]
fn only_for_some_lots_and_blank() {
    assert_eq!(verdict(NOTHING, "trout"), None);
    assert_eq!(verdict(Month { species: "trout", ..NOTHING }, "trout"), NOT_SHOWN);
    assert_eq!(verdict(Month { species: "", ..NOTHING }, "trout"), NOT_SHOWN);
    assert_eq!(verdict(NOTHING, "blank"), NOT_SHOWN);
}

/// Without a calibration on record, with a register or without one, results show nothing.
#[test]
fn instruments_with_and_without_a_register() {
    let times = [
        "08:50", "09:00", "09:10", "09:20", "09:30", "09:40", "09:50", "10:00", "10:10", "10:20", "10:30", "10:40",
        "10:50", "11:00",
    ];
    let air: Vec<(&str, &str)> = times.iter().map(|time| (*time, "3.0")).collect();
    let cold = |calibrations| verdict(Month { air: &air, calibrations, ..NOTHING }, "cold");
    assert_eq!(cold(None), NOT_SHOWN);
    assert_eq!(cold(Some("2026-05-02,sensor,0.2,0.0")), MET);
    assert_eq!(cold(Some("2026-05-02,other,0.2,0.0")), NOT_SHOWN);
    assert_eq!(cold(Some("2026-05-02,sensor,0.6,0.0")), NOT_SHOWN);
    let warned = |month| judge(month).findings.iter().any(|finding| finding.rule.code == "V104");
    assert!(warned(Month { air: &air, ..NOTHING }));
    assert!(!warned(Month { air: &air, calibrations: Some("2026-05-02,sensor,0.2,0.0"), ..NOTHING }));
}
