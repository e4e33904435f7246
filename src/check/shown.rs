//! Can the monitoring show what the limit asks for?
//!
//! Two neighbouring readings count as joined if they are no further apart than the credit gap: what the limit says, or
//! two and a half intervals, or the held time where that is shorter. What is not joined shows nothing.

use super::Desk;
use crate::finding::Finding;
use crate::plan::limit::Measured;
use crate::plan::{Amount, Cadence, Condition, Control, FactTest, Limit, Monitor, Name, Over, Plan, Rhythm, Term};
use crate::time::{HOUR, show_duration};

crate::rules! {
    /// A limit that its monitoring cannot show.
    ///
    /// A hold of 15 s cannot be shown by one reading an hour, nor a time in total by one reading a lot.
    NEVER_SHOWN = "L221" "never-shown" Error ["codex.monitor", "codex.monitor.continuous", "fsis.417.2.c4", "fish.123.6.c4", "juice.120.8.b", "pc.117.145.a", "eu.852.5.2d"];
    /// A limit that its monitoring can hardly ever show.
    ///
    /// The time that counts is less than about four intervals of the monitoring: chance decides where the readings fall.
    HARDLY_SHOWN = "L222" "hardly-shown" Note;
    /// A credit gap shorter than the interval of the monitoring: no two readings are ever joined.
    CREDIT_GAP_TOO_SHORT = "L223" "credit-gap-too-short" Error ["codex.monitor.continuous"];
    /// An instrument that follows more slowly than the time it must see.
    ///
    /// A probe that needs 20 s to follow cannot tell a hold of 15 s from a shorter one: what it shows lags behind.
    SLOW_INSTRUMENT = "L224" "slow-instrument" Warning;
    /// A limit over time at a step without a stage.
    ///
    /// A stage says from which event to which event a lot was at the step. Without it nobody can say which readings of a
    /// record are of which lot, and no record will ever show the limit.
    NO_STAGE = "L225" "limit-without-stage" Warning;
}

const DAY: i64 = 24 * HOUR;

/// How often readings come.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Pace {
    /// One every so many nanoseconds.
    Every(i64),
    /// Single ones, tied to a lot, a load or an event.
    Single,
    /// Not known.
    Unknown,
}

fn pace(cadence: &Cadence) -> Pace {
    let known = |time: Option<i64>| time.map_or(Pace::Unknown, Pace::Every);
    match &cadence.rhythm {
        Rhythm::Continuously(step) => known(step.as_ref().and_then(Measured::nanoseconds)),
        Rhythm::Every(Term::Clock(time)) => known(time.nanoseconds()),
        Rhythm::Every(Term::Calendar(calendar)) => {
            let days = calendar.days();
            if days.is_finite() && days > 0.0 && days < 36_500.0 {
                #[allow(clippy::cast_possible_truncation, reason = "a whole number of days within a century")]
                let whole = days.round() as i64;
                Pace::Every(whole.max(1) * DAY)
            } else {
                Pace::Unknown
            }
        }
        Rhythm::Every(Term::Blank) => Pace::Unknown,
        Rhythm::TimesPer(count, period) => {
            let length = match period.as_str() {
                "hour" => HOUR,
                "shift" => 8 * HOUR,
                "day" => DAY,
                "week" => 7 * DAY,
                _ => return Pace::Single,
            };
            length.checked_div(i64::from(*count)).map_or(Pace::Unknown, Pace::Every)
        }
        Rhythm::Made(_) | Rhythm::EveryLots(_) | Rhythm::Each(_) | Rhythm::At(_) | Rhythm::After(_) => Pace::Single,
    }
}

/// The slowest monitoring that a parameter depends on.
fn slowest<'a>(plan: &'a Plan, control: &'a Control, parameter: &Name) -> Option<(Pace, &'a Monitor)> {
    if let Some(monitor) = control.monitor_of(&parameter.text) {
        return Some((pace(&monitor.often), monitor));
    }
    let declared = plan.parameter(&parameter.text).filter(|declared| declared.formula.is_some())?;
    let inputs = plan.rests_on(declared, &|name| control.monitor_of(&name.text).is_some());
    let monitors = inputs.into_iter().filter_map(|input| control.monitor_of(&input.text));
    monitors.map(|monitor| (pace(&monitor.often), monitor)).max_by_key(|(pace, _)| match pace {
        Pace::Every(time) => *time,
        Pace::Unknown => i64::MAX - 1,
        Pace::Single => i64::MAX,
    })
}

