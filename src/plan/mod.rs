//! The plan as the trade thinks of it: typed, with the place of every word.
//!
//! Built from the tree by [`lower`]; names are checked by [`names`], units by [`dimensions`].

pub mod accuracy;
pub mod beside;
pub mod condition;
pub mod dimensions;
mod kinds;
pub mod limit;
pub mod lower;
mod measured_conditions;
mod model;
pub mod names;
pub mod reset;
pub mod sampling;
mod says;
mod sentence;
pub mod shape;
pub mod uses;
pub mod walk;

pub use condition::Condition;
pub use kinds::{Answer, Class, ControlKind, LimitKind, MaterialKind, Outcome, Severity, SupportKind, Verb};
pub use limit::{Amount, FactTest, Guard, Limit, Over, Range, Wanted};
pub use model::*;
pub use says::BLANK;
pub use shape::Shape;

use crate::finding::Finding;
use crate::source::{Loc, SourceId, Sources};
use crate::syntax;
use crate::time::{CalendarUnit, WEEK, WorkingDays};

/// A name as written, with its place. Two names are equal if their texts are.
#[derive(Debug, Clone)]
pub struct Name {
    /// As written.
    pub text: String,
    /// Where.
    pub loc: Loc,
}

impl PartialEq for Name {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Eq for Name {}

impl PartialEq<str> for Name {
    fn eq(&self, other: &str) -> bool {
        self.text == other
    }
}

impl std::fmt::Display for Name {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

/// Something that was said, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said<T> {
    /// What.
    pub value: T,
    /// Where.
    pub loc: Loc,
}

/// What came of reading plan texts: the plan as far as it could be understood, and the findings.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The plan.
    pub plan: Plan,
    /// Faults of text, names and dimensions.
    pub findings: Vec<Finding>,
}

/// Reads the given texts as one plan, in order: parse, lower, resolve names, check dimensions.
#[must_use]
pub fn read(sources: &Sources, ids: &[SourceId]) -> Reading {
    let parsed = ids.iter().filter_map(|&id| Some((id, syntax::parse(id, sources.get(id)?)))).collect();
    read_parsed(sources, parsed).0
}

/// Reads texts that were parsed already as one plan, in order, and hands their trees back.
#[must_use]
pub fn read_parsed(sources: &Sources, parsed: Vec<(SourceId, syntax::Parsed)>) -> (Reading, Vec<syntax::Node>) {
    let mut plan = Plan::default();
    let mut findings = Vec::new();
    let mut trees = Vec::new();
    for (id, parsed) in parsed {
        findings.extend(parsed.findings);
        if let Some(source) = sources.get(id) {
            lower::lower(id, source, &parsed.tree, &mut plan, &mut findings);
        }
        trees.push(parsed.tree);
    }
    beside::settle(&mut plan, &mut findings);
    dimensions::check(&mut plan, &mut findings);
    names::check(&plan, &mut findings);
    crate::finding::narrow(&mut findings, &plan.regimes());
    crate::finding::tidy(&mut findings);
    (Reading { plan, findings }, trees)
}

