//! Computed parameters: recorded ones paired reading by reading, through every formula on the way.

use super::accuracy::{Off, widened};
use super::engine::Row;
use super::limits::Context;
use super::traces::{Found, Judged, Track, channels, plain, promised};
use super::workings::{Input as PairedInput, Paired};
use crate::log::Lot;
use crate::plan::{Control, Expression, Formula, Name, Parameter};
use crate::quantity::{Rational, Unit, UnitDef};
use crate::science::humidity::{STANDARD_ATMOSPHERE_PA, relative_humidity_bounds};

/// One trace of an input, and where it was recorded: its record and place, which its partners should share.
struct Input {
    track: Track,
    origin: (String, Option<String>),
}

/// Values of a formula's parameters at one instant, in base units.
type Values<'a> = [(&'a Name, Reach)];

/// Where a value lies, both ends in it: as doubles rounded outwards, and as the exact decimals where there are such.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    doubles: (f64, f64),
    exact: Option<(Rational, Rational)>,
}

/// The computed traces of a parameter for a lot: one for each trace of its first input.
pub(super) fn find(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    lot: &Lot,
    window: Option<Judged>,
) -> Vec<Found> {
    match traces(context, control, parameter, lot, window, &[]) {
        Ok(found) => found.into_iter().map(|input| Found::Track(input.track)).collect(),
        Err(silent) => vec![Found::Silent(silent)],
    }
}

/// The traces of a parameter, recorded or computed, or the name of what is silent. `within` are the formulas on the way.
fn traces(
    context: &Context<'_>,
    control: &Control,
    parameter: &Parameter,
    lot: &Lot,
    window: Option<Judged>,
    within: &[&Name],
) -> Result<Vec<Input>, String> {
    let name = &parameter.name;
    let own = channels(context, lot, &name.text);
    let silent = || name.text.clone();
    if !own.is_empty() {
        let read = |(index, channel): (usize, &crate::log::Channel)| Input {
            track: Track { channel: None, ..plain(context, control, index, channel, silent(), window) },
            origin: (channel.record.clone(), channel.place.clone()),
        };
        return Ok(own.into_iter().map(read).collect());
    }
    let formula = parameter.formula.as_ref().filter(|_| !within.contains(&name)).ok_or_else(silent)?;
    let unit = parameter.unit.as_ref().map(|unit| unit.value).ok_or_else(silent)?;
    let way: Vec<&Name> = within.iter().copied().chain([name]).collect();
    let names = formula.inputs();
    let pairing = parameter
        .pairing
        .as_ref()
        .and_then(|pairing| pairing.nanoseconds())
        .or_else(|| promised(context.plan, control, parameter).map(|(every, _)| every / 2))
        .unwrap_or(0);
    // The partner of a reading beside the window may stand still further off.
    let wider = window.map(|judged| judged.wider(pairing));
    let mut inputs = Vec::new();
    for name in &names {
        let declared = context.plan.parameter(&name.text).ok_or_else(|| name.text.clone())?;
        inputs.push(traces(context, control, declared, lot, wider, &way)?);
    }
    let mut inputs = inputs.into_iter();
    let first = inputs.next().ok_or_else(silent)?;
    let others: Vec<Vec<Input>> = inputs.collect();
    let mut found = Vec::new();
    for lead in first {
        let mut tracks = vec![&lead.track];
        for (other, name) in others.iter().zip(names.iter().skip(1)) {
            let same = |input: &&Input| input.origin == lead.origin && input.track.unit == lead.track.unit;
            let partner = other.iter().find(same).or(other.first()).ok_or_else(|| name.text.clone())?;
            tracks.push(&partner.track);
        }
        let track = combined(parameter, formula, unit, &names, &tracks, (pairing, context.workings));
        found.push(Input { track, origin: lead.origin.clone() });
    }
    Ok(found)
}

