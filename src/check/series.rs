//! Rules over successive lots or samples.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Condition, Control, Limit, Over, Series, SeriesOf};

crate::rules! {
    /// A series that no run of lots could miss, or that is no series.
    ///
    /// Where as many may miss the limit as are in a run, the rule says nothing; a run of one is a limit of the lot.
    SENSELESS_SERIES = "L261" "senseless-series" Error;
    /// A series begins on a day, and the plan does not say why.
    ///
    /// What was found before that day is no longer counted. After a series that was not met it may begin anew once the
    /// control was shown to work again; the reason is what an inspector asks for.
    UNEXPLAINED_START = "L262" "unexplained-start" Warning;
    /// A series of samples on a limit that is not judged on samples.
    ///
    /// Only a result of a sample stands by itself; a trace or a check belongs to its lot.
    NO_SAMPLES = "L263" "series-without-samples" Error;
    /// A series of lots on a limit that is not looked at in every lot.
    ///
    /// A lot without a result may have missed the limit, so that the series is hardly ever shown. Where one sample stands
    /// for several lots the trade counts tests, not lots.
    SPARSE_SERIES = "L264" "sparse-series" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for (control, series) in
        plan.controls.iter().flat_map(|control| control.series.iter().map(move |series| (control, series)))
    {
        counts(desk, series);
        begins(desk, series);
        if let Some(limit) = control.limits.iter().find(|limit| limit.name == series.limit) {
            samples(desk, series, limit);
            sparse(desk, control, series, limit);
        }
    }
}

fn counts(desk: &mut Desk<'_>, series: &Series) {
    let what = series.what.word();
    if series.of < 2 {
        let message = format!("the series `{}` is of {}", series.name, series.what.count(size(series.of)));
        let finding = Finding::at(&SENSELESS_SERIES, series.counts_loc, message);
        desk.say(finding.help("a series has at least 2; a limit of one lot is a limit"));
    } else if series.most >= series.of {
        let message = format!("at most {} of {} {what} is every one of them", series.most, series.of);
        let finding = Finding::at(&SENSELESS_SERIES, series.counts_loc, message);
        desk.say(finding.help("fewer may miss the limit than are in a run, as in `at most 1 of any 7 lots`"));
    }
}

fn size(count: u32) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
}

fn begins(desk: &mut Desk<'_>, series: &Series) {
    if let Some(Some(day)) = series.from
        && series.because.is_none()
    {
        let message = format!("the series `{}` counts from {day}, and nothing says why", series.name);
        desk.say(
            Finding::at(&UNEXPLAINED_START, series.loc, message)
                .help("add `because \"…\"`: first production, or what was shown before it began anew"),
        );
    }
}

fn samples(desk: &mut Desk<'_>, series: &Series, limit: &Limit) {
    let sampled = |condition: &Condition| {
        matches!(
            condition,
            Condition::Level { over: Over::Samples(_), .. }
                | Condition::Attributes { .. }
                | Condition::Absent { .. }
                | Condition::Sampled { .. }
                | Condition::Bands { .. }
        )
    };
    if series.what == SeriesOf::Samples && limit.condition.as_ref().is_some_and(|condition| !sampled(condition)) {
        desk.say(
            Finding::at(
                &NO_SAMPLES,
                series.limit.loc,
                format!("`{}` is not judged on samples, so there are none to count", series.limit),
            )
            .also(limit.condition_loc, "the limit")
            .help("count lots, or write the limit as `in every sample`, `n 1, c 0` or `absent in 25 g`"),
        );
    }
}

fn sparse(desk: &mut Desk<'_>, control: &Control, series: &Series, limit: &Limit) {
    if series.what != SeriesOf::Lots {
        return;
    }
    for name in limit.parameters() {
        let Some(monitor) = control.monitor_of(&name.text) else { continue };
        if monitor.often.spans_lots() {
            desk.say(
                Finding::at(
                    &SPARSE_SERIES,
                    series.counts_loc,
                    format!("`{name}` is looked at {}, and lots in between have no result", monitor.often),
                )
                .also(monitor.loc, "as monitored here")
                .help("count `samples`, or monitor it in each lot"),
            );
        }
    }
}
