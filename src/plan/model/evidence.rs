//! Tables, models, publications, and accepted findings.

use crate::plan::limit::{Guard, Measured, Over, Range};
use crate::plan::{Name, Said};
use crate::source::Loc;
use chrono::NaiveDate;

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
    /// Its name, where a choice names it.
    pub name: Option<Name>,
    /// Which values.
    pub range: Range,
    /// Over what.
    pub over: Over,
    /// When it counts.
    pub guard: Option<Guard>,
    /// Whether it is for the lots that no other row is for, one with an unknown fact among them.
    pub otherwise: bool,
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

impl Citation {
    /// Its title, or its name where the plan has no such thing, and the place in it.
    #[must_use]
    pub fn words(&self, plan: &crate::plan::Plan) -> String {
        let title = plan.citable(&self.name.text).and_then(|one| one.title.as_deref()).unwrap_or(&self.name.text);
        self.at.as_ref().map_or_else(|| title.to_owned(), |at| format!("{title}, {at}"))
    }
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

/// A block says that it answers a clause.
#[derive(Debug, Clone)]
pub struct Meets {
    /// The clause as the trade cites it, as in `9 CFR 416.12(a)`.
    pub citation: Said<String>,
    /// The word of the block, such as `programme`.
    pub block: String,
    /// The name of the block.
    pub name: Name,
    /// First line of the block.
    pub head: Loc,
}
