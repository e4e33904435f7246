//! The register of lots: what each is, how much, and when its stages began and ended.

use super::delimited::{Cells as _, Rows, Sheet, text};
use super::intake::{self, Intake};
use super::mapping::LotsTable;
use super::number::{self, NotNumber};
use super::place::{Placer, Unplaced};
use super::rules;
use super::taking::Taking;
use crate::finding::{Finding, Rule};
use crate::quantity::{Quantity, Rational};
use crate::source::{Cell, Place};
use crate::time::Instant;
use std::collections::{BTreeMap, BTreeSet};

/// The event under which a lot's shipping is kept until its rows are settled; no event of a plan has such a name.
pub const SHIPPED: &str = "shipped (lots register)";

/// A thing that happened to a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Name of the event in the plan.
    pub event: String,
    /// When.
    pub at: Instant,
    /// The smallest step of time that the record can tell apart, in nanoseconds.
    pub resolution: i64,
    /// The record of the plan that it stands in.
    pub record: String,
    /// Where it stands.
    pub cell: Cell,
}

/// What the register shows of how often an event happened to a lot.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    /// Every time that could be read, in order, with its cell.
    pub times: Vec<Event>,
    /// How many cells hold something that could not be read as a time.
    pub unread: u32,
    /// Whether a row that asks for this event holds at least one time of the lot, of this event or another.
    pub kept: bool,
}

impl Tally {
    /// Fewest and most times that the event happened: two rows with one instant are once or twice, a cell that could
    /// not be read may be a time. No most if no row with a time of the lot asks for the event.
    #[must_use]
    pub fn bounds(&self) -> (u32, Option<u32>) {
        let apart: BTreeSet<Instant> = self.times.iter().map(|event| event.at).collect();
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let most = number(self.times.len()).saturating_add(self.unread);
        (number(apart.len()), self.kept.then_some(most))
    }

    fn take(&mut self, other: &Tally) {
        self.times.extend(other.times.iter().cloned());
        self.times.sort_by_key(|event| event.at);
        self.unread = self.unread.saturating_add(other.unread);
        self.kept &= other.kept;
    }
}

/// A lot of the register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// Its code.
    pub code: String,
    /// The product, if the register says so.
    pub product: Option<String>,
    /// How much was made, if the register says so.
    pub quantity: Option<Quantity>,
    /// The line that made it, if the register says so.
    pub line: Option<String>,
    /// When it was shipped, if the register says so once; of several loads, the first time.
    pub shipped: Option<Event>,
    /// Its events in order of time, those of its loads among them; an event with two times is left out.
    pub events: Vec<Event>,
    /// How often each event that a column of its rows asks for is recorded, those of its loads included.
    pub tallies: BTreeMap<String, Tally>,
    /// Facts about it: name and word.
    pub facts: Vec<(String, String)>,
    /// Those of the facts that are numbers, by name, as the decimals they are.
    pub numbers: BTreeMap<String, Rational>,
    /// Its loads by code, each with its own events and facts beside those of the whole lot.
    pub loads: Vec<Lot>,
    /// The code of the load, for one of several loads of a lot.
    pub load: Option<String>,
    /// The row that names it first.
    pub cell: Cell,
}

impl Lot {
    /// When an event happened, if the register says so once; of several loads, the first time.
    #[must_use]
    pub fn event(&self, name: &str) -> Option<&Event> {
        self.events.iter().find(|event| event.event == name)
    }

    /// The event that ends what another began; of several loads the last, and none while a load still waits for it.
    #[must_use]
    pub fn ended(&self, began: &str, name: &str) -> Option<&Event> {
        if self.loads.iter().any(|load| load.event(began).is_some() && load.event(name).is_none()) {
            return None;
        }
        self.events.iter().rev().find(|event| event.event == name)
    }
}

/// A value with the cell it stands in.
type Said<T> = Vec<(T, Cell)>;

#[derive(Debug)]
struct Draft {
    cell: Cell,
    group: usize,
    product: Said<String>,
    line: Said<String>,
    quantity: Said<Quantity>,
    events: BTreeMap<String, Vec<Event>>,
    tallies: BTreeMap<String, Tally>,
    facts: BTreeMap<String, Said<String>>,
    numbers: BTreeMap<String, Rational>,
    loads: BTreeMap<String, Draft>,
}

impl Draft {
    fn new(cell: Cell, group: usize) -> Self {
        Draft {
            cell,
            group,
            product: Vec::new(),
            line: Vec::new(),
            quantity: Vec::new(),
            events: BTreeMap::new(),
            tallies: BTreeMap::new(),
            facts: BTreeMap::new(),
            numbers: BTreeMap::new(),
            loads: BTreeMap::new(),
        }
    }
}

