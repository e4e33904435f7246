//! Rules over successive lots or samples.

use super::Citation;
use crate::plan::{BLANK, Name};
use crate::source::Loc;
use chrono::NaiveDate;

/// A rule over successive lots or samples: one limit may be missed by so many of any so many in a row.
///
/// It is judged apart from the limits of a lot and changes no verdict of one. The pattern of the trade is two positive
/// tests in a series of seven (21 CFR 120.25).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Series {
    /// Its name.
    pub name: Name,
    /// The limit of the same control that is looked at.
    pub limit: Name,
    /// How many may miss it.
    pub most: u32,
    /// Of how many in a row.
    pub of: u32,
    /// Of what.
    pub what: SeriesOf,
    /// The day from which it is counted, where it is said; the day itself is `None` while blank.
    pub from: Option<Option<NaiveDate>>,
    /// The reason.
    pub because: Option<String>,
    /// What it cites.
    pub cites: Vec<Citation>,
    /// The first line.
    pub loc: Loc,
    /// The two counts, for showing them.
    pub counts_loc: Loc,
}

/// What follows one another in a series.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeriesOf {
    /// Lots, in the order in which their first stages began.
    Lots,
    /// Samples, in the order of their times.
    Samples,
}

impl SeriesOf {
    /// The word as written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            SeriesOf::Lots => "lots",
            SeriesOf::Samples => "samples",
        }
    }

    /// As many of them, in words.
    #[must_use]
    pub fn count(self, count: usize) -> String {
        let word = self.word();
        format!("{count} {}", if count == 1 { word.trim_end_matches('s') } else { word })
    }
}

impl Series {
    /// The rule as it is evaluated; what stands here can be typed into a plan behind its name.
    #[must_use]
    pub fn symbols(&self) -> String {
        let from = self.from.map_or_else(String::new, |day| {
            format!(" from {}", day.map_or_else(|| BLANK.to_owned(), |day| day.to_string()))
        });
        format!("{} not met in at most {} of any {} {}{from}", self.limit, self.most, self.of, self.what.word())
    }

    /// The rule as a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let from = self.from.map_or_else(String::new, |day| {
            let day = day.map_or_else(|| BLANK.to_owned(), |day| day.to_string());
            match self.what {
                SeriesOf::Lots => format!("; lots begun before {day} are not counted"),
                SeriesOf::Samples => format!("; samples taken before {day} are not counted"),
            }
        });
        format!(
            "Of any {} successive {}, at most {} may miss the limit {}{from}",
            self.of,
            self.what.word(),
            self.most,
            self.limit.text.replace('-', " ")
        )
    }
}
