//! Sums and clocks that start anew when another limit has been met again.
//!
//! A *reset* is an instant at which a value has been held long enough. What counts is the largest sum between two
//! resets. A reset that surely happened cuts both ends of the interval; one that only possibly happened cuts *least*
//! alone. A value that goes back over a line resets nothing.

use super::condition::Condition;
use super::fold::{judge, judge_telling};
use super::form::Form;
use super::outcome::{End, Extent, Outcome, Reason, Span};
use super::row::{Bounds, Row, Sampling, Window};
use super::steps::{Silent, Step, Tally};
use super::weave::{Mark, Piece, Sink, Weave};
use crate::verdict::Verdict;

/// The instants at which a limit stands met, as closed spans in order of time that do not touch.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Resets {
    /// In every history that the record allows.
    pub certain: Vec<Span>,
    /// In some history that the record allows.
    pub possible: Vec<Span>,
}

impl Resets {
    /// Those of either of two limits, where one of them is enough.
    #[must_use]
    pub fn or(self, other: Resets) -> Resets {
        let both = |a: Vec<Span>, b: Vec<Span>| merged(a.into_iter().chain(b).collect());
        Resets { certain: both(self.certain, other.certain), possible: both(self.possible, other.possible) }
    }

    /// The same where it is open whether the limit counts at all: none of them is certain.
    #[must_use]
    pub fn perhaps(self) -> Resets {
        Resets { certain: Vec::new(), ..self }
    }
}

fn merged(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_by_key(|span| (span.from, span.to));
    let mut out: Vec<Span> = Vec::new();
    for span in spans {
        match out.last_mut() {
            Some(last) if span.from <= last.to => last.to = last.to.max(span.to),
            _ => out.push(span),
        }
    }
    out
}

/// A chain of neighbouring pieces and readings in the condition, and the instants at which it is long enough.
#[derive(Debug)]
struct Chain {
    held: i64,
    open: Option<Span>,
    found: Vec<Span>,
}

impl Chain {
    fn extend(&mut self, from: i64, to: i64) {
        match &mut self.open {
            Some(span) => span.to = to,
            none => *none = Some(Span { from, to }),
        }
    }

    fn close(&mut self) {
        if let Some(span) = self.open.take()
            && span.length() >= self.held
        {
            self.found.push(Span { from: span.from.saturating_add(self.held), to: span.to });
        }
    }
}

/// Certain chains of the surest window, possible chains of the widest.
#[derive(Debug)]
struct ResetScan {
    condition: Condition,
    certain: Chain,
    possible: Chain,
}

impl Sink for ResetScan {
    fn piece(&mut self, _: &Bounds, piece: &Piece) {
        let Some((from, to)) = piece.outer else { return };
        match piece.core {
            Some((from, to)) if piece.joined && self.condition.certainly(piece.lo, piece.hi) => {
                self.certain.extend(from, to);
            }
            _ => self.certain.close(),
        }
        if !piece.joined || self.condition.possibly(piece.lo, piece.hi) {
            self.possible.extend(from, to);
        } else {
            self.possible.close();
        }
    }

    fn reading(&mut self, bounds: &Bounds, mark: &Mark) {
        if !mark.void && self.condition.certainly(mark.lo, mark.hi) && bounds.holds(mark.at) {
            self.certain.extend(mark.at, mark.at);
        } else {
            self.certain.close();
        }
        if mark.void || self.condition.possibly(mark.lo, mark.hi) {
            self.possible.extend(mark.at, mark.at);
        } else {
            self.possible.close();
        }
    }

    fn tally(&self) -> Tally {
        Tally::Clock { start: (None, None), stop: (None, None) }
    }
}

/// The instants at which a value has been in a condition for so long without a break, inside a window. Nought means
/// each instant in it. Time that no joined readings cover may have been anything.
#[must_use]
pub fn resets(
    condition: Condition,
    held: i64,
    window: Window,
    sampling: Sampling,
    rows: impl IntoIterator<Item = Row>,
) -> Resets {
    let chain = || Chain { held: held.max(0), open: None, found: Vec::new() };
    let mut scan = ResetScan { condition, certain: chain(), possible: chain() };
    let mut weave: Weave<Silent> = Weave::new(Bounds::new(window), sampling);
    for row in rows {
        weave.push(row, &mut scan);
    }
    weave.finish(&mut scan);
    scan.certain.close();
    scan.possible.close();
    let sound = weave.bounds.sound && !weave.disordered;
    Resets {
        certain: if sound { merged(scan.certain.found) } else { Vec::new() },
        possible: merged(scan.possible.found),
    }
}

/// One stretch between two resets, judged by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// The stretch.
    pub window: Window,
    /// What was found in it.
    pub outcome: Outcome,
    /// How, step by step.
    pub steps: Vec<Step>,
}