/// The register while files are read.
#[derive(Debug, Default)]
pub(crate) struct Register {
    drafts: BTreeMap<String, Draft>,
    groups: usize,
}

/// The columns of one file.
struct Found {
    lot: usize,
    load: Option<usize>,
    product: Option<usize>,
    line: Option<usize>,
    quantity: Option<usize>,
    events: Vec<Option<usize>>,
    facts: Vec<Option<usize>>,
}

fn find(group: &LotsTable, sheet: &Sheet<'_>, findings: &mut Vec<Finding>) -> Option<Found> {
    let mut one = |heading: &String| {
        intake::columns(sheet, [heading], group.table.at, findings).and_then(|found| found.first().copied())
    };
    Some(Found {
        load: group.load.as_ref().and_then(&mut one),
        product: group.product.as_ref().and_then(&mut one),
        line: group.line.as_ref().and_then(&mut one),
        quantity: group.quantity.as_ref().and_then(|(heading, _)| one(heading)),
        events: group.events.iter().map(|(_, heading)| one(heading)).collect(),
        facts: group.facts.iter().map(|(_, heading)| one(heading)).collect(),
        lot: one(&group.lot)?,
    })
}

impl Register {
    /// Reads the files of one entry of the mapping.
    pub fn read(&mut self, group: &LotsTable, intake: &mut Intake<'_>) {
        self.groups += 1;
        let number = self.groups;
        intake.each(&group.table, |sheet, taking, findings| {
            let Some(found) = find(group, sheet, findings) else {
                return;
            };
            let mut placer = group.table.clock.format.as_ref().map(|format| Placer::new(&group.table.clock, format));
            if placer.is_none()
                && let Some(column) = found.events.iter().flatten().next()
            {
                findings.push(intake::format_missing(sheet, *column));
            }
            let mut rows = sheet.rows();
            while let Some((row, kind)) = rows.next() {
                if !taking.ordinary(rows.width(), row, kind, findings) {
                    continue;
                }
                let code = text(rows.cell(found.lot)).into_owned();
                if code.is_empty() {
                    taking.read.bad_rows += 1;
                    taking.blank_cell(&group.lot, row);
                    continue;
                }
                taking.read.used_rows += 1;
                let at = |column: &str| Cell { file: sheet.name.to_owned(), row, column: Some(column.to_owned()) };
                let lot = self.drafts.entry(code.clone()).or_insert_with(|| Draft::new(at(&group.lot), 0));
                let load = found.load.map(|column| text(rows.cell(column)).into_owned());
                let (draft, what, heading) = match load.filter(|load| !load.is_empty()) {
                    Some(load) => {
                        let heading = group.load.as_ref().unwrap_or(&group.lot);
                        let what = format!("load `{load}` of lot `{code}`");
                        (lot.loads.entry(load).or_insert_with(|| Draft::new(at(heading), 0)), what, heading)
                    }
                    None => (lot, format!("lot `{code}`"), &group.lot),
                };
                if draft.group == number {
                    let first = draft.cell.clone();
                    let message = format!("{what} stands in row {} of `{}` and again here", first.row, first.file);
                    findings.push(
                        Finding::new(&rules::LOT_TWICE, Place::Cell(at(heading)), message)
                            .with(Place::Cell(first), "the first row"),
                    );
                }
                draft.group = number;
                if let (Some(column), Some(heading)) = (found.product, &group.product) {
                    let product = text(group.table.missing.unless(rows.cell(column))).into_owned();
                    if !product.is_empty() {
                        draft.product.push((product, at(heading)));
                    }
                }
                if let (Some(column), Some(heading)) = (found.line, &group.line) {
                    let line = text(group.table.missing.unless(rows.cell(column))).into_owned();
                    if !line.is_empty() {
                        draft.line.push((line, at(heading)));
                    }
                }
                quantity(group, &found, &rows, row, draft, taking, at);
                for ((name, heading), column) in group.facts.iter().zip(&found.facts) {
                    let word = column
                        .map(|column| text(group.table.missing.unless(rows.cell(column))).into_owned())
                        .unwrap_or_default();
                    if !word.is_empty() {
                        let value = number::exact(word.as_bytes(), group.table.marks).ok();
                        if let Some(value) = value.and_then(|value| Rational::parse(&value)) {
                            draft.numbers.insert(name.clone(), value);
                        }
                        draft.facts.entry(name.clone()).or_default().push((word, at(heading)));
                    }
                }
                let Some(placer) = &mut placer else { continue };
                let mut kept = false;
                for ((name, heading), column) in group.events.iter().zip(&found.events) {
                    let Some(column) = *column else { continue };
                    match placer.cell(group.table.missing.unless(rows.cell(column)), row) {
                        Ok(instant) => {
                            // Shipping says when people acted, not how far the records ran.
                            if name != SHIPPED {
                                taking.placed(instant, row, false);
                            }
                            let event = Event {
                                event: name.clone(),
                                at: Instant(instant),
                                resolution: placer.format.resolution,
                                record: group.table.record.clone(),
                                cell: at(heading),
                            };
                            kept = true;
                            draft.tallies.entry(name.clone()).or_default().times.push(event.clone());
                            draft.events.entry(name.clone()).or_default().push(event);
                        }
                        Err(Unplaced::Blank) => taking.read.missing_cells += 1,
                        Err(why) => {
                            taking.read.broken_cells += 1;
                            draft.tallies.entry(name.clone()).or_default().unread += 1;
                            taking.unplaced(why, &text(rows.cell(column)), heading, row, placer);
                        }
                    }
                }
                for ((name, _), column) in group.events.iter().zip(&found.events) {
                    if kept && column.is_some() {
                        draft.tallies.entry(name.clone()).or_default().kept = true;
                    }
                }
            }
            taking.read.rows += rows.skipped;
            taking.read.blank_rows += rows.skipped;
            if let (Some(placer), Some((_, heading))) = (&placer, group.events.first()) {
                taking.order(placer, heading, sheet.heading_row);
            }
        });
    }

