//! The workings of every limit of every lot of the demo month: the same verdict and interval as the report, and steps
//! that add up to them.

use crate::{MONTH, records, schedule};
use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::report::workings::{Order, text, value};
use bourn::source::{Source, Sources};
use bourn::verify::workings::{show, wanted};
use serde_json::Value;

/// A figure printed to six places, in millionths.
fn millionths(figure: &str) -> i64 {
    let (whole, rest) = figure.split_once('.').unwrap_or_else(|| panic!("six places in {figure}"));
    assert_eq!(rest.len(), 6, "{figure}");
    format!("{whole}{rest}").parse().unwrap()
}

/// Re-adds every column of rates in a text; how many columns there were.
fn add_up(text: &str) -> usize {
    let (mut sums, mut columns) = ([0, 0], 0);
    // A long line goes on deeper on the next one.
    let mut whole: Vec<String> = Vec::new();
    for line in text.lines() {
        let told = line.trim_start();
        if line.starts_with("          ") && !whole.is_empty() {
            let last = whole.last_mut().unwrap();
            last.push(' ');
            last.push_str(told);
        } else {
            whole.push(told.to_owned());
        }
    }
    for line in &whole {
        if line.starts_with("compared with: sum at") {
            sums = [0, 0];
        }
        for (index, word) in ["least: ", "most:  "].into_iter().enumerate() {
            if line.starts_with(word)
                && let Some((_, figures)) = line.split_once(": + ")
            {
                let (added, sum) = figures.split_once(" = ").unwrap();
                sums[index] += millionths(added);
                assert_eq!(sums[index], millionths(sum), "{line}");
            }
        }
        if let Some(figures) = line.strip_prefix("sum: least ") {
            let (least, most) = figures.split_once(", most ").unwrap();
            assert_eq!(sums[0], millionths(least), "{line}");
            if most != "unbounded" {
                assert_eq!(sums[1], millionths(most), "{line}");
            }
            columns += 1;
        }
    }
    columns
}

/// Adds the steps of one part again, by its own arithmetic, and compares with the interval.
fn add_steps(part: &Value) -> bool {
    let steps = part["workings"]["steps"].as_array().unwrap();
    let Some(last) = steps.last() else { return false };
    let number = |value: &Value| value.as_f64().unwrap_or(0.0);
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()));
    let (mut least, mut most) = (0.0, 0.0);
    let rates = last["after"].get("rate-lo-per-s").is_some();
    let times = last["after"].get("certain-stretch-s").is_some();
    if !rates && !times {
        return false;
    }
    for step in steps.iter().filter(|step| step["reading"] == false) {
        let (before, after) = (&step["before"], &step["after"]);
        if rates {
            least += number(&after["rate-lo-per-s"]) * number(&step["core-s"]);
            most += number(&after["rate-hi-per-s"]) * number(&step["outer-s"]);
        } else {
            // A step counts whole or not at all.
            if before["least-s"] != after["least-s"] {
                least += number(&step["core-s"]).max(number(&after["least-s"]) - number(&before["least-s"]));
            }
            if before["most-s"] != after["most-s"] {
                most += number(&step["outer-s"]);
            }
        }
    }
    let names = if rates { ["least", "most"] } else { ["least-s", "most-s"] };
    assert!(near(least, number(&last["after"][names[0]])), "{least} {last:#}");
    if !last["after"][names[1]].is_null() {
        assert!(near(most, number(&last["after"][names[1]])), "{most} {last:#}");
    }
    if rates {
        assert!(near(least, number(&part["interval"]["least"]["value"])), "{:#}", part["interval"]);
        if part["interval"]["most"].is_object() {
            assert!(near(most, number(&part["interval"]["most"]["value"])), "{:#}", part["interval"]);
        }
    }
    true
}

fn text_of<'v>(value: &'v Value, key: &str) -> &'v str {
    value[key].as_str().unwrap()
}

/// As the report's file is read: a double that is written and read may lose its last bit.
fn same(value: &Value) -> Value {
    serde_json::from_str(&value.to_string()).unwrap()
}

#[test]
fn every_verdict_of_the_month_is_explained_by_steps_that_add_up() {
    let mut sources = Sources::new();
    let source = |name: &str| std::fs::read_to_string(format!("{}/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let id = sources.add(Source::new("plan", source("plans/smoked-goose-breast.haccp")));
    let reading = plan::read(&sources, &[id]);
    let mapping_text = source("demo/mapping.yaml");
    let id = sources.add(Source::new("mapping", mapping_text.clone()));
    let (mapping, _) = Mapping::parse(&mapping_text, id);
    let files = records::all(&schedule::lots());
    let memory =
        files.into_iter().fold(Memory::default(), |memory, (name, text)| memory.with(format!("records/{name}"), text));
    let records = read(&mapping.unwrap(), &memory);
    let zone = reading.plan.head.as_ref().unwrap().zone.as_ref().unwrap().value;
    let (mut limits, mut parts, mut columns) = (0, 0, 0);
    for (index, lot) in MONTH.json["lots"].as_array().unwrap().iter().enumerate() {
        let code = &lot["lot"];
        let wanted = wanted(&reading.plan, &records, code.as_str().unwrap()).unwrap();
        let shown = show(&reading.plan, &records, &wanted);
        let reported = lot["limits"].as_array().unwrap();
        assert_eq!(shown.limits.len(), reported.len());
        for (told, reported) in shown.limits.iter().zip(reported) {
            assert_eq!(
                (told.limit.as_str(), told.why.as_str()),
                (text_of(reported, "limit"), text_of(reported, "why"))
            );
            assert_eq!(same(&serde_json::json!(told.verdict)), reported["verdict"], "{code} {}", told.limit);
            for (told, reported) in told.parts.iter().zip(reported["parts"].as_array().unwrap()) {
                assert_eq!(same(&serde_json::json!(told.verdict)), reported["verdict"], "{code} {}", told.what);
                assert_eq!(same(&serde_json::json!(told.evidence)), reported["evidence"], "{code} {}", told.what);
            }
            limits += 1;
        }
        let order = Order { records: &records, zone, shown: &shown, all_rows: false };
        if index % 16 == 1 {
            columns += add_up(&text(&order));
        }
        // Every step of one lot as JSON: it takes long.
        if index != 1 {
            continue;
        }
        let told = value(&order);
        for (told, reported) in told["limits"].as_array().unwrap().iter().zip(reported) {
            for (told, reported) in told["parts"].as_array().unwrap().iter().zip(reported["parts"].as_array().unwrap())
            {
                assert_eq!(same(&told["interval"]), reported["interval"], "{code} {}", reported["what"]);
                if told.get("workings").is_some() {
                    parts += usize::from(add_steps(told));
                }
            }
        }
    }
    println!(
        "{limits} verdicts explained, {parts} parts added up again, {columns} columns of rates re-added as printed"
    );
    assert!(limits > 800 && parts >= 8 && columns >= 5, "{limits} {parts} {columns}");
}
