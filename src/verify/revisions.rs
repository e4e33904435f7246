//! Several texts of one plan: each lot is judged by the one that was in force when it was begun.
//!
//! A text is in force from its own day until the day before the next one's. Whatever is counted over successive lots is
//! counted under the text in force at the end of a run, which also judges the lots before it: a change of text hides no
//! run. Values are followed from lot to lot across a change only where the limit reads the same.

use super::followed::{self, rules};
use super::{InstrumentState, LotVerdicts, Period, Verification, bind, drift, trend, watch, windows};
use crate::finding::{Finding, tidy};
use crate::log::{Lot, Records};
use crate::plan::Plan;
use crate::source::Place;
use crate::time::Zone;
use chrono::NaiveDate;

/// One text of the plan.
#[derive(Debug, Clone, Copy)]
pub struct Text<'p> {
    /// The plan as it says.
    pub plan: &'p Plan,
    /// What findings call it: its file, or its revision of a repository.
    pub name: &'p str,
    /// The digest of what it says.
    pub digest: &'p str,
}

/// One text that lots were judged by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judging {
    /// What findings call it.
    pub name: String,
    /// Its number, if it has one.
    pub number: Option<String>,
    /// The date of the revision.
    pub date: Option<NaiveDate>,
    /// The digest of what it says.
    pub digest: String,
    /// The day from which it is in force.
    pub from: Option<NaiveDate>,
    /// The last day on which it is in force; none for the newest.
    pub until: Option<NaiveDate>,
}

impl Judging {
    /// The revision in words.
    #[must_use]
    pub fn words(&self) -> String {
        match (&self.number, self.date) {
            (Some(number), Some(date)) => format!("revision {number} of {date}"),
            (Some(number), None) => format!("revision {number}"),
            (None, _) => format!("the text `{}`", self.name),
        }
    }

    /// The days on which it is in force, in words.
    #[must_use]
    pub fn force(&self) -> String {
        match (self.from, self.until) {
            (Some(from), Some(until)) => format!("in force from {from} to {until}"),
            (Some(from), None) => format!("in force from {from}"),
            (None, Some(until)) => format!("in force until {until}"),
            (None, None) => "no day from which it is in force".to_owned(),
        }
    }

    /// The first digits of the digest, for people who compare two of them.
    #[must_use]
    pub fn short(&self) -> String {
        let (form, digits) = self.digest.split_once(':').unwrap_or(("", &self.digest));
        let first: String = digits.chars().take(12).collect();
        if form.is_empty() { first } else { format!("{form}:{first}…") }
    }
}

/// Texts of one plan in the order in which they were in force.
#[derive(Debug)]
pub struct Texts<'p> {
    all: Vec<(Text<'p>, Judging)>,
    zone: Zone,
}