    /// The lots by code. What a lot says twice and differently is left out and reported.
    ///
    /// An event that is counted may have several times; as the start or end of anything it then shows nothing.
    pub fn finish(self, counted: &BTreeSet<String>, findings: &mut Vec<Finding>) -> Vec<Lot> {
        self.drafts.into_iter().map(|(code, draft)| settle(code, draft, counted, findings)).collect()
    }
}

/// A lot, or one of its loads, with what its rows agree on.
fn settle(code: String, draft: Draft, counted: &BTreeSet<String>, findings: &mut Vec<Finding>) -> Lot {
    let loads: Vec<(String, Lot)> =
        draft.loads.into_iter().map(|(load, own)| (load, settle(code.clone(), own, counted, findings))).collect();
    let same = |text: &String| text.clone();
    let mut product = agreed(&rules::LOT_DIFFERS, &code, "product", draft.product, same, findings);
    let mut quantity = agreed(&rules::LOT_DIFFERS, &code, "quantity", draft.quantity, ToString::to_string, findings);
    if !loads.is_empty() {
        let said: Said<String> =
            loads.iter().filter_map(|(_, load)| Some((load.product.clone()?, load.cell.clone()))).collect();
        product = product.or_else(|| agreed(&rules::LOT_DIFFERS, &code, "product", said, same, findings));
        quantity = quantity.or_else(|| sum(loads.iter().map(|(_, load)| load.quantity)));
    }
    let line = agreed(&rules::LOT_DIFFERS, &code, "line", draft.line, same, findings);
    let facts: Vec<(String, String)> = draft
        .facts
        .into_iter()
        .filter_map(|(name, said)| {
            agreed(&rules::LOT_DIFFERS, &code, &name, said, same, findings).map(|word| (name, word))
        })
        .collect();
    let mut events = Vec::new();
    for (name, mut times) in draft.events {
        if counted.contains(&name) {
            times.dedup_by_key(|event| event.at);
            if times.len() == 1 {
                events.append(&mut times);
            }
            continue;
        }
        let said = times.iter().map(|event| (event.at, event.cell.clone())).collect();
        let shown = |at: &Instant| crate::time::Zone::UTC.show(*at);
        if agreed(&rules::EVENT_TWICE, &code, &name, said, shown, findings).is_some() {
            times.truncate(1);
            events.append(&mut times);
        }
    }
    let mut tallies = draft.tallies;
    for (name, tally) in loads.iter().flat_map(|(_, load)| &load.tallies) {
        tallies.entry(name.clone()).or_insert_with(|| Tally { kept: true, ..Tally::default() }).take(tally);
    }
    for (name, tally) in &mut tallies {
        // What one load's rows do not ask for may have happened to it.
        tally.kept &= loads.iter().all(|(_, load)| load.tallies.contains_key(name));
    }
    let mut numbers = draft.numbers;
    numbers.retain(|name, _| facts.iter().any(|(known, _)| known == name));
    tallies.remove(SHIPPED);
    let own = events.iter().position(|event: &Event| event.event == SHIPPED).map(|at| events.remove(at));
    let of_loads = loads.iter().filter_map(|(_, load)| load.shipped.clone()).min_by_key(|event| event.at);
    let mut lot = Lot {
        code,
        product,
        quantity,
        line,
        shipped: own.or(of_loads),
        events,
        tallies,
        facts,
        numbers,
        loads: Vec::new(),
        load: None,
        cell: draft.cell,
    };
    // A load has what the whole lot has, save where it says otherwise.
    lot.loads = loads
        .into_iter()
        .map(|(name, mut load)| {
            let shared = lot.events.iter().filter(|event| load.event(&event.event).is_none());
            let shared: Vec<Event> = shared.cloned().collect();
            load.events.extend(shared);
            load.events.sort_by(|a, b| (a.at, &a.event).cmp(&(b.at, &b.event)));
            let shared = lot.facts.iter().filter(|(fact, _)| load.facts.iter().all(|(own, _)| own != fact));
            let shared: Vec<(String, String)> = shared.cloned().collect();
            load.numbers.extend(shared.iter().filter_map(|(fact, _)| Some((fact.clone(), *lot.numbers.get(fact)?))));
            load.facts.extend(shared);
            load.load = Some(name);
            load
        })
        .collect();
    // The whole lot has a fact on which all its loads agree.
    let first = lot.loads.first().map_or_else(Vec::new, |load| load.facts.clone());
    let known = |fact: &(String, String), facts: &[(String, String)]| facts.iter().any(|(name, _)| *name == fact.0);
    let agreed = first.into_iter().filter(|fact| lot.loads.iter().all(|load| load.facts.contains(fact)));
    let agreed: Vec<(String, String)> = agreed.filter(|fact| !known(fact, &lot.facts)).collect();
    if let Some(load) = lot.loads.first() {
        lot.numbers.extend(agreed.iter().filter_map(|(fact, _)| Some((fact.clone(), *load.numbers.get(fact)?))));
    }
    lot.facts.extend(agreed);
    let of_loads = lot.loads.iter().flat_map(|load| &load.events).filter(|event| !lot.events.contains(event));
    let mut of_loads: Vec<Event> = of_loads.cloned().collect();
    lot.events.append(&mut of_loads);
    lot.events.sort_by(|a, b| (a.at, &a.event).cmp(&(b.at, &b.event)));
    lot
}

