//! Which lot, instrument and name a row is of, found again without a look at a table where the rows come in the order in
//! which they came before.

use std::collections::HashMap;

/// No family, no follower.
pub(super) const NONE: u32 = u32::MAX;

/// What rows of one lot and instrument hold, and of one name where each row holds one reading. One line of the
/// processor's memory holds what every row asks.
#[derive(Debug, Clone, Copy)]
#[repr(align(64))]
pub(super) struct Chosen {
    brief: Brief,
    /// The first column that is used.
    pub from: u32,
    /// How many are used; none where the name is not known.
    pub count: u32,
    /// The lot and instrument, once a row was used.
    pub family: u32,
    /// What followed it last time.
    next: u32,
}

/// Lot, instrument and name in few words. Texts that are longer than a word are told apart by their number among the
/// long texts of the stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Brief {
    words: [u64; 3],
    lengths: [u8; 3],
}

/// The length that stands for a long text.
const LONG: u8 = 9;

/// Up to eight bytes as a number, which with the length is that text alone.
#[inline]
fn word(text: &[u8]) -> Option<u64> {
    if let Some((&[a, b, c, d], _)) = text.split_first_chunk::<4>() {
        let &[e, f, g, h] = text.last_chunk::<4>().filter(|_| text.len() <= 8)?;
        return Some((u64::from(u32::from_le_bytes([a, b, c, d])) << 32) | u64::from(u32::from_le_bytes([e, f, g, h])));
    }
    Some(text.iter().fold(0, |word, byte| (word << 8) | u64::from(*byte)))
}

/// A cell as it stands, kept.
pub(super) type Code = Box<[u8]>;

/// What the rows of a stretch are of.
#[derive(Debug)]
pub(super) struct Choices {
    all: Vec<Chosen>,
    /// Lot, instrument and name of each.
    texts: Vec<[Code; 3]>,
    by_brief: HashMap<Brief, u32>,
    long: HashMap<Code, u64>,
    /// The long texts that came last, since they often come again.
    last_long: [(Code, u64); 3],
    last: u32,
}

impl Default for Choices {
    fn default() -> Self {
        Choices {
            all: Vec::new(),
            texts: Vec::new(),
            by_brief: HashMap::new(),
            long: HashMap::new(),
            last_long: std::array::from_fn(|_| (Code::default(), u64::MAX)),
            last: NONE,
        }
    }
}

impl Choices {
    /// The choice for lot, instrument and name; `columns` gives the first column and how many, for a new one.
    #[inline]
    pub fn find(&mut self, texts: [&[u8]; 3], columns: &dyn Fn() -> (u32, u32)) -> u32 {
        let mut brief = Brief { words: [0; 3], lengths: [0; 3] };
        for (at, (text, (own, length))) in
            texts.into_iter().zip(brief.words.iter_mut().zip(&mut brief.lengths)).enumerate()
        {
            (*own, *length) = match word(text) {
                Some(word) => (word, text.len() as u8),
                None => (self.long_word(at, text), LONG),
            };
        }
        let guess = self.all.get(self.last as usize).map_or(NONE, |last| last.next);
        if self.all.get(guess as usize).is_some_and(|chosen| chosen.brief == brief) {
            self.last = guess;
            return guess;
        }
        let index = match self.by_brief.get(&brief) {
            Some(&index) => index,
            None => self.add(brief, texts, columns()),
        };
        if let Some(last) = self.all.get_mut(self.last as usize) {
            last.next = index;
        }
        self.last = index;
        index
    }

    #[inline(never)]
    fn add(&mut self, brief: Brief, texts: [&[u8]; 3], (from, count): (u32, u32)) -> u32 {
        let index = self.all.len() as u32;
        self.by_brief.insert(brief, index);
        self.texts.push(texts.map(Into::into));
        self.all.push(Chosen { brief, from, count, family: NONE, next: index });
        index
    }

    /// The number of a long text.
    #[inline(never)]
    fn long_word(&mut self, at: usize, text: &[u8]) -> u64 {
        if let Some((last, number)) = self.last_long.get(at)
            && **last == *text
        {
            return *number;
        }
        let next = self.long.len() as u64;
        let number = match self.long.get(text) {
            Some(&number) => number,
            None => *self.long.entry(text.into()).or_insert(next),
        };
        if let Some(last) = self.last_long.get_mut(at) {
            *last = (text.into(), number);
        }
        number
    }

    /// One of them.
    #[inline]
    pub fn get(&self, index: u32) -> Option<Chosen> {
        self.all.get(index as usize).copied()
    }

    /// Lot, instrument and name of one.
    pub fn texts(&self, index: u32) -> Option<&[Code; 3]> {
        self.texts.get(index as usize)
    }

    /// Notes the lot and instrument of one.
    pub fn set_family(&mut self, index: u32, family: u32) {
        if let Some(chosen) = self.all.get_mut(index as usize) {
            chosen.family = family;
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing)]
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Each triple of texts has one choice of its own, whatever came before it.
        #[test]
        fn texts_are_told_apart(rows in proptest::collection::vec(["[a\0]{0,10}", "[ab]{0,3}", "[ab]{7,18}"], 1..200)) {
            let mut choices = Choices::default();
            let mut known: HashMap<[String; 3], u32> = HashMap::new();
            for row in rows {
                let new = known.len() as u32;
                let index = choices.find([row[0].as_bytes(), row[1].as_bytes(), row[2].as_bytes()], &|| (new, 1));
                prop_assert_eq!(choices.get(index).unwrap().from, *known.entry(row.clone()).or_insert(new));
                let texts = choices.texts(index).unwrap();
                prop_assert!(texts.iter().zip(&row).all(|(kept, text)| **kept == *text.as_bytes()));
            }
        }
    }
}
