//! How fast records are read, as a ratio to splitting the same text into cells: `cargo bench --bench records`.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use bourn::log::{Mapping, Memory, read};
use bourn::source::SourceId;
use std::fmt::Write as _;

fn main() {
    let yaml = "zone: Europe/London
readings:
  - files: a.csv
    record: r
    delimiter: \";\"
    decimal: \",\"
    time: { column: Time, format: \"%d.%m.%Y %H:%M:%S\", repeated-hour: row-order }
    lot: Load
    missing: \"---\"
    broken: OL
    columns:
      A: { parameter: core, probe: a, unit: °C, range: [-50, 150] }
      B: { parameter: core, probe: b, unit: °C }
      C: { parameter: dry, unit: °C }
      D: { parameter: wet, unit: °C }
";
    let zone = bourn::time::Zone::parse("Europe/London").unwrap();
    let rows = 500_000_i64;
    let mut text = "Time;Load;A;B;C;D\n".to_owned();
    for number in 0..rows {
        let at = zone.local(bourn::time::Instant((1_790_812_800 + number * 5) * 1_000_000_000));
        let tenth = number % 10;
        writeln!(
            text,
            "{};L{};7{tenth},{tenth};7{tenth},0;8{tenth},25;---",
            at.format("%d.%m.%Y %H:%M:%S"),
            number / 8_000
        )
        .unwrap();
    }
    let started = std::time::Instant::now();
    let mut split = csv::ReaderBuilder::new().delimiter(b';').from_reader(text.as_bytes());
    let cells: usize = split.byte_records().map(|record| record.unwrap().len()).sum();
    let alone = started.elapsed().as_secs_f64();
    println!("{cells} cells split in {alone:.3} s");
    let files = Memory::default().with("a.csv", text);
    let mapping = Mapping::parse(yaml, SourceId(0)).0.unwrap();
    let started = std::time::Instant::now();
    let records = read(&mapping, &files);
    let seconds = started.elapsed().as_secs_f64();
    assert_eq!(records.files[0].used_rows, u64::try_from(rows).unwrap());
    let cells = 4.0 * rows as f64;
    println!("{cells} readings in {seconds:.3} s, {:.1} times the splitting", seconds / alone);
}
