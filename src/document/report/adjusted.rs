//! Misses that were adjusted before the lot left the step: met or not, they stand in the report.

use super::{Order, told};
use crate::document::labels::Labels;
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};

/// The section; none where nothing was adjusted.
pub(super) fn section(order: &Order<'_>) -> Option<Section> {
    let labels = Labels::new(order.plan);
    let all = order.verification.lots.iter().flat_map(|lot| lot.limits.iter().map(move |limit| (lot, limit)));
    let rows: Vec<Row> = all
        .flat_map(|(lot, limit)| limit.adjusted().map(move |miss| (lot, limit, miss)))
        .map(|(lot, limit, miss)| {
            let control = order.plan.control(&limit.control);
            let mark = control.map_or_else(|| limit.control.clone(), |control| labels.mark(control));
            let name = Cell::text(mark).then(vec![Piece::styled("quiet", &limit.limit)]);
            Row::new(vec![Cell::text(&lot.code), name, told(limit.verdict), Cell::text(miss)])
        })
        .collect();
    let columns = [("Lot", 14), ("Limit", 18), ("Verdict", 12), ("The miss, and what put it right", 56)];
    let table = Table::some("Misses that were adjusted", &columns, rows)?;
    let said = Block::text(
        "A check or sample that was not good, followed by a good one before the lot left the step. The plan allows the adjustment; the miss stays on record.",
    );
    Some(Section::new("adjusted", "Adjusted before the lot left the step", vec![said, table]))
}
