//! Every name resolves to one declared thing, or a finding suggests the one that was meant.

use super::{Control, Name, Plan, PropertyFrom, Rhythm, Verify, VerifyWhen};
use crate::finding::{Care, Finding, nearest};
use crate::plan::condition::Condition;
use crate::plan::limit::{Guard, Limit, Wanted};
use std::collections::HashMap;

crate::rules! {
    /// A name stands for nothing in this plan.
    ///
    /// A control, role, record or step that does not exist cannot do what the plan says it does.
    UNRESOLVED = "N201" "unresolved-name" Error;
    /// Two things of one kind have the same name.
    DUPLICATE = "N202" "duplicate-name" Error;
    /// An answer that the parameter does not have.
    UNKNOWN_ANSWER = "N203" "unknown-answer" Error;
}

/// The kinds of thing that have names, as a person would say them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A role.
    Role,
    /// A product.
    Product,
    /// A material.
    Material,
    /// Equipment.
    Equipment,
    /// An instrument.
    Instrument,
    /// A parameter.
    Parameter,
    /// A hazard.
    Hazard,
    /// A step.
    Step,
    /// A stage of a step.
    Stage,
    /// A programme.
    Programme,
    /// A control or CCP.
    Control,
    /// A table.
    Table,
    /// An inactivation.
    Inactivation,
    /// A growth model.
    GrowthModel,
    /// A source or study.
    Citable,
    /// A record.
    Record,
    /// An event.
    Event,
}

impl Kind {
    /// As a person would say it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Kind::Role => "role",
            Kind::Product => "product",
            Kind::Material => "material",
            Kind::Equipment => "equipment",
            Kind::Instrument => "instrument",
            Kind::Parameter => "parameter",
            Kind::Hazard => "hazard",
            Kind::Step => "step",
            Kind::Stage => "stage",
            Kind::Programme => "programme",
            Kind::Control => "ccp or control",
            Kind::Table => "table",
            Kind::Inactivation => "inactivation",
            Kind::GrowthModel => "growth model",
            Kind::Citable => "source or study",
            Kind::Record => "record",
            Kind::Event => "event",
        }
    }
}

impl Plan {
    /// Every declared name with its kind, in the order of the kinds.
    #[must_use]
    pub fn declared(&self) -> Vec<(Kind, &Name)> {
        let mut all = Vec::new();
        all.extend(self.roles.iter().map(|thing| (Kind::Role, &thing.name)));
        all.extend(self.products.iter().map(|thing| (Kind::Product, &thing.name)));
        all.extend(self.materials.iter().map(|thing| (Kind::Material, &thing.name)));
        all.extend(self.equipment.iter().map(|thing| (Kind::Equipment, &thing.name)));
        all.extend(self.instruments.iter().map(|thing| (Kind::Instrument, &thing.name)));
        all.extend(self.parameters.iter().map(|thing| (Kind::Parameter, &thing.name)));
        all.extend(self.hazards.iter().map(|thing| (Kind::Hazard, &thing.name)));
        all.extend(self.steps.iter().map(|thing| (Kind::Step, &thing.name)));
        let stages = self.steps.iter().flat_map(|step| &step.stages);
        all.extend(stages.map(|stage| (Kind::Stage, &stage.name)));
        all.extend(self.programmes.iter().map(|thing| (Kind::Programme, &thing.name)));
        all.extend(self.controls.iter().map(|thing| (Kind::Control, &thing.name)));
        all.extend(self.tables.iter().map(|thing| (Kind::Table, &thing.name)));
        all.extend(self.inactivations.iter().map(|thing| (Kind::Inactivation, &thing.name)));
        all.extend(self.growth_models.iter().map(|thing| (Kind::GrowthModel, &thing.name)));
        all.extend(self.sources.iter().chain(&self.studies).map(|thing| (Kind::Citable, &thing.name)));
        all.extend(self.records.iter().map(|thing| (Kind::Record, &thing.name)));
        all.extend(self.events.iter().map(|thing| (Kind::Event, &thing.name)));
        all
    }
}

/// Checks every name of the plan.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    resolve(plan, findings);
}

