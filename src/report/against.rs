//! A verification beside an earlier report of one: which inputs are others, and which verdicts.
//!
//! Both are compared as JSON, so that the report may be of another version of the tool. Words of evidence are compared
//! only between reports of one version.

use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// One thing that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What sort of thing: `input`, `period`, `lot`, `verdict`, `evidence`, `finding`.
    pub kind: &'static str,
    /// What it is about.
    pub about: String,
    /// What the earlier report says; none where it does not have it.
    pub before: Option<String>,
    /// What there is now; none where it is gone.
    pub now: Option<String>,
}

/// Everything that differs between an earlier report and one of now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Against {
    /// Version of the tool that made the earlier report.
    pub version: String,
    /// Whether it is the version of now.
    pub same_version: bool,
    /// What differs, inputs first.
    pub changes: Vec<Change>,
}

/// Whether a text of JSON is a report of a verification that can be compared.
#[must_use]
pub fn is_report(value: &Value) -> bool {
    value["bourn"].is_string() && ["lots", "files", "findings"].iter().all(|key| value[*key].is_array())
}

/// Compares an earlier report with one of now.
#[must_use]
pub fn against(before: &Value, now: &Value) -> Against {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let version = text(&before["bourn"]);
    let same_version = version == text(&now["bourn"]);
    let mut changes = Vec::new();
    let period = |value: &Value| {
        let day = |key: &str| value.pointer(key).and_then(Value::as_str).unwrap_or("open").to_owned();
        format!("{} to {}, days in {}", day("/period/from"), day("/period/to"), day("/period/zone"))
    };
    difference("period", "the period".to_owned(), Some(period(before)), Some(period(now)), &mut changes);
    // Reports of an earlier version may not hold the texts of plan and mapping.
    if before["inputs"].is_array() {
        inputs(&digests(&before["inputs"], "name"), &digests(&now["inputs"], "name"), &mut changes);
    }
    inputs(&digests(&before["files"], "file"), &digests(&now["files"], "file"), &mut changes);
    verdicts(before, now, same_version, &mut changes);
    findings(before, now, same_version, &mut changes);
    Against { version, same_version, changes }
}

fn difference(
    kind: &'static str,
    about: String,
    before: Option<String>,
    now: Option<String>,
    changes: &mut Vec<Change>,
) {
    if before != now {
        changes.push(Change { kind, about, before, now });
    }
}

fn items(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn digests(list: &Value, key: &str) -> BTreeMap<String, String> {
    items(list).filter_map(|one| Some((one[key].as_str()?.to_owned(), one["sha256"].as_str()?.to_owned()))).collect()
}

/// Inputs by name; one that has the same content under another name is the same.
fn inputs(before: &BTreeMap<String, String>, now: &BTreeMap<String, String>, changes: &mut Vec<Change>) {
    let names: BTreeSet<&String> = before.keys().chain(now.keys()).collect();
    for name in names {
        let (old, new) = (before.get(name), now.get(name));
        let moved = match (old, new) {
            (Some(digest), None) => now.values().any(|other| other == digest),
            (None, Some(digest)) => before.values().any(|other| other == digest),
            _ => false,
        };
        if !moved {
            difference("input", name.clone(), old.cloned(), new.cloned(), changes);
        }
    }
}

/// Verdict, what it rests on in numbers, and the words.
type Said = (String, String, String);

/// Every verdict by lot and limit, series under no lot.
fn said(report: &Value) -> BTreeMap<(String, String), Said> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let mut all = BTreeMap::new();
    for lot in items(&report["lots"]) {
        for limit in items(&lot["limits"]) {
            let name = format!("{}.{}", text(&limit["control"]), text(&limit["limit"]));
            let numbers: Vec<&Value> = items(&limit["parts"]).map(|part| &part["interval"]).collect();
            let words: Vec<&Value> = items(&limit["parts"]).map(|part| &part["evidence"]).collect();
            let words = format!("{} {}", limit["why"], json!(words));
            all.insert((text(&lot["lot"]), name), (text(&limit["verdict"]), json!(numbers).to_string(), words));
        }
    }
    for series in items(&report["series"]) {
        let name = format!("{}.{}", text(&series["control"]), text(&series["series"]));
        let key = (String::new(), format!("{name} ({})", text(&series["condition"])));
        all.insert(key, (text(&series["verdict"]), series["most"].to_string(), text(&series["why"])));
    }
    all
}

