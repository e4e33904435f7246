//! How long a large plan takes to read and check, as a ratio to the bare parse of the same text by pest:
//! `cargo bench --bench plan`. The plan is generated: 2,000 steps, 6,000 hazard rows and 300 CCPs at the largest.

#![allow(clippy::unwrap_used, clippy::cast_precision_loss)]

mod generated;
mod timing;

use bourn::source::{Source, Sources};
use bourn::syntax::grammar::{PlanParser, Rule};
use generated::generated;
use pest::Parser;
use timing::shortest;

fn main() {
    println!("    steps  rows  CCPs      text   bare parse   read + check   ratio   per step");
    for times in [1, 2, 4, 8] {
        let (steps, hazards, ccps) = (250 * times, 750 * times, 300 * times / 8);
        let text = generated(steps, hazards, ccps);
        let bare = shortest(5, || {
            std::hint::black_box(PlanParser::parse(Rule::file, &text).unwrap());
        });
        let mut findings = Vec::new();
        let whole = shortest(5, || {
            let mut sources = Sources::new();
            let id = sources.add(Source::new("generated.haccp", text.as_str()));
            let reading = bourn::plan::read(&sources, &[id]);
            findings = reading.findings;
            findings.extend(bourn::check::check(&reading.plan, chrono::NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()));
        });
        let mut codes: Vec<&str> = findings.iter().map(|finding| finding.rule.code).collect();
        codes.sort_unstable();
        codes.dedup();
        println!(
            "{steps:>9} {hazards:>5} {ccps:>5} {:>6} kB {bare:>12.2?} {whole:>14.2?} {:>7.2} {:>8.1} µs   findings {} {codes:?}",
            text.len() / 1000,
            whole.as_secs_f64() / bare.as_secs_f64(),
            whole.as_secs_f64() * 1e6 / steps as f64,
            findings.len(),
        );
    }
}
