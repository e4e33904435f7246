//! What was done about deviations, on a terminal and as JSON.

use crate::log::{Records, RegisterKind};
use crate::plan::Plan;
use crate::time::{Instant, Zone, show_duration};
use crate::verify::Verification;
use crate::verify::followed::{Deviation, Followed, Share, WRITTEN_WITHIN, duties, state, total};
use serde_json::{Value, json};
use std::fmt::Write;

/// The first lines of a report: lots that were shipped while something about them was open, and the duty to tell.
pub(super) fn first(out: &mut String, plan: &Plan, verification: &Verification) {
    let mut said = false;
    for (deviation, shares) in verification.followed.shipped_open() {
        if !said {
            out.push_str("SHIPPED WITH AN OPEN DEVIATION\n");
            said = true;
        }
        let _ = writeln!(
            out,
            "  {} ({}): {}; {} in all",
            deviation.about(),
            deviation.event.words(),
            shares.iter().map(|share| with_shipping(verification.zone, share)).collect::<Vec<_>>().join(", "),
            total(shares.iter().copied())
        );
    }
    if said && !verification.followed.kept.contains(&RegisterKind::CorrectiveActions) {
        out.push_str("  No register of corrective actions was given, so no decision about this product is known.\n");
    }
    if said {
        let duties = duties(plan);
        if duties.is_empty() {
            out.push_str("  The plan names no regime with a duty to tell that is known here; ask the authority.\n");
        }
        for clause in duties {
            let _ = writeln!(out, "  {}", clause.note());
        }
        out.push('\n');
    }
}

fn with_shipping(zone: Zone, share: &Share) -> String {
    let amount = share.quantity.map_or("quantity not on record".to_owned(), |quantity| quantity.to_string());
    match share.shipped {
        Some(at) => format!("{} ({amount}, shipped {})", share.code, zone.show_local(at)),
        None => format!("{} ({amount})", share.code),
    }
}

/// Deviations with what was done, shipping and reviews.
pub(super) fn text(out: &mut String, verification: &Verification) {
    let followed = &verification.followed;
    if followed.kept.contains(&RegisterKind::CorrectiveActions) {
        out.push_str("\nWhat was done about each deviation:\n");
        for deviation in &followed.deviations {
            one(out, verification, deviation);
        }
        if followed.deviations.is_empty() {
            out.push_str("  there is none\n");
        }
    }
    if followed.kept.contains(&RegisterKind::PreShipmentReviews) || followed.shipping_known {
        shipping(out, followed);
    }
    if !followed.reviewed.is_empty() {
        out.push_str("\nReviews and observations promised by the plan:\n");
        for one in &followed.reviewed {
            let late =
                if one.late.is_empty() { "none late".to_owned() } else { format!("late: {}", one.late.join("; ")) };
            let _ = writeln!(out, "  {}, {}: {} done, {late}", one.what, one.promised, one.done);
        }
    }
    beside(out, followed);
    let silent = followed.not_looked_at();
    if !silent.is_empty() {
        let _ = writeln!(out, "\nNot looked at, since the mapping names no register of them: {}.", silent.join(", "));
    }
}

/// When entries were written, and complaints.
fn beside(out: &mut String, followed: &Followed) {
    if !followed.entries.is_empty() {
        let within = show_duration(WRITTEN_WITHIN);
        let _ = writeln!(out, "\nWhen entries were written (in time: within {within} of the event, a choice):");
    }
    for one in &followed.entries {
        let _ = writeln!(
            out,
            "  {}: {} in time, {} late, {} before the event, {} without a time; the longest {} after the event",
            one.record,
            one.in_time,
            one.late,
            one.before,
            one.unsaid,
            show_duration(one.longest)
        );
    }
    if followed.kept.contains(&RegisterKind::Complaints) {
        let _ = writeln!(out, "\n{}", followed.complaints.words());
    }
}

fn one(out: &mut String, verification: &Verification, deviation: &Deviation) {
    let followed = &verification.followed;
    let zone = verification.zone;
    let lots: Vec<String> = deviation.lots.iter().map(|share| with_shipping(zone, share)).collect();
    let _ = writeln!(
        out,
        "  {} ({}): {}; {} in all",
        deviation.about(),
        deviation.event.words(),
        lots.join(", "),
        total(&deviation.lots)
    );
    let _ = writeln!(out, "      {}", state(followed, deviation));
}

