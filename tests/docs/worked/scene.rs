//! An example as a plan, a mapping and files, run as the program runs them.

use super::read::{Case, Series, Table, Told, stamp};
use bourn::log::{Mapping, Memory, Records, read};
use bourn::plan::{self, Plan};
use bourn::source::{Source, Sources};
use bourn::verify::{LotVerdicts, Period, verify};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Rhythm of readings where an example says nothing: joined up to 12.5 min, edges of up to 6 min.
const OFTEN: &str = "every 5 min late after 1 min";

/// A plan, what was recorded, and the verdicts of its one lot.
pub struct Judged {
    pub plan: Plan,
    pub records: Records,
    pub lot: LotVerdicts,
}

/// Runs one case.
pub fn run(case: &Case) -> Judged {
    let mut sources = Sources::new();
    let text = plan_text(case);
    let id = sources.add(Source::new("plan", text.clone()));
    let reading = plan::read(&sources, &[id]);
    assert!(reading.findings.is_empty(), "{}\n{:#?}\n{text}", case.place, reading.findings);
    let (mapping, files) = records_text(case, &reading.plan);
    let id = sources.add(Source::new("mapping", mapping.clone()));
    let (parsed, findings) = Mapping::parse(&mapping, id);
    assert!(findings.is_empty(), "{}\n{findings:#?}\n{mapping}", case.place);
    let mut parsed = parsed.unwrap_or_else(|| panic!("{}\n{mapping}", case.place));
    parsed.counted = reading.plan.counted_events();
    let records = read(&parsed, &files);
    let mut whole = verify(&reading.plan, &records, Period::default());
    assert_eq!(whole.lots.len(), 1, "{}", case.place);
    Judged { plan: reading.plan, records, lot: whole.lots.remove(0) }
}

fn plan_text(case: &Case) -> String {
    let told = &case.told;
    let mut text = format!("plan worked {{ time-zone UTC{} }}\nrole worker {{ }}\n", told.head);
    if told.head.contains("time-zone") {
        text = text.replace("time-zone UTC; ", "");
    }
    for record in ["work-record", "lab-record"] {
        writeln!(text, "record {record} {{ }}").unwrap();
    }
    let declared = |kind: &str, name: &str| {
        told.blocks.lines().any(|line| {
            let mut words = line.split_whitespace();
            words.next() == Some(kind) && words.next() == Some(name)
        })
    };
    let stages = stages(told);
    for event in
        stages.iter().flat_map(|(name, ..)| ends(name)).chain(told.moments.iter().map(|(name, _)| name.clone()))
    {
        if !declared("event", &event) {
            writeln!(text, "event {event} on work-record").unwrap();
        }
    }
    let names: Vec<String> = stages
        .iter()
        .map(|(name, ..)| {
            let [start, end] = ends(name);
            format!("stage {name} from {start} to {end}")
        })
        .collect();
    writeln!(text, "step work {{ {} }}", names.join("; ")).unwrap();
    let mut monitored = String::new();
    for (table, one) in all(told) {
        let name = &one.parameter;
        if name == "mass" || text.contains(&format!("parameter {name} ")) {
            continue;
        }
        if !declared("parameter", name) {
            let unit = one.unit.as_ref().unwrap_or_else(|| panic!("{}: `{name}` has no unit", case.place));
            let probes: Vec<&str> = probes(told, name);
            let probes = if probes.is_empty() { String::new() } else { format!("; probes {}", probes.join(", ")) };
            writeln!(text, "parameter {name} {{ unit {unit}{probes} }}").unwrap();
        }
        let own = told.control.lines().any(|line| line.trim_start().starts_with(&format!("monitor {name} ")));
        if !own && !monitored.contains(&format!("monitor {name} ")) {
            let (often, record) = match (&table.samples, one.unit.is_some()) {
                (Some(_), _) => ("each lot", "lab-record"),
                (None, true) => (told.often.as_deref().unwrap_or(OFTEN), "work-record"),
                (None, false) => ("every 1 h late after 5 min", "work-record"),
            };
            writeln!(monitored, "  monitor {name} {often} by worker on {record}").unwrap();
        }
    }
    format!(
        "{text}{}ccp worked at work {{\n  limit worked {}\n{}{monitored}}}\n",
        told.blocks, case.limit, told.control
    )
}

