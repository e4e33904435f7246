//! The change between two texts of a plan, in the words of the trade, and what each change demands.
//!
//! Both plans are taken apart into things and sayings ([`take`]); a saying has a printed form and an exact one, and two
//! are the same if their exact forms are. Layout, comments, the order of blocks, the unit in which a figure is written
//! and the name by which a thing is called are no part of the exact form.

mod after;
mod demand;
mod differ;
mod kind;
mod limits;
mod names;
mod said;
mod take;

pub use demand::Demand;
pub use kind::{Bearing, Kind};

use crate::check::coverage::{Applies, applies, in_force};
use crate::clause::Clause;
use crate::plan::Plan;
use crate::source::Loc;

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Which kind.
    pub kind: Kind,
    /// Of what, as in `` limit `core-hold` of ccp `lethality` ``.
    pub what: String,
    /// In which respect, as in `supplier`; `None` where the whole thing came or went.
    pub respect: Option<&'static str>,
    /// What was said before.
    pub from: Option<String>,
    /// What is said now.
    pub to: Option<String>,
    /// By how much, where it is a figure.
    pub amount: Option<String>,
    /// What must be known to read it rightly.
    pub note: Option<String>,
    /// Where it stands in the old text.
    pub old: Option<Loc>,
    /// Where it stands in the new text.
    pub new: Option<Loc>,
}

impl Change {
    /// What it is, in words: `` limit loosened: limit `core-hold` of ccp `lethality`, by 2 °C ``.
    #[must_use]
    pub fn title(&self) -> String {
        let word = self.kind.word();
        let respect = match self.respect {
            // The kind says it already.
            Some(said) if !word.starts_with(said) && said != "limit" && said != "name" => format!(", {said}"),
            _ => String::new(),
        };
        let amount = self.amount.as_ref().map_or_else(String::new, |amount| format!(", by {amount}"));
        format!("{}: {}{respect}{amount}", word.replace('-', " "), self.what)
    }

    /// What it demands.
    #[must_use]
    pub fn demands(&self) -> &'static [Demand] {
        self.kind.demands()
    }
}

/// A demand, with the changes that make it and the clauses that ask for it.
#[derive(Debug, Clone)]
pub struct Demanded {
    /// What is to be done.
    pub demand: Demand,
    /// Clauses of the plan's regimes that ask for it; empty where none does, and it is common practice.
    pub clauses: Vec<&'static Clause>,
    /// The changes that make it: positions in [`Comparison::changes`].
    pub changes: Vec<usize>,
}

/// What changed between two texts of a plan.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Every change: what bears against control first, then what cannot be said, then what bears for it.
    pub changes: Vec<Change>,
    /// Everything that the changes demand.
    pub demanded: Vec<Demanded>,
}

impl Comparison {
    /// The clauses on which a demand rests.
    #[must_use]
    pub fn clauses(&self, demand: Demand) -> &[&'static Clause] {
        self.demanded.iter().find(|one| one.demand == demand).map_or(&[], |one| &one.clauses)
    }
}

/// Compares two texts of a plan.
#[must_use]
pub fn compare(old: &Plan, new: &Plan) -> Comparison {
    let mut changes = differ::differ(old, new);
    // What must be validated anew comes first under each heading; the rest stays in the order of the text.
    changes.sort_by_key(|change| (change.kind.bearing(), !change.demands().contains(&Demand::Validate)));
    let asked = |clause: &Clause| {
        [old, new]
            .iter()
            .any(|plan| in_force(plan, clause) && !matches!(applies(plan, clause), Applies::No | Applies::SaidNot))
    };
    let demanded = Demand::ALL.iter().filter_map(|&demand| {
        let by = changes.iter().enumerate().filter(|(_, change)| change.demands().contains(&demand));
        let by: Vec<usize> = by.map(|(at, _)| at).collect();
        let clauses = demand.keys().iter().filter_map(|key| crate::clause::clause(key));
        let clauses = clauses.filter(|clause| asked(clause)).collect();
        (!by.is_empty()).then_some(Demanded { demand, clauses, changes: by })
    });
    let demanded = demanded.collect();
    Comparison { changes, demanded }
}