macro_rules! lookups {
    ($($(#[doc = $doc:literal])+ $function:ident $field:ident $kind:ident;)+) => {
        impl Plan {
            $(
                $(#[doc = $doc])+
                #[must_use]
                pub fn $function(&self, name: &str) -> Option<&$kind> {
                    self.$field.iter().find(|thing| thing.name.text == name)
                }
            )+
        }
    };
}

lookups! {
    /// The role of this name.
    role roles Role;
    /// The material of this name.
    material materials Material;
    /// The equipment of this name.
    equipment_named equipment Equipment;
    /// The instrument of this name.
    instrument instruments Instrument;
    /// The parameter of this name.
    parameter parameters Parameter;
    /// The hazard of this name.
    hazard hazards Hazard;
    /// The step of this name.
    step steps Step;
    /// The programme of this name.
    programme programmes Programme;
    /// The control or CCP of this name.
    control controls Control;
    /// The inactivation of this name.
    inactivation inactivations Inactivation;
    /// The growth model of this name.
    growth_model growth_models GrowthModel;
    /// The table of this name.
    table tables Table;
    /// The record of this name.
    record records RecordKind;
    /// The event of this name.
    event events Event;
}

impl Plan {
    /// The title of a thing where it has one, else its name.
    #[must_use]
    pub fn title<'a>(name: &'a Name, title: &'a Option<String>) -> &'a str {
        title.as_deref().unwrap_or(&name.text)
    }

    /// The source or study of this name.
    #[must_use]
    pub fn citable(&self, name: &str) -> Option<&Citable> {
        self.sources.iter().chain(&self.studies).find(|thing| thing.name.text == name)
    }

    /// The events that some limit counts.
    #[must_use]
    pub fn counted_events(&self) -> std::collections::BTreeSet<String> {
        let leaves = self.controls.iter().flat_map(|control| &control.limits).flat_map(Limit::leaves);
        leaves
            .filter_map(|leaf| match leaf {
                Condition::Counted { event, .. } => Some(event.text.clone()),
                _ => None,
            })
            .collect()
    }

    /// The stage of this name and the step it belongs to.
    #[must_use]
    pub fn stage(&self, name: &str) -> Option<(&Step, &Stage)> {
        self.steps
            .iter()
            .find_map(|step| step.stages.iter().find(|stage| stage.name.text == name).map(|stage| (step, stage)))
    }

    /// The days that the plant works: Monday to Friday unless the plan says otherwise, without its holidays.
    #[must_use]
    pub fn worked(&self) -> WorkingDays {
        let Some(head) = &self.head else { return WorkingDays::default() };
        let usual = WEEK.iter().take(5).map(|(day, _)| *day).collect();
        let days: Vec<chrono::Weekday> = head.working_days.as_ref().map_or(usual, |said| said.value.clone());
        WorkingDays::new(days, head.holidays.iter().copied())
    }

    /// The days worked in words, where the plan counts by them or names them.
    #[must_use]
    pub fn worked_words(&self) -> Option<String> {
        let working =
            |term: &Term| matches!(term, Term::Calendar(calendar) if calendar.unit == CalendarUnit::WorkingDay);
        let often = |often: &Cadence| matches!(&often.rhythm, Rhythm::Every(term) if working(term));
        let verified = |verify: &Verify| match &verify.when {
            VerifyWhen::Within(term) => working(term),
            VerifyWhen::Often(cadence) => often(cadence),
        };
        let control = |control: &Control| {
            control.verify.iter().any(verified) || control.monitors.iter().any(|monitor| often(&monitor.often))
        };
        let programme = |programme: &Programme| {
            programme.verify.iter().any(verified) || programme.routines.iter().any(|routine| often(&routine.often))
        };
        let named = |head: &Head| {
            head.working_days.is_some()
                || !head.holidays.is_empty()
                || head.reassess.as_ref().is_some_and(|said| said.value.unit == CalendarUnit::WorkingDay)
        };
        let calibrated =
            |instrument: &Instrument| instrument.calibration.as_ref().is_some_and(|own| working(&own.every));
        let said = self.head.as_ref().is_some_and(named)
            || self.controls.iter().any(control)
            || self.programmes.iter().any(programme)
            || self.instruments.iter().any(calibrated);
        said.then(|| self.worked().to_string())
    }

    /// The regimes that the plan names.
    #[must_use]
    pub fn regimes(&self) -> Vec<&str> {
        self.head.iter().flat_map(|head| &head.regimes).map(|name| name.text.as_str()).collect()
    }

    /// What a parameter rests on: itself, or what its formula is computed from, through every formula on the way. The
    /// way ends at a parameter without a formula, and at one that `ends` says is recorded itself.
    #[must_use]
    pub fn rests_on<'a>(&'a self, parameter: &'a Parameter, ends: &dyn Fn(&Name) -> bool) -> Vec<&'a Name> {
        let mut found = Vec::new();
        let mut seen = Vec::new();
        let mut open = vec![&parameter.name];
        while let Some(name) = open.pop() {
            if seen.contains(&name) {
                continue;
            }
            seen.push(name);
            match self.parameter(&name.text).and_then(|declared| declared.formula.as_ref()) {
                Some(formula) if !ends(name) => open.extend(formula.inputs().into_iter().rev()),
                _ => found.push(name),
            }
        }
        found
    }

    /// The CCPs, in the order written.
    pub fn ccps(&self) -> impl Iterator<Item = &Control> {
        self.controls.iter().filter(|control| control.is_ccp())
    }

    /// Whether the plan is a draft: a value is blank, or no day is set from which it is in force.
    #[must_use]
    pub fn is_draft(&self) -> bool {
        !self.blanks.is_empty() || self.head.as_ref().is_none_or(|head| head.in_force.is_none())
    }
}