/// The answer for a sum or clock that is reset.
#[derive(Debug, Clone, PartialEq)]
pub struct Restarted {
    /// The answer: the largest stretch decides.
    pub outcome: Outcome,
    /// The stretches between possible resets, which give *least*.
    pub least: Vec<Leg>,
    /// The stretches between certain resets, which give *most*.
    pub most: Vec<Leg>,
}

/// Judges a sum or a clock at most over the stretches between resets. `telling` keeps the steps of each.
///
/// The form is a total time, a growth, a sum above a base at most, or a passage.
#[must_use]
pub fn judge_restarting(
    form: Form<'_>,
    window: Window,
    sampling: Sampling,
    rows: &[Row],
    resets: &Resets,
    telling: bool,
) -> Restarted {
    let run = |form: Form<'_>, window: Window, rows: &[Row]| {
        if telling {
            judge_telling(form, window, sampling, rows.iter().copied())
        } else {
            (judge(form, window, sampling, rows.iter().copied()), Vec::new())
        }
    };
    let (mut outcome, steps) = run(form, window, rows);
    let nothing = matches!(outcome.reason, Some(Reason::NothingToJudge | Reason::Contradiction));
    if nothing || resets.possible.is_empty() {
        let leg = Leg { window, outcome: outcome.clone(), steps };
        return Restarted { outcome, least: vec![leg.clone()], most: vec![leg] };
    }
    let leg = |clock: Clock| {
        let (mut outcome, steps) = match form {
            Form::Passage { before, arrived, within } => {
                // However long it takes: what it comes to is settled with the resets at both ends.
                let form = Form::Passage { before, arrived, within: i64::MAX };
                let bearing = if clock.anew { near(rows, clock.window) } else { rows };
                let (mut outcome, steps) = run(form, clock.window, bearing);
                clock.settle(&mut outcome, within);
                (outcome, steps)
            }
            _ => run(form, clock.window, near(rows, clock.window)),
        };
        outcome.witness.trapezoid = None;
        Leg { window: clock.window, outcome, steps }
    };
    let (least, most) = match form {
        Form::Passage { .. } => clocks(window, resets),
        _ => (between(window, &resets.possible), between(window, &resets.certain)),
    };
    let least: Vec<Leg> = least.into_iter().map(leg).collect();
    let most: Vec<Leg> = most.into_iter().map(leg).collect();
    let all = most.iter().all(|leg| leg.outcome.verdict == Verdict::Met);
    let any = least.iter().any(|leg| leg.outcome.verdict == Verdict::NotMet);
    outcome.verdict = match (all, any) {
        (true, _) => Verdict::Met,
        (false, true) => Verdict::NotMet,
        (false, false) => Verdict::NotShown,
    };
    let open = most.iter().find(|leg| leg.outcome.verdict != Verdict::Met);
    outcome.reason = (outcome.verdict == Verdict::NotShown)
        .then(|| open.and_then(|leg| leg.outcome.reason).unwrap_or(Reason::Undecided));
    outcome.extent = Extent {
        kind: outcome.extent.kind,
        least: largest(least.iter().map(|leg| leg.outcome.extent.least)),
        most: largest(most.iter().map(|leg| leg.outcome.extent.most)),
    };
    // One pair of instants says nothing of several clocks, and a sum of all stretches was never compared.
    let witness = &mut outcome.witness;
    (witness.clock_start, witness.clock_stop, witness.trapezoid) = (None, None, None);
    (witness.credited, witness.possible) = (None, None);
    (witness.longest_certain, witness.longest_possible) = (None, None);
    Restarted { outcome, least, most }
}

/// One stretch, and which of its ends are resets.
#[derive(Debug, Clone, Copy)]
struct Clock {
    window: Window,
    /// A reset stands at its start: the last instant of the reset belongs to it.
    anew: bool,
    /// A reset stands at its end and stops the clock.
    stops: bool,
}

impl Clock {
    /// From what the passage shows of both ends to the time between them. The clock does not start before the reset
    /// that it starts at, and stops at the reset that ends it.
    fn settle(&self, outcome: &mut Outcome, within: i64) {
        let (s1, s2) = if self.anew { self.window.start } else { (i64::MIN, i64::MIN) };
        let end = self.window.end.map_or(i64::MAX, |(_, end)| end);
        let start = outcome.witness.clock_start.map(|span| (span.from.max(s1), span.to.max(s2)));
        let stop = outcome.witness.clock_stop;
        let least = match start {
            Some((_, last)) if last < i64::MAX => stop.map_or(end, |span| span.from).saturating_sub(last).max(0),
            _ => 0,
        };
        // A clock that a reset starts needs no reading to show its start: the last instant of the reset is one.
        if self.anew && outcome.reason == Some(Reason::StartNotShown) {
            outcome.reason = None;
        }
        let silent =
            matches!(outcome.reason, Some(Reason::StartNotShown | Reason::NothingToJudge | Reason::Contradiction));
        let arrived = stop.map(|span| span.to).filter(|last| *last < i64::MAX);
        let most = match (silent, start, arrived) {
            (true, ..) => None,
            (_, Some((first, _)), Some(last)) => Some(last.saturating_sub(first).max(0)),
            (_, Some((first, _)), None) if self.stops => Some(end.saturating_sub(first).max(0)),
            (_, None, _) if self.stops => Some(0),
            _ => None,
        };
        outcome.extent.least = End::time(least);
        outcome.extent.most = most.map_or(End::UnboundedAbove, End::time);
        outcome.verdict = match most {
            Some(most) if most <= within => Verdict::Met,
            _ if !matches!(outcome.reason, Some(Reason::NothingToJudge | Reason::Contradiction)) && least > within => {
                Verdict::NotMet
            }
            _ => Verdict::NotShown,
        };
        outcome.reason = match outcome.verdict {
            Verdict::NotShown => Some(outcome.reason.unwrap_or(Reason::Undecided)),
            _ => None,
        };
    }
}

