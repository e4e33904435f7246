//! Things that are declared and that nothing uses: a fault of one of the two ends.

use super::{Desk, people};
use crate::finding::Finding;
use crate::plan::{Condition, Guard, Name, Plan, Rhythm, VerifyWhen};
use std::collections::HashSet;

crate::rules! {
    /// Something is declared, and nothing in the plan uses it.
    ///
    /// Either it is left over, or the place that should name it names something else.
    UNUSED_NAME = "B201" "unused-name" Warning;
    /// A publication or study that nothing cites.
    UNCITED = "B202" "uncited" Note;
}

#[derive(Default)]
struct Used<'a> {
    records: HashSet<&'a str>,
    events: HashSet<&'a str>,
    parameters: HashSet<&'a str>,
    instruments: HashSet<&'a str>,
    programmes: HashSet<&'a str>,
    models: HashSet<&'a str>,
    tables: HashSet<&'a str>,
    citables: HashSet<&'a str>,
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let used = collect(plan);
    let roles: HashSet<&str> = people::tasks(plan).into_iter().map(|(name, _)| name.text.as_str()).collect();
    let mut say = |name: &Name, what: &str, used: &HashSet<&str>, help: &str| {
        if !used.contains(name.text.as_str()) {
            desk.say(Finding::at(&UNUSED_NAME, name.loc, format!("the {what} `{name}` is never used")).help(help));
        }
    };
    for role in &plan.roles {
        say(
            &role.name,
            "role",
            &roles,
            "give it a task in the team, in monitoring, in a programme or in verification, or take it out",
        );
    }
    for record in &plan.records {
        say(
            &record.name,
            "record",
            &used.records,
            "let a monitor, a routine, a verification or an event name it, or take it out",
        );
    }
    for event in &plan.events {
        say(&event.name, "event", &used.events, "let a stage begin or end with it, or take it out");
    }
    for parameter in &plan.parameters {
        say(&parameter.name, "parameter", &used.parameters, "let a limit or a monitor name it, or take it out");
    }
    for instrument in &plan.instruments {
        say(&instrument.name, "instrument", &used.instruments, "let a monitor say `using` it, or take it out");
    }
    for programme in &plan.programmes {
        say(
            &programme.name,
            "programme",
            &used.programmes,
            "let a hazard row rely on it or equipment be cleaned by it, or take it out",
        );
    }
    for model in &plan.inactivations {
        say(&model.name, "inactivation", &used.models, "let a limit say `reduction by` it, or take it out");
    }
    for model in &plan.growth_models {
        say(&model.name, "growth model", &used.models, "let a limit say `growth by` it, or take it out");
    }
    for table in &plan.tables {
        say(&table.name, "table", &used.tables, "let a limit say `meets any row of` it, or take it out");
    }
    for thing in plan.sources.iter().chain(&plan.studies) {
        if !used.citables.contains(thing.name.text.as_str()) {
            desk.say(
                Finding::at(&UNCITED, thing.name.loc, format!("nothing cites `{}`", thing.name))
                    .help("cite it where it is the reason: `cites NAME at \"where\"`"),
            );
        }
    }
}

fn collect(plan: &Plan) -> Used<'_> {
    let mut used = Used::default();
    for step in &plan.steps {
        for stage in &step.stages {
            used.events.extend(std::iter::once(&stage.from).chain(stage.ends_at()).map(|event| event.text.as_str()));
        }
    }
    rows(plan, &mut used);
    for control in &plan.controls {
        self::control(control, &mut used);
    }
    for meets in &plan.meets {
        let name = meets.name.text.as_str();
        match meets.block.as_str() {
            "programme" => used.programmes.insert(name),
            "record" => used.records.insert(name),
            "study" | "source" => used.citables.insert(name),
            "inactivation" | "table" => used.models.insert(name),
            _ => false,
        };
    }
    for programme in &plan.programmes {
        for routine in &programme.routines {
            used.records.insert(&routine.record.text);
            rhythm(&routine.often.rhythm, &mut used);
        }
        verify(&programme.verify, &mut used);
        cites(&programme.cites, &mut used);
    }
    for instrument in &plan.instruments {
        used.records.extend(instrument.calibration.iter().map(|calibration| calibration.record.text.as_str()));
    }
    for event in &plan.events {
        used.records.insert(&event.record.text);
    }
    for parameter in &plan.parameters {
        used.records.extend(parameter.recorded.iter().map(|(_, record)| record.text.as_str()));
        used.parameters
            .extend(parameter.formula.iter().flat_map(|formula| formula.inputs()).map(|name| name.text.as_str()));
    }
    for row in plan.tables.iter().flat_map(|table| &table.rows) {
        used.parameters.extend(row.guard.iter().flat_map(Guard::names).map(|name| name.text.as_str()));
    }
    for product in &plan.products {
        used.parameters.extend(product.properties.iter().map(|property| property.name.text.as_str()));
    }
    let lists = plan.hazards.iter().map(|thing| &thing.cites);
    let lists = lists
        .chain(plan.materials.iter().map(|thing| &thing.cites))
        .chain(plan.inactivations.iter().map(|thing| &thing.cites));
    let lists = lists
        .chain(plan.growth_models.iter().map(|thing| &thing.cites))
        .chain(plan.tables.iter().map(|thing| &thing.cites));
    for list in lists.chain(plan.studies.iter().map(|thing| &thing.cites)) {
        cites(list, &mut used);
    }
    used
}

