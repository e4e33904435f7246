//! The workings of a verdict on the terminal, for a pencil, and as JSON.

use super::steps::{Column, lines, total};
use super::verification::{extent, limit_value};
use crate::log::Records;
use crate::quantity::plain;
use crate::time::{Instant, Zone, show_duration};
use crate::verify::engine::{Cover, EdgeUse, End, Step, Tally};
use crate::verify::workings::{Shown, Workings};
use crate::verify::{LimitVerdict, Part};
use serde_json::{Value, json};
use std::fmt::Write;

/// The width that lines are wrapped at.
const WIDTH: usize = 80;

/// What the workings are printed from.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The records, for file and row.
    pub records: &'a Records,
    /// The zone of printed times.
    pub zone: Zone,
    /// What was judged.
    pub shown: &'a Shown,
    /// Whether long unchanging stretches are printed row by row.
    pub all_rows: bool,
}

/// The workings as text, readable at 80 columns.
#[must_use]
pub fn text(order: &Order<'_>) -> String {
    let mut out = String::new();
    let code = order.records.lots.get(order.shown.lot).map_or("", |lot| lot.code.as_str());
    line(&mut out, 0, &format!("Workings of lot {code}. Times are local ({}).", order.zone));
    for name in &order.shown.not_counted {
        line(&mut out, 0, &format!("{name}: does not count for this lot, by its guard"));
    }
    for limit in &order.shown.limits {
        out.push('\n');
        limit_text(order, limit, &mut out);
    }
    out.push('\n');
    line(&mut out, 0, "A verdict says what the records show. It decides nothing about the product: a person does.");
    out
}

fn limit_text(order: &Order<'_>, limit: &LimitVerdict, out: &mut String) {
    line(out, 0, &format!("{}.{}: {}", limit.control, limit.limit, limit.verdict));
    line(out, 2, &format!("as evaluated: {}", limit.symbols));
    for (label, words) in &limit.beside {
        line(out, 2, &format!("{}: {words}", label.to_lowercase()));
    }
    for part in &limit.parts {
        out.push('\n');
        part_text(order, part, out);
    }
    out.push('\n');
    for joined in &limit.joined {
        line(out, 2, joined);
    }
    if limit.parts.len() > 1 && limit.joined.is_empty() {
        let answers: Vec<String> = limit.parts.iter().map(|part| format!("{} {}", part.what, part.verdict)).collect();
        line(out, 2, &format!("every part must hold: {}", answers.join("; ")));
    }
    if let Some(as_read) = limit.as_read {
        line(out, 2, &format!("with the readings that are not trusted it would be: {as_read}"));
    }
    line(out, 2, &format!("verdict: {}; {}", limit.verdict, limit.why));
}

