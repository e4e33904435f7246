//! The registers that people keep beside the readings: corrective actions, reviews, observations, checks of instruments;
//! and the faults planted in them. The one list of both, [`FAULTS`], is what demo/README.md prints.
//!
//! Every lot with a limit not met or not shown has a complete corrective action and is not shipped; every other lot is
//! reviewed for shipping by the coordinator (`hm`), who makes no other record, and shipped after it. What differs is
//! planted.

use crate::planting::{Consequence, PROBES_OFF_WHAT, Plant, store_trouble, touching};
use crate::records::File;
use crate::schedule::{Lot, MINUTE, Second, at, local};
use std::fmt::Write as _;

/// A planted fault: the code that must be found, a word of its message, and what was planted.
pub(crate) type Fault = (&'static str, &'static str, &'static str);

/// Everything planted in the registers. Nothing else of this kind may be found.
pub(crate) const FAULTS: &[Fault] = &[
    ("E101", "GB1003A", "no corrective action for a core hold that is not shown"),
    ("E102", "GB1024A", "follows from the planting on the lot: oxygen due in the repeated hour, and no record of it"),
    ("E103", "`CA-01`", "a corrective action without the cause's removal and without prevention"),
    ("E103", "`CA-05`", "an unforeseen event without a reassessment of the plan"),
    ("E104", "`CA-07`", "control restored before the deviation was found"),
    ("E105", "GB1010A", "the product decided on after it had been shipped"),
    ("E106", "`CA-09`", "a corrective action reviewed before its decision"),
    ("E107", "`CA-14`", "a corrective action without a review"),
    ("E108", "`CA-16`", "a corrective action reviewed by whoever wrote it"),
    ("E109", "`CA-04`", "a decision on 900 kg where more was made"),
    ("E110", "`CA-19`", "control said to be restored before the first good check"),
    ("E201", "GB1003A", "shipped with no corrective action"),
    ("E201", "GB1010A", "shipped before the decision"),
    ("E202", "GB1001A", "shipped, in no pre-shipment review"),
    ("E203", "GB1001B", "reviewed after it was shipped"),
    ("E203", "GB1012A", "follows from its time of shipping, typed with the date of the cook"),
    ("E204", "GB1002B", "reviewed before the last check of the detector"),
    ("E108", "GB1001C", "reviewed for shipping by the packer who made its checks"),
    ("E301", "`packing-record`", "the packing record of 5 to 11 October reviewed ten days late"),
    ("E302", "`lethality`", "no observation of the cook between 8 and 22 October"),
    ("E303", "`gas-analyser`", "the gas analyser found not in order"),
    ("E304", "oven-1-probes", "the core probes of oven 1 read a tenth of a degree higher from week to week"),
    ("E401", "`CA-90`", "a corrective action on a cooling limit that was met"),
    ("E402", "`CA-11`", "two corrective actions under one number"),
    ("E403", "GB1012A", "shipped, by the register, on the day of its cook"),
    ("E404", "GB1005A", "two pre-shipment reviews of one lot"),
    ("E405", "`gas-analyzer`", "a check of an instrument that the plan does not have"),
    ("E501", "`packing-record`", "a row of the packing record without initials"),
    ("E502", "`oxygen`", "the oxygen values of 16 October are those of 15 October"),
    ("E503", "`laboratory-record`", "a water activity typed three hours after the test"),
    ("E504", "`laboratory-record`", "a water activity typed before its test"),
    ("E505", "`rm`", "the training of one packer ran out on 20 October"),
    ("E506", "jt", "the analyst stands nowhere in the register of training"),
    ("E601", "warm-spell", "follows from the warm air at the door on 29 October, for lots that still meet this limit"),
    ("E602", "`K-02`", "a complaint about the lot that was shipped before the decision"),
    ("R401", "GB1035A", "a pre-shipment review of a lot that is not in the register of lots"),
];

/// What the plant's clock shows, to the minute.
fn minute(at: Second) -> String {
    local(at).format("%Y-%m-%d %H:%M").to_string()
}

/// When a lot was shipped, as typed in the register of lots; blank while it is held or still there.
pub(crate) fn shipped(lot: &Lot) -> Option<Second> {
    let gone = lot.stored.1 + 50 * MINUTE;
    match lot.id.as_str() {
        "GB1012A" => Some(lot.cook.start + 60 * MINUTE),
        "GB1003A" | "GB1010A" => Some(gone),
        _ if matches!(lot.plant, Some(Plant::StillStored | Plant::NotPacked)) => None,
        _ if deviates(lot) => None,
        _ => Some(gone),
    }
}

/// Whether some limit of the lot is not met or not shown.
fn deviates(lot: &Lot) -> bool {
    touching(lot).iter().any(|(_, consequences)| !consequences.is_empty())
}

/// The registers.
pub(crate) fn all(lots: &[Lot]) -> Vec<File> {
    vec![actions(lots), shipping(lots), reviews(), observations(), checks(), training(), complaints()]
}

/// One corrective action.
struct Action {
    number: String,
    lots: Vec<String>,
    limits: Vec<String>,
    instrument: &'static str,
    found: Second,
    what: &'static str,
    quantity: i64,
    packing: bool,
}

/// Every planting with a consequence, once, with the lots that it touches.
fn planted(lots: &[Lot]) -> Vec<(&'static str, &'static [Consequence], Vec<&Lot>)> {
    let mut all: Vec<(&'static str, &'static [Consequence], Vec<&Lot>)> = Vec::new();
    for lot in lots.iter().filter(|lot| lot.plant != Some(Plant::NotPacked)) {
        for (what, consequences) in touching(lot).into_iter().filter(|(_, consequences)| !consequences.is_empty()) {
            match all.iter_mut().find(|(known, ..)| *known == what) {
                Some((.., lots)) => lots.push(lot),
                None => all.push((what, consequences, vec![lot])),
            }
        }
    }
    all
}

const HEAD: &str = "Number,Lots,Limits,Instrument,Found,What happened,Recorded by,Cause,Cause removed by,Control \
                    restored,Shown by,Kept from recurring by,Disposition,Quantity,Decided by,Decided,Unforeseen,\
                    Held,Acceptability reviewed by,Plan reassessed,Reassessed by,Reviewed by,Reviewed\n";

/// The corrective action record, one row an event.
fn actions(lots: &[Lot]) -> File {
    let mut text = HEAD.to_owned();
    let mut number = 0;
    for (what, consequences, touched) in planted(lots) {
        if touched.iter().any(|lot| lot.id == "GB1003A") && touched.len() == 1 {
            continue;
        }
        number += 1;
        let mut limits: Vec<String> = consequences.iter().map(|(ccp, limit, ..)| format!("{ccp}.{limit}")).collect();
        limits.dedup();
        let packing = limits.iter().any(|limit| limit.starts_with("detection") || limit.starts_with("gas-pack"));
        let Some(last) = touched.iter().map(|lot| lot.stored.1).max() else { continue };
        let seen = touched.first().map_or(last, |lot| if packing { lot.packed.1 } else { lot.cook.end });
        let found = store_trouble(what).unwrap_or(seen);
        // The second record under number CA-11 is planted.
        let shown = if number == 12 { 11 } else { number };
        let action = Action {
            number: format!("CA-{shown:02}"),
            lots: touched.iter().map(|lot| lot.id.clone()).collect(),
            limits,
            instrument: if what == PROBES_OFF_WHAT { "oven-2-probes" } else { "" },
            found,
            what,
            quantity: touched.iter().map(|lot| lot.made).sum(),
            packing,
        };
        row(&mut text, &action, last);
    }
    let stray = Action {
        number: "CA-90".to_owned(),
        lots: vec!["GB1021A".to_owned()],
        limits: vec!["cooling.warm-time".to_owned()],
        instrument: "",
        found: at(21, 1_000),
        what: "chiller door seen open",
        quantity: 400,
        packing: false,
    };
    row(&mut text, &stray, at(22, 600));
    ("corrective-actions.csv".to_owned(), text)
}

/// One row, with what is planted on its number.
fn row(text: &mut String, action: &Action, last: Second) {
    let is = |number: &str| action.number == number;
    let restored = action.found + if action.packing { 20 } else { 90 } * MINUTE;
    let restored = match action.number.as_str() {
        "CA-07" => action.found - 60 * MINUTE,
        "CA-19" => action.found + 6 * MINUTE,
        _ => restored,
    };
    // Decided while the lots are held; the store-out of the last is past.
    let mut decided = last + 20 * MINUTE;
    if action.lots.iter().any(|lot| lot == "GB1010A") {
        decided = last + 300 * MINUTE;
    }
    let reviewed = if is("CA-09") { decided - 60 * MINUTE } else { decided + 240 * MINUTE };
    let quantity = if is("CA-04") { 900 } else { action.quantity };
    let unforeseen = is("CA-05");
    let cells = [
        action.number.clone(),
        action.lots.join("; "),
        action.limits.join("; "),
        action.instrument.to_owned(),
        minute(action.found),
        action.what.replace('"', "'"),
        "lb".to_owned(),
        format!("traced by maintenance: {}", action.what.split(',').next().unwrap_or("")),
        if is("CA-01") { "" } else { "part changed and tried" }.to_owned(),
        minute(restored),
        "next good reading of the same record".to_owned(),
        if is("CA-01") { "" } else { "check added to the weekly round" }.to_owned(),
        "destroyed, weighed out".to_owned(),
        quantity.to_string(),
        "hm, coordinator".to_owned(),
        minute(decided),
        if unforeseen { "yes" } else { "" }.to_owned(),
        if unforeseen { minute(action.found + 5 * MINUTE) } else { String::new() },
        if unforeseen { "hm: not acceptable" } else { "" }.to_owned(),
        String::new(),
        String::new(),
        match action.number.as_str() {
            "CA-14" => "",
            "CA-16" => "lb",
            _ => "hm",
        }
        .to_owned(),
        if is("CA-14") { String::new() } else { minute(reviewed) },
    ];
    let quoted: Vec<String> =
        cells.iter().map(|cell| if cell.contains([',', '"']) { format!("\"{cell}\"") } else { cell.clone() }).collect();
    let _ = writeln!(text, "{}", quoted.join(","));
}

/// Pre-shipment reviews: on the morning of shipping, half an hour before.
fn shipping(lots: &[Lot]) -> File {
    let mut rows: Vec<(Second, String, &str)> = Vec::new();
    for lot in lots.iter().filter(|lot| lot.id != "GB1001A") {
        let Some(_) = shipped(lot) else { continue };
        let usual = lot.stored.1 + 20 * MINUTE;
        match lot.id.as_str() {
            "GB1001B" => rows.push((usual + 90 * MINUTE, lot.id.clone(), "hm")),
            "GB1001C" => rows.push((usual, lot.id.clone(), if lot.oven == 1 { "pk" } else { "rm" })),
            "GB1002B" => rows.push((lot.packed.1 - 30 * MINUTE, lot.id.clone(), "hm")),
            "GB1005A" => {
                rows.push((usual - 10 * MINUTE, lot.id.clone(), "hm"));
                rows.push((usual, lot.id.clone(), "lb"));
            }
            _ => rows.push((usual, lot.id.clone(), "hm")),
        }
    }
    rows.push((at(30, 600), "GB1035A".to_owned(), "hm"));
    rows.sort();
    let mut text = "Lots,Reviewed,Reviewed by\n".to_owned();
    for (at, lot, by) in rows {
        let _ = writeln!(text, "{lot},{},{by}", minute(at));
    }
    ("pre-shipment-reviews.csv".to_owned(), text)
}

/// Each Tuesday the week before, Monday to Sunday.
fn reviews() -> File {
    let mut text = "Records,From,To,Reviewed,Reviewed by\n".to_owned();
    for monday in [-2, 5, 12, 19, 26, 33] {
        let (from, to) = (minute(at(monday, 0)), minute(at(monday + 6, 1_439)));
        let done = at(monday + 7, 540);
        let mut records = "cook-record; chill-record; laboratory-record; store-record".to_owned();
        if monday == 5 {
            let _ = writeln!(text, "packing-record,{from},{to},{},hm", minute(done + 10 * 24 * 60 * MINUTE));
        } else {
            records.push_str("; packing-record");
        }
        let _ = writeln!(text, "{records},{from},{to},{},hm", minute(done));
    }
    ("record-reviews.csv".to_owned(), text)
}

/// Each Thursday the cook; each second Thursday of a month all others.
fn observations() -> File {
    let mut text = "CCPs,Observed,Observed by,Of\n".to_owned();
    for day in [-6, 1, 8, 22, 29] {
        let _ = writeln!(text, "lethality,{},hm,ov", minute(at(day, 560)));
    }
    for day in [-20, 8, 36] {
        let all = "cooling; composition; gas-pack; detection; cold-storage";
        let _ = writeln!(text, "{all},{},hm,pk", minute(at(day, 600)));
    }
    ("observations.csv".to_owned(), text)
}

/// Instruments looked at between calibrations.
fn checks() -> File {
    let mut text = "Instrument,Checked,Result,Checked by,Remark\n".to_owned();
    // Found not in order early on the 26th, and last in order in the evening before: nothing was measured in between.
    for (day, clock, instrument, result, remark) in [
        (5, 480, "gas-analyser", "in order", ""),
        (12, 480, "gas-analyser", "in order", ""),
        (13, 480, "gas-analyzer", "in order", "name as on the label"),
        (25, 1_320, "gas-analyser", "in order", ""),
        (26, 300, "gas-analyser", "not in order", "zero drifted, filter changed"),
        (26, 330, "gas-analyser", "in order", ""),
    ] {
        let _ = writeln!(text, "{instrument},{},{result},ek,\"{remark}\"", minute(at(day, clock)));
    }
    ("instrument-checks.csv".to_owned(), text)
}

/// Who was trained, and until when it holds.
fn training() -> File {
    let text = "Who,Trained,What,Trained by,Holds until,Proof\n\
                hm,2024-03-11,\"HACCP, level 4\",outside,,certificate\n\
                lb,2024-05-20,\"HACCP, level 3\",outside,,certificate\n\
                ek,2026-02-03,Instrument checks,hm,2027-02-02,test\n\
                pk,2026-08-21,\"Detector, gas and label checks\",lb,2027-08-20,test\n\
                rm,2025-10-21,\"Detector, gas and label checks\",lb,2026-10-20,test\n";
    ("training.csv".to_owned(), text.to_owned())
}

/// Complaints, some without a lot.
fn complaints() -> File {
    let text = "Number,Received,What,Lots,Answer,Handled by\n\
                K-01,2026-09-21 10:15,Tray not sealed,,Photograph asked for; none came,hm\n\
                K-02,2026-10-19 09:40,Slices soft at the edge,GB1010A,Lot in question; retailer told,hm\n\
                K-03,2026-10-27 16:05,Smell of smoke too strong,GB1005A,Within the recipe,hm\n\
                K-04,2026-10-28 11:30,Label torn,,,hm\n";
    ("complaints.csv".to_owned(), text.to_owned())
}
