//! The things a plan is made of. One struct per block, one field per statement.

mod analysis;
mod control;
mod evidence;
mod food;
mod measure;
mod people;
mod series;

pub use analysis::{Analysis, Gives, Hazard, HazardRow, Programme, Routine, Significance, Stage, StageEnd, Step};
pub use control::{Control, Deviation, HoldBack, Monitor, Validated, Verify, VerifyWhen};
pub use evidence::{Citable, Citation, Exception, GrowthModel, Inactivation, Meets, Table, TableRow};
pub use food::{Equipment, Event, Material, Product, Property, PropertyFrom, RecordKind};
pub use measure::{Cadence, Calibration, Expression, Formula, Instrument, Parameter, Rhythm, Term};
pub use people::{Considered, Dated, Head, Member, Qualified, Revision, Role, Team};
pub use series::{Series, SeriesOf};

use crate::plan::Said;
use crate::source::Loc;

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
    /// Which blocks say that they answer clauses of a regime.
    pub meets: Vec<Meets>,
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
    /// First words of statements that could not be read; what they meant to say is not lacking.
    pub unread: Vec<String>,
}
