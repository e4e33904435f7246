//! Channels: the readings of one probe in one place, in order of time.

use super::encoding::cell;
use super::rules;
use super::trace::Trace;
use crate::finding::Finding;
use crate::quantity::Unit;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a row of a channel is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EntryKind {
    /// A reading.
    Reading,
    /// A broken probe, a value out of range or an unknown code: no reading, and it breaks the trace.
    Broken,
}

/// One row of a channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// Nanoseconds since 1970-01-01 00:00 UTC.
    pub at: i64,
    /// Lowest value that it may be, in the channel's unit. A broken row holds no value and has 0 here.
    pub lo: f64,
    /// Highest value that it may be.
    pub hi: f64,
    /// Line in the file, from 1.
    pub row: u32,
    /// File, as an index into [`Records::files`](super::Records::files).
    pub file: u16,
    /// Reading or broken.
    pub kind: EntryKind,
}

/// A cell that was blank or held a declared code for no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Missing {
    /// Nanoseconds since 1970-01-01 00:00 UTC.
    pub at: i64,
    /// Line in the file, from 1.
    pub row: u32,
    /// File, as an index into [`Records::files`](super::Records::files).
    pub file: u16,
}

/// The most missing cells that one channel keeps by place; further ones are only counted.
pub const MISSING_KEPT: usize = 10_000;

/// What sets one channel apart from the others.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Key {
    pub record: String,
    pub parameter: String,
    pub lot: Option<String>,
    pub place: Option<String>,
    pub probe: Option<String>,
    pub instrument: Option<String>,
    pub unit: &'static str,
    pub spot: bool,
}

/// The readings of one probe in one place, of one lot where the record names lots.
#[derive(Debug, Clone)]
pub struct Channel {
    /// The record of the plan.
    pub record: String,
    /// The parameter of the plan.
    pub parameter: String,
    /// The lot, where the row names one.
    pub lot: Option<String>,
    /// The place, where the mapping names one.
    pub place: Option<String>,
    /// The probe, where several measure the parameter.
    pub probe: Option<String>,
    /// The instrument, where the mapping names one.
    pub instrument: Option<String>,
    /// The unit of every value.
    pub unit: Unit,
    /// Whether each value is of a piece of its own and is never joined to the next.
    pub spot: bool,
    /// The smallest step of time that the record can tell apart, in nanoseconds.
    pub resolution: i64,
    /// Rows in order of time, as far as they are held. On a trace one instant has at most one reading and one broken row.
    pub rows: Vec<Entry>,
    /// Cells without a reading, in order of time, up to [`MISSING_KEPT`].
    pub missing: Vec<Missing>,
    /// How many cells were without a reading.
    pub missing_count: u64,
    /// How many rows were read.
    pub count: u64,
    /// Rows that repeated a value at its instant and count once.
    pub repeated: u64,
    heading: String,
    /// Every row, in few bytes.
    pub(crate) trace: Arc<Trace>,
    /// The stretch of time of which rows are held.
    held: Option<(i64, i64)>,
}

impl Channel {
    /// Takes in cells without a reading.
    pub(crate) fn miss(&mut self, missing: Vec<Missing>, count: u64) {
        self.missing_count += count;
        self.missing.extend(missing.into_iter().take(MISSING_KEPT.saturating_sub(self.missing.len())));
    }

    /// How many rows stand between two instants, both left out, whether or not they are held.
    #[must_use]
    pub fn count_within(&self, from: i64, to: i64) -> usize {
        let mut rows = Vec::new();
        self.trace.read((from, to), &mut rows);
        rows.iter().filter(|row| from < row.at && row.at < to).count()
    }

    /// Holds the rows of a stretch of time and what stands near it, or none.
    pub(crate) fn hold(&mut self, within: Option<(i64, i64)>) {
        if within == self.held {
            return;
        }
        self.held = within;
        self.rows = Vec::new();
        if let Some(within) = within {
            self.trace.read(within, &mut self.rows);
        }
    }

    /// Puts the rows in order and joins what stands at one instant.
    fn settle(&mut self, report: &mut Report<'_>) {
        self.missing.sort_by_key(|missing| (missing.at, missing.file, missing.row));
        if !self.trace.disordered {
            return;
        }
        self.hold(Some((i64::MIN, i64::MAX)));
        let spot = self.spot;
        let by_value = |a: &Entry, b: &Entry| if spot { a.lo.total_cmp(&b.lo) } else { Ordering::Equal };
        self.rows.sort_by(|a, b| a.at.cmp(&b.at).then(by_value(a, b)).then((a.file, a.row).cmp(&(b.file, b.row))));
        join(self, report);
        self.trace = Arc::new(Trace::of(&self.rows));
        self.hold(None);
    }
}