fn part_text(order: &Order<'_>, part: &Part, out: &mut String) {
    line(out, 2, &format!("{}, {}", part.what, if part.form.is_empty() { "no reading" } else { &part.form }));
    let Some(workings) = &part.workings else {
        for evidence in &part.evidence {
            line(out, 4, evidence);
        }
        line(out, 4, &format!("so: {}", part.verdict));
        return;
    };
    for formula in &workings.formulas {
        line(out, 4, &format!("computed: {formula}"));
    }
    for threshold in &workings.thresholds {
        line(out, 4, &format!("compared with: {threshold}"));
    }
    for end in &workings.ends {
        line(out, 4, &format!("window {end}"));
    }
    if let Some(sampling) = workings.sampling {
        line(
            out,
            4,
            &format!(
                "readings no further apart than {} are joined (credit gap); an uncovered edge up to {} has a nearest \
                 reading (edge allowance)",
                show_duration(sampling.credit_gap),
                show_duration(sampling.edge_allowance)
            ),
        );
    }
    if workings.left_out > 0 {
        line(out, 4, &format!("{} rows left out: their instrument is not trusted", workings.left_out));
    }
    let column = column(order, part, workings);
    let files = column.files();
    if !files.is_empty() {
        line(out, 4, &format!("rows stand in {files}"));
    }
    for step in lines(&column, &workings.steps, order.all_rows) {
        let mut indent = 4;
        for text in step {
            line(out, indent, &text);
            indent = 8;
        }
    }
    let bounded = part.outcome.as_ref().is_some_and(|outcome| outcome.extent.most.number().is_some());
    for told in total(&column, &workings.steps, bounded).iter().chain(&workings.lines) {
        line(out, 4, told);
    }
    if let Some(share) = share_text(part, workings) {
        line(out, 4, &share);
    }
    if let Some(outcome) = &part.outcome {
        for (word, edge) in [("start", outcome.witness.start_edge), ("end", outcome.witness.end_edge)] {
            if let Some(text) = edge_text(edge) {
                line(out, 4, &format!("{word} of the window uncovered {text}"));
            }
        }
    }
    // The deciding line says least and most beside what is asked for; a remark on the whole record may stand before it.
    let deciding = part.evidence.iter().position(|line| line.contains("asked for: ")).unwrap_or(0);
    for told in part.evidence.iter().take(deciding.saturating_add(1)) {
        line(out, 4, told);
    }
    // Of a range the deciding line tells the highest value; the lowest is on the next.
    if part.outcome.as_ref().is_some_and(|outcome| outcome.lower.is_some()) {
        for told in part.evidence.iter().skip(deciding.saturating_add(1)).take(1) {
            line(out, 4, told);
        }
    }
    if let Some(estimate) = part.outcome.as_ref().and_then(|outcome| outcome.witness.trapezoid) {
        line(out, 4, &format!("trapezoid estimate {}, for comparison only", plain(estimate, 4)));
    }
    line(out, 4, &format!("so: {}", part.verdict));
}

/// The balance of a share: both sums at the starts and ends that make it smallest and largest.
fn share_text(part: &Part, workings: &Workings) -> Option<String> {
    let outcome = part.outcome.as_ref().filter(|_| workings.quantity.contains("less"))?;
    let end = |end: End| end.number().map_or("without bound".to_owned(), |value| show_duration(value as i64));
    Some(format!(
        "less the share of the duration, over the starts and ends that the window may have: least {}, most {}",
        end(outcome.extent.least),
        end(outcome.extent.most)
    ))
}

fn edge_text(edge: EdgeUse) -> Option<String> {
    match edge {
        EdgeUse::Covered => None,
        EdgeUse::Nearest(length) => Some(format!("for {}, within the edge allowance", show_duration(length))),
        EdgeUse::Missing(i64::MAX) => Some("without end: none is recorded".to_owned()),
        EdgeUse::Missing(length) => Some(format!("for {}: it could have been anything", show_duration(length))),
    }
}

fn column<'a>(order: &Order<'a>, part: &Part, workings: &'a Workings) -> Column<'a> {
    Column {
        records: order.records,
        zone: order.zone,
        sources: &workings.sources,
        unit: part.unit,
        pairs: &workings.pairs,
    }
}

/// One line, wrapped between words; what is broken off stands deeper.
fn line(out: &mut String, indent: usize, text: &str) {
    let mut length = indent;
    out.push_str(&" ".repeat(indent));
    for (index, word) in text.split(' ').enumerate() {
        let width = word.chars().count();
        if index > 0 && length + 1 + width > WIDTH {
            let _ = write!(out, "\n{}", " ".repeat(indent + 2));
            length = indent + 2;
        } else if index > 0 {
            out.push(' ');
            length += 1;
        }
        out.push_str(word);
        length += width;
    }
    out.push('\n');
}

/// The workings as JSON: every step, none folded. A reading that changes nothing stands in the steps beside it.
#[must_use]
pub fn value(order: &Order<'_>) -> Value {
    let limits = order.shown.limits.iter().map(|limit| {
        let mut value = limit_value(order.zone, limit);
        if let Some(parts) = value.get_mut("parts").and_then(Value::as_array_mut) {
            for (out, part) in parts.iter_mut().zip(&limit.parts) {
                if let (Some(fields), Some(workings)) = (out.as_object_mut(), &part.workings) {
                    fields.insert("workings".to_owned(), part_value(order, part, workings));
                }
            }
        }
        if let Some(fields) = value.as_object_mut() {
            fields.insert("joined".to_owned(), json!(limit.joined));
        }
        value
    });
    json!({
        "bourn": env!("CARGO_PKG_VERSION"),
        "lot": order.records.lots.get(order.shown.lot).map(|lot| lot.code.clone()),
        "limits": limits.collect::<Vec<_>>(),
        "not-counted": order.shown.not_counted,
        "cautions": super::summary::CAUTIONS,
    })
}

