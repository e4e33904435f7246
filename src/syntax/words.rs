//! The vocabulary: every word of the language, where it stands and what it means.
//!
//! Read from `grammar/words.csv`; hover, completion, suggestions and the language reference are fed from it.

use std::sync::LazyLock;

/// How a word is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Use {
    /// Begins a block.
    Block,
    /// Begins a statement.
    Statement,
    /// Stands inside a statement.
    Inside,
}

/// One word of the vocabulary.
#[derive(Debug, Clone)]
pub struct Word {
    /// As written.
    pub word: String,
    /// How it is used.
    pub used: Use,
    /// Blocks in which a statement word may stand; empty for the others.
    pub blocks: Vec<String>,
    /// What it means, in the trade's words.
    pub meaning: String,
}

static WORDS: LazyLock<Vec<Word>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(include_str!("../../grammar/words.csv").as_bytes());
    reader
        .records()
        .flatten()
        .filter_map(|row| {
            let used = match row.get(1)? {
                "block" => Use::Block,
                "statement" => Use::Statement,
                _ => Use::Inside,
            };
            Some(Word {
                word: row.get(0)?.to_owned(),
                used,
                blocks: row.get(2)?.split_whitespace().map(str::to_owned).collect(),
                meaning: row.get(3)?.to_owned(),
            })
        })
        .collect()
});

/// Every word, in the order of the file.
#[must_use]
pub fn words() -> &'static [Word] {
    &WORDS
}

/// The words that begin a block.
pub fn block_words() -> impl Iterator<Item = &'static str> {
    words().iter().filter(|word| word.used == Use::Block).map(|word| word.word.as_str())
}

/// The words that may begin a statement in a block.
pub fn statement_words(block: &str) -> impl Iterator<Item = &'static str> {
    words()
        .iter()
        .filter(move |word| word.used == Use::Statement && word.blocks.iter().any(|name| name == block))
        .map(|word| word.word.as_str())
}

/// The blocks in which a statement word is at home.
#[must_use]
pub fn homes(statement: &str) -> Vec<&'static str> {
    words()
        .iter()
        .filter(|word| word.used == Use::Statement && word.word == statement)
        .flat_map(|word| word.blocks.iter().map(String::as_str))
        .collect()
}
