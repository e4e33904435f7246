//! The things a plan is made of. One struct per block, one field per statement.

use super::kinds::{Answer, Class, ControlKind, MaterialKind, Outcome, Severity, SupportKind, Verb};
use super::limit::{Limit, Measured};
use super::{Name, Said};
use crate::quantity::Unit;
use crate::source::Loc;
use crate::time::{Calendar, Zone};
use chrono::NaiveDate;

/// A whole plan.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// The plan block.
    pub head: Option<Head>,
    /// The people who wrote it.
    pub team: Team,
    /// Jobs.
    pub roles: Vec<Role>,
    /// Finished foods.
    pub products: Vec<Product>,
    /// What enters.
    pub materials: Vec<Material>,
    /// Machines and lines.
    pub equipment: Vec<Equipment>,
    /// Measuring instruments.
    pub instruments: Vec<Instrument>,
    /// What is measured, answered or computed.
    pub parameters: Vec<Parameter>,
    /// Agents.
    pub hazards: Vec<Hazard>,
    /// The flow, in the order written.
    pub steps: Vec<Step>,
    /// Prerequisite programmes.
    pub programmes: Vec<Programme>,
    /// CCPs and other controls, in the order written.
    pub controls: Vec<Control>,
    /// Tables of limits.
    pub tables: Vec<Table>,
    /// Heat destruction of organisms.
    pub inactivations: Vec<Inactivation>,
    /// Growth of organisms.
    pub growth_models: Vec<GrowthModel>,
    /// Publications.
    pub sources: Vec<Citable>,
    /// Studies and trials.
    pub studies: Vec<Citable>,
    /// Kinds of record.
    pub records: Vec<RecordKind>,
    /// Moments that records name.
    pub events: Vec<Event>,
    /// Accepted findings.
    pub exceptions: Vec<Exception>,
    /// Files that belong to it.
    pub includes: Vec<Said<String>>,
    /// Every place where a value is left blank.
    pub blanks: Vec<Loc>,
    /// Names of blocks that could not be read: known to exist, so not reported as missing.
    pub broken: Vec<String>,
    /// Where the statements of each block stand, so that a finding can show where a missing one belongs.
    pub layout: Vec<Layout>,
}

/// The places of one block's statements.
#[derive(Debug, Clone)]
pub struct Layout {
    /// First line of the block.
    pub head: Loc,
    /// The word it begins with.
    pub word: String,
    /// Each statement's first word and place, in the order written.
    pub statements: Vec<(String, Loc)>,
}

/// The plan block.
#[derive(Debug, Clone)]
pub struct Head {
    /// Name of the plan.
    pub name: Name,
    /// Title on the cover.
    pub title: Option<String>,
    /// Name of the plant.
    pub establishment: Option<String>,
    /// Where it stands.
    pub address: Option<String>,
    /// What the plan covers.
    pub scope: Option<String>,
    /// Rules it answers to.
    pub regimes: Vec<Name>,
    /// Decision tree.
    pub tree: Option<Name>,
    /// Zone of days, shifts and typed times.
    pub zone: Option<Said<Zone>>,
    /// Number, date, reason of this text.
    pub revision: Option<Revision>,
    /// Day from which it is in force.
    pub in_force: Option<Said<NaiveDate>>,
    /// Flow confirmed on site.
    pub flow_confirmed: Option<Dated>,
    /// How often it is reassessed.
    pub reassess: Option<Said<Calendar>>,
    /// Last reassessment.
    pub reassessed: Option<Dated>,
    /// First line of the block.
    pub loc: Loc,
}

