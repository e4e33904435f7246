//! What the verdicts rest on: product between checks, instruments, monitoring, files, and the choices that were made.

use super::{Order, place};
use crate::document::labels::Labels;
use crate::document::page::{Block, Cell, Piece, Row, Section, Table};
use crate::time::{Instant, show_duration};
use crate::verify::followed::{Share, total};
use crate::verify::{CLOCK_ALLOWANCE, GOOD_IN_A_ROW, InstrumentState};

/// Windows of affected product between checks; none if there is none.
pub(super) fn affected(order: &Order<'_>) -> Option<Section> {
    let zone = order.verification.zone;
    let labels = Labels::new(order.plan);
    let at = |at: Option<i64>, open: &str| at.map_or_else(|| open.to_owned(), |at| zone.show_local(Instant(at)));
    let rows = order
        .verification
        .affected
        .iter()
        .map(|one| {
            let control =
                order.plan.control(&one.control).map_or_else(|| one.control.clone(), |control| labels.mark(control));
            let shares: Vec<Share> = one.lots.iter().map(|code| Share::of(order.records, code)).collect();
            let gone: Vec<&Share> = shares.iter().filter(|share| share.shipped.is_some()).collect();
            let mut lots = Vec::new();
            if !gone.is_empty() {
                let codes: Vec<&str> = gone.iter().map(|share| share.code.as_str()).collect();
                lots.push(format!("shipped already: {}, {}", codes.join(", "), total(gone.iter().copied())));
            }
            if shares.is_empty() {
                lots.push("no lot of the register".to_owned());
            } else {
                lots.push(format!("{}: {} in all", one.lots.join(", "), total(&shares)));
            }
            Row::new(vec![
                Cell::text(format!("{control} {}", one.limit)),
                Cell::text(at(one.from, "start of the records")),
                Cell::text(at(one.to, "open")),
                Cell::text(&one.cause),
                Cell::texts(lots),
            ])
        })
        .collect();
    let table = Table::some(
        "From the last good check before to the first of two good ones after",
        &[("Limit", 16), ("From", 17), ("To", 17), ("Opened by", 30), ("Lots", 20)],
        rows,
    )?;
    Some(Section::new("affected", "Product in question between checks", vec![table]))
}

/// Whether a span of distrust began before the last record.
fn bears(order: &Order<'_>, from: i64) -> bool {
    order.verification.last.is_some_and(|last| from < last.0)
}

pub(super) fn instruments(order: &Order<'_>) -> Section {
    let rows = order.verification.instruments.iter().map(|state| instrument(order, state)).collect();
    let table = Table::some(
        "Instruments with a calibration duty, or with a check on record",
        &[("Instrument", 24), ("Calibrations on record", 44), ("Results that show nothing", 32)],
        rows,
    );
    let none = Block::text("The plan names no instrument with a calibration duty.");
    let mut blocks = vec![table.unwrap_or(none)];
    blocks.extend(super::kept::drifts(order));
    Section::new("instruments", "Instruments", blocks)
}

fn instrument(order: &Order<'_>, state: &InstrumentState) -> Row {
    let zone = order.verification.zone;
    let title = order.plan.instrument(&state.name).and_then(|instrument| instrument.title.clone());
    let done = Cell::texts(state.calibrations.iter().map(|calibration| {
        let off = calibration
            .off_by
            .map_or_else(|| "unreadable".to_owned(), |off| format!("off by {off}\u{a0}{}", calibration.unit));
        let late = calibration.late_since.map_or_else(String::new, |due| format!(", calibration late (due {due})"));
        let good = if calibration.good { "good" } else { "NOT GOOD" };
        format!(
            "{}: {off}, {good}{late} ({}, row {})",
            zone.show_local(calibration.at),
            calibration.cell.file,
            calibration.cell.row
        )
    }));
    let end = |at: i64, open: &str| {
        if at == i64::MIN || at == i64::MAX {
            open.to_owned()
        } else {
            zone.show_local(Instant(at - at.rem_euclid(crate::time::SECOND)))
        }
    };
    let spans =
        state.untrusted.iter().zip(&state.why).filter(|((from, _), _)| bears(order, *from)).map(|((from, to), why)| {
            let question = super::kept::in_question(order, &state.name, (*from, *to));
            format!("{} to {}: {why}{question}", end(*from, "start of the records"), end(*to, "end of the records"))
        });
    Row::new(vec![
        Cell::text(title.unwrap_or_else(|| state.name.clone())).then(vec![Piece::styled("quiet", &state.name)]),
        done.or("none on record"),
        Cell::texts(spans).or("none"),
    ])
}

