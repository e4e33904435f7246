//! The sections of the plan document, in the order of the twelve steps of Codex (CXC 1-1969, chapter two).

pub(super) mod ccp;
pub(super) mod changes;
mod clauses;
pub(super) mod closing;
pub(super) mod cover;
mod evidence;
pub(super) mod food;
mod hazards;
mod measure;
mod proof;
mod terms;

use super::Order;
use super::labels::Labels;
use super::page::{Page, Section, number};
use crate::plan::{Control, Name, Plan};

/// The whole page of a plan.
#[must_use]
pub fn page(order: &Order<'_>) -> Page {
    let labels = Labels::new(order.plan);
    let mut sections: Vec<Section> = vec![
        food::scope_and_team(&labels),
        food::products(&labels),
        food::materials(&labels),
        food::flow(&labels),
        hazards::analysis(&labels),
        ccp::summary(&labels),
        ccp::each(&labels),
        ccp::others(&labels),
        proof::programmes(&labels),
        measure::section(&labels),
        proof::schedule(&labels),
        proof::records(&labels),
        evidence::section(&labels),
    ];
    sections.extend(clauses::section(order));
    sections.extend(closing::blanks(order, &labels));
    sections.push(closing::revision(order, &labels));
    sections.push(terms::section(order));
    sections.push(closing::cautions());
    number(&mut sections, "");
    cover::page(order, &labels, sections)
}

/// The hazards that rows of the analysis send to a control, once each, with the places where they do so.
fn hazards_of<'a>(plan: &'a Plan, control: &Control) -> Vec<(&'a Name, Vec<Place<'a>>)> {
    let mut found: Vec<(&Name, Vec<Place<'_>>)> = Vec::new();
    let materials = plan.materials.iter().map(|material| (Place::Material(&material.name), &material.analysis));
    let steps = plan.steps.iter().map(|step| (Place::Step(&step.name), &step.analysis));
    for (place, analysis) in materials.chain(steps) {
        for row in &analysis.rows {
            if !row.controls.iter().any(|(name, _)| *name == control.name) {
                continue;
            }
            for hazard in &row.hazards {
                match found.iter_mut().find(|(name, _)| *name == hazard) {
                    Some((_, places)) => places.push(place),
                    None => found.push((hazard, vec![place])),
                }
            }
        }
    }
    found
}

/// Where a row of the hazard analysis stands.
#[derive(Debug, Clone, Copy)]
enum Place<'a> {
    Material(&'a Name),
    Step(&'a Name),
}
