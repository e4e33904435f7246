//! What a table says over time: steps, gaps, rows out of order, rows twice, sensors that stand still.

use super::columns::Column;
use super::kinds::{Family, Kind, kind};
use super::split::{Row, Rows};
use super::times::Time;
use crate::time::SECOND;
use std::collections::BTreeMap;

/// A stretch of rows, by line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Line of the first.
    pub from: u64,
    /// Line of the last.
    pub to: u64,
    /// Rows, or seconds for a gap.
    pub length: i64,
}

/// What the rows say over time.
#[derive(Debug, Clone, Default)]
pub struct Course {
    /// Earliest and latest time, in nanoseconds on the clock of the file.
    pub first: Option<i64>,
    /// Latest.
    pub last: Option<i64>,
    /// How often each step stands between rows, in seconds; the most frequent first.
    pub steps: Vec<(i64, u64)>,
    /// Steps longer than two and a half of the usual one.
    pub gaps: Vec<Stretch>,
    /// Lines whose time is earlier than that of the row before.
    pub back: Vec<u64>,
    /// Lines that repeat an earlier row with its time and all its cells.
    pub twice: Vec<u64>,
    /// Lines with the time of an earlier row and other cells.
    pub conflicts: Vec<u64>,
}

/// What one column of numbers says.
#[derive(Debug, Clone, Default)]
pub struct Numbers {
    /// Which column.
    pub column: usize,
    /// How many numbers.
    pub count: u64,
    /// The least, as written.
    pub least: String,
    /// The greatest, as written.
    pub greatest: String,
    /// The longest stretch of one and the same value, if it is long.
    pub still: Option<Stretch>,
    /// Whether that value is the least or the greatest of all: the sensor may stand at its stop.
    pub pinned: bool,
    /// Words that stand for no number, and numbers that look like codes, each with its count.
    pub codes: BTreeMap<String, u64>,
}

/// Numbers that loggers write for *no reading* or *probe at fault*; common practice, no source.
const SENTINELS: [f64; 16] = [
    -200.0, -999.0, -999.9, -9999.0, -99999.0, -99.0, -99.9, -127.0, -273.15, 85.0, 999.0, 999.9, 9999.0, 32767.0,
    -32768.0, 65535.0,
];
/// Rows of one value that make a person look.
const STILL: i64 = 12;

/// The course of the rows, in their order.
pub fn course(rows: &Rows, of: &[&Row], time: &Time) -> Course {
    let mut course = Course::default();
    let mut steps: BTreeMap<i64, u64> = BTreeMap::new();
    let mut before: Option<(i64, u64)> = None;
    let mut seen: BTreeMap<i64, &Row> = BTreeMap::new();
    for (row, at) in of.iter().zip(&time.at) {
        let Some(at) = *at else { continue };
        course.first = Some(course.first.map_or(at, |first| first.min(at)));
        course.last = Some(course.last.map_or(at, |last| last.max(at)));
        if let Some((last, _)) = before {
            if at < last {
                course.back.push(row.line);
            } else {
                *steps.entry((at - last) / SECOND).or_default() += 1;
            }
        }
        match seen.get(&at) {
            Some(other) if rows.cells(other).eq(rows.cells(row)) => course.twice.push(row.line),
            Some(_) => course.conflicts.push(row.line),
            None => {
                seen.insert(at, row);
            }
        }
        before = Some((at, row.line));
    }
    let mut steps: Vec<(i64, u64)> = steps.into_iter().collect();
    steps.sort_by_key(|(step, count)| (std::cmp::Reverse(*count), *step));
    if let Some(&(usual, _)) = steps.iter().find(|(step, _)| *step > 0) {
        let mut last: Option<(i64, u64)> = None;
        for (row, at) in of.iter().zip(&time.at) {
            let Some(at) = *at else { continue };
            if let Some((before, line)) = last
                && (at - before) / SECOND * 2 > usual * 5
            {
                course.gaps.push(Stretch { from: line, to: row.line, length: (at - before) / SECOND });
            }
            last = Some((at, row.line));
        }
    }
    course.steps = steps;
    course
}

/// What each column of numbers says.
pub fn numbers(rows: &Rows, of: &[&Row], columns: &[Column]) -> Vec<Numbers> {
    let numeric = columns.iter().enumerate().filter(|(_, column)| column.family == Some(Family::Number));
    numeric.map(|(at, column)| one(rows, of, at, column)).collect()
}

/// The value of a number as it is most likely meant.
#[must_use]
pub fn value(cell: &str) -> Option<f64> {
    let Kind::Number(look) = kind(cell) else { return None };
    let plain: String = cell
        .trim()
        .chars()
        .filter_map(|c| match c {
            '\u{2212}' => Some('-'),
            c if Some(c) == look.mark => Some('.'),
            c if c.is_ascii_digit() || matches!(c, '-' | '+' | 'e' | 'E') => Some(c),
            _ => None,
        })
        .collect();
    plain.parse().ok()
}

fn one(rows: &Rows, of: &[&Row], at: usize, column: &Column) -> Numbers {
    let mut out = Numbers { column: at, codes: column.codes.clone(), ..Numbers::default() };
    let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut sentinels: BTreeMap<String, (f64, u64)> = BTreeMap::new();
    let mut inner = (f64::INFINITY, f64::NEG_INFINITY);
    let mut run: Option<(&str, u64, u64, i64)> = None;
    let (mut longest, mut still) = (STILL - 1, None);
    let mut runs = 0_u64;
    for row in of {
        let cell = rows.cell(row, at);
        let Some(value) = value(cell) else { continue };
        out.count += 1;
        if value < least {
            (least, out.least) = (value, cell.trim().to_owned());
        }
        if value > greatest {
            (greatest, out.greatest) = (value, cell.trim().to_owned());
        }
        if SENTINELS.contains(&value) {
            sentinels.entry(cell.trim().to_owned()).or_insert((value, 0)).1 += 1;
        } else {
            inner = (inner.0.min(value), inner.1.max(value));
        }
        run = match run {
            Some((same, from, _, length)) if same == cell => Some((same, from, row.line, length + 1)),
            _ => {
                runs += 1;
                Some((cell, row.line, row.line, 1))
            }
        };
        if let Some((same, from, to, length)) = run
            && length > longest
        {
            longest = length;
            still = Some((Stretch { from, to, length }, value, same));
        }
    }
    if let Some((stretch, value, _)) = still {
        // A column that changes seldom anyway, such as a count, says nothing by standing still.
        out.pinned = (value == least || value == greatest) && least < greatest;
        let usual = i64::try_from(out.count / runs.max(1)).unwrap_or(i64::MAX);
        out.still = (stretch.length > usual.saturating_mul(4) || runs <= 2).then_some(stretch);
    }
    let span = (inner.1 - inner.0).max(1.0);
    for (cell, (value, count)) in sentinels {
        if out.count > count && (value < inner.0 - span || value > inner.1 + span) {
            out.codes.insert(cell, count);
        }
    }
    out
}
