//! Terms in the sense of the rules that the plan answers to, from `terms.csv`.

use crate::document::Order;
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};
use serde::Deserialize;

/// One meaning of a term.
#[derive(Debug, Deserialize)]
struct Term {
    term: String,
    /// The regimes whose sense it is, with spaces between; empty where all share it.
    regimes: String,
    meaning: String,
    source: String,
    /// Whether the text named was read: `yes`, `no`, `in part`.
    read: String,
}

fn terms() -> Vec<Term> {
    // A test reads every row; a row that is none would be left out here.
    csv::Reader::from_reader(include_str!("../terms.csv").as_bytes()).deserialize().flatten().collect()
}

pub(super) fn section(order: &Order<'_>) -> Section {
    let head = order.plan.head.as_ref();
    let here = |term: &Term| {
        term.regimes.is_empty()
            || term.regimes.split(' ').any(|regime| head.is_some_and(|head| head.answers_to(regime)))
    };
    let mut before = String::new();
    let rows = terms()
        .into_iter()
        .filter(here)
        .map(|term| {
            let name = if term.term == before { Cell::empty() } else { Cell::text(&term.term) };
            before.clone_from(&term.term);
            let read = (term.read != "yes").then(|| Piece::styled("quiet", " (text not read, or not whole)"));
            let source = std::iter::once(Piece::plain(&term.source)).chain(read).collect();
            Row::new(vec![name, Cell::text(&term.meaning), Cell::line(source)])
        })
        .collect();
    let columns = [("Term", 20), ("Meaning", 50), ("In the sense of", 30)];
    let table = Table::some("Terms as the rules of this plan use them", &columns, rows);
    let intro = Block::text(
        "Put in other words than the rules do. Where two of the rules differ, each sense is given; the text of the rule counts.",
    );
    Section::new("terms", "Terms", std::iter::once(intro).chain(table).collect())
}

#[cfg(test)]
mod tests {
    #[test]
    fn every_row_is_a_term() {
        let text = include_str!("../terms.csv");
        let rows = super::terms();
        assert_eq!(rows.len(), text.lines().count() - 1);
        for term in rows {
            assert!(!term.term.is_empty() && !term.meaning.is_empty() && !term.source.is_empty(), "{term:?}");
            assert!(["yes", "no", "in part"].contains(&term.read.as_str()), "{term:?}");
            for regime in term.regimes.split(' ').filter(|regime| !regime.is_empty()) {
                assert_ne!(super::super::cover::regime(regime), regime, "{term:?}");
            }
        }
    }
}
