//! Limits as a plan writes them, each with what it is on a dense truth.

use crate::dense::inside;
use crate::limit::{Limit, Span};
use crate::measure::{Quantity, Truth, sum};
use crate::plant::MINUTE;
use crate::random::Random;
use crate::record::Record;
use crate::truth::{History, allowed};
use bourn::verify::LimitVerdict;

/// One truth that the record allows; the flag asks that short edges are like their nearest reading.
type Try = Box<dyn Fn(&mut Random, bool) -> Option<Truth>>;
/// Whether the printed interval holds the truth.
type Holds = Box<dyn Fn(&LimitVerdict, &Truth, bool) -> bool>;

/// One limit: its text, and how to find out what it truly was.
pub struct Asked {
    pub form: &'static str,
    pub text: String,
    /// Whether a *not met*, and a *met*, lean on short edges being like their nearest reading.
    pub leans: [bool; 2],
    pub truth: Try,
    pub holds: Holds,
}

/// Limits whose answer has no interval of its own.
pub fn no_interval() -> Holds {
    Box::new(|_, _, _| true)
}

/// A range in words: `>= 4 °C`, `between 3 °C and 5 °C`.
pub fn range(span: Span, unit: &str, divided: i64) -> String {
    let number = |n: i64| if divided == 1 { n.to_string() } else { format!("{}", n as f64 / divided as f64) };
    let one =
        |at: i64, sign: &str, strict: bool| format!("{sign}{} {}{unit}", if strict { "" } else { "=" }, number(at));
    match (span.lower, span.upper) {
        (Some((at, strict)), None) => one(at, ">", strict),
        (None, Some((at, strict))) => one(at, "<", strict),
        (Some((a, _)), Some((b, _))) => format!("between {} {unit} and {} {unit}", number(a), number(b)),
        (None, None) => unreachable!("a range has an end"),
    }
}

/// Both ends in it, as a plan writes a band.
pub fn closed(span: Span) -> Span {
    match (span.lower, span.upper) {
        (Some((a, _)), Some((b, _))) => Span { lower: Some((a, false)), upper: Some((b, false)) },
        _ => span,
    }
}

/// The words of a limit on the core; nothing where a plan cannot write it.
pub fn words(limit: &Limit) -> Option<String> {
    let at = |span: Span| range(span, "°C", 1);
    Some(match *limit {
        Limit::Bound(span) => format!("core {}", at(span)),
        Limit::Never(span) if span.lower.is_some() && span.upper.is_some() => format!("no core {}", at(span)),
        Limit::Held(Span { lower: Some((line, false)), upper: None }, 0) => format!("core reaches {line} °C"),
        Limit::Held(span, time) if time > 0 => format!("core {} held for {time} min", at(span)),
        Limit::TotalAtLeast(span, time) if time > 0 => format!("core {} in total at least {time} min", at(span)),
        Limit::TotalAtMost(span, time) if time > 0 => format!("core {} in total at most {time} min", at(span)),
        Limit::StretchAtMost(span, time) if time > 0 => format!("core {} at a stretch at most {time} min", at(span)),
        Limit::Passage { before, arrived, within } => {
            let line = |span: Span| span.lower.or(span.upper).unwrap().0;
            format!("core from {} °C to {} °C within {within} min", line(before), line(arrived))
        }
        Limit::Reach(Span { lower: Some((line, false)), upper: None }, time) if time > 0 => {
            format!("core reaches {line} °C within {time} min of racks")
        }
        Limit::Falls { by, every, rises, strict } if by > 0 => {
            let way = if rises { "rises" } else { "falls" };
            let than = if strict { "more than" } else { "at least" };
            format!("core {way} {than} {by} °C in every {every} min")
        }
        // Three ticks above the base by one degree are a twentieth of a degree-hour.
        Limit::Above { base, at_most, .. } if at_most > 0 && at_most % 3 == 0 => {
            format!("degree-hours of core above {base} °C <= {:.2} °C·h", at_most as f64 / 60.0)
        }
        _ => return None,
    })
}

/// Histories of one record, with the promise on edges and without.
pub fn histories(record: &Record) -> impl Fn(&mut Random, bool) -> Option<History> + use<> {
    let record = record.clone();
    let hulls = [allowed(&record, false), allowed(&record, true)];
    move |r, keep| History::random(r, &record, &hulls[usize::from(keep)])
}

/// A limit over one trace; `value` is what one step of the record is in the unit of the readings.
pub fn traced(form: &'static str, text: String, limit: Limit, record: &Record, value: f64) -> Asked {
    let draw = histories(record);
    let record = record.clone();
    Asked {
        form,
        text,
        leans: [limit.leans_on_edges(false), limit.leans_on_edges(true)],
        truth: Box::new(move |r, keep| Some(limit.truth(&record, &draw(r, keep)?))),
        holds: Box::new(move |verdict, truth, keep| {
            verdict.parts.iter().filter_map(|part| part.outcome.as_ref()).all(|outcome| {
                outcome.extent.least == bourn::verify::engine::End::UnboundedBelow
                    || inside(&limit, outcome, truth.quantity, keep, 0, (MINUTE, value))
            })
        }),
    }
}

