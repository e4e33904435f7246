//! A fenced block `worked`: what was recorded, and what each limit comes to.

use crate::page::Example;

/// Words that begin a block of the plan; such a line of an example is plan text.
const BLOCKS: [&str; 13] = [
    "event",
    "growth",
    "hazard",
    "inactivation",
    "instrument",
    "material",
    "parameter",
    "product",
    "record",
    "role",
    "source",
    "step",
    "table",
];

/// Statements of the head of the plan.
const HEAD: [&str; 2] = ["time-zone", "shifts"];

/// Statements of a control, put there as they stand.
const CONTROL: [&str; 3] = ["monitor", "limit", "deviation"];

/// One column of a table: a parameter over the head of its table.
#[derive(Debug, Clone)]
pub struct Series {
    pub parameter: String,
    pub unit: Option<String>,
    pub probe: Option<String>,
    pub values: Vec<String>,
}

/// A table: over instants, or over samples.
#[derive(Debug, Clone)]
pub struct Table {
    /// Names of the samples; else minutes after noon, in seconds.
    pub samples: Option<Vec<String>>,
    pub instants: Vec<i64>,
    pub series: Vec<Series>,
}

/// What is recorded of the lot, as far as an example has told it.
#[derive(Debug, Clone, Default)]
pub struct Told {
    /// Blocks of the plan.
    pub blocks: String,
    /// Statements of its head.
    pub head: String,
    /// Statements of its control.
    pub control: String,
    /// The rhythm of monitoring.
    pub often: Option<String>,
    /// Stages with start and end, in seconds after noon; no end where none is recorded.
    pub stages: Vec<(String, i64, Option<i64>)>,
    /// Times of events as they are written, a blank for none.
    pub moments: Vec<(String, Vec<String>)>,
    /// Facts about the lot.
    pub facts: Vec<(String, String)>,
    /// Loads: code, stage, start, end.
    pub loads: Vec<(String, String, i64, Option<i64>)>,
    /// Readings, checks, samples.
    pub tables: Vec<Table>,
}

/// A limit, what was told before it, and what it must come to.
#[derive(Debug, Clone)]
pub struct Case {
    pub place: String,
    pub told: Told,
    pub limit: String,
    pub verdict: String,
    pub interval: Option<String>,
}

/// Every case of a block.
pub fn cases(example: &Example) -> Vec<Case> {
    let mut told = Told::default();
    let mut found: Vec<Case> = Vec::new();
    let mut judged = false;
    for line in example.text.lines().map(str::trim_end).filter(|line| !line.is_empty()) {
        let place = format!("{}, `{line}`", example.place);
        let words: Vec<&str> = line.split_whitespace().collect();
        let rest = || line.split_once(char::is_whitespace).map_or("", |(_, rest)| rest.trim()).to_owned();
        if let Some((limit, expected)) = line.rsplit_once('→') {
            let limit = match limit.trim() {
                "the same" => found.last().unwrap_or_else(|| panic!("{place}: nothing before")).limit.clone(),
                limit => limit.to_owned(),
            };
            let (verdict, interval) = match expected.trim().split_once(',') {
                Some((verdict, interval)) => (verdict, Some(interval.trim().to_owned())),
                None => (expected.trim(), None),
            };
            found.push(Case { place, told: told.clone(), limit, verdict: verdict.to_owned(), interval });
            judged = true;
            continue;
        }
        match words[0] {
            "minute" | "hour" | "second" | "clock" | "sample" => {
                if std::mem::take(&mut judged) {
                    told.tables.clear();
                }
                told.tables.push(table(&words));
            }
            "monitored" => told.often = Some(rest()),
            "stage" => {
                let (start, end) = span(&place, &words[2..]);
                told.stages.retain(|(name, ..)| name != words[1]);
                told.stages.push((words[1].to_owned(), start, end));
            }
            "moment" => {
                let times = rest();
                let times = times.split_once(' ').map_or("", |(_, times)| times).split(',');
                told.moments.retain(|(name, _)| name != words[1]);
                told.moments.push((words[1].to_owned(), times.map(written).collect()));
            }
            "fact" => {
                let value = words[2..].join(" ");
                told.facts.retain(|(name, _)| name != words[1]);
                told.facts.push((words[1].to_owned(), if value == "-" { String::new() } else { value }));
            }
            "load" => {
                if std::mem::take(&mut judged) {
                    told.loads.clear();
                }
                let (start, end) = span(&place, &words[3..]);
                told.loads.push((words[1].to_owned(), words[2].to_owned(), start, end));
            }
            word if BLOCKS.contains(&word) => told.blocks.push_str(&format!("{line}\n")),
            word if HEAD.contains(&word) => told.head.push_str(&format!("; {line}")),
            word if CONTROL.contains(&word) => told.control.push_str(&format!("  {line}\n")),
            _ => {
                let table = told.tables.last_mut().unwrap_or_else(|| panic!("{place}: no table, and no word I know"));
                table.series.push(series(&place, &words, table));
            }
        }
    }
    assert!(!found.is_empty(), "{}: an example without a verdict", example.place);
    found
}

