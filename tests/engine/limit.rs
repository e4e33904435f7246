//! Limits in whole numbers: as the engine gets them, and what they are on a dense history.

use crate::anew::{largest, slowest};
use crate::measure::{Quantity, Truth, fall, passage, stretch, sum, total};
use crate::random::Random;
use crate::record::{Record, TICK};
use crate::truth::History;
use bourn::quantity::{Cut, Rational};
use bourn::verify::engine::{
    Band, Condition, DeathRates, Edge, Form, GrowthRates, Outcome, judge, judge_restarting, resets,
};

/// Half lines and bands: threshold and whether it is strict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    pub lower: Option<(i64, bool)>,
    pub upper: Option<(i64, bool)>,
}

impl Span {
    pub fn random(r: &mut Random) -> Self {
        let strict = r.one_in(3);
        let at = r.within(2, 10);
        match r.within(0, 4) {
            0 | 1 => Self { lower: Some((at, strict)), upper: None },
            2 | 3 => Self { lower: None, upper: Some((at, strict)) },
            _ => Self { lower: Some((at - r.within(1, 4), strict)), upper: Some((at + r.within(1, 3), r.one_in(3))) },
        }
    }

    pub fn holds(&self, value: i64) -> bool {
        self.lower.is_none_or(|(at, strict)| if strict { value > at } else { value >= at })
            && self.upper.is_none_or(|(at, strict)| if strict { value < at } else { value <= at })
    }

    /// The same span with each end moved outwards by so much.
    pub fn moved(&self, out: i64) -> Self {
        Self {
            lower: self.lower.map(|(at, strict)| (at - out, strict)),
            upper: self.upper.map(|(at, strict)| (at + out, strict)),
        }
    }

    fn band(&self) -> Band {
        let edge = |(at, strict): (i64, bool)| Edge { cut: Cut::new(Rational::whole(at)), strict };
        Band { lower: self.lower.map(edge), upper: self.upper.map(edge) }
    }

    fn condition(&self, accuracy: i64) -> Condition {
        Condition { certain: self.moved(-accuracy).band(), possible: self.moved(accuracy).band() }
    }
}

/// A rate per tick: nothing up to 3, then rising, flat from `flat` on.
pub fn death(value: i64, flat: i64) -> i64 {
    (value.min(flat) - 3).max(0)
}

/// A rate per tick with its peak of 4 at the value 7.
pub fn growth(value: i64) -> i64 {
    (4 - (value - 7).abs()).max(0)
}

#[derive(Debug)]
pub struct Rates {
    pub accuracy: i64,
    pub flat: i64,
    pub top_stated: bool,
}

impl DeathRates for Rates {
    fn low(&self, value: f64) -> f64 {
        death(value as i64 - self.accuracy, self.flat) as f64
    }
    fn high(&self, value: f64) -> f64 {
        death(value as i64 + self.accuracy, self.flat) as f64
    }
    fn top(&self) -> Option<f64> {
        self.top_stated.then_some((self.flat - 3) as f64)
    }
}