/// What a limit asks of a record.
enum Need {
    /// A trace in which this much time can be seen: how long, and what that time is.
    Within(i64, &'static str),
    /// A trace, of whatever interval.
    Trace(&'static str),
    /// Nothing but readings.
    Readings,
}

fn need(condition: &Condition) -> Need {
    let within = |time: &Measured, what| time.nanoseconds().map_or(Need::Trace(what), |time| Need::Within(time, what));
    match condition {
        Condition::Level { over, .. } => match over {
            Over::Always => Need::Trace("every moment"),
            Over::Throughout(_) => Need::Trace("every moment of a stage"),
            Over::Held(time) | Over::StretchAtLeast(time) => within(time, "a hold"),
            Over::TotalAtLeast(Amount::Time(time)) => within(time, "a time in total"),
            Over::TotalAtMost(Amount::Time(time)) => within(time, "a stay"),
            Over::StretchAtMost(time) => within(time, "a stay"),
            Over::TotalAtLeast(Amount::Share { or_longer, .. }) => {
                or_longer.as_ref().map_or(Need::Trace("a share of a stage"), |time| within(time, "a time in total"))
            }
            Over::TotalAtMost(Amount::Share { or_longer, .. }) => {
                or_longer.as_ref().map_or(Need::Trace("a share of a stage"), |time| within(time, "a stay"))
            }
            Over::Samples(_) => Need::Readings,
        },
        Condition::Passage { within: time, .. } => within(time, "a passage"),
        Condition::Never { .. } => Need::Trace("every moment"),
        Condition::Falls { every, .. } => within(every, "a fall"),
        Condition::Reduction { .. } => Need::Trace("a reduction"),
        Condition::Growth { .. } => Need::Trace("growth"),
        Condition::Equivalent { .. } => Need::Trace("an equivalent time"),
        Condition::DegreeHours { .. } => Need::Trace("a sum of degrees over time"),
        Condition::Reaches { .. }
        | Condition::Answers(_)
        | Condition::AnyRow { .. }
        | Condition::ChosenRow { .. }
        | Condition::Lasts { .. }
        | Condition::Order { .. }
        | Condition::Counted { .. }
        | Condition::Events { .. }
        | Condition::Attributes { .. }
        | Condition::Absent { .. }
        | Condition::Sampled { .. }
        | Condition::Bands { .. }
        | Condition::Any(_)
        | Condition::Chosen { .. }
        | Condition::All(_) => Need::Readings,
    }
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in &plan.controls {
        for limit in &control.limits {
            for leaf in limit.leaves() {
                if let Some(parameter) = leaf.own_parameters().first()
                    && let Some((pace, monitor)) = slowest(plan, control, parameter)
                {
                    desk.findings.extend(match leaf {
                        Condition::AnyRow { parameter, table } | Condition::ChosenRow { parameter, table, .. } => {
                            let rows = super::compare::rows(plan, parameter, table);
                            let judged: Vec<_> = rows
                                .into_iter()
                                .map(|(row, guard)| (guard, judge(limit, &row, pace, monitor)))
                                .collect();
                            any_row(&judged)
                        }
                        _ => judge(limit, leaf, pace, monitor),
                    });
                    desk.findings.extend(slow(plan, control, limit, leaf));
                    desk.findings.extend(staged(plan, control, limit, leaf, pace));
                }
            }
        }
    }
}

/// A limit over time that has no stretch of time: it names no stage, and no step of its control has one.
fn staged(plan: &Plan, control: &Control, limit: &Limit, leaf: &Condition, pace: Pace) -> Option<Finding> {
    let over_time = !matches!(need(leaf), Need::Readings) || matches!(leaf, Condition::Reaches { .. });
    let named = !limit.stages().is_empty() || limit.shape.run_of().is_some() || limit.counts_from().is_some();
    if !over_time || named || matches!(pace, Pace::Single) || control.at.is_empty() {
        return None;
    }
    let mut steps = control.at.iter().filter_map(|step| plan.step(&step.text)).peekable();
    let first = *steps.peek()?;
    if steps.flat_map(|step| &step.stages).any(|stage| stage.ends_when().is_none()) {
        return None;
    }
    let name = &first.name;
    Some(
        Finding::at(
            &NO_STAGE,
            limit.condition_loc,
            format!("`{}` is judged over time, and `{name}` has no stage: no record will ever show it", limit.name),
        )
        .also(name.loc, "the step")
        .help(format!(
            "add `stage {name}-time from {name}-start to {name}-end` to the step, and `event {name}-start on RECORD` and \
             `event {name}-end on RECORD`: the record that holds when a lot came and went"
        )),
    )
}

/// An instrument that reads what a condition asks for, and follows it more slowly than the time that counts.
///
/// Of a table, only where it is too slow for every row that has a time: a slow probe may still show a longer row.
fn slow(plan: &Plan, control: &Control, limit: &Limit, leaf: &Condition) -> Option<Finding> {
    let rows = match leaf {
        Condition::AnyRow { parameter, table } | Condition::ChosenRow { parameter, table, .. } => {
            super::compare::rows(plan, parameter, table).into_iter().map(|(row, _)| row).collect()
        }
        _ => vec![leaf.clone()],
    };
    let times = rows.iter().filter_map(|row| match need(row) {
        Need::Within(time, what) if time > 0 => Some((time, what)),
        _ => None,
    });
    let (time, what) = times.max_by_key(|(time, _)| *time)?;
    let parameter = *leaf.own_parameters().first()?;
    let read = match plan.parameter(&parameter.text) {
        Some(declared) if control.monitor_of(&parameter.text).is_none() => {
            plan.rests_on(declared, &|name| control.monitor_of(&name.text).is_some())
        }
        _ => vec![parameter],
    };
    let instruments = read.into_iter().flat_map(|input| {
        let using = control.monitor_of(&input.text).into_iter().flat_map(|monitor| &monitor.using);
        using.filter_map(|name| plan.instrument(&name.text)).filter(move |one| one.measures.contains(input))
    });
    let slowest = instruments.filter_map(|one| Some((one, one.response.as_ref()?)));
    let (instrument, response) = slowest.max_by_key(|(_, response)| response.nanoseconds())?;
    if response.nanoseconds()? <= time {
        return None;
    }
    Some(
        Finding::at(
            &SLOW_INSTRUMENT,
            limit.condition_loc,
            format!(
                "`{}` asks for {what} of {}, and `{}` takes {} to follow",
                limit.name,
                show_duration(time),
                instrument.name,
                response.shown()
            ),
        )
        .also(response.loc, "how long it takes to follow")
        .help("what it shows lags behind by more than the time that counts: read with a quicker instrument"),
    )
}

/// The facts on which a row hangs, and what is said of it.
type JudgedRow = (Vec<FactTest>, Option<Finding>);

/// What is said of a table: nothing where each lot has a row that can be shown, else of the row that comes nearest.
///
/// A lot has the rows that hang on its facts, and those that hang on none.
fn any_row(rows: &[JudgedRow]) -> Option<Finding> {
    rows.iter().find_map(|(guard, _)| {
        let mut mine = rows.iter().filter(|(other, _)| other.is_empty() || other == guard).map(|(_, found)| found);
        let first = mine.clone().flatten().next()?;
        if mine.clone().any(Option::is_none) {
            return None;
        }
        Some(
            mine.find_map(|found| found.as_ref().filter(|one| one.rule.code == HARDLY_SHOWN.code))
                .unwrap_or(first)
                .clone(),
        )
    })
}

fn judge(limit: &Limit, leaf: &Condition, pace: Pace, monitor: &Monitor) -> Option<Finding> {
    let cannot = |message: String| {
        Finding::at(&NEVER_SHOWN, limit.condition_loc, message).also(monitor.often.loc, "the monitoring")
    };
    let interval = match (pace, need(leaf)) {
        (_, Need::Readings) | (Pace::Unknown, _) => return None,
        (Pace::Single, Need::Trace("every moment")) => {
            return Some(
                cannot(format!("`{}` holds for every moment, and single checks show none but their own", limit.name))
                    .help("add `in every sample` to the limit if single checks are meant, or monitor `every …` or `continuously`"),
            );
        }
        (Pace::Single, Need::Trace(what) | Need::Within(_, what)) => {
            return Some(
                cannot(format!("`{}` asks for {what}, and single checks cannot show one", limit.name))
                    .help("monitor `continuously step …`, or set a limit that single checks can show"),
            );
        }
        (Pace::Every(interval), _) => interval,
    };
    if let Some(gap) = &limit.credit_gap
        && let Some(time) = gap.nanoseconds()
        && time < interval
    {
        return Some(
            Finding::at(
                &CREDIT_GAP_TOO_SHORT,
                gap.loc,
                format!(
                    "the credit gap of `{}` is shorter than its monitoring, every {}",
                    limit.name,
                    show_duration(interval)
                ),
            )
            .also(monitor.often.loc, "the monitoring")
            .help("no two readings would be joined: write a longer gap, or monitor more often"),
        );
    }
    let Need::Within(time, what) = need(leaf) else { return None };
    if time <= 0 {
        return None;
    }
    if interval > time || (interval == time && what == "a passage") {
        return Some(
            cannot(format!(
                "`{}` asks for {what} of {}, which a reading every {} cannot show",
                limit.name,
                show_duration(time),
                show_duration(interval)
            ))
            .help(format!("monitor at least every {}", show_duration(time / 4))),
        );
    }
    (interval > time / 4).then(|| {
        Finding::at(
            &HARDLY_SHOWN,
            limit.condition_loc,
            format!(
                "`{}` asks for {what} of {}, which a reading every {} can hardly ever show",
                limit.name,
                show_duration(time),
                show_duration(interval)
            ),
        )
        .also(monitor.often.loc, "the monitoring")
        .help(format!(
            "where the readings fall decides the verdict; monitor at least every {}",
            show_duration(time / 4)
        ))
    })
}
