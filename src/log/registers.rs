//! Registers beside the readings: corrective actions, reviews, observations, checks of instruments, training, complaints.
//!
//! Each kind has a closed list of fields ([`Kind::fields`]); the mapping says in which column a field stands. A field
//! without a column, and a blank or unreadable cell, is *not recorded*: whether that matters is for the plan to say.
//! The times of a register say when people acted, not how far the recorders ran, so they do not count among the first
//! and last instants of the records.

use super::delimited::{Cells as _, text};
use super::intake::{self, Intake};
use super::mapping::RegistersTable;
use super::number::{self, NotNumber};
use super::place::{Placer, Unplaced};
use super::rules;
use crate::quantity::{Quantity, Rational};
use crate::source::Cell;
use crate::time::Instant;
use std::collections::BTreeMap;

/// What a register holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// What was done about a deviation.
    CorrectiveActions,
    /// Reviews of records after they were made.
    RecordReviews,
    /// Direct observations of monitoring.
    Observations,
    /// Reviews of a lot's records before it is shipped.
    PreShipmentReviews,
    /// Checks of instruments that are no calibration.
    InstrumentChecks,
    /// Training of people.
    Training,
    /// Complaints.
    Complaints,
}

/// What a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Words.
    Words,
    /// A date and time, in the format of the entry.
    Time,
    /// An amount in the unit of the entry.
    Amount,
    /// Lot codes, parted by semicolons or commas.
    Lots,
}

/// One field of a register.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Its key in the mapping.
    pub name: &'static str,
    /// What it holds.
    pub holds: Holds,
    /// The heading over it in a template.
    pub heading: &'static str,
    /// What is to be written there, for a person.
    pub says: &'static str,
    /// Whether the mapping must name a column for it.
    pub needed: bool,
}

const fn field(name: &'static str, holds: Holds, heading: &'static str, says: &'static str) -> Field {
    Field { name, holds, heading, says, needed: false }
}

const fn needed(name: &'static str, holds: Holds, heading: &'static str, says: &'static str) -> Field {
    Field { name, holds, heading, says, needed: true }
}

const CORRECTIVE_ACTIONS: &[Field] = &[
    needed("number", Holds::Words, "Number", "number of the record, each once"),
    needed("lots", Holds::Lots, "Lots", "codes of the lots, parted by semicolons"),
    needed("limits", Holds::Words, "Limits", "the CCP or CCP.limit, as the plan names them, parted by semicolons"),
    field("instrument", Holds::Words, "Instrument", "the instrument, where it was not trusted"),
    field("found", Holds::Time, "Found", "when the deviation was seen"),
    field("what", Holds::Words, "What happened", "what was seen, with the value"),
    field("by", Holds::Words, "Recorded by", "initials of whoever writes the record"),
    field("cause", Holds::Words, "Cause", "the cause that was found"),
    field("removed", Holds::Words, "Cause removed by", "how the cause was removed"),
    field("restored", Holds::Time, "Control restored", "when control was shown to be restored"),
    field("shown-by", Holds::Words, "Shown by", "the reading or check that shows it"),
    field("prevention", Holds::Words, "Kept from recurring by", "the measure against recurrence"),
    field("disposition", Holds::Words, "Disposition", "what a person decided about the product"),
    field("quantity", Holds::Amount, "Quantity", "how much product the decision covers"),
    field("decided-by", Holds::Words, "Decided by", "who decided, with the role"),
    field("decided", Holds::Time, "Decided", "when it was decided"),
    field("unforeseen", Holds::Words, "Unforeseen", "yes where the plan does not foresee the event"),
    field("held", Holds::Time, "Held", "unforeseen: when the product was held apart"),
    field(
        "acceptable",
        Holds::Words,
        "Acceptability reviewed by",
        "unforeseen: who reviewed the product, and the result",
    ),
    field("reassessed", Holds::Time, "Plan reassessed", "unforeseen: when the plan was reassessed"),
    field("reassessed-by", Holds::Words, "Reassessed by", "unforeseen: the trained person who reassessed it"),
    field("reviewed-by", Holds::Words, "Reviewed by", "initials of the reviewer, not of whoever wrote the record"),
    field("reviewed", Holds::Time, "Reviewed", "when the record was reviewed"),
];

const RECORD_REVIEWS: &[Field] = &[
    needed("records", Holds::Words, "Records", "the records as the plan names them, parted by semicolons"),
    needed("from", Holds::Time, "From", "the first entry that was reviewed"),
    needed("to", Holds::Time, "To", "the last entry that was reviewed"),
    needed("reviewed", Holds::Time, "Reviewed", "when they were reviewed"),
    needed("by", Holds::Words, "Reviewed by", "initials of the reviewer"),
    field("remark", Holds::Words, "Remark", "what was found"),
];

