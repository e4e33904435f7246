//! How long a row takes in each form, as a ratio to adding up the rows alone: `cargo bench --bench engine`.

#![allow(clippy::unwrap_used)]

use bourn::quantity::{Cut, Rational};
use bourn::verify::engine::{Band, Condition, DeathRates, Edge, Form, Row, Sampling, Window, judge};
use std::time::Instant;

#[derive(Debug)]
struct Exponential;

impl DeathRates for Exponential {
    fn low(&self, value: f64) -> f64 {
        (10.0_f64.powf((value - 70.0) / 10.0) / 60.0).next_down()
    }
    fn high(&self, value: f64) -> f64 {
        (10.0_f64.powf((value - 70.0) / 10.0) / 60.0).next_up()
    }
    fn top(&self) -> Option<f64> {
        None
    }
}

fn main() {
    const ROWS: i64 = 5_000_000;
    const SECOND: i64 = 1_000_000_000;
    let condition = |n| Condition::exact(Band::from(Edge::inclusive(Cut::new(Rational::whole(n)))));
    let rows = || (0..ROWS).map(|i| Row::reading(i * SECOND, 60.0 + (i % 97) as f64 / 10.0));
    let window = Window::exact(0, ROWS * SECOND);
    let sampling = Sampling { credit_gap: 5 * SECOND / 2, edge_allowance: SECOND };
    let cut = Cut::new(Rational::whole(7));
    let share = Rational::new(1, 4).unwrap();
    let forms = [
        ("bound", Form::Bound(condition(50))),
        ("held", Form::Held { condition: condition(65), at_least: 60 * SECOND }),
        ("share", Form::ShareAtLeast { condition: condition(65), share, strict: false }),
        ("passage", Form::Passage { before: condition(60), arrived: condition(80), within: SECOND }),
        ("reduction", Form::Reduction { rates: &Exponential, at_least: cut }),
        (
            "falls",
            Form::FallsAtLeast {
                rises: false,
                strict: false,
                shown_by: share,
                denied_below: share,
                every: 3600 * SECOND,
            },
        ),
    ];
    let start = Instant::now();
    let sum: f64 = rows().map(|row| std::hint::black_box(row).lo).sum();
    let alone = start.elapsed().as_nanos() as f64 / ROWS as f64;
    println!("{:>10}: {alone:.1} ns a row ({sum})", "rows alone");
    for (name, form) in forms {
        let start = Instant::now();
        let outcome = judge(form, window, sampling, rows());
        let each = start.elapsed().as_nanos() as f64 / ROWS as f64;
        println!("{name:>10}: {each:.1} ns a row, {:.1} times the rows alone, {}", each / alone, outcome.verdict);
    }
}
