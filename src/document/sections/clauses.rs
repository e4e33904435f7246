//! Clause by clause: what in the plan answers it, what is missing, and where a person must look.

use crate::check::coverage::{Line, PARTS, Standing, Thing, coverage};
use crate::clause::TextRead;
use crate::document::Order;
use crate::document::labels::capital;
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};

/// The table of clauses; nothing if the plan names no regime.
pub(super) fn section(order: &Order<'_>) -> Option<Section> {
    let lines = coverage(order.plan, order.findings, order.signing);
    let columns = [("Clause", 20), ("What it asks, in short", 45), ("In this plan", 35)];
    let mut blocks = vec![Block::text(
        "What the check can see of each clause of the rules that the plan names. It reads the text of the plan and not \
         the plant: an answer found here is still looked at by a person. The wording is ours; the text of the rule decides, and \
         where it is marked as not read, it has to be looked up.",
    )];
    let apart = |applies: bool| -> Vec<Row> {
        lines.iter().filter(|line| matches!(line.standing, Standing::DoesNotApply(_)) != applies).map(row).collect()
    };
    blocks.extend(Table::some("Clauses that apply", &columns, apart(true)));
    blocks.extend(Table::some("Clauses that do not apply", &columns, apart(false)));
    (!lines.is_empty()).then(|| Section::new("clauses", "Clause by clause", blocks).own_page())
}

fn row(line: &Line) -> Row {
    let mut cited = vec![Piece::styled("strong", line.clause.citation)];
    match line.clause.text_read {
        TextRead::Yes => {}
        TextRead::Partly => cited.push(Piece::styled("quiet", " (read in part)")),
        TextRead::No => cited.push(Piece::styled("quiet", " (not read)")),
    }
    Row::new(vec![Cell::line(cited), Cell::text(line.clause.gist), standing(line)])
}

fn standing(line: &Line) -> Cell {
    let section = PARTS.iter().find(|(part, _)| *part == line.clause.at).map_or("", |(_, section)| section);
    let look = |words: &str| Piece::plain(words).to(section);
    match &line.standing {
        Standing::Met(things) if things.is_empty() => Cell::line(vec![look("Nothing is lacking")]),
        Standing::Met(things) => Cell::line(vec![look("Answered by "), Piece::plain(few(things))]),
        Standing::Missing(codes) => Cell::line(vec![
            Piece::styled("strong", "Missing"),
            Piece::plain(": "),
            Piece::styled("code", codes.join(", ")),
        ]),
        Standing::Person(things) if things.is_empty() => Cell::line(vec![look("A person must judge")]),
        Standing::Person(things) => {
            Cell::line(vec![look("A person must judge"), Piece::plain(format!(": {}", few(things)))])
        }
        Standing::Unsaid(topic, question) => {
            Cell::line(vec![Piece::styled("strong", "Not said"), Piece::plain(format!(" of {topic}: {question}"))])
        }
        Standing::SignOff(word, by) if by.is_empty() => Cell::line(vec![look(&capital(word))]),
        Standing::SignOff(word, by) => Cell::line(vec![look(&capital(word)), Piece::plain(format!(": {by}"))]),
        Standing::DoesNotApply(why) => Cell::text(capital(why)),
    }
}

/// The first few things, and how many more there are.
fn few(things: &[Thing]) -> String {
    let first: Vec<&str> = things.iter().take(3).map(|thing| thing.words.as_str()).collect();
    match things.len().saturating_sub(first.len()) {
        0 => first.join(", "),
        more => format!("{} and {more} more", first.join(", ")),
    }
}