/// All channels while files are read.
#[derive(Debug, Default)]
pub(crate) struct Channels {
    by_key: BTreeMap<Key, usize>,
    pub all: Vec<Channel>,
}

impl Channels {
    /// The channel with this key.
    pub fn index(&mut self, key: Key, unit: Unit, heading: &str) -> usize {
        if let Some(&index) = self.by_key.get(&key) {
            return index;
        }
        let index = self.all.len();
        self.by_key.insert(key.clone(), index);
        self.all.push(Channel {
            record: key.record,
            parameter: key.parameter,
            lot: key.lot,
            place: key.place,
            probe: key.probe,
            instrument: key.instrument,
            unit,
            spot: key.spot,
            resolution: 0,
            rows: Vec::new(),
            missing: Vec::new(),
            missing_count: 0,
            count: 0,
            repeated: 0,
            heading: heading.to_owned(),
            trace: Arc::default(),
            held: None,
        });
        index
    }

    /// Puts every channel in order, joins what stands at one instant, and reports it.
    pub fn finish(self, files: &[String], findings: &mut Vec<Finding>) -> Vec<Channel> {
        let order: Vec<usize> = self.by_key.into_values().collect();
        let mut all: Vec<Option<Channel>> = self.all.into_iter().map(Some).collect();
        let mut report = Report { files, repeated: BTreeMap::new(), unlike: BTreeMap::new() };
        let channels = order
            .into_iter()
            .filter_map(|index| all.get_mut(index)?.take())
            .map(|mut channel| {
                channel.settle(&mut report);
                channel
            })
            .collect();
        report.tell(findings);
        channels
    }
}

/// Two rows at one instant, and how many pairs like it the file and column have.
type Pair = (Entry, Entry, u64);

struct Report<'f> {
    files: &'f [String],
    repeated: BTreeMap<(u16, String), Pair>,
    unlike: BTreeMap<(u16, String), Pair>,
}

impl Report<'_> {
    fn tell(self, findings: &mut Vec<Finding>) {
        let name = |file: u16| self.files.get(usize::from(file)).map_or("", String::as_str);
        let place = |entry: Entry, column: &str| cell(name(entry.file), entry.row.into(), Some(column));
        for (column, (first, second, count)) in self.repeated.iter().map(|((_, column), pair)| (column, *pair)) {
            let message = format!(
                "`{column}` has the same value at the same instant in row {} and row {} of `{}`; {count} such, each counted once",
                first.row,
                second.row,
                name(second.file)
            );
            findings.push(
                Finding::new(&rules::REPEATED, place(second, column), message)
                    .with(place(first, column), "the same reading"),
            );
        }
        for (column, (first, second, count)) in self.unlike.iter().map(|((_, column), pair)| (column, *pair)) {
            let message = format!(
                "`{column}` has two values at one instant: {} in row {} and {} in row {} of `{}`; {count} such",
                first.lo,
                first.row,
                second.lo,
                second.row,
                name(second.file)
            );
            let finding = Finding::new(&rules::TWO_VALUES, place(second, column), message)
                .with(place(first, column), "the other value");
            findings.push(finding.help("the reading is taken as anything from the one to the other"));
        }
    }
}

fn note(map: &mut BTreeMap<(u16, String), Pair>, heading: &str, first: Entry, second: Entry) {
    map.entry((second.file, heading.to_owned())).or_insert((first, second, 0)).2 += 1;
}

/// One reading and one broken row an instant; equal spot values once, unlike spot values each.
fn join(channel: &mut Channel, report: &mut Report<'_>) {
    let mut kept: Vec<Entry> = Vec::with_capacity(channel.rows.len());
    for &entry in &channel.rows {
        // A trace keeps at most two rows an instant, and equal spot values were sorted next to each other.
        let near = kept.len().saturating_sub(2);
        let here = kept.iter_mut().skip(near).filter(|other| other.at == entry.at && other.kind == entry.kind);
        match here.last() {
            Some(other) if other.lo == entry.lo && other.hi == entry.hi => {
                channel.repeated += 1;
                if entry.kind == EntryKind::Reading {
                    note(&mut report.repeated, &channel.heading, *other, entry);
                }
            }
            Some(other) if !channel.spot => {
                note(&mut report.unlike, &channel.heading, *other, entry);
                other.lo = other.lo.min(entry.lo);
                other.hi = other.hi.max(entry.hi);
            }
            _ => kept.push(entry),
        }
    }
    channel.rows = kept;
}