/// The stages told of; else one from the first to the last instant of a table.
fn stages(told: &Told) -> Vec<(String, i64, Option<i64>)> {
    if !told.stages.is_empty() {
        return told.stages.clone();
    }
    let instants: Vec<i64> = told.tables.iter().flat_map(|table| table.instants.iter().copied()).collect();
    let start = instants.iter().min().copied().unwrap_or(0);
    vec![("working".to_owned(), start, Some(instants.iter().max().copied().unwrap_or(start)))]
}

fn ends(stage: &str) -> [String; 2] {
    [format!("{stage}-start"), format!("{stage}-end")]
}

fn all(told: &Told) -> impl Iterator<Item = (&Table, &Series)> {
    told.tables.iter().flat_map(|table| table.series.iter().map(move |one| (table, one)))
}

fn probes<'t>(told: &'t Told, name: &str) -> Vec<&'t str> {
    all(told).filter(|(_, one)| one.parameter == name).filter_map(|(_, one)| one.probe.as_deref()).collect()
}

fn records_text(case: &Case, plan: &Plan) -> (String, Memory) {
    let zone =
        plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or("UTC".to_owned(), |zone| zone.value.to_string());
    let mut mapping = format!("zone: {zone}\nlots:\n");
    let mut memory = registers(&case.told, plan, &mut mapping);
    let mut readings = String::new();
    let mut samples = String::new();
    for (index, table) in case.told.tables.iter().enumerate() {
        let file = format!("table-{index}.csv");
        let mass = table.series.iter().find(|one| one.parameter == "mass");
        let mut heads = String::new();
        let mut columns = String::new();
        for (at, one) in table.series.iter().enumerate() {
            write!(heads, ",{at}").unwrap();
            if one.parameter != "mass" {
                writeln!(
                    columns,
                    "      \"{at}\": {{ {} }}",
                    column(one, table, plan, mass.map(|_| ()).and(mass_at(table)))
                )
                .unwrap();
            }
        }
        let cells = |row: usize| table.series.iter().map(|one| format!(",{}", one.values[row])).collect::<String>();
        let (into, record, body, key) = match &table.samples {
            Some(names) => {
                let rows =
                    names.iter().enumerate().map(|(row, name)| format!("{},L1,{name}{}\n", stamp(43_200), cells(row)));
                (
                    &mut samples,
                    "lab-record",
                    format!("Time,Lot,Sample{heads}\n{}", rows.collect::<String>()),
                    "    sample: Sample\n",
                )
            }
            None => {
                let rows =
                    table.instants.iter().enumerate().map(|(row, at)| format!("{},L1{}\n", stamp(*at), cells(row)));
                (&mut readings, "work-record", format!("Time,Lot{heads}\n{}", rows.collect::<String>()), "")
            }
        };
        write!(
            into,
            "  - files: [{file}]\n    record: {record}\n    time: {{ column: Time, format: \"%Y-%m-%d %H:%M:%S\" }}\n    lot: Lot\n{key}    missing: [\"\"]\n    columns:\n{columns}"
        )
        .unwrap();
        memory = memory.with(file, body);
    }
    for (key, entries) in [("readings", readings), ("samples", samples)] {
        if !entries.is_empty() {
            write!(mapping, "{key}:\n{entries}").unwrap();
        }
    }
    (mapping, memory)
}

/// The heading over the mass that was tested.
fn mass_at(table: &Table) -> Option<usize> {
    table.series.iter().position(|one| one.parameter == "mass")
}

