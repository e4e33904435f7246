//! The verification on a terminal: what was shown, what was not, and what a person must look at next.

use super::terminal::clean;
use crate::log::Records;
use crate::plan::Plan;
use crate::time::{Instant, show_duration};
use crate::verdict::Verdict;
use crate::verify::followed::{Share, total};
use crate::verify::{CLOCK_ALLOWANCE, LotVerdicts, Verification};
use std::fmt::Write;

/// The cautions that stand under every report.
pub const CAUTIONS: &[&str] = &[
    "This report supports trained people and replaces none of them. What becomes of product is a person's decision.",
    "Validation is the plant's duty. Local law and the competent authority prevail.",
    "Thermal processes for low-acid or shelf-stable food need a recognised process authority.",
    "When in doubt, hold the product.",
];

/// The whole summary.
#[must_use]
pub fn text(plan: &Plan, records: &Records, verification: &Verification) -> String {
    let mut out = String::new();
    super::followed::first(&mut out, plan, verification);
    head(&mut out, plan, verification);
    grid(&mut out, plan, verification);
    for (verdict, title) in [(Verdict::NotMet, "Not met"), (Verdict::NotShown, "Not shown")] {
        lines(&mut out, plan, verification, verdict, title);
    }
    adjusted(&mut out, verification);
    series(&mut out, verification);
    instruments(&mut out, verification);
    monitoring(&mut out, verification);
    super::kept::text(&mut out, verification);
    affected(&mut out, records, verification);
    super::followed::text(&mut out, verification);
    super::trend::text(&mut out, &verification.trends);
    let _ = writeln!(
        out,
        "\nRead {} files, {} rows.",
        records.files.len(),
        records.files.iter().map(|file| file.rows).sum::<u64>()
    );
    let _ = writeln!(
        out,
        "Clock allowance between records {}; two good checks in a row close a window; readings are joined up to 2.5 intervals unless the plan says otherwise.",
        show_duration(CLOCK_ALLOWANCE)
    );
    for caution in CAUTIONS {
        let _ = writeln!(out, "{caution}");
    }
    clean(&out)
}

fn head(out: &mut String, plan: &Plan, verification: &Verification) {
    if let Some(head) = &plan.head {
        let title = Plan::title(&head.name, &head.title);
        let revision = head.revision.as_ref().map_or("no revision".to_owned(), |revision| {
            format!(
                "revision {} of {}",
                revision.number,
                revision.date.map_or("no date".to_owned(), |date| date.to_string())
            )
        });
        let _ = writeln!(out, "{title}, {revision}");
    }
    revisions(out, verification);
    let day = |day: Option<chrono::NaiveDate>, open: &str| day.map_or(open.to_owned(), |day| day.to_string());
    let _ = writeln!(
        out,
        "Lots begun from {} to {}, days in {}",
        day(verification.period.from, "the first record"),
        day(verification.period.to, "the last record"),
        verification.zone
    );
    let (met, not_met, not_shown) = verification.counts();
    let _ = writeln!(
        out,
        "{} lots, {} critical limits: {met} met, {not_met} not met, {not_shown} not shown",
        verification.lots.len(),
        met + not_met + not_shown
    );
    if verification.other_lots > 0 {
        let days = verification.other_days.map(|(first, last)| format!(": begun from {first} to {last}"));
        let _ = writeln!(
            out,
            "{} lots of the register belong to other periods{}",
            verification.other_lots,
            days.unwrap_or_default()
        );
    }
}

/// Which text of the plan judged which lots, where there are several.
fn revisions(out: &mut String, verification: &Verification) {
    if verification.revisions.len() < 2 {
        return;
    }
    out.push_str("Each lot is judged by the text of the plan that was in force when it was begun:\n");
    for (index, one) in verification.revisions.iter().enumerate() {
        let own: Vec<&LotVerdicts> = verification.lots.iter().filter(|lot| lot.revision == index).collect();
        let span = match (own.first(), own.last()) {
            (Some(first), Some(last)) if first.code != last.code => format!(", {} to {}", first.code, last.code),
            (Some(first), _) => format!(", {}", first.code),
            _ => String::new(),
        };
        let _ = writeln!(out, "  {} ({}), {}: {} lots{span}", one.words(), one.short(), one.force(), own.len());
    }
}

/// Limits down, verdicts across.
fn grid(out: &mut String, plan: &Plan, verification: &Verification) {
    let mut rows: Vec<(String, [usize; 3])> = Vec::new();
    for control in &plan.controls {
        for limit in &control.limits {
            let name = format!("{}.{}", control.name, limit.name);
            let mut counts = [0; 3];
            for verdict in verification.lots.iter().flat_map(LotVerdicts::critical) {
                if verdict.is_of(control, limit) {
                    match verdict.verdict {
                        Verdict::Met => counts[0] += 1,
                        Verdict::NotMet => counts[1] += 1,
                        Verdict::NotShown => counts[2] += 1,
                    }
                }
            }
            if counts != [0; 3] {
                rows.push((name, counts));
            }
        }
    }
    if rows.is_empty() {
        return;
    }
    let width = rows.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0).max(14);
    let _ = writeln!(out, "\n{:width$}  {:>7} {:>8} {:>10}", "critical limit", "met", "not met", "not shown");
    for (name, [met, not_met, not_shown]) in rows {
        let _ = writeln!(out, "{name:width$}  {met:>7} {not_met:>8} {not_shown:>10}");
    }
}

