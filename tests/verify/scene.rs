//! A small plant: one step, one stage, one lot; the limit, the monitoring and the records are the test's own.

use bourn::document::Paper;
use bourn::document::report::{Order, report};
use bourn::log::{Mapping, Memory, Records, read};
use bourn::plan::{self, Plan};
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict;
use bourn::verify::{LimitVerdict, Period, Verification, verify};

/// What a test sets.
#[derive(Debug, Clone)]
pub struct Scene {
    /// The limit after its word, such as `x core >= 70 °C held for 2 min`.
    pub limit: String,
    /// The rhythm of monitoring.
    pub often: &'static str,
    /// Files of readings: unit and rows of `time,value` (and a second probe's value, if there are two).
    pub files: Vec<(&'static str, Vec<(String, String)>)>,
    /// Start and end of the stage; empty for none.
    pub stage: (&'static str, &'static str),
    /// Further blocks of the plan.
    pub more: &'static str,
    /// A further statement of the control.
    pub also_monitored: &'static str,
    /// Further statements of the instrument.
    pub instrument: &'static str,
    /// Whether the batch record is the cook record, so that both share a clock.
    pub one_record: bool,
    /// A register of lots of the test's own, times to the minute: its text, and its events with their columns.
    pub register: Option<(String, &'static str)>,
    /// Calibration rows `time,reading,reference`.
    pub calibrations: &'static [&'static str],
}

impl Scene {
    /// Readings every minute in °C, on the record that also names start and end.
    pub fn new(limit: &str, readings: &[(&str, &str)]) -> Scene {
        Scene {
            limit: limit.to_owned(),
            often: "continuously step 1 min",
            files: vec![("°C", readings.iter().map(|(at, value)| ((*at).to_owned(), (*value).to_owned())).collect())],
            stage: ("10:00:00", "10:10:00"),
            more: "",
            also_monitored: "",
            instrument: "",
            one_record: true,
            register: None,
            calibrations: &[],
        }
    }

