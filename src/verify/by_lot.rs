//! Everything on record about one lot, in words: what an inspector asks for at the desk.

use super::followed::{Share, state, total};
use super::windows::begun;
use super::{LimitVerdict, LotVerdicts, Period, Verification};
use crate::finding::nearest;
use crate::log::{Lot, Records, RegisterKind};
use crate::plan::{LimitKind, Plan};
use crate::source::{Cell, Place};
use crate::time::{Instant, Zone};
use crate::verdict::Verdict;

/// One stretch of the answer: a title, and lines with a name and what is on record.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Chapter {
    /// The title.
    pub title: &'static str,
    /// Lines: the name, and one or several texts.
    pub lines: Vec<(String, Vec<String>)>,
}

impl Chapter {
    fn new(title: &'static str) -> Self {
        Chapter { title, lines: Vec::new() }
    }

    fn line(&mut self, name: impl Into<String>, text: impl Into<String>) {
        self.lines.push((name.into(), vec![text.into()]));
    }
}

impl Verification {
    /// The same for one lot alone: its limits, what bears on it, and the findings that name it.
    #[must_use]
    pub fn of_lot(mut self, code: &str, records: &Records) -> Self {
        self.lots.retain(|lot| lot.code == code);
        self.series.clear();
        self.trends.clear();
        self.affected.retain(|window| window.lots.iter().any(|lot| lot == code));
        for watch in &mut self.watches {
            watch.faults.retain(|(_, lot, _)| lot == code);
            watch.open.retain(|(lot, _)| lot == code);
        }
        self.followed.deviations.retain(|one| one.lots.iter().any(|share| share.code == code));
        self.followed.releases.retain(|one| one.lot == code);
        self.followed.reviewed.clear();
        // A finding on a row of a register that names the lot is about the lot too.
        let row = |place: &Place| match place {
            Place::Cell(cell) => records.registers.iter().any(|row| {
                row.lots.iter().any(|lot| lot == code) && (&row.cell.file, row.cell.row) == (&cell.file, cell.row)
            }),
            _ => false,
        };
        self.findings.retain(|finding| names(&finding.message, code) || row(&finding.place));
        self
    }
}

/// Whether a text names a lot, as a word of its own.
fn names(text: &str, code: &str) -> bool {
    text.match_indices(code).any(|(at, _)| {
        let word = |c: char| c.is_alphanumeric();
        !text.get(..at).and_then(|before| before.chars().next_back()).is_some_and(word)
            && !text.get(at + code.len()..).and_then(|after| after.chars().next()).is_some_and(word)
    })
}

fn place(cell: &Cell) -> String {
    format!("{}, row {}", cell.file, cell.row)
}

/// The day on which a lot was begun, as a period; every day where nothing says when it was begun. None for a lot that the
/// register does not hold, with the nearest code.
///
/// # Errors
/// The nearest code of the register, if one is near.
pub fn period_of(plan: &Plan, records: &Records, code: &str) -> Result<Period, Option<String>> {
    let Some(lot) = records.lots.iter().find(|lot| lot.code == code) else {
        let near = nearest(code, records.lots.iter().map(|lot| lot.code.as_str()));
        return Err(near.map(str::to_owned));
    };
    let zone = plan.head.as_ref().and_then(|head| head.zone.as_ref()).map_or(Zone::UTC, |zone| zone.value);
    let day = begun(plan, lot).map(|at| zone.local(at).date());
    Ok(Period { from: day, to: day })
}

/// The answer, chapter by chapter. `whole` is the verification of the lot alone.
#[must_use]
pub fn chapters(plan: &Plan, records: &Records, whole: &Verification) -> Vec<Chapter> {
    let Some((verdicts, lot)) =
        whole.lots.first().and_then(|verdicts| Some((verdicts, records.lots.get(verdicts.lot)?)))
    else {
        return Vec::new();
    };
    let mut lead = about(plan, whole, lot, verdicts.begun);
    answer(&mut lead, verdicts, whole);
    let mut out = vec![lead, limits(&verdicts.limits)];
    out.extend([readings(records, whole, lot), checks(records, whole, lot)]);
    out.extend([instruments(plan, records, whole, lot), monitoring(whole), question(records, whole)]);
    out.extend([done(records, whole), reviews(records, whole, lot), findings(whole)]);
    out.retain(|chapter| !chapter.lines.is_empty());
    out
}

