//! What the small months are made of: a plan's name, files, plantings, and the few shapes that curves need.
//!
//! Everything is sums, products and quotients of doubles, and chance by whole numbers (see [`crate::chance`]), so the
//! same bytes come out on every machine.

use crate::chance::Chance;
use chrono::{NaiveDateTime, TimeDelta};
use std::fmt::Write as _;

/// One small month of records.
pub(crate) struct Month {
    /// The plan it is held against: `plans/NAME.haccp`. The month lies in `demo/NAME`.
    pub(crate) plan: &'static str,
    /// The month, as `bourn verify --month` takes it.
    pub(crate) month: &'static str,
    /// File name in `records/`, and text.
    pub(crate) files: Vec<(String, String)>,
    /// What was planted, and what each planting must come to.
    pub(crate) planted: &'static [Planted],
    /// What the tool must remark beside the verdicts: code, a word of the message, what it comes from. Nothing else.
    pub(crate) remarks: &'static [(&'static str, &'static str, &'static str)],
}

/// One planted event.
pub(crate) struct Planted {
    /// The lot.
    pub(crate) lot: &'static str,
    /// What was planted, as the README says it.
    pub(crate) what: &'static str,
    /// Control and limit with a dot, the verdict promised, and why. Empty where it must change no verdict.
    pub(crate) verdicts: &'static [(&'static str, &'static str, &'static str)],
}

impl Month {
    /// `expected.csv`: every limit that must not be met.
    pub(crate) fn expected(&self) -> String {
        let mut sheet = Sheet::new(',', "lot,limit,verdict,planted,why");
        for planting in self.planted {
            for (limit, verdict, why) in planting.verdicts {
                sheet.row(&[planting.lot, limit, verdict, planting.what, why]);
            }
        }
        sheet.0
    }

    /// The rows of the README's table of plantings, and those of its table of remarks.
    pub(crate) fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for planting in self.planted {
            let Planted { lot, what, verdicts } = planting;
            if verdicts.is_empty() {
                lines.push(format!("| {lot} | {what} | all | met | the planting must change no verdict |"));
            }
            for (limit, verdict, why) in *verdicts {
                lines.push(format!("| {lot} | {what} | {limit} | {verdict} | {why} |"));
            }
        }
        lines.extend(self.remarks.iter().map(|(code, _, from)| format!("| `{code}` | {from} |")));
        lines
    }
}

/// A typed or logged table.
pub(crate) struct Sheet(String, char);

impl Sheet {
    /// A table with this sign between its cells and this line of headings (or several).
    pub(crate) fn new(delimiter: char, head: &str) -> Self {
        Sheet(format!("{head}\n"), delimiter)
    }

    /// Adds a row. A cell that holds the delimiter is quoted.
    pub(crate) fn row<T: AsRef<str>>(&mut self, cells: &[T]) {
        let cells: Vec<String> = cells
            .iter()
            .map(|cell| {
                let cell = cell.as_ref();
                if cell.contains([self.1, '"']) {
                    format!("\"{}\"", cell.replace('"', "\"\""))
                } else {
                    cell.to_owned()
                }
            })
            .collect();
        let _ = writeln!(self.0, "{}", cells.join(&self.1.to_string()));
    }

    /// The table as a file of the month.
    pub(crate) fn named(self, name: &str) -> (String, String) {
        (name.to_owned(), self.0)
    }
}

/// A moment on the wall, written `2026-10-05 07:10`.
pub(crate) fn at(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap_or_default()
}

/// So many minutes later.
pub(crate) fn later(from: NaiveDateTime, minutes: f64) -> NaiveDateTime {
    from + TimeDelta::milliseconds((minutes * 60_000.0).round() as i64)
}

/// The instants of a logger, in minutes since `from` and on the wall: every `step` seconds from one minute to another.
/// A logger that begins before an event and ends after it leaves no doubt about clocks that differ.
pub(crate) fn ticks(
    from: NaiveDateTime,
    (first, last): (i64, i64),
    step: i64,
) -> impl Iterator<Item = (f64, NaiveDateTime)> {
    (0..=(last - first) * 60 / step).map(move |n| {
        let second = first * 60 + n * step;
        (second as f64 / 60.0, from + TimeDelta::seconds(second))
    })
}

/// A curve of straight stretches between (minute, value), level before the first and after the last.
pub(crate) fn curve(knots: &[(f64, f64)], minute: f64) -> f64 {
    let mut before: Option<(f64, f64)> = None;
    for &(at, value) in knots {
        if minute < at {
            return match before {
                Some((from, low)) => low + (value - low) * (minute - from) / (at - from),
                None => value,
            };
        }
        before = Some((at, value));
    }
    before.map_or(0.0, |(_, value)| value)
}

/// A value with a little noise, in so many decimals and with this decimal mark.
pub(crate) fn shown(value: f64, noise: f64, chance: &mut Chance, decimals: usize, mark: char) -> String {
    let text = format!("{:.decimals$}", value + chance.noise(noise));
    if mark == '.' { text } else { text.replace('.', &mark.to_string()) }
}
