//! The earlier texts of a plan, which the present one replaces.

use super::Desk;
use crate::finding::Finding;

crate::rules! {
    /// An earlier text has the number of another, or is dated later than the text that replaced it.
    ///
    /// Whoever holds a sheet of paper must be able to tell by number and date which text it is. Common practice; no clause
    /// asks for it.
    SUPERSEDED_OUT_OF_ORDER = "T118" "superseded-out-of-order" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let Some(head) = &desk.plan.head else { return };
    let earlier = head.earlier();
    let all: Vec<_> = head.revision.iter().chain(earlier).collect();
    let mut found = Vec::new();
    for (at, one) in all.iter().enumerate().skip(1) {
        let before = all.get(..at).unwrap_or_default();
        if let Some(other) = before.iter().find(|other| other.number == one.number) {
            let message = format!("revision {} stands twice", one.number);
            found.push(Finding::at(&SUPERSEDED_OUT_OF_ORDER, one.loc, message).also(other.loc, "the other"));
        }
        if let (Some(now), Some(date)) = (before.first().and_then(|now| now.date), one.date)
            && head.revision.is_some()
            && date > now
        {
            let message =
                format!("revision {} of {date} is later than the text that replaces it, of {now}", one.number);
            let place = Finding::at(&SUPERSEDED_OUT_OF_ORDER, one.loc, message);
            found.push(match before.first() {
                Some(now) => place.also(now.loc, "this text"),
                None => place,
            });
        }
    }
    for finding in found {
        desk.say(finding.help("each text has a number of its own; `supersedes` names the earlier ones alone"));
    }
}
