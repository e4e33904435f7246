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

const AMOUNTS: &str = "zone: UTC
lots:
  - files: [lots.csv]
    record: log
    time: { format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    missing: [\"\"]
    events: { begun: Begun }
    quantity: { column: Made, unit: UNIT }
samples:
  - files: [tests.csv]
    record: log
    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }
    lot: Lot
    sample: Sample
    columns:
      Coli: { parameter: coli, answers: { detected: [pos], not-detected: [neg] } }
";

/// What is said of a promise by what was made: its answer, and the lots that it names, by number.
fn promised(often: &str, lots: &[&str]) -> (String, Vec<String>) {
    let text = format!(
        "plan p {{ time-zone UTC }}
role worker {{ }}
record log {{ }}
event begun on log
event ended on log
parameter coli {{ answers detected, not-detected }}
step press {{ stage pressing from begun to ended }}
control juice at press {{
  guide coli-free coli is not-detected, n 1, c 0
  monitor coli {often} by worker on log
}}
"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{often}: {:#?}", reading.findings);
    let (mut register, mut tests) = ("Lot,Begun,Made\n".to_owned(), "Time,Lot,Sample,Coli\n".to_owned());
    for (index, lot) in lots.iter().enumerate() {
        let day = index + 1;
        let (made, looks) = lot.split_once('/').unwrap_or((lot, "0"));
        register.push_str(&format!("{day},2026-09-{day:02} 08:00,{}\n", if made == "?" { "" } else { made }));
        for look in 0..looks.parse().unwrap() {
            tests.push_str(&format!("2026-09-{day:02} 15:{look:02},{day},{look},neg\n"));
        }
    }
    let unit = if often.ends_with("lots") { "kg" } else { often.rsplit(' ').next().unwrap() };
    let mapping = AMOUNTS.replace("UNIT", unit);
    let id = sources.add(Source::new("mapping", mapping.clone()));
    let (mapping, findings) = Mapping::parse(&mapping, id);
    let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
    let records = read(&mapping, &Memory::default().with("lots.csv", register).with("tests.csv", tests));
    let watch = verify(&reading.plan, &records, Period::default()).watches.remove(0);
    let named = watch.faults.iter().map(|(_, lot, _)| lot.clone()).chain(watch.open.iter().map(|(lot, _)| lot.clone()));
    (watch.kept.unwrap().to_string(), named.collect())
}

#[test]
fn every_promise_by_what_was_made_comes_to_what_the_page_says() {
    let mut seen = 0;
    for example in page("docs/limits-series.md").examples().iter().filter(|example| example.kind() == "amounts") {
        let mut often = "";
        for line in example.text.lines().filter(|line| !line.is_empty()) {
            let Some((lots, expected)) = line.split_once('→') else {
                often = line;
                continue;
            };
            let (answer, named) = promised(often, &lots.split_whitespace().collect::<Vec<_>>());
            let said = if named.is_empty() { answer } else { format!("{answer}: {}", named.join(", ")) };
            assert_eq!(said, expected.trim(), "{often}: {line}");
            seen += 1;
        }
    }
    assert!(seen >= 9, "{seen} examples");
}

/// Run by run: a look is missed if and only if some run of lots holds fewer looks than whole amounts, and a promise that
/// is kept is kept whatever less than one amount was owed before.
#[test]
fn a_promise_is_kept_if_every_run_of_lots_keeps_it() {
    let mut state: u32 = 11;
    let mut kept = [0; 3];
    for _ in 0..150 {
        let mut next = |below: u32| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 16) % below
        };
        let size = 1 + next(7);
        let lots: Vec<(u32, u32)> = (0..size).map(|_| (100 * (1 + next(9)), u32::from(next(10) < 6))).collect();
        let told: Vec<String> = lots.iter().map(|(made, looks)| format!("{made}/{looks}")).collect();
        let (answer, _) = promised("every 1000 kg", &told.iter().map(String::as_str).collect::<Vec<_>>());
        let short = |run: &[(u32, u32)], owed: u32| {
            let made: u32 = owed + run.iter().map(|(made, _)| made).sum::<u32>();
            run.iter().map(|(_, looks)| looks).sum::<u32>() < made / 1000
        };
        let runs = (0..lots.len()).flat_map(|from| (from + 1..=lots.len()).map(move |to| (from, to)));
        let missed = runs.into_iter().any(|(from, to)| short(&lots[from..to], 0));
        let perhaps = (1..=lots.len()).any(|to| short(&lots[..to], 999));
        let wanted = if missed {
            "not met"
        } else if perhaps {
            "not shown"
        } else {
            "met"
        };
        assert_eq!(answer, wanted, "{lots:?}");
        kept[["not met", "not shown", "met"].iter().position(|word| *word == wanted).unwrap()] += 1;
    }
    assert!(kept.iter().all(|count| *count > 5), "{kept:?}");
}

