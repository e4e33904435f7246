//! The lots as a plan, a mapping and files, through the library's public entry.

use super::limits::{ALL, BLOCKS};
use super::lot::{Cell, DAYS, FIRST, Lot, Run, Served};
use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verify::{Period, Verification, verify};
use chrono::TimeDelta;
use std::fmt::Write as _;

pub fn code(lot: &Lot) -> String {
    format!("L{:04}", lot.number)
}

fn stamp(lot: &Lot, second: i64) -> String {
    let at = FIRST.and_hms_opt(0, 0, 0).unwrap() + TimeDelta::seconds(lot.number * DAYS + second);
    at.format("%Y-%m-%d %H:%M:%S").to_string()
}

fn cell(lot: &Lot, second: Option<i64>) -> String {
    second.map_or_else(String::new, |second| stamp(lot, second))
}

/// The plan; `apart` puts the register of lots on a record with a clock of its own.
fn plan_text(apart: bool) -> String {
    let batch = if apart { "batch-record" } else { "cook-record" };
    let mut limits = String::new();
    for (index, (limit, _)) in ALL.iter().enumerate() {
        writeln!(limits, "  limit l{index} {limit}").unwrap();
    }
    format!(
        "plan p {{ time-zone Europe/Berlin; shifts from 06:00, 14:00, 22:00 }}
role worker {{ }}
record cook-record {{ }}
record batch-record {{ }}
record soak-record {{ }}
event cook-start on {batch}
event cook-end on {batch}
event soak-start on soak-record
event soak-end on soak-record
event served on batch-record
event reheat on batch-record
step cook {{ stage cooking from cook-start to cook-end }}
step soak {{ stage soaking from soak-start to soak-end }}
parameter core {{ unit °C; probes core-1, core-2, core-3 }}
parameter air {{ unit °C }}
parameter heat {{ unit °C }}
parameter mark {{ unit °C }}
parameter salt {{ unit % }}
parameter water {{ unit % }}
parameter piece {{ answers found, lost }}
parameter ring {{ answers found, lost }}
parameter fat {{ unit %; recorded each lot on batch-record }}
parameter way {{ answers quick, slow; recorded each lot on batch-record }}
{BLOCKS}ccp c at cook {{
{limits}  monitor core, air, heat, mark, salt, water continuously step 1 min late after 30 s by worker on cook-record
  monitor piece, ring every 1 h late after 5 min by worker on cook-record
}}
"
    )
}

/// A file of readings: its columns with their mapping, and for each lot the rows.
fn readings(lots: &[Lot], names: &[&str], cell_of: &dyn Fn(&str, i64) -> i64) -> String {
    let mut text = format!("Time,Lot,{}\n", names.join(","));
    for lot in lots {
        for (index, name) in names.iter().enumerate() {
            let source = if *name == "heat" { "air" } else { name };
            for (at, value) in lot.traces.get(source).into_iter().flatten() {
                let value = match value {
                    Cell::Value(value) => cell_of(name, *value).to_string(),
                    Cell::Broken => "OL".to_owned(),
                };
                writeln!(
                    text,
                    "{},{},{}{value}{}",
                    stamp(lot, *at),
                    code(lot),
                    ",".repeat(index),
                    ",".repeat(names.len() - 1 - index)
                )
                .unwrap();
            }
        }
    }
    text
}

