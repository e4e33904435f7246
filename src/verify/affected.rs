//! Product in question between checks: from the last good check to the first of two good ones in a row.

use super::accuracy::Off;
use super::checks::{Affected, Round, Windows, missed, rounds};
use super::limits::{Context, is_critical};
use super::windows::{Stretch, stages, stretch};
use super::{GOOD_IN_A_ROW, InstrumentState, compile, traces};
use crate::log::{EntryKind, Lot, Outcome, Records};
use crate::plan::{Condition, Control, HoldBack, Limit, Name, Over, Plan, Range, Rhythm};

/// Windows of affected product for the checks of one limit.
fn affected_of(
    (plan, records, instruments): (&Plan, &Records, &[InstrumentState]),
    (control, limit): (&Control, &Limit),
    answers: &[(Name, Name)],
) -> Vec<Affected> {
    let every = control.deviation.as_ref().and_then(|deviation| deviation.hold_back)
        == Some(HoldBack::LastCheckWithEveryLimitMet);
    let others = if every { other_rounds((plan, records, instruments), control, limit) } else { Vec::new() };
    let mut found = Vec::new();
    for (rounds, spans) in with_missed(plan, records, control, limit, answers) {
        for (from, to, cause) in windows(&rounds) {
            let from = from.and_then(|from| back_to_every(&rounds, &others, from));
            let (low, high) = (from.unwrap_or(i64::MIN), to.unwrap_or(i64::MAX));
            found.push(Affected {
                control: control.name.text.clone(),
                limit: limit.name.text.clone(),
                from,
                to,
                cause,
                lots: spans
                    .iter()
                    .filter(|(_, start, end)| *start <= high && low <= *end)
                    .map(|(lot, ..)| lot.code.clone())
                    .collect(),
            });
        }
    }
    found
}

/// The last good check at or before an instant at which every other limit on checks was met too, as far as the check
/// of each before it says.
fn back_to_every(rounds: &[Round], others: &[Vec<Round>], from: i64) -> Option<i64> {
    let met = |at: i64| {
        others.iter().all(|rounds| rounds.iter().rev().find(|round| round.at <= at).is_some_and(|round| round.good))
    };
    rounds.iter().rev().filter(|round| round.good && round.at <= from).map(|round| round.at).find(|at| met(*at))
}

/// The rounds of every other critical limit of a control on checks, single readings or samples, with those checks that
/// were missed.
fn other_rounds(
    (plan, records, instruments): (&Plan, &Records, &[InstrumentState]),
    control: &Control,
    limit: &Limit,
) -> Vec<Vec<Round>> {
    let others = control.limits.iter().filter(|other| is_critical(other) && other.name != limit.name);
    let mut lists: Vec<Vec<Round>> = Vec::new();
    for other in others {
        for leaf in other.condition.iter().flat_map(needed) {
            match leaf {
                Condition::Answers(answers) => {
                    let lines = with_missed(plan, records, control, other, answers);
                    lists.push(lines.into_iter().flat_map(|(rounds, _)| rounds).collect());
                }
                Condition::Level { parameter, range, over: Over::Always | Over::Throughout(_) | Over::Samples(_) } => {
                    let accuracy = other.shape.accuracy.is_some();
                    let zone = crate::time::Zone::UTC;
                    let context = Context {
                        plan,
                        records,
                        zone,
                        instruments,
                        cut: None,
                        accuracy,
                        windows: &[],
                        workings: false,
                        drawn: false,
                    };
                    lists.extend(values(&context, control, &parameter.text, range));
                }
                _ => {}
            }
        }
    }
    for all in &mut lists {
        // Of two rounds at one instant the one that is not good comes last, and so decides.
        all.sort_by_key(|round| (round.at, !round.good));
    }
    lists
}

/// The conditions that must all be met; of several ways none is needed by itself.
fn needed(condition: &Condition) -> Vec<&Condition> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(needed).collect(),
        Condition::Any(_) | Condition::Chosen { .. } => Vec::new(),
        leaf => vec![leaf],
    }
}

/// Single readings and results of samples as checks; nothing where the parameter is recorded continuously, since a
/// trace shows what lay between its readings and is no check. A reading that is broken, not trusted or outside the
/// range is not good.
fn values(context: &Context<'_>, control: &Control, parameter: &str, range: &Range) -> Option<Vec<Round>> {
    if control.monitor_of(parameter).is_some_and(|monitor| matches!(monitor.often.rhythm, Rhythm::Continuously(_))) {
        return None;
    }
    let trusted = |instrument: Option<&str>, at: i64| {
        let state = instrument.and_then(|name| context.instrument(name));
        state.is_none_or(|state| !state.distrusts(at))
    };
    let round = |at: i64, good: bool| Round { at, good, against: !good, place: String::new(), remark: String::new() };
    let mut rounds = Vec::new();
    for channel in context.records.channels.iter().filter(|channel| channel.parameter == parameter) {
        let instrument = traces::instrument(control, channel);
        let off = Off::of(context, control, (parameter, instrument), channel.unit).by();
        let condition = off.and_then(|off| compile::condition(range, channel.unit, off));
        rounds.extend(channel.rows.iter().map(|entry| {
            let inside = condition.is_some_and(|condition| condition.certainly(entry.lo, entry.hi));
            round(entry.at, inside && entry.kind == EntryKind::Reading && trusted(instrument, entry.at))
        }));
    }
    for sample in context.records.samples.iter().filter(|sample| sample.parameter == parameter) {
        let condition = sample.unit.and_then(|unit| {
            let off = Off::of(context, control, (parameter, sample.instrument.as_deref()), unit).by()?;
            compile::condition(range, unit, off)
        });
        let inside = condition.is_some_and(|condition| condition.certainly(sample.lo, sample.hi));
        let known = matches!(sample.outcome, Outcome::Value | Outcome::Below | Outcome::Above);
        rounds.push(round(sample.at.0, inside && known && trusted(sample.instrument.as_deref(), sample.at.0)));
    }
    Some(rounds)
}