const OBSERVATIONS: &[Field] = &[
    needed("controls", Holds::Words, "CCPs", "the CCPs observed, as the plan names them, parted by semicolons"),
    needed("observed", Holds::Time, "Observed", "when"),
    needed("by", Holds::Words, "Observed by", "initials of the observer"),
    field("of", Holds::Words, "Of", "initials of whoever was observed"),
    field("remark", Holds::Words, "Remark", "what was seen"),
];

const PRE_SHIPMENT_REVIEWS: &[Field] = &[
    needed("lots", Holds::Lots, "Lots", "codes of the lots, parted by semicolons"),
    needed("reviewed", Holds::Time, "Reviewed", "when"),
    needed("by", Holds::Words, "Reviewed by", "initials of the reviewer"),
    field("remark", Holds::Words, "Remark", "what was found"),
];

const INSTRUMENT_CHECKS: &[Field] = &[
    needed("instrument", Holds::Words, "Instrument", "the instrument as the plan names it"),
    needed("checked", Holds::Time, "Checked", "when"),
    needed("result", Holds::Words, "Result", "in order, or not in order"),
    field("by", Holds::Words, "Checked by", "initials"),
    field("remark", Holds::Words, "Remark", "what was found"),
];

const TRAINING: &[Field] = &[
    needed("who", Holds::Words, "Who", "initials of the person trained"),
    needed("trained", Holds::Time, "Trained", "when"),
    needed("what", Holds::Words, "What", "what the training was about"),
    field("by", Holds::Words, "Trained by", "who trained"),
    field("until", Holds::Time, "Holds until", "the last day on which it holds, where it runs out"),
    field("proof", Holds::Words, "Proof", "certificate or test"),
];

const COMPLAINTS: &[Field] = &[
    needed("number", Holds::Words, "Number", "number of the complaint, each once"),
    needed("received", Holds::Time, "Received", "when"),
    needed("what", Holds::Words, "What", "what was complained of"),
    field("lots", Holds::Lots, "Lots", "codes of the lots, parted by semicolons"),
    field("answer", Holds::Words, "Answer", "what was found and done"),
    field("by", Holds::Words, "Handled by", "initials"),
];

impl Kind {
    /// Every kind, in the order in which reports name them.
    pub const ALL: [Kind; 7] = [
        Kind::CorrectiveActions,
        Kind::PreShipmentReviews,
        Kind::RecordReviews,
        Kind::Observations,
        Kind::InstrumentChecks,
        Kind::Training,
        Kind::Complaints,
    ];

    /// Its word in the mapping.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Kind::CorrectiveActions => "corrective-actions",
            Kind::RecordReviews => "record-reviews",
            Kind::Observations => "observations",
            Kind::PreShipmentReviews => "pre-shipment-reviews",
            Kind::InstrumentChecks => "instrument-checks",
            Kind::Training => "training",
            Kind::Complaints => "complaints",
        }
    }

    /// Its name for a person.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Kind::CorrectiveActions => "corrective actions",
            Kind::RecordReviews => "record reviews",
            Kind::Observations => "direct observations",
            Kind::PreShipmentReviews => "pre-shipment reviews",
            Kind::InstrumentChecks => "instrument checks",
            Kind::Training => "training",
            Kind::Complaints => "complaints",
        }
    }

    /// The kind of this word.
    #[must_use]
    pub fn find(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Its fields, in the order of a template.
    #[must_use]
    pub fn fields(self) -> &'static [Field] {
        match self {
            Kind::CorrectiveActions => CORRECTIVE_ACTIONS,
            Kind::RecordReviews => RECORD_REVIEWS,
            Kind::Observations => OBSERVATIONS,
            Kind::PreShipmentReviews => PRE_SHIPMENT_REVIEWS,
            Kind::InstrumentChecks => INSTRUMENT_CHECKS,
            Kind::Training => TRAINING,
            Kind::Complaints => COMPLAINTS,
        }
    }

    /// The field of this name.
    #[must_use]
    pub fn field(self, name: &str) -> Option<&'static Field> {
        self.fields().iter().find(|field| field.name == name)
    }
}