impl<'p> Texts<'p> {
    /// Puts texts in order. The first given is the newest.
    ///
    /// # Errors
    /// A finding for each text of which it cannot be said which lots it judges.
    pub fn new(newest: Text<'p>, earlier: &[Text<'p>]) -> Result<Self, Vec<Finding>> {
        let zone = newest.plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
        let mut all: Vec<(Text<'p>, Judging)> =
            earlier.iter().chain([&newest]).map(|text| (*text, judging(text))).collect();
        let mut findings = Vec::new();
        if !earlier.is_empty() {
            ranges(&all, &mut findings);
        }
        if !findings.is_empty() {
            return Err(findings);
        }
        all.sort_by_key(|(_, judging)| judging.from);
        let next: Vec<Option<NaiveDate>> =
            all.iter().skip(1).map(|(_, judging)| judging.from.and_then(|day| day.pred_opt())).collect();
        for ((_, judging), until) in all.iter_mut().zip(next) {
            judging.until = until;
        }
        Ok(Texts { all, zone })
    }

    /// The text in force when a lot was begun: the earliest one for lots before it, the newest for lots without a time.
    #[must_use]
    pub fn of(&self, lot: &Lot) -> Option<Text<'p>> {
        let begun = self.all.iter().rev().find_map(|(text, _)| windows::begun(text.plan, lot));
        let day = begun.map(|at| self.zone.local(at).date());
        let holds = |judging: &Judging| day.is_none_or(|day| judging.until.is_none_or(|until| day <= until));
        let found = match day {
            Some(_) => self.all.iter().find(|(_, judging)| holds(judging)),
            None => self.all.last(),
        };
        found.map(|(text, _)| *text)
    }

    /// Whether some text says that the traces of a parameter are held throughout.
    #[must_use]
    pub fn survey_keeps(&self, parameter: &str) -> bool {
        self.all.iter().any(|(text, _)| super::survey_keeps(text.plan, parameter))
    }

    /// The newest text with every control, limit and name that only an earlier one has: what reports walk through.
    #[must_use]
    pub fn joined(&self) -> Plan {
        let Some((newest, earlier)) = self.all.split_last() else { return Plan::default() };
        let mut whole = newest.0.plan.clone();
        for (text, _) in earlier.iter().rev() {
            add(&mut whole, text.plan);
        }
        whole
    }

    /// Judges each lot of the period by the text in force when it was begun; `judge` holds records against one text.
    #[must_use]
    pub fn verify(
        &self,
        records: &mut Records,
        period: Period,
        judge: &mut dyn FnMut(&Plan, &mut Records, Period) -> Verification,
    ) -> Verification {
        if let [(text, judging)] = self.all.as_slice() {
            let mut whole = judge(text.plan, records, period);
            whole.revisions = vec![judging.clone()];
            return whole;
        }
        let mut parts: Vec<(usize, Verification)> = Vec::new();
        for (index, (text, judging)) in self.all.iter().enumerate() {
            let from = if index == 0 { period.from } else { period.from.max(judging.from) };
            let to = [period.to, judging.until].into_iter().flatten().min();
            if from.zip(to).is_none_or(|(from, to)| from <= to) {
                parts.push((index, judge(text.plan, records, Period { from, to })));
            }
        }
        self.join(records, period, parts)
    }

    fn join(&self, records: &Records, period: Period, parts: Vec<(usize, Verification)>) -> Verification {
        let joined = self.joined();
        let last_part = parts.len().saturating_sub(1);
        let mut unknown: Vec<Vec<String>> = Vec::new();
        let mut whole: Option<Verification> = None;
        let mut findings: Vec<Finding> = Vec::new();
        for (number, (index, mut part)) in parts.into_iter().enumerate() {
            for lot in &mut part.lots {
                lot.revision = index;
            }
            // A lot without any time stands with the newest of them.
            part.lots.retain(|lot| lot.begun.is_some() || number == last_part);
            part.findings.retain(|finding| !rules::RULES.iter().any(|rule| std::ptr::eq(*rule, finding.rule)));
            let new = |finding: &&Finding| std::ptr::eq(finding.rule, &bind::UNKNOWN_TO_PLAN);
            unknown.push(part.findings.iter().filter(new).map(|finding| finding.message.clone()).collect());
            findings.append(&mut part.findings);
            if let Some((_, judging)) = self.all.get(index) {
                for series in &mut part.series {
                    series.why.push_str(&format!(" (runs that end under {})", judging.words()));
                }
                clip(&mut part.instruments, judging, self.zone, index == 0);
            }
            match &mut whole {
                None => whole = Some(part),
                Some(whole) => whole.take_in(part),
            }
        }
        let Some(mut whole) = whole else { return Verification::nothing(period, self.zone) };
        // A name is unknown where no text has it.
        findings.retain(|finding| {
            !std::ptr::eq(finding.rule, &bind::UNKNOWN_TO_PLAN)
                || unknown.iter().all(|part| part.contains(&finding.message))
        });
        whole.period = period;
        whole.zone = self.zone;
        whole.revisions = self.all.iter().map(|(_, judging)| judging.clone()).collect();
        self.agreed(records, &mut whole, &mut findings);
        whole.lots.sort_by(|a, b| (a.begun.is_none(), a.begun, &a.code).cmp(&(b.begun.is_none(), b.begun, &b.code)));
        whole.other_lots = records.lots.len().saturating_sub(whole.lots.len());
        whole.other_days = None;
        watch::recount(records, &mut whole);
        whole.trends = trend::trends(&joined, records, &whole);
        whole.drifts = drift::drifts(&joined, &whole.instruments, whole.zone);
        let (followed, more) = followed::follow(&joined, records, &whole);
        whole.followed = followed;
        findings.extend(more);
        tidy(&mut findings);
        whole.findings = findings;
        whole
    }

    /// Lots that two texts judged, or none, since they begin a lot with other events: said, and judged once.
    fn agreed(&self, records: &Records, whole: &mut Verification, findings: &mut Vec<Finding>) {
        let mut kept: Vec<LotVerdicts> = Vec::new();
        let mut doubtful: Vec<usize> = Vec::new();
        for lot in std::mem::take(&mut whole.lots) {
            match kept.iter_mut().find(|known| known.lot == lot.lot) {
                Some(known) => {
                    doubtful.push(lot.lot);
                    if lot.revision > known.revision {
                        *known = lot;
                    }
                }
                None => kept.push(lot),
            }
        }
        for (index, lot) in records.lots.iter().enumerate() {
            let within = |begun| whole.period.holds(self.zone.local(begun).date());
            let asked = self.all.iter().any(|(text, _)| windows::begun(text.plan, lot).is_some_and(within));
            if asked && !kept.iter().any(|known| known.lot == index) {
                doubtful.push(index);
            }
        }
        whole.lots = kept;
        for lot in doubtful.into_iter().filter_map(|index| records.lots.get(index)) {
            let judged = if whole.lots.iter().any(|known| known.code == lot.code) {
                "it is judged by the later one"
            } else {
                "it is judged by none"
            };
            let message =
                format!("the texts of the plan do not agree on which day lot {} was begun; {judged}", lot.code);
            findings
                .push(Finding::new(&rules::BEGIN_NOT_AGREED, Place::Cell(lot.cell.clone()), message).help(
                    "the first stages of the texts begin with other events: verify this lot with one text alone",
                ));
        }
    }
}

