//! Rows to pieces: what lies between two readings, and how the window cuts it.

use super::fold::Answer;
use super::outcome::{EdgeUse, Point, Span, Witness};
use super::row::{Bounds, Row, Sampling};
use super::steps::{Cover, Step, Tally, Tape};

/// A reading, or one of the two ends of time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    pub at: i64,
    pub lo: f64,
    pub hi: f64,
    /// Shows nothing: a breaking row stands at the same instant, or this is an end of time.
    pub void: bool,
}

impl Mark {
    fn end_of_time(at: i64) -> Self {
        Self { at, lo: f64::NEG_INFINITY, hi: f64::INFINITY, void: true }
    }
}

/// What lies between two neighbouring readings, both excluded.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub first: Mark,
    pub second: Mark,
    pub joined: bool,
    pub lo: f64,
    pub hi: f64,
    /// The part that may lie in the window.
    pub outer: Option<(i64, i64)>,
    /// The part that lies in the window for certain.
    pub core: Option<(i64, i64)>,
    /// For a short uncovered edge, the hull of its nearest reading.
    pub near: Option<(f64, f64)>,
    /// Whether the near hull stands for the start of the window.
    pub at_start: bool,
}

/// A form's fold. It takes pieces and readings in time order: piece, reading, piece, … , piece.
pub(super) trait Sink {
    /// Whether it also takes readings that stand before the window.
    const BEFORE_WINDOW: bool = false;
    fn piece(&mut self, bounds: &Bounds, piece: &Piece);
    fn reading(&mut self, bounds: &Bounds, mark: &Mark);
    /// What is added up so far, for the workings.
    fn tally(&self) -> Tally;
}

/// A fold that answers for a form.
pub(super) trait Answers: Sink {
    /// The answer, and what the form adds to the evidence.
    fn finish(&mut self, judged: bool, bounds: &Bounds, witness: &mut Witness) -> Answer;
}

#[derive(Debug, Clone, Copy)]
struct Pending {
    at: i64,
    lo: f64,
    hi: f64,
    reading: bool,
    broken: bool,
}

/// The fold from rows to pieces, and the evidence that every form shares.
#[derive(Debug)]
pub(super) struct Weave<T> {
    pub bounds: Bounds,
    sampling: Sampling,
    pending: Option<Pending>,
    last: Mark,
    breaks: Option<(i64, i64)>,
    done: bool,
    /// Rows stepped back in time.
    pub disordered: bool,
    /// Some reading of the window, or a joined piece across it, shows something.
    pub judged: bool,
    pub witness: Witness,
    pub tape: T,
}

impl<T: Tape> Weave<T> {
    pub fn new(bounds: Bounds, sampling: Sampling) -> Self {
        Self {
            bounds,
            sampling,
            pending: None,
            last: Mark::end_of_time(i64::MIN),
            breaks: None,
            done: false,
            disordered: false,
            judged: false,
            witness: Witness::default(),
            tape: T::default(),
        }
    }

    #[inline]
    pub fn push<S: Sink>(&mut self, row: Row, sink: &mut S) {
        let broken = row.is_broken();
        if let Some(pending) = &mut self.pending {
            if row.at == pending.at {
                if broken {
                    pending.broken = true;
                } else if pending.reading {
                    pending.lo = pending.lo.min(row.lo);
                    pending.hi = pending.hi.max(row.hi);
                } else {
                    (pending.lo, pending.hi, pending.reading) = (row.lo, row.hi, true);
                }
                return;
            }
            if row.at < pending.at {
                self.disordered = true;
                return;
            }
            let settled = *pending;
            self.settle(settled, sink);
        }
        self.pending = Some(Pending { at: row.at, lo: row.lo, hi: row.hi, reading: !broken, broken });
    }

    pub fn finish<S: Sink>(&mut self, sink: &mut S) {
        if let Some(pending) = self.pending.take() {
            self.settle(pending, sink);
        }
        if !self.done {
            self.between(Mark::end_of_time(i64::MAX), sink);
        }
    }

    #[inline]
    fn settle<S: Sink>(&mut self, row: Pending, sink: &mut S) {
        if self.done {
            return;
        }
        if row.broken && self.bounds.may_hold(row.at) {
            self.witness.broken += 1;
        }
        if !row.reading {
            self.breaks = Some((self.breaks.map_or(row.at, |(first, _)| first), row.at));
            return;
        }
        let mark = if row.broken {
            Mark { at: row.at, ..Mark::end_of_time(row.at) }
        } else {
            Mark { at: row.at, lo: row.lo, hi: row.hi, void: false }
        };
        self.between(mark, sink);
        let inside = self.bounds.may_hold(mark.at);
        if inside {
            self.note(&mark);
        }
        if mark.at > self.bounds.e2 {
            self.done = true;
            return;
        }
        if inside || S::BEFORE_WINDOW {
            let before = T::ON.then(|| sink.tally());
            sink.reading(&self.bounds, &mark);
            if let Some(before) = before {
                let cover = if mark.void { Cover::Anything } else { Cover::Shown };
                let place = inside.then_some(Span { from: mark.at, to: mark.at });
                let Mark { at, lo, hi, .. } = mark;
                let core = place.filter(|_| self.bounds.holds(at));
                self.tape.take(Step {
                    from: at,
                    to: at,
                    lo,
                    hi,
                    cover,
                    outer: place,
                    core,
                    before,
                    after: sink.tally(),
                });
            }
        }
        self.last = mark;
        self.breaks = None;
    }

