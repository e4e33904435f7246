//! Rules over successive lots or samples, apart from the limits of the lots.

use super::{Order, told};
use crate::document::labels::Labels;
use crate::document::page::{Block, Cell, Fact, Piece, Row, Section, Table};
use crate::verdict::Verdict;
use crate::verify::series::SeriesVerdict;

/// The section; none where the plan has no such rule.
pub(super) fn section(order: &Order<'_>) -> Option<Section> {
    let labels = Labels::new(order.plan);
    let all = &order.verification.series;
    if all.is_empty() {
        return None;
    }
    let rows = all
        .iter()
        .map(|one| {
            let mark =
                order.plan.control(&one.control).map_or_else(|| one.control.clone(), |control| labels.mark(control));
            Row::new(vec![
                Cell::text(mark).then(vec![Piece::styled("quiet", &one.series)]),
                Cell::styled("code", &one.symbols).labelled("Of the limit", Some(&one.limit)),
                told(one.verdict),
                Cell::text(&one.why),
            ])
        })
        .collect();
    let columns = [("Series", 18), ("As evaluated", 30), ("Verdict", 12), ("Why", 40)];
    let mut blocks = vec![Block::text(
        "A run belongs to the period of its last member. A series changes no verdict of a lot; what is not shown counts as missed where the most is counted.",
    )];
    blocks.extend(Table::some("Rules over successive lots or samples", &columns, rows));
    for one in all.iter().filter(|one| one.verdict != Verdict::Met) {
        blocks.extend(run(order, one));
        blocks.extend(action(order, one));
    }
    Some(Section::new("series", "Over successive lots or samples", blocks))
}

/// The run that decided, one row for each member.
fn run(order: &Order<'_>, one: &SeriesVerdict) -> Option<Block> {
    let rows: Vec<Row> =
        one.lines(order.verification.zone).into_iter().map(|line| Row::new(vec![Cell::text(line)])).collect();
    let caption = format!("The run that decided {}.{}", one.control, one.series);
    Table::some(&caption, &[("In order of time, each with its own verdict", 100)], rows)
}

/// What the plan says is to be done when its control fails.
fn action(order: &Order<'_>, one: &SeriesVerdict) -> Option<Block> {
    let deviation = order.plan.control(&one.control)?.deviation.as_ref()?;
    let said = [
        ("Hold the product", &deviation.hold),
        ("Find and remove the cause", &deviation.cause),
        ("Bring back under control", &deviation.restore),
        ("Keep from happening again", &deviation.prevent),
    ];
    let facts: Vec<Fact> =
        said.into_iter().filter_map(|(name, text)| Some(Fact::new(name, Cell::text(text.as_ref()?)))).collect();
    (!facts.is_empty()).then_some(Block::Facts { facts })
}