/// The plan with these statements in its head and this control.
fn plan_with(head: &str, control: &str) -> plan::Plan {
    let text = format!(
        "plan p {{ time-zone UTC; {head} }}
role worker {{ }}
record log {{ }}
event begun on log
event ended on log
parameter coli {{ answers detected, not-detected }}
step press {{ stage pressing from begun to ended }}
control juice at press {{
  guide coli-free coli is not-detected, n 1, c 0
  {control}
}}
"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{head} {control}: {:#?}", reading.findings);
    reading.plan
}

#[test]
fn every_term_ends_on_the_day_that_the_page_says() {
    let mut seen = 0;
    for example in page("docs/limits-series.md").examples().iter().filter(|example| example.kind() == "ends") {
        let mut head: Vec<&str> = Vec::new();
        for line in example.text.lines().filter(|line| !line.is_empty()) {
            let Some((sum, end)) = line.split_once('→') else {
                head.push(line);
                continue;
            };
            let (from, term) = sum.split_once('+').unwrap();
            let plan = plan_with(&head.join("; "), &format!("verify record-review within {term} by worker on log"));
            let plan::VerifyWhen::Within(plan::Term::Calendar(term)) = &plan.controls[0].verify[0].when else {
                panic!("{line}: no term of the calendar")
            };
            let day: chrono::NaiveDate = from.trim().parse().unwrap();
            assert_eq!(term.after(day, &plan.worked()).unwrap().to_string(), end.trim(), "{line}");
            seen += 1;
        }
    }
    assert!(seen >= 7, "{seen} examples");
}

#[test]
fn every_promise_by_working_days_comes_to_what_the_page_says() {
    let mut seen = 0;
    for example in page("docs/limits-series.md").examples().iter().filter(|example| example.kind() == "promised") {
        let (mut head, mut often) = ("", "");
        for line in example.text.lines().filter(|line| !line.is_empty()) {
            let Some((looks, expected)) = line.split_once('→') else {
                if line.starts_with("every ") {
                    often = line
                } else {
                    head = line
                }
                continue;
            };
            let plan = plan_with(head, &format!("monitor coli {often} by worker on log"));
            let register: String = (1..=21).map(|day| format!("{day},2026-09-{day:02} 08:00\n")).collect();
            let tests: String = looks
                .split_whitespace()
                .map(|day| format!("2026-09-{:02} 15:00,{day},1,neg\n", day.parse::<u32>().unwrap()))
                .collect();
            let mut sources = Sources::new();
            let id = sources.add(Source::new("mapping", MAPPING));
            let (mapping, findings) = Mapping::parse(MAPPING, id);
            let mapping = mapping.unwrap_or_else(|| panic!("{findings:#?}"));
            let files = Memory::default()
                .with("lots.csv", format!("Lot,Begun\n{register}"))
                .with("tests.csv", format!("Time,Lot,Sample,Coli\n{tests}"));
            let watch = verify(&plan, &read(&mapping, &files), Period::default()).watches.remove(0);
            let answer = watch.kept.unwrap().to_string();
            let days: Vec<&str> = watch.faults.iter().map(|(_, lot, _)| lot.as_str()).collect();
            let said = if days.is_empty() { answer } else { format!("{answer}: {}", days.join(", ")) };
            assert_eq!(said, expected.trim(), "{head}; {often}: {line}");
            seen += 1;
        }
    }
    assert!(seen >= 5, "{seen} examples");
}
