//! How a limit stands to what it was: looser, tighter, the same, or neither; and by how much.

use super::Change;
use super::differ::{Both, Pair, bare};
use super::kind::Kind;
use super::said::{Naming, Thing, Value, apart, renamed};
use super::take::limit::{CONDITION, names};
use crate::check::compare::{Strictness, across};
use crate::plan::limit::{Measured, RangeForm};
use crate::plan::names::Kind as Space;
use crate::plan::{Condition, LimitKind, Plan};
use crate::quantity::Dimension;
use std::collections::HashSet;

/// The word for the respect that is told here.
pub(super) fn word() -> &'static str {
    CONDITION.word
}

/// How the new condition stands to the old one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Standing {
    Same,
    Tighter,
    Looser,
    /// Tighter in one thing and looser in another, or not to be compared.
    Neither,
}

/// The tables and models in whose figures the two plans differ, by id.
pub(super) fn changed_supports(pairs: &[Pair<'_, '_>]) -> HashSet<(Space, String)> {
    let figures = |thing: &Thing<'_>| -> Vec<String> {
        let told = thing.aspects.iter().filter(|one| one.field.word != "title" && one.field.word != "citation");
        let mut keys: Vec<String> = told
            .flat_map(|one| match &one.value {
                Value::One(words) => vec![format!("{}={}", one.field.word, words.key)],
                Value::Many(list) => list.iter().map(|words| format!("{}={}", one.field.word, words.key)).collect(),
            })
            .collect();
        keys.sort();
        keys
    };
    let supports = |space| matches!(space, Space::Table | Space::Inactivation | Space::GrowthModel);
    pairs
        .iter()
        .filter(|(old, new)| figures(old) != figures(new))
        .filter_map(|(_, new)| new.name.filter(|(space, _)| supports(*space)))
        .map(|(space, name)| (space, name.text.clone()))
        .collect()
}

/// The change of the condition itself, if there is one.
pub(super) fn judged(
    both: &Both<'_>,
    before: &Thing<'_>,
    after: &Thing<'_>,
    rests: &HashSet<(Space, String)>,
) -> Option<Change> {
    let (old_limit, new_limit) = (before.limit?, after.limit?);
    let kinds = match new_limit.kind {
        LimitKind::Critical => (Kind::LimitTightened, Kind::LimitLoosened, Kind::LimitChanged),
        LimitKind::Operating => (Kind::OperatingTightened, Kind::OperatingLoosened, Kind::OperatingChanged),
        LimitKind::Guide => (Kind::GuideChanged, Kind::GuideChanged, Kind::GuideChanged),
        LimitKind::Identity => (Kind::IdentityChanged, Kind::IdentityChanged, Kind::IdentityChanged),
    };
    let change = |kind| Change {
        respect: Some(CONDITION.word),
        from: Some(old_limit.symbols()),
        to: Some(new_limit.symbols()),
        ..bare(kind, after, Some(old_limit.condition_loc), Some(new_limit.condition_loc))
    };
    let (Some(old), Some(new)) = (&old_limit.condition, &new_limit.condition) else {
        return (old_limit.condition.is_some() != new_limit.condition.is_some()).then(|| change(kinds.2));
    };
    let now = |space: Space, name: &str| both.now(space, name);
    let old = renamed(&Naming(&now), old);
    let own = old.exact() != new.exact();
    let lent = names(new).iter().any(|name| rests.contains(name));
    if !own && !lent {
        return None;
    }
    let kind = match standing((both.new, new), (both.old, &old)) {
        Standing::Same => return None,
        Standing::Tighter => kinds.0,
        Standing::Looser => kinds.1,
        Standing::Neither => kinds.2,
    };
    let note = match (own, new_limit.kind) {
        (false, _) => Some("its own words are the same; the table or model it rests on changed".to_owned()),
        (true, _) if blank(new) && !blank(&old) => Some("the value is blank now: the plan is a draft".to_owned()),
        (true, _) if blank(&old) && !blank(new) => Some("the value was blank and is set now".to_owned()),
        (true, LimitKind::Critical | LimitKind::Operating) if kind == kinds.2 => {
            Some("neither is plainly the stricter; a person must judge".to_owned())
        }
        _ => None,
    };
    Some(Change { amount: amount(&old, new), note, ..change(kind) })
}

fn blank(condition: &Condition) -> bool {
    condition.leaves().into_iter().flat_map(Condition::own_values).any(Measured::is_blank)
}

