//! Pairs the things of two plans and tells in what each pair differs.

use super::Change;
use super::after;
use super::kind::Kind;
use super::limits;
use super::names::{Renames, renames};
use super::said::{Aspect, Field, NONE, Naming, Thing, Value, Words};
use super::take::take;
use crate::plan::Plan;
use crate::plan::names::Kind as Space;
use std::cmp::Ordering;
use std::collections::{BTreeMap, HashMap, HashSet};

/// Two plans on the way to being compared.
pub(super) struct Both<'p> {
    pub(super) old: &'p Plan,
    pub(super) new: &'p Plan,
    pub(super) renames: Renames,
}

impl Both<'_> {
    /// The new name of what the old plan calls so.
    pub(super) fn now(&self, space: Space, name: &str) -> String {
        self.renames.get(&(space, name.to_owned())).cloned().unwrap_or_else(|| name.to_owned())
    }
}

/// A thing as the two plans tell it.
pub(super) type Pair<'t, 'p> = (&'t Thing<'p>, &'t Thing<'p>);

/// Every change, in the order of the new plan; what is gone after what stayed.
pub(super) fn differ(old: &Plan, new: &Plan) -> Vec<Change> {
    let both = Both { old, new, renames: renames(old, new) };
    let now = |space: Space, name: &str| both.now(space, name);
    let olds = take(old, &Naming(&now));
    let same = |_: Space, name: &str| name.to_owned();
    let news = take(new, &Naming(&same));
    let (pairs, gone, came) = pair(&olds, &news);
    let rests = limits::changed_supports(&pairs);
    let mut changes = Vec::new();
    for &(before, after) in &pairs {
        told(&mut changes, before, after);
        if before.limit.is_some() {
            changes.extend(limits::judged(&both, before, after, &rests));
        }
    }
    // A series names a limit of its own control; that the limit is called something else is told at the limit.
    let called = |change: &Change| {
        pairs.iter().any(|(before, after)| match (before.limit, after.limit) {
            (Some(was), Some(is)) => {
                was.name != is.name
                    && change.from.as_ref() == Some(&was.name.text)
                    && change.to.as_ref() == Some(&is.name.text)
                    && after.within.as_deref().is_some_and(|within| change.what.ends_with(&inside(&news, within)))
            }
            _ => false,
        })
    };
    changes.retain(|change| change.respect != Some(super::take::SERIES_LIMIT) || !called(change));
    whole(&mut changes, &gone, &pairs, false);
    whole(&mut changes, &came, &pairs, true);
    after::follow(&both, &pairs, &mut changes);
    changes
}

/// How a label ends of what stands in the thing of this id.
fn inside(things: &[Thing<'_>], id: &str) -> String {
    things.iter().find(|thing| thing.id == id).map_or_else(String::new, |thing| format!(" of {}", thing.label))
}

/// Things of one id are paired: first those of which the same is said, then the others in the order written.
fn pair<'t, 'p>(
    olds: &'t [Thing<'p>],
    news: &'t [Thing<'p>],
) -> (Vec<Pair<'t, 'p>>, Vec<&'t Thing<'p>>, Vec<&'t Thing<'p>>) {
    let mut waiting: HashMap<&str, Vec<&Thing<'p>>> = HashMap::new();
    for old in olds {
        waiting.entry(&old.id).or_default().push(old);
    }
    let mut found: BTreeMap<usize, &Thing<'p>> = BTreeMap::new();
    for (at, new) in news.iter().enumerate() {
        let Some(same) = waiting.get_mut(new.id.as_str()) else { continue };
        let print = new.fingerprint();
        if let Some(place) = same.iter().position(|old| old.fingerprint() == print) {
            found.insert(at, same.remove(place));
        }
    }
    let mut came: Vec<&Thing<'p>> = Vec::new();
    for (at, new) in news.iter().enumerate() {
        if found.contains_key(&at) {
            continue;
        }
        match waiting.get_mut(new.id.as_str()).filter(|same| !same.is_empty()) {
            Some(same) => {
                found.insert(at, same.remove(0));
            }
            None => came.push(new),
        }
    }
    let left: HashSet<*const Thing<'p>> = waiting.values().flatten().map(|thing| std::ptr::from_ref(*thing)).collect();
    let mut gone: Vec<&Thing<'p>> = olds.iter().filter(|old| left.contains(&std::ptr::from_ref(*old))).collect();
    // A limit has its name within its control alone: the same limit under another name is known by what it says.
    let mut renamed = Vec::new();
    came.retain(|new| {
        let like = |one: &&&Thing<'p>| {
            one.limit.is_some() && one.within == new.within && one.fingerprint() == new.fingerprint()
        };
        if new.limit.is_none() || gone.iter().filter(like).count() != 1 {
            return true;
        }
        let Some(place) = gone.iter().position(|one| like(&one)) else { return true };
        renamed.push((gone.remove(place), *new));
        false
    });
    let mut pairs: Vec<Pair<'t, 'p>> = found.into_iter().filter_map(|(at, old)| Some((old, news.get(at)?))).collect();
    pairs.extend(renamed);
    (pairs, gone, came)
}

