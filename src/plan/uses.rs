//! Where every name of a plan is declared and where it is used.

use super::names::{Kind, resolve};
use super::{Condition, Name, Plan};
use crate::source::Loc;
use std::collections::BTreeSet;

/// What a name stands for.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Thing {
    /// Something with a block or line of its own.
    Declared(Kind, String),
    /// A limit of a control or CCP: the control's name, then its own.
    Limit(String, String),
    /// An answer of a parameter: the parameter's name, then its own.
    Answer(String, String),
}

impl Thing {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Thing::Declared(_, name) | Thing::Limit(_, name) | Thing::Answer(_, name) => name,
        }
    }

    /// What it is, as a person would say it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Thing::Declared(kind, _) => kind.word(),
            Thing::Limit(..) => "limit",
            Thing::Answer(..) => "answer",
        }
    }
}

/// One place at which a name stands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Use {
    /// Where.
    pub loc: Loc,
    /// What it stands for there.
    pub thing: Thing,
    /// Whether it is declared there.
    pub declares: bool,
}

/// The names that an answer chooses from, each behind the fact that is answered.
fn chosen<'p>(plan: &'p Plan, condition: &'p Condition) -> Vec<(&'p Name, &'p Name)> {
    let (fact, names): (&Name, Vec<&Name>) = match condition {
        Condition::Chosen { fact, options } => (fact, options.iter().map(|(name, _)| name).collect()),
        Condition::ChosenRow { fact, table, .. } => {
            let rows = plan.table(&table.text).map(|table| table.rows.as_slice()).unwrap_or_default();
            (fact, rows.iter().filter_map(|row| row.name.as_ref()).collect())
        }
        Condition::All(parts) => return parts.iter().flat_map(|part| chosen(plan, part)).collect(),
        Condition::Any(options) => return options.iter().flat_map(|(_, one)| chosen(plan, one)).collect(),
        _ => return Vec::new(),
    };
    let answers = plan.parameter(&fact.text).map(|parameter| parameter.answers.as_slice()).unwrap_or_default();
    let own = names.into_iter().filter(|name| answers.contains(name)).map(|name| (fact, name));
    let inside = match condition {
        Condition::Chosen { options, .. } => options.iter().flat_map(|(_, one)| chosen(plan, one)).collect(),
        _ => Vec::new(),
    };
    own.chain(inside).collect()
}

/// Every place at which a name stands that resolves, in the order of the texts.
#[derive(Debug, Clone, Default)]
pub struct Uses {
    all: Vec<Use>,
}

impl Uses {
    /// The places of a plan.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        let mut all = BTreeSet::new();
        let mut put = |thing: Thing, name: &Name, declares: bool| {
            all.insert(Use { loc: name.loc, thing, declares });
        };
        for (kind, name) in plan.declared() {
            put(Thing::Declared(kind, name.text.clone()), name, true);
        }
        let resolved = resolve(plan, &mut Vec::new());
        for (kind, name) in resolved.uses {
            put(Thing::Declared(kind, name.text.clone()), &name, false);
        }
        for parameter in &plan.parameters {
            for answer in &parameter.answers {
                put(Thing::Answer(parameter.name.text.clone(), answer.text.clone()), answer, true);
            }
        }
        for (parameter, answer) in resolved.answers {
            put(Thing::Answer(parameter, answer.text.clone()), &answer, false);
        }
        let limits = plan.controls.iter().flat_map(|control| &control.limits);
        for condition in limits.filter_map(|limit| limit.condition.as_ref()) {
            for (fact, name) in chosen(plan, condition) {
                put(Thing::Answer(fact.text.clone(), name.text.clone()), name, false);
            }
        }
        for control in &plan.controls {
            let limit = |name: &Name| Thing::Limit(control.name.text.clone(), name.text.clone());
            let known = |name: &Name| control.limits.iter().any(|own| own.name == *name);
            for own in &control.limits {
                put(limit(&own.name), &own.name, true);
            }
            let resets = control.limits.iter().filter_map(|own| own.shape.reset.as_ref()).map(|reset| &reset.limit);
            for name in resets.chain(control.series.iter().map(|series| &series.limit)).filter(|name| known(name)) {
                put(limit(name), name, false);
            }
        }
        // A stage that ends when a limit is met names a limit of whatever control it stands in.
        for name in plan.steps.iter().flat_map(|step| &step.stages).filter_map(super::Stage::ends_when) {
            let owners: Vec<_> =
                plan.controls.iter().filter(|control| control.limits.iter().any(|own| own.name == *name)).collect();
            if let [owner] = owners.as_slice() {
                put(Thing::Limit(owner.name.text.clone(), name.text.clone()), name, false);
            }
        }
        for name in plan.exceptions.iter().filter_map(|exception| exception.at.as_ref()) {
            if let Some((kind, _)) = plan.declared().into_iter().find(|(_, declared)| *declared == name) {
                put(Thing::Declared(kind, name.text.clone()), name, false);
            }
        }
        Self { all: all.into_iter().filter(|at| at.loc.span.start < at.loc.span.end).collect() }
    }

    /// Every place.
    #[must_use]
    pub fn all(&self) -> &[Use] {
        &self.all
    }

    /// What stands at a byte of a text.
    #[must_use]
    pub fn at(&self, loc: Loc) -> Option<&Use> {
        self.all.iter().find(|at| {
            at.loc.source == loc.source && at.loc.span.start <= loc.span.start && loc.span.start <= at.loc.span.end
        })
    }

    /// The places at which this thing is named, its declaration among them.
    pub fn of_thing(&self, thing: &Thing) -> impl Iterator<Item = &Use> {
        self.all.iter().filter(move |at| at.thing == *thing)
    }
}