fn verdicts(before: &Value, now: &Value, same_version: bool, changes: &mut Vec<Change>) {
    let codes = |report: &Value| -> BTreeSet<String> {
        items(&report["lots"]).filter_map(|lot| lot["lot"].as_str()).map(str::to_owned).collect()
    };
    let (old_lots, new_lots) = (codes(before), codes(now));
    for lot in old_lots.symmetric_difference(&new_lots) {
        let has = |lots: &BTreeSet<String>| lots.contains(lot).then(|| "verified".to_owned());
        difference("lot", lot.clone(), has(&old_lots), has(&new_lots), changes);
    }
    let (old, new) = (said(before), said(now));
    let keys: BTreeSet<&(String, String)> = old.keys().chain(new.keys()).collect();
    for key in keys {
        // A lot that is there once is told as such.
        let both = key.0.is_empty() || (old_lots.contains(&key.0) && new_lots.contains(&key.0));
        if !both {
            continue;
        }
        let about = format!("{} {}", key.0, key.1).trim().to_owned();
        match (old.get(key), new.get(key)) {
            (Some(a), Some(b)) if a.0 == b.0 => {
                if a.1 != b.1 || (same_version && a.2 != b.2) {
                    let told = |said: &Said| Some(format!("{}, on other evidence", said.0));
                    changes.push(Change { kind: "evidence", about, before: Some(a.0.clone()), now: told(b) });
                }
            }
            (a, b) => difference("verdict", about, a.map(|a| a.0.clone()), b.map(|b| b.0.clone()), changes),
        }
    }
}

/// Findings by code and place, with their words where both reports are of one version; each as often as it stands.
fn findings(before: &Value, now: &Value, same_version: bool, changes: &mut Vec<Change>) {
    let all = |report: &Value| {
        let mut found: BTreeMap<String, usize> = BTreeMap::new();
        for one in items(&report["findings"]) {
            let place = &one["place"];
            let file = place["file"].as_str().or(place.as_str()).unwrap_or("no place");
            let at =
                place["row"].as_u64().or(place["line"].as_u64()).map_or(String::new(), |row| format!(", row {row}"));
            let code = one["code"].as_str().unwrap_or_default();
            let words = if same_version { one["message"].as_str().unwrap_or_default() } else { "" };
            *found.entry(format!("{code} {file}{at}: {words}")).or_default() += 1;
        }
        found
    };
    let (old, new) = (all(before), all(now));
    let keys: BTreeSet<&String> = old.keys().chain(new.keys()).collect();
    for key in keys {
        let times = |found: &BTreeMap<String, usize>| {
            found.get(key).map(|count| if *count == 1 { "found".to_owned() } else { format!("found {count} times") })
        };
        let about = key.trim_end_matches([':', ' ']).to_owned();
        difference("finding", about, times(&old), times(&new), changes);
    }
}

/// What differs, for a person.
#[must_use]
pub fn text(name: &str, against: &Against) -> String {
    let mut out = String::new();
    if !against.same_version {
        let _ = writeln!(
            out,
            "`{name}` is of version {} of this tool, and this is {}: words of evidence are not compared.",
            against.version,
            env!("CARGO_PKG_VERSION")
        );
    }
    if against.changes.is_empty() {
        let _ = writeln!(
            out,
            "Nothing differs from `{name}`: the same inputs by their digests, the same verdicts and findings."
        );
        return out;
    }
    let _ = writeln!(out, "Against `{name}`:");
    for (kind, title) in [
        ("period", "Another period"),
        ("input", "Inputs that are others (SHA-256)"),
        ("lot", "Lots"),
        ("verdict", "Verdicts that are others"),
        ("evidence", "The same verdict on other evidence"),
        ("finding", "Findings"),
    ] {
        let own: Vec<&Change> = against.changes.iter().filter(|change| change.kind == kind).collect();
        if own.is_empty() {
            continue;
        }
        let _ = writeln!(out, "\n{title}:");
        for change in own {
            let told = match (&change.before, &change.now) {
                (Some(before), Some(now)) => format!("{before} → {now}"),
                (Some(before), None) => format!("{before} before, no longer there"),
                (None, Some(now)) => format!("new: {now}"),
                (None, None) => String::new(),
            };
            let _ = writeln!(out, "  {}: {told}", change.about);
        }
    }
    if !against.changes.iter().any(|change| change.kind == "input") {
        out.push_str("\nNo input differs.\n");
    }
    out
}

/// What differs, as JSON.
#[must_use]
pub fn value(name: &str, against: &Against) -> Value {
    json!({
        "bourn": env!("CARGO_PKG_VERSION"),
        "against": name,
        "version-before": against.version,
        "changed": !against.changes.is_empty(),
        "changes": against.changes.iter().map(|change| json!({
            "kind": change.kind, "about": change.about, "before": change.before, "now": change.now,
        })).collect::<Vec<_>>(),
    })
}