/// Things that came or went as a whole. What stood in them goes with them.
fn whole(changes: &mut Vec<Change>, things: &[&Thing<'_>], pairs: &[Pair<'_, '_>], came: bool) {
    let alone: HashSet<&str> = things.iter().map(|thing| thing.id.as_str()).collect();
    let paired: HashSet<&str> = pairs.iter().map(|(old, _)| old.id.as_str()).collect();
    for thing in things {
        if thing.within.as_deref().is_some_and(|within| alone.contains(within) && !paired.contains(within)) {
            continue;
        }
        let inside: Vec<String> = things
            .iter()
            .filter(|one| one.within.as_deref() == Some(thing.id.as_str()))
            .map(|one| match one.limit {
                Some(limit) => format!("{}: {}", short(&one.label), limit.symbols()),
                None => short(&one.label).to_owned(),
            })
            .collect();
        let said = if thing.gist.is_empty() { thing.label.clone() } else { thing.gist.clone() };
        changes.push(Change {
            kind: if came { thing.added } else { thing.gone },
            what: thing.label.clone(),
            respect: None,
            from: (!came).then(|| said.clone()),
            to: came.then(|| said.clone()),
            amount: None,
            note: (!inside.is_empty()).then(|| format!("with it: {}", inside.join("; "))),
            old: (!came).then_some(thing.loc),
            new: came.then_some(thing.loc),
        });
    }
}

/// A label without the thing it stands in.
fn short(label: &str) -> &str {
    let cut = [
        " of ccp ",
        " of control ",
        " of programme ",
        " of role ",
        " in ccp ",
        " in control ",
        " at step ",
        " at material ",
    ];
    cut.iter().filter_map(|word| label.find(word)).min().and_then(|at| label.get(..at)).unwrap_or(label)
}

fn told(changes: &mut Vec<Change>, old: &Thing<'_>, new: &Thing<'_>) {
    let own = |thing: &Thing<'_>| match (thing.name, thing.limit) {
        (Some((_, name)), _) => Some(name.text.clone()),
        (None, Some(limit)) => Some(limit.name.text.clone()),
        (None, None) => None,
    };
    let (was, is) = (own(old), own(new));
    if was != is {
        changes.push(Change {
            kind: Kind::Renamed,
            respect: Some("name"),
            from: was,
            to: is,
            ..bare(Kind::Renamed, new, Some(old.loc), Some(new.loc))
        });
    }
    let mut words: Vec<Field> = Vec::new();
    for aspect in new.aspects.iter().chain(&old.aspects) {
        if aspect.field.word != limits::word() && !words.iter().any(|field| field.word == aspect.field.word) {
            words.push(aspect.field);
        }
    }
    for field in words {
        let find = |thing: &'_ Thing<'_>| thing.aspects.iter().find(|one| one.field.word == field.word).cloned();
        respect(changes, field, (old, find(old)), (new, find(new)));
    }
}