fn about(plan: &Plan, whole: &Verification, lot: &Lot, begun: Option<Instant>) -> Chapter {
    let mut chapter = Chapter::new("The lot");
    let local = |at: Instant| whole.zone.show_local(at);
    chapter.line("Lot", &lot.code);
    if let Some(head) = &plan.head {
        let revision = head.revision.as_ref().map_or("no revision".to_owned(), |revision| {
            let date = revision.date.map_or(String::new(), |date| format!(" of {date}"));
            format!("revision {}{date}", revision.number)
        });
        chapter.line("Plan", format!("{}, {revision}", Plan::title(&head.name, &head.title)));
        let day = begun.map(|at| whole.zone.local(at).date());
        let force = match (head.in_force.as_ref().map(|day| day.value), day) {
            (None, _) => "the plan does not say from when it is in force".to_owned(),
            (Some(from), Some(day)) if day < from => {
                format!("from {from}: NOT YET on {day}, when the lot was begun; look for the revision before")
            }
            (Some(from), _) => format!("from {from}"),
        };
        let judged = digest_of(whole);
        chapter.line("In force", force + &judged);
    }
    chapter.line("Product", lot.product.clone().unwrap_or_else(|| "not on record".to_owned()));
    chapter.line("Made", lot.quantity.map_or("not on record".to_owned(), |quantity| quantity.to_string()));
    if let Some(line) = &lot.line {
        chapter.line("Line", line);
    }
    let shipped = lot.shipped.as_ref().map_or("no time of shipping on record".to_owned(), |event| {
        format!("{} ({})", local(event.at), place(&event.cell))
    });
    chapter.line("Shipped", shipped);
    let events = lot.events.iter().map(|event| format!("{} {} ({})", event.event, local(event.at), place(&event.cell)));
    let events: Vec<String> = events.collect();
    if !events.is_empty() {
        // Where all stand in one row, the row is said once.
        let row = lot.events.first().map(|event| place(&event.cell)).unwrap_or_default();
        let one = lot.events.iter().all(|event| place(&event.cell) == row);
        let told = lot.events.iter().map(|event| format!("{} {}", event.event, local(event.at)));
        chapter.lines.push((
            "Events".to_owned(),
            if one { vec![format!("{} ({row})", told.collect::<Vec<_>>().join(", "))] } else { events },
        ));
    }
    chapter
}

/// The digest of the text that judged the lot.
fn digest_of(whole: &Verification) -> String {
    let judging = whole.lots.first().and_then(|lot| whole.revisions.get(lot.revision));
    judging.map_or(String::new(), |one| format!("; digest {}", one.digest))
}

/// The answer in three lines, before everything else.
fn answer(lead: &mut Chapter, verdicts: &LotVerdicts, whole: &Verification) {
    let (met, not_met, not_shown) = whole.counts();
    let named = |wanted: Verdict| {
        let own = verdicts.critical().filter(|limit| limit.verdict == wanted);
        let names: Vec<String> = own.map(|limit| format!("{}.{}", limit.control, limit.limit)).collect();
        if names.is_empty() { String::new() } else { format!(" ({})", names.join(", ")) }
    };
    let limits = format!(
        "{met} met, {not_met} not met{}, {not_shown} not shown{}",
        named(Verdict::NotMet),
        named(Verdict::NotShown)
    );
    let mut codes: Vec<&str> = whole.findings.iter().map(|finding| finding.rule.name).collect();
    codes.dedup();
    let findings = if codes.is_empty() { "none names the lot".to_owned() } else { codes.join(", ") };
    lead.lines.insert(1, ("Critical limits".to_owned(), vec![limits]));
    lead.lines.insert(2, ("Findings".to_owned(), vec![findings]));
}

fn limits(limits: &[LimitVerdict]) -> Chapter {
    let mut chapter = Chapter::new("Limits");
    for limit in limits {
        let kind = match limit.kind {
            LimitKind::Critical => "",
            LimitKind::Operating => " (operating limit)",
            _ => " (no safety limit)",
        };
        let mut texts = vec![format!("{}: {}", limit.verdict.to_string().to_uppercase(), limit.symbols)];
        let told = parts(&limit.parts);
        // What several parts say is said once; what decided is said where no part says it.
        if limit.parts.len() < 2 || !limit.parts.iter().any(|part| part.evidence.first() == Some(&limit.why)) {
            texts.push(limit.why.clone());
        }
        if limit.parts.len() > 1 || told.first().is_some_and(|line| !line.contains(short(&limit.why))) {
            texts.extend(told);
        }
        chapter.lines.push((format!("{}.{}{kind}", limit.control, limit.limit), texts));
    }
    chapter
}