/// Seconds after noon: `9:05`, `12` minutes, `-2`, `90 s`.
fn seconds(word: &str, unit: i64) -> i64 {
    match word.split_once(':') {
        Some((hour, minute)) => {
            (hour.parse::<i64>().unwrap() - 12) * 3600 + minute.parse::<i64>().unwrap_or_else(|_| panic!("{word}")) * 60
        }
        None => {
            let (whole, part) = word.split_once('.').unwrap_or((word, "0"));
            assert_eq!(part.len(), 1, "{word}: at most one decimal");
            whole.parse::<i64>().unwrap_or_else(|_| panic!("{word} is no time")) * unit
                + part.parse::<i64>().unwrap() * unit / 10
        }
    }
}

/// A time as the register holds it, to the second; a blank for `-`; what is no time as it stands.
fn written(time: &str) -> String {
    match time.trim() {
        "-" => String::new(),
        time if time.starts_with(|first: char| first.is_ascii_digit() || first == '-') => stamp(seconds(time, 60)),
        time => time.to_owned(),
    }
}

/// Seconds after noon of the day of every example.
pub fn stamp(at: i64) -> String {
    let noon = chrono::NaiveDate::from_ymd_opt(2026, 5, 13).unwrap().and_hms_opt(12, 0, 0).unwrap();
    (noon + chrono::TimeDelta::seconds(at)).format("%Y-%m-%d %H:%M:%S").to_string()
}

/// `FROM to TO`, in minutes or by the clock; an end that would lie before its start is on the next day.
fn span(place: &str, words: &[&str]) -> (i64, Option<i64>) {
    let [start, "to", end] = words else { panic!("{place}: `FROM to TO`") };
    let start = seconds(start, 60);
    let end = (*end != "-").then(|| seconds(end, 60));
    (start, end.map(|end| if end < start { end + 86_400 } else { end }))
}

fn table(words: &[&str]) -> Table {
    let unit = match words[0] {
        "second" => 1,
        "hour" => 3600,
        _ => 60,
    };
    let samples = (words[0] == "sample").then(|| words[1..].iter().map(|word| (*word).to_owned()).collect());
    let mut instants: Vec<i64> = Vec::new();
    if samples.is_none() {
        for word in &words[1..] {
            let mut at = seconds(word, unit);
            // A clock that has gone past midnight.
            while word.contains(':') && instants.last().is_some_and(|last| at < *last) {
                at += 86_400;
            }
            instants.push(at);
        }
    }
    Table { samples, instants, series: Vec::new() }
}

/// `NAME [UNIT] [PROBE] VALUE …`: as many values as the head has columns.
fn series(place: &str, words: &[&str], table: &Table) -> Series {
    let columns = table.samples.as_ref().map_or(table.instants.len(), Vec::len);
    let names = words.len().checked_sub(columns).filter(|names| (1..=3).contains(names));
    let (names, values) = words.split_at(names.unwrap_or_else(|| panic!("{place}: {columns} values are wanted")));
    let blank = |value: &&str| if *value == "-" { String::new() } else { (*value).to_owned() };
    Series {
        parameter: names[0].to_owned(),
        unit: names.get(1).map(|unit| (*unit).to_owned()),
        probe: names.get(2).map(|probe| (*probe).to_owned()),
        values: values.iter().map(blank).collect(),
    }
}