/// A change of this thing, with nothing said yet.
pub(super) fn bare(
    kind: Kind,
    thing: &Thing<'_>,
    old: Option<crate::source::Loc>,
    new: Option<crate::source::Loc>,
) -> Change {
    Change { kind, what: thing.label.clone(), respect: None, from: None, to: None, amount: None, note: None, old, new }
}

/// In what the two differ in one respect.
fn respect(
    changes: &mut Vec<Change>,
    field: Field,
    (old_thing, old): (&Thing<'_>, Option<Aspect>),
    (new_thing, new): (&Thing<'_>, Option<Aspect>),
) {
    let place = |aspect: &Option<Aspect>, thing: &Thing<'_>| Some(aspect.as_ref().map_or(thing.loc, |one| one.loc));
    let (at_old, at_new) = (place(&old, old_thing), place(&new, new_thing));
    let change = |kind, from: Option<String>, to: Option<String>, amount| Change {
        respect: Some(field.word),
        from,
        to,
        amount,
        ..bare(kind, new_thing, at_old, at_new)
    };
    match (old.map(|one| one.value), new.map(|one| one.value)) {
        (Some(Value::One(was)), Some(Value::One(is))) => {
            if was.key != is.key {
                let order = is.size.zip(was.size).and_then(|(is, was)| is.order(&was));
                let amount = is.size.zip(was.size).and_then(|(is, was)| is.apart(&was));
                let kind = match order {
                    Some(Ordering::Less) => field.less,
                    Some(Ordering::Greater) => field.more,
                    Some(Ordering::Equal) | None => field.other,
                };
                changes.push(change(kind, Some(was.shown), Some(is.shown), amount));
            }
        }
        (Some(Value::One(was)), None) => changes.push(change(field.gone, Some(was.shown), None, None)),
        (None, Some(Value::One(is))) => changes.push(change(field.added, None, Some(is.shown), None)),
        (was, is) => {
            let many = |value: Option<Value>| match value {
                Some(Value::Many(list)) => list,
                Some(Value::One(words)) => vec![words],
                None => Vec::new(),
            };
            let (was, is) = (many(was), many(is));
            let (gone, came) = (without(&was, &is), without(&is, &was));
            // That a list is empty in so many words is told only where nothing else was said.
            let (no_gone, no_came) = (gone.iter().any(|one| one.key == NONE), came.iter().any(|one| one.key == NONE));
            if (no_gone && is.is_empty()) || (no_came && was.is_empty()) {
                let said = |yes: bool| yes.then(|| NONE.to_owned());
                changes.push(change(field.other, said(no_gone), said(no_came), None));
            }
            let shown = |list: &[Words]| -> Vec<String> {
                list.iter().filter(|one| one.key != NONE).map(|one| one.shown.clone()).collect()
            };
            let (gone, came) = (shown(&gone), shown(&came));
            if field.gone == field.added {
                let joined = |list: Vec<String>| (!list.is_empty()).then(|| list.join("; "));
                let (from, to) = (joined(gone), joined(came));
                if from.is_some() || to.is_some() {
                    changes.push(change(field.other, from, to, None));
                }
                return;
            }
            changes.extend(gone.into_iter().map(|one| change(field.gone, Some(one), None, None)));
            changes.extend(came.into_iter().map(|one| change(field.added, None, Some(one), None)));
        }
    }
}

/// What the first list has and the second has not, each as often as that.
fn without(list: &[Words], other: &[Words]) -> Vec<Words> {
    let mut left: Vec<&str> = other.iter().map(|one| one.key.as_str()).collect();
    let mut found = Vec::new();
    for one in list {
        match left.iter().position(|key| *key == one.key) {
            Some(at) => {
                left.swap_remove(at);
            }
            None => found.push(one.clone()),
        }
    }
    found
}
