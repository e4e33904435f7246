//! The lots that an event bears on, with how much of each was made and whether it has left.

use crate::log::Records;
use crate::quantity::Quantity;
use crate::time::Instant;

/// One lot that an event bears on.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// Its code.
    pub code: String,
    /// How much was made, if the register says so.
    pub quantity: Option<Quantity>,
    /// When it was shipped, if the register says so.
    pub shipped: Option<Instant>,
    /// The corrective actions that cover it: indices in [`super::Followed::actions`].
    pub actions: Vec<usize>,
    /// Whether a decision on it, with a name and a time before any shipping, is on record.
    pub decided_before: bool,
}

impl Share {
    /// The share of a lot by its code.
    #[must_use]
    pub fn of(records: &Records, code: &str) -> Share {
        let lot = records.lots.iter().find(|lot| lot.code == code);
        Share {
            code: code.to_owned(),
            quantity: lot.and_then(|lot| lot.quantity),
            shipped: lot.and_then(|lot| lot.shipped.as_ref()).map(|event| event.at),
            actions: Vec::new(),
            decided_before: false,
        }
    }
}

/// How much was made in all, in words: the sum, and how many lots have no quantity on record.
#[must_use]
pub fn total<'s>(shares: impl IntoIterator<Item = &'s Share>) -> String {
    let (mut known, mut unknown) = (Vec::new(), 0_usize);
    for share in shares {
        match share.quantity {
            Some(quantity) => known.push(quantity),
            None => unknown += 1,
        }
    }
    if known.is_empty() {
        return "quantity not on record".to_owned();
    }
    match (sum(&known), unknown) {
        (None, _) => "quantities in units that cannot be added".to_owned(),
        (Some(sum), 0) => sum.to_string(),
        (Some(sum), unknown) => {
            let plural = if unknown == 1 { "lot" } else { "lots" };
            format!("{} and {unknown} {plural} without a quantity on record", sum)
        }
    }
}

/// The sum in the unit of the first; none where a unit does not fit.
pub(super) fn sum(known: &[Quantity]) -> Option<Quantity> {
    let first = known.first()?;
    let mut value = first.value;
    for next in known.iter().skip(1) {
        value = value.plus(next.in_unit(first.unit)?)?;
    }
    Some(Quantity::new(value, first.unit))
}