/// Checks every name, and says for each that resolves what kind of thing it stands for.
pub(super) fn resolve(plan: &Plan, findings: &mut Vec<Finding>) -> Resolved {
    let resolved = Resolved::default();
    let mut resolver = Resolver { known: HashMap::new(), broken: &plan.broken, findings, resolved };
    for (kind, name) in plan.declared() {
        if let Some(first) = resolver.known.insert((kind, name.text.as_str()), name) {
            resolver.findings.push(
                Finding::at(&DUPLICATE, name.loc, format!("a second {} is called `{name}`", kind.word()))
                    .also(first.loc, "the first stands here")
                    .help("give one of them another name"),
            );
        }
    }
    for control in &plan.controls {
        let mut seen: HashMap<&str, &Name> = HashMap::new();
        for limit in &control.limits {
            if let Some(first) = seen.insert(&limit.name.text, &limit.name) {
                resolver.findings.push(
                    Finding::at(
                        &DUPLICATE,
                        limit.name.loc,
                        format!("a second limit of `{}` is called `{}`", control.name, limit.name),
                    )
                    .also(first.loc, "the first stands here")
                    .help("give one of them another name"),
                );
            }
        }
    }
    for control in &plan.controls {
        let mut seen: HashMap<&str, &Name> = HashMap::new();
        for series in &control.series {
            if let Some(first) = seen.insert(&series.name.text, &series.name) {
                let message = format!("a second series of `{}` is called `{}`", control.name, series.name);
                resolver.findings.push(
                    Finding::at(&DUPLICATE, series.name.loc, message)
                        .also(first.loc, "the first stands here")
                        .help("give one of them another name"),
                );
            }
        }
    }
    resolver.plan(plan);
    resolver.resolved
}

/// The places at which names stand that resolve.
#[derive(Debug, Default)]
pub(super) struct Resolved {
    /// What each stands for, and the name.
    pub(super) uses: Vec<(Kind, Name)>,
    /// Answers, each behind the parameter that may be answered so.
    pub(super) answers: Vec<(String, Name)>,
}

struct Resolver<'a> {
    known: HashMap<(Kind, &'a str), &'a Name>,
    broken: &'a [String],
    findings: &'a mut Vec<Finding>,
    resolved: Resolved,
}

impl<'a> Resolver<'a> {
    fn one(&mut self, name: &Name, kinds: &[Kind]) {
        let found = kinds.iter().find(|kind| self.known.contains_key(&(**kind, name.text.as_str())));
        if let Some(kind) = found {
            self.resolved.uses.push((*kind, name.clone()));
        }
        if found.is_some() || self.broken.contains(&name.text) {
            return;
        }
        let words: Vec<&str> = kinds.iter().map(|kind| kind.word()).collect();
        let what = words.join(" or ");
        let mut finding = Finding::at(&UNRESOLVED, name.loc, format!("no {what} is called `{name}`"));
        let same_kind = self.known.keys().filter(|(kind, _)| kinds.contains(kind)).map(|(_, text)| *text);
        let other_kind = self.known.keys().find(|(_, text)| *text == name.text).map(|(kind, _)| kind.word());
        finding = match (nearest(&name.text, same_kind), other_kind) {
            (Some(near), _) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
            (None, Some(other)) => finding.help(format!("`{name}` is a {other}; here stands a {what}")),
            (None, None) => {
                let block = match kinds.last() {
                    Some(Kind::Event) => format!("event {name} on RECORD"),
                    Some(Kind::Control) => format!("ccp {name} at STEP {{ … }}"),
                    Some(Kind::Stage) => format!("stage {name} from EVENT to EVENT"),
                    Some(Kind::Citable) => format!("study {name} \"…\" {{ … }}"),
                    Some(kind) => format!("{} {name} \"…\" {{ … }}", kind.word()),
                    None => name.text.clone(),
                };
                finding.help(format!("declare it, as in `{block}`, or take the name out here"))
            }
        };
        self.findings.push(finding);
    }