/// Number, date and reason of a text.
#[derive(Debug, Clone)]
pub struct Revision {
    /// The number as written.
    pub number: String,
    /// The date; `None` while blank.
    pub date: Option<NaiveDate>,
    /// The reason.
    pub reason: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// Something done on a day by a role.
#[derive(Debug, Clone)]
pub struct Dated {
    /// The day; `None` while blank.
    pub date: Option<NaiveDate>,
    /// Who.
    pub by: Name,
    /// A remark.
    pub note: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// The people who wrote the plan.
#[derive(Debug, Clone, Default)]
pub struct Team {
    /// Role and discipline of each; the leader first where one is named.
    pub members: Vec<Member>,
    /// Expertise from outside: who, for what.
    pub outside: Vec<(String, String)>,
    /// First line of the block, if there is one.
    pub loc: Option<Loc>,
}

/// A member of the team.
#[derive(Debug, Clone)]
pub struct Member {
    /// The role.
    pub role: Name,
    /// The discipline.
    pub discipline: String,
    /// Whether this is the leader.
    pub leads: bool,
}

/// A job.
#[derive(Debug, Clone)]
pub struct Role {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Courses and their dates.
    pub trained: Vec<(String, Option<NaiveDate>)>,
    /// Duties.
    pub duties: Option<String>,
    /// First line.
    pub loc: Loc,
}

/// A finished food.
#[derive(Debug, Clone)]
pub struct Product {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// What sort.
    pub kind: Option<Name>,
    /// What it is.
    pub description: Option<String>,
    /// Intended use.
    pub intended_use: Option<String>,
    /// Consumers.
    pub consumers: Option<String>,
    /// Packaging.
    pub packaging: Option<String>,
    /// Shelf life and how it was set.
    pub shelf_life: Option<(Term, Option<String>)>,
    /// Storage.
    pub storage: Option<String>,
    /// Distribution.
    pub distribution: Option<String>,
    /// Label statements.
    pub label: Option<String>,
    /// Values that matter for safety.
    pub properties: Vec<Property>,
    /// Allergens it is asserted to carry; `None` if nothing was said, empty for `none`.
    pub allergens: Option<Said<Vec<Name>>>,
    /// Allergens that may get in, with the assessment.
    pub may_contain: Vec<(Vec<Name>, String)>,
    /// First line.
    pub loc: Loc,
}

/// A value that makes a product what it is.
#[derive(Debug, Clone)]
pub struct Property {
    /// Parameter.
    pub name: Name,
    /// Where it comes from.
    pub from: PropertyFrom,
    /// The statement.
    pub loc: Loc,
}

/// Where a product's property comes from.
#[derive(Debug, Clone)]
pub enum PropertyFrom {
    /// The limits of a control on a parameter.
    Control(Name, Name),
    /// Stated: a comparison and a value.
    Stated(String, Measured),
}

/// A length of time by the clock or by the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Term {
    /// By the calendar.
    Calendar(Calendar),
    /// By the clock.
    Clock(Measured),
    /// Left blank.
    Blank,
}

/// What enters.
#[derive(Debug, Clone)]
pub struct Material {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// What sort.
    pub kind: Option<MaterialKind>,
    /// Supplier.
    pub supplier: Option<String>,
    /// Storage.
    pub storage: Option<String>,
    /// Specification.
    pub specification: Option<String>,
    /// Allergens; `None` if nothing was said, empty for `none`.
    pub allergens: Option<Said<Vec<Name>>>,
    /// Hazard analysis.
    pub analysis: Analysis,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

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

/// A machine or line.
#[derive(Debug, Clone)]
pub struct Equipment {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Programmes that keep it clean.
    pub cleaned_by: Vec<Name>,
    /// Hygiene zone.
    pub zone: Option<Name>,
    /// Allergens it carries over.
    pub allergens: Option<Said<Vec<Name>>>,
    /// What it is.
    pub description: Option<String>,
    /// First line.
    pub loc: Loc,
}

/// A measuring instrument.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// What it measures.
    pub measures: Vec<Name>,
    /// Serial number.
    pub serial: Option<String>,
    /// Range.
    pub range: Option<(Measured, Measured)>,
    /// Smallest step.
    pub resolution: Option<Measured>,
    /// Accuracy, a difference.
    pub accuracy: Option<Measured>,
    /// Calibration.
    pub calibration: Option<Calibration>,
    /// After how long an unchanged reading shows nothing.
    pub stuck_after: Option<Measured>,
    /// First line.
    pub loc: Loc,
}

/// How an instrument is calibrated.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// How often.
    pub every: Term,
    /// Within what, a difference.
    pub within: Measured,
    /// By whom.
    pub by: Name,
    /// On which record.
    pub record: Name,
    /// How.
    pub method: Option<String>,
    /// The statement.
    pub loc: Loc,
}

/// Something measured, answered or computed.
#[derive(Debug, Clone)]
pub struct Parameter {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Unit in which it is shown.
    pub unit: Option<Said<Unit>>,
    /// Closed set of answers; empty for a measured one.
    pub answers: Vec<Name>,
    /// Formula.
    pub formula: Option<Formula>,
    /// How far apart paired readings may be.
    pub pairing: Option<Measured>,
    /// Places at which it is measured.
    pub probes: Vec<Name>,
    /// For a fact about the lot: once each what, on which record.
    pub recorded: Option<(String, Name)>,
    /// First line.
    pub loc: Loc,
}

