//! How far the record of a deviation goes, in words.

use super::{Action, Deviation, Followed, Share};
use crate::log::RegisterKind;

/// The state of a deviation's record in words.
#[must_use]
pub fn state(followed: &Followed, deviation: &Deviation) -> String {
    if !followed.kept.contains(&RegisterKind::CorrectiveActions) {
        return "no register of corrective actions was given".to_owned();
    }
    let mut parts = Vec::new();
    let mut named: Vec<usize> = deviation.lots.iter().flat_map(|share| share.actions.iter().copied()).collect();
    named.sort_unstable();
    named.dedup();
    for action in named.into_iter().filter_map(|index| followed.actions.get(index)) {
        parts.push(about(action));
    }
    let open: Vec<&str> = deviation.uncovered().map(|share| share.code.as_str()).collect();
    if !open.is_empty() {
        parts.push(format!("no record covers {}", open.join(", ")));
    }
    let late = |share: &&Share| share.shipped.is_some() && !share.actions.is_empty() && !share.decided_before;
    let late: Vec<&str> = deviation.lots.iter().filter(late).map(|share| share.code.as_str()).collect();
    if !late.is_empty() {
        parts.push(format!("no decision before shipping on {}", late.join(", ")));
    }
    parts.join("; ")
}

fn about(action: &Action) -> String {
    let missing = if action.missing.is_empty() {
        "every part answered".to_owned()
    } else {
        format!("does not record {}", action.missing.join(", "))
    };
    let repeats = match action.earlier.len() {
        0 => String::new(),
        count => {
            let same = action.earlier.iter().filter(|(_, same)| *same).count();
            format!("; {count} earlier at this CCP in twelve months, {same} with the cause in the same words")
        }
    };
    format!("record {}: {missing}{repeats}", action.number)
}
