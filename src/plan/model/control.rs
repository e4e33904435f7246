//! CCPs and other controls.

use super::{Cadence, Citation, Series, Term};
use crate::plan::Name;
use crate::plan::kinds::{ControlKind, SupportKind};
use crate::plan::limit::Limit;
use crate::source::Loc;
use chrono::NaiveDate;

/// A CCP or another control.
#[derive(Debug, Clone)]
pub struct Control {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Pinned number.
    pub number: Option<String>,
    /// What sort.
    pub kind: Option<ControlKind>,
    /// Steps at which it works.
    pub at: Vec<Name>,
    /// Limits of all kinds, in the order written.
    pub limits: Vec<Limit>,
    /// Rules over successive lots or samples.
    pub series: Vec<Series>,
    /// Monitoring.
    pub monitors: Vec<Monitor>,
    /// What is done when a limit is not met.
    pub deviation: Option<Deviation>,
    /// Verification.
    pub verify: Vec<Verify>,
    /// Validation.
    pub validated: Vec<Validated>,
    /// The reason.
    pub because: Option<String>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

impl Control {
    /// Whether it is a CCP.
    #[must_use]
    pub fn is_ccp(&self) -> bool {
        self.kind == Some(ControlKind::Ccp)
    }

    /// The monitoring of a parameter.
    #[must_use]
    pub fn monitor_of(&self, parameter: &str) -> Option<&Monitor> {
        self.monitors.iter().find(|monitor| monitor.parameters.iter().any(|name| name == parameter))
    }
}

/// Monitoring of parameters.
#[derive(Debug, Clone)]
pub struct Monitor {
    /// What.
    pub parameters: Vec<Name>,
    /// How often.
    pub often: Cadence,
    /// By whom.
    pub by: Name,
    /// With which instruments.
    pub using: Vec<Name>,
    /// On which record.
    pub record: Name,
    /// How and where.
    pub how: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// What is done when a limit is not met.
#[derive(Debug, Clone)]
pub struct Deviation {
    /// How product is held.
    pub hold: Option<String>,
    /// How far back.
    pub hold_back: Option<HoldBack>,
    /// The event before which a good check adjusts a miss.
    pub adjust: Option<Name>,
    /// Cause found and removed.
    pub cause: Option<String>,
    /// Control restored.
    pub restore: Option<String>,
    /// Kept from happening again.
    pub prevent: Option<String>,
    /// What may become of the product, and who decides.
    pub disposition: Option<(Vec<Name>, Name)>,
    /// On which record.
    pub record: Option<Name>,
    /// First line.
    pub loc: Loc,
}

/// How far back product is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoldBack {
    /// To the last good check.
    LastGoodCheck,
    /// To the last check with every limit met.
    LastCheckWithEveryLimitMet,
}

/// A verification activity.
#[derive(Debug, Clone)]
pub struct Verify {
    /// Which, such as `record-review`.
    pub activity: Name,
    /// A remark.
    pub what: Option<String>,
    /// How often, or within what.
    pub when: VerifyWhen,
    /// By whom.
    pub by: Name,
    /// On which record.
    pub record: Option<Name>,
    /// The statement.
    pub loc: Loc,
}

/// When a verification activity is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum VerifyWhen {
    /// In a rhythm.
    Often(Cadence),
    /// Within a time of what it verifies.
    Within(Term),
}

/// A validation.
#[derive(Debug, Clone)]
pub struct Validated {
    /// The day; `None` while blank.
    pub date: Option<NaiveDate>,
    /// What it rests on.
    pub support: Vec<(SupportKind, Name)>,
    /// The statement.
    pub loc: Loc,
}