/// What each part of a limit came to, on one line; the form of each only where they differ.
fn parts(parts: &[crate::verify::Part]) -> Vec<String> {
    let first = parts.first().map_or("", |part| part.form.as_str());
    let alike = parts.iter().all(|part| part.form == first);
    let told: Vec<String> = parts
        .iter()
        .filter_map(|part| {
            let line = short(part.evidence.first()?);
            let form = if alike || part.form.is_empty() { String::new() } else { format!(" ({})", part.form) };
            Some(format!("{}{form}: {line}", part.what))
        })
        .collect();
    if told.is_empty() { Vec::new() } else { vec![told.join(" · ")] }
}

/// A line of evidence without what was asked for, which the limit itself says.
fn short(line: &str) -> &str {
    match line.split_once("; asked for: ") {
        // What follows what was asked for, such as readings that break it, stays.
        Some((before, after)) if !after.contains("; ") => before,
        _ => line,
    }
}

fn readings(records: &Records, whole: &Verification, lot: &Lot) -> Chapter {
    let mut chapter = Chapter::new("Readings of the lot");
    for channel in records.channels.iter().filter(|channel| channel.lot.as_deref() == Some(lot.code.as_str())) {
        let probe = channel.probe.as_ref().map_or(String::new(), |probe| format!(", {probe}"));
        let by = channel.instrument.as_ref().map_or(String::new(), |instrument| format!(" by {instrument}"));
        chapter.line(
            format!("{}{probe}", channel.parameter),
            format!(
                "{} readings on {}{by}, {} cells without one",
                channel.count, channel.record, channel.missing_count
            ),
        );
    }
    for sample in records.samples.iter().filter(|sample| sample.lot == lot.code) {
        let value = if sample.lo.total_cmp(&sample.hi).is_eq() {
            format!("{} {}", sample.lo, sample.unit.map_or("", |unit| unit.symbol))
        } else {
            sample.answer.clone().unwrap_or_else(|| "not one number".to_owned())
        };
        chapter.line(
            format!("{}, sample {}", sample.parameter, sample.sample),
            format!("{}, {} ({})", value.trim(), whole.zone.show_local(sample.at), place(&sample.cell)),
        );
    }
    chapter
}

fn checks(records: &Records, whole: &Verification, lot: &Lot) -> Chapter {
    let mut chapter = Chapter::new("Checks of the lot");
    // The answers of one row stand on one line.
    let mut rows: Vec<(&crate::log::Check, Vec<String>)> = Vec::new();
    for check in records.checks.iter().filter(|check| check.lot.as_deref() == Some(lot.code.as_str())) {
        let said = format!("{} {}", check.parameter, check.answer.as_deref().unwrap_or("unreadable"));
        let same = |known: &crate::log::Check| (&known.cell.file, known.cell.row) == (&check.cell.file, check.cell.row);
        match rows.iter_mut().find(|(known, _)| same(known)) {
            Some((_, answers)) => answers.push(said),
            None => rows.push((check, vec![said])),
        }
    }
    for (check, said) in rows {
        let by = check.by.as_ref().map_or("no initials".to_owned(), |by| format!("by {by}"));
        let text = format!("{}, {by} ({})", said.join(", "), place(&check.cell));
        chapter.line(whole.zone.show_local(check.at), text);
    }
    chapter
}

/// The calibrations before and after the lot, of the instruments that measured it.
fn instruments(plan: &Plan, records: &Records, whole: &Verification, lot: &Lot) -> Chapter {
    let mut chapter = Chapter::new("Instruments");
    let own = |name: &str| {
        let channel = records.channels.iter().any(|channel| {
            channel.instrument.as_deref() == Some(name) && channel.lot.as_deref().is_none_or(|code| code == lot.code)
        });
        let sample = records.samples.iter().any(|one| one.lot == lot.code && one.instrument.as_deref() == Some(name));
        channel || sample
    };
    let (Some(first), Some(last)) = (lot.events.first(), lot.events.last()) else { return chapter };
    for state in whole.instruments.iter().filter(|state| own(&state.name)) {
        let told = |at: Instant, good: bool| {
            format!("{} {}", whole.zone.show_local(at), if good { "good" } else { "NOT GOOD" })
        };
        let before = state.calibrations.iter().rev().find(|one| one.at <= first.at);
        let after = state.calibrations.iter().find(|one| one.at > last.at);
        let before = before.map_or("none on record".to_owned(), |one| told(one.at, one.good));
        let after = after.map_or("none on record yet".to_owned(), |one| told(one.at, one.good));
        let mut texts = vec![format!("last calibration before: {before}; next after: {after}")];
        if state.distrusts_within(first.at.0, last.at.0) {
            texts.extend(
                state
                    .why
                    .iter()
                    .zip(&state.untrusted)
                    .filter(|(_, (from, to))| *from < last.at.0 && first.at.0 < *to)
                    .map(|(why, _)| format!("not trusted while the lot was made: {why}")),
            );
        }
        let title = plan.instrument(&state.name).and_then(|own| own.title.clone());
        let title = title.map_or(String::new(), |title| format!(" ({title})"));
        chapter.lines.push((format!("{}{title}", state.name), texts));
    }
    chapter
}

