//! One finding for many cells: the first row, how many, and the last.

use crate::finding::{Finding, Rule};
use crate::source::{Cell, Place};

/// Findings of one file, gathered by rule and column.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    hits: Vec<Hit>,
}

#[derive(Debug)]
struct Hit {
    rule: &'static Rule,
    column: String,
    message: String,
    help: Option<String>,
    first: u64,
    last: u64,
    count: u64,
}

impl Tally {
    /// One more cell; `words` gives the message and the next step, and is asked for the first cell only.
    pub fn hit(
        &mut self,
        rule: &'static Rule,
        column: &str,
        row: u64,
        words: impl FnOnce() -> (String, Option<String>),
    ) {
        if let Some(hit) = self.hits.iter_mut().find(|hit| std::ptr::eq(hit.rule, rule) && hit.column == column) {
            hit.last = row;
            hit.count += 1;
            return;
        }
        let (message, help) = words();
        self.hits.push(Hit { rule, column: column.to_owned(), message, help, first: row, last: row, count: 1 });
    }

    /// Takes in the cells of the next stretch of the same file.
    pub fn absorb(&mut self, next: Tally) {
        for new in next.hits {
            match self.hits.iter_mut().find(|hit| std::ptr::eq(hit.rule, new.rule) && hit.column == new.column) {
                Some(hit) => {
                    hit.last = new.last;
                    hit.count += new.count;
                }
                None => self.hits.push(new),
            }
        }
    }

    /// The findings, each at its first row.
    pub fn into_findings(self, file: &str, out: &mut Vec<Finding>) {
        for hit in self.hits {
            let more = match hit.count {
                1 => String::new(),
                count => format!("; {count} times, the last in row {}", hit.last),
            };
            let column = (!hit.column.is_empty()).then_some(hit.column);
            let place = Place::Cell(Cell { file: file.to_owned(), row: hit.first, column });
            let mut finding = Finding::new(hit.rule, place, format!("{}{more}", hit.message));
            finding.help = hit.help;
            out.push(finding);
        }
    }
}
