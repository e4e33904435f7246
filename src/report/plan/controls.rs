//! Controls with their limits, programmes, and what is measured with what.

use super::{cites, measured, name, names, range};
use crate::plan::{Control, Instrument, Limit, Monitor, Parameter, Plan, Programme, SupportKind, Verify};
use serde_json::{Value, json};

pub(super) fn control(plan: &Plan, one: &Control) -> Value {
    json!({
        "name": name(&one.name),
        "number": one.number,
        "title": one.title,
        "kind": one.kind.map(crate::plan::ControlKind::word),
        "at": names(&one.at),
        "limits": one.limits.iter().map(|one| limit(plan, one)).collect::<Value>(),
        "series": one.series.iter().map(|series| json!({
            "name": name(&series.name),
            "of-limit": name(&series.limit),
            "symbols": series.symbols(),
            "words": series.sentence(),
            "because": series.because,
            "cites": cites(&series.cites),
        })).collect::<Value>(),
        "monitoring": one.monitors.iter().map(monitor).collect::<Value>(),
        "deviation": one.deviation.as_ref().map(|deviation| json!({
            "hold": deviation.hold,
            "cause": deviation.cause,
            "restore": deviation.restore,
            "prevent": deviation.prevent,
            "adjust-before": deviation.adjust.as_ref().map(name),
            "disposition": deviation.disposition.as_ref().map(|(ways, by)| json!({ "ways": names(ways), "by": name(by) })),
            "record": deviation.record.as_ref().map(name),
        })),
        "verification": one.verify.iter().map(verify).collect::<Value>(),
        "validation": one.validated.iter().map(|validated| json!({
            "date": validated.date,
            "support": validated.support.iter().map(|(kind, source)| json!({
                "kind": match kind { SupportKind::Science => "science", SupportKind::InPlant => "in-plant" },
                "source": name(source),
            })).collect::<Value>(),
        })).collect::<Value>(),
        "because": one.because,
        "cites": cites(&one.cites),
    })
}

fn limit(plan: &Plan, one: &Limit) -> Value {
    json!({
        "name": name(&one.name),
        "kind": one.kind.word(),
        "symbols": one.symbols(),
        "words": one.sentence(plan),
        "parameters": one.parameters().into_iter().map(name).collect::<Value>(),
        "credit-gap": measured(one.credit_gap.as_ref()),
        "pairing": measured(one.pairing.as_ref()),
        "pending": one.pending.as_ref().map(|(by, until)| json!({ "by": name(by), "until": until })),
        "because": one.because,
        "cites": cites(&one.cites),
    })
}

fn monitor(one: &Monitor) -> Value {
    json!({
        "parameters": names(&one.parameters),
        "often": one.often.to_string(),
        "by": name(&one.by),
        "using": names(&one.using),
        "record": name(&one.record),
        "how": one.how,
    })
}

fn verify(one: &Verify) -> Value {
    json!({
        "activity": name(&one.activity),
        "what": one.what,
        "when": one.when.to_string(),
        "by": name(&one.by),
        "record": one.record.as_ref().map(name),
    })
}

pub(super) fn programme(one: &Programme) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "covers": one.covers,
        "procedure": one.procedure,
        "routines": one.routines.iter().map(|routine| json!({
            "what": routine.what,
            "often": routine.often.to_string(),
            "by": name(&routine.by),
            "record": name(&routine.record),
        })).collect::<Value>(),
        "verification": one.verify.iter().map(verify).collect::<Value>(),
        "cites": cites(&one.cites),
    })
}

pub(super) fn parameter(one: &Parameter) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "unit": one.unit.as_ref().map(|unit| unit.value.symbol),
        "answers": names(&one.answers),
        "computed-from": one.formula.as_ref().map_or(Value::Null, |formula| formula.inputs().into_iter().map(name).collect()),
        "probes": names(&one.probes),
        "recorded-once": one.recorded.as_ref().map(|(what, record)| json!({ "per": what, "record": name(record) })),
    })
}

pub(super) fn instrument(one: &Instrument) -> Value {
    json!({
        "name": name(&one.name),
        "title": one.title,
        "serial": one.serial,
        "measures": names(&one.measures),
        "range": range(one.range.as_ref()),
        "resolution": measured(one.resolution.as_ref()),
        "accuracy": measured(one.accuracy.as_ref()),
        "calibration": one.calibration.as_ref().map(|how| json!({
            "every": how.every.to_string(),
            "within": how.within.shown(),
            "by": name(&how.by),
            "record": name(&how.record),
            "how": how.method,
        })),
    })
}
