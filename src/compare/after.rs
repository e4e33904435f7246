//! What follows from the changes taken together: validation that is older than they are, a revision that stands as it
//! was, a role that has a task and no training.

use super::Change;
use super::demand::Demand;
use super::differ::{Both, Pair, bare};
use super::kind::Kind;
use crate::check::people::tasks;
use crate::plan::names::Kind as Space;
use crate::plan::{Control, Name, Plan, Revision};
use chrono::NaiveDate;
use std::collections::BTreeMap;

pub(super) fn follow(both: &Both<'_>, pairs: &[Pair<'_, '_>], changes: &mut Vec<Change>) {
    let mut found = validation(both, pairs, changes);
    found.extend(untrained(both));
    changes.extend(found);
    changes.extend(revision(both, changes));
}

/// Controls that changed in what must be validated, and have no newer validation.
fn validation(both: &Both<'_>, pairs: &[Pair<'_, '_>], changes: &[Change]) -> Vec<Change> {
    let newest = |control: &Control| control.validated.iter().filter_map(|one| one.date).max();
    let shown = |date: Option<NaiveDate>| date.map_or_else(|| "none".to_owned(), |date| date.to_string());
    let mut found = Vec::new();
    for (before, after) in
        pairs.iter().filter(|(_, after)| after.name.is_some_and(|(space, _)| space == Space::Control))
    {
        let named = |name: Option<&Name>, plan: &'_ Plan| name.and_then(|name| plan.control(&name.text)).map(newest);
        let (Some(was), Some(is)) = (named(before.control, both.old), named(after.control, both.new)) else { continue };
        // Its own changes, and those of what stands in it, which name it after their own name.
        let inside = [format!(" of {}", after.label), format!(" of {}", before.label)];
        let own = |change: &&Change| {
            change.what == after.label || inside.iter().any(|label| change.what.ends_with(label.as_str()))
        };
        let asked = |change: &&Change| {
            // That a validation is gone is told by itself.
            change.demands().contains(&Demand::Validate) && change.kind != Kind::ValidationGone
        };
        if was.is_some() && is <= was && changes.iter().filter(own).any(|change| asked(&change)) {
            found.push(Change {
                respect: Some("newest validation"),
                // A day that stays is told once.
                from: (is != was).then(|| shown(was)),
                to: Some(shown(is)),
                note: Some("what was validated is not what is written now".to_owned()),
                ..bare(Kind::ValidationOlder, after, Some(before.loc), Some(after.loc))
            });
        }
    }
    found
}

/// Roles with a task and no training, with the word for the first task.
fn without_training(plan: &Plan, now: &dyn Fn(&str) -> String) -> BTreeMap<String, (String, crate::source::Loc)> {
    let tasks = tasks(plan);
    let bare = plan.roles.iter().filter(|role| role.trained.is_empty());
    bare.filter_map(|role| {
        let (_, task) = tasks.iter().find(|(name, _)| **name == role.name)?;
        let task = task.trim_end_matches(" here").trim_end_matches(" this").to_owned();
        Some((now(&role.name.text), (task, role.loc)))
    })
    .collect()
}

fn untrained(both: &Both<'_>) -> Vec<Change> {
    let was = without_training(both.old, &|name| both.now(Space::Role, name));
    let is = without_training(both.new, &|name| name.to_owned());
    let change = |kind, name: &str, from: Option<String>, to: Option<String>, old, new| Change {
        kind,
        what: format!("role `{name}`"),
        respect: Some("task without training"),
        from,
        to,
        amount: None,
        note: None,
        old,
        new,
    };
    let fresh = is.iter().filter(|(name, _)| !was.contains_key(*name));
    let mended = was.iter().filter(|(name, _)| !is.contains_key(*name));
    fresh
        .map(|(name, (task, loc))| change(Kind::RoleUntrained, name, None, Some(task.clone()), None, Some(*loc)))
        .chain(
            mended.map(|(name, (task, loc))| {
                change(Kind::RoleNowTrained, name, Some(task.clone()), None, Some(*loc), None)
            }),
        )
        .collect()
}

/// Something changed, and the number and date of the revision did not.
fn revision(both: &Both<'_>, changes: &[Change]) -> Option<Change> {
    if changes.is_empty() {
        return None;
    }
    let (old, new) = (both.old.head.as_ref()?, both.new.head.as_ref()?);
    let (was, is) = (old.revision.as_ref()?, new.revision.as_ref()?);
    let shown = |Revision { number, date, .. }: &Revision| {
        format!("{number} on {}", date.map_or_else(|| crate::plan::BLANK.to_owned(), |date| date.to_string()))
    };
    (was.number == is.number && was.date == is.date).then(|| Change {
        kind: Kind::RevisionUnchanged,
        what: "the plan".to_owned(),
        respect: Some("revision"),
        from: Some(shown(was)),
        to: Some(shown(is)),
        amount: None,
        note: None,
        old: Some(was.loc),
        new: Some(is.loc),
    })
}
