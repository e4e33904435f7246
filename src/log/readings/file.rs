//! One file after the other: opened, cut into stretches at the ends of lines, and put together from what they gave.

use super::block::{Block, Job, Part, take};
use super::chosen::Code;
use super::{channels_of, find, named_lot};
use crate::finding::Finding;
use crate::log::checks::Check;
use crate::log::delimited::{Sheet, text};
use crate::log::encoding;
use crate::log::entered::Written;
use crate::log::intake::{self, Intake};
use crate::log::mapping::ReadingsTable;
use crate::log::parallel::{Manner, in_order};
use crate::log::place::Placer;
use crate::log::rules;
use crate::log::series::{Channels, MISSING_KEPT, Missing};
use crate::log::stream::{Head, Opened};
use crate::log::taking::Taking;
use crate::log::trace::Trace;
use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::HashMap;

/// What files of readings give.
type Gives<'g> = (&'g mut Channels, &'g mut Vec<Check>, &'g mut Vec<Written>);

/// Reads the files of one entry of the mapping.
pub(crate) fn read(
    group: &ReadingsTable,
    intake: &mut Intake<'_>,
    channels: &mut Channels,
    (checks, written): (&mut Vec<Check>, &mut Vec<Written>),
    manner: Manner,
) {
    intake.each_opened(&group.table, manner, &mut |opened, taking, findings| {
        one(group, opened, taking, findings, (channels, checks, written), manner)
    });
}

/// One file; false where it is to be opened again and taken whole.
fn one(
    group: &ReadingsTable,
    opened: &mut Opened<'_>,
    taking: &mut Taking,
    findings: &mut Vec<Finding>,
    (channels, checks, written): Gives<'_>,
    manner: Manner,
) -> Result<bool, Box<Finding>> {
    let head = opened.head()?;
    let name = taking.read.name.clone();
    let sheet = Sheet::open(&name, &head.text, &group.table)?;
    let own = &mut Vec::new();
    let found = find(group, &sheet, own);
    let placer = intake::placer(&group.table.clock, group.table.at, &sheet, own);
    taking.lot_heading = group.lot.clone().unwrap_or_default();
    let job = found.zip(placer).and_then(|(found, (_, times))| {
        let named = named_lot(group, &sheet, own).ok()?;
        Some(Job { group, found, times, sheet: &sheet, named, file: taking.file })
    });
    let Some(job) = job else {
        // Headings and name say all that can be said.
        findings.append(own);
        opened.ended(&sheet, &head.text, taking, findings);
        return Ok(true);
    };
    let Some(file) = whole(&job, &head, opened, manner)? else { return Ok(false) };
    findings.append(own);
    file.finish(&job, taking, findings, (channels, checks, written));
    opened.ended(&sheet, &head.text, taking, findings);
    Ok(true)
}

/// A stretch of so many bytes is read sooner than it is handed to another thread.
const SMALL: usize = 1 << 16;

/// Every stretch of a file.
fn whole(job: &Job<'_>, head: &Head, opened: &mut Opened<'_>, manner: Manner) -> Result<Option<File>, Box<Finding>> {
    let (below, line, skipped) = job.sheet.below();
    let mut file = File::new(job, skipped);
    // A file that fits into one stretch is still shared out, unless that takes longer than reading it.
    let size = if opened.is_streamed() { manner.block } else { manner.block.min(below.len() / manner.threads.max(1)) };
    let size = size.max(manner.block.min(SMALL));
    if !opened.is_streamed() && (below.len() <= size || head.at_once) {
        let part = take(job, &Block { text: below, line, whole: true });
        if let Some(part) = part {
            file.add(part);
        }
        return Ok(Some(file));
    }
    let spare = RefCell::new(Vec::new());
    let (mut at, mut next_line, mut fault) = (0, line, None);
    let mut next = || {
        if let Some(rest) = below.get(at..).filter(|rest| !rest.is_empty()) {
            // A stretch ends with a line; one that is longer than a stretch is a stretch of its own.
            let last =
                rest.get(..size).map_or(Some(rest.len()), |part| memchr::memrchr(b'\n', part).map(|end| end + 1));
            let cut = last.or_else(|| memchr::memchr(b'\n', rest).map(|end| end + 1)).unwrap_or(rest.len());
            let text = rest.get(..cut)?;
            at += cut;
            let line = next_line;
            next_line += lines(text);
            return Some((Cow::Borrowed(text), line, true));
        }
        match opened.next(spare.borrow_mut().pop().unwrap_or_default()) {
            Ok(None) => None,
            Ok(Some(bytes)) => {
                let line = next_line;
                next_line += lines(&bytes);
                Some((Cow::Owned(bytes), line, false))
            }
            Err(finding) => {
                fault = Some(finding);
                None
            }
        }
    };
    let mut sound = true;
    in_order(manner.threads, &mut next, &|stretch| stretched(job, stretch), &mut |(part, bytes)| {
        if let Cow::Owned(bytes) = bytes {
            spare.borrow_mut().push(bytes);
        }
        match part {
            Some(part) => file.add(part),
            None => sound = false,
        }
        sound
    });
    match fault {
        Some(finding) => Err(finding),
        None => Ok(sound.then_some(file)),
    }
}

/// Bytes, the line on which they begin, and whether they are decoded.
type Stretch<'s> = (Cow<'s, [u8]>, u64, bool);

fn stretched<'s>(job: &Job<'_>, (bytes, line, decoded): Stretch<'s>) -> (Option<Part>, Cow<'s, [u8]>) {
    let part = if decoded {
        take(job, &Block { text: &bytes, line, whole: false })
    } else {
        let text = encoding::stretch(&bytes, job.group.table.encoding);
        text.and_then(|text| take(job, &Block { text: text.as_bytes(), line, whole: false }))
    };
    (part, bytes)
}

