//! The worked examples of docs/limits-series.md: read from the page, made into a plan and records, and judged.

use crate::page::page;
use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verify::series::SeriesVerdict;
use bourn::verify::{Period, verify};

const MAPPING: &str = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    events: { begun: Begun }
samples:
  - files: [tests.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    sample: Sample
    columns:
      Coli: { parameter: coli, answers: { detected: [pos], not-detected: [neg] } }
";

/// A series over one lot a day, each written by its sign.
fn judged(rule: &str, lots: &[&str]) -> SeriesVerdict {
    let text = format!(
        "plan p {{ time-zone UTC }}
role worker {{ }}
record log {{ }}
event begun on log
event ended on log
parameter coli {{ answers detected, not-detected }}
step press {{ stage pressing from begun to ended }}
control juice at press {{
  limit coli-free coli is not-detected, n 1, c 0
  series worked coli-free not met in {rule}
  monitor coli each lot by worker on log
}}
"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{rule}: {:#?}", reading.findings);
    let (mut register, mut tests) = ("Lot,Begun\n".to_owned(), "Time,Lot,Sample,Coli\n".to_owned());
    for (index, sign) in lots.iter().enumerate() {
        let day = index + 1;
        register.push_str(&format!("L{day},2026-09-{day:02} 08:00\n"));
        match *sign {
            "+" => tests.push_str(&format!("2026-09-{day:02} 15:00,L{day},1,pos\n")),
            "-" => tests.push_str(&format!("2026-09-{day:02} 15:00,L{day},1,neg\n")),
            "?" => {}
            other => panic!("`{other}` is no sign"),
        }
    }
    let id = sources.add(Source::new("mapping", MAPPING));
    let (mapping, findings) = Mapping::parse(MAPPING, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    let records = read(&mapping, &Memory::default().with("lots.csv", register).with("tests.csv", tests));
    verify(&reading.plan, &records, Period::default()).series.remove(0)
}

#[test]
fn every_series_comes_to_what_the_page_says() {
    let mut seen = 0;
    for example in page("docs/limits-series.md").examples().iter().filter(|example| example.kind() == "series") {
        let mut rule = "";
        for line in example.text.lines().filter(|line| !line.is_empty()) {
            let Some((lots, expected)) = line.split_once('→') else {
                rule = line;
                continue;
            };
            let found = judged(rule, &lots.split_whitespace().collect::<Vec<_>>());
            let numbers = if found.least == found.most {
                found.least.to_string()
            } else {
                format!("{} to {}", found.least, found.most)
            };
            assert_eq!(format!("{}, {numbers}", found.verdict), expected.trim(), "{rule}: {line}: {}", found.why);
            seen += 1;
        }
    }
    assert!(seen >= 10, "{seen} examples");
}
