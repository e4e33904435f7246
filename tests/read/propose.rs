//! The proposal: what the file proves is written, what it does not prove is a question, and a question is refused.

use crate::pollute::files;
use bourn::finding::Finding;
use bourn::log::plain::propose::propose;
use bourn::log::plain::{Options, look};
use bourn::log::{Mapping, Memory, read};
use bourn::source::SourceId;

fn proposal(text: impl AsRef<[u8]>) -> String {
    propose(&look("a.csv", text.as_ref(), &Options::default()).unwrap(), "a.csv")
}

/// The line on which a key stands, without its indent.
fn key<'t>(text: &'t str, key: &str) -> &'t str {
    text.lines().map(str::trim).find(|line| line.starts_with(key)).unwrap_or_else(|| panic!("no {key} in {text}"))
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|finding| finding.rule.code).collect()
}

#[test]
fn the_order_of_day_and_month_is_proved_or_asked() {
    let rows = |day: u32| {
        format!(
            "Time,Core (°C)\n{:02}/10/2026 10:00,70.1\n{:02}/10/2026 10:05,70.2\n{day:02}/10/2026 10:10,70.3\n",
            3, 3
        )
    };
    let proved = proposal(rows(13));
    assert_eq!(key(&proved, "format:"), "format: \"%d/%m/%Y %H:%M\"  # no other order reads every row");
    let asked = proposal(rows(4));
    let said = key(&asked, "format:");
    assert!(said.starts_with("format: \"?\"  # \"%"), "{said}");
    assert!(said.contains("\"%d/%m/%Y %H:%M\"") && said.contains("\"%m/%d/%Y %H:%M\""), "{said}");
    assert!(said.ends_with("no day is later than the 12th, so the file does not prove which"), "{said}");
}

#[test]
fn unit_zone_and_codes() {
    let body: String = (0..30)
        .map(|at| {
            format!(
                "2026-10-05 10:{at:02};{};{},{}\n",
                if at % 9 == 4 { "-200".to_owned() } else { format!("3,{}", at % 7) },
                80 + at % 3,
                at % 5
            )
        })
        .collect();
    let text = proposal(format!("Time, GMT+01:00;Core (°C);Air\n{body}"));
    assert_eq!(
        key(&text, "offset:"),
        "offset: \"+01:00\"  # from the heading; some programs write the offset of the computer there, so ask"
    );
    assert!(!text.contains("zone:"));
    assert_eq!(
        key(&text, "unit: \"°C\""),
        "unit: \"°C\"  # from the heading; it holds only if nobody changed it there"
    );
    assert_eq!(key(&text, "unit: \"?\""), "unit: \"?\"  # the heading names no unit that is known");
    assert!(key(&text, "missing:").starts_with("missing: \"?\"  # \"-200\" 3 times: name under `missing`"), "{text}");
    assert!(key(&text, "decimal:").starts_with("decimal: \",\""));
    assert_eq!(
        key(&proposal("Time,T\n2026-10-05 10:00,3\n2026-10-05 10:01,4\n2026-10-05 10:02,4\n"), "zone:"),
        "zone: \"?\"  # the file names no zone; write it as in Europe/London, or give `offset` in `time`"
    );
}

/// For every sound file: the proposal is refused for its questions alone; answered, it reads each row of the table.
#[test]
fn answered_it_reads_every_row() {
    let mut seen = 0;
    for file in files().iter().filter(|file| file.sound) {
        let Ok(view) = look("a.csv", &file.bytes, &Options::default()) else { continue };
        let text = propose(&view, "a.csv");
        let (mapping, findings) = Mapping::parse(&text, SourceId(0));
        assert!(mapping.is_none() && !findings.is_empty(), "{}\n{text}", file.what);
        assert!(codes(&findings).iter().all(|code| *code == "R013"), "{}: {:?}\n{text}", file.what, codes(&findings));
        let first = view.time.as_ref().map_or("%Y-%m-%d", |time| time.formats[0].as_str());
        let mut number = 0;
        let mut answered: String = text
            .lines()
            .filter(|line| !line.contains("missing: \"?\"") && !line.contains("repeated-hour: \"?\""))
            .map(|line| {
                number += 1;
                let line = line.replace("record: \"?\"", "record: r").replace("zone: \"?\"", "zone: UTC");
                let line = line
                    .replace("parameter: \"?\"", &format!("parameter: p{number}"))
                    .replace("unit: \"?\"", "unit: \"%\"");
                line.replace("format: \"?\"", &format!("format: \"{first}\"")) + "\n"
            })
            .collect();
        let open = |line: &str| {
            !line.trim_start().starts_with('#') && line.split("  #").next().is_some_and(|key| key.contains("\"?\""))
        };
        if answered.lines().any(open) {
            // A file without numbers: its one question about a column cannot be answered here.
            answered = String::new();
        }
        if answered.is_empty() {
            continue;
        }
        let (mapping, findings) = Mapping::parse(&answered, SourceId(0));
        let mapping = mapping.unwrap_or_else(|| panic!("{}: {findings:#?}\n{answered}", file.what));
        let records = read(&mapping, &Memory::default().with("a.csv", file.bytes.clone()));
        let read = &records.files[0];
        let placed = read.used_rows + read.event_rows;
        assert_eq!(
            placed,
            file.rows.len() as u64,
            "{}: {read:?} {:?}\n{answered}",
            file.what,
            codes(&records.findings)
        );
        assert_eq!((read.bad_rows, read.broken_cells), (0, 0), "{}: {:?}\n{answered}", file.what, records.findings);
        seen += 1;
    }
    assert!(seen >= 150, "{seen}");
}
