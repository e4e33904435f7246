//! Exceptions: a finding that somebody has accepted until a day is taken out, and listed as accepted.

use super::Desk;
use crate::finding::{Care, Finding, nearest};
use crate::plan::Exception;

crate::rules! {
    /// An exception names no rule that can be accepted.
    ///
    /// Faults of text, names and units cannot be accepted: as long as they stand, nobody knows what the plan says.
    UNKNOWN_EXCEPTION = "B301" "unknown-exception" Error;
    /// An exception has run out.
    EXPIRED_EXCEPTION = "B302" "expired-exception" Error;
    /// An exception accepts something that is not there.
    IDLE_EXCEPTION = "B303" "idle-exception" Warning;
    /// A finding is accepted until a day.
    ACCEPTED = "B304" "accepted" Note;
}

pub(super) fn apply(desk: &mut Desk<'_>) {
    let known: Vec<&'static str> = super::rules()
        .into_iter()
        .flatten()
        .map(|rule| rule.name)
        .filter(|name| !name.ends_with("-exception") && *name != ACCEPTED.name)
        .collect();
    let mut about = Vec::new();
    for exception in &desk.plan.exceptions {
        let rule = &exception.rule;
        if !known.contains(&rule.text.as_str()) {
            let finding = Finding::at(
                &UNKNOWN_EXCEPTION,
                rule.loc,
                format!("no finding that can be accepted is called `{rule}`"),
            );
            about.push(match nearest(&rule.text, known.iter().copied()) {
                Some(near) => finding.help(format!("did you mean `{near}`?")).fix(rule.loc, near, Care::NeedsALook),
                None => finding.help("write the name of the finding as it is printed beside its code"),
            });
            continue;
        }
        match exception.until {
            Some(until) if until >= desk.on => {
                let (accepted, rest): (Vec<Finding>, Vec<Finding>) =
                    std::mem::take(&mut desk.findings).into_iter().partition(|finding| matches(exception, finding));
                desk.findings = rest;
                if accepted.is_empty() {
                    about.push(
                        Finding::at(
                            &IDLE_EXCEPTION,
                            exception.loc,
                            format!("`{rule}` is accepted, and there is nothing to accept"),
                        )
                        .help("take the exception out, or correct the name after `at`"),
                    );
                }
                about.extend(accepted.into_iter().map(|finding| {
                    let place = finding.place.clone();
                    Finding::at(
                        &ACCEPTED,
                        exception.loc,
                        format!("accepted by `{}` until {until}: {}", exception.by, finding.message),
                    )
                    .with(place, format!("{} {}", finding.rule.code, finding.rule.name))
                    .help(format!("the reason given: {}", exception.because))
                }));
            }
            Some(until) => about.push(
                Finding::at(
                    &EXPIRED_EXCEPTION,
                    exception.loc,
                    format!("the exception for `{rule}` ran out on {until}"),
                )
                .help("mend what it accepted, or accept it anew with a new day and reason"),
            ),
            None => about.push(
                Finding::at(
                    &EXPIRED_EXCEPTION,
                    exception.loc,
                    format!("the exception for `{rule}` has no last day, so it accepts nothing"),
                )
                .help("write the day after `until`"),
            ),
        }
    }
    desk.findings.extend(about);
}

/// Whether an exception speaks of a finding: by the rule, and by the thing that it names in its words or at its place.
fn matches(exception: &Exception, finding: &Finding) -> bool {
    if exception.rule.text != finding.rule.name {
        return false;
    }
    exception.at.as_ref().is_none_or(|at| {
        let quoted = format!("`{at}`");
        finding.message.contains(&quoted)
            || finding.label.contains(&quoted)
            || finding.related.iter().any(|(_, label)| label.contains(&quoted))
    })
}
