//! Every kind of finding, in one list.

pub mod disk;
pub mod sums;

use crate::finding::Rule;

/// All rules, by code.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    let mut all: Vec<&'static Rule> =
        [crate::syntax::RULES, crate::plan::lower::RULES, crate::plan::names::RULES, crate::plan::dimensions::RULES]
            .into_iter()
            .chain(crate::check::rules())
            .chain([
                crate::plan::beside::RULES,
                crate::log::RULES,
                crate::verify::RULES,
                crate::verify::followed::rules::RULES,
                disk::RULES,
                sums::RULES,
            ])
            .chain([crate::signoff::RULES, crate::signoff::sign::RULES])
            .flatten()
            .copied()
            .collect();
    all.sort_by_key(|rule| rule.code);
    all
}

/// The rule of this code or name.
#[must_use]
pub fn rule(key: &str) -> Option<&'static Rule> {
    rules().into_iter().find(|rule| rule.code.eq_ignore_ascii_case(key) || rule.name == key)
}
