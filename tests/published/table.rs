//! Reading of the data files, and the account of what was done with each row.

use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;

/// One data row; cells by column name.
#[derive(Debug, Clone)]
pub struct Row {
    /// Place in the file, counted from 0 without the heading.
    pub index: usize,
    cells: BTreeMap<String, String>,
}

impl Row {
    /// The cell as text.
    pub fn text(&self, column: &str) -> &str {
        self.cells.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The cell as a number.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("row {}: {column} is {text:?}", self.index + 2))
    }

    /// The cell as one number, or as both ends of a printed range "a-b".
    pub fn span(&self, column: &str) -> (f64, f64) {
        match self.text(column).split_once('-') {
            Some((low, high)) => (low.parse().unwrap(), high.parse().unwrap()),
            None => (self.number(column), self.number(column)),
        }
    }

    /// Half of the last printed digit of the cell.
    pub fn half_digit(&self, column: &str) -> f64 {
        let decimals = self.text(column).split_once('.').map_or(0, |(_, d)| d.len());
        0.5 * 10f64.powi(-i32::try_from(decimals).unwrap())
    }

    /// True if nobody read a page for this figure.
    pub fn recalled(&self) -> bool {
        self.text("from_memory") != "no"
    }
}

/// Degrees Fahrenheit to degrees Celsius.
pub fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// What was done with a row.
#[derive(Debug, Clone, PartialEq)]
enum Fate {
    Checked,
    Difference(String),
    Structure,
    Hint,
}

/// The account of one data file.
pub struct Account {
    file: &'static str,
    pub rows: Vec<Row>,
    fates: Vec<Option<Fate>>,
}

impl Account {
    /// Opens a data file; each row must name a source.
    pub fn open(file: &'static str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/data").join(file);
        let mut reader = csv::Reader::from_path(&path).expect(file);
        let columns = reader.headers().unwrap().clone();
        let rows: Vec<Row> = reader
            .records()
            .enumerate()
            .map(|(index, record)| Row {
                index,
                cells: columns.iter().map(String::from).zip(record.unwrap().iter().map(String::from)).collect(),
            })
            .collect();
        assert!(!rows.is_empty(), "{file} is empty");
        Self { file, fates: vec![None; rows.len()], rows }
    }

    /// The row was reproduced within its printed rounding.
    pub fn checked(&mut self, row: &Row) {
        self.set(row, Fate::Checked);
    }

    /// DIFFERENCE: the row departs by more than its rounding, for a reason.
    pub fn difference(&mut self, row: &Row, reason: impl Into<String>) {
        self.set(row, Fate::Difference(reason.into()));
    }

    /// The row was read and its order or shape asserted; it has no value that
    /// a formula of ours could reproduce.
    pub fn structure(&mut self, row: &Row) {
        self.set(row, Fate::Structure);
    }

    /// The row comes from memory and supports nothing.
    pub fn hint(&mut self, row: &Row) {
        assert!(row.recalled(), "{} row {}", self.file, row.index + 2);
        self.set(row, Fate::Hint);
    }

    fn set(&mut self, row: &Row, fate: Fate) {
        assert!(
            !row.recalled() || fate == Fate::Hint,
            "{} row {}: a figure from memory supports no check",
            self.file,
            row.index + 2
        );
        let place = &mut self.fates[row.index];
        assert!(place.is_none(), "{} row {} twice", self.file, row.index + 2);
        *place = Some(fate);
    }

    /// Closes the account: no row may be left over.
    pub fn close(self) -> Self {
        for (row, fate) in self.rows.iter().zip(&self.fates) {
            assert!(fate.is_some(), "{} row {} not used", self.file, row.index + 2);
        }
        self
    }

    /// Rows, then how many were reproduced, differ, were checked in structure only, are hints.
    pub fn counts(&self) -> [usize; 5] {
        let count = |test: fn(&Fate) -> bool| self.fates.iter().flatten().filter(|f| test(f)).count();
        [
            self.rows.len(),
            count(|f| *f == Fate::Checked),
            count(|f| matches!(f, Fate::Difference(_))),
            count(|f| *f == Fate::Structure),
            count(|f| *f == Fate::Hint),
        ]
    }
}

impl fmt::Display for Account {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [rows, checked, differ, structure, hints] = self.counts();
        write!(
            f,
            "{}: {rows} rows; {checked} reproduced, {differ} DIFFERENCE, {structure} structure, {hints} hints",
            self.file
        )?;
        let mut reasons: BTreeMap<&str, usize> = BTreeMap::new();
        for fate in self.fates.iter().flatten() {
            if let Fate::Difference(reason) = fate {
                *reasons.entry(reason).or_default() += 1;
            }
        }
        for (reason, count) in reasons {
            write!(f, "\n  DIFFERENCE ({count} rows): {reason}")?;
        }
        Ok(())
    }
}