    fn all<'n>(&mut self, names: impl IntoIterator<Item = &'n Name>, kinds: &[Kind]) {
        for name in names {
            self.one(name, kinds);
        }
    }

    fn plan(&mut self, plan: &'a Plan) {
        if let Some(head) = &plan.head {
            self.all(head.flow_confirmed.iter().chain(&head.reassessed).map(|dated| &dated.by), &[Kind::Role]);
            self.all(head.considered.iter().flat_map(|considered| &considered.hazards), &[Kind::Hazard]);
        }
        self.all(plan.team.members.iter().map(|member| &member.role), &[Kind::Role]);
        for product in &plan.products {
            for property in &product.properties {
                self.one(&property.name, &[Kind::Parameter]);
                if let PropertyFrom::Control(control, parameter) = &property.from {
                    self.one(control, &[Kind::Control]);
                    self.one(parameter, &[Kind::Parameter]);
                }
            }
        }
        for material in &plan.materials {
            self.analysis(&material.analysis);
            self.cites(&material.cites);
        }
        for equipment in &plan.equipment {
            self.all(&equipment.cleaned_by, &[Kind::Programme]);
        }
        for instrument in &plan.instruments {
            self.all(&instrument.measures, &[Kind::Parameter]);
            if let Some(calibration) = &instrument.calibration {
                self.one(&calibration.by, &[Kind::Role]);
                self.one(&calibration.record, &[Kind::Record]);
            }
        }
        for parameter in &plan.parameters {
            if let Some(formula) = &parameter.formula {
                self.all(formula.inputs(), &[Kind::Parameter]);
            }
            self.all(parameter.recorded.iter().map(|(_, record)| record), &[Kind::Record]);
        }
        for hazard in &plan.hazards {
            self.cites(&hazard.cites);
        }
        for step in &plan.steps {
            self.all(&step.after, &[Kind::Step]);
            self.all(&step.uses, &[Kind::Material, Kind::Equipment]);
            self.all(&step.only_for, &[Kind::Product]);
            self.all(step.gives.iter().filter_map(|gives| gives.to.as_ref()), &[Kind::Step]);
            self.all(
                step.stages.iter().flat_map(|stage| std::iter::once(&stage.from).chain(stage.ends_at())),
                &[Kind::Event],
            );
            self.analysis(&step.analysis);
        }
        for programme in &plan.programmes {
            for routine in &programme.routines {
                self.cadence(&routine.often);
                self.one(&routine.by, &[Kind::Role]);
                self.one(&routine.record, &[Kind::Record]);
            }
            self.verify(&programme.verify);
            self.cites(&programme.cites);
        }
        for control in &plan.controls {
            self.control(plan, control);
        }
        for model in &plan.inactivations {
            self.cites(&model.cites);
        }
        for model in &plan.growth_models {
            self.cites(&model.cites);
        }
        for table in &plan.tables {
            self.cites(&table.cites);
            for guard in table.rows.iter().flat_map(|row| &row.guard) {
                self.guard(plan, guard);
            }
        }
        for study in &plan.studies {
            self.cites(&study.cites);
        }
        self.all(plan.events.iter().map(|event| &event.record), &[Kind::Record]);
        self.all(plan.exceptions.iter().map(|exception| &exception.by), &[Kind::Role]);
    }

    fn cites(&mut self, citations: &[super::Citation]) {
        self.all(citations.iter().map(|citation| &citation.name), &[Kind::Citable]);
    }

    fn analysis(&mut self, analysis: &super::Analysis) {
        for row in &analysis.rows {
            self.all(&row.hazards, &[Kind::Hazard]);
            self.all(row.controls.iter().map(|(name, _)| name), &[Kind::Control]);
            if let Some(significance) = &row.significance {
                self.all(&significance.relies_on, &[Kind::Programme]);
            }
        }
    }

    fn cadence(&mut self, cadence: &super::Cadence) {
        if let Rhythm::At(event) | Rhythm::After(event) = &cadence.rhythm {
            self.one(event, &[Kind::Event]);
        }
    }

    fn verify(&mut self, list: &[Verify]) {
        for verify in list {
            self.one(&verify.by, &[Kind::Role]);
            self.all(&verify.record, &[Kind::Record]);
            if let VerifyWhen::Often(cadence) = &verify.when {
                self.cadence(cadence);
            }
        }
    }

    fn control(&mut self, plan: &Plan, control: &Control) {
        self.all(&control.at, &[Kind::Step]);
        for limit in &control.limits {
            self.limit(plan, limit);
        }
        for series in &control.series {
            self.series(control, &series.limit);
            self.cites(&series.cites);
        }
        for monitor in &control.monitors {
            self.all(&monitor.parameters, &[Kind::Parameter]);
            self.cadence(&monitor.often);
            self.one(&monitor.by, &[Kind::Role]);
            self.all(&monitor.using, &[Kind::Instrument]);
            self.one(&monitor.record, &[Kind::Record]);
        }
        if let Some(deviation) = &control.deviation {
            self.all(deviation.disposition.iter().map(|(_, by)| by), &[Kind::Role]);
            self.all(&deviation.record, &[Kind::Record]);
            self.all(&deviation.adjust, &[Kind::Event]);
        }
        self.verify(&control.verify);
        for validated in &control.validated {
            self.all(validated.support.iter().map(|(_, study)| study), &[Kind::Citable]);
        }
        self.cites(&control.cites);
    }

    /// A series looks at a limit of its own control.
    fn series(&mut self, control: &Control, limit: &Name) {
        if control.limits.iter().any(|own| own.name == *limit) {
            return;
        }
        let message = format!("no limit of `{}` is called `{limit}`", control.name);
        let finding = Finding::at(&UNRESOLVED, limit.loc, message);
        self.findings.push(match nearest(&limit.text, control.limits.iter().map(|own| own.name.text.as_str())) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(limit.loc, near, Care::NeedsALook),
            None => finding.help("a series counts how often a limit of the same control is missed: name that limit"),
        });
    }

    fn limit(&mut self, plan: &Plan, limit: &Limit) {
        self.all(limit.parameters(), &[Kind::Parameter]);
        self.cites(&limit.cites);
        self.all(limit.pending.iter().map(|(by, _)| by), &[Kind::Role]);
        self.all(limit.stages(), &[Kind::Stage]);
        self.all(limit.events(), &[Kind::Event]);
        if let Some(guard) = &limit.guard {
            self.guard(plan, guard);
        }
        self.all(limit.condition.iter().flat_map(Condition::choices), &[Kind::Parameter]);
        for required in &limit.shape.required {
            self.cites(&required.cites);
            self.all(&required.during, &[Kind::Stage]);
            self.all(&required.since, &[Kind::Event]);
        }
        if let Some(diverted) = &limit.shape.diverted {
            self.one(&diverted.parameter, &[Kind::Parameter]);
            self.answer(plan, &diverted.parameter, &diverted.answer);
        }
        self.all(limit.shape.run_of(), &[Kind::Stage]);
        self.all(limit.shape.stands_for.iter().flat_map(|proxy| &proxy.study), &[Kind::Citable]);
        for leaf in limit.shape.conditions().into_iter().flat_map(Condition::leaves) {
            self.all(leaf.own_parameters(), &[Kind::Parameter]);
            self.all(leaf.own_stages(), &[Kind::Stage]);
            self.all(leaf.own_events(), &[Kind::Event]);
            self.leaf(plan, leaf);
        }
        for leaf in limit.leaves() {
            self.leaf(plan, leaf);
        }
    }

    fn leaf(&mut self, plan: &Plan, leaf: &Condition) {
        match leaf {
            Condition::Answers(answers) => {
                for (parameter, answer) in answers {
                    self.answer(plan, parameter, answer);
                }
            }
            Condition::Absent { parameter, .. } => self.detection(plan, parameter),
            Condition::Sampled { parameter, answer, .. } => self.answer(plan, parameter, answer),
            Condition::Reduction { model, .. } => self.one(model, &[Kind::Inactivation]),
            Condition::Growth { model, .. } => self.one(model, &[Kind::GrowthModel]),
            Condition::AnyRow { table, .. } | Condition::ChosenRow { table, .. } => self.one(table, &[Kind::Table]),
            _ => {}
        }
    }

    fn guard(&mut self, plan: &Plan, guard: &Guard) {
        self.all(guard.names(), &[Kind::Parameter]);
        for test in &guard.facts {
            match &test.wanted {
                Wanted::Answer(answer) => self.answer(plan, &test.fact, answer),
                Wanted::Within(range) => {
                    let Some(declared) = plan.parameter(&test.fact.text) else { continue };
                    if declared.answers.is_empty() {
                        continue;
                    }
                    let list: Vec<&str> = declared.answers.iter().map(|name| name.text.as_str()).collect();
                    self.findings.push(
                        Finding::at(&UNKNOWN_ANSWER, range.loc, format!("`{}` is answered, not measured", test.fact))
                            .also(declared.name.loc, "declared here")
                            .help(format!("ask `when {} is …`; its answers are: {}", test.fact, list.join(", "))),
                    );
                }
            }
        }
    }

    /// What may be absent in a mass is answered by `detected` and `not-detected`, or counted.
    fn detection(&mut self, plan: &Plan, parameter: &Name) {
        let Some(declared) = plan.parameters.iter().find(|declared| declared.name == *parameter) else { return };
        let both = ["detected", "not-detected"];
        if declared.answers.is_empty() || both.iter().all(|word| declared.answers.iter().any(|name| name.text == *word))
        {
            return;
        }
        self.findings.push(
            Finding::at(
                &UNKNOWN_ANSWER,
                parameter.loc,
                format!("`{parameter}` has no answers `detected` and `not-detected`"),
            )
            .also(declared.name.loc, "declared here")
            .help("declare it with `answers detected, not-detected`"),
        );
    }

    fn answer(&mut self, plan: &Plan, parameter: &Name, answer: &Name) {
        let Some(declared) = plan.parameters.iter().find(|declared| declared.name == *parameter) else { return };
        if declared.answers.contains(answer) {
            self.resolved.answers.push((parameter.text.clone(), answer.clone()));
            return;
        }
        let mut finding = Finding::at(&UNKNOWN_ANSWER, answer.loc, format!("`{answer}` is no answer of `{parameter}`"))
            .also(declared.name.loc, "declared here");
        let list: Vec<&str> = declared.answers.iter().map(|name| name.text.as_str()).collect();
        finding = match nearest(&answer.text, list.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(answer.loc, near, Care::NeedsALook),
            None if list.is_empty() => finding.help(format!("`{parameter}` is measured; compare it with a value")),
            None => finding.help(format!("its answers are: {}", list.join(", "))),
        };
        self.findings.push(finding);
    }
}