/// One computed trace.
fn combined(
    parameter: &Parameter,
    formula: &Formula,
    unit: Unit,
    names: &[&Name],
    tracks: &[&Track],
    (pairing, tell): (i64, bool),
) -> Track {
    let combine = |rows: &dyn Fn(&Track) -> Vec<Row>, told: &mut dyn FnMut(i64, &[Row])| {
        let rows: Vec<(Vec<Row>, Unit)> = tracks.iter().map(|track| (rows(track), track.unit)).collect();
        pair(formula, unit, names, &rows, pairing, told)
    };
    let as_read = tracks
        .iter()
        .any(|track| track.as_read.is_some())
        .then(|| combine(&|track| track.as_read.clone().unwrap_or_else(|| track.rows.clone()), &mut |_, _| {}));
    let words: Vec<&str> = names.iter().map(|name| name.text.as_str()).collect();
    let words = match words.as_slice() {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    };
    let what = if tracks.len() > 1 {
        format!("computed from {words}, paired within {}", crate::time::show_duration(pairing))
    } else {
        format!("computed from {words}")
    };
    let mut remarks = vec![what];
    for remark in tracks.iter().flat_map(|track| &track.remarks) {
        if !remarks.contains(remark) {
            remarks.push(remark.clone());
        }
    }
    let mut pairs = Vec::new();
    let rows = combine(&|track| widened(&track.rows, track.off), &mut |at, rows| {
        if tell {
            let input = |((name, track), row): ((&&Name, &&Track), &Row)| PairedInput {
                name: name.text.clone(),
                at: row.at,
                lo: row.lo,
                hi: row.hi,
                unit: track.unit,
                sources: track.sources.clone(),
            };
            pairs.push(Paired { at, inputs: names.iter().zip(tracks).zip(rows).map(input).collect() });
        }
    });
    Track {
        what: parameter.name.text.clone(),
        channel: None,
        sources: tracks.iter().flat_map(|track| track.sources.iter().copied()).collect(),
        unit,
        rows,
        pairs,
        as_read,
        remarks,
        missing: tracks.iter().map(|track| track.missing).max().unwrap_or(0),
        spot: tracks.iter().any(|track| track.spot),
        own: tracks.iter().all(|track| track.own),
        // What each input may be off by is in the computed values already.
        off: Off::NOTHING,
    }
}

/// One row an instant: a broken row takes the reading beside it away, and two values are the interval between them.
fn merged(rows: &[Row]) -> Vec<Row> {
    let mut out: Vec<Row> = Vec::with_capacity(rows.len());
    for row in rows {
        match out.last_mut() {
            Some(last) if last.at == row.at => {
                *last = match last.is_broken() || row.is_broken() {
                    true => Row::broken(row.at),
                    false => Row::spread(row.at, last.lo.min(row.lo), last.hi.max(row.hi)),
                };
            }
            _ => out.push(*row),
        }
    }
    out
}

/// Each reading of the first with the nearest of each other, if all are near enough. A broken row of any breaks the
/// computed trace where it stands.
fn pair(
    formula: &Formula,
    unit: Unit,
    names: &[&Name],
    inputs: &[(Vec<Row>, Unit)],
    within: i64,
    told: &mut dyn FnMut(i64, &[Row]),
) -> Vec<Row> {
    let rows: Vec<Vec<Row>> = inputs.iter().map(|(rows, _)| merged(rows)).collect();
    let Some((lead, others)) = rows.split_first() else { return Vec::new() };
    let mut broken: Vec<Row> = others.iter().flatten().filter(|row| row.is_broken()).copied().collect();
    broken.sort_by_key(|row| row.at);
    let mut broken = broken.into_iter().peekable();
    let mut next = vec![0_usize; others.len()];
    let mut out = Vec::with_capacity(lead.len());
    for left in lead {
        while let Some(row) = broken.next_if(|row| row.at <= left.at) {
            out.push(row);
        }
        let mut together = vec![*left];
        for (rows, next) in others.iter().zip(&mut next) {
            while rows.get(*next + 1).is_some_and(|row| row.at <= left.at) {
                *next += 1;
            }
            together.extend(
                [rows.get(*next), rows.get(*next + 1)]
                    .into_iter()
                    .flatten()
                    .min_by_key(|row| row.at.abs_diff(left.at))
                    .copied()
                    .filter(|row| row.at.abs_diff(left.at) <= within.unsigned_abs()),
            );
        }
        if left.is_broken() {
            out.push(Row::broken(left.at));
            continue;
        }
        if together.len() < rows.len() {
            continue;
        }
        told(left.at, &together);
        let values = names.iter().zip(together).zip(inputs).map(|((name, row), (_, unit))| {
            if row.is_broken() { None } else { Some((*name, base((row.lo, row.hi), unit)?)) }
        });
        let computed = values.collect::<Option<Vec<_>>>().and_then(|values| value(formula, unit, &values));
        out.push(match computed {
            Some((lo, hi)) => Row::spread(left.at, lo, hi),
            None => Row::broken(left.at),
        });
    }
    out.extend(broken);
    out
}

