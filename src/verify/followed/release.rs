//! Was each lot reviewed before it was shipped, by somebody else, and was nothing open?

use super::deviations::{Deviation, Event};
use super::rules;
use super::shares::{self, Share};
use crate::finding::Finding;
use crate::log::{Event as Happening, Lot, Records, RegisterKind, RegisterRow};
use crate::plan::Plan;
use crate::source::{Cell, Place};
use crate::time::Instant;
use crate::verify::Verification;
use std::collections::{BTreeMap, BTreeSet};

/// Review and shipping of one lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Release {
    /// The lot.
    pub lot: String,
    /// When it was shipped.
    pub shipped: Option<Instant>,
    /// When it was first reviewed for shipping, and by whom.
    pub reviewed: Option<(Instant, String)>,
}

pub(super) fn hold(
    plan: &Plan,
    records: &Records,
    whole: &Verification,
    deviations: &[Deviation],
    findings: &mut Vec<Finding>,
) -> Vec<Release> {
    let reviews = records.kept.contains(&RegisterKind::PreShipmentReviews);
    let actions = records.kept.contains(&RegisterKind::CorrectiveActions);
    let made = Made::of(records);
    let mut reviews_of = by_lot(records, |row| row.kind == RegisterKind::PreShipmentReviews);
    let to_destroy = by_lot(records, |row| row.kind == RegisterKind::CorrectiveActions && destroys(records, row));
    let mut releases = Vec::new();
    for lot in whole.lots.iter().filter_map(|lot| records.lots.get(lot.lot)) {
        let mut own: Vec<&RegisterRow> = reviews_of.remove(lot.code.as_str()).unwrap_or_default();
        own.sort_by_key(|row| (row.time("reviewed").is_none(), row.time("reviewed")));
        let shipped = lot.shipped.as_ref();
        if let Some(shipped) = shipped {
            made_first(plan, lot, shipped, findings);
            let decided = to_destroy.get(lot.code.as_str()).map_or(&[][..], Vec::as_slice);
            shipped_after_all(whole, lot, shipped, decided, findings);
            let open: Vec<String> = deviations
                .iter()
                // A lot may have been shipped before a later one made the rule over several missed.
                .filter(|one| one.event != Event::SeriesNotMet)
                .filter(|one| one.lots.iter().any(|share| share.code == lot.code && !share.decided_before))
                .map(|one| format!("{} ({})", one.about(), one.event.words()))
                .collect();
            if !open.is_empty() {
                let unknown = if actions { "" } else { "; no register of corrective actions was given" };
                let message =
                    format!("lot {} was shipped with open deviations: {}{unknown}", lot.code, open.join("; "));
                findings.push(
                    Finding::new(&rules::SHIPPED_OPEN, Place::Cell(shipped.cell.clone()), message)
                        .help("find where the product is, and have the person whom the plan names decide now"),
                );
            }
        }
        if reviews {
            reviewed(&made, whole, lot, &own, findings);
        }
        let first = own.first().and_then(|row| Some((row.time("reviewed")?, row.word("by").to_owned())));
        releases.push(Release { lot: lot.code.clone(), shipped: shipped.map(|event| event.at), reviewed: first });
    }
    releases
}

/// The rows of the registers that are asked for, by each lot that they name, in their order.
fn by_lot(records: &Records, asked: impl Fn(&RegisterRow) -> bool) -> BTreeMap<&str, Vec<&RegisterRow>> {
    let mut rows: BTreeMap<&str, Vec<&RegisterRow>> = BTreeMap::new();
    for row in records.registers.iter().filter(|row| asked(row)) {
        for code in &row.lots {
            rows.entry(code.as_str()).or_default().push(row);
        }
    }
    rows
}

/// Shipped before its last stage had ended.
fn made_first(plan: &Plan, lot: &Lot, shipped: &Happening, findings: &mut Vec<Finding>) {
    let stages = plan.steps.iter().flat_map(|step| &step.stages);
    let ended = stages.filter_map(|stage| lot.ended(&stage.from.text, &stage.ends_at()?.text)).max_by_key(|end| end.at);
    if let Some(ended) = ended.filter(|ended| shipped.at < ended.at) {
        let message = format!("lot {} was shipped before its `{}`", lot.code, ended.event);
        findings.push(
            Finding::new(&rules::SHIPPED_BEFORE_MADE, Place::Cell(shipped.cell.clone()), message)
                .with(Place::Cell(ended.cell.clone()), format!("`{}` stands here", ended.event)),
        );
    }
}

/// Words by which a decision says that product is not to be eaten, as they begin.
const DESTROYED: &[&str] = &["destroy", "destruct", "discard", "condemn", "dispose", "incinerat", "inedible", "waste"];

/// Whether a row decides, on all of the lots that it names, that they are not to be eaten.
fn destroys(records: &Records, row: &RegisterRow) -> bool {
    let said = row.word("disposition").to_lowercase();
    let denied = said.starts_with("not ") || said.contains(" not ");
    let mut words = said.split(|c: char| !c.is_alphanumeric());
    if denied || !words.any(|word| DESTROYED.iter().any(|stem| word.starts_with(stem))) {
        return false;
    }
    let made: Vec<_> = row.lots.iter().filter_map(|code| Share::of(records, code).quantity).collect();
    let part = row.quantity.zip(shares::sum(&made));
    part.is_none_or(|(decided, made)| decided.in_unit(made.unit).is_none_or(|decided| decided >= made.value))
}