/// The verdicts of every lot.
pub fn verification(lots: &[Lot], apart: bool) -> Verification {
    let mut sources = Sources::new();
    let text = plan_text(apart);
    let id = sources.add(Source::new("plan", text.clone()));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{:#?}\n{text}", reading.findings);
    let batch = if apart { "batch-record" } else { "cook-record" };
    let time = "time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }";
    let times = "time: { format: \"%Y-%m-%d %H:%M:%S\" }\n    lot: Lot\n    missing: [\"\"]";
    let column = |name: &str| {
        let (parameter, unit) = match name {
            "core-1" | "core-2" | "core-3" => (format!("core, probe: {name}"), "°C"),
            "salt" | "water" => (name.to_owned(), "%"),
            _ => (name.to_owned(), "°C"),
        };
        format!("      {name}: {{ parameter: {parameter}, unit: \"{unit}\", broken: [OL] }}\n")
    };
    let files =
        [vec!["core-1", "core-2", "core-3"], vec!["air"], vec!["heat"], vec!["mark"], vec!["salt"], vec!["water"]];
    let mut mapping = format!(
        "zone: UTC
lots:
  - files: [runs.csv]
    record: {batch}
    {times}
    load: Load
    events: {{ cook-start: Start, cook-end: End }}
  - files: [facts.csv]
    record: batch-record
    {times}
    events: {{ }}
    facts: {{ fat: Fat, way: Way }}
  - files: [soak.csv]
    record: soak-record
    {times}
    events: {{ soak-start: Start, soak-end: End }}
  - files: [served.csv]
    record: batch-record
    {times}
    events: {{ served: Served, reheat: Reheat }}
readings:
  - files: [checks.csv]
    record: cook-record
    {time}
    lot: Lot
    missing: [\"\"]
    columns:
      Piece: {{ parameter: piece, answers: {{ found: [found], lost: [lost] }} }}
      Ring: {{ parameter: ring, answers: {{ found: [found], lost: [lost] }} }}
"
    );
    let mut memory = registers(lots);
    for names in &files {
        let columns: String = names.iter().map(|name| column(name)).collect();
        write!(mapping, "  - files: [{}.csv]\n    record: cook-record\n    {time}\n    lot: Lot\n    missing: [\"\"]\n    columns:\n{columns}", names[0]).unwrap();
        // The heat is the air, so many degrees above it.
        let shift = |name: &str, value: i64| if name == "heat" { value + 66 } else { value };
        memory = memory.with(format!("{}.csv", names[0]), readings(lots, names, &shift));
    }
    let mapping = mapping.replace("    events: { }\n", "");
    let id = sources.add(Source::new("mapping", mapping.clone()));
    let (parsed, findings) = Mapping::parse(&mapping, id);
    assert!(findings.is_empty(), "{findings:#?}\n{mapping}");
    let mut parsed = parsed.unwrap();
    parsed.counted = reading.plan.counted_events();
    verify(&reading.plan, &read(&parsed, &memory), Period::default())
}

fn registers(lots: &[Lot]) -> Memory {
    let [mut runs, mut facts, mut soak, mut served, mut checks] =
        ["Lot,Load,Start,End\n", "Lot,Fat,Way\n", "Lot,Start,End\n", "Lot,Served,Reheat\n", "Time,Lot,Piece,Ring\n"]
            .map(str::to_owned);
    let ends = |lot: &Lot, (start, end): Run| format!("{},{}", cell(lot, start), cell(lot, end));
    for lot in lots {
        let code = code(lot);
        for (index, run) in lot.runs.iter().enumerate() {
            let load = if lot.loads { (index + 1).to_string() } else { String::new() };
            writeln!(runs, "{code},{load},{}", ends(lot, *run)).unwrap();
        }
        writeln!(facts, "{code},{},{}", lot.fat, lot.way).unwrap();
        writeln!(soak, "{code},{}", ends(lot, lot.soak)).unwrap();
        for (at, reheat) in &lot.served {
            let reheat = match reheat {
                Served::Blank => String::new(),
                Served::At(at) => stamp(lot, *at),
                Served::Unreadable => "noon".to_owned(),
            };
            // Only the first row of a lot says when it was served: another would be a second serving.
            writeln!(served, "{code},{},{reheat}", cell(lot, *at)).unwrap();
        }
        for (at, piece, ring) in &lot.checks {
            writeln!(checks, "{},{code},{piece},{ring}", stamp(lot, *at)).unwrap();
        }
    }
    Memory::default()
        .with("runs.csv", runs)
        .with("facts.csv", facts)
        .with("soak.csv", soak)
        .with("served.csv", served)
        .with("checks.csv", checks)
}
