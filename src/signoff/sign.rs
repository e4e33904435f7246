//! Signing: one line more, or a reason why not.

use super::digest::Digests;
use super::file::{self, Kept};
use crate::check::signing::{ByKey, Meaning, Over, Signature};
use crate::finding::{Finding, Severity, nearest};
use crate::plan::Reading;
use crate::source::Place;
use chrono::NaiveDate;

crate::rules! {
    /// Somebody would sign in a role that the plan does not have.
    UNKNOWN_SIGNING_ROLE = "U121" "unknown-signing-role" Error;
    /// A plan cannot be signed: a part of it cannot be read, or it is to be signed as approved and values are blank.
    ///
    /// Nobody can stand behind a text of which a part cannot be read, or accept for use a plan in which a value is still to
    /// be set. A plan with blanks may be signed as prepared or as reviewed.
    UNSIGNABLE_PLAN = "U122" "unsignable-plan" Error;
    /// A signature would be dated after today, or before the last one.
    SIGNING_DATE = "U123" "date-of-signing" Error;
    /// The name cannot be kept on one line of the file as it was typed.
    SIGNING_NAME = "U124" "name-of-signer" Error;
    /// The same person has signed the same text on the same day and for the same.
    SIGNED_ALREADY = "U125" "signed-already" Error;
    /// A key cannot be used to sign.
    ///
    /// It is no private key in the form of OpenSSH, is locked with a passphrase, is kept in a device, or is of a kind that is
    /// not read here. `ssh-keygen -Y sign` signs with a locked key, with one held by an agent and with one in a device.
    UNUSABLE_KEY = "U126" "unusable-key" Error;
    /// A signature made by another program is not one under this line.
    ///
    /// The line says who signs which text, for what, on which day, and what stands in the file before it; when one of these
    /// changes, the line must be signed anew.
    FOREIGN_SIGNATURE = "U127" "foreign-signature" Error;
    /// The file of allowed signers does not name this key for this person on this day.
    SIGNING_UNLISTED = "U128" "signing-with-unlisted-key" Error;
}

/// What somebody wants to sign.
#[derive(Debug, Clone, Copy)]
pub struct Wish<'a> {
    /// Role of the plan.
    pub role: &'a str,
    /// Name as typed.
    pub name: &'a str,
    /// What the signature says.
    pub meaning: Meaning,
    /// Its day.
    pub on: NaiveDate,
    /// Today.
    pub today: NaiveDate,
    /// Whether a signature by a key will stand under it.
    pub with_key: bool,
}

/// One signature that may be put behind the others.
#[derive(Debug)]
pub struct Ready {
    before: Vec<Signature>,
    signature: Signature,
}

impl Ready {
    /// What a key signs of it: one line of text with its line end.
    #[must_use]
    pub fn to_sign(&self) -> String {
        file::to_sign(&self.before, &self.signature)
    }

    /// The signature, with one by a key if there is one, and the whole file with it.
    #[must_use]
    pub fn written(self, by_key: Option<ByKey>) -> (String, Signature) {
        let Ready { mut before, mut signature } = self;
        signature.by_key = by_key;
        before.push(signature.clone());
        (file::written(&before), signature)
    }
}

/// One signature more, ready to be written.
///
/// # Errors
/// Every reason why the plan cannot be signed so.
pub fn sign(reading: &Reading, digests: &Digests, kept: Option<&Kept>, wish: &Wish<'_>) -> Result<Ready, Vec<Finding>> {
    let plan = &reading.plan;
    let mut faults: Vec<Finding> = Vec::new();
    let unread = reading.findings.iter().filter(|finding| finding.rule.severity == Severity::Error).count();
    let head = plan.head.as_ref().map(|head| Place::Text(head.loc));
    let at = head.unwrap_or_else(|| Place::Named("plan".to_owned()));
    if unread > 0 {
        faults.extend(reading.findings.iter().filter(|finding| finding.rule.severity == Severity::Error).cloned());
        let message = "a plan of which a part cannot be read is not signed";
        faults
            .push(Finding::new(&UNSIGNABLE_PLAN, at.clone(), message).help("mend what `bourn check` says of it first"));
    }
    if wish.meaning == Meaning::Approved
        && let Some(first) = plan.blanks.first()
    {
        let count = plan.blanks.len();
        let message = if count == 1 {
            "a value is still to be set, so the plan is not signed as approved".to_owned()
        } else {
            format!("{count} values are still to be set, so the plan is not signed as approved")
        };
        faults.push(
            Finding::at(&UNSIGNABLE_PLAN, *first, message)
                .label("still blank")
                .help("set every value first; until then the plan may be signed as `prepared` or `reviewed`"),
        );
    }
    let named = |option: &str| Place::Named(option.to_owned());
    if plan.role(wish.role).is_none() {
        let roles: Vec<&str> = plan.roles.iter().map(|role| role.name.text.as_str()).collect();
        let help = match nearest(wish.role, roles.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if roles.is_empty() => "the plan has no `role` block".to_owned(),
            None => format!("the plan has these roles: {}", roles.join(", ")),
        };
        let message = format!("the plan has no role `{}`", wish.role);
        faults.push(Finding::new(&UNKNOWN_SIGNING_ROLE, named("--role"), message).help(help));
    }
    if let Some(why) = file::bad_name(wish.name) {
        faults.push(
            Finding::new(&SIGNING_NAME, named("--name"), format!("the name {why}"))
                .help("type the name of the person who signs, on one line"),
        );
    }
    if wish.on > wish.today {
        let message = format!("{} is yet to come: today is {}", wish.on, wish.today);
        faults
            .push(Finding::new(&SIGNING_DATE, named("--on"), message).help("sign with the day on which it is signed"));
    }
    let before: &[Signature] = kept.map_or(&[], |kept| &kept.signatures);
    if let Some(last) = before.last().filter(|last| last.date > wish.on) {
        let message = format!("{} lies before the last signature, which is of {}", wish.on, last.date);
        faults.push(
            Finding::new(&SIGNING_DATE, named("--on"), message).help("signatures stand in the order of their days"),
        );
    }
    let signature = Signature {
        line: u64::try_from(before.len() + 2).unwrap_or(0),
        date: wish.on,
        meaning: wish.meaning,
        role: wish.role.to_owned(),
        name: wish.name.to_owned(),
        revision: plan.head.as_ref().and_then(|head| head.revision.as_ref()).map(|revision| revision.number.clone()),
        digest: digests.newest().to_owned(),
        over: Over::ThisText,
        by_key: None,
    };
    let same = |one: &&Signature| {
        let key = |one: &Signature| (one.date, one.meaning, one.role.clone(), one.name.clone(), one.digest.clone());
        key(one) == key(&signature) && (one.by_key.is_some() || !wish.with_key)
    };
    if let Some(one) = before.iter().find(same) {
        let message = format!("this text is signed so already, in line {} of the sign-off file", one.line);
        faults.push(Finding::new(&SIGNED_ALREADY, named("sign"), message));
    }
    // Nothing is put behind a broken chain: that would make it look whole.
    if let Some(kept) = kept.filter(|kept| !kept.whole) {
        faults.extend(kept.findings.iter().filter(|finding| finding.rule.severity == Severity::Error).cloned());
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Ready { before: before.to_vec(), signature })
}