fn column(one: &Series, table: &Table, plan: &Plan, mass: Option<usize>) -> String {
    let mut keys = format!("parameter: {}", one.parameter);
    let declared = plan.parameter(&one.parameter).unwrap();
    if let Some(probe) = &one.probe {
        write!(keys, ", probe: {probe}").unwrap();
    }
    match &one.unit {
        Some(unit) => {
            write!(keys, ", unit: \"{unit}\"").unwrap();
            keys.push_str(if table.samples.is_some() { ", not-detected: [n.d.]" } else { ", broken: [OL]" });
        }
        None => {
            let answers: Vec<String> =
                declared.answers.iter().map(|answer| format!("{0}: [{0}]", answer.text)).collect();
            write!(keys, ", answers: {{ {} }}", answers.join(", ")).unwrap();
        }
    }
    if let Some(at) = mass {
        write!(keys, ", mass: {{ column: \"{at}\", unit: g }}").unwrap();
    }
    keys
}

/// A register a record: the lot, its loads, the times of events, and the facts on the first.
fn registers(told: &Told, plan: &Plan, mapping: &mut String) -> Memory {
    let mut events: BTreeMap<String, Vec<(String, Vec<String>)>> = BTreeMap::from([("work-record".to_owned(), vec![])]);
    let record = |event: &str| {
        let declared = plan.events.iter().find(|one| one.name.text == event);
        declared.unwrap_or_else(|| panic!("no event `{event}`")).record.text.clone()
    };
    if told.loads.is_empty() {
        for (name, start, end) in stages(told) {
            let times = [stamp(start), end.map_or_else(String::new, stamp)];
            for (event, time) in ends(&name).into_iter().zip(times) {
                events.entry(record(&event)).or_default().push((event, vec![time]));
            }
        }
    }
    for (event, times) in &told.moments {
        events.entry(record(event)).or_default().push((event.clone(), times.clone()));
    }
    let mut memory = Memory::default();
    for (index, (record, events)) in events.iter().enumerate() {
        let facts: &[(String, String)] = if record == "work-record" { &told.facts } else { &[] };
        let mut head: Vec<&str> = vec!["Lot"];
        head.extend(events.iter().map(|(event, _)| event.as_str()));
        head.extend(facts.iter().map(|(fact, _)| fact.as_str()));
        let rows = events.iter().map(|(_, times)| times.len()).max().unwrap_or(1);
        let mut body = format!("{}\n", head.join(","));
        for row in 0..rows {
            let mut cells = vec!["L1".to_owned()];
            cells.extend(events.iter().map(|(_, times)| times.get(row).cloned().unwrap_or_default()));
            cells.extend(facts.iter().map(|(_, value)| if row == 0 { value.clone() } else { String::new() }));
            writeln!(body, "{}", cells.join(",")).unwrap();
        }
        let file = format!("register-{index}.csv");
        entry(mapping, &file, record, "", &events.iter().map(|(event, _)| event.as_str()).collect::<Vec<_>>());
        if !facts.is_empty() {
            let facts: Vec<String> = facts.iter().map(|(fact, _)| format!("{fact}: {fact}")).collect();
            writeln!(mapping, "    facts: {{ {} }}", facts.join(", ")).unwrap();
        }
        memory = memory.with(file, body);
    }
    if let Some((_, stage, ..)) = told.loads.first() {
        let [start, end] = ends(stage);
        let mut body = format!("Lot,Load,{start},{end}\n");
        for (load, _, from, to) in &told.loads {
            writeln!(body, "L1,{load},{},{}", stamp(*from), to.map_or_else(String::new, stamp)).unwrap();
        }
        entry(mapping, "loads.csv", &record(&start), "    load: Load\n", &[&start, &end]);
        memory = memory.with("loads.csv", body);
    }
    memory
}

fn entry(mapping: &mut String, file: &str, record: &str, load: &str, events: &[&str]) {
    let events: Vec<String> = events.iter().map(|event| format!("{event}: {event}")).collect();
    write!(
        mapping,
        "  - files: [{file}]\n    record: {record}\n    time: {{ format: \"%Y-%m-%d %H:%M:%S\" }}\n    lot: Lot\n{load}    missing: [\"\"]\n"
    )
    .unwrap();
    if !events.is_empty() {
        writeln!(mapping, "    events: {{ {} }}", events.join(", ")).unwrap();
    }
}
