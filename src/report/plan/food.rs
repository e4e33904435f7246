//! Products, materials, equipment and records.

use super::{analysis, cites, measured, name, names};
use crate::plan::{Equipment, Material, Name, Product, PropertyFrom, RecordKind, Said, Term};
use serde_json::{Value, json};

pub(super) fn product(one: &Product) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "kind": one.kind.as_ref().map(name),
        "description": one.description,
        "intended-use": one.intended_use,
        "consumers": one.consumers,
        "packaging": one.packaging,
        "shelf-life": term(one.shelf_life.as_ref()),
        "storage": one.storage,
        "distribution": one.distribution,
        "label": one.label,
        "category": one.category.as_ref().map(name),
        "storage-class": one.storage_class.as_ref().map(name),
        "listeria-alternative": one.listeria_alternative.as_ref().map(|said| json!({ "alternative": said.value.0, "because": said.value.1 })),
        "properties": one.properties.iter().map(|property| match &property.from {
            PropertyFrom::Control(control, limit) => json!({ "name": name(&property.name), "control": name(control), "limit": name(limit) }),
            PropertyFrom::Stated(sign, value) => json!({ "name": name(&property.name), "stated": format!("{sign} {}", value.shown()) }),
        }).collect::<Value>(),
        "allergens": allergens(one.allergens.as_ref()),
        "may-contain": one.may_contain.iter().map(|(which, why)| json!({ "allergens": names(which), "because": why })).collect::<Value>(),
    })
}

pub(super) fn material(one: &Material) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "kind": one.kind.map(crate::plan::MaterialKind::word),
        "supplier": one.supplier,
        "storage": one.storage,
        "specification": one.specification,
        "allergens": allergens(one.allergens.as_ref()),
        "analysis": analysis::analysis(&one.analysis),
        "cites": cites(&one.cites),
    })
}

pub(super) fn equipment(one: &Equipment) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "cleaned-by": names(&one.cleaned_by),
        "zone": one.zone.as_ref().map(name),
        "allergens": allergens(one.allergens.as_ref()),
        "description": one.description,
    })
}

pub(super) fn record(one: &RecordKind) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "kept-for": term(one.kept.as_ref()),
        "carries": one.carries.as_ref().map(|said| names(&said.value)),
    })
}

/// `null` where nothing is said; an empty list where it is said that there are none.
fn allergens(said: Option<&Said<Vec<Name>>>) -> Value {
    said.map_or(Value::Null, |said| names(&said.value))
}

fn term(term: Option<&(Term, Option<String>)>) -> Value {
    let Some((term, remark)) = term else { return Value::Null };
    let length = match term {
        Term::Clock(time) => measured(Some(time)),
        other => Value::from(other.to_string()),
    };
    json!({ "length": length, "remark": remark })
}