fn rows<'a>(plan: &'a Plan, used: &mut Used<'a>) {
    let analyses =
        plan.steps.iter().map(|step| &step.analysis).chain(plan.materials.iter().map(|material| &material.analysis));
    for row in analyses.flat_map(|analysis| &analysis.rows) {
        used.programmes.extend(
            row.significance.iter().flat_map(|significance| &significance.relies_on).map(|name| name.text.as_str()),
        );
    }
    used.programmes
        .extend(plan.equipment.iter().flat_map(|equipment| &equipment.cleaned_by).map(|name| name.text.as_str()));
}

fn control<'a>(control: &'a crate::plan::Control, used: &mut Used<'a>) {
    for limit in &control.limits {
        used.parameters.extend(limit.parameters().into_iter().map(|name| name.text.as_str()));
        used.parameters.extend(limit.facts().into_iter().map(|name| name.text.as_str()));
        used.events.extend(limit.events().into_iter().map(|name| name.text.as_str()));
        for required in &limit.shape.required {
            cites(&required.cites, used);
        }
        used.citables
            .extend(limit.shape.stands_for.iter().flat_map(|proxy| &proxy.study).map(|name| name.text.as_str()));
        for leaf in limit.leaves().into_iter().chain(limit.shape.conditions().into_iter().flat_map(Condition::leaves)) {
            used.parameters.extend(leaf.own_parameters().into_iter().map(|name| name.text.as_str()));
            used.events.extend(leaf.own_events().into_iter().map(|name| name.text.as_str()));
            if let Condition::Reduction { model, .. } | Condition::Growth { model, .. } = leaf {
                used.models.insert(&model.text);
            }
            used.tables.extend(leaf.table().map(|table| table.text.as_str()));
        }
        cites(&limit.cites, used);
    }
    for series in &control.series {
        cites(&series.cites, used);
    }
    for monitor in &control.monitors {
        used.parameters.extend(monitor.parameters.iter().map(|name| name.text.as_str()));
        used.instruments.extend(monitor.using.iter().map(|name| name.text.as_str()));
        used.records.insert(&monitor.record.text);
        rhythm(&monitor.often.rhythm, used);
    }
    used.records
        .extend(control.deviation.iter().flat_map(|deviation| &deviation.record).map(|name| name.text.as_str()));
    verify(&control.verify, used);
    used.citables
        .extend(control.validated.iter().flat_map(|validated| &validated.support).map(|(_, name)| name.text.as_str()));
    cites(&control.cites, used);
}

fn cites<'a>(list: &'a [crate::plan::Citation], used: &mut Used<'a>) {
    used.citables.extend(list.iter().map(|citation| citation.name.text.as_str()));
}

fn verify<'a>(list: &'a [crate::plan::Verify], used: &mut Used<'a>) {
    for verify in list {
        used.records.extend(verify.record.iter().map(|name| name.text.as_str()));
        if let VerifyWhen::Often(cadence) = &verify.when {
            rhythm(&cadence.rhythm, used);
        }
    }
}

fn rhythm<'a>(rhythm: &'a Rhythm, used: &mut Used<'a>) {
    if let Rhythm::At(event) | Rhythm::After(event) = rhythm {
        used.events.insert(&event.text);
    }
}
