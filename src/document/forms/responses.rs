//! Sheets for what was not met: corrective action for each control, and the deviation that nobody foresaw.

use super::{critical, fields, limits, reviewed};
use crate::document::clean::anchor;
use crate::document::labels::{Labels, spaced};
use crate::document::page::{Block, Cell, Section};
use crate::plan::Control;

/// One sheet for each control that says what is done.
pub(super) fn corrective(labels: &Labels<'_>) -> Vec<Section> {
    labels
        .plan()
        .controls
        .iter()
        .filter(|control| control.deviation.is_some())
        .map(|control| sheet(labels, control))
        .collect()
}

fn sheet(labels: &Labels<'_>, control: &Control) -> Section {
    let deviation = control.deviation.as_ref();
    let said = |text: Option<&String>| text.cloned();
    let ways = deviation.and_then(|deviation| deviation.disposition.as_ref()).map(|(ways, by)| {
        let ways: Vec<String> = ways.iter().map(|way| spaced(&way.text)).collect();
        format!("one of {}; decided by {}", ways.join(", "), labels.role(by))
    });
    let mut blocks = Vec::new();
    blocks.extend(limits(labels, "Critical limits", control.limits.iter().filter(|limit| critical(limit))));
    blocks.push(found());
    blocks.push(fields(
        "What was done",
        &[
            ("Product held: lots, quantity, where, since when", said(deviation.and_then(|one| one.hold.as_ref()))),
            ("Cause, and how it was removed", said(deviation.and_then(|one| one.cause.as_ref()))),
            (
                "Control restored: the reading that shows it, and when",
                said(deviation.and_then(|one| one.restore.as_ref())),
            ),
            ("Kept from happening again", said(deviation.and_then(|one| one.prevent.as_ref()))),
            ("Disposition: what, how much, on what ground", ways),
            ("Decided by, date and time", None),
        ],
    ));
    blocks.push(reviewed());
    Section::new(
        anchor("corrective", &control.name.text),
        format!("{}: corrective action", labels.control_title(control)),
        blocks,
    )
}

fn found() -> Block {
    fields(
        "What was found",
        &[
            ("Number of this record", None),
            ("Found by, date and time", None),
            ("Lots and quantity in question", None),
            ("What was read or missed, and since when", None),
        ],
    )
}

/// 9 CFR 417.3(b), 21 CFR 123.7(c), 117.150(b): what no corrective action of the plan was written for.
pub(super) fn unforeseen() -> Section {
    let blocks = vec![
        Block::Text {
            text: Cell::text(
                "For a deviation that no corrective action of the plan covers, and for a hazard that the plan does not foresee.",
            ),
        },
        found(),
        fields(
            "What was done",
            &[
                ("Product segregated and held: lots, quantity, where, since when", None),
                ("Review of the product: is it acceptable? By whom, on what ground", None),
                ("What kept harmful product from trade", None),
                ("Cause, and how it was removed", None),
                ("Disposition: what, how much, decided by, when", None),
                ("Reassessment by a trained person: who, when, and what becomes part of the plan", None),
            ],
        ),
        reviewed(),
    ];
    Section::new("unforeseen", "Unforeseen deviation", blocks)
}
