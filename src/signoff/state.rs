//! What the signatures come to on a day, and what is found about them.

use super::digest::Digests;
use super::file::Kept;
use super::key;
use super::rules::{
    CHANGED_SINCE_SIGNING, FOREIGN_SIGNER, LATER_SIGNATURE, NO_ALLOWED_SIGNERS, NOBODY_SIGNED, SIGNED_WITHOUT_KEY,
    SIGNING_OVERDUE, UNKNOWN_DIGEST_FORM, UNLISTED_KEY, UNREAD_KEY, UNSIGNED_PLAN,
};
use super::signers::Signers;
use crate::check::coverage::{Applies, applies, in_force};
use crate::check::signing::{Holder, Over, Signature, Signing, State};
use crate::clause::clause;
use crate::finding::{Finding, Rule};
use crate::plan::Plan;
use crate::source::{Cell, Place};
use chrono::NaiveDate;

/// What the signatures in a file come to; `None` where there is no file, of signatures or of allowed signers. The name of
/// the file is for findings.
#[must_use]
pub fn state(
    plan: &Plan,
    digests: &Digests,
    kept: Option<Kept>,
    signers: Option<&Signers>,
    file: &str,
    on: NaiveDate,
) -> (Signing, Vec<Finding>) {
    let Kept { signatures, mut findings, whole } =
        kept.unwrap_or(Kept { signatures: Vec::new(), findings: Vec::new(), whole: true });
    findings.extend(signers.iter().flat_map(|signers| signers.findings().iter().cloned()));
    if !whole {
        return (Signing { state: State::Unreliable, signatures: Vec::new() }, findings);
    }
    let (mut signatures, later): (Vec<Signature>, Vec<Signature>) =
        signatures.into_iter().partition(|signature| signature.date <= on);
    for signature in &mut signatures {
        signature.over = match digests.is(&signature.digest) {
            Some(true) => Over::ThisText,
            Some(false) => Over::OtherText,
            None => Over::NotTold,
        };
    }
    let about: Vec<Option<Finding>> = signatures.iter_mut().map(|signature| holder(signature, signers, file)).collect();
    let told = signatures.iter().zip(about).filter(|(one, _)| one.over == Over::ThisText && !again(one, &signatures));
    findings.extend(told.filter_map(|(_, about)| about));
    let place = |signature: &Signature| Place::Cell(Cell { file: file.to_owned(), row: signature.line, column: None });
    for signature in &later {
        let message = format!("the signature is dated {}, after {on}, and is not counted", signature.date);
        findings.push(Finding::new(&LATER_SIGNATURE, place(signature), message));
    }
    let mut signing = Signing { state: State::Unsigned, signatures };
    signing.state = match signing.last() {
        None => State::Unsigned,
        Some(last) => match last.over {
            Over::NotTold => State::NotTold,
            Over::OtherText => State::Changed,
            Over::ThisText => overdue(plan, last.date, on).map_or(State::Signed, State::Overdue),
        },
    };
    for signature in signing.current().filter(|signature| plan.role(&signature.role).is_none()) {
        let message =
            format!("the plan is signed by `{}` as `{}`, a role that it does not have", signature.name, signature.role);
        findings.push(
            Finding::new(&FOREIGN_SIGNER, place(signature), message).help("add the role to the plan, and sign again"),
        );
    }
    findings.extend(found(plan, &signing, &place, on));
    (signing, findings)
}

/// Whether the same person signed the same text for the same, with a key that is listed, so that a line without one no
/// longer matters.
fn again(one: &Signature, all: &[Signature]) -> bool {
    let same = |other: &&Signature| {
        other.over == one.over && (other.meaning, &other.role, &other.name) == (one.meaning, &one.role, &one.name)
    };
    let listed = |other: &Signature| other.by_key.as_ref().is_some_and(|key| key.holder == Holder::Listed);
    one.by_key.is_none() && all.iter().filter(same).any(listed)
}

