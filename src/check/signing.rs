//! How a plan is signed, as plain values: made by [`crate::signoff`] from the file kept beside the plan, and asked by
//! the clauses and the document.

use chrono::NaiveDate;

/// What a person says by signing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    /// Wrote it, or had it written.
    Prepared,
    /// Went through it.
    Reviewed,
    /// Accepts it for use. A person does so; the program never does.
    Approved,
}

impl Meaning {
    /// Every meaning.
    pub const ALL: [Meaning; 3] = [Meaning::Prepared, Meaning::Reviewed, Meaning::Approved];

    /// The word in files and on the command line.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Meaning::Prepared => "prepared",
            Meaning::Reviewed => "reviewed",
            Meaning::Approved => "approved",
        }
    }
}

/// Which text a signature stands under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over {
    /// The text in hand.
    ThisText,
    /// Another text.
    OtherText,
    /// Not told: its digest is of a form that this version of the program cannot make.
    NotTold,
}

/// Whose key it is that a signature was made with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holder {
    /// Nobody says: there is no file of allowed signers.
    NotTold,
    /// The file of allowed signers names the key for this person on this day.
    Listed,
    /// It does not.
    NotListed,
    /// The key is of a kind that is not read here, so nothing is known.
    NotRead,
}

impl Holder {
    /// In a few words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Holder::NotTold => "a key, and no file says whose",
            Holder::Listed => "a key listed for this name",
            Holder::NotListed => "a key not listed for this name",
            Holder::NotRead => "a key of a kind that is not read here",
        }
    }
}

/// A signature by an SSH key under a line of the sign-off file. It proves who held the key, and no more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ByKey {
    /// The signature as it stands in the file: the form SSHSIG in base64, on one line.
    pub text: String,
    /// Kind of the key, as `ssh-ed25519`.
    pub kind: String,
    /// Fingerprint of the key, as `ssh-keygen -l` prints it.
    pub key: String,
    /// Whose key it is.
    pub holder: Holder,
}

/// One signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// Line in the file, from 1.
    pub line: u64,
    /// Day.
    pub date: NaiveDate,
    /// What it says.
    pub meaning: Meaning,
    /// Role of the plan.
    pub role: String,
    /// The name as typed.
    pub name: String,
    /// Number of the revision that was signed, if the plan had one.
    pub revision: Option<String>,
    /// Digest of the text that was signed, with the tag of its form.
    pub digest: String,
    /// Whether that is the text in hand.
    pub over: Over,
    /// The signature by a key under the line, if there is one.
    pub by_key: Option<ByKey>,
}

impl Signature {
    /// Who, when, for which revision, and with whose key.
    #[must_use]
    pub fn words(&self) -> String {
        let revision =
            self.revision.as_ref().map_or_else(|| "no revision".to_owned(), |number| format!("revision {number}"));
        let key = self.by_key.as_ref().map_or_else(String::new, |key| format!(", with {}", key.holder.words()));
        format!("{} by {} ({}) on {}, {revision}{key}", self.meaning.word(), self.name, self.role, self.date)
    }
}

/// How the text in hand stands to the signatures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// Nobody has signed it as approved.
    Unsigned,
    /// The last one who signed as approved signed another text.
    Changed,
    /// Signed as approved, and due for signing again, for this reason.
    Overdue(String),
    /// Signed as approved.
    Signed,
    /// The digest of the last signature is of a form that this version of the program cannot make.
    NotTold,
    /// The file is broken, so that no signature in it can be relied on.
    Unreliable,
}

/// The signatures kept beside a plan, and what they come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signing {
    /// What they come to.
    pub state: State,
    /// Every signature up to the day of the check, in order; none if the file is broken.
    pub signatures: Vec<Signature>,
}

impl Signing {
    /// The last signature as approved.
    #[must_use]
    pub fn last(&self) -> Option<&Signature> {
        self.signatures.iter().rev().find(|signature| signature.meaning == Meaning::Approved)
    }

    /// The signatures under the text in hand.
    pub fn current(&self) -> impl Iterator<Item = &Signature> {
        self.signatures.iter().filter(|signature| signature.over == Over::ThisText)
    }

    /// The state in two or three words.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self.state {
            State::Unsigned => "not signed",
            State::Changed => "changed since signing",
            State::Overdue(_) => "due for signing again",
            State::Signed => "signed",
            State::NotTold | State::Unreliable => "sign-off not known",
        }
    }

    /// The state in a sentence without its full stop.
    #[must_use]
    pub fn words(&self) -> String {
        let last = self.last().map(Signature::words).unwrap_or_default();
        match &self.state {
            State::Unsigned => {
                let others: Vec<String> = self.current().map(Signature::words).collect();
                match others.as_slice() {
                    [] => "unsigned".to_owned(),
                    others => format!("not signed as approved; {}", others.join("; ")),
                }
            }
            State::Changed => format!("changed since signing; last {last}"),
            State::Overdue(why) => format!("{last}; due for signing again: {why}"),
            State::Signed => last,
            State::NotTold => {
                format!("not known: last {last}, with a digest that this version of the program cannot make")
            }
            State::Unreliable => "not known: the sign-off file is broken".to_owned(),
        }
    }
}
