//! What was not met and what was not shown: by limit and reason, with the lots, the evidence and a chart.

use super::{Order, charts, critical};
use crate::document::labels::Labels;
use crate::document::page::{Block, Cell, Fact, Section};
use crate::plan::{Control, HoldBack, Limit};
use crate::quantity::Quantity;
use crate::verdict::Verdict;
use crate::verify::{LimitVerdict, LotVerdicts, Part};

/// Lots that missed one limit for one reason.
struct Group<'a> {
    control: &'a Control,
    limit: &'a Limit,
    first: &'a LimitVerdict,
    lots: Vec<&'a LotVerdicts>,
}

/// The section of one verdict; none if no limit got it.
pub(super) fn section(order: &Order<'_>, wanted: Verdict) -> Option<Section> {
    let groups = groups(order, wanted);
    if groups.is_empty() {
        return None;
    }
    let (id, title, lead) = match wanted {
        Verdict::NotMet => (
            "not-met",
            "Not met",
            "For each: the product in question, the evidence, and what the plan says is to be done.",
        ),
        _ => (
            "not-shown",
            "Not shown",
            "The record does not decide. Product is treated as in question until the limit is shown to be met.",
        ),
    };
    let parts =
        groups.iter().enumerate().map(|(index, group)| one(order, group, &format!("{id}-{}", index + 1))).collect();
    Some(Section::new(id, title, vec![Block::text(lead)]).with(parts))
}

fn groups<'a>(order: &Order<'a>, wanted: Verdict) -> Vec<Group<'a>> {
    let mut groups: Vec<Group<'a>> = Vec::new();
    for (control, limit) in critical(order.plan) {
        for lot in &order.verification.lots {
            let found = lot.limits.iter().find(|one| one.verdict == wanted && one.is_of(control, limit));
            let Some(found) = found else { continue };
            let same = groups.iter_mut().find(|group| group.limit.loc == limit.loc && group.first.why == found.why);
            match same {
                Some(group) => group.lots.push(lot),
                None => groups.push(Group { control, limit, first: found, lots: vec![lot] }),
            }
        }
    }
    groups
}

fn one(order: &Order<'_>, group: &Group<'_>, id: &str) -> Section {
    let labels = Labels::new(order.plan);
    let codes: Vec<&str> = group.lots.iter().map(|lot| lot.code.as_str()).collect();
    let shown: Vec<&str> = codes.iter().take(3).copied().collect();
    let more = if codes.len() > 3 { format!(" and {} more", codes.len() - 3) } else { String::new() };
    let title = format!("{} {}: {}{more}", labels.mark(group.control), group.limit.name, shown.join(", "));
    let mut facts = vec![
        Fact::new("Limit", Cell::text(group.limit.sentence(order.plan))),
        Fact::new("As evaluated", Cell::styled("code", group.limit.symbols())),
        Fact::new("Reason", Cell::styled("strong", &group.first.why)),
        Fact::new("Lots", Cell::text(codes.join(", "))),
        Fact::new("Made", Cell::text(quantity(order, group))),
    ];
    facts.extend(
        group.limit.beside(order.plan, group.control).into_iter().map(|(what, said)| Fact::new(what, Cell::text(said))),
    );
    if let Some(deviation) = &group.control.deviation {
        let back = match deviation.hold_back {
            Some(HoldBack::LastGoodCheck) => " Hold back to the last good check.",
            Some(HoldBack::LastCheckWithEveryLimitMet) => " Hold back to the last check with every limit met.",
            None => "",
        };
        facts.push(Fact::new(
            "The plan says",
            Cell::text(format!("{}.{back}", deviation.hold.as_deref().unwrap_or("Nothing on holding product"))),
        ));
        if let Some((ways, by)) = &deviation.disposition {
            let ways: Vec<&str> = ways.iter().map(|way| way.text.as_str()).collect();
            facts.push(Fact::new(
                "Disposition",
                Cell::text(format!("{} by {}: ______________________", ways.join(", "), labels.role(by))),
            ));
        }
    }
    let mut blocks = vec![Block::Facts { facts }];
    let deciding: Vec<&Part> = group.first.parts.iter().filter(|part| part.verdict == group.first.verdict).collect();
    if let Some(chart) = charts::chart(order, group.limit, &group.first.parts, codes.first().copied().unwrap_or(""), id)
    {
        blocks.push(chart);
    }
    for part in deciding {
        let heading = if part.form.is_empty() { part.what.clone() } else { format!("{}: {}", part.what, part.form) };
        blocks.push(Block::heading(heading));
        let items = part.evidence.iter().map(Cell::text).collect();
        blocks.push(Block::List { ordered: false, items });
    }
    Section::new(id, title, blocks)
}

/// How much was made, if the register says so in one unit.
fn quantity(order: &Order<'_>, group: &Group<'_>) -> String {
    let made: Vec<Option<Quantity>> =
        group.lots.iter().map(|lot| order.records.lots.get(lot.lot).and_then(|lot| lot.quantity)).collect();
    let known: Vec<Quantity> = made.iter().flatten().copied().collect();
    let Some(first) = known.first() else { return "quantity not on record".to_owned() };
    let sum = known.iter().skip(1).try_fold(first.value, |sum, next| sum.plus(next.in_unit(first.unit)?));
    match sum {
        Some(sum) if known.len() == made.len() => Quantity::new(sum, first.unit).to_string(),
        Some(sum) => format!(
            "{} and {} lots without a quantity on record",
            Quantity::new(sum, first.unit),
            made.len() - known.len()
        ),
        None => "quantities in units that cannot be added".to_owned(),
    }
}
