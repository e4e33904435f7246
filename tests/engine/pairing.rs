//! Two traces paired reading by reading, as a trace of its own.

use crate::record::Entry;

/// What the rows of one instant allow; nothing if one of them is broken.
fn hull(rows: &[Entry], at: i64) -> Option<(i64, i64)> {
    let here: Vec<Option<i64>> = rows.iter().filter(|row| row.at == at).map(|row| row.value).collect();
    let values: Option<Vec<i64>> = here.into_iter().collect();
    values.and_then(|values| Some((*values.iter().min()?, *values.iter().max()?)))
}

fn instants(rows: &[Entry]) -> Vec<i64> {
    let mut list: Vec<i64> = rows.iter().map(|row| row.at).collect();
    list.sort_unstable();
    list.dedup();
    list
}

/// A row for each instant of the left with its nearest instant on the right; the earlier of two that are as near.
/// Where either is broken so is the pair, and a broken row of either breaks the trace where it stands.
fn paired(
    left: &[Entry],
    right: &[Entry],
    within: i64,
    combine: impl Fn((i64, i64), (i64, i64)) -> Option<(i64, i64)>,
) -> Vec<Entry> {
    let mut list = Vec::new();
    let others = instants(right);
    for at in instants(left) {
        let near = others
            .iter()
            .filter(|other| (*other - at).abs() <= within)
            .min_by_key(|other| ((*other - at).abs(), **other));
        let value = match (hull(left, at), near) {
            (Some(a), Some(near)) => hull(right, *near).and_then(|b| combine(a, b)),
            (Some(_), None) => continue,
            (None, _) => None,
        };
        match value {
            Some((low, high)) => {
                list.push(Entry { at, value: Some(low) });
                list.push(Entry { at, value: Some(high) });
            }
            None => list.push(Entry { at, value: None }),
        }
    }
    list.extend(others.iter().filter(|at| hull(right, **at).is_none()).map(|at| Entry { at: *at, value: None }));
    list.sort_by_key(|row| row.at);
    list
}

/// Left less right.
pub fn difference(left: &[Entry], right: &[Entry], within: i64) -> Vec<Entry> {
    paired(left, right, within, |a, b| Some((a.0 - b.1, a.1 - b.0)))
}

/// Left over right in twelfths; the right is a divisor of twelve, or nought, by which nothing is divided.
pub fn twelfths(left: &[Entry], right: &[Entry], within: i64) -> Vec<Entry> {
    paired(left, right, within, |a, b| (b.0 > 0).then(|| (12 * a.0 / b.1, 12 * a.1 / b.0)))
}
