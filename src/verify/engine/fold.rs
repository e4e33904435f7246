//! The judge: rows in, one after another, and the outcome at the end.

use super::bound::BoundFold;
use super::fall::FallFold;
use super::form::Form;
use super::outcome::{Capped, Extent, Outcome, Reason, Stretch};
use super::passage::{PassageFold, ReachFold};
use super::row::{Bounds, Row, Sampling, Window};
use super::share::{ShareFold, Wanted};
use super::steps::{Silent, Step, Tape};
use super::sum::{Rule, SumFold};
use super::time::{Test, TimeFold};
use super::weave::{Answers, Weave};
use crate::verdict::Verdict;

/// What a form answers at the end; the shared evidence is added to it.
#[derive(Debug)]
pub(super) struct Answer {
    pub verdict: Verdict,
    pub reason: Option<Reason>,
    pub extent: Extent,
    pub lower: Option<Extent>,
    pub breaks: Capped<Stretch>,
}

impl Answer {
    pub fn new(verdict: Verdict, extent: Extent) -> Self {
        Self { verdict, reason: None, extent, lower: None, breaks: Capped::default() }
    }
}

#[derive(Debug)]
enum Fold<'a> {
    Bound(BoundFold),
    Time(TimeFold),
    Share(ShareFold),
    Passage(PassageFold),
    Reach(ReachFold),
    Fall(FallFold),
    Sum(SumFold<'a>),
}

impl<'a> Fold<'a> {
    fn new(form: Form<'a>, bounds: Bounds) -> Self {
        match form {
            Form::Bound(condition) => Fold::Bound(BoundFold::new(condition)),
            Form::Never(condition) => Fold::Time(TimeFold::new(condition, Test::Never)),
            Form::Held { condition, at_least } => Fold::Time(TimeFold::new(condition, Test::StretchAtLeast(at_least))),
            Form::TotalAtLeast { condition, at_least } => {
                Fold::Time(TimeFold::new(condition, Test::TotalAtLeast(at_least)))
            }
            Form::TotalAtMost { condition, at_most } => {
                Fold::Time(TimeFold::new(condition, Test::TotalAtMost(at_most)))
            }
            Form::StretchAtMost { condition, at_most } => {
                Fold::Time(TimeFold::new(condition, Test::StretchAtMost(at_most)))
            }
            Form::ShareAtLeast { condition, share, strict } => {
                Fold::Share(ShareFold::new(condition, (share, strict, Wanted::Least), bounds))
            }
            Form::ShareAtMost { condition, share, strict } => {
                Fold::Share(ShareFold::new(condition, (share, strict, Wanted::Most), bounds))
            }
            Form::Passage { before, arrived, within } => Fold::Passage(PassageFold::new(before, arrived, within)),
            Form::ReachesWithin { condition, within } => Fold::Reach(ReachFold::new(condition, within)),
            Form::FallsAtLeast { rises, strict, shown_by, denied_below, every } => {
                Fold::Fall(FallFold::new((rises, strict), shown_by, denied_below, every))
            }
            Form::Reduction { rates, at_least } => Fold::Sum(SumFold::new(Rule::Death(rates), at_least)),
            Form::GrowthAtMost { rates, at_most } => Fold::Sum(SumFold::new(Rule::Growth(rates), at_most)),
            Form::SumAboveAtMost { base_least, base_most, top, at_most } => {
                let rule = Rule::Above { least: base_least, most: base_most, top };
                Fold::Sum(SumFold::new(rule, at_most))
            }
        }
    }
}

/// Runs an expression with whichever fold there is, so that each form gets code of its own.
macro_rules! with {
    ($fold:expr, $name:ident => $run:expr) => {
        match $fold {
            Fold::Bound($name) => $run,
            Fold::Time($name) => $run,
            Fold::Share($name) => $run,
            Fold::Passage($name) => $run,
            Fold::Reach($name) => $run,
            Fold::Fall($name) => $run,
            Fold::Sum($name) => $run,
        }
    };
}

/// Judges one form over one trace and one window. Rows are pushed in time order.
///
/// Rows before the window are welcome: they cover its start and show where a passage began. Rows
/// after the window are read no further than the first reading past it.
#[derive(Debug)]
pub struct Judge<'a, T = Silent> {
    weave: Weave<T>,
    fold: Fold<'a>,
}

impl<'a> Judge<'a> {
    /// A judge that has seen nothing yet.
    #[must_use]
    pub fn new(form: Form<'a>, window: Window, sampling: Sampling) -> Self {
        Self::telling(form, window, sampling)
    }
}

impl<'a, T: Tape> Judge<'a, T> {
    /// A judge that tells its workings to a tape.
    fn telling(form: Form<'a>, window: Window, sampling: Sampling) -> Self {
        let bounds = Bounds::new(window);
        Self { weave: Weave::new(bounds, sampling), fold: Fold::new(form, bounds) }
    }

    /// The next row. Rows of one instant may come in any order; a row that steps back in time makes
    /// the record contradict itself.
    pub fn push(&mut self, row: Row) {
        let weave = &mut self.weave;
        with!(&mut self.fold, fold => weave.push(row, fold));
    }

    /// The outcome over the rows pushed.
    #[must_use]
    pub fn finish(self) -> Outcome {
        self.finish_telling().0
    }

    fn finish_telling(mut self) -> (Outcome, T) {
        let weave = &mut self.weave;
        with!(&mut self.fold, fold => weave.finish(fold));
        let bounds = weave.bounds;
        let contradiction = !bounds.sound || weave.disordered;
        let judged = weave.judged && !contradiction;
        let mut witness = std::mem::take(&mut weave.witness);
        let answer = with!(&mut self.fold, fold => fold.finish(judged, &bounds, &mut witness));
        let Answer { mut verdict, reason, extent, lower, breaks } = answer;
        if !judged {
            verdict = Verdict::NotShown;
        }
        let tape = std::mem::take(&mut weave.tape);
        let outcome = Outcome {
            verdict,
            reason: (verdict == Verdict::NotShown).then_some(if contradiction {
                Reason::Contradiction
            } else if judged {
                reason.unwrap_or(if bounds.endless() { Reason::NoEnd } else { Reason::Undecided })
            } else {
                Reason::NothingToJudge
            }),
            extent,
            lower,
            witness,
            breaks,
        };
        (outcome, tape)
    }
}

/// Judges one form over rows in time order.
pub fn judge(form: Form<'_>, window: Window, sampling: Sampling, rows: impl IntoIterator<Item = Row>) -> Outcome {
    let mut judge = Judge::new(form, window, sampling);
    for row in rows {
        judge.push(row);
    }
    judge.finish()
}

/// Judges as [`judge`] does, with the same code, and tells every step of it.
#[must_use]
pub fn judge_telling(
    form: Form<'_>,
    window: Window,
    sampling: Sampling,
    rows: impl IntoIterator<Item = Row>,
) -> (Outcome, Vec<Step>) {
    let mut judge = Judge::<Vec<Step>>::telling(form, window, sampling);
    for row in rows {
        judge.push(row);
    }
    judge.finish_telling()
}