/// The computed value as an interval in the parameter's unit, rounded outwards; `None` where it cannot be computed.
///
/// A parameter that stands twice in a formula is taken twice: the interval may then be wider than the values can be,
/// never narrower.
pub(super) fn value(formula: &Formula, unit: Unit, values: &Values<'_>) -> Option<(f64, f64)> {
    match formula {
        Formula::Humidity { pressure, .. } => {
            let [(_, a), (_, b)] = values else { return None };
            let pressure = match pressure {
                Some(pressure) => pressure.quantity?.base()?.to_f64(),
                None => STANDARD_ATMOSPHERE_PA,
            };
            let (a, b) = (a.doubles, b.doubles);
            relative_humidity_bounds(a.0, a.1, b.0, b.1, pressure).ok()
        }
        Formula::Arithmetic(expression) => {
            let reach = evaluate(expression, values)?;
            let step = unit.difference_to_base(Rational::ONE)?;
            if let Some((lo, hi)) = reach.exact
                && let (Some(lo), Some(hi)) = (lo.over(step).and_then(not_above), hi.over(step).and_then(not_below))
            {
                return Some((lo, hi));
            }
            let ((lo, hi), step) = (reach.doubles, step.to_f64());
            let finite = |pair: (f64, f64)| (pair.0.is_finite() && pair.1.is_finite()).then_some(pair);
            // A factor may itself be rounded, so that each end moves by two doubles.
            finite(if step == 1.0 {
                (lo, hi)
            } else {
                ((lo / step).next_down().next_down(), (hi / step).next_up().next_up())
            })
        }
    }
}

/// The double whose decimal is this number, or else one whose decimal lies below it.
fn not_above(exact: Rational) -> Option<f64> {
    let near = exact.to_f64();
    [near, near.next_down(), near.next_down().next_down()]
        .into_iter()
        .find(|double| Rational::from_double(*double).is_some_and(|decimal| decimal <= exact))
}

/// The same, or one whose decimal lies above it.
fn not_below(exact: Rational) -> Option<f64> {
    let near = exact.to_f64();
    [near, near.next_up(), near.next_up().next_up()]
        .into_iter()
        .find(|double| Rational::from_double(*double).is_some_and(|decimal| decimal >= exact))
}

fn evaluate(expression: &Expression, values: &Values<'_>) -> Option<Reach> {
    let (left, sign, right) = match expression {
        Expression::Value(name) => return values.iter().find(|(known, _)| *known == name).map(|(_, value)| *value),
        Expression::Pair { left, sign, right } => (evaluate(left, values)?, *sign, evaluate(right, values)?),
    };
    let divisor = right.doubles;
    if sign == '/' && divisor.0 <= 0.0 && 0.0 <= divisor.1 {
        return None;
    }
    let corners = |f: fn(f64, f64) -> f64| {
        let (left, right) = (left.doubles, right.doubles);
        let all = [f(left.0, right.0), f(left.0, right.1), f(left.1, right.0), f(left.1, right.1)];
        let lo = all.iter().copied().fold(f64::INFINITY, f64::min).next_down();
        let hi = all.iter().copied().fold(f64::NEG_INFINITY, f64::max).next_up();
        (lo, hi)
    };
    let exact = |f: fn(Rational, Rational) -> Option<Rational>| {
        let (left, right) = left.exact.zip(right.exact)?;
        let all = [f(left.0, right.0)?, f(left.0, right.1)?, f(left.1, right.0)?, f(left.1, right.1)?];
        Some((all.into_iter().min()?, all.into_iter().max()?))
    };
    Some(match sign {
        '/' => Reach { doubles: corners(|x, y| x / y), exact: exact(Rational::over) },
        '*' => Reach { doubles: corners(|x, y| x * y), exact: exact(Rational::times) },
        '+' => Reach { doubles: corners(|x, y| x + y), exact: exact(Rational::plus) },
        _ => Reach { doubles: corners(|x, y| x - y), exact: exact(Rational::minus) },
    })
}

/// A reading in the base unit of its dimension; as doubles unchanged where that is its unit, else rounded outwards.
pub(super) fn base((lo, hi): (f64, f64), unit: &UnitDef) -> Option<Reach> {
    let exact = |value: f64| unit.point_to_base(Rational::from_double(value)?);
    let both = if lo == hi { exact(lo).map(|one| (one, one)) } else { exact(lo).zip(exact(hi)) };
    let doubles = if matches!(unit.symbol, "°C" | "aw" | "pH" | "ratio" | "number" | "piece") {
        (lo, hi)
    } else {
        let (lo, hi) = both?;
        (lo.to_f64().next_down(), hi.to_f64().next_up())
    };
    Some(Reach { doubles, exact: both })
}