pub(super) fn monitoring(order: &Order<'_>) -> Section {
    let zone = order.verification.zone;
    let labels = Labels::new(order.plan);
    let rows = order
        .verification
        .watches
        .iter()
        .map(|watch| {
            let control = order
                .plan
                .control(&watch.control)
                .map_or_else(|| watch.control.clone(), |control| labels.mark(control));
            let faults = watch
                .faults
                .iter()
                .map(|(kind, lot, at)| format!("{} at {} (lot {lot})", kind.word(), zone.show_local(Instant(*at))));
            let open = watch.open.iter().map(|(lot, why)| format!("not shown for lot {lot}: {why}"));
            let faults = Cell::texts(faults.chain(open));
            Row::new(vec![
                Cell::text(control).then(vec![Piece::styled("quiet", &watch.parameters)]),
                Cell::text(&watch.promised),
                Cell::text(watch.made.to_string()),
                Cell::text(watch.blank.to_string()),
                faults.or("none"),
            ])
        })
        .collect();
    let table = Table::some(
        "Promised and done; a late or missed check is a fault of monitoring, not a limit that is not met",
        &[
            ("Monitoring", 24),
            ("Promised", 24),
            ("On record", 11),
            ("Blank cells", 11),
            ("Late, missed or not shown", 30),
        ],
        rows,
    );
    let mut blocks: Vec<Block> = table.into_iter().collect();
    blocks.extend(super::kept::shifts(order));
    blocks.extend(super::kept::entries(order));
    Section::new("monitoring", "Monitoring as promised", blocks)
}

pub(super) fn files(order: &Order<'_>) -> Section {
    let zone = order.verification.zone;
    let at = |at: Option<Instant>| at.map_or_else(|| "–".to_owned(), |at| zone.show_local(at));
    let rows = order
        .records
        .files
        .iter()
        .map(|file| {
            Row::new(vec![
                Cell::text(&file.name).then(vec![Piece::styled("quiet", &file.record)]),
                Cell::text(format!(
                    "{} rows: {} used, {} blank, {} bad, {} not placed, {} events",
                    file.rows, file.used_rows, file.blank_rows, file.bad_rows, file.unplaced_rows, file.event_rows
                )),
                Cell::text(format!("{} without a reading, {} broken", file.missing_cells, file.broken_cells)),
                Cell::texts([at(file.first), at(file.last)]),
                Cell::styled("code", &file.sha256),
            ])
        })
        .collect();
    let table = Table::some(
        "Every file with its digest (SHA-256)",
        &[("File and record", 20), ("Rows", 24), ("Cells", 16), ("First and last", 18), ("Digest", 22)],
        rows,
    );
    let texts = order
        .sources
        .iter()
        .map(|(_, source)| Row::new(vec![Cell::text(source.name()), Cell::styled("code", digest(source.text()))]))
        .collect();
    let texts = Table::some("Plan and mapping with their digests (SHA-256)", &[("Text", 40), ("Digest", 60)], texts);
    Section::new("files", "Plan, mapping and records read", texts.into_iter().chain(table).collect())
}

/// The SHA-256 of a text in hexadecimal digits, as `sha256sum` prints it.
fn digest(text: &str) -> String {
    use sha2::Digest;
    sha2::Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Findings about the records; none if there is none.
pub(super) fn findings(order: &Order<'_>) -> Option<Section> {
    let rows = order
        .verification
        .findings
        .iter()
        .map(|finding| {
            Row::new(vec![
                Cell::text(format!("{} {}", finding.rule.code, finding.rule.severity.word())),
                Cell::text(place(order.sources, finding)),
                Cell::text(&finding.message).labelled("Next", finding.help.as_deref()),
            ])
        })
        .collect();
    let table = Table::some("What was seen while reading", &[("Code", 14), ("Where", 32), ("What", 54)], rows)?;
    Some(Section::new("findings", "Remarks on the records", vec![table]))
}

pub(super) fn choices(order: &Order<'_>) -> Section {
    let items = [
        format!("Clocks of two records may differ by {} either way.", show_duration(CLOCK_ALLOWANCE)),
        format!("{GOOD_IN_A_ROW} good checks in a row close a window of product in question."),
        "Two neighbouring readings are joined if no further apart than 2.5 monitoring intervals, or the held time where that is shorter, unless the plan says otherwise; values are taken to stay between joined readings.".to_owned(),
        "An uncovered edge of a stage no longer than one interval and its allowance is judged by its nearest reading for a bound or a range, and counts in no limit that asks for at least so much.".to_owned(),
        "Each probe must meet the limit; readings of several probes are never averaged. The accuracy of an instrument is not counted unless the limit says so.".to_owned(),
        format!("Days and printed times are those of {}.", order.verification.zone),
    ];
    Section::new(
        "choices",
        "Choices made in judging",
        vec![Block::List { ordered: false, items: items.iter().map(Cell::text).collect() }],
    )
}
