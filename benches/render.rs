//! How long the document takes, as a ratio to reading and checking the same plan: `cargo bench --bench render`. The
//! demo's plan, and generated ones of up to 2,000 steps.

#![allow(clippy::unwrap_used, clippy::cast_precision_loss)]

mod generated;
mod timing;

use bourn::document::{Order, Paper, forms, plan};
use bourn::source::{Source, Sources};
use generated::generated;
use timing::shortest;

fn main() {
    let demo = include_str!("../plans/smoked-goose-breast.haccp").to_owned();
    let mut texts = vec![("the demo's plan".to_owned(), demo)];
    for times in [1, 2, 4, 8] {
        let steps = 250 * times;
        texts.push((format!("{steps} steps"), generated(steps, 750 * times, 300 * times / 8)));
    }
    println!("{:>16}  {:>12} {:>12} {:>6} {:>10} {:>10}", "", "read, check", "document", "ratio", "size", "forms");
    let on = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
    for (name, text) in texts {
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan.haccp", text.as_str()));
        let mut made = None;
        let read = shortest(3, || {
            let reading = bourn::plan::read(&sources, &[id]);
            let mut findings = reading.findings;
            findings.extend(bourn::check::check(&reading.plan, on));
            made = Some((reading.plan, findings));
        });
        let (read_plan, findings) = made.unwrap();
        let order =
            Order { plan: &read_plan, sources: &sources, findings: &findings, on, signing: None, paper: Paper::A4 };
        let mut html = String::new();
        let whole = shortest(3, || html = plan(&order).unwrap());
        let sheets = shortest(3, || drop(forms::forms(&order).unwrap()));
        println!(
            "{name:>16}  {read:>12.2?} {whole:>12.2?} {:>6.2} {:>7} kB {sheets:>10.2?}",
            whole.as_secs_f64() / read.as_secs_f64(),
            html.len() / 1000,
        );
    }
}