/// Sets whose key a signature was made with, and says what is to be said of it.
pub fn holder(signature: &mut Signature, signers: Option<&Signers>, file: &str) -> Option<Finding> {
    let place = Place::Cell(Cell { file: file.to_owned(), row: signature.line, column: None });
    let (name, date) = (&signature.name, signature.date);
    let Some(by_key) = &mut signature.by_key else {
        let signers = signers?;
        let listed =
            if signers.names(name) { "a key of this person is listed" } else { "no key of this person is listed" };
        let message = format!("the line of `{name}` is signed without a key; in `{}` {listed}", signers.file());
        return Some(Finding::new(&SIGNED_WITHOUT_KEY, place, message).help(
            "ask the person whether they signed; then have it signed with a key: `bourn sign PLAN … --ssh-key FILE`",
        ));
    };
    if !key::KINDS.contains(&by_key.kind.as_str()) {
        by_key.holder = Holder::NotRead;
        let message = format!(
            "the signature of `{name}` is made with a key of the kind `{}`, which is not read here: whether it fits is not known",
            by_key.kind
        );
        return Some(Finding::new(&UNREAD_KEY, place, message).help(
            "verify it with `ssh-keygen -Y verify`, or have the plan signed with a key that `ssh-keygen -t ed25519` makes",
        ));
    }
    let Some(signers) = signers else {
        by_key.holder = Holder::NotTold;
        let message =
            format!("the line of `{name}` is signed with the key `{}`, and no file says whose key it is", by_key.key);
        return Some(Finding::new(&NO_ALLOWED_SIGNERS, place, message).help(
            "list the keys of those who sign in `NAME.allowed-signers` beside the plan, or name the file with `--allowed-signers`",
        ));
    };
    match signers.allows(&by_key.key, name, date) {
        Ok(()) => {
            by_key.holder = Holder::Listed;
            None
        }
        Err(why) => {
            by_key.holder = Holder::NotListed;
            let message = format!("the line of `{name}` is signed with the key `{}`: {why}", by_key.key);
            Some(Finding::new(&UNLISTED_KEY, place, message).help(
                "ask the person whether they signed with this key; if so, list it for them, if not, set the line aside",
            ))
        }
    }
}

/// Why a plan that was signed on a day must be signed again.
fn overdue(plan: &Plan, signed: NaiveDate, on: NaiveDate) -> Option<String> {
    let head = plan.head.as_ref()?;
    let reassessed = head.reassessed.as_ref().and_then(|dated| dated.date).filter(|date| *date > signed && *date <= on);
    if let Some(date) = reassessed {
        return Some(format!("it was reassessed on {date}, after it was signed"));
    }
    let due = head.reassess.as_ref()?.value.after(signed, &plan.worked())?;
    (due < on).then(|| format!("it fell due for reassessment on {due}"))
}

fn found(plan: &Plan, signing: &Signing, place: &dyn Fn(&Signature) -> Place, on: NaiveDate) -> Option<Finding> {
    let head = plan.head.as_ref()?;
    let at = |rule: &'static Rule, message: String| Finding::at(rule, head.loc, message);
    let again = "have it signed again: `bourn sign PLAN --role ROLE --name \"as typed\" --as approved`";
    let last = signing.last();
    let finding = match &signing.state {
        State::Signed | State::Unreliable => return None,
        State::Unsigned => {
            let day = head.in_force.as_ref().filter(|said| said.value <= on)?;
            let message = format!("the plan is in force from {}, and nobody has signed it as approved", day.value);
            let rule: &'static Rule =
                if asked(plan, &UNSIGNED_PLAN).is_empty() { &NOBODY_SIGNED } else { &UNSIGNED_PLAN };
            let mut finding = Finding::at(rule, day.loc, message).help(
                "whoever answers for the plan signs it: `bourn sign PLAN --role ROLE --name \"as typed\" --as approved`; \
                 a signature on paper is not seen here",
            );
            for signature in signing.current() {
                finding = finding.with(place(signature), signature.words());
            }
            finding
        }
        State::Changed => {
            let last = last?;
            let message = format!(
                "the plan says something else than the text that was signed on {}{}",
                last.date,
                last.revision.as_ref().map_or(String::new(), |number| format!(" as revision {number}"))
            );
            let now = head.revision.as_ref().map(|revision| &revision.number);
            let help = if last.revision.as_ref() == now {
                format!(
                    "`bourn compare OLD PLAN` tells the changes; give the changed text a revision of its own, then {again}"
                )
            } else {
                format!("`bourn compare OLD PLAN` tells the changes; then {again}")
            };
            at(&CHANGED_SINCE_SIGNING, message).with(place(last), last.words()).help(help)
        }
        State::Overdue(why) => {
            let last = last?;
            at(&SIGNING_OVERDUE, format!("the plan was last signed as approved on {}; {why}", last.date))
                .with(place(last), last.words())
                .help(format!("reassess it where that is due, then {again}"))
        }
        State::NotTold => {
            let last = last?;
            let tag = last.digest.split(':').next().unwrap_or_default();
            let message = format!(
                "whether the plan has changed since {} cannot be told: the digest is of form `{tag}`",
                last.date
            );
            Finding::new(&UNKNOWN_DIGEST_FORM, place(last), message)
                .help("look with a newer version of the program, or have the plan signed again")
        }
    };
    let mut finding = finding;
    finding.clauses = asked(plan, finding.rule);
    Some(finding)
}

/// The clauses behind a rule that ask something of this plan.
fn asked(plan: &Plan, rule: &Rule) -> Vec<&'static str> {
    let asks =
        |id: &&str| clause(id).is_some_and(|clause| in_force(plan, clause) && applies(plan, clause) == Applies::Yes);
    rule.clauses.iter().copied().filter(asks).collect()
}
