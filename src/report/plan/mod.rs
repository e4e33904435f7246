//! A plan as JSON, for other programs. Names are those of the plan text; what is not stated is `null` or an empty list.
//!
//! The schema is docs/schemas/plan.schema.json. A limit is given in symbols, as a plan can write it, and in words; its
//! numbers are not pulled out, since only the whole statement says what they mean.

mod analysis;
mod controls;
mod food;

use crate::plan::limit::Measured;
use crate::plan::{Citation, Name, Plan, Said};
use serde_json::{Value, json};

/// The plan.
#[must_use]
pub fn value(plan: &Plan) -> Value {
    json!({
        "format": 1,
        "plan": head(plan),
        "team": team(plan),
        "roles": plan.roles.iter().map(|role| json!({
            "name": name(&role.name),
            "title": role.title,
            "trained": role.trained.iter().map(|(what, date)| json!({ "what": what, "date": date })).collect::<Value>(),
            "qualified": role.qualified.iter().map(|one| json!({ "for": name(&one.name), "how": one.how, "date": one.date })).collect::<Value>(),
            "duties": role.duties,
        })).collect::<Value>(),
        "products": plan.products.iter().map(food::product).collect::<Value>(),
        "materials": plan.materials.iter().map(food::material).collect::<Value>(),
        "equipment": plan.equipment.iter().map(food::equipment).collect::<Value>(),
        "hazards": plan.hazards.iter().map(analysis::hazard).collect::<Value>(),
        "steps": plan.steps.iter().map(analysis::step).collect::<Value>(),
        "programmes": plan.programmes.iter().map(controls::programme).collect::<Value>(),
        "controls": plan.controls.iter().map(|control| controls::control(plan, control)).collect::<Value>(),
        "parameters": plan.parameters.iter().map(controls::parameter).collect::<Value>(),
        "instruments": plan.instruments.iter().map(controls::instrument).collect::<Value>(),
        "records": plan.records.iter().map(food::record).collect::<Value>(),
        "events": plan.events.iter().map(|event| json!({ "name": name(&event.name), "title": event.title, "record": name(&event.record) })).collect::<Value>(),
        "evidence": plan.sources.iter().chain(&plan.studies).map(evidence).collect::<Value>(),
        "answers-clauses": plan.meets.iter().map(|one| json!({ "citation": one.citation.value, "block": one.block, "name": name(&one.name) })).collect::<Value>(),
        "exceptions": plan.exceptions.iter().map(|one| json!({
            "finding": name(&one.rule),
            "at": one.at.as_ref().map(name),
            "because": one.because,
            "by": name(&one.by),
            "until": one.until,
        })).collect::<Value>(),
        "blanks": plan.blanks.len(),
    })
}

fn head(plan: &Plan) -> Value {
    let Some(head) = &plan.head else { return Value::Null };
    json!({
        "name": name(&head.name),
        "title": head.title,
        "establishment": head.establishment,
        "registered": head.registered,
        "address": head.address,
        "scope": head.scope,
        "answers-to": names(&head.regimes),
        "concerns": names(&head.concerns),
        "not-concerned": head.not_concerned.iter().map(|(topic, why)| json!({ "topic": name(topic), "because": why })).collect::<Value>(),
        "decision-tree": head.tree.as_ref().map(name),
        "time-zone": said(head.zone.as_ref()),
        "revision": head.revision.as_ref().map(|one| json!({ "number": one.number, "date": one.date, "reason": one.reason })),
        "supersedes": head.earlier().iter().map(|one| json!({ "number": one.number, "date": one.date, "reason": one.reason })).collect::<Value>(),
        "in-force": head.in_force.as_ref().map(|day| day.value),
        "flow-confirmed": head.flow_confirmed.as_ref().map(|one| json!({ "date": one.date, "by": name(&one.by) })),
        "reassess": said(head.reassess.as_ref()),
        "reassessed": head.reassessed.as_ref().map(|one| json!({ "date": one.date, "by": name(&one.by), "changed": one.changed })),
    })
}

fn team(plan: &Plan) -> Value {
    json!({
        "members": plan.team.members.iter().map(|one| json!({ "role": name(&one.role), "discipline": one.discipline, "leads": one.leads })).collect::<Value>(),
        "outside": plan.team.outside.iter().map(|(who, what)| json!({ "who": who, "discipline": what })).collect::<Value>(),
    })
}

fn evidence(one: &crate::plan::Citable) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "publisher": one.publisher,
        "edition": one.edition,
        "place": one.place,
        "replaces": one.replaces,
        "date": one.date.as_ref().and_then(|date| date.value),
        "finding": one.finding,
        "cites": cites(&one.cites),
    })
}

fn name(name: &Name) -> Value {
    Value::from(name.text.as_str())
}

fn names(names: &[Name]) -> Value {
    names.iter().map(name).collect()
}

fn said<T: std::fmt::Display>(said: Option<&Said<T>>) -> Value {
    said.map_or(Value::Null, |one| Value::from(one.value.to_string()))
}

/// As written, with its unit; a blank as a blank.
fn measured(measured: Option<&Measured>) -> Value {
    measured.map_or(Value::Null, |one| Value::from(one.shown()))
}

fn range(range: Option<&(Measured, Measured)>) -> Value {
    range.map_or(Value::Null, |(low, high)| json!([low.shown(), high.shown()]))
}

fn cites(cites: &[Citation]) -> Value {
    cites.iter().map(|one| json!({ "source": name(&one.name), "at": one.at })).collect()
}