impl Verification {
    fn nothing(period: Period, zone: Zone) -> Self {
        Verification {
            period,
            zone,
            revisions: Vec::new(),
            lots: Vec::new(),
            series: Vec::new(),
            other_lots: 0,
            other_days: None,
            instruments: Vec::new(),
            watches: Vec::new(),
            affected: Vec::new(),
            drifts: Vec::new(),
            trends: Vec::new(),
            followed: followed::Followed::default(),
            findings: Vec::new(),
            last: None,
        }
    }

    /// Takes in what a later text judged.
    fn take_in(&mut self, later: Verification) {
        let own: Vec<String> = self.lots.iter().map(|lot| lot.code.clone()).collect();
        let theirs: Vec<String> = later.lots.iter().map(|lot| lot.code.clone()).collect();
        // A window of product in question is told by the text that judges its lots.
        self.affected.retain(|window| window.lots.is_empty() || window.lots.iter().any(|lot| own.contains(lot)));
        for window in later.affected {
            let mine = window.lots.iter().any(|lot| theirs.contains(lot));
            if mine && !self.affected.contains(&window) {
                self.affected.push(window);
            }
        }
        self.lots.extend(later.lots);
        self.series.extend(later.series);
        for state in later.instruments {
            match self.instruments.iter_mut().find(|own| own.name == state.name) {
                Some(own) => follow_on(own, state),
                None => self.instruments.push(state),
            }
        }
        for one in later.watches {
            let same = |own: &&mut super::Watch| {
                own.control == one.control && own.parameters == one.parameters && own.promised == one.promised
            };
            match self.watches.iter_mut().find(same) {
                Some(own) => {
                    own.faults.extend(one.faults);
                    own.open.extend(one.open);
                    own.add(&one.shifts);
                    own.kept = match (own.kept, one.kept) {
                        (Some(a), Some(b)) => Some(a.and(b)),
                        (a, b) => a.or(b),
                    };
                }
                None => self.watches.push(one),
            }
        }
        self.last = self.last.max(later.last);
    }
}

fn judging(text: &Text<'_>) -> Judging {
    let head = text.plan.head.as_ref();
    let revision = head.and_then(|head| head.revision.as_ref());
    Judging {
        name: text.name.to_owned(),
        number: revision.map(|revision| revision.number.clone()),
        date: revision.and_then(|revision| revision.date),
        digest: text.digest.to_owned(),
        from: head.and_then(|head| head.in_force.as_ref()).map(|day| day.value),
        until: None,
    }
}