impl GrowthRates for Rates {
    fn lowest(&self, lo: f64, hi: f64) -> f64 {
        growth(lo as i64 - self.accuracy).min(growth(hi as i64 + self.accuracy)) as f64
    }
    fn highest(&self, lo: f64, hi: f64) -> f64 {
        (lo as i64 - self.accuracy..=hi as i64 + self.accuracy).map(growth).max().unwrap() as f64
    }
    fn optimum(&self) -> f64 {
        4.0
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    Bound(Span),
    Never(Span),
    Held(Span, i64),
    TotalAtLeast(Span, i64),
    TotalAtMost(Span, i64),
    StretchAtMost(Span, i64),
    Share(Span, i64, i64),
    /// A share that is allowed; the last says that the share itself is too much.
    ShareMost(Span, i64, i64, bool),
    Passage {
        before: Span,
        arrived: Span,
        within: i64,
    },
    Reach(Span, i64),
    Reduction {
        flat: i64,
        top_stated: bool,
        at_least: i64,
    },
    Growth(i64),
    Above {
        base: i64,
        top: bool,
        at_most: i64,
    },
    Falls {
        by: i64,
        every: i64,
        rises: bool,
        strict: bool,
    },
    /// A total at most, and what resets it.
    Anew(Span, i64, (Span, i64)),
    /// A passage with the same.
    PassageAnew {
        before: Span,
        arrived: Span,
        within: i64,
        reset: (Span, i64),
    },
}

pub const KINDS: usize = 16;

impl Limit {
    pub fn random(r: &mut Random, kind: usize) -> Self {
        let span = Span::random(r);
        match kind {
            0 => Limit::Bound(if r.one_in(2) { span.moved(r.within(0, 9)) } else { span }),
            1 => Limit::Never(span),
            2 => Limit::Held(span, r.within(0, 12)),
            3 => Limit::TotalAtLeast(span, r.within(0, 20)),
            4 => Limit::TotalAtMost(span, r.within(0, 20)),
            5 => Limit::StretchAtMost(span, r.within(0, 14)),
            6 => Limit::Share(span, r.within(1, 7), 7),
            7 => {
                let line = r.within(5, 10);
                let strict = r.one_in(3);
                let mut before = Span { lower: Some((line, strict)), upper: None };
                let mut arrived = Span { lower: None, upper: Some((line - r.within(1, 4), strict)) };
                if r.one_in(4) {
                    before = Span { lower: None, upper: Some((line - 3, strict)) };
                    arrived = Span { lower: Some((line, strict)), upper: None };
                }
                Limit::Passage { before, arrived, within: r.within(1, 30) }
            }
            8 => Limit::Reach(span, r.within(0, 20)),
            9 => Limit::Reduction { flat: r.within(6, 10), top_stated: !r.one_in(4), at_least: r.within(0, 120) },
            10 => Limit::Growth(r.within(0, 90)),
            11 => Limit::Above { base: r.within(2, 10), top: !r.one_in(4), at_most: r.within(0, 90) },
            12 => Limit::Falls { by: r.within(-6, 4), every: r.within(1, 12), rises: r.one_in(3), strict: r.one_in(3) },
            13 => Limit::Anew(span, r.within(0, 16), (Span::random(r), r.within(0, 6))),
            14 => {
                let line = r.within(6, 10);
                let before = Span { lower: Some((line, false)), upper: None };
                let arrived = Span { lower: None, upper: Some((line - r.within(1, 4), false)) };
                let within = r.within(1, 16);
                let hot =
                    Span { lower: before.lower.map(|(at, strict)| (at + r.within(0, 2), strict)), upper: before.upper };
                let reset = if r.one_in(5) { Span::random(r) } else { hot };
                Limit::PassageAnew { before, arrived, within, reset: (reset, r.within(2, 9)) }
            }
            _ => Limit::ShareMost(span, r.within(1, 6), 7, r.one_in(3)),
        }
    }

    pub fn name(&self) -> &'static str {
        match self {
            Limit::Bound(_) => "bound",
            Limit::Never(_) => "never",
            Limit::Held(..) => "held",
            Limit::TotalAtLeast(..) => "total at least",
            Limit::TotalAtMost(..) => "total at most",
            Limit::StretchAtMost(..) => "stretch at most",
            Limit::Share(..) => "share",
            Limit::ShareMost(..) => "share at most",
            Limit::Passage { .. } => "passage",
            Limit::Reach(..) => "reaches within",
            Limit::Reduction { .. } => "reduction",
            Limit::Growth(_) => "growth",
            Limit::Above { .. } => "sum above",
            Limit::Falls { .. } => "falls",
            Limit::Anew(..) => "total at most, reset",
            Limit::PassageAnew { .. } => "passage, reset",
        }
    }

    pub fn judge(&self, record: &Record) -> Outcome {
        self.judge_rows(record, record.engine_rows())
    }

    pub fn judge_rows(&self, record: &Record, rows: Vec<bourn::verify::engine::Row>) -> Outcome {
        let a = record.accuracy;
        let cut = |n: i64| Cut::new(Rational::whole(n));
        let mut rates = Rates { accuracy: a, flat: 99, top_stated: true };
        if let Limit::Reduction { flat, top_stated, .. } = *self {
            (rates.flat, rates.top_stated) = (flat, top_stated);
        }
        let form = match *self {
            Limit::Bound(span) => Form::Bound(span.condition(a)),
            Limit::Never(span) => Form::Never(span.condition(a)),
            Limit::Held(span, time) => Form::Held { condition: span.condition(a), at_least: time * TICK },
            Limit::TotalAtLeast(span, time) => {
                Form::TotalAtLeast { condition: span.condition(a), at_least: time * TICK }
            }
            Limit::TotalAtMost(span, time) | Limit::Anew(span, time, _) => {
                Form::TotalAtMost { condition: span.condition(a), at_most: time * TICK }
            }
            Limit::StretchAtMost(span, time) => {
                Form::StretchAtMost { condition: span.condition(a), at_most: time * TICK }
            }
            Limit::Share(span, n, d) => {
                let share = Rational::new(n.into(), d.into()).unwrap();
                Form::ShareAtLeast { condition: span.condition(a), share, strict: false }
            }
            Limit::ShareMost(span, n, d, strict) => {
                let share = Rational::new(n.into(), d.into()).unwrap();
                Form::ShareAtMost { condition: span.condition(a), share, strict }
            }
            Limit::Passage { before, arrived, within } | Limit::PassageAnew { before, arrived, within, .. } => {
                Form::Passage { before: before.condition(a), arrived: arrived.condition(a), within: within * TICK }
            }
            Limit::Reach(span, time) => Form::ReachesWithin { condition: span.condition(a), within: time * TICK },
            Limit::Falls { by, every, rises, strict } => Form::FallsAtLeast {
                rises,
                strict,
                shown_by: Rational::whole(by + 2 * a),
                denied_below: Rational::whole(by - 2 * a),
                every: every * TICK,
            },
            Limit::Reduction { at_least, .. } => Form::Reduction { rates: &rates, at_least: cut(at_least) },
            Limit::Growth(at_most) => Form::GrowthAtMost { rates: &rates, at_most: cut(at_most) },
            Limit::Above { base, top, at_most } => Form::SumAboveAtMost {
                base_least: (base + a) as f64,
                base_most: (base - a) as f64,
                // No truth of this world is above 18, whatever the accuracy.
                top: top.then_some((18 - a) as f64),
                at_most: cut(at_most),
            },
        };
        if let Limit::Anew(.., (span, held)) | Limit::PassageAnew { reset: (span, held), .. } = *self {
            let (window, sampling) = (record.window(), record.sampling());
            let met = resets(span.condition(a), held * TICK, window, sampling, rows.iter().copied());
            return judge_restarting(form, window, sampling, &rows, &met, false).outcome;
        }
        judge(form, record.window(), record.sampling(), rows)
    }