/// The rows in a window, out to the next reading on each side with all rows of its instant.
fn near(rows: &[Row], window: Window) -> &[Row] {
    let inside = rows.partition_point(|row| row.at < window.start.0);
    let before = rows.get(..inside).unwrap_or(&[]);
    let first = before.iter().rev().find(|row| !row.is_broken()).map_or(i64::MIN, |row| row.at);
    let from = before.partition_point(|row| row.at < first);
    let end = window.end.map_or(i64::MAX, |(_, end)| end);
    let outside = rows.partition_point(|row| row.at <= end);
    let after = rows.get(outside..).unwrap_or(&[]);
    let last = after.iter().find(|row| !row.is_broken()).map_or(i64::MAX, |row| row.at);
    let to = outside + after.partition_point(|row| row.at <= last);
    rows.get(from..to).unwrap_or(rows)
}

/// The largest of some ends; of none, nought: every moment of the window is a reset.
fn largest(ends: impl Iterator<Item = End>) -> End {
    let rank = |end: &End| match end {
        End::Nothing => f64::NEG_INFINITY,
        End::UnboundedBelow => -1.0,
        End::Closed(value) | End::Open(value) => *value,
        End::UnboundedAbove => f64::INFINITY,
    };
    ends.max_by(|a, b| rank(a).total_cmp(&rank(b))).unwrap_or(End::Closed(0.0))
}

/// A window cut to a stretch of time.
fn cut(window: Window, from: i64, to: i64) -> Window {
    let inside = |at: i64| at.clamp(from, to.max(from));
    let (s1, s2) = window.start;
    let (e1, e2) = window.end.unwrap_or((s1, i64::MAX));
    let end = (inside(e1), inside(e2));
    Window { start: (inside(s1), inside(s2)), end: (end.1 != i64::MAX).then_some(end) }
}

/// The parts of a window outside these spans: what a sum runs over from one reset to the next.
fn between(window: Window, spans: &[Span]) -> Vec<Clock> {
    let (first, last) = (window.start.0, window.end.map_or(i64::MAX, |(_, end)| end));
    let part = |from: i64, to: i64| Clock { window: cut(window, from, to), anew: from != first, stops: to != last };
    let mut out = Vec::new();
    let mut from = first;
    for span in spans.iter().filter(|span| span.to >= first && span.from <= last) {
        if span.from > from {
            out.push(part(from, span.from));
        }
        from = from.max(span.to);
    }
    if from < last {
        out.push(part(from, last));
    }
    out
}

/// The clocks of a passage. Each reset starts a new one and stops the one that runs, so that a possible reset may ask
/// for a further passage: it counts towards *most* from each possible reset to the next certain one. Towards *least*
/// it counts from each reset that surely happened, and from the start, to the next possible one.
fn clocks(window: Window, resets: &Resets) -> (Vec<Clock>, Vec<Clock>) {
    let (first, last) = (window.start.0, window.end.map_or(i64::MAX, |(_, end)| end));
    let inside = |span: &&Span| span.to >= first && span.from <= last;
    let possible: Vec<Span> = resets.possible.iter().filter(inside).copied().collect();
    let certain: Vec<Span> = resets.certain.iter().filter(inside).copied().collect();
    let clock = |start: (i64, i64), anew: bool, to: Option<i64>| match to {
        Some(to) => Clock { window: Window { start, end: Some((to, to)) }, anew, stops: true },
        None => Clock { window: Window { start, end: window.end }, anew, stops: false },
    };
    let next = |spans: &[Span], after: i64| spans.iter().map(|span| span.from).find(|from| *from > after);
    let mut least = vec![clock(window.start, false, possible.first().map(|span| span.from.max(window.start.1)))];
    let mut most = vec![clock(window.start, false, next(&certain, window.start.1))];
    for span in &possible {
        // A certain reset is a possible one, so that its span lies in one of these.
        if let Some(one) = certain.iter().rev().find(|one| span.from <= one.to && one.from <= span.to) {
            least.push(clock((one.to.min(span.to), span.to), true, next(&possible, span.to)));
        }
        most.push(clock((span.from, span.to), true, next(&certain, span.to)));
    }
    (least, most)
}
