//! What was done about deviations: the records that cover them, what they leave out, shipping and reviews.

use super::Order;
use crate::document::page::{Block, Cell, Row, Section, Table};
use crate::log::RegisterKind;
use crate::verify::followed::{Share, duties, state, total};

/// Lots that were shipped while something was open, before everything else; none if there is none.
pub(super) fn first(order: &Order<'_>) -> Option<Section> {
    let zone = order.verification.zone;
    let followed = &order.verification.followed;
    let rows: Vec<Row> = followed
        .shipped_open()
        .map(|(deviation, shares)| {
            Row::new(vec![
                Cell::styled("strong", lots(&shares)),
                Cell::text(format!("{}: {}", deviation.about(), deviation.event.words())),
                Cell::text(shipped(zone, &shares)),
                Cell::text(total(shares.iter().copied())),
                Cell::text(state(followed, deviation)),
            ])
        })
        .collect();
    let table = Table::some(
        "No decision on the product, by name and before shipping, is on record",
        &[("Lots", 14), ("Deviation", 24), ("Shipped", 20), ("Quantity", 12), ("On record", 30)],
        rows,
    )?;
    let duties: Vec<Cell> = duties(order.plan).iter().map(|clause| Cell::text(clause.note())).collect();
    let mut blocks = vec![table];
    if duties.is_empty() {
        blocks.push(Block::text("The plan names no regime with a duty to tell that is known here; ask the authority."));
    } else {
        blocks.push(Block::note("caution", "What the regime asks for, in short; the original counts", duties));
    }
    Some(Section::new("shipped-open", "Shipped with an open deviation", blocks))
}

fn lots(shares: &[&Share]) -> String {
    shares.iter().map(|share| share.code.as_str()).collect::<Vec<_>>().join(", ")
}

fn shipped(zone: crate::time::Zone, shares: &[&Share]) -> String {
    let times = shares.iter().filter_map(|share| share.shipped);
    times.map(|at| zone.show_local(at)).collect::<Vec<_>>().join(", ")
}

/// Each deviation with its record, shipping, and reviews.
pub(super) fn section(order: &Order<'_>) -> Section {
    let followed = &order.verification.followed;
    let mut blocks = Vec::new();
    let silent = followed.not_looked_at();
    if !silent.is_empty() {
        blocks.push(Block::text(format!(
            "Not looked at, since the mapping names no register of them: {}.",
            silent.join(", ")
        )));
    }
    if followed.kept.contains(&RegisterKind::CorrectiveActions) {
        let rows: Vec<Row> = followed
            .deviations
            .iter()
            .map(|one| {
                let codes: Vec<&Share> = one.lots.iter().collect();
                Row::new(vec![
                    Cell::text(one.about()),
                    Cell::text(one.event.words()),
                    Cell::text(lots(&codes)),
                    Cell::text(total(&one.lots)),
                    Cell::text(state(followed, one)),
                ])
            })
            .collect();
        blocks.extend(Table::some(
            "Each deviation and the record of what was done",
            &[("About", 20), ("Event", 14), ("Lots", 22), ("Quantity", 12), ("On record", 32)],
            rows,
        ));
    }
    blocks.extend(reviews(order));
    blocks.extend(shipping(order));
    if followed.kept.contains(&RegisterKind::Complaints) {
        blocks.push(Block::text(followed.complaints.words()));
    }
    Section::new("followed", "What was done", blocks)
}

fn reviews(order: &Order<'_>) -> Option<Block> {
    let rows = order.verification.followed.reviewed.iter().map(|one| {
        let late = if one.late.is_empty() { "none".to_owned() } else { one.late.join("; ") };
        Row::new(vec![
            Cell::text(&one.what),
            Cell::text(&one.promised),
            Cell::text(one.done.to_string()),
            Cell::text(late),
        ])
    });
    Table::some(
        "Reviews of records and observations of monitoring",
        &[("Of", 22), ("Promised", 24), ("Done in time", 12), ("Late or missing", 42)],
        rows.collect(),
    )
}

fn shipping(order: &Order<'_>) -> Option<Block> {
    let followed = &order.verification.followed;
    let zone = order.verification.zone;
    if !followed.shipping_known && !followed.kept.contains(&RegisterKind::PreShipmentReviews) {
        return None;
    }
    let rows = followed.releases.iter().map(|one| {
        let shipped = one.shipped.map_or_else(|| "not on record".to_owned(), |at| zone.show_local(at));
        let (reviewed, by) = match &one.reviewed {
            Some((at, by)) => (zone.show_local(*at), by.clone()),
            None => ("not on record".to_owned(), String::new()),
        };
        Row::new(vec![Cell::text(&one.lot), Cell::text(reviewed), Cell::text(by), Cell::text(shipped)])
    });
    Table::some(
        "Review before shipping, and shipping, lot by lot",
        &[("Lot", 20), ("Reviewed", 30), ("By", 20), ("Shipped", 30)],
        rows.collect(),
    )
}
