//! Monitoring as promised by shift, and how instruments move, on a terminal.

use crate::verify::Verification;
use std::fmt::Write;

/// Rounds by shift, where the plan knows shifts; and instruments that move by more than scatter.
pub(super) fn text(out: &mut String, verification: &Verification) {
    let mut said = false;
    for watch in &verification.watches {
        for shift in &watch.shifts {
            let Some(begins) = shift.begins else { continue };
            if !said {
                out.push_str("\nRounds by shift (early and late ones count as made):\n");
                said = true;
            }
            let _ = writeln!(
                out,
                "  {}: {}, shift from {}: {} due, {} in time, {} early, {} late, {} missed",
                watch.control,
                watch.parameters,
                begins.format("%H:%M"),
                shift.due,
                shift.in_time,
                shift.early,
                shift.late,
                shift.missed
            );
        }
    }
    let mut said = false;
    for drift in verification.drifts.iter().filter(|drift| drift.line.is_some_and(|line| line.moves())) {
        if !said {
            out.push_str(
                "\nInstruments that move by more than scatter (line through the errors found; judges nothing):\n",
            );
            said = true;
        }
        let _ = writeln!(out, "  {}", drift.words());
    }
}
