//! What moves before a limit is reached or an instrument fails: told so that somebody looks sooner.

use super::rules;
use crate::finding::Finding;
use crate::log::Records;
use crate::quantity::plain;
use crate::source::Place;
use crate::verify::Verification;
use std::collections::BTreeMap;

/// Limits whose last values move towards them, and instruments that are expected to leave their tolerance.
pub(super) fn hold(records: &Records, whole: &Verification, findings: &mut Vec<Finding>) {
    for trend in &whole.trends {
        let mut rules: BTreeMap<&str, usize> = BTreeMap::new();
        // A lot that missed the limit is told as such, and warns of nothing.
        let met = |index: &usize| trend.points.get(*index).is_some_and(|point| point.met);
        for (index, signal, _) in trend.recent().filter(|(index, ..)| met(index)) {
            rules.insert(signal.words(), *index);
        }
        let Some(last) = rules.values().max().and_then(|index| trend.points.get(*index)) else { continue };
        let told: Vec<String> = rules
            .iter()
            .filter_map(|(rule, index)| Some(format!("{rule} at {}", trend.points.get(*index)?.lot)))
            .collect();
        let side = if trend.at_most { "at most" } else { "at least" };
        let message = format!(
            "`{}.{}` moves towards its limit of {side} {} {}: {}",
            trend.control,
            trend.limit,
            plain(trend.bound, 3),
            trend.unit,
            told.join("; ")
        );
        let lot = records.lots.iter().find(|lot| lot.code == last.lot);
        let place = lot.map_or_else(|| Place::Named("trend".to_owned()), |lot| Place::Cell(lot.cell.clone()));
        findings.push(
            Finding::new(&rules::TOWARDS_THE_LIMIT, place, message)
                .help("look for what has changed since, before a lot misses the limit"),
        );
    }
    for drift in whole.drifts.iter().filter(|drift| drift.leaves()) {
        let state = whole.instruments.iter().find(|state| state.name == drift.instrument);
        let Some(last) = state.and_then(|state| state.calibrations.last()) else { continue };
        let message = format!("an instrument moves towards its tolerance: {}", drift.words());
        findings.push(
            Finding::new(&rules::INSTRUMENT_DRIFTS, Place::Cell(last.cell.clone()), message)
                .help("calibrate it sooner, or have it adjusted and note the error found before the adjustment"),
        );
    }
}