    #[inline]
    fn between<S: Sink>(&mut self, next: Mark, sink: &mut S) {
        let first = self.last;
        let outer = self.bounds.outer(first.at, next.at);
        let joined = !first.void
            && !next.void
            && self.breaks.is_none()
            && next.at.saturating_sub(first.at) <= self.sampling.credit_gap;
        let (lo, hi) =
            if joined { (first.lo.min(next.lo), first.hi.max(next.hi)) } else { (f64::NEG_INFINITY, f64::INFINITY) };
        let mut piece = Piece {
            first,
            second: next,
            joined,
            lo,
            hi,
            outer,
            core: self.bounds.core(first.at, next.at),
            near: None,
            at_start: false,
        };
        if let Some(part) = outer {
            if joined {
                self.cover(&piece, part);
            } else {
                self.gap(&mut piece, part);
            }
        }
        let before = T::ON.then(|| sink.tally());
        sink.piece(&self.bounds, &piece);
        if let Some(before) = before.filter(|_| piece.outer.is_some() || S::BEFORE_WINDOW) {
            self.tape.take(told(&piece, before, sink.tally()));
        }
    }

    #[inline]
    fn cover(&mut self, piece: &Piece, (from, to): (i64, i64)) {
        self.judged = true;
        let witness = &mut self.witness;
        witness.joined = witness.joined.saturating_add(to.saturating_sub(from));
        witness.longest_step = witness.longest_step.max(piece.second.at.saturating_sub(piece.first.at));
        if piece.first.at < self.bounds.s1 {
            use_reading(witness, piece.first.at);
        }
        if piece.second.at > self.bounds.e2 {
            use_reading(witness, piece.second.at);
        }
    }

    #[cold]
    fn gap(&mut self, piece: &mut Piece, (from, to): (i64, i64)) {
        let Bounds { s1, e2, .. } = self.bounds;
        let length = to.saturating_sub(from);
        let at_start = piece.first.at < s1;
        let at_end = piece.second.at > e2 || (self.bounds.endless() && piece.second.at == i64::MAX);
        let holds_break = match (self.breaks, at_start) {
            (None, _) => false,
            (Some((_, last)), true) => last >= s1,
            (Some((first, _)), false) => first <= e2,
        };
        let short = at_start != at_end && !self.bounds.endless_edge(at_end) && length <= self.sampling.edge_allowance;
        let (near, far) = if at_start { (piece.second, piece.first) } else { (piece.first, piece.second) };
        let edge = if at_start { s1 } else { e2 };
        if short && !holds_break && !near.void {
            let nearer = !far.void && far.at.abs_diff(edge) < near.at.abs_diff(edge);
            piece.near = Some(if nearer { (near.lo.min(far.lo), near.hi.max(far.hi)) } else { (near.lo, near.hi) });
            piece.at_start = at_start;
        }
        if length > 0 {
            let covered = if piece.near.is_some() {
                EdgeUse::Nearest(length)
            } else {
                EdgeUse::Missing(if to == i64::MAX { i64::MAX } else { length })
            };
            if at_start {
                self.witness.start_edge = covered;
            }
            if at_end {
                self.witness.end_edge = covered;
            }
            self.witness.missing = self.witness.missing.saturating_add(length);
            self.witness.longest_gap = self.witness.longest_gap.max(if to == i64::MAX { to } else { length });
            self.witness.gaps.add(Span { from, to });
        }
    }

    #[inline]
    fn note(&mut self, mark: &Mark) {
        if mark.void {
            return;
        }
        self.judged = true;
        let witness = &mut self.witness;
        use_reading(witness, mark.at);
        witness.inside += 1;
        witness.sum += mark.lo.midpoint(mark.hi);
        witness.spreads += u64::from(mark.lo < mark.hi);
        if witness.lowest.is_none_or(|point| mark.lo < point.value) {
            witness.lowest = Some(Point { at: mark.at, value: mark.lo });
        }
        if witness.highest.is_none_or(|point| mark.hi > point.value) {
            witness.highest = Some(Point { at: mark.at, value: mark.hi });
        }
    }
}

/// A piece as a step of the workings.
fn told(piece: &Piece, before: Tally, after: Tally) -> Step {
    let (cover, (lo, hi)) = match piece.near {
        _ if piece.joined => (Cover::Shown, (piece.lo, piece.hi)),
        Some(near) => (Cover::Nearest, near),
        None => (Cover::Anything, (piece.lo, piece.hi)),
    };
    let span = |(from, to)| Span { from, to };
    let (from, to) = (piece.first.at, piece.second.at);
    Step { from, to, lo, hi, cover, outer: piece.outer.map(span), core: piece.core.map(span), before, after }
}

impl Bounds {
    fn endless_edge(&self, at_end: bool) -> bool {
        at_end && self.endless()
    }
}

fn use_reading(witness: &mut Witness, at: i64) {
    witness.readings += 1;
    match &mut witness.used {
        Some(span) => span.to = at,
        none => *none = Some(Span { from: at, to: at }),
    }
}