/// One row of a register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RegisterRow {
    /// What the register holds.
    pub kind: Kind,
    /// The record of the plan.
    pub record: String,
    /// The words of each field that has some, as written.
    pub words: BTreeMap<&'static str, String>,
    /// The times that could be read.
    pub times: BTreeMap<&'static str, Instant>,
    /// The amount, where it could be read.
    pub quantity: Option<Quantity>,
    /// The lots that it names.
    pub lots: Vec<String>,
    /// Where it stands.
    pub cell: Cell,
}

impl RegisterRow {
    /// The words of a field; empty where nothing is recorded.
    #[must_use]
    pub fn word(&self, field: &str) -> &str {
        self.words.get(field).map_or("", String::as_str)
    }

    /// The time of a field.
    #[must_use]
    pub fn time(&self, field: &str) -> Option<Instant> {
        self.times.get(field).copied()
    }

    /// Whether a check of an instrument found it in order: by one of four words, and anything else does not.
    #[must_use]
    pub fn in_order(&self) -> bool {
        matches!(self.word("result").to_lowercase().as_str(), "in order" | "ok" | "good" | "yes")
    }

    /// The parts of a field that lists several things.
    pub fn list(&self, field: &str) -> impl Iterator<Item = &str> {
        listed(self.word(field))
    }
}

/// The things that a cell lists, parted by semicolons or commas.
fn listed(text: &str) -> impl Iterator<Item = &str> {
    text.split([';', ',']).map(str::trim).filter(|part| !part.is_empty())
}

/// Reads the files of one entry of the mapping.
pub(crate) fn read(group: &RegistersTable, intake: &mut Intake<'_>, out: &mut Vec<RegisterRow>) {
    intake.each(&group.table, |sheet, taking, findings| {
        let headings = group.fields.iter().map(|(_, heading)| heading);
        let Some(columns) = intake::columns(sheet, headings, group.table.at, findings) else { return };
        let mut placer = group.table.clock.format.as_ref().map(|format| Placer::new(&group.table.clock, format));
        let timed = group.fields.iter().zip(&columns).find(|((field, _), _)| field.holds == Holds::Time);
        if placer.is_none()
            && let Some((_, column)) = timed
        {
            findings.push(intake::format_missing(sheet, *column));
            return;
        }
        let mut rows = sheet.rows();
        while let Some((row, kind)) = rows.next() {
            if !taking.ordinary(rows.width(), row, kind, findings) {
                continue;
            }
            let mut entry = RegisterRow {
                kind: group.kind,
                record: group.table.record.clone(),
                words: BTreeMap::new(),
                times: BTreeMap::new(),
                quantity: None,
                lots: Vec::new(),
                cell: Cell { file: sheet.name.to_owned(), row, column: None },
            };
            for ((field, heading), column) in group.fields.iter().zip(&columns) {
                let cell = group.table.missing.unless(rows.cell(*column));
                let shown = text(cell).into_owned();
                if shown.is_empty() {
                    taking.read.missing_cells += 1;
                    continue;
                }
                match field.holds {
                    Holds::Words => {}
                    Holds::Lots => {
                        taking.lot_heading.clone_from(heading);
                        for code in listed(&shown) {
                            taking.lot(code, row);
                            if !entry.lots.iter().any(|known| known == code) {
                                entry.lots.push(code.to_owned());
                            }
                        }
                    }
                    Holds::Time => {
                        let Some(placer) = &mut placer else { continue };
                        match placer.cell(cell, row) {
                            Ok(at) => {
                                entry.times.insert(field.name, Instant(at));
                            }
                            Err(Unplaced::Blank) => {}
                            Err(why) => {
                                taking.read.broken_cells += 1;
                                taking.unplaced(why, &shown, heading, row, placer);
                            }
                        }
                    }
                    Holds::Amount => {
                        let read = number::exact(cell, group.table.marks)
                            .and_then(|value| Rational::parse(&value).ok_or(NotNumber::Text));
                        match (read, group.unit) {
                            (Ok(value), Some(unit)) => entry.quantity = Some(Quantity::new(value, unit)),
                            (Ok(_), None) => {}
                            (Err(why), _) => {
                                taking.read.broken_cells += 1;
                                let rule =
                                    if why == NotNumber::Mark { &rules::DECIMAL_MARK } else { &rules::NOT_A_NUMBER };
                                taking.tally.hit(rule, heading, row, || {
                                    let message = format!(
                                        "`{shown}` in column `{heading}` is no number as the mapping declares numbers"
                                    );
                                    (message, None)
                                });
                            }
                        }
                    }
                }
                entry.words.insert(field.name, shown);
            }
            taking.read.used_rows += 1;
            out.push(entry);
        }
        taking.read.rows += rows.skipped;
        taking.read.blank_rows += rows.skipped;
    });
}
