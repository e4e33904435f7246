//! Which names were changed: a thing that went and a thing that came, of which the same is said.

use super::said::{Naming, Thing};
use super::take::take;
use crate::plan::Plan;
use crate::plan::names::Kind as Space;
use std::collections::{BTreeSet, HashMap};

/// Old name to new name, by sort.
pub(super) type Renames = HashMap<(Space, String), String>;

/// What stands for a name that only one of the two plans has.
const OWN: &str = "?";

/// Finds the names that were changed.
///
/// A name that only one plan has says nothing while fingerprints are taken, so that things that name each other may be
/// renamed together. What has nothing but its name is not known again under another one, and neither is what is said
/// of two things alike.
pub(super) fn renames(old: &Plan, new: &Plan) -> Renames {
    let declared = |plan: &Plan| -> BTreeSet<(Space, String)> {
        plan.declared().into_iter().map(|(space, name)| (space, name.text.clone())).collect()
    };
    let (had, has) = (declared(old), declared(new));
    let alone: BTreeSet<&(Space, String)> = had.symmetric_difference(&has).collect();
    if alone.is_empty() {
        return Renames::new();
    }
    let stands = |space: Space, name: &str| {
        if alone.contains(&(space, name.to_owned())) { OWN.to_owned() } else { name.to_owned() }
    };
    let naming = Naming(&stands);
    let by_print = |plan| -> HashMap<(Space, String), Vec<String>> {
        let mut found: HashMap<(Space, String), Vec<String>> = HashMap::new();
        let things = take(plan, &naming);
        for (at, thing) in things.iter().enumerate() {
            let Some((space, name)) = thing.name.filter(|_| thing.known_by_more) else { continue };
            if alone.contains(&(space, name.text.clone())) {
                found.entry((space, whole(&things, at))).or_default().push(name.text.clone());
            }
        }
        found
    };
    let (gone, came) = (by_print(old), by_print(new));
    let mut renames = Renames::new();
    for ((space, print), olds) in gone {
        if let ([old], Some([new])) = (olds.as_slice(), came.get(&(space, print)).map(Vec::as_slice)) {
            renames.insert((space, old.clone()), new.clone());
        }
    }
    renames
}

/// The fingerprint of a thing with all that stands in it.
fn whole(things: &[Thing<'_>], at: usize) -> String {
    let Some(thing) = things.get(at) else { return String::new() };
    let inside = things.iter().skip(at + 1).take_while(|one| one.within.is_some() && thing.within.is_none());
    let mut parts: Vec<String> = inside
        .map(|one| {
            let own = one.id.strip_prefix(&thing.id).unwrap_or(&one.id);
            format!("{own}\n{}", one.fingerprint())
        })
        .collect();
    parts.sort();
    format!("{}\n{}", thing.fingerprint(), parts.join("\n"))
}