    /// Whether a *met* (a *not met*) leans on short edges being like their nearest reading.
    pub fn leans_on_edges(&self, met: bool) -> bool {
        match self {
            Limit::Bound(_) | Limit::Never(_) => true,
            Limit::Held(..) | Limit::TotalAtLeast(..) | Limit::Share(..) | Limit::Reduction { .. } => !met,
            Limit::Passage { .. } | Limit::PassageAnew { .. } | Limit::Reach(..) => !met,
            Limit::TotalAtMost(..) | Limit::StretchAtMost(..) | Limit::ShareMost(..) => false,
            Limit::Growth(_) | Limit::Above { .. } => false,
            Limit::Falls { .. } | Limit::Anew(..) => false,
        }
    }

    /// What the limit is on a history: whether it holds, and its quantity where that is one number
    /// (`None` inside for "no such instant").
    pub fn truth(&self, record: &Record, history: &History) -> Truth {
        let window = history.window();
        let whole = |holds: bool, quantity: i64| Truth::of(holds, Quantity::Number(quantity));
        match *self {
            Limit::Bound(span) => Truth::of(
                window.iter().all(|v| span.holds(*v)),
                Quantity::Values(*window.iter().min().unwrap(), *window.iter().max().unwrap()),
            ),
            Limit::Never(span) => stretch(window, span, |longest| longest.is_none()),
            Limit::Held(span, time) => stretch(window, span, |longest| longest.is_some_and(|l| l >= time)),
            Limit::StretchAtMost(span, time) => stretch(window, span, |longest| longest.is_none_or(|l| l <= time)),
            Limit::TotalAtLeast(span, time) => {
                let total = total(window, span);
                whole(total >= time, total)
            }
            Limit::TotalAtMost(span, time) => {
                let total = total(window, span);
                whole(total <= time, total)
            }
            Limit::Share(span, n, d) => {
                let duration = history.end - history.start;
                let balance = d * total(window, span) - n * duration;
                Truth::of(balance >= 0 && duration > 0, Quantity::Sevenths(balance))
            }
            Limit::ShareMost(span, n, d, strict) => {
                let duration = history.end - history.start;
                let balance = d * total(window, span) - n * duration;
                let kept = if strict { balance < 0 } else { balance <= 0 };
                Truth::of(kept && duration > 0, Quantity::Sevenths(balance))
            }
            Limit::Reach(span, time) => {
                let found = window.iter().position(|v| span.holds(*v)).map(|i| i as i64 / 2);
                Truth::of(found.is_some_and(|t| t <= time), Quantity::Time(found))
            }
            Limit::Passage { before, arrived, within } => passage(record, history, before, arrived, within),
            Limit::Reduction { flat, at_least, .. } => {
                let sum = sum(window, |v| death(v, flat));
                whole(sum >= at_least, sum)
            }
            Limit::Anew(span, at_most, reset) => largest(window, span, reset, at_most),
            Limit::PassageAnew { before, arrived, within, reset } => {
                slowest(record, history, (before, arrived, within), reset)
            }
            Limit::Falls { by, every, rises, strict } => fall(record, history, (by, strict, rises), every),
            Limit::Growth(at_most) => {
                let sum = sum(window, growth);
                whole(sum <= at_most, sum)
            }
            Limit::Above { base, at_most, .. } => {
                let sum = sum(window, |v| (v - base).max(0));
                whole(sum <= at_most, sum)
            }
        }
    }
}
