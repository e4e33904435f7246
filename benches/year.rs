//! A plant's records verified and reported in one run, and one lot of them: `cargo bench --bench year`.
//!
//! Twelve CCPs with a reading every 10 s, 40 lots a day, every register. `BOURN_DAYS=365` makes it a year; 28 days
//! otherwise. Prints time, the largest memory of the process, the size of the report, and the time of one lot.
//! Everything in the records is invented.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

const CCPS: usize = 12;
const LOTS: usize = 40;
const DAY: i64 = 86_400;

fn main() {
    let days: usize = std::env::var("BOURN_DAYS").ok().and_then(|days| days.parse().ok()).unwrap_or(28);
    let folder = tempfile::tempdir().unwrap();
    let bytes = write(folder.path(), days);
    println!("{days} days, {} lots, {} readings, {:.0} MB", days * LOTS, days * 8_640 * CCPS, bytes as f64 / 1e6);
    let report = folder.path().join("report.html");
    let json = folder.path().join("report.json");
    let (seconds, peak, status) =
        run(folder.path(), &["--html", report.to_str().unwrap(), "--json", json.to_str().unwrap()]);
    let size = |path: &Path| std::fs::metadata(path).unwrap().len() as f64 / 1e6;
    println!(
        "verified and reported in {seconds:.1} s, at most {peak:.0} MB, status {status:?}; HTML {:.1} MB, JSON {:.1} MB",
        size(&report),
        size(&json)
    );
    let lot = code(days / 2, LOTS / 2);
    let (seconds, peak, status) = run(folder.path(), &["--lot", &lot]);
    println!("lot {lot} alone in {seconds:.1} s, at most {peak:.0} MB, status {status:?}");
}

