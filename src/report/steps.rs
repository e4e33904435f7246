//! The steps of one judgement in words: two or three short lines each, long unchanging stretches in one.

use crate::log::Records;
use crate::quantity::{Unit, plain};
use crate::time::{Instant, Zone, show_duration};
use crate::verify::engine::{Cover, Span, Step, Tally};
use crate::verify::workings::Paired;

/// Unchanging stretches of more steps than this are folded into one line.
const FOLDED_OVER: usize = 4;
/// Places to which running sums are printed; what is added is printed as the difference of two of them, so that the
/// column adds up to the last place.
pub(super) const PLACES: usize = 6;

/// Where the readings of a part stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column<'a> {
    pub records: &'a Records,
    pub zone: Zone,
    pub sources: &'a [usize],
    pub unit: Option<Unit>,
    /// What the readings of a computed parameter were computed from, in order of time.
    pub pairs: &'a [Paired],
}

impl Column<'_> {
    fn channels(&self) -> impl Iterator<Item = &crate::log::Channel> {
        self.sources.iter().filter_map(|index| self.records.channels.get(*index))
    }

    fn entries(&self, at: i64) -> Vec<(usize, u32)> {
        self.entries_of(self.sources, at)
    }

    fn entries_of(&self, sources: &[usize], at: i64) -> Vec<(usize, u32)> {
        let mut found = Vec::new();
        for channel in sources.iter().filter_map(|index| self.records.channels.get(*index)) {
            let first = channel.rows.partition_point(|entry| entry.at < at);
            let same = channel.rows.iter().skip(first).take_while(|entry| entry.at == at);
            found.extend(same.map(|entry| (usize::from(entry.file), entry.row)));
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The files of the channels, in the order of the records.
    fn names(&self) -> Vec<usize> {
        let mut files: Vec<usize> =
            self.channels().flat_map(|channel| channel.rows.iter().map(|entry| usize::from(entry.file))).collect();
        files.sort_unstable();
        files.dedup();
        files
    }

    /// The files, said once; where there are several each has a letter.
    pub fn files(&self) -> String {
        let names = self.names();
        let name = |index: &usize| self.records.files.get(*index).map_or("", |file| file.name.as_str());
        names.iter().map(name).collect::<Vec<_>>().join(", ")
    }

    /// File and row of what stands at an instant.
    pub fn place(&self, at: i64) -> Option<String> {
        self.place_of(self.sources, at)
    }

    pub fn place_of(&self, sources: &[usize], at: i64) -> Option<String> {
        let entries = self.entries_of(sources, at);
        let name = |file: usize| self.records.files.get(file).map_or("", |file| file.name.as_str());
        let all: Vec<String> = entries.iter().map(|(file, row)| format!("{}:{row}", name(*file))).collect();
        (!all.is_empty()).then(|| all.join(", "))
    }

    /// The row alone where there is one file, else file and row.
    fn row(&self, at: i64, single: bool) -> String {
        if !single {
            return self.place(at).map_or_else(String::new, |place| format!(" ({place})"));
        }
        let rows: Vec<String> = self.entries(at).iter().map(|(_, row)| row.to_string()).collect();
        if rows.is_empty() { String::new() } else { format!(" (row {})", rows.join(" and ")) }
    }

    /// What a computed reading was computed from: every input with its value, its time where it is another, and its rows.
    fn computed(&self, at: i64) -> Option<String> {
        let index = self.pairs.partition_point(|pair| pair.at < at);
        let pair = self.pairs.get(index).filter(|pair| pair.at == at)?;
        let inputs = pair.inputs.iter().map(|input| {
            let value = Column { unit: Some(input.unit), ..*self }.hull(input.lo, input.hi);
            let when = if input.at == at { String::new() } else { format!(" at {}", self.at(input.at)) };
            let place = self.place_of(&input.sources, input.at).map_or_else(String::new, |place| format!(" ({place})"));
            format!("{} {value}{when}{place}", input.name)
        });
        Some(inputs.collect::<Vec<_>>().join(", "))
    }

    /// The same for the one reading of a step, or for the two at its ends.
    fn computed_of(&self, first: i64, last: i64) -> Vec<String> {
        let mut instants = vec![first, last];
        instants.dedup();
        let single = instants.len() == 1;
        let line = |at: i64| {
            let inputs = self.computed(at)?;
            Some(if single { format!("from {inputs}") } else { format!("{} from {inputs}", self.at(at)) })
        };
        instants.into_iter().filter_map(line).collect()
    }

    fn value(&self, value: f64) -> String {
        match self.unit {
            Some(unit) if !unit.dimension.bare() => format!("{}\u{a0}{}", plain(value, 6), unit.symbol),
            _ => plain(value, 6),
        }
    }

    fn hull(&self, lo: f64, hi: f64) -> String {
        if !lo.is_finite() || !hi.is_finite() {
            "anything".to_owned()
        } else if plain(lo, 6) == plain(hi, 6) {
            self.value(lo)
        } else {
            format!("{} to {}", plain(lo, 6), self.value(hi))
        }
    }

    fn at(&self, at: i64) -> String {
        self.zone.show_local(Instant(at))
    }
}

/// What a step did, as far as two steps may stand in one line.
#[derive(PartialEq)]
enum State {
    Value(bool, bool),
    Time(bool, bool),
    Rate(f64, Option<f64>),
    Same,
    Alone,
}

fn state(step: &Step) -> State {
    if step.cover != Cover::Shown {
        return State::Alone;
    }
    match (step.before, step.after) {
        (Tally::Value { open, .. }, Tally::Value { open: opened, breaking, .. }) => {
            State::Value(open != opened, breaking)
        }
        (Tally::Time { least, most, .. }, Tally::Time { least: least_after, most: most_after, .. }) => {
            State::Time(least != least_after, most != most_after)
        }
        (_, Tally::Rate { low, high, .. }) => State::Rate(low, high),
        (before, after) if before == after => State::Same,
        _ => State::Alone,
    }
}

/// Whether a step says anything of its own: a reading inside a chain of pieces adds nothing.
fn speaks(step: &Step) -> bool {
    match (step.before, step.after) {
        // A bound is judged at its readings; a joined piece adds nothing to its two ends unless one lies outside.
        (Tally::Value { .. }, Tally::Value { .. }) => {
            step.is_reading()
                || step.cover != Cover::Shown
                || step.outer.is_some_and(|outer| outer.from != step.from || outer.to != step.to)
        }
        (
            Tally::Time { certain, possible, .. },
            Tally::Time { certain: certain_after, possible: possible_after, .. },
        ) if step.is_reading() => {
            certain.is_some() != certain_after.is_some() && certain_after.is_none()
                || possible.is_some() != possible_after.is_some() && possible_after.is_none()
                || step.cover == Cover::Anything
        }
        (Tally::Rate { .. } | Tally::Time { .. }, _) => !step.is_reading(),
        (before, after) => before != after || step.cover != Cover::Shown,
    }
}

/// The steps, each as a head and what it did.
pub(super) fn lines(column: &Column<'_>, steps: &[Step], all: bool) -> Vec<Vec<String>> {
    let single = column.names().len() <= 1;
    let speaking: Vec<&Step> = steps.iter().filter(|step| speaks(step)).collect();
    let mut out = Vec::new();
    for run in speaking.chunk_by(|a, b| {
        a.is_reading() == b.is_reading() && a.cover == b.cover && state(a) == state(b) && state(a) != State::Alone
    }) {
        if run.len() > FOLDED_OVER && !all {
            out.push(folded(column, run, single));
        } else {
            out.extend(run.iter().map(|step| one(column, step, single)));
        }
    }
    out
}

fn one(column: &Column<'_>, step: &Step, single: bool) -> Vec<String> {
    let mut out = vec![format!("{}: {}", when(column, step, single), seen(column, step))];
    out.extend(column.computed_of(step.from, step.to));
    out.extend(did(column, step.before, step.after, (step, step), step.is_reading()));
    out
}

fn folded(column: &Column<'_>, run: &[&Step], single: bool) -> Vec<String> {
    let (Some(first), Some(last)) = (run.first(), run.last()) else { return Vec::new() };
    let lo = run.iter().map(|step| step.lo).fold(f64::INFINITY, f64::min);
    let hi = run.iter().map(|step| step.hi).fold(f64::NEG_INFINITY, f64::max);
    let what = if first.is_reading() { "readings" } else { "steps, each joined" };
    let mut out = vec![format!(
        "{}{} to {}{}: {} {what}, {}",
        column.at(from(first)),
        column.row(first.from, single),
        column.at(to(last)),
        column.row(last.to, single),
        run.len(),
        column.hull(lo, hi)
    )];
    out.extend(column.computed_of(first.from, last.to));
    out.extend(did(column, first.before, last.after, (first, last), first.is_reading()));
    out
}

fn from(step: &Step) -> i64 {
    step.outer.map_or(step.from, |outer| outer.from)
}

fn to(step: &Step) -> i64 {
    step.outer.map_or(step.to, |outer| outer.to)
}

fn when(column: &Column<'_>, step: &Step, single: bool) -> String {
    if step.is_reading() {
        return format!("{}{}", column.at(step.from), column.row(step.from, single));
    }
    let end = if to(step) == i64::MAX { "no recorded end".to_owned() } else { column.at(to(step)) };
    let begin = if from(step) == i64::MIN { "the beginning".to_owned() } else { column.at(from(step)) };
    format!("{begin}{} to {end}{}", column.row(step.from, single), column.row(step.to, single))
}

fn seen(column: &Column<'_>, step: &Step) -> String {
    match step.cover {
        Cover::Shown if step.is_reading() => column.hull(step.lo, step.hi),
        Cover::Shown => format!("joined, {}", column.hull(step.lo, step.hi)),
        Cover::Nearest => format!("short uncovered edge; nearest reading {}", column.hull(step.lo, step.hi)),
        Cover::Anything if step.is_reading() => "a broken row stands here too: anything".to_owned(),
        Cover::Anything => "not joined: anything".to_owned(),
    }
}

/// A running sum to so many places, and what was added as the difference of two such.
fn added(before: f64, after: f64) -> (String, String) {
    let scale = 10f64.powi(i32::try_from(PLACES).unwrap_or(0));
    let (before, after) = ((before * scale).round(), (after * scale).round());
    (format!("{:.PLACES$}", (after - before) / scale), format!("{:.PLACES$}", after / scale))
}

fn did(column: &Column<'_>, before: Tally, after: Tally, (first, last): (&Step, &Step), reading: bool) -> Vec<String> {
    match (before, after) {
        (Tally::Value { .. }, Tally::Value { high, low, open, breaking }) => {
            let number = |value: f64| if value.is_finite() { column.value(value) } else { "nothing yet".to_owned() };
            let mut out = vec![format!(
                "{}highest so far {}, lowest so far {}",
                if breaking && reading { "breaks the limit; " } else { "" },
                number(high.1),
                number(low.1)
            )];
            if open && first.cover != Cover::Shown {
                out.push("could have been anything, so the limit is not shown to be met".to_owned());
            } else if first.cover == Cover::Nearest {
                out.push("judged by its nearest reading".to_owned());
            }
            out
        }
        (
            Tally::Time { least, most, .. },
            Tally::Time { least: certain, most: possible, certain: held, possible: may, .. },
        ) => {
            if reading {
                return vec!["breaks the stretch".to_owned()];
            }
            if (certain, possible) == (least, most) {
                return vec!["not in it: adds nothing".to_owned()];
            }
            let word = match (certain > least, possible > most) {
                (true, _) => "certain",
                (_, true) => "possible",
                _ => "not in it",
            };
            let time = |time: i64| if time == i64::MAX { "without end".to_owned() } else { show_duration(time) };
            let plus = |before: i64, after: i64| {
                if after == i64::MAX { "without end".to_owned() } else { show_duration(after.saturating_sub(before)) }
            };
            let mut out = vec![
                format!("{word}: least + {} = {}", plus(least, certain), time(certain)),
                format!("most + {} = {}", plus(most, possible), time(possible)),
            ];
            if held.is_some() || may.is_some() {
                out.push(format!("stretch so far: certain {}, possible {}", stretch(held), stretch(may)));
            }
            out
        }
        (Tally::Rate { least, most, .. }, Tally::Rate { low, high, least: least_after, most: most_after, .. }) => {
            let per = |rate: f64| plain_rate(rate * 60.0);
            let length = |ends: fn(&Step) -> Option<Span>| {
                ends(first).zip(ends(last)).map_or(0, |(first, last)| last.to.saturating_sub(first.from))
            };
            let (shown, sum) = added(least, least_after);
            let (may, may_sum) = added(most, most_after);
            let core = show_duration(length(|step| step.core));
            let outer = length(|step| step.outer);
            let outer =
                if last.to == i64::MAX && to(last) == i64::MAX { "no end".to_owned() } else { show_duration(outer) };
            vec![
                format!("least: {} a minute for {core}: + {shown} = {sum}", per(low)),
                match high {
                    Some(high) => format!("most:  {} a minute for {outer}: + {may} = {may_sum}", per(high)),
                    None => format!("most:  no bound for {outer}: unbounded"),
                },
            ]
        }
        (Tally::Clock { start, stop }, Tally::Clock { start: started, stop: stopped }) => {
            let at = |at: Option<i64>| at.map_or("not any more".to_owned(), |at| column.at(at));
            let mut out = Vec::new();
            for (word, before, after) in [
                ("clock may have started", start.0, started.0),
                ("clock has certainly started", start.1, started.1),
                ("clock may have stopped", stop.0, stopped.0),
                ("clock has certainly stopped", stop.1, stopped.1),
            ] {
                if before != after {
                    out.push(format!("{word}: {}", at(after)));
                }
            }
            out
        }
        (_, Tally::Fall { least, most }) => {
            let value = |value: Option<f64>| {
                value.map_or("none yet".to_owned(), |value| {
                    if value.is_finite() { column.value(value) } else { "anything".to_owned() }
                })
            };
            vec![format!("smallest so far: least {}, most {}", value(least), value(most))]
        }
        _ => Vec::new(),
    }
}

/// A rate with six significant digits.
fn plain_rate(rate: f64) -> String {
    let digits = if rate > 0.0 { (5 - rate.log10().floor() as i64).clamp(0, 18) } else { 0 };
    plain(rate, usize::try_from(digits).unwrap_or(6))
}

/// Least and most of the whole, as the steps added them up. Without `bounded` nothing bounds the most of a passage,
/// whatever the clock says: its start is not shown.
pub(super) fn total(column: &Column<'_>, steps: &[Step], bounded: bool) -> Vec<String> {
    let time = |time: i64| if time == i64::MAX { "without end".to_owned() } else { show_duration(time) };
    let Some(last) = steps.last() else { return Vec::new() };
    match last.after {
        Tally::Rate { least, most, unbounded, .. } => {
            let most = if unbounded { "unbounded".to_owned() } else { added(0.0, most).1 };
            vec![format!("sum: least {}, most {most}", added(0.0, least).1)]
        }
        Tally::Time { least, most, .. } => {
            let mut out = vec![format!("sum of time in it: least {}, most {}", time(least), time(most))];
            out.extend(longest(steps));
            out
        }
        Tally::Clock { start: (Some(first), Some(last)), stop: (Some(early), Some(late)) } => {
            let least = format!(
                "least is {} less {} = {}",
                column.at(early),
                column.at(last),
                show_duration(early.saturating_sub(last).max(0))
            );
            let most = format!(
                "most is {} less {} = {}",
                column.at(late),
                column.at(first),
                show_duration(late.saturating_sub(first))
            );
            vec![if bounded { format!("{least}; {most}") } else { format!("{least}; most has no bound") }]
        }
        _ => Vec::new(),
    }
}

/// The longest stretch that was running after any step; a lone reading is one of nought.
fn longest(steps: &[Step]) -> Option<String> {
    let (mut certain, mut possible): (Option<Span>, Option<Span>) = (None, None);
    let longer =
        |kept: Option<Span>, span: Option<Span>| [kept, span].into_iter().flatten().max_by_key(|span| span.length());
    for step in steps {
        if let Tally::Time { certain: held, possible: may, .. } = step.after {
            (certain, possible) = (longer(certain, held), longer(possible, may));
        }
    }
    possible.map(|_| format!("longest stretch: certain {}, possible {}", stretch(certain), stretch(possible)))
}

/// The length of a stretch that may have no end.
fn stretch(span: Option<Span>) -> String {
    match span {
        None => "none".to_owned(),
        Some(span) if span.to == i64::MAX => "without end".to_owned(),
        Some(span) => show_duration(span.length()),
    }
}