fn monitoring(whole: &Verification) -> Chapter {
    let mut chapter = Chapter::new("Checks late or missed");
    for watch in &whole.watches {
        for (kind, _, at) in &watch.faults {
            chapter.line(
                format!("{}, {}", watch.control, watch.parameters),
                format!("{} {}, promised {}", kind.word(), whole.zone.show_local(Instant(*at)), watch.promised),
            );
        }
        for (_, why) in &watch.open {
            chapter.line(format!("{}, {}", watch.control, watch.parameters), format!("not shown: {why}"));
        }
    }
    chapter
}

fn question(records: &Records, whole: &Verification) -> Chapter {
    let mut chapter = Chapter::new("Product in question between checks");
    let at = |at: Option<i64>, open: &str| at.map_or(open.to_owned(), |at| whole.zone.show_local(Instant(at)));
    for window in &whole.affected {
        let shares: Vec<Share> = window.lots.iter().map(|code| Share::of(records, code)).collect();
        chapter.line(
            format!("{}.{}", window.control, window.limit),
            format!(
                "from {} to {}: {}; lots {}, {} in all",
                at(window.from, "the start of the records"),
                at(window.to, "open"),
                window.cause,
                window.lots.join(", "),
                total(&shares)
            ),
        );
    }
    chapter
}

fn done(records: &Records, whole: &Verification) -> Chapter {
    let mut chapter = Chapter::new("Deviations and corrective actions");
    let followed = &whole.followed;
    let code = whole.lots.first().map_or("", |lot| lot.code.as_str());
    for deviation in &followed.deviations {
        chapter.line(format!("{}: {}", deviation.about(), deviation.event.words()), state(followed, deviation));
    }
    for action in &followed.actions {
        let Some(row) = records.registers.get(action.row) else { continue };
        if !row.lots.iter().any(|lot| lot == code) {
            continue;
        }
        let told = row.kind.fields().iter().filter_map(|field| {
            let word = row.word(field.name);
            (!word.is_empty() && field.name != "number").then(|| format!("{}: {word}", field.heading.to_lowercase()))
        });
        let mut texts: Vec<String> = told.collect();
        texts.push(place(&row.cell));
        chapter.lines.push((format!("record {}", action.number), texts));
    }
    chapter
}

fn reviews(records: &Records, whole: &Verification, lot: &Lot) -> Chapter {
    let mut chapter = Chapter::new("Reviews");
    let own = records.registers.iter().filter(|row| row.kind == RegisterKind::PreShipmentReviews);
    let mut seen = false;
    for row in own.filter(|row| row.lots.contains(&lot.code)) {
        seen = true;
        let at = row.time("reviewed").map_or("no time".to_owned(), |at| whole.zone.show_local(at));
        chapter.line("before shipping", format!("{at} by {} ({})", row.word("by"), place(&row.cell)));
    }
    if !seen {
        let given = whole.followed.kept.contains(&RegisterKind::PreShipmentReviews);
        let words = if given { "none on record" } else { "no register of pre-shipment reviews was given" };
        chapter.line("before shipping", words);
    }
    let (Some(first), Some(last)) = (lot.events.first(), lot.events.last()) else { return chapter };
    for row in records.registers.iter().filter(|row| row.kind == RegisterKind::RecordReviews) {
        let (Some(from), Some(to), Some(at)) = (row.time("from"), row.time("to"), row.time("reviewed")) else {
            continue;
        };
        if from <= last.at && first.at <= to {
            chapter.line(
                row.word("records"),
                format!(
                    "entries of {} to {} reviewed {} by {} ({})",
                    whole.zone.local(from).date(),
                    whole.zone.local(to).date(),
                    whole.zone.show_local(at),
                    row.word("by"),
                    place(&row.cell)
                ),
            );
        }
    }
    chapter
}

fn findings(whole: &Verification) -> Chapter {
    let mut chapter = Chapter::new("Findings that name the lot");
    for finding in &whole.findings {
        chapter.line(format!("{} {}", finding.rule.code, finding.rule.severity.word()), finding.message.clone());
    }
    chapter
}