fn standing(new: (&Plan, &Condition), old: (&Plan, &Condition)) -> Standing {
    let parts = |ours: Vec<&Condition>, theirs: Vec<&Condition>| {
        let answers: Vec<Standing> =
            ours.into_iter().zip(theirs).map(|(our, their)| standing((new.0, our), (old.0, their))).collect();
        together(&answers)
    };
    let paired = match (new.1, old.1) {
        (Condition::All(ours), Condition::All(theirs)) if ours.len() == theirs.len() => {
            parts(ours.iter().collect(), theirs.iter().collect())
        }
        (Condition::Any(ours), Condition::Any(theirs)) if named_alike(ours, theirs) => {
            parts(conditions(ours), conditions(theirs))
        }
        (Condition::Chosen { fact, options: ours }, Condition::Chosen { fact: other, options: theirs })
            if fact == other && named_alike(ours, theirs) =>
        {
            parts(conditions(ours), conditions(theirs))
        }
        _ => Standing::Neither,
    };
    if paired != Standing::Neither {
        return paired;
    }
    if new.1.exact() == old.1.exact() && new.1.leaves().iter().all(|leaf| leaf.table().is_none()) {
        // The same words on models that may differ.
        return match across(new, old) {
            Strictness::Unknown if models(new.1) => Standing::Neither,
            _ => Standing::Same,
        };
    }
    let kept = |answer: Strictness| matches!(answer, Strictness::Stricter | Strictness::Same);
    let (forth, back) = (across(new, old), across(old, new));
    match (kept(forth), kept(back)) {
        (true, false) => Standing::Tighter,
        (false, true) => Standing::Looser,
        (false, false) => Standing::Neither,
        (true, true) => match (forth, back) {
            (Strictness::Stricter, Strictness::Stricter) => Standing::Neither,
            (Strictness::Stricter, _) => Standing::Tighter,
            (_, Strictness::Stricter) => Standing::Looser,
            _ => Standing::Same,
        },
    }
}

fn models(condition: &Condition) -> bool {
    matches!(condition, Condition::Reduction { .. } | Condition::Growth { .. })
}

fn conditions(options: &[(crate::plan::Name, Condition)]) -> Vec<&Condition> {
    options.iter().map(|(_, one)| one).collect()
}

fn named_alike(ours: &[(crate::plan::Name, Condition)], theirs: &[(crate::plan::Name, Condition)]) -> bool {
    ours.len() == theirs.len() && ours.iter().zip(theirs).all(|((our, _), (their, _))| our == their)
}

/// Parts of which each must be kept, or options of which one must be: the whole moves with its parts.
fn together(parts: &[Standing]) -> Standing {
    let any = |wanted| parts.contains(&wanted);
    if any(Standing::Neither) || (any(Standing::Tighter) && any(Standing::Looser)) {
        Standing::Neither
    } else if any(Standing::Tighter) {
        Standing::Tighter
    } else if any(Standing::Looser) {
        Standing::Looser
    } else {
        Standing::Same
    }
}

/// By how much the figures of two conditions of one form differ, in the units of the new one.
fn amount(old: &Condition, new: &Condition) -> Option<String> {
    let (theirs, ours) = (old.leaves(), new.leaves());
    if theirs.len() != ours.len() {
        return None;
    }
    let mut found: Vec<String> = Vec::new();
    for (their, our) in theirs.into_iter().zip(ours) {
        let (was, is) = (their.own_values(), our.own_values());
        if std::mem::discriminant(their) != std::mem::discriminant(our) || was.len() != is.len() {
            return None;
        }
        for (was, is) in was.into_iter().zip(is) {
            let (was, is) = (was.quantity?, is.quantity?);
            if was.dimension() != is.dimension() {
                return None;
            }
            // A difference in one unit and a difference in another are no points to be held side by side.
            if was.unit != is.unit && is.dimension() == Dimension::Temperature && differences(our) {
                return None;
            }
            found.extend(apart(is.base()?, was.base()?, is.unit));
        }
    }
    found.dedup();
    (!found.is_empty()).then(|| found.join(" and "))
}

/// Whether some figure of the condition is a difference.
fn differences(condition: &Condition) -> bool {
    match condition {
        Condition::Falls { .. } | Condition::Equivalent { .. } => true,
        Condition::Level { range, .. } | Condition::Never { range, .. } => {
            matches!(range.form, RangeForm::Tolerance(..) | RangeForm::Beside { .. })
        }
        _ => false,
    }
}