/// Shipped after a decision, on all of it, that it is not to be eaten.
fn shipped_after_all(
    whole: &Verification,
    lot: &Lot,
    shipped: &Happening,
    decided: &[&RegisterRow],
    findings: &mut Vec<Finding>,
) {
    for row in decided.iter().filter(|row| row.time("decided").is_some_and(|at| at <= shipped.at)) {
        let message = format!(
            "lot {} was shipped at {}, and corrective action `{}` had decided on it: `{}`",
            lot.code,
            whole.zone.show_local(shipped.at),
            row.word("number"),
            row.word("disposition")
        );
        findings.push(
            Finding::new(&rules::SHIPPED_AFTER_ALL, Place::Cell(shipped.cell.clone()), message)
                .with(Place::Cell(row.cell.clone()), "decided here")
                .help("find out where the product is: one of the two registers is wrong, or it has left the plant"),
        );
    }
}

fn reviewed(made: &Made<'_>, whole: &Verification, lot: &Lot, own: &[&RegisterRow], findings: &mut Vec<Finding>) {
    if let [first, second, ..] = own {
        let message = format!("lot {} has {} pre-shipment reviews", lot.code, own.len());
        findings.push(
            Finding::new(&rules::REVIEWED_TWICE, Place::Cell(second.cell.clone()), message)
                .with(Place::Cell(first.cell.clone()), "the first review"),
        );
    }
    let timed = own.first().and_then(|row| Some((*row, row.time("reviewed")?)));
    let Some((row, at)) = timed else {
        if let Some(shipped) = &lot.shipped {
            let message = match own.first() {
                Some(_) => format!("the pre-shipment review of lot {} has no time, and the lot was shipped", lot.code),
                None => format!("lot {} was shipped, and no pre-shipment review holds it", lot.code),
            };
            findings.push(Finding::new(&rules::SHIPPED_UNREVIEWED, Place::Cell(shipped.cell.clone()), message));
        }
        return;
    };
    if let Some(shipped) = lot.shipped.as_ref().filter(|shipped| shipped.at < at) {
        let message = format!(
            "lot {} was shipped at {} and reviewed at {}",
            lot.code,
            whole.zone.show_local(shipped.at),
            whole.zone.show_local(at)
        );
        findings.push(
            Finding::new(&rules::REVIEWED_AFTER_SHIPPING, Place::Cell(row.cell.clone()), message)
                .with(Place::Cell(shipped.cell.clone()), "shipped here"),
        );
    }
    let makers = made.makers(&lot.code);
    let by = row.word("by").to_lowercase();
    if makers.contains(&by) {
        let message =
            format!("the pre-shipment review of lot {} is by `{}`, who made records of it", lot.code, row.word("by"));
        findings.push(Finding::new(&rules::OWN_REVIEW, Place::Cell(row.cell.clone()), message));
    }
    if let Some((last, place)) = made.last(&lot.code).filter(|(last, _)| at < *last) {
        let message = format!(
            "lot {} was reviewed for shipping at {}, before its last record of {}",
            lot.code,
            whole.zone.show_local(at),
            whole.zone.show_local(last)
        );
        findings.push(
            Finding::new(&rules::REVIEWED_TOO_EARLY, Place::Cell(row.cell.clone()), message)
                .with(place, "the last record"),
        );
    }
}

/// A check or sample that somebody typed.
struct Typed<'r> {
    at: Instant,
    cell: &'r Cell,
    by: Option<&'r str>,
}

/// Who typed the checks and samples of each lot, and when.
struct Made<'r>(BTreeMap<&'r str, Vec<Typed<'r>>>);

impl<'r> Made<'r> {
    fn of(records: &'r Records) -> Self {
        let mut all: BTreeMap<&str, Vec<Typed<'r>>> = BTreeMap::new();
        for check in &records.checks {
            if let Some(lot) = check.lot.as_deref() {
                let typed = Typed { at: check.at, cell: &check.cell, by: check.by.as_deref() };
                all.entry(lot).or_default().push(typed);
            }
        }
        for sample in &records.samples {
            let typed = Typed { at: sample.at, cell: &sample.cell, by: sample.by.as_deref() };
            all.entry(&sample.lot).or_default().push(typed);
        }
        Made(all)
    }

    fn of_lot(&self, lot: &str) -> &[Typed<'r>] {
        self.0.get(lot).map_or(&[], Vec::as_slice)
    }

    /// The initials of everybody who typed a record of the lot, in small letters.
    fn makers(&self, lot: &str) -> BTreeSet<String> {
        self.of_lot(lot).iter().filter_map(|typed| typed.by.map(str::to_lowercase)).collect()
    }

    /// The last check or sample of a lot.
    fn last(&self, lot: &str) -> Option<(Instant, Place)> {
        let last = self.of_lot(lot).iter().max_by_key(|typed| typed.at);
        last.map(|typed| (typed.at, Place::Cell(typed.cell.clone())))
    }
}
