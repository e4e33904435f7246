//! Which neighbouring lines make columns, and how wide these are.

use super::layout::{Line, Row, Single, flat, width};
use super::outline::{Piece, Statement};
use crate::syntax::Rule;

/// A first column wider than this stands outside the column of its neighbours.
const WIDEST_NAME: usize = 40;
/// Columns of one-line blocks are given up where a line would become longer than this.
const WIDEST_BLOCK: usize = 120;
/// Longer lines take no part in lining up comments.
const WIDEST_COMMENTED: usize = 80;

/// The columns of one row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Column {
    /// None: one blank everywhere.
    None,
    /// The first column is this wide, and two blanks follow it; where a name and a text follow, so wide is the name.
    First(usize, usize),
    /// A block on one line: word and name, title, contents, with one blank between.
    Block(usize, usize),
}

/// How a statement takes part in columns.
#[derive(Debug, PartialEq, Eq)]
enum Kind<'a> {
    /// Reads as a sentence: no column.
    Sentence,
    /// A word and its value.
    Label,
    /// A word and a name: a column with those of the same word alone.
    Named(&'a str),
    /// A block on one line.
    Block(&'a str),
}

/// A statement that the printer does not know is a word and its value.
fn kind<'a>(single: &'a Single<'_>) -> Kind<'a> {
    let statement = single.statement;
    let Some(Piece::Word(word, _)) = statement.pieces.first() else { return Kind::Sentence };
    let runs_on = statement.pieces.iter().any(|piece| matches!(piece, Piece::Break | Piece::Comment(_)));
    let holds_bodies = statement.bodies().next().is_some();
    match statement.rule {
        Rule::s_limit | Rule::s_monitor => Kind::Named(word),
        Rule::s_no_hazard
        | Rule::s_series
        | Rule::s_verify
        | Rule::s_validated
        | Rule::s_row
        | Rule::s_option
        | Rule::s_part => Kind::Sentence,
        rule if is_block(rule) && (runs_on || single.opens()) => Kind::Sentence,
        rule if is_block(rule) => Kind::Block(word),
        _ if holds_bodies => Kind::Sentence,
        _ => Kind::Label,
    }
}

fn is_block(rule: Rule) -> bool {
    format!("{rule:?}").ends_with("_block")
}

/// The column of each row. Empty lines and rows of another kind end a column; comments do not.
pub(super) fn columns(rows: &[Row<'_>]) -> Vec<Column> {
    let mut columns = vec![Column::None; rows.len()];
    let mut at = 0;
    while let Some(row) = rows.get(at) {
        let Row::Single(first) = row else {
            at += 1;
            continue;
        };
        let kind = kind(first);
        let mut members = vec![at];
        let mut end = at + 1;
        // A statement that opens a body is a column of its own.
        while kind != Kind::Sentence && !first.opens() {
            match rows.get(end) {
                Some(Row::Comment(_)) => {}
                Some(Row::Single(next)) if !next.opens() && self::kind(next) == kind => members.push(end),
                _ => break,
            }
            end += 1;
        }
        let singles: Vec<&Single<'_>> = members
            .iter()
            .filter_map(|member| match rows.get(*member) {
                Some(Row::Single(single)) => Some(single),
                _ => None,
            })
            .collect();
        let column = match kind {
            Kind::Sentence => Column::None,
            Kind::Label | Kind::Named(_) => {
                let widths = singles.iter().filter_map(|single| cell(single.statement));
                let widest = widths.filter(|width| *width <= WIDEST_NAME).max().unwrap_or(0);
                let names = singles.iter().filter_map(|single| name_before_text(single.statement));
                Column::First(widest, names.max().unwrap_or(0))
            }
            Kind::Block(_) => block_columns(&singles),
        };
        for (member, single) in members.iter().zip(singles) {
            if let Some(place) = columns.get_mut(*member)
                && column.takes(single)
            {
                place.clone_from(&column);
            }
        }
        at = end;
    }
    columns
}

/// How wide the first column of a statement is, if something follows it on its line.
fn cell(statement: &Statement) -> Option<usize> {
    let (first, rest) = statement.pieces.split_at_checked(statement.cell)?;
    let plain = first.iter().all(|piece| matches!(piece, Piece::Word(..)));
    let followed = matches!(rest.first(), Some(Piece::Word(..) | Piece::Text(_)));
    (plain && followed).then(|| width(&flat(first, "")))
}

/// Word and name, and whatever stands before the contents, of a block.
fn block_cells(statement: &Statement) -> (usize, usize) {
    let until = statement.pieces.iter().position(|piece| matches!(piece, Piece::Body(_)));
    let (until, after) = (until.unwrap_or(2).min(2), until.unwrap_or(2));
    let name = flat(statement.pieces.get(..until).unwrap_or(&[]), "");
    let title = flat(statement.pieces.get(until..after).unwrap_or(&[]), "");
    (width(&name), width(&title))
}

/// How wide the name is in a statement that is a word, a name and a text.
fn name_before_text(statement: &Statement) -> Option<usize> {
    match statement.pieces.as_slice() {
        [Piece::Word(..), Piece::Word(name, false), Piece::Text(_)] => Some(width(name)),
        _ => None,
    }
}

/// The columns of one-line blocks. A block that would become too long stands outside.
fn block_columns(singles: &[&Single<'_>]) -> Column {
    let mut inside: Vec<&Single<'_>> = singles.to_vec();
    loop {
        let cells = inside.iter().map(|single| block_cells(single.statement));
        let (name, title) = cells.fold((0, 0), |most, cell| (most.0.max(cell.0), most.1.max(cell.1)));
        let column = Column::Block(name, title);
        let before = inside.len();
        inside.retain(|single| column.takes(single));
        if inside.len() == before {
            return if before < 2 { Column::None } else { column };
        }
    }
}

impl Column {
    /// Whether a statement fits into the column.
    fn takes(&self, single: &Single<'_>) -> bool {
        let Column::Block(widest, title) = self else { return true };
        let cells = block_cells(single.statement);
        let fits = single.width + widest + title <= WIDEST_BLOCK + cells.0 + cells.1;
        cells.0 <= *widest && cells.1 <= *title && fits
    }

    /// Where the value of a statement begins, counted from the statement's beginning.
    pub(super) fn value(&self, statement: &Statement, text: &str) -> Option<usize> {
        match self {
            Column::First(widest, _) => {
                let own = width(&flat(statement.pieces.get(..statement.cell)?, text));
                Some(own.max(*widest) + 2)
            }
            Column::None | Column::Block(..) => None,
        }
    }

    /// Pads the line before the piece of this number.
    pub(super) fn pad(&self, line: &mut String, number: usize, statement: &Statement) {
        let to = match self {
            Column::None => return,
            Column::First(widest, _) if number == statement.cell && cell(statement).is_some() => {
                width(line).max(*widest) + 2
            }
            Column::First(widest, name) if number == 2 && name_before_text(statement).is_some() => {
                widest + 2 + name + 1
            }
            Column::Block(name, _) if number == 2 => name + 1,
            Column::First(..) | Column::Block(..) => 0,
        };
        let body = matches!(statement.pieces.get(number), Some(Piece::Body(_)));
        let to = match self {
            // Contents stand where the titles begin, if there is none.
            Column::Block(name, title) if body => name + 1 + if number > 2 { title + 1 } else { 0 },
            _ => to,
        };
        let missing = to.saturating_sub(width(line));
        line.extend(std::iter::repeat_n(' ', missing));
    }
}

/// The lines as text: comments two blanks behind their line, lined up with those of the lines around.
pub(super) fn write(lines: &[Line]) -> String {
    let mut out = String::new();
    let mut rest = lines;
    while let Some(first) = rest.first() {
        let together = |line: &&Line| behind(line) && line.indent == first.indent;
        let length = rest.iter().take_while(together).count().max(1);
        let (run, after) = rest.split_at(length);
        rest = after;
        let widths = run.iter().map(|line| width(&line.text)).filter(|width| *width <= WIDEST_COMMENTED);
        let widest = widths.max().unwrap_or(0);
        for line in run {
            if !line.text.is_empty() || line.comment.is_some() {
                out.extend(std::iter::repeat_n(' ', line.indent));
            }
            out.push_str(line.text.trim_end());
            if let Some(comment) = &line.comment {
                if !line.text.is_empty() {
                    out.extend(std::iter::repeat_n(' ', widest.saturating_sub(width(&line.text)) + 2));
                }
                out.push_str(comment);
            }
            out.push('\n');
        }
    }
    out
}

/// Whether a comment stands behind the line's text.
fn behind(line: &Line) -> bool {
    !line.text.is_empty() && line.comment.is_some()
}
