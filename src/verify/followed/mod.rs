//! What was done about deviations, and whether product waited for it: corrective actions, reviews, shipping.
//!
//! Four kinds of event are kept apart: a limit not met, a limit not shown, a check missed, an instrument not trusted.
//! Each is matched to the corrective actions that name it. That a person decided is checked; what was decided is not.

mod actions;
mod alike;
mod complaints;
mod conduct;
mod deviations;
mod moving;
mod people;
mod release;
mod reviews;
pub mod rules;
mod shares;
mod words;

pub use actions::Action;
pub use complaints::Complaints;
pub use conduct::{Entries, WRITTEN_WITHIN};
pub use deviations::{Deviation, Event};
pub use release::Release;
pub use reviews::Reviewed;
pub use shares::{Share, total};
pub use words::state;

use super::Verification;
use crate::clause::{Clause, clause};
use crate::finding::Finding;
use crate::log::{Records, RegisterKind};
use crate::plan::Plan;
use std::collections::BTreeSet;

/// What the registers say about the period.
#[derive(Debug, Clone, Default)]
pub struct Followed {
    /// The kinds of register that there are.
    pub kept: BTreeSet<RegisterKind>,
    /// What happened, in the order of the plan.
    pub deviations: Vec<Deviation>,
    /// The corrective actions that concern the period, in the order of the register.
    pub actions: Vec<Action>,
    /// Shipping and review of each lot of the period.
    pub releases: Vec<Release>,
    /// Whether records were reviewed and monitoring was observed as promised.
    pub reviewed: Vec<Reviewed>,
    /// Complaints, where there is a register of them.
    pub complaints: Complaints,
    /// When entries were written, where the mapping names a column for it.
    pub entries: Vec<Entries>,
    /// Whether any lot of the register has a time of shipping.
    pub shipping_known: bool,
}

impl Followed {
    /// The kinds that nobody gave a register of, in words.
    #[must_use]
    pub fn not_looked_at(&self) -> Vec<&'static str> {
        let asked = [
            RegisterKind::CorrectiveActions,
            RegisterKind::PreShipmentReviews,
            RegisterKind::RecordReviews,
            RegisterKind::Observations,
            RegisterKind::InstrumentChecks,
            RegisterKind::Training,
            RegisterKind::Complaints,
        ];
        asked.into_iter().filter(|kind| !self.kept.contains(kind)).map(RegisterKind::title).collect()
    }

    /// Deviations that are open for a lot that has been shipped, each with the lots. Without a register of corrective
    /// actions every deviation is open.
    pub fn shipped_open(&self) -> impl Iterator<Item = (&Deviation, Vec<&Share>)> {
        let held = self.deviations.iter().filter(|deviation| deviation.event != Event::SeriesNotMet);
        held.filter_map(|deviation| {
            let shares: Vec<&Share> =
                deviation.lots.iter().filter(|share| share.shipped.is_some() && !share.decided_before).collect();
            (!shares.is_empty()).then_some((deviation, shares))
        })
    }
}

/// What the regimes of a plan ask for when product from a deviation has left the plant.
#[must_use]
pub fn duties(plan: &Plan) -> Vec<&'static Clause> {
    let regimes = plan.regimes();
    ["fsis.418.2", "fsis.418.3", "pc.117.139", "eu.178.19", "codex.trace"]
        .into_iter()
        .filter_map(clause)
        .filter(|clause| clause.of_any(&regimes))
        .collect()
}

/// Holds the registers against what was judged; what is wrong joins the findings.
pub(super) fn follow(plan: &Plan, records: &Records, whole: &Verification) -> (Followed, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut deviations = deviations::all(plan, records, whole);
    let actions = if records.kept.contains(&RegisterKind::CorrectiveActions) {
        actions::hold(plan, records, whole, &mut deviations, &mut findings)
    } else {
        Vec::new()
    };
    let releases = release::hold(plan, records, whole, &deviations, &mut findings);
    let reviewed = reviews::hold(plan, records, whole, &mut findings);
    conduct::hold(records, whole, &mut findings);
    let entries = conduct::written(records, whole, &mut findings);
    alike::hold(records, whole, &mut findings);
    moving::hold(records, whole, &mut findings);
    if records.kept.contains(&RegisterKind::Training) {
        people::hold(records, whole, &mut findings);
    }
    let complaints = complaints::hold(records, whole, &deviations, &mut findings);
    revision(plan, whole, &mut findings);
    crate::finding::narrow(&mut findings, &plan.regimes());
    let followed = Followed {
        kept: records.kept.clone(),
        deviations,
        actions,
        releases,
        reviewed,
        complaints,
        entries,
        shipping_known: records.lots.iter().any(|lot| lot.shipped.is_some()),
    };
    (followed, findings)
}

/// Lots begun before the plan was in force.
fn revision(plan: &Plan, whole: &Verification, findings: &mut Vec<Finding>) {
    let Some(force) = plan.head.as_ref().and_then(|head| head.in_force.as_ref()) else { return };
    let from = match whole.revisions.first() {
        Some(earliest) => earliest.from.unwrap_or(force.value),
        None => force.value,
    };
    let early: Vec<&str> = whole
        .lots
        .iter()
        .filter(|lot| lot.begun.is_some_and(|at| whole.zone.local(at).date() < from))
        .map(|lot| lot.code.as_str())
        .collect();
    let Some(first) = early.first() else { return };
    let which = match early.len() {
        1 => format!("lot {first} was begun"),
        count => format!("{count} lots, the first of them {first}, were begun"),
    };
    let several = whole.revisions.len() > 1;
    let this = if several { "the earliest revision given" } else { "this revision" };
    let message = format!("{which} before {from}, from which {this} is in force");
    findings.push(
        Finding::at(&rules::BEFORE_REVISION, force.loc, message)
            .help("give the text of the plan that was in force then with `--earlier`"),
    );
}