    fn plan(&self) -> String {
        let batch = if self.one_record { "cook-record" } else { "batch-record" };
        format!(
            "plan p \"P\" {{ time-zone UTC }}
role worker \"Worker\" {{ duties \"All\" }}
parameter core \"Core\" {{ unit °C }}
parameter wetness \"Wetness\" {{ unit aw }}
parameter piece \"Piece\" {{ answers found, lost }}
instrument probe \"Probe\" {{ measures core; range -50 °C to 200 °C; {calibrate}{instrument} }}
step cook \"Cook\" {{ stage cooking from start-cook to end-cook }}
record cook-record \"Cook record\" {{ kept for 1 year }}
record batch-record \"Batch record\" {{ kept for 1 year }}
event start-cook on {batch}
event end-cook on {batch}
inactivation bug \"Bug\" {{ D 1 min at 70 °C; z 10 °C; range 50 °C to 90 °C }}
{more}
ccp c \"C\" at cook {{
  limit {limit}
  monitor core {often} by worker using probe on cook-record
  monitor wetness each lot by worker on cook-record
  monitor piece every 1 h late after 10 min by worker on cook-record
  {also}
}}
",
            limit = self.limit,
            often = self.often,
            more = self.more,
            also = self.also_monitored,
            instrument = self.instrument,
            calibrate = if self.calibrations.is_empty() {
                ""
            } else {
                "calibrate every 1 month within 0.5 °C by worker on cook-record; "
            },
        )
    }

    /// Runs the scene with these further files and mapping.
    pub fn verification(&self, further: &[(&str, &str)], mapping_more: &str) -> Verification {
        self.run(further, mapping_more).3
    }

    /// The report of the same, as HTML.
    pub fn report(&self, further: &[(&str, &str)], mapping_more: &str) -> String {
        let (sources, plan, records, verification) = self.run(further, mapping_more);
        report(&Order {
            plan: &plan,
            sources: &sources,
            records: &records,
            verification: &verification,
            signing: None,
            paper: Paper::A4,
        })
        .unwrap()
    }

    fn run(&self, further: &[(&str, &str)], mapping_more: &str) -> (Sources, Plan, Records, Verification) {
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", self.plan()));
        let reading = plan::read(&sources, &[id]);
        assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
        let mut memory = Memory::default()
            .with("lots.csv", format!("Lot,Start,End\nL1,{},{}\n", stamp(self.stage.0), stamp(self.stage.1)));
        let record = if self.one_record { "cook-record" } else { "batch-record" };
        let mut mapping = format!(
            "zone: UTC\nlots:\n  - files: [lots.csv]\n    record: {record}\n    time: {{ format: \"%Y-%m-%d %H:%M:%S\" }}\n    lot: Lot\n    events: {{ start-cook: Start, end-cook: End }}\n"
        );
        if let Some((text, events)) = &self.register {
            memory = memory.with("lots.csv", text.clone());
            mapping = format!(
                "zone: UTC\nlots:\n  - files: [lots.csv]\n    record: {record}\n    time: {{ format: \"%Y-%m-%d %H:%M\" }}\n    lot: Lot\n    missing: [\"\"]\n    events: {{ {events} }}\n"
            );
        }
        let mut readings = String::new();
        for (index, (unit, rows)) in self.files.iter().enumerate() {
            let body: String = rows.iter().map(|(at, value)| format!("{},L1,{value}\n", stamp(at))).collect();
            memory = memory.with(format!("core-{index}.csv"), format!("Time,Lot,Core\n{body}"));
            readings.push_str(&format!(
                "  - files: [core-{index}.csv]\n    record: cook-record\n    time: {{ column: Time, format: \"%Y-%m-%d %H:%M:%S\" }}\n    lot: Lot\n    missing: [\"\"]\n    columns:\n      Core: {{ parameter: core, instrument: probe, unit: {unit}, broken: [OL] }}\n"
            ));
        }
        if !readings.is_empty() {
            mapping.push_str(&format!("readings:\n{readings}"));
        }
        if !self.calibrations.is_empty() {
            let rows: String = self.calibrations.iter().map(|row| format!("{row}\n")).collect();
            memory = memory.with("calibration.csv", format!("Instrument,Done,Reading,Reference\n{rows}"));
            mapping.push_str("calibrations:\n  - files: [calibration.csv]\n    record: cook-record\n    time: { column: Done, format: \"%Y-%m-%d %H:%M\" }\n    instrument: Instrument\n    reading: { column: Reading }\n    reference: { column: Reference }\n    unit: °C\n");
        }
        mapping.push_str(mapping_more);
        for (name, text) in further {
            memory = memory.with(*name, *text);
        }
        let id = sources.add(Source::new("mapping", mapping.clone()));
        let (parsed, findings) = Mapping::parse(&mapping, id);
        let mut parsed = parsed.unwrap_or_else(|| panic!("{findings:#?}\n{mapping}"));
        parsed.counted = reading.plan.counted_events();
        let records = read(&parsed, &memory);
        let verification = verify(&reading.plan, &records, Period::default());
        crate::workings::explained(&reading.plan, &records, &verification);
        (sources, reading.plan, records, verification)
    }

    /// The only limit's verdict.
    pub fn limit(&self) -> LimitVerdict {
        self.verification(&[], "").lots[0].limits[0].clone()
    }

    /// Met, not met or not shown.
    pub fn verdict(&self) -> Verdict {
        self.limit().verdict
    }
}

/// A time of the one day of these tests; a full stamp stays as it is, an empty one stays empty.
pub fn stamp(time: &str) -> String {
    if time.is_empty() || time.contains(' ') { time.to_owned() } else { format!("2026-10-05 {time}") }
}

/// One reading a minute from 10:00.
pub fn minutely(values: &[&str]) -> Vec<(String, String)> {
    values
        .iter()
        .enumerate()
        .map(|(minute, value)| (format!("{:02}:{:02}:00", 10 + minute / 60, minute % 60), (*value).to_owned()))
        .collect()
}
