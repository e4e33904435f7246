//! How a file is cut into stretches, and on how many threads they are read, changes nothing of what is read.

use bourn::finding::Finding;
use bourn::log::{EVER, Manner, Mapping, Memory, Records, read_compact};
use bourn::source::SourceId;
use proptest::prelude::*;

const WIDE: &str = "zone: Europe/London
readings:
  - files: \"*.csv\"
    record: r
    delimiter: \";\"
    decimal: \",\"
    time: { column: Time, format: \"%d/%m/%Y %H:%M\" ORDER }
    lot: Lot
    instrument-column: Probe
    missing: [\"---\", \"999\"]
    broken: OL
    columns:
      A: { parameter: core, unit: °C, range: [-50, 150] }
      B: { parameter: dry, unit: °C }
      Piece: { parameter: piece, answers: { found: [y, yes], lost: n } }
";

const LONG: &str = "zone: Europe/London
readings:
  - files: \"*.csv\"
    record: r
    delimiter: \";\"
    decimal: \",\"
    spot: SPOT
    time: { column: Time, format: \"%d/%m/%Y %H:%M\" ORDER }
    lot: Lot
    long: { name: Probe, value: A }
    columns:
      p1: { parameter: core, unit: °C, probe: a }
      p2: { parameter: core, unit: °C, probe: b }
      q*: { parameter: dry, unit: °C }
";

/// Everything that was read, as text; how it lies in memory is none of it.
fn told(records: &Records) -> String {
    let findings: Vec<String> = records
        .findings
        .iter()
        .map(|Finding { rule, place, message, help, .. }| format!("{} {place:?} {message} {help:?}", rule.code))
        .collect();
    let channels: Vec<String> = records
        .channels
        .iter()
        .map(|c| {
            let name = (&c.record, &c.parameter, &c.lot, &c.place, &c.probe, &c.instrument, c.unit.symbol);
            let counts = (c.spot, c.resolution, c.missing_count, c.count, c.repeated);
            format!("{name:?} {counts:?}\n{:?}\n{:?}", c.rows, c.missing)
        })
        .collect();
    format!("{:#?}\n{}\n{:#?}\n{}", records.files, channels.join("\n"), records.checks, findings.join("\n"))
}

fn read(mapping: &Mapping, files: &Memory, manner: Manner) -> String {
    let mut records = read_compact(mapping, files, manner);
    records.hold(manner, &|_| EVER);
    told(&records)
}

fn mapping(text: &str) -> Mapping {
    let (mapping, findings) = Mapping::parse(text, SourceId(0));
    mapping.unwrap_or_else(|| panic!("{findings:?}"))
}

/// Times around the night on which the clocks went back, mostly in order.
fn time() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => (0..3_u32, 0..60_u32).prop_map(|(hour, minute)| format!("25/10/2026 0{hour}:{minute:02}")),
        4 => (1..20_u32).prop_map(|day| format!("{day:02}/10/2026 12:00")),
        1 => Just("29/03/2026 01:30".to_owned()),
        1 => Just(String::new()),
        1 => Just("soon".to_owned()),
    ]
}

fn value() -> impl Strategy<Value = String> {
    prop_oneof![
        10 => (690..760_u32).prop_map(|tenth| format!("{},{}", tenth / 10, tenth % 10)),
        2 => (60..80_u32).prop_map(|whole| whole.to_string()),
        2 => prop::sample::select(vec!["---", "999", "999,0", "OL", "", "x", "-0", "7.5", "-51,25", "151", "0,12345678901234567", "+3"])
            .prop_map(str::to_owned),
    ]
}

fn row() -> impl Strategy<Value = String> {
    let lot = prop::sample::select(vec!["L1", "L1", "L1", "L2", "", " L3 "]);
    let probe = prop::sample::select(vec!["p1", "p1", "p2", "q7", "z", ""]);
    let piece = prop::sample::select(vec!["y", "n", "", "maybe"]);
    (time(), lot, probe, value(), value(), piece)
        .prop_map(|(time, lot, probe, a, b, piece)| format!("{time};{lot};{probe};{a};{b};{piece}"))
}

fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        30 => row(),
        2 => (row(), 0..3_usize).prop_map(|(row, at)| {
            let mut cells: Vec<String> = row.split(';').map(str::to_owned).collect();
            cells[at] = format!("\"{}\"", cells[at]);
            cells.join(";")
        }),
        2 => Just(String::new()),
        1 => Just("Time;Lot;Probe;A;B;Piece".to_owned()),
        1 => Just(";;;;;".to_owned()),
        1 => Just("25/10/2026 01:10;L1;p1;7".to_owned()),
        1 => Just("END;;;;;".to_owned()),
    ]
}

/// What no sound file holds: an open quotation mark, a carriage return inside a line, bytes that are no text.
fn damage() -> impl Strategy<Value = &'static str> {
    prop_oneof![
        20 => Just(""),
        1 => Just("\"25/10/2026 01:20;L1;p1;70,0;70,0;y\n"),
        1 => Just("25/10/2026 01:20;\"L\n1\";p1;70,0;70,0;y\n"),
        1 => Just("25/10/2026 01:20;L1;p1;70,0;70,0;y\r25/10/2026 01:21;L1;p1;70,0;70,0;y\n"),
        1 => Just("25/10/2026 01:20;L1\0;p1;70,0;70,0;y\n"),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// The sizes are so small that every row meets the end of a stretch in some case.
    #[test]
    fn stretches_and_threads_change_nothing(
        files in prop::collection::vec((prop::collection::vec(line(), 0..40), damage(), 0..40_usize, any::<bool>(), any::<bool>()), 1..3),
        ordered in any::<bool>(),
        (long, spot, row_order, footer) in (any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>()),
        threads in 1..4_usize,
        block in prop_oneof![1..80_usize, 80..2_000_usize],
        plain_1252 in any::<bool>(),
    ) {
        let order = if row_order { ", repeated-hour: row-order" } else { "" };
        let mut text = (if long { LONG } else { WIDE }).replace(" ORDER", order).replace("SPOT", &spot.to_string());
        if footer {
            text = text.replace("    lot: Lot", "    footer: END\n    lot: Lot");
        }
        if plain_1252 {
            text = text.replace("    lot: Lot", "    encoding: windows-1252\n    lot: Lot");
        }
        let mut memory = Memory::default();
        for (number, (mut lines, damage, at, returns, mark)) in files.into_iter().enumerate() {
            if ordered {
                lines.sort();
            }
            let end = if returns { "\r\n" } else { "\n" };
            lines.insert(0, "Time;Lot;Probe;A;B;Piece".to_owned());
            let mut body: Vec<String> = lines.iter().map(|line| format!("{line}{end}")).collect();
            body.insert(at.min(body.len()).max(1), damage.to_owned());
            let mut bytes = if mark && !plain_1252 { b"\xEF\xBB\xBF".to_vec() } else { Vec::new() };
            bytes.extend(body.concat().into_bytes());
            if plain_1252 && at % 3 == 0 {
                bytes.extend(b"25/10/2026 01:20;L\xE4;p1;70,0;70,0;y");
            }
            memory = memory.with(format!("{number}.csv"), bytes);
        }
        let mapping = mapping(&text);
        let whole = read(&mapping, &memory, Manner { threads: 1, block: usize::MAX });
        prop_assert_eq!(read(&mapping, &memory, Manner { threads, block }), whole);
    }
}