/// Texts without a day, two of one day, one later than the plan, and one of another plan. The newest stands last.
fn ranges(all: &[(Text<'_>, Judging)], findings: &mut Vec<Finding>) {
    let place = |text: &Text<'_>| match text.plan.head.as_ref() {
        Some(head) => Place::Text(head.in_force.as_ref().map_or(head.loc, |day| day.loc)),
        None => Place::file(text.name),
    };
    let Some(((newest, newest_judging), _)) = all.split_last() else { return };
    for (index, (text, judging)) in all.iter().enumerate() {
        let Some(from) = judging.from else {
            let message = format!("`{}` does not say from which day it is in force", text.name);
            findings.push(
                Finding::new(&rules::RANGE_MISSING, place(text), message).help(
                    "write `in-force from DAY` into it, as it was then; else nobody can say which lots it judges",
                ),
            );
            continue;
        };
        if let Some((other, _)) = all.iter().take(index).find(|(_, other)| other.from == Some(from)) {
            let message = format!("`{}` and `{}` are both in force from {from}", other.name, text.name);
            findings.push(
                Finding::new(&rules::RANGES_OVERLAP, place(text), message)
                    .with(place(other), "the other text")
                    .help("leave out the one that was never used, or correct its day"),
            );
        } else if newest_judging.from.is_some_and(|newest| newest < from) {
            let message =
                format!("`{}` is given as an earlier text, and is in force later than `{}`", text.name, newest.name);
            findings.push(
                Finding::new(&rules::RANGES_OVERLAP, place(text), message)
                    .with(place(newest), "the plan that was given")
                    .help("give the newest text as the plan, and the others with `--earlier`"),
            );
        }
    }
    let name = |text: &Text<'_>| text.plan.head.as_ref().map(|head| head.name.text.clone());
    for (text, _) in all.iter().filter(|(text, _)| name(text) != name(newest)) {
        let named = |text: &Text<'_>| name(text).unwrap_or_else(|| "nothing".to_owned());
        let message =
            format!("`{}` is called `{}`, and `{}` is called `{}`", text.name, named(text), newest.name, named(newest));
        findings.push(Finding::new(&rules::TEXT_OF_ANOTHER_PLAN, place(text), message).help(
            "lots are judged by texts of one plan: check the file; a plan keeps its name from revision to revision",
        ));
    }
}

/// The trust in instruments as a text says it, on its own days alone.
fn clip(states: &mut [InstrumentState], judging: &Judging, zone: Zone, first: bool) {
    let from = judging.from.filter(|_| !first).and_then(|day| zone.start_of(day)).map_or(i64::MIN, |at| at.0);
    let until = judging.until.and_then(|day| day.succ_opt()).and_then(|day| zone.start_of(day));
    let until = until.map_or(i64::MAX, |at| at.0);
    for state in states {
        let spans = state.untrusted.drain(..).zip(state.why.drain(..));
        let own: Vec<((i64, i64), String)> =
            spans.map(|((a, b), why)| ((a.max(from), b.min(until)), why)).filter(|((a, b), _)| a < b).collect();
        (state.untrusted, state.why) = own.into_iter().unzip();
        state.calibrations.retain(|one| from <= one.at.0 && one.at.0 < until);
    }
}

/// Joins what two texts say of one instrument, the later behind the earlier.
fn follow_on(own: &mut InstrumentState, later: InstrumentState) {
    own.calibrations.extend(later.calibrations);
    for (span, why) in later.untrusted.into_iter().zip(later.why) {
        match own.untrusted.iter_mut().zip(&own.why).find(|(known, told)| known.1 == span.0 && **told == why) {
            Some((known, _)) => known.1 = span.1,
            None => {
                own.untrusted.push(span);
                own.why.push(why);
            }
        }
    }
}

/// Adds to a plan what only another text has, by name.
fn add(whole: &mut Plan, other: &Plan) {
    for control in &other.controls {
        match whole.controls.iter_mut().find(|own| own.name.text == control.name.text) {
            Some(own) => {
                for limit in &control.limits {
                    if !own.limits.iter().any(|known| known.name.text == limit.name.text) {
                        own.limits.push(limit.clone());
                    }
                }
            }
            None => whole.controls.push(control.clone()),
        }
    }
    macro_rules! missing {
        ($($list:ident),+) => {$(
            for one in &other.$list {
                if !whole.$list.iter().any(|own| own.name.text == one.name.text) {
                    whole.$list.push(one.clone());
                }
            }
        )+};
    }
    missing!(products, equipment, instruments, parameters, steps, tables, records, events);
}