fn part_value(order: &Order<'_>, part: &Part, workings: &Workings) -> Value {
    let column = column(order, part, workings);
    let at = |at: i64| if at == i64::MIN || at == i64::MAX { Value::Null } else { json!(order.zone.show(Instant(at))) };
    let finite = |value: f64| value.is_finite().then_some(value);
    let span = |span: crate::verify::engine::Span| json!({ "from": at(span.from), "to": at(span.to) });
    let step = |step: &Step| {
        json!({
            "from": at(step.from),
            "to": at(step.to),
            "rows": [column.place(step.from), column.place(step.to)],
            "reading": step.is_reading(),
            "lo": finite(step.lo),
            "hi": finite(step.hi),
            "cover": match step.cover {
                Cover::Shown => "shown",
                Cover::Nearest => "edge",
                Cover::Anything => "anything",
            },
            "in-window-possibly": step.outer.map(span),
            "in-window-certainly": step.core.map(span),
            "outer-s": step.outer.map(|span| span.length() as f64 / 1e9),
            "core-s": step.core.map(|span| span.length() as f64 / 1e9),
            "before": tally(step.before, &at),
            "after": tally(step.after, &at),
        })
    };
    json!({
        "formulas": workings.formulas,
        "thresholds": workings.thresholds,
        "window-start": workings.window.map(|window| [at(window.start.0), at(window.start.1)]),
        "window-end": workings.window.and_then(|window| window.end).map(|(first, last)| [at(first), at(last)]),
        "ends": workings.ends,
        "edge-allowance-s": workings.sampling.map(|sampling| sampling.edge_allowance as f64 / 1e9),
        "rows-not-trusted": workings.left_out,
        "least-most": part.outcome.as_ref().map(|outcome| extent(part.unit.map_or("", |unit| unit.symbol), &outcome.extent)),
        "computed-from": workings.pairs.iter().map(|pair| json!({
            "at": at(pair.at),
            "inputs": pair.inputs.iter().map(|input| json!({
                "parameter": input.name,
                "at": at(input.at),
                "lo": finite(input.lo),
                "hi": finite(input.hi),
                "unit": input.unit.symbol,
                "rows": column.place_of(&input.sources, input.at),
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "steps": workings.steps.iter().filter(|step| !step.is_reading() || step.before != step.after).map(step).collect::<Vec<_>>(),
        "lines": workings.lines,
    })
}

fn tally(tally: Tally, at: &dyn Fn(i64) -> Value) -> Value {
    let seconds = |time: i64| if time == i64::MAX { Value::Null } else { json!(time as f64 / 1e9) };
    let finite = |value: f64| value.is_finite().then_some(value);
    match tally {
        Tally::Nothing => Value::Null,
        Tally::Value { high, low, open, breaking } => json!({
            "highest": { "reached": finite(high.0), "not-passed": finite(high.1) },
            "lowest": { "reached": finite(low.0), "not-passed": finite(low.1) },
            "anything": open,
            "breaking": breaking,
        }),
        Tally::Time { least, most, certain, possible } => json!({
            "least-s": seconds(least),
            "most-s": seconds(most),
            "certain-stretch-s": certain.map(|span| seconds(span.length())),
            "possible-stretch-s": possible.map(|span| seconds(span.length())),
        }),
        Tally::Rate { low, high, least, most, unbounded } => json!({
            "rate-lo-per-s": low,
            "rate-hi-per-s": high,
            "least": least,
            "most": if unbounded { Value::Null } else { json!(most) },
        }),
        Tally::Clock { start, stop } => json!({
            "starts": [start.0.map(at), start.1.map(at)],
            "stops": [stop.0.map(at), stop.1.map(at)],
        }),
        Tally::Fall { least, most } => json!({ "least": least.and_then(finite), "most": most.and_then(finite) }),
    }
}