/// The rounds of a line, and the lots with the time that each was there.
type LineOfLots<'r> = (Vec<Round>, Vec<(&'r Lot, i64, i64)>);

/// The rounds of each line with those that were due and were not made.
fn with_missed<'r>(
    plan: &Plan,
    records: &'r Records,
    control: &Control,
    limit: &Limit,
    answers: &[(Name, Name)],
) -> Vec<LineOfLots<'r>> {
    let stages = stages(plan, control, limit);
    let mut found = Vec::new();
    for ((record, _), mut rounds) in rounds(records, answers) {
        let spans: Vec<(&Lot, i64, i64)> = records
            .lots
            .iter()
            .filter_map(|lot| match stretch(&stages, lot, &record) {
                Stretch::Known(window) => Some((lot, window.start.0, window.end?.1)),
                _ => None,
            })
            .collect();
        let made = rounds.clone();
        for (lot, start, end) in &spans {
            rounds.extend(missed(control, answers, &made, (&lot.code, *start, *end)));
        }
        rounds.sort_by(|a, b| (a.at, &a.place).cmp(&(b.at, &b.place)));
        found.push((rounds, spans));
    }
    found
}

/// From the last good check before the first that is not good, to the first of so many good ones in a row.
fn windows(rounds: &[Round]) -> Vec<(Option<i64>, Option<i64>, String)> {
    let mut found = Vec::new();
    let mut last_good = None;
    let mut open: Option<(Option<i64>, String)> = None;
    let mut good_run: Vec<i64> = Vec::new();
    for round in rounds {
        if round.good {
            good_run.push(round.at);
            if good_run.len() >= GOOD_IN_A_ROW
                && let Some((from, cause)) = open.take()
            {
                found.push((from, good_run.first().copied(), cause));
            }
            if open.is_none() {
                last_good = Some(round.at);
            }
        } else {
            good_run.clear();
            if open.is_none() {
                open = Some((last_good, round.remark.clone()));
            }
        }
    }
    if let Some((from, cause)) = open {
        found.push((from, None, cause));
    }
    found
}

/// Every window of affected product in the records, for each limit on checks.
pub(super) fn affected<'p>(plan: &'p Plan, records: &Records, instruments: &[InstrumentState]) -> Vec<Windows<'p>> {
    plan.controls
        .iter()
        .flat_map(|control| control.limits.iter().map(move |limit| (control, limit)))
        .flat_map(|(control, limit)| {
            let mut asked = Vec::new();
            if let Some(condition) = &limit.condition {
                answers_in(condition, true, &mut asked);
            }
            asked.into_iter().map(move |(answers, needed)| {
                let affected = affected_of((plan, records, instruments), (control, limit), answers);
                Windows { limit, needed, answers, affected }
            })
        })
        .collect()
}

/// The answers that a condition or its parts ask for, and whether they are needed whatever else is met.
fn answers_in<'p>(condition: &'p Condition, needed: bool, found: &mut Vec<(&'p [(Name, Name)], bool)>) {
    match condition {
        Condition::Answers(answers) => found.push((answers, needed)),
        Condition::All(parts) => parts.iter().for_each(|part| answers_in(part, needed, found)),
        Condition::Any(options) | Condition::Chosen { options, .. } => {
            options.iter().for_each(|(_, option)| answers_in(option, false, found));
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(at: i64, good: bool) -> Round {
        Round { at, good, against: !good, place: String::new(), remark: "x".to_owned() }
    }

    #[test]
    fn a_window_runs_from_the_last_good_check_to_the_first_of_two_good_ones() {
        let rounds = [
            round(1, true),
            round(2, false),
            round(3, true),
            round(4, false),
            round(5, true),
            round(6, true),
            round(7, true),
        ];
        assert_eq!(windows(&rounds), [(Some(1), Some(5), "x".to_owned())]);
    }

    #[test]
    fn back_to_the_last_check_with_every_limit_met() {
        let own = [round(1, true), round(2, true), round(3, true), round(4, false)];
        // The other limit was missed at 2 and has been met again since 3.
        let later = vec![round(1, true), round(2, false), round(3, true)];
        assert_eq!(back_to_every(&own, &[later], 3), Some(3));
        let open = vec![round(1, true), round(2, false)];
        assert_eq!(back_to_every(&own, &[open], 3), Some(1));
        assert_eq!(back_to_every(&own, &[vec![round(2, false)]], 3), None);
        assert_eq!(back_to_every(&own, &[Vec::new()], 3), None);
        assert_eq!(back_to_every(&own, &[], 3), Some(3));
    }

    #[test]
    fn without_a_good_check_before_it_goes_back_to_the_start_and_without_one_after_it_stays_open() {
        assert_eq!(windows(&[round(1, false), round(2, true)]), [(None, None, "x".to_owned())]);
    }
}
