//! What the cells of a column have in common, and which of them do not.

use super::kinds::{Family, Kind, kind, shape};
use super::split::{Row, Rows};
use std::collections::BTreeMap;

/// Cells of one column, taken together.
#[derive(Debug, Clone, Default)]
pub struct Column {
    /// What nearly all of its filled cells are.
    pub family: Option<Family>,
    /// The decimal mark of nearly all numbers that have one.
    pub mark: Option<char>,
    /// Words that stand several times in a column of numbers or times, each with its count.
    pub codes: BTreeMap<String, u64>,
    /// Cells with something in them.
    pub filled: u64,
    /// Blank cells.
    pub blank: u64,
    /// How many of its cells are of each family.
    families: BTreeMap<&'static str, u64>,
    /// Digits behind the mark, where nearly all numbers have as many.
    places: Option<usize>,
    /// Whether noughts stand before other digits.
    noughts: bool,
    /// The outline of nearly all texts.
    shape: Option<String>,
}

/// A word that stands at least so often is a code and no slip.
const OFTEN: u64 = 3;

/// Looks over these rows.
pub fn columns<'r>(rows: &Rows, of: impl Iterator<Item = &'r Row> + Clone, width: usize) -> Vec<Column> {
    (0..width).map(|at| one(of.clone().map(|row| rows.cell(row, at)))).collect()
}

fn one<'c>(cells: impl Iterator<Item = &'c str>) -> Column {
    let mut column = Column::default();
    let mut families: BTreeMap<&'static str, (Option<Family>, u64)> = BTreeMap::new();
    let mut marks: BTreeMap<Option<char>, u64> = BTreeMap::new();
    let mut places: BTreeMap<usize, u64> = BTreeMap::new();
    let mut words: BTreeMap<&str, u64> = BTreeMap::new();
    let mut shapes: BTreeMap<String, u64> = BTreeMap::new();
    let (mut noughts, mut coded) = (0, 0);
    for cell in cells {
        let kind = kind(cell);
        match kind {
            Kind::Blank => {
                column.blank += 1;
                continue;
            }
            Kind::Code => {
                coded += 1;
                *words.entry(cell.trim()).or_default() += 1;
            }
            Kind::Number(look) => {
                *marks.entry(look.mark).or_default() += 1;
                *places.entry(look.places).or_default() += 1;
                noughts += u64::from(look.nought);
            }
            Kind::Text if words.len() < 1000 => *words.entry(cell.trim()).or_default() += 1,
            _ => {}
        }
        column.filled += 1;
        if shapes.len() < 200 {
            *shapes.entry(shape(cell)).or_default() += 1;
        }
        let family = kind.family();
        families.entry(family.map_or("", Family::words)).or_insert((family, 0)).1 += 1;
    }
    let sure = column.filled - coded;
    column.families = families.iter().map(|(name, (_, count))| (*name, *count)).collect();
    let often: u64 =
        words.iter().filter(|(word, count)| **count >= OFTEN && kind(word) == Kind::Text).map(|(_, count)| count).sum();
    let most = families.values().filter(|(family, _)| family.is_some()).max_by_key(|(_, count)| *count);
    if let Some(&(family, count)) = most {
        let odd = sure - count;
        let rare = odd.saturating_sub(often.min(odd));
        if count >= 3 && rare <= (sure / 20).max(1) && count > odd {
            column.family = family;
        }
    }
    if column.family.is_some() {
        column.codes = words
            .into_iter()
            .filter(|(word, count)| *count >= OFTEN || kind(word) == Kind::Code)
            .map(|(word, count)| (word.to_owned(), count))
            .collect();
    } else if column.filled >= 4 {
        let top = shapes.iter().max_by_key(|(_, count)| **count);
        // In a short column letters alone say little.
        let telling = |shape: &str| column.filled >= 6 || shape.contains(|c: char| c != 'A');
        column.shape = top
            .filter(|(shape, count)| **count + (column.filled / 50).max(1) >= column.filled && shape.len() <= 16)
            .filter(|(shape, _)| telling(shape))
            .map(|(shape, _)| shape.clone());
    }
    if column.family == Some(Family::Number) {
        let numbers: u64 = marks.values().sum();
        let marked = marks.iter().filter(|(mark, _)| mark.is_some()).max_by_key(|(_, count)| **count);
        column.mark = marked.and_then(|(mark, _)| *mark);
        column.noughts = noughts * 50 > numbers;
        column.places = places
            .iter()
            .max_by_key(|(_, count)| **count)
            .filter(|(_, count)| numbers >= 30 && **count + (numbers / 200).max(1) >= numbers)
            .map(|(places, _)| *places);
    }
    column
}

impl Column {
    /// What speaks against this cell in this column, in words.
    #[must_use]
    pub fn odd(&self, cell: &str) -> Option<String> {
        let found = kind(cell);
        if matches!(found, Kind::Blank | Kind::Code) || self.codes.contains_key(cell.trim()) {
            return None;
        }
        let Some(family) = self.family else {
            let like = self.shape.as_ref().filter(|shape| self.filled >= 8 && shape.contains('9'))?;
            return (shape(cell) != *like).then(|| "is not written like the other cells of its column".to_owned());
        };
        if found.family() != Some(family) {
            return Some(format!("stands in a column of {}", family.words()));
        }
        let Kind::Number(look) = found else { return None };
        if let (Some(mark), Some(usual)) = (look.mark, self.mark)
            && mark != usual
        {
            return Some(format!("has the decimal mark `{mark}`, and its column has `{usual}`"));
        }
        if look.nought && !self.noughts {
            return Some("begins with a nought, and the other numbers of its column do not".to_owned());
        }
        let plain = cell.trim().trim_start_matches(['-', '+']);
        match self.places {
            Some(places) if places != look.places && !plain.trim_matches(['0', '.', ',']).is_empty() => Some(format!(
                "has {} digits behind the decimal mark, and the other numbers of its column have {places}",
                look.places
            )),
            _ => None,
        }
    }

    /// Whether a text is written otherwise than the other texts of its column: one such cell proves nothing, two in one
    /// row are odd.
    #[must_use]
    pub fn unlike(&self, cell: &str) -> bool {
        self.family.is_none()
            && kind(cell) != Kind::Blank
            && self.shape.as_ref().is_some_and(|like| shape(cell) != *like)
    }

    /// Whether this cell would be at home in another column and is not in this one.
    #[must_use]
    pub fn strays(&self, cell: &str, home: &Column) -> bool {
        if home.family.is_none() {
            return self.unlike(cell) && home.shape.as_ref().is_some_and(|like| shape(cell) == *like);
        }
        let found = kind(cell).family();
        found == home.family
            && self.family.is_none()
            && found.is_some_and(|family| self.families.get(family.words()).is_none_or(|count| *count <= 1))
    }

    /// Whether a blank cell is seldom here: as good as never, though there is one.
    #[must_use]
    pub fn hardly_blank(&self) -> bool {
        (self.family.is_some() || self.shape.is_some())
            && self.filled >= 3
            && (self.blank <= 1 || self.blank * 50 <= self.filled)
    }

    /// Whether this cell, as a word, could be a heading over the column: text over numbers or times.
    #[must_use]
    pub fn heads(&self, cell: &str) -> Option<bool> {
        self.family?;
        match kind(cell) {
            Kind::Text if !self.codes.contains_key(cell.trim()) => Some(true),
            Kind::Blank | Kind::Code | Kind::Text => None,
            _ => Some(false),
        }
    }
}
