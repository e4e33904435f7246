//! One limit over one trace and one run window, judged by intervals.
//!
//! The engine knows nothing of plans, files or zones of the day. An instant is a count of
//! nanoseconds UTC, a value is a double in the unit in which the channel was recorded, a threshold is
//! exact. What it answers is a [`Verdict`](crate::verdict::Verdict) with the smallest and the largest
//! value of the limit's quantity over every history that the record allows, and the evidence for it.
//!
//! A [`Judge`] is a fold: rows go in once, in time order, and its memory does not grow with their
//! number (a fall over a span keeps the rows of one span). `docs/limits.md` gives the rules in words.
//!
//! ```
//! use bourn::quantity::{Cut, Rational};
//! use bourn::verdict::Verdict;
//! use bourn::verify::engine::{Band, Condition, Edge, Form, Row, Sampling, Window, judge};
//!
//! const MINUTE: i64 = 60_000_000_000;
//! let four = Cut::new(Rational::whole(4));
//! let form = Form::Bound(Condition::exact(Band::up_to(Edge::inclusive(four))));
//! let sampling = Sampling { credit_gap: 25 * MINUTE, edge_allowance: 15 * MINUTE };
//! let rows = [Row::reading(0, 3.1), Row::reading(10 * MINUTE, 3.9), Row::reading(20 * MINUTE, 3.4)];
//! let outcome = judge(form, Window::exact(0, 20 * MINUTE), sampling, rows);
//! assert_eq!(outcome.verdict, Verdict::Met);
//! ```

mod bound;
mod condition;
mod event;
#[cfg(test)]
mod examples;
mod fall;
mod fold;
mod form;
mod outcome;
mod passage;
mod restart;
mod row;
mod share;
mod steps;
mod stretch;
mod sum;
mod time;
mod weave;

pub use condition::{Band, Condition, Edge};
pub use event::{Moment, between, duration, in_order};
pub use fold::{Judge, judge, judge_telling};
pub use form::{DeathRates, Form, GrowthRates};
pub use outcome::{Capped, EdgeUse, End, Extent, Kind, Outcome, Point, Reason, Span, Stretch, Witness};
pub use restart::{Leg, Resets, Restarted, judge_restarting, resets};
pub use row::{Row, Sampling, Window};
pub use steps::{Cover, Silent, Step, Tally, Tape};