/// How a parameter is computed from others.
#[derive(Debug, Clone)]
pub enum Formula {
    /// Relative humidity from dry and wet bulb, at a pressure if stated.
    Humidity {
        /// Dry bulb.
        dry: Name,
        /// Wet bulb.
        wet: Name,
        /// Air pressure; the standard atmosphere if not stated.
        pressure: Option<Measured>,
    },
    /// Two parameters and a sign.
    Arithmetic {
        /// First.
        left: Name,
        /// `/`, `-` or `+`.
        sign: char,
        /// Second.
        right: Name,
    },
}

impl Formula {
    /// The parameters it is computed from.
    #[must_use]
    pub fn inputs(&self) -> [&Name; 2] {
        match self {
            Formula::Humidity { dry, wet, .. } => [dry, wet],
            Formula::Arithmetic { left, right, .. } => [left, right],
        }
    }
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
    /// Event that ends it.
    pub to: Name,
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

/// How often something is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cadence {
    /// The rhythm.
    pub rhythm: Rhythm,
    /// Allowance on it.
    pub late_after: Option<Measured>,
    /// Where it stands.
    pub loc: Loc,
}

/// The rhythm of a cadence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rhythm {
    /// By a recorder, with its step.
    Continuously(Option<Measured>),
    /// Every so often.
    Every(Term),
    /// So many times per period.
    TimesPer(u32, String),
    /// For each lot, load, delivery, batch, shift or day.
    Each(String),
    /// When an event happens.
    At(Name),
    /// After an event has happened.
    After(Name),
}

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

/// Rows of published limits.
#[derive(Debug, Clone)]
pub struct Table {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Rows: range, over what, when.
    pub rows: Vec<TableRow>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

/// One row of a table.
#[derive(Debug, Clone)]
pub struct TableRow {
    /// Which values.
    pub range: super::limit::Range,
    /// Over what.
    pub over: super::limit::Over,
    /// When it counts.
    pub guard: Option<super::limit::Guard>,
    /// The statement.
    pub loc: Loc,
}

/// Heat destruction of an organism, log-linear.
#[derive(Debug, Clone)]
pub struct Inactivation {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// D and its temperature.
    pub d: Option<(Measured, Measured)>,
    /// z, a difference.
    pub z: Option<Measured>,
    /// Temperatures for which it holds.
    pub range: Option<(Measured, Measured)>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

/// Growth of an organism by temperature.
#[derive(Debug, Clone)]
pub struct GrowthModel {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Lowest temperature of growth.
    pub minimum: Option<Measured>,
    /// Temperature of fastest growth.
    pub optimum: Option<Measured>,
    /// Highest temperature of growth.
    pub maximum: Option<Measured>,
    /// Rate at the optimum.
    pub rate: Option<Measured>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

/// A publication or a study.
#[derive(Debug, Clone)]
pub struct Citable {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// Publisher of a publication.
    pub publisher: Option<String>,
    /// Edition of a publication.
    pub edition: Option<String>,
    /// Where the copy is, or the file of a study.
    pub place: Option<String>,
    /// The edition it replaces.
    pub replaces: Option<String>,
    /// Date of a study.
    pub date: Option<Said<Option<NaiveDate>>>,
    /// What a study showed.
    pub finding: Option<String>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// First line.
    pub loc: Loc,
}

/// A place in a source or study.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Citation {
    /// Which.
    pub name: Name,
    /// Where in it.
    pub at: Option<String>,
}

/// A kind of record.
#[derive(Debug, Clone)]
pub struct RecordKind {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// How long it is kept, and where.
    pub kept: Option<(Term, Option<String>)>,
    /// First line.
    pub loc: Loc,
}

/// A moment that a record names.
#[derive(Debug, Clone)]
pub struct Event {
    /// Name.
    pub name: Name,
    /// On which record.
    pub record: Name,
    /// What it is.
    pub title: Option<String>,
    /// The line.
    pub loc: Loc,
}

/// An accepted finding.
#[derive(Debug, Clone)]
pub struct Exception {
    /// Name of the rule.
    pub rule: Name,
    /// The thing it is confined to.
    pub at: Option<Name>,
    /// Why.
    pub because: String,
    /// Who accepts it.
    pub by: Name,
    /// Last day; `None` while blank.
    pub until: Option<NaiveDate>,
    /// The line.
    pub loc: Loc,
}
