//! The verification as JSON, for machines and for the file.

use super::json;
use crate::log::Records;
use crate::plan::{LimitKind, Plan};
use crate::source::Sources;
use crate::time::{Instant, Zone};
use crate::verify::engine::{End, Extent, Kind, Outcome, Point, Witness};
use crate::verify::followed::{Share, total};
use crate::verify::series::{SeriesMember, SeriesVerdict};
use crate::verify::{LimitVerdict, LotVerdicts, Part, Verification, in_question};
use serde_json::{Value, json};

/// The whole verification.
#[must_use]
pub fn value(sources: &Sources, plan: &Plan, records: &Records, verification: &Verification) -> Value {
    let zone = verification.zone;
    let (met, not_met, not_shown) = verification.counts();
    let at = |at: i64| json!(zone.show(Instant(at)));
    let edge = |at: i64| if at == i64::MIN || at == i64::MAX { Value::Null } else { json!(zone.show(Instant(at))) };
    json!({
        "bourn": env!("CARGO_PKG_VERSION"),
        "plan": plan.head.as_ref().map(|head| json!({
            "name": head.name.text,
            "title": head.title,
            "revision": head.revision.as_ref().map(|revision| revision.number.clone()),
            "revision-date": head.revision.as_ref().and_then(|revision| revision.date).map(|date| date.to_string()),
        })),
        "period": { "from": verification.period.from.map(|day| day.to_string()), "to": verification.period.to.map(|day| day.to_string()), "zone": zone.to_string() },
        "revisions": verification.revisions.iter().map(|one| json!({
            "text": one.name,
            "number": one.number,
            "date": one.date.map(|day| day.to_string()),
            "digest": one.digest,
            "in-force-from": one.from.map(|day| day.to_string()),
            "in-force-until": one.until.map(|day| day.to_string()),
        })).collect::<Vec<_>>(),
        "inputs": sources.iter().map(|(_, source)| json!({ "name": source.name(), "sha256": digest(source.text()) })).collect::<Vec<_>>(),
        "verdict": verification.verdict(),
        "counts": { "lots": verification.lots.len(), "met": met, "not-met": not_met, "not-shown": not_shown },
        "choices": {
            "clock-allowance-s": crate::verify::CLOCK_ALLOWANCE / crate::time::SECOND,
            "good-checks-in-a-row": crate::verify::GOOD_IN_A_ROW,
            "credit-gap": "2.5 intervals, or the held time where that is shorter",
        },
        "lots": verification.lots.iter().map(|lot| {
            let mut fields = lot_fields(records, verification, lot);
            let limits: Vec<Value> = lot.limits.iter().map(|limit| limit_value(zone, limit)).collect();
            fields.insert("limits".to_owned(), json!(limits));
            fields
        }).collect::<Vec<_>>(),
        "series": verification.series.iter().map(|series| series_value(zone, series)).collect::<Vec<_>>(),
        "instruments": verification.instruments.iter().map(|state| json!({
            "instrument": state.name,
            "calibrations": state.calibrations.iter().map(|calibration| json!({
                "at": zone.show(calibration.at),
                "off-by": calibration.off_by.map(|off| off.to_string()),
                "unit": calibration.unit,
                "good": calibration.good,
                "late-since": calibration.late_since.map(|day| day.to_string()),
                "place": { "file": calibration.cell.file, "row": calibration.cell.row },
            })).collect::<Vec<_>>(),
            "not-trusted": state.untrusted.iter().zip(&state.why).map(|((from, to), why)| json!({
                "from": edge(*from),
                "to": edge(*to),
                "why": why,
                "in-question": in_question(records, &state.name, (*from, *to)).into_iter().map(|one| json!({
                    "record": one.record, "parameter": one.parameter, "lot": one.lot, "results": one.results,
                })).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
            "drift": verification.drifts.iter().find(|drift| drift.instrument == state.name).map(|drift| json!({
                "unit": drift.unit,
                "within": drift.within,
                "errors": drift.errors.iter().map(|(at, error)| json!({ "at": zone.show(*at), "error": error })).collect::<Vec<_>>(),
                "in-thirty-days": drift.a_month(),
                "more-than-scatter": drift.line.map(|line| line.moves()),
                "next-due": drift.next.map(|(day, _)| day.to_string()),
                "expected-then": drift.next.map(|(_, error)| error),
                "leaves-tolerance": drift.leaves(),
            })),
        })).collect::<Vec<_>>(),
        "monitoring": verification.watches.iter().map(|watch| json!({
            "control": watch.control,
            "parameters": watch.parameters,
            "promised": watch.promised,
            "made": watch.made,
            "blank": watch.blank,
            "faults": watch.faults.iter().map(|(kind, lot, when)| json!({ "fault": kind.word(), "lot": lot, "at": at(*when) })).collect::<Vec<_>>(),
            "kept": watch.kept,
            "by-shift": watch.shifts.iter().map(|shift| json!({
                "begins": shift.begins.map(|at| at.format("%H:%M").to_string()),
                "due": shift.due,
                "in-time": shift.in_time,
                "early": shift.early,
                "late": shift.late,
                "missed": shift.missed,
            })).collect::<Vec<_>>(),
            "by-instrument": watch.instruments.iter().map(|(instrument, count)| json!({ "instrument": instrument, "readings": count })).collect::<Vec<_>>(),
            "not-shown": watch.open.iter().map(|(lot, why)| json!({ "lot": lot, "why": why })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "affected": verification.affected.iter().map(|one| json!({
            "control": one.control,
            "limit": one.limit,
            "from": one.from.map(|from| zone.show(Instant(from))),
            "to": one.to.map(|to| zone.show(Instant(to))),
            "cause": one.cause,
            "lots": one.lots,
            "quantity": total(&one.lots.iter().map(|code| Share::of(records, code)).collect::<Vec<_>>()),
            "shipped": one.lots.iter().filter(|code| Share::of(records, code).shipped.is_some()).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "trends": super::trend::value(&verification.trends),
        "followed": super::followed::value(records, verification),
        "files": records.files.iter().map(|file| json!({
            "file": file.name,
            "record": file.record,
            "sha256": file.sha256,
            "bytes": file.bytes,
            "rows": file.rows,
            "used-rows": file.used_rows,
            "event-rows": file.event_rows,
            "blank-rows": file.blank_rows,
            "heading-rows": file.heading_rows,
            "footer-rows": file.footer_rows,
            "unplaced-rows": file.unplaced_rows,
            "bad-rows": file.bad_rows,
            "missing-cells": file.missing_cells,
            "broken-cells": file.broken_cells,
            "first": file.first.map(|at| zone.show(at)),
            "last": file.last.map(|at| zone.show(at)),
        })).collect::<Vec<_>>(),
        "findings": json::findings(sources, &verification.findings),
        "cautions": super::summary::CAUTIONS,
    })
}

/// The verification as lines of JSON: one object a lot and limit, with the plan and the lot in it.
#[must_use]
pub fn lines(plan: &Plan, records: &Records, verification: &Verification) -> String {
    let mut out = String::new();
    let head = object(json!({
        "plan": plan.head.as_ref().map(|head| &head.name.text),
    }));
    for lot in &verification.lots {
        let of_lot = lot_fields(records, verification, lot);
        for limit in &lot.limits {
            let of_limit = limit_fields(verification.zone, limit);
            let line: Fields = head.clone().into_iter().chain(of_lot.clone()).chain(of_limit).collect();
            out.push_str(&Value::Object(line).to_string());
            out.push('\n');
        }
    }
    out
}

type Fields = serde_json::Map<String, Value>;

fn object(value: Value) -> Fields {
    if let Value::Object(fields) = value { fields } else { Fields::new() }
}

fn lot_fields(records: &Records, verification: &Verification, lot: &LotVerdicts) -> Fields {
    let zone = verification.zone;
    let registered = records.lots.get(lot.lot);
    object(json!({
        "lot": lot.code,
        "product": registered.and_then(|lot| lot.product.clone()),
        "line": registered.and_then(|lot| lot.line.clone()),
        "shipped": registered.and_then(|lot| lot.shipped.as_ref()).map(|event| zone.show(event.at)),
        "quantity": registered.and_then(|lot| lot.quantity).map(|quantity| json!({ "value": quantity.value.to_string(), "unit": quantity.unit.symbol })),
        "begun": lot.begun.map(|at| zone.show(at)),
        "revision": verification.revisions.get(lot.revision).map(|one| json!({ "number": one.number, "digest": one.digest })),
    }))
}

pub(super) fn limit_value(zone: Zone, limit: &LimitVerdict) -> Value {
    Value::Object(limit_fields(zone, limit))
}

fn limit_fields(zone: Zone, limit: &LimitVerdict) -> Fields {
    object(json!({
        "control": limit.control,
        "limit": limit.limit,
        "kind": kind(limit.kind),
        "condition": limit.symbols,
        "beside": limit.beside.iter().map(|(what, said)| json!({ "what": what, "said": said })).collect::<Vec<_>>(),
        "verdict": limit.verdict,
        "why": limit.why,
        "as-read": limit.as_read,
        "adjusted": limit.adjusted().collect::<Vec<_>>(),
        "not-yet": limit.not_yet,
        "parts": limit.parts.iter().map(|part| part_value(zone, part)).collect::<Vec<_>>(),
    }))
}

fn series_value(zone: Zone, series: &SeriesVerdict) -> Value {
    json!({
        "control": series.control,
        "series": series.series,
        "rule": series.symbols,
        "condition": series.limit,
        "verdict": series.verdict,
        "why": series.why,
        "of": series.of,
        "counted": series.what.word(),
        "least": series.least,
        "most": series.most,
        "runs": series.runs,
        "deciding-run": {
            "before-the-records": series.before,
            "from": series.run_members().first().map(SeriesMember::name),
            "to": series.run_members().last().map(SeriesMember::name),
        },
        "members": series.members.iter().map(|member| json!({
            "lot": member.lot,
            "sample": member.sample,
            "at": member.at.map(|at| zone.show(at)),
            "verdict": member.verdict,
            "why": member.why,
            "perhaps-none-of-the-series": member.perhaps,
            "of-the-period": member.own,
        })).collect::<Vec<_>>(),
    })
}

fn kind(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::Critical => "critical-limit",
        other => other.word(),
    }
}

fn part_value(zone: Zone, part: &Part) -> Value {
    json!({
        "what": part.what,
        "form": part.form,
        "verdict": part.verdict,
        "as-read": part.as_read,
        "window": part.window.map(|(from, to)| json!({ "from": zone.show(Instant(from)), "to": to.map(|to| zone.show(Instant(to))) })),
        "credit-gap-s": part.credit_gap.map(seconds),
        "interval": part.outcome.as_ref().map(|outcome| extent(part.unit.map_or("", |unit| unit.symbol), &outcome.extent)),
        "bands": part.bands.as_ref().map(|(best, worst)| json!({ "least": best, "most": worst })),
        "lowest": part.outcome.as_ref().and_then(|outcome| outcome.lower.as_ref()).map(|lower| extent(part.unit.map_or("", |unit| unit.symbol), lower)),
        "readings": part.outcome.as_ref().filter(|_| part.channel.is_some()).map(|outcome| readings(zone, outcome)),
        "evidence": part.evidence,
    })
}

/// The SHA-256 of a text in hexadecimal digits, as `sha256sum` prints it.
fn digest(text: &str) -> String {
    use sha2::Digest;
    sha2::Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The readings of the window, described: nothing of it decides.
fn readings(zone: Zone, outcome: &Outcome) -> Value {
    let Witness { inside, sum, longest_step, longest_gap, missing, ref gaps, ref lowest, ref highest, .. } =
        outcome.witness;
    let at = |at: i64| zone.show(Instant(at));
    let point = |point: &Option<Point>| point.map(|point| json!({ "value": point.value, "at": at(point.at) }));
    let length = |length: i64| (longest_gap != i64::MAX).then(|| seconds(length));
    let ends = |at: i64| (at != i64::MAX).then(|| zone.show(Instant(at)));
    json!({
        "count": inside,
        "lowest": point(lowest),
        "highest": point(highest),
        "mean": (inside > 0).then(|| sum / inside as f64),
        "longest-step-s": seconds(longest_step),
        "gaps": {
            "count": gaps.count,
            "longest-s": length(longest_gap),
            "in-all-s": length(missing),
            "first": gaps.items.first().map(|gap| json!({ "from": at(gap.from), "to": ends(gap.to) })),
        },
        "breaking": {
            "count": outcome.breaks.count,
            "first": outcome.breaks.items.first().map(|stretch| json!({
                "from": at(stretch.from),
                "to": at(stretch.to),
                "readings": stretch.readings,
                "lowest": stretch.lowest.value,
                "highest": stretch.highest.value,
            })),
        },
    })
}

fn seconds(nanoseconds: i64) -> f64 {
    nanoseconds as f64 / 1e9
}

pub(super) fn extent(unit: &str, extent: &Extent) -> Value {
    let (unit, scale) = match extent.kind {
        Kind::Value => (unit.to_owned(), 1.0),
        Kind::Nanoseconds => ("s".to_owned(), 1e9),
        Kind::Decades => ("log10".to_owned(), 1.0),
        Kind::ValueSeconds => (format!("{unit}·s"), 1.0),
    };
    let end = |end: End| match end {
        End::Closed(value) => json!({ "value": value / scale, "open": false }),
        End::Open(value) => json!({ "value": value / scale, "open": true }),
        End::UnboundedBelow | End::UnboundedAbove => json!("unbounded"),
        End::Nothing => json!("no such moment"),
    };
    json!({ "unit": unit, "least": end(extent.least), "most": end(extent.most) })
}
