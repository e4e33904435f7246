//! The forms that a limit may take, one name each. A new variant of the model does not compile until it has one here,
//! and a name here asks for a worked example on the page.

use bourn::plan::limit::{Amount, Over, RangeForm};
use bourn::plan::shape::Per;
use bourn::plan::{Condition, Limit, Plan};

/// Every form, and every word that shapes one.
pub const ALL: &[&str] = &[
    "bound",
    "bound throughout a stage",
    "range",
    "target with tolerance",
    "share of the value",
    "held",
    "total at least",
    "share of a stage",
    "share of a stage at most",
    "whichever is longer",
    "exposure",
    "exposure at a stretch",
    "at a stretch",
    "samples",
    "passage",
    "reduction",
    "checks",
    "never",
    "reaches",
    "reached within",
    "fall",
    "rise",
    "duration",
    "order",
    "count of events",
    "time between events",
    "F-value",
    "growth",
    "degree-hours",
    "degree-hours until",
    "any row",
    "chosen row",
    "attributes of two classes",
    "attributes of three classes",
    "absence",
    "absence by a plan",
    "answers by a plan",
    "bands",
    "one of",
    "chosen beforehand",
    "all of",
    "offset to another limit",
    "two parameters side by side",
    "formula",
    "guard",
    "counted from an event",
    "credit gap",
    "pairing",
    "excursion allowed",
    "judged per load",
    "judged per day",
    "judged per shift",
    "judged per run of a stage",
    "enough probes",
    "accuracy counted",
    "blank",
];

/// The forms of one limit.
pub fn of(limit: &Limit, plan: &Plan) -> Vec<&'static str> {
    let mut names = Vec::new();
    if let Some(condition) = &limit.condition {
        names_of(condition, plan, &mut names);
    }
    for name in limit.parameters() {
        if plan.parameter(&name.text).is_some_and(|parameter| parameter.formula.is_some()) {
            names.push("formula");
        }
    }
    let shape = &limit.shape;
    let said = [
        (limit.guard.is_some(), "guard"),
        (limit.since.is_some(), "counted from an event"),
        (limit.credit_gap.is_some(), "credit gap"),
        (limit.pairing.is_some(), "pairing"),
        (!shape.allow.is_empty(), "excursion allowed"),
        (shape.probes.as_ref().is_some_and(|probes| probes.enough.is_some()), "enough probes"),
        (shape.accuracy.is_some(), "accuracy counted"),
        (limit.is_blank(), "blank"),
    ];
    names.extend(said.into_iter().filter(|(said, _)| *said).map(|(_, name)| name));
    names.extend(shape.judged.as_ref().and_then(|judged| match judged.per {
        Per::Lot => None,
        Per::Load => Some("judged per load"),
        Per::Day => Some("judged per day"),
        Per::Shift => Some("judged per shift"),
        Per::Stage(_) => Some("judged per run of a stage"),
    }));
    names
}

fn names_of(condition: &Condition, plan: &Plan, names: &mut Vec<&'static str>) {
    let name = match condition {
        Condition::Level { range, over, .. } => {
            names.extend(match &range.form {
                RangeForm::Beside { other, .. } if plan.parameter(&other.text).is_some() => {
                    Some("two parameters side by side")
                }
                RangeForm::Beside { .. } => Some("offset to another limit"),
                RangeForm::Tolerance(..) => Some("target with tolerance"),
                RangeForm::ShareOfValue(..) => Some("share of the value"),
                RangeForm::Between => Some("range"),
                RangeForm::Compared | RangeForm::Above | RangeForm::Below => None,
            });
            match over {
                Over::Always => "bound",
                Over::Throughout(_) => "bound throughout a stage",
                Over::Held(_) => "held",
                Over::TotalAtLeast(Amount::Time(_)) => "total at least",
                Over::TotalAtLeast(Amount::Share { or_longer: None, .. }) => "share of a stage",
                Over::TotalAtLeast(Amount::Share { or_longer: Some(_), .. }) => "whichever is longer",
                Over::TotalAtMost(Amount::Share { .. }) => "share of a stage at most",
                Over::TotalAtMost(Amount::Time(_)) => "exposure",
                Over::StretchAtMost(_) => "exposure at a stretch",
                Over::StretchAtLeast(_) => "at a stretch",
                Over::Samples(_) => "samples",
            }
        }
        Condition::Passage { .. } => "passage",
        Condition::Reduction { .. } => "reduction",
        Condition::Answers(_) => "checks",
        Condition::Never { .. } => "never",
        Condition::Reaches { within: None, .. } => "reaches",
        Condition::Reaches { within: Some(_), .. } => "reached within",
        Condition::Falls { rises: false, .. } => "fall",
        Condition::Falls { rises: true, .. } => "rise",
        Condition::Lasts { .. } => "duration",
        Condition::Order { .. } => "order",
        Condition::Counted { .. } => "count of events",
        Condition::Events { .. } => "time between events",
        Condition::Equivalent { .. } => "F-value",
        Condition::Growth { .. } => "growth",
        Condition::DegreeHours { until: None, .. } => "degree-hours",
        Condition::DegreeHours { until: Some(_), .. } => "degree-hours until",
        Condition::AnyRow { .. } => "any row",
        Condition::ChosenRow { .. } => "chosen row",
        Condition::Attributes { big_m: None, .. } => "attributes of two classes",
        Condition::Attributes { big_m: Some(_), .. } => "attributes of three classes",
        Condition::Absent { plan: None, .. } => "absence",
        Condition::Absent { plan: Some(_), .. } => "absence by a plan",
        Condition::Sampled { .. } => "answers by a plan",
        Condition::Bands { .. } => "bands",
        Condition::Any(options) => {
            options.iter().for_each(|(_, one)| names_of(one, plan, names));
            "one of"
        }
        Condition::Chosen { options, .. } => {
            options.iter().for_each(|(_, one)| names_of(one, plan, names));
            "chosen beforehand"
        }
        Condition::All(parts) => {
            parts.iter().for_each(|one| names_of(one, plan, names));
            "all of"
        }
    };
    names.push(name);
}