/// Misses that were adjusted before the lot left the step: met or not, they are never passed over in silence.
fn adjusted(out: &mut String, verification: &Verification) {
    let mut said = false;
    for lot in &verification.lots {
        for limit in &lot.limits {
            for miss in limit.adjusted() {
                if !said {
                    let _ = writeln!(out, "\nMisses that were adjusted before the lot left the step:");
                    said = true;
                }
                let _ = writeln!(
                    out,
                    "  {}, {}.{} ({})\n      {miss}",
                    lot.code, limit.control, limit.limit, limit.verdict
                );
            }
        }
    }
}

/// Rules over successive lots or samples, apart from the limits of the lots.
fn series(out: &mut String, verification: &Verification) {
    if verification.series.is_empty() {
        return;
    }
    let _ = writeln!(out, "\nOver successive lots or samples (apart from the limits of each lot):");
    for one in &verification.series {
        let _ = writeln!(out, "  {}.{}: {}", one.control, one.series, one.symbols);
        let _ = writeln!(out, "      {}: {}", one.verdict, one.why);
        if one.verdict != Verdict::Met {
            for line in one.lines(verification.zone) {
                let _ = writeln!(out, "        {line}");
            }
        }
    }
}

/// By limit, then by reason, with the lots that each reason stands for.
fn lines(out: &mut String, plan: &Plan, verification: &Verification, wanted: Verdict, title: &str) {
    let mut said = false;
    for control in &plan.controls {
        for limit in &control.limits {
            let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
            let mut symbols = "";
            for lot in &verification.lots {
                let missed = lot.critical().filter(|one| one.verdict == wanted && one.is_of(control, limit));
                for one in missed {
                    symbols = &one.symbols;
                    match reasons.iter_mut().find(|(why, _)| *why == one.why) {
                        Some((_, lots)) => lots.push(&lot.code),
                        None => reasons.push((&one.why, vec![&lot.code])),
                    }
                }
            }
            if reasons.is_empty() {
                continue;
            }
            if !said {
                let _ = writeln!(out, "\n{title}:");
                said = true;
            }
            let _ = writeln!(out, "  {}.{}: {symbols}", control.name, limit.name);
            for (what, said) in limit.beside(plan, control) {
                let _ = writeln!(out, "    {}: {said}", what.to_lowercase());
            }
            for (why, lots) in reasons {
                let _ = writeln!(out, "    {}\n      {why}", lots.join(", "));
            }
        }
    }
}

fn instruments(out: &mut String, verification: &Verification) {
    for state in &verification.instruments {
        let bearing = |from: i64| verification.last.is_some_and(|last| from < last.0);
        for ((from, to), why) in state.untrusted.iter().zip(&state.why).filter(|((from, _), _)| bearing(*from)) {
            let end = |at: i64, open: &str| {
                if at == i64::MIN || at == i64::MAX {
                    open.to_owned()
                } else {
                    verification.zone.show_local(Instant(at - at % crate::time::SECOND))
                }
            };
            let _ = writeln!(
                out,
                "\nInstrument not trusted: {} from {} to {}: {why}",
                state.name,
                end(*from, "the start of the records"),
                end(*to, "the end of the records")
            );
        }
        for calibration in &state.calibrations {
            if let Some(due) = calibration.late_since {
                let _ = writeln!(
                    out,
                    "\nCalibration late: {} fell due on {due} and was good on {}; its results stand",
                    state.name,
                    verification.zone.show_local(calibration.at)
                );
            }
        }
    }
}

fn monitoring(out: &mut String, verification: &Verification) {
    let faults: Vec<_> =
        verification.watches.iter().filter(|watch| !watch.faults.is_empty() || !watch.open.is_empty()).collect();
    if faults.is_empty() {
        return;
    }
    let open = if faults.iter().all(|watch| watch.open.is_empty()) { "" } else { ", or not shown to be made" };
    let _ = writeln!(out, "\nChecks late or missed{open} (a fault of monitoring, not a limit that is not met):");
    for watch in faults {
        let _ = writeln!(out, "  {}: {}, {}", watch.control, watch.parameters, watch.promised);
        for (lot, why) in &watch.open {
            let _ = writeln!(out, "      {lot} not shown: {why}");
        }
        for (kind, lot, at) in &watch.faults {
            let _ = writeln!(out, "      {} {} at {}", lot, kind.word(), verification.zone.show_local(Instant(*at)));
        }
    }
}

fn affected(out: &mut String, records: &Records, verification: &Verification) {
    if verification.affected.is_empty() {
        return;
    }
    let _ = writeln!(out, "\nProduct in question between checks:");
    for one in &verification.affected {
        let at =
            |at: Option<i64>, open: &str| at.map_or(open.to_owned(), |at| verification.zone.show_local(Instant(at)));
        let lots = if one.lots.is_empty() { "no lot of the register".to_owned() } else { one.lots.join(", ") };
        let _ = writeln!(
            out,
            "  {}.{} from {} to {}: {}; lots {lots}",
            one.control,
            one.limit,
            at(one.from, "the start of the records"),
            at(one.to, "open"),
            one.cause
        );
        let shares: Vec<Share> = one.lots.iter().map(|code| Share::of(records, code)).collect();
        if !shares.is_empty() {
            let gone: Vec<&Share> = shares.iter().filter(|share| share.shipped.is_some()).collect();
            let left = if gone.is_empty() {
                String::new()
            } else {
                let codes: Vec<&str> = gone.iter().map(|share| share.code.as_str()).collect();
                format!("shipped already: {}, {}; ", codes.join(", "), total(gone.iter().copied()))
            };
            let _ = writeln!(out, "      {left}{} in all", total(&shares));
        }
    }
}
