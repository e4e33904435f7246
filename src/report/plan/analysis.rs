//! The flow and the hazard analysis.

use super::{cites, name, names};
use crate::plan::{Analysis, Hazard, HazardRow, StageEnd, Step};
use serde_json::{Map, Value, json};

pub(super) fn hazard(one: &Hazard) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "class": one.class.map(crate::plan::Class::word),
        "severity": one.severity.as_ref().map(|(severity, why)| json!({ "word": severity.word(), "because": why })),
        "acceptable-level": one.acceptable_level,
        "cites": cites(&one.cites),
    })
}

pub(super) fn step(one: &Step) -> Value {
    json!({
        "name": name(&one.name),
        "number": one.number,
        "title": one.title,
        "does": one.does,
        "starts": one.starts,
        "dispatches": one.dispatches,
        "after": names(&one.after),
        "uses": names(&one.uses),
        "gives": one.gives.iter().map(|gives| json!({ "name": name(&gives.name), "outcome": gives.outcome.word(), "to": gives.to.as_ref().map(name) })).collect::<Value>(),
        "only-for": names(&one.only_for),
        "zone": one.zone.as_ref().map(name),
        "stages": one.stages.iter().map(|stage| {
            let (event, limit) = match &stage.to {
                StageEnd::Event(event) => (Some(name(event)), None),
                StageEnd::Met(limit) => (None, Some(name(limit))),
            };
            json!({ "name": name(&stage.name), "from": name(&stage.from), "to": event, "until-met": limit })
        }).collect::<Value>(),
        "analysis": analysis(&one.analysis),
    })
}

pub(super) fn analysis(one: &Analysis) -> Value {
    json!({
        "hazards": one.rows.iter().map(row).collect::<Value>(),
        "none-of-class": one.none.iter().map(|(class, why, _)| json!({ "class": class.word(), "because": why })).collect::<Value>(),
        "no-other": one.no_other.as_ref().map(|(why, _)| why),
    })
}

fn row(row: &HazardRow) -> Value {
    let decision: Map<String, Value> =
        row.decision.iter().map(|(question, answer)| (question.text.clone(), Value::from(answer.word()))).collect();
    let scores: Map<String, Value> =
        row.scores.iter().map(|(question, score)| (question.text.clone(), Value::from(*score))).collect();
    json!({
        "hazards": names(&row.hazards),
        "here": row.verb.word(),
        "likelihood": row.likelihood.as_ref().map(|(word, why)| json!({ "word": name(word), "because": why })),
        "significant": row.significance.as_ref().map(|one| one.significant),
        "because": row.significance.as_ref().map(|one| one.why.as_str()),
        "relies-on": row.significance.as_ref().map_or(Value::Null, |one| names(&one.relies_on)),
        "decision": decision,
        "scores": scores,
        "controlled-by": row.controls.iter().map(|(control, how)| json!({ "control": name(control), "how": how })).collect::<Value>(),
    })
}
