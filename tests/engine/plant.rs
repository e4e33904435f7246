//! A plant of one line: a plan text with many limits and its records as text, held against each other by the library.

use crate::random::Random;
use crate::record::{Entry, Record};
use bourn::log::{Mapping, Memory, Records, read};
use bourn::plan::{self, Plan};
use bourn::source::{Source, Sources};
use bourn::verify::{LimitVerdict, Period, Verification, verify};
use std::fmt::Write as _;

/// One tick in nanoseconds: a minute.
pub const MINUTE: i64 = 60_000_000_000;

/// How the clock of the batch record stands to that of the readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clocks {
    /// One record, times to the second.
    One,
    /// One record, times to the minute.
    OneCoarse,
    /// Two records.
    Two,
}

impl Clocks {
    /// By how many ticks an event may be off.
    pub fn doubt(self) -> i64 {
        match self {
            Clocks::One => 0,
            Clocks::OneCoarse => 1,
            Clocks::Two => 2,
        }
    }
}

/// An event: when the register says it was.
pub type When = Option<i64>;

/// What is on record of one lot.
#[derive(Debug, Clone)]
pub struct Plant {
    /// Limits: condition and body.
    pub limits: Vec<String>,
    /// Further blocks of the plan.
    pub blocks: String,
    /// The core temperature, and how it was promised.
    pub core: Record,
    /// The air temperature.
    pub air: Vec<Entry>,
    /// Moisture and protein.
    pub moisture: Vec<Entry>,
    pub protein: Vec<Entry>,
    /// Single values of pH, a row each; two at one instant are a spread.
    pub acidity: Vec<(i64, i64)>,
    /// Checks and their answers as typed.
    pub checks: Vec<(i64, &'static str)>,
    /// Results: name of the sample, text.
    pub water: Vec<(i64, String)>,
    pub counts: Vec<(i64, String)>,
    /// Where the divert valve stood.
    pub valve: Vec<(i64, &'static str)>,
    pub clocks: Clocks,
    pub start: When,
    pub end: When,
    pub racks: When,
    pub packed: When,
    /// Whether the readings name the lot.
    pub own: bool,
    /// Seed for the order of the rows.
    pub order: u64,
}

/// A tick as the files write it.
pub fn stamp(tick: i64) -> String {
    format!("2026-10-05 {:02}:{:02}:00", tick / 60, tick % 60)
}

fn events(when: When, clocks: Clocks) -> String {
    when.map_or_else(String::new, |tick| {
        let text = stamp(tick);
        if clocks == Clocks::OneCoarse { text[..16].to_owned() } else { text }
    })
}

fn shuffled<T>(mut rows: Vec<T>, seed: u64) -> Vec<T> {
    let mut r = Random(seed);
    for i in (1..rows.len()).rev() {
        rows.swap(i, r.within(0, i as i64) as usize);
    }
    rows
}

fn trace(rows: &[Entry]) -> Vec<(i64, String)> {
    rows.iter().map(|row| (row.at, row.value.map_or("OL".to_owned(), |value| value.to_string()))).collect()
}

impl Plant {
    pub fn plan_text(&self) -> String {
        let batch = if self.clocks == Clocks::Two { "batch-record" } else { "cook-record" };
        let every = self.core.interval;
        let late = self.core.edge_allowance - every;
        let limits: String = self.limits.iter().enumerate().fold(String::new(), |mut text, (index, limit)| {
            writeln!(text, "  limit f{index} {limit}").unwrap();
            text
        });
        let blocks = &self.blocks;
        let accuracy = match self.core.accuracy {
            0 => String::new(),
            off => format!("; accuracy {off} °C"),
        };
        format!(
            "plan p \"P\" {{ time-zone UTC }}
role worker \"Worker\" {{ duties \"All\" }}
parameter core \"Core\" {{ unit °C }}
parameter air \"Air\" {{ unit °C }}
parameter moisture \"Moisture\" {{ unit % }}
parameter protein \"Protein\" {{ unit % }}
parameter acidity \"Acidity\" {{ unit pH }}
parameter wetness \"Wetness\" {{ unit aw }}
parameter colonies \"Colonies\" {{ unit cfu/g }}
parameter piece \"Piece\" {{ answers found, lost }}
parameter valve \"Valve\" {{ answers forward, diverted }}
instrument probe \"Probe\" {{ measures core{accuracy} }}
instrument bulb \"Bulb\" {{ measures air{accuracy} }}
step cook \"Cook\" {{ stage cooking from start-cook to end-cook }}
step pack \"Pack\" {{ stage packing from racks to packed }}
record cook-record \"Cook record\" {{ kept for 1 year }}
record batch-record \"Batch record\" {{ kept for 1 year }}
event start-cook on {batch}
event end-cook on {batch}
event racks on {batch}
event packed on cook-record
inactivation bug \"Bug\" {{ D 1 min at 8 °C; z 3 °C; range 4 °C to 10 °C }}
growth model grower \"Grower\" {{ minimum 1 °C; optimum 8 °C; maximum 11 °C; rate 60 log10/h }}
{blocks}
ccp c \"C\" at cook {{
{limits}  monitor core continuously step {every} min late after {late} min by worker using probe on cook-record
  monitor air continuously step {every} min late after {late} min by worker using bulb on cook-record
  monitor moisture, protein continuously step {every} min late after {late} min by worker on cook-record
  monitor wetness, colonies, acidity each lot by worker on cook-record
  monitor piece every 10 min late after 2 min by worker on cook-record
  monitor valve every {every} min by worker on cook-record
}}
"
        )
    }

