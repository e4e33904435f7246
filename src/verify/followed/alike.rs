//! Entries of one day that are those of another day, value for value.
//!
//! Told in neutral words: by the frequencies of the values it would hardly happen by chance, and somebody should look.

use super::rules;
use crate::finding::Finding;
use crate::log::{EntryKind, Outcome, Records};
use crate::source::{Cell, Place};
use crate::verify::Verification;
use std::collections::BTreeMap;

/// Days are alike if chance would make as many like them fewer than this many times.
const CHANCE: f64 = 1e-3;

/// The typed values of one day, each with its place.
type Day = Vec<(u64, Cell)>;

/// Values with their instants and places, by day.
type Days = BTreeMap<chrono::NaiveDate, Vec<(i64, u64, Cell)>>;

pub(super) fn hold(records: &Records, whole: &Verification, findings: &mut Vec<Finding>) {
    let mut series: BTreeMap<String, Days> = BTreeMap::new();
    let mut add = |name: &str, at: i64, value: f64, cell: Cell| {
        let day = whole.zone.local(crate::time::Instant(at)).date();
        if whole.period.holds(day) {
            series.entry(name.to_owned()).or_default().entry(day).or_default().push((at, value.to_bits(), cell));
        }
    };
    for channel in records.channels.iter().filter(|channel| channel.spot) {
        for entry in channel.rows.iter().filter(|entry| entry.kind == EntryKind::Reading) {
            let file = records.files.get(usize::from(entry.file)).map_or_else(String::new, |file| file.name.clone());
            let cell = Cell { file, row: u64::from(entry.row), column: None };
            add(&channel.parameter, entry.at, entry.lo, cell);
        }
    }
    for sample in records.samples.iter().filter(|sample| sample.outcome == Outcome::Value) {
        add(&sample.parameter, sample.at.0, sample.lo, sample.cell.clone());
    }
    for (name, days) in series {
        let days: Vec<(chrono::NaiveDate, Day)> = days
            .into_iter()
            .map(|(day, mut values)| {
                values.sort_by(|a, b| (a.0, &a.2).cmp(&(b.0, &b.2)));
                (day, values.into_iter().map(|(_, value, cell)| (value, cell)).collect())
            })
            .collect();
        pairs(&name, &days, findings);
    }
}

/// Reports each day that repeats an earlier one.
fn pairs(name: &str, days: &[(chrono::NaiveDate, Day)], findings: &mut Vec<Finding>) {
    let mut counts: BTreeMap<u64, f64> = BTreeMap::new();
    for (value, _) in days.iter().flat_map(|(_, values)| values) {
        *counts.entry(*value).or_default() += 1.0;
    }
    let all: f64 = counts.values().sum();
    if all == 0.0 {
        return;
    }
    // Two values drawn by these frequencies are the same with this chance.
    let same: f64 = counts.values().map(|count| (count / all).powi(2)).sum();
    let number = days.len() as f64;
    let compared = number * (number - 1.0) / 2.0;
    for (index, (day, values)) in days.iter().enumerate() {
        let length = i32::try_from(values.len()).unwrap_or(i32::MAX);
        if length < 3 || compared * same.powi(length) >= CHANCE {
            continue;
        }
        let alike =
            |other: &Day| other.len() == values.len() && other.iter().zip(values).all(|((a, _), (b, _))| a == b);
        let earlier = days.iter().take(index).find(|(_, other)| alike(other));
        let (Some((first, others)), Some((_, cell))) = (earlier, values.first()) else { continue };
        let message = format!("the {length} values of `{name}` on {day} are those on {first}, in the same order");
        let mut finding = Finding::new(&rules::DAYS_ALIKE, Place::Cell(cell.clone()), message)
            .help("look at the originals of both days");
        if let Some((_, cell)) = others.first() {
            finding = finding.with(Place::Cell(cell.clone()), format!("the first value on {first}"));
        }
        findings.push(finding);
    }
}
