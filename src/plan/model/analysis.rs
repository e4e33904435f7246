//! The flow and the hazard analysis.

use super::{Cadence, Citation, Verify};
use crate::plan::Name;
use crate::plan::kinds::{Answer, Class, Outcome, Severity, Verb};
use crate::source::Loc;

/// The hazard analysis of one step or material.
#[derive(Debug, Clone, Default)]
pub struct Analysis {
    /// Rows.
    pub rows: Vec<HazardRow>,
    /// Classes answered *no*, each with its reason.
    pub none: Vec<(Class, String, Loc)>,
    /// The reason why there is nothing else.
    pub no_other: Option<(String, Loc)>,
}

/// A row of the hazard analysis.
#[derive(Debug, Clone)]
pub struct HazardRow {
    /// Which hazards.
    pub hazards: Vec<Name>,
    /// What happens with them.
    pub verb: Verb,
    /// Likelihood, with a remark.
    pub likelihood: Option<(Name, Option<String>)>,
    /// Whether significant, and why.
    pub significance: Option<Significance>,
    /// Answers to the decision tree.
    pub decision: Vec<(Name, Answer)>,
    /// Controls, with a word on how.
    pub controls: Vec<(Name, Option<String>)>,
    /// The row's first line.
    pub loc: Loc,
}

/// Whether a hazard is significant here.
#[derive(Debug, Clone)]
pub struct Significance {
    /// Yes or no.
    pub significant: bool,
    /// Why.
    pub why: String,
    /// Programmes that a *no* relies on.
    pub relies_on: Vec<Name>,
    /// The statement.
    pub loc: Loc,
}

/// An agent.
#[derive(Debug, Clone)]
pub struct Hazard {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Class.
    pub class: Option<Class>,
    /// Severity and why.
    pub severity: Option<(Severity, Option<String>)>,
    /// Acceptable level in the food.
    pub acceptable_level: Option<String>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

/// A step of the flow.
#[derive(Debug, Clone)]
pub struct Step {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Pinned number.
    pub number: Option<String>,
    /// What happens.
    pub does: Option<String>,
    /// Where the flow begins.
    pub starts: bool,
    /// Where it ends.
    pub dispatches: bool,
    /// Steps it follows, where said.
    pub after: Vec<Name>,
    /// Materials and equipment that enter.
    pub uses: Vec<Name>,
    /// What leaves beside the product.
    pub gives: Vec<Gives>,
    /// Products it is for; empty for all.
    pub only_for: Vec<Name>,
    /// Hygiene zone.
    pub zone: Option<Name>,
    /// Stages.
    pub stages: Vec<Stage>,
    /// Hazard analysis.
    pub analysis: Analysis,
    /// First line.
    pub loc: Loc,
}

/// What leaves a step beside the product.
#[derive(Debug, Clone)]
pub struct Gives {
    /// What.
    pub name: Name,
    /// As what.
    pub outcome: Outcome,
    /// To which step, for rework.
    pub to: Option<Name>,
}

/// A stretch of time between two events.
#[derive(Debug, Clone)]
pub struct Stage {
    /// Name.
    pub name: Name,
    /// Event that begins it.
    pub from: Name,
    /// What ends it.
    pub to: StageEnd,
}

/// What ends a stage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StageEnd {
    /// An event that a record names.
    Event(Name),
    /// A limit of the plan: the first instant at which it has been met.
    Met(Name),
}

impl Stage {
    /// The event that ends it; none where a limit does.
    #[must_use]
    pub fn ends_at(&self) -> Option<&Name> {
        match &self.to {
            StageEnd::Event(event) => Some(event),
            StageEnd::Met(_) => None,
        }
    }

    /// The limit whose being met ends it.
    #[must_use]
    pub fn ends_when(&self) -> Option<&Name> {
        match &self.to {
            StageEnd::Met(limit) => Some(limit),
            StageEnd::Event(_) => None,
        }
    }
}

/// A prerequisite programme.
#[derive(Debug, Clone)]
pub struct Programme {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// What it is about.
    pub covers: Option<String>,
    /// Where the procedure is.
    pub procedure: Option<String>,
    /// What is done.
    pub routines: Vec<Routine>,
    /// Verification.
    pub verify: Vec<Verify>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

/// Something a programme does.
#[derive(Debug, Clone)]
pub struct Routine {
    /// What.
    pub what: String,
    /// How often.
    pub often: Cadence,
    /// By whom.
    pub by: Name,
    /// On which record.
    pub record: Name,
}