/// The sum of the quantities of all loads, where each is known and in one unit.
fn sum(quantities: impl Iterator<Item = Option<Quantity>>) -> Option<Quantity> {
    let mut total: Option<Quantity> = None;
    for quantity in quantities {
        let quantity = quantity?;
        total = Some(match total {
            None => quantity,
            Some(so_far) if so_far.unit == quantity.unit => {
                Quantity::new(so_far.value.plus(quantity.value)?, quantity.unit)
            }
            Some(_) => return None,
        });
    }
    total
}

fn quantity(
    group: &LotsTable,
    found: &Found,
    rows: &Rows<'_>,
    row: u64,
    draft: &mut Draft,
    taking: &mut Taking,
    at: impl Fn(&str) -> Cell,
) {
    let (Some(column), Some((heading, unit))) = (found.quantity, &group.quantity) else {
        return;
    };
    let cell = group.table.missing.unless(rows.cell(column));
    if cell.is_empty() {
        taking.read.missing_cells += 1;
        return;
    }
    let read = number::exact(cell, group.table.marks).and_then(|value| Rational::parse(&value).ok_or(NotNumber::Text));
    match read {
        Ok(value) => draft.quantity.push((Quantity::new(value, unit), at(heading))),
        Err(why) => {
            taking.read.broken_cells += 1;
            let rule = if why == NotNumber::Mark { &rules::DECIMAL_MARK } else { &rules::NOT_A_NUMBER };
            let shown = text(cell);
            taking.tally.hit(rule, heading, row, || {
                (format!("`{shown}` in column `{heading}` is no number as the mapping declares numbers"), None)
            });
        }
    }
}

/// The one thing that all cells say, or a finding.
fn agreed<T: PartialEq>(
    rule: &'static Rule,
    code: &str,
    what: &str,
    said: Said<T>,
    show: impl Fn(&T) -> String,
    findings: &mut Vec<Finding>,
) -> Option<T> {
    let mut said = said.into_iter();
    let (first, cell) = said.next()?;
    for (other, place) in said {
        if other != first {
            let message = format!(
                "`{what}` of lot `{code}` is {} in row {} and {} here; neither is used",
                show(&first),
                cell.row,
                show(&other)
            );
            findings.push(Finding::new(rule, Place::Cell(place), message).with(Place::Cell(cell), "the other one"));
            return None;
        }
    }
    Some(first)
}