fn lines(text: &[u8]) -> u64 {
    memchr::memchr_iter(b'\n', text).count() as u64
}

/// The readings of one column of one lot and instrument.
#[derive(Default)]
struct Gathered {
    trace: Trace,
    count: u64,
    missing: Vec<Missing>,
    missing_count: u64,
}

struct Family {
    lot: Box<[u8]>,
    instrument: Box<[u8]>,
    columns: Vec<Gathered>,
}

/// What the stretches of one file gave so far.
struct File {
    taking: Taking,
    families: Vec<Family>,
    known: HashMap<(Code, Code), usize>,
    last_lot: Option<Code>,
    order_proved: bool,
    seen: Vec<bool>,
    checks: Vec<Check>,
    written: Vec<Written>,
    findings: Vec<Finding>,
    /// Empty lines that count once a row follows.
    empty: u64,
}

impl File {
    fn new(job: &Job<'_>, skipped: u64) -> Self {
        let mut taking = Taking::new(job.file, job.sheet.name, &job.group.table.record);
        taking.read.rows = skipped;
        taking.read.blank_rows = skipped;
        File {
            taking,
            families: Vec::new(),
            known: HashMap::new(),
            last_lot: None,
            order_proved: false,
            seen: vec![false; job.found.columns.len()],
            checks: Vec::new(),
            written: Vec::new(),
            findings: Vec::new(),
            empty: 0,
        }
    }

    /// Takes in the next stretch.
    fn add(&mut self, mut part: Part) {
        if part.rows {
            self.taking.read.rows += self.empty;
            self.taking.read.blank_rows += self.empty;
            self.empty = 0;
        }
        self.empty += part.trailing;
        let first = part.ends.as_ref().map(|(first, _)| first);
        if let (Some(first), Some(last)) = (first, &self.last_lot)
            && first == last
            && let Some(run) = part.runs.iter_mut().find(|run| run.lot == *first)
        {
            // The run goes on from the stretch before.
            run.count -= 1;
        }
        for run in part.runs.iter().filter(|run| run.count > 0) {
            let lots = &mut self.taking.lots;
            let code = text(&run.lot);
            match lots.get_mut(code.as_ref()) {
                Some((_, count)) => *count += run.count,
                None => {
                    lots.insert(code.into_owned(), (run.row, run.count));
                }
            }
        }
        if let Some((_, last)) = part.ends {
            self.last_lot = Some(last);
        }
        self.taking.absorb(part.taking, part.first);
        let file = self.taking.file;
        let columns = self.seen.len();
        let mut blanks = part.blanks.into_iter();
        for (family, pens) in part.families.into_iter().zip(part.pens.chunks(columns.max(1))) {
            let key = (family.lot, family.instrument);
            let index = match self.known.get(&key) {
                Some(&index) => index,
                None => {
                    let columns = std::iter::repeat_with(Gathered::default).take(columns).collect();
                    self.families.push(Family { lot: key.0.clone(), instrument: key.1.clone(), columns });
                    self.known.insert(key, self.families.len() - 1);
                    self.families.len() - 1
                }
            };
            let Some(own) = self.families.get_mut(index) else { continue };
            for ((own, pen), blanks) in own.columns.iter_mut().zip(pens).zip(blanks.by_ref()) {
                own.trace.add(file, pen);
                own.count += u64::from(pen.count);
                own.missing_count += blanks.count;
                let room = MISSING_KEPT.saturating_sub(own.missing.len());
                own.missing.extend(blanks.kept.into_iter().take(room));
            }
        }
        self.order_proved |= part.order_proved;
        for (own, seen) in self.seen.iter_mut().zip(part.seen) {
            *own |= seen;
        }
        self.checks.append(&mut part.checks);
        self.written.append(&mut part.written);
        self.findings.append(&mut part.findings);
    }

    /// Hands everything on.
    fn finish(
        self,
        job: &Job<'_>,
        taking: &mut Taking,
        findings: &mut Vec<Finding>,
        (channels, checks, written): Gives<'_>,
    ) {
        let clock = &job.group.table.clock;
        let Some(format) = &clock.format else { return };
        let resolution = format.resolution;
        for family in self.families {
            let names = (&*text(&family.lot), &*text(&family.instrument));
            let indexes = channels_of(job.group, &job.found, names, resolution, channels);
            for (index, mut column) in indexes.into_iter().zip(family.columns) {
                if let Some(channel) = channels.all.get_mut(index) {
                    channel.count += column.count;
                    channel.miss(column.missing, column.missing_count);
                    std::sync::Arc::make_mut(&mut channel.trace).join(&mut column.trace);
                }
            }
        }
        let read = std::mem::take(&mut taking.read);
        let heading = std::mem::take(&mut taking.lot_heading);
        *taking = self.taking;
        (taking.read.sha256, taking.read.bytes, taking.lot_heading) = (read.sha256, read.bytes, heading);
        checks.extend(self.checks);
        written.extend(self.written);
        findings.extend(self.findings);
        if let Some((name, _)) = &job.group.long {
            let sheet = job.sheet;
            for ((_, column, _), _) in job.found.columns.iter().zip(&self.seen).filter(|(_, seen)| !**seen) {
                let place = encoding::cell(sheet.name, sheet.heading_row, Some(name));
                let message = format!("no row of `{}` is named `{}` in column `{name}`", sheet.name, column.heading);
                findings.push(
                    Finding::new(&rules::COLUMN_MISSING, place, message).also(column.at, "the mapping names it here"),
                );
            }
        }
        let mut placer = Placer::new(clock, format);
        placer.order_proved = self.order_proved;
        taking.order(&placer, &clock.columns.join(" "), job.sheet.heading_row);
    }
}
