//! The clauses that findings rest on, read from data.
//!
//! Gists are in our own words. `text_read` says whether the clause's own text was read for them; a
//! finding that rests on an unread text says so. Each clause says when it applies, how it is checked and which part
//! of a plan answers it, so that none is passed over in silence.

use std::sync::LazyLock;

/// How binding a clause is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Force {
    /// A requirement.
    Shall,
    /// A recommendation.
    Should,
    /// Advice.
    Advice,
}

/// Whether the text of a clause was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextRead {
    /// Read.
    Yes,
    /// Read in part.
    Partly,
    /// Not read: the gist comes from secondary texts or memory.
    No,
}

impl TextRead {
    /// The word in data and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            TextRead::Yes => "yes",
            TextRead::Partly => "partly",
            TextRead::No => "no",
        }
    }
}

impl Force {
    /// The word in data and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Force::Shall => "shall",
            Force::Should => "should",
            Force::Advice => "advice",
        }
    }
}

/// How it is known whether a plan meets a clause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum By {
    /// Rules of the checker look for it; they name the clause.
    Plan,
    /// A block of one of these kinds must say that it meets the clause, and hold these statements.
    Answer {
        /// Words of the blocks that may answer.
        blocks: Vec<&'static str>,
        /// Words of the statements that the block must hold.
        holds: Vec<&'static str>,
    },
    /// By the signatures kept with the plan.
    SignOff,
    /// A person must look.
    Judgement,
}

/// Whether a rule over a text or a record could look for what a clause asks, by the list from which the data come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Checkable {
    /// A rule could.
    Rule,
    /// A rule could look for a part of it.
    Partly,
    /// Only a person could.
    Person,
}

/// One clause of a regime.
#[derive(Debug, Clone)]
pub struct Clause {
    /// Key, such as `codex.limit`.
    pub id: &'static str,
    /// Regimes that hold it, such as `codex`.
    pub regimes: Vec<&'static str>,
    /// Part of the regime, such as `sanitation`; empty for its body.
    pub part: &'static str,
    /// Where it stands, as the trade cites it.
    pub citation: &'static str,
    /// Force.
    pub force: Force,
    /// Whether its text was read.
    pub text_read: TextRead,
    /// Whether a rule could look for it, whatever this program does.
    pub checkable: Checkable,
    /// When it applies: `always`, something that the plan shows (`ccp`), or a topic that the plan must answer.
    pub when: &'static str,
    /// How it is checked.
    pub by: By,
    /// The part of the plan that answers it, or in which a person must look.
    pub at: &'static str,
    /// What it asks, in our words.
    pub gist: &'static str,
}

/// Something about a plant that only its people can say, and on which clauses hang.
#[derive(Debug, Clone)]
pub struct Topic {
    /// The word a plan uses for it.
    pub name: &'static str,
    /// Regimes that ask.
    pub regimes: Vec<&'static str>,
    /// The question.
    pub question: &'static str,
}

/// The rows of a table that is compiled in, its head left out. Every cell lives as long as the program.
fn rows(text: &'static str) -> Vec<Vec<&'static str>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader
        .records()
        .flatten()
        .map(|row| row.iter().map(|cell| &*Box::leak(cell.to_owned().into_boxed_str())).collect())
        .collect()
}

static CLAUSES: LazyLock<Vec<Clause>> = LazyLock::new(|| {
    let read = |row: Vec<&'static str>| match row.as_slice() {
        [id, regimes, part, citation, force, text_read, reference, when, by, at, gist] => Some(Clause {
            id,
            regimes: regimes.split(' ').collect(),
            part,
            citation,
            force: match *force {
                "shall" => Force::Shall,
                "should" => Force::Should,
                _ => Force::Advice,
            },
            text_read: match *text_read {
                "yes" => TextRead::Yes,
                "partly" => TextRead::Partly,
                _ => TextRead::No,
            },
            checkable: match *reference {
                "rule" => Checkable::Rule,
                "partly" => Checkable::Partly,
                _ => Checkable::Person,
            },
            when,
            by: self::by(by)?,
            at,
            gist,
        }),
        _ => None,
    };
    rows(include_str!("clauses.csv")).into_iter().filter_map(read).collect()
});

/// `plan`, `sign-off`, `judgement`, or `answer:programme,record[procedure,routine]`.
fn by(text: &'static str) -> Option<By> {
    let words = |text: &'static str| text.split(',').filter(|word| !word.is_empty()).collect::<Vec<_>>();
    match text {
        "plan" => Some(By::Plan),
        "sign-off" => Some(By::SignOff),
        "judgement" => Some(By::Judgement),
        _ => {
            let rest = text.strip_prefix("answer:")?;
            let (blocks, holds) = rest.split_once('[').unwrap_or((rest, ""));
            Some(By::Answer { blocks: words(blocks), holds: words(holds.trim_end_matches(']')) })
        }
    }
}

static TOPICS: LazyLock<Vec<Topic>> = LazyLock::new(|| {
    rows(include_str!("topics.csv"))
        .into_iter()
        .filter_map(|row| match row.as_slice() {
            [name, regimes, question] => Some(Topic { name, regimes: regimes.split(' ').collect(), question }),
            _ => None,
        })
        .collect()
});

/// Every clause, in the order of the data.
#[must_use]
pub fn clauses() -> &'static [Clause] {
    &CLAUSES
}

/// The clause of this key.
#[must_use]
pub fn clause(id: &str) -> Option<&'static Clause> {
    CLAUSES.iter().find(|clause| clause.id == id)
}

/// Every topic, in the order of the data.
#[must_use]
pub fn topics() -> &'static [Topic] {
    &TOPICS
}

/// The regimes a plan may name.
pub const REGIMES: &[&str] = &["codex", "us-meat-poultry", "us-seafood", "us-juice", "us-preventive-controls", "eu"];

impl Clause {
    /// Whether one of these regimes holds it.
    #[must_use]
    pub fn of_any(&self, regimes: &[&str]) -> bool {
        regimes.iter().any(|regime| self.regimes.contains(regime))
    }

    /// Citation, gist, and a word where the text itself was not read.
    #[must_use]
    pub fn note(&self) -> String {
        format!("{}: {}{}", self.citation, self.gist, self.caveat())
    }

    /// A word where the text itself was not read, or read in part only; empty where it was.
    #[must_use]
    pub fn caveat(&self) -> &'static str {
        match self.text_read {
            TextRead::Yes => "",
            TextRead::Partly => " (text read in part; check the original)",
            TextRead::No => " (text not read; check the original)",
        }
    }
}