/// Two limits of one record that must both hold, such as a share and a time, whichever is longer.
pub fn both(form: &'static str, text: String, limits: [Limit; 2], record: &Record) -> Asked {
    let draw = histories(record);
    let record = record.clone();
    Asked {
        form,
        text,
        leans: [false, true].map(|met| limits.iter().any(|limit| limit.leans_on_edges(met))),
        truth: Box::new(move |r, keep| {
            let history = draw(r, keep)?;
            let [a, b] = limits.map(|limit| limit.truth(&record, &history));
            Some(Truth { holds: a.holds && b.holds, surely: a.surely && b.surely, quantity: Quantity::Unsettled })
        }),
        holds: no_interval(),
    }
}

/// Options of which one must hold, each a list of limits that must all hold.
///
/// `records` differ in their credit gaps alone, one for each that a part is judged with: the truth keeps the promises
/// of all of them.
pub fn grouped(form: &'static str, text: String, options: Vec<Vec<Limit>>, records: Vec<Record>) -> Asked {
    let hulls = [false, true].map(|keep| {
        let all = records.iter().map(|record| allowed(record, keep));
        let common = |a: Vec<(i64, i64)>, b: Vec<(i64, i64)>| {
            a.into_iter().zip(b).map(|(a, b)| (a.0.max(b.0), a.1.min(b.1))).collect()
        };
        all.reduce(common).unwrap()
    });
    let record = records[0].clone();
    let drawn = record.clone();
    let draw = move |r: &mut Random, keep: bool| {
        let hull = &hulls[usize::from(keep)];
        hull.iter().all(|(low, high)| low <= high).then(|| History::random(r, &drawn, hull)).flatten()
    };
    let leans = [false, true].map(|met| options.iter().flatten().any(|limit| limit.leans_on_edges(met)));
    Asked {
        form,
        text,
        leans,
        truth: Box::new(move |r, keep| {
            let history = draw(r, keep)?;
            let all = |part: fn(&Truth) -> bool| {
                options.iter().any(|option| option.iter().all(|limit| part(&limit.truth(&record, &history))))
            };
            Some(Truth { holds: all(|t| t.holds), surely: all(|t| t.surely), quantity: Quantity::Unsettled })
        }),
        holds: no_interval(),
    }
}

/// Rates per minute, worked out here and nowhere else.
pub mod rates {
    /// D 1 min at 8 °C, z 3 °C; `range` from 4 to 10 °C.
    pub fn bug(value: i64) -> f64 {
        if value < 4 { 0.0 } else { 10_f64.powf((value.min(10) - 8) as f64 / 3.0) }
    }

    /// Minutes at 8 °C with z 3 °C, over all values.
    pub fn equivalent(value: i64) -> f64 {
        10_f64.powf((value - 8) as f64 / 3.0)
    }

    /// The cardinal temperature model with 1, 8 and 11 °C, one decade a minute at its best: as the published
    /// formula has it (Rosso and others 1993), with the three temperatures put in.
    pub fn grower(value: i64) -> f64 {
        let t = value as f64;
        if value <= 1 || value >= 11 {
            return 0.0;
        }
        let below = 7.0 * (7.0 * (t - 8.0) - (8.0 - 11.0) * (8.0 + 1.0 - 2.0 * t));
        (t - 11.0) * (t - 1.0) * (t - 1.0) / below
    }
}

/// A sum of a rate against a threshold that no sum is equal to.
pub fn summed(
    (form, text): (&'static str, String),
    rate: fn(i64) -> f64,
    (at_least, threshold): (bool, f64),
    record: &Record,
) -> Asked {
    let draw = histories(record);
    // Which side leans on edges is that of the engine's form.
    let like = if at_least { Limit::Reduction { flat: 0, top_stated: true, at_least: 0 } } else { Limit::Growth(0) };
    Asked {
        form,
        text,
        leans: [like.leans_on_edges(false), like.leans_on_edges(true)],
        truth: Box::new(move |r, keep| {
            let history = draw(r, keep)?;
            let total: f64 = history.window().iter().skip(1).step_by(2).map(|value| rate(*value)).sum();
            let close = (total - threshold).abs() < 1e-9 * (1.0 + total);
            let holds = if at_least { total >= threshold } else { total <= threshold };
            Some(Truth { holds: holds || close, surely: holds && !close, quantity: Quantity::Real(total) })
        }),
        holds: Box::new(move |verdict, truth, keep| {
            let outcomes = || verdict.parts.iter().filter_map(|part| part.outcome.as_ref());
            outcomes().all(|outcome| inside(&like, outcome, truth.quantity, keep, 0, (MINUTE, 1.0)))
        }),
    }
}

/// The sum of whole heights above a base, for a threshold near it.
pub fn heights(window: &[i64], base: i64) -> i64 {
    sum(window, |value| (value - base).max(0))
}
