//! Products, materials, equipment, and what is recorded of them.

use super::{Analysis, Citation, Term};
use crate::plan::kinds::MaterialKind;
use crate::plan::limit::Measured;
use crate::plan::{Name, Said};
use crate::source::Loc;

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
    /// Processing category.
    pub category: Option<Name>,
    /// Whether it is refrigerated, frozen or shelf-stable.
    pub storage_class: Option<Name>,
    /// How Listeria is held after the lethal step, and by what.
    pub listeria_alternative: Option<Said<(String, String)>>,
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

/// A kind of record.
#[derive(Debug, Clone)]
pub struct RecordKind {
    /// Name.
    pub name: Name,
    /// Title.
    pub title: Option<String>,
    /// How long it is kept, and where.
    pub kept: Option<(Term, Option<String>)>,
    /// What each entry holds.
    pub carries: Option<Said<Vec<Name>>>,
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