/// Time, the largest memory in MB, and the status of one run.
fn run(folder: &Path, more: &[&str]) -> (f64, f64, Option<i32>) {
    let started = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(folder)
        .args(["verify", "plan.haccp", "--mapping", "mapping.yaml"])
        .args(more)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0.0_f64;
    loop {
        if let Some(done) = child.try_wait().unwrap() {
            return (started.elapsed().as_secs_f64(), peak, done.code());
        }
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
        peak = peak.max(kib.unwrap_or(0.0) / 1024.0);
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
}

fn code(day: usize, lot: usize) -> String {
    format!("L{day:03}-{lot:02}")
}

/// What the clock showed so many seconds after the start of the year.
fn clock(seconds: i64) -> String {
    let start = chrono::NaiveDate::from_ymd_opt(2026, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap();
    (start + chrono::Duration::seconds(seconds)).format("%Y-%m-%d %H:%M:%S").to_string()
}

/// Plan, mapping and records; how many bytes the records have.
fn write(folder: &Path, days: usize) -> usize {
    let (mut plan, mut columns) = (
        "plan year \"A year\" { time-zone UTC; in-force from 2026-01-01; revision 1 on 2026-01-01 \"First\" }
role worker { }\nrecord log { }\nrecord laboratory { }\nrecord calibrations { }\nrecord papers { }
event begun on log\nevent ended on log
parameter activity { unit aw }
instrument meter { measures activity; calibrate every 1 week within 0.003 aw by worker on calibrations }
step finish { }
control finished at finish { limit dry activity <= 0.9 in every sample, at least 2 per lot
  monitor activity each lot by worker on laboratory }\n"
            .to_owned(),
        String::new(),
    );
    for ccp in 0..CCPS {
        write!(
            plan,
            "parameter heat-{ccp} {{ unit °C }}
instrument probe-{ccp} {{ measures heat-{ccp}; calibrate every 1 week within 0.5 °C by worker on calibrations }}
step step-{ccp} {{ stage stage-{ccp} from begun to ended }}
control ccp-{ccp} at step-{ccp} {{ limit hot heat-{ccp} >= 70 °C held for 2 min
  monitor heat-{ccp} continuously step 10 s by worker using probe-{ccp} on log
  verify record-review within 7 days by worker on papers
  verify direct-observation every 1 month by worker on papers }}\n"
        )
        .unwrap();
        writeln!(columns, "      H{ccp}: {{ parameter: heat-{ccp}, instrument: probe-{ccp}, unit: °C }}").unwrap();
    }
    std::fs::write(folder.join("plan.haccp"), plan).unwrap();
    let time = "time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }";
    let register = |file: &str, fields: &str, unit: &str| {
        format!(
            "  - files: [{file}.csv]\n    record: papers\n    holds: {file}\n{unit}    time: {{ format: \"%Y-%m-%d %H:%M:%S\" }}\n    fields: {{ {fields} }}\n"
        )
    };
    let mut mapping = format!(
        "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: {{ format: \"%Y-%m-%d %H:%M:%S\" }}
    lot: Lot
    quantity: {{ column: Made, unit: kg }}
    shipped: Shipped
    events: {{ begun: Begun, ended: Ended }}
readings:
  - files: [traces-*.csv]
    record: log
    {time}
    lot: Lot
    columns:
{columns}samples:
  - files: [samples.csv]
    record: laboratory
    {time}
    lot: Lot
    sample: Sample
    by: By
    entered: {{ column: Typed }}
    columns: {{ Aw: {{ parameter: activity, instrument: meter, unit: aw }} }}
calibrations:
  - files: [calibrations.csv]
    record: calibrations
    {time}
    instrument: Instrument
    reading: {{ column: Reading }}
    reference: {{ column: Reference }}
    unit: {{ column: Unit }}
registers:
"
    );
    let needed = "number: Number, lots: Lots, limits: Limits, found: Found, by: By, cause: Cause";
    mapping += &register("corrective-actions", needed, "    unit: kg\n");
    mapping += &register("pre-shipment-reviews", "lots: Lots, reviewed: Reviewed, by: By", "");
    mapping += &register("record-reviews", "records: Records, from: From, to: To, reviewed: Reviewed, by: By", "");
    mapping += &register("observations", "controls: CCPs, observed: Observed, by: By", "");
    mapping += &register("instrument-checks", "instrument: Instrument, checked: Checked, result: Result, by: By", "");
    mapping += &register("training", "who: Who, trained: Trained, what: What", "");
    mapping += &register("complaints", "number: Number, received: Received, what: What, lots: Lots", "");
    std::fs::write(folder.join("mapping.yaml"), mapping).unwrap();
    let mut bytes = 0;
    let mut lots = "Lot,Made,Begun,Ended,Shipped\n".to_owned();
    let mut samples = "Time,Lot,Sample,Aw,By,Typed\n".to_owned();
    let mut reviews = "Lots,Reviewed,By\n".to_owned();
    let mut actions = "Number,Lots,Limits,Found,By,Cause\n".to_owned();
    let mut complaints = "Number,Received,What,Lots\n".to_owned();
    let (mut calibrations, mut checks) =
        ("Time,Instrument,Reading,Reference,Unit\n".to_owned(), "Instrument,Checked,Result,By\n".to_owned());
    let (mut weeks, mut seen) = ("Records,From,To,Reviewed,By\n".to_owned(), "CCPs,Observed,By\n".to_owned());
    let heads: Vec<String> = (0..CCPS).map(|ccp| format!("H{ccp}")).collect();
    let span = DAY / LOTS as i64;
    for day in 0..days {
        let start = day as i64 * DAY;
        let mut trace = format!("Time,Lot,{}\n", heads.join(","));
        for lot in 0..LOTS {
            let (name, begun) = (code(day, lot), start + lot as i64 * span);
            let ended = begun + span - 20;
            writeln!(lots, "{name},400,{},{},{}", clock(begun), clock(ended), clock(ended + 2 * DAY)).unwrap();
            writeln!(reviews, "{name},{},hm", clock(ended + DAY)).unwrap();
            for sample in 1..=3 {
                let (at, typed) = (clock(ended + sample * 600), clock(ended + sample * 600 + 120));
                writeln!(samples, "{at},{name},{sample},0.8{},ty,{typed}", (lot as i64 + sample) % 10).unwrap();
            }
            // One lot in two hundred stays cold at one CCP.
            let cold = (day * LOTS + lot).is_multiple_of(200);
            if cold {
                writeln!(actions, "A{day}-{lot},{name},ccp-3.hot,{},ty,steam", clock(ended)).unwrap();
                writeln!(complaints, "C{day}-{lot},{},soft,{name}", clock(ended + 9 * DAY)).unwrap();
            }
            let mut at = begun;
            while at < begun + span {
                write!(trace, "{},{name}", clock(at)).unwrap();
                for ccp in 0..CCPS {
                    let wave = (at / 10 + ccp as i64 * 7) % 60;
                    let degrees = if cold && ccp == 3 { 60 } else { 71 };
                    write!(trace, ",{degrees}.{wave}").unwrap();
                }
                trace.push('\n');
                at += 10;
            }
        }
        bytes += trace.len();
        std::fs::File::create(folder.join(format!("traces-{day:03}.csv")))
            .unwrap()
            .write_all(trace.as_bytes())
            .unwrap();
        writeln!(checks, "meter,{},in order,ek", clock(start + 3_600)).unwrap();
        if day % 7 == 0 {
            for ccp in 0..CCPS {
                writeln!(calibrations, "{},probe-{ccp},70.{},70.0,°C", clock(start), (day / 7 + ccp) % 4).unwrap();
            }
            writeln!(calibrations, "{},meter,0.920,0.920,aw", clock(start)).unwrap();
            let reviewed = clock(start + 7 * DAY + 3_600);
            writeln!(weeks, "log; laboratory,{},{},{reviewed},hm", clock(start), clock(start + 7 * DAY - 1)).unwrap();
            let all: Vec<String> = (0..CCPS).map(|ccp| format!("ccp-{ccp}")).collect();
            writeln!(seen, "{},{},hm", all.join("; "), clock(start + 7_200)).unwrap();
        }
    }
    let training = "Who,Trained,What\nhm,2025-01-01 00:00:00,HACCP\nty,2025-01-01 00:00:00,records\n".to_owned();
    for (name, text) in [
        ("lots", lots),
        ("samples", samples),
        ("calibrations", calibrations),
        ("corrective-actions", actions),
        ("pre-shipment-reviews", reviews),
        ("record-reviews", weeks),
        ("observations", seen),
        ("instrument-checks", checks),
        ("training", training),
        ("complaints", complaints),
    ] {
        bytes += text.len();
        std::fs::write(folder.join(format!("{name}.csv")), text).unwrap();
    }
    bytes
}