    pub fn plan(&self) -> Plan {
        let text = self.plan_text();
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", text.clone()));
        let reading = plan::read(&sources, &[id]);
        assert!(reading.findings.is_empty(), "{:#?}\n{text}", reading.findings);
        reading.plan
    }

    /// The files by name, and the mapping.
    pub fn files(&self) -> (Memory, String) {
        let format = if self.clocks == Clocks::OneCoarse { "%Y-%m-%d %H:%M" } else { "%Y-%m-%d %H:%M:%S" };
        let batch = if self.clocks == Clocks::Two { "batch-record" } else { "cook-record" };
        let when = |event: When| events(event, self.clocks);
        let mut memory = Memory::default()
            .with(
                "lots.csv",
                format!("Lot,Start,End,Racks\nL1,{},{},{}\n", when(self.start), when(self.end), when(self.racks)),
            )
            .with("packed.csv", format!("Lot,Packed\nL1,{}\n", self.packed.map_or(String::new(), stamp)));
        let mut mapping = format!(
            "zone: UTC\nlots:\n  - files: [lots.csv]\n    record: {batch}\n    time: {{ format: \"{format}\" }}\n    lot: Lot\n    events: {{ start-cook: Start, end-cook: End, racks: Racks }}\n  - files: [packed.csv]\n    record: cook-record\n    time: {{ format: \"%Y-%m-%d %H:%M:%S\" }}\n    lot: Lot\n    events: {{ packed: Packed }}\nreadings:\n"
        );
        let time = "time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }";
        let lot = if self.own { "    lot: Lot\n" } else { "" };
        let traces = [
            ("core", "°C", trace(&self.core.rows)),
            ("air", "°C", trace(&self.air)),
            ("moisture", "%", trace(&self.moisture)),
            ("protein", "%", trace(&self.protein)),
        ];
        for (name, unit, rows) in traces.into_iter().filter(|(_, _, rows)| !rows.is_empty()) {
            let rows = shuffled(rows, self.order);
            let body: String = rows.iter().fold(String::new(), |mut text, (at, value)| {
                writeln!(text, "{},{}{value}", stamp(*at), if self.own { "L1," } else { "" }).unwrap();
                text
            });
            let head = if self.own { "Time,Lot,Value" } else { "Time,Value" };
            memory = memory.with(format!("{name}.csv"), format!("{head}\n{body}"));
            write!(mapping, "  - files: [{name}.csv]\n    record: cook-record\n    {time}\n{lot}    columns:\n      Value: {{ parameter: {name}, unit: \"{unit}\", broken: [OL] }}\n").unwrap();
        }
        if !self.acidity.is_empty() {
            let body: String = self.acidity.iter().map(|(at, value)| format!("{},L1,{value}\n", stamp(*at))).collect();
            memory = memory.with("acid.csv", format!("Time,Lot,pH\n{body}"));
            write!(mapping, "  - files: [acid.csv]\n    record: cook-record\n    spot: true\n    {time}\n    lot: Lot\n    columns:\n      pH: {{ parameter: acidity, unit: pH }}\n").unwrap();
        }
        for (file, column, rows, answers) in [
            ("checks.csv", "Piece", &self.checks, "found: [\"yes\"], lost: [\"no\"]"),
            ("valve.csv", "Valve", &self.valve, "forward: [fwd], diverted: [div]"),
        ] {
            if rows.is_empty() {
                continue;
            }
            let body: String = rows.iter().map(|(at, word)| format!("{},{word}\n", stamp(*at))).collect();
            let parameter = column.to_lowercase();
            memory = memory.with(file, format!("Time,{column}\n{body}"));
            write!(mapping, "  - files: [{file}]\n    record: cook-record\n    spot: true\n    {time}\n    columns:\n      {column}: {{ parameter: {parameter}, answers: {{ {answers} }} }}\n").unwrap();
        }
        let mut samples = String::new();
        for (file, column, parameter, unit, rows) in [
            ("water.csv", "aw", "wetness", "aw", &self.water),
            ("plates.csv", "Count", "colonies", "cfu/g", &self.counts),
        ] {
            if rows.is_empty() {
                continue;
            }
            let body: String =
                rows.iter().map(|(name, text)| format!("L1,{name},2026-10-06 09:00:00,{text}\n")).collect();
            memory = memory.with(file, format!("Lot,Sample,Time,{column}\n{body}"));
            write!(samples, "  - files: [{file}]\n    record: cook-record\n    {time}\n    lot: Lot\n    sample: Sample\n    columns:\n      {column}: {{ parameter: {parameter}, unit: {unit} }}\n").unwrap();
        }
        if !samples.is_empty() {
            write!(mapping, "samples:\n{samples}").unwrap();
        }
        (memory, mapping)
    }

    pub fn records(&self) -> Records {
        let (memory, text) = self.files();
        let mut sources = Sources::new();
        let id = sources.add(Source::new("mapping", text.clone()));
        let (mapping, findings) = Mapping::parse(&text, id);
        read(&mapping.unwrap_or_else(|| panic!("{findings:#?}\n{text}")), &memory)
    }

    pub fn verification(&self) -> Verification {
        verify(&self.plan(), &self.records(), Period::default())
    }

    /// The verdicts of the one lot, in the order of the limits.
    pub fn verdicts(&self) -> Vec<LimitVerdict> {
        self.verification().lots[0].limits.clone()
    }
}
