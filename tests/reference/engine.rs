//! The same record and limit as the engine gets them.

use crate::exact::{Q, double, q};
use crate::limit::{Asked, FORMS, Limit};
use crate::record::{Entry, Record};
use crate::rules::Condition;
use crate::sums::Table;
use bourn::quantity::{Cut, Rational};
use bourn::verify::engine::{self, Band, DeathRates, Edge, Form, GrowthRates, Outcome, Row, Sampling, Window};

pub fn rational(x: Q) -> Rational {
    Rational::new(*x.numer(), *x.denom()).unwrap()
}

/// The accuracy is taken into the two bands: narrower for certain, wider for possible.
fn condition(condition: &Condition, accuracy: Q) -> engine::Condition {
    let edge = |(at, strict): (Q, bool)| Edge { cut: Cut::new(rational(at)), strict };
    let band = |out: Q| Band {
        lower: condition.lower.map(|(at, strict)| edge((at - out, strict))),
        upper: condition.upper.map(|(at, strict)| edge((at + out, strict))),
    };
    engine::Condition { certain: band(-accuracy), possible: band(accuracy) }
}

/// The table as a model: a value comes as recorded, the accuracy is the model's to count.
#[derive(Debug)]
struct Model<'a> {
    table: &'a Table,
    accuracy: Q,
    top_stated: bool,
}

impl Model<'_> {
    fn value(&self, value: f64) -> Q {
        Q::new((value * self.table.steps as f64).round() as i128, self.table.steps.into())
    }
}

/// The double at or next below (above) an exact rate.
fn down(x: Q) -> f64 {
    if is_double(x) || x == q(0) { double(x) } else { double(x).next_down() }
}

fn up(x: Q) -> f64 {
    if is_double(x) || x == q(0) { double(x) } else { double(x).next_up() }
}

fn is_double(x: Q) -> bool {
    x.denom().count_ones() == 1
}

impl DeathRates for Model<'_> {
    fn low(&self, value: f64) -> f64 {
        let value = self.value(value) - self.accuracy;
        down(self.table.lowest(value, value))
    }
    fn high(&self, value: f64) -> f64 {
        let value = self.value(value) + self.accuracy;
        up(self.table.highest(value, value))
    }
    fn top(&self) -> Option<f64> {
        self.top_stated.then(|| up(self.table.largest()))
    }
}

impl GrowthRates for Model<'_> {
    fn lowest(&self, lo: f64, hi: f64) -> f64 {
        down(self.table.lowest(self.value(lo) - self.accuracy, self.value(hi) + self.accuracy))
    }
    fn highest(&self, lo: f64, hi: f64) -> f64 {
        up(self.table.highest(self.value(lo) - self.accuracy, self.value(hi) + self.accuracy))
    }
    fn optimum(&self) -> f64 {
        up(self.table.largest())
    }
}

fn rows(record: &Record) -> Vec<Row> {
    let value = |steps: i64| steps as f64 / record.steps as f64;
    let row = |(i, entry): (usize, &Entry)| match entry.value {
        Some((a, b)) if a == b => Row::reading(entry.at, value(a)),
        Some((a, b)) => Row::spread(entry.at, value(a), value(b)),
        None if i % 3 == 0 => Row::reading(entry.at, f64::NAN),
        None if i % 3 == 1 => Row::reading(entry.at, f64::INFINITY),
        None => Row::broken(entry.at),
    };
    record.rows.iter().enumerate().map(row).collect()
}

pub fn judge(limit: &Limit, record: &Record) -> Outcome {
    let a = record.value(record.accuracy);
    // Instants are whole nanoseconds: less than a time is at most a nanosecond less.
    let beyond = match limit.asked {
        Asked::Held(_) | Asked::TotalAtLeast(_) => i64::from(limit.strict),
        _ => -i64::from(limit.strict),
    };
    let time = limit.threshold.to_integer() as i64 + beyond;
    let cut = || match (limit.strict, &limit.asked) {
        (false, _) => Cut::new(rational(limit.threshold)),
        (true, Asked::Reduction(..)) => Cut::just_above(rational(limit.threshold)),
        (true, _) => Cut::just_below(rational(limit.threshold)),
    };
    let model = |table| Model { table, accuracy: a, top_stated: matches!(limit.asked, Asked::Reduction(_, true)) };
    let sampling = Sampling { credit_gap: record.credit_gap, edge_allowance: record.edge_allowance };
    let window = Window { start: record.start, end: record.end };
    let run = |form: Form<'_>| engine::judge(form, window, sampling, rows(record));
    match &limit.asked {
        Asked::Bound(c) => run(Form::Bound(condition(c, a))),
        Asked::Never(c) => run(Form::Never(condition(c, a))),
        Asked::Held(c) => {
            let at_least = if FORMS[limit.form] == "reaches" { 0 } else { time };
            run(Form::Held { condition: condition(c, a), at_least })
        }
        Asked::TotalAtLeast(c) => run(Form::TotalAtLeast { condition: condition(c, a), at_least: time }),
        Asked::TotalAtMost(c) => run(Form::TotalAtMost { condition: condition(c, a), at_most: time }),
        Asked::Anew(c, reset, held) => {
            let form = Form::TotalAtMost { condition: condition(c, a), at_most: time };
            let rows = rows(record);
            let met = engine::resets(condition(reset, a), *held, window, sampling, rows.iter().copied());
            engine::judge_restarting(form, window, sampling, &rows, &met, false).outcome
        }
        Asked::StretchAtMost(c) => run(Form::StretchAtMost { condition: condition(c, a), at_most: time }),
        Asked::Share(c, share, most) => {
            let (condition, share, strict) = (condition(c, a), rational(*share), limit.strict);
            run(match most {
                true => Form::ShareAtMost { condition, share, strict },
                false => Form::ShareAtLeast { condition, share, strict },
            })
        }
        Asked::Passage(before, arrived) => {
            run(Form::Passage { before: condition(before, a), arrived: condition(arrived, a), within: time })
        }
        Asked::Reached(c) => run(Form::ReachesWithin { condition: condition(c, a), within: time }),
        Asked::Falls(every, rises) => run(Form::FallsAtLeast {
            rises: *rises,
            strict: limit.strict,
            shown_by: rational(limit.threshold + a + a),
            denied_below: rational(limit.threshold - a - a),
            every: *every,
        }),
        Asked::Reduction(table, _) => run(Form::Reduction { rates: &model(table), at_least: cut() }),
        Asked::Growth(table) => run(Form::GrowthAtMost { rates: &model(table), at_most: cut() }),
        Asked::Above(base, top) => run(Form::SumAboveAtMost {
            base_least: double(*base + a),
            base_most: double(*base - a),
            top: top.map(|top| double(top - a)),
            at_most: cut(),
        }),
    }
}
