//! The clauses that findings rest on, read from data.
//!
//! Gists are in our own words. `text_read` says whether the clause's own text was read for them; a
//! finding that rests on an unread text says so.

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

/// One clause of a regime.
#[derive(Debug, Clone)]
pub struct Clause {
    /// Key, such as `codex.limit`.
    pub id: String,
    /// Regime, such as `codex`.
    pub regime: String,
    /// Where it stands, as the trade cites it.
    pub citation: String,
    /// Force.
    pub force: Force,
    /// Whether its text was read.
    pub text_read: TextRead,
    /// What it asks, in our words.
    pub gist: String,
}

static CLAUSES: LazyLock<Vec<Clause>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(include_str!("clauses.csv").as_bytes());
    reader
        .records()
        .flatten()
        .filter_map(|row| {
            Some(Clause {
                id: row.get(0)?.to_owned(),
                regime: row.get(1)?.to_owned(),
                citation: row.get(2)?.to_owned(),
                force: match row.get(3)? {
                    "shall" => Force::Shall,
                    "should" => Force::Should,
                    _ => Force::Advice,
                },
                text_read: match row.get(4)? {
                    "yes" => TextRead::Yes,
                    "partly" => TextRead::Partly,
                    _ => TextRead::No,
                },
                gist: row.get(5)?.to_owned(),
            })
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

/// The regimes a plan may name.
pub const REGIMES: &[&str] = &["codex", "us-meat-poultry", "us-seafood", "us-juice", "us-preventive-controls", "eu"];

impl Clause {
    /// Citation, gist, and a word where the text itself was not read.
    #[must_use]
    pub fn note(&self) -> String {
        let unread = match self.text_read {
            TextRead::Yes => "",
            TextRead::Partly => " (text read in part; check the original)",
            TextRead::No => " (text not read; check the original)",
        };
        format!("{}: {}{unread}", self.citation, self.gist)
    }
}