fn shipping(out: &mut String, followed: &Followed) {
    let shipped = followed.releases.iter().filter(|one| one.shipped.is_some()).count();
    let reviewed = followed.releases.iter().filter(|one| one.reviewed.is_some()).count();
    let before = |one: &&crate::verify::followed::Release| {
        one.shipped.zip(one.reviewed.as_ref()).is_some_and(|(shipped, (reviewed, _))| *reviewed <= shipped)
    };
    let in_time = followed.releases.iter().filter(before).count();
    let reviews = if followed.kept.contains(&RegisterKind::PreShipmentReviews) {
        format!("{reviewed} reviewed for shipping, {in_time} of the shipped ones before they were shipped")
    } else {
        "no register of pre-shipment reviews was given".to_owned()
    };
    let _ = writeln!(
        out,
        "\nShipping: {} lots, {shipped} with a time of shipping on record; {reviews}.",
        followed.releases.len()
    );
}

/// Deviations, actions, shipping and reviews.
pub(super) fn value(records: &Records, verification: &Verification) -> Value {
    let (followed, zone) = (&verification.followed, verification.zone);
    let at = |at: Instant| zone.show(at);
    json!({
        "registers": followed.kept.iter().map(|kind| json!({
            "holds": kind.word(),
            "rows": records.registers.iter().filter(|row| row.kind == *kind).count(),
        })).collect::<Vec<_>>(),
        "not-looked-at": followed.not_looked_at(),
        "deviations": followed.deviations.iter().map(|one| json!({
            "event": one.event.words(),
            "about": one.about(),
            "control": one.control,
            "limit": one.limit,
            "instrument": one.instrument,
            "why": one.why,
            "from": one.from.map(|from| at(Instant(from))),
            "to": one.to.map(|to| at(Instant(to))),
            "quantity": total(&one.lots),
            "lots": one.lots.iter().map(|share| json!({
                "lot": share.code,
                "quantity": share.quantity.map(|quantity| json!({ "value": quantity.value.to_string(), "unit": quantity.unit.symbol })),
                "shipped": share.shipped.map(at),
                "actions": share.actions.iter().filter_map(|index| followed.actions.get(*index)).map(|action| &action.number).collect::<Vec<_>>(),
                "decided-before-shipping": share.decided_before,
            })).collect::<Vec<_>>(),
            "state": state(followed, one),
        })).collect::<Vec<_>>(),
        "actions": followed.actions.iter().map(|action| {
            let row = records.registers.get(action.row);
            json!({
                "number": action.number,
                "matched": action.matched,
                "missing": action.missing,
                "earlier": action.earlier.iter().map(|(number, same)| json!({ "number": number, "same-cause": same })).collect::<Vec<_>>(),
                "recorded": row.map(|row| &row.words),
                "place": row.map(|row| json!({ "file": row.cell.file, "row": row.cell.row })),
            })
        }).collect::<Vec<_>>(),
        "shipping": followed.releases.iter().map(|one| json!({
            "lot": one.lot,
            "shipped": one.shipped.map(at),
            "reviewed": one.reviewed.as_ref().map(|(reviewed, _)| at(*reviewed)),
            "reviewed-by": one.reviewed.as_ref().map(|(_, by)| by),
        })).collect::<Vec<_>>(),
        "reviews": followed.reviewed.iter().map(|one| json!({
            "what": one.what, "promised": one.promised, "done": one.done, "late": one.late,
        })).collect::<Vec<_>>(),
        "entries": followed.entries.iter().map(|one| json!({
            "record": one.record,
            "in-time": one.in_time,
            "late": one.late,
            "before-the-event": one.before,
            "without-a-time": one.unsaid,
            "longest-s": one.longest / crate::time::SECOND,
        })).collect::<Vec<_>>(),
        "complaints": {
            "by-month": followed.complaints.by_month.iter().map(|(month, count)| json!({ "month": month, "count": count })).collect::<Vec<_>>(),
            "by-lot": followed.complaints.by_lot.iter().map(|(lot, numbers)| json!({ "lot": lot, "numbers": numbers })).collect::<Vec<_>>(),
            "without-a-lot": followed.complaints.without_lot,
            "without-an-answer": followed.complaints.unanswered,
        },
    })
}
