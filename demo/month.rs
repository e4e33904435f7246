//! Writes the demo month: the records of an invented plant for October 2026, with planted deviations.
//!
//! ```text
//! cargo run --example demo-month                          records into demo/out/records
//! cargo run --example demo-month -- --out DIR             records into DIR
//! cargo run --example demo-month -- --expected FILE       the verdicts that the plantings must get
//! cargo run --example demo-month -- --table               the plantings as the table of demo/README.md
//! ```
//!
//! The same bytes come out on every machine: see [`physics`] and [`chance`].

mod chance;
mod physics;
mod planting;
mod records;
mod registers;
mod schedule;

use clap::Parser;
use std::collections::BTreeSet;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Writes the records of the demo month.
#[derive(Parser)]
#[command(name = "demo-month")]
struct Options {
    /// Folder for the records
    #[arg(long, value_name = "DIR", default_value = "demo/out/records")]
    out: PathBuf,
    /// Write only the verdicts that must differ from met
    #[arg(long, value_name = "FILE", conflicts_with = "out")]
    expected: Option<PathBuf>,
    /// Print only the table of plantings
    #[arg(long, conflicts_with_all = ["out", "expected"])]
    table: bool,
}

fn main() -> ExitCode {
    match run(&Options::parse()) {
        Ok(said) => {
            print!("{said}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("demo-month: {error}");
            ExitCode::from(2)
        }
    }
}

fn run(options: &Options) -> Result<String, Box<dyn Error>> {
    if !chance::Chance::is_sound() {
        return Err("the chance numbers are not the published ones".into());
    }
    let lots = schedule::lots();
    if let Some(planting) = planting::PLANTED.iter().find(|planting| lots.iter().all(|lot| lot.id != planting.lot)) {
        return Err(format!("no lot `{}` in the month to plant on", planting.lot).into());
    }
    if options.table {
        return Ok(table(&lots));
    }
    if let Some(file) = &options.expected {
        let text = expected(&lots)?;
        write_whole(file, &text)?;
        return Ok(format!("wrote {}\n", file.display()));
    }
    fs::create_dir_all(&options.out)
        .map_err(|error| format!("cannot make the folder `{}`: {error}", options.out.display()))?;
    let mut bytes = 0;
    let files = records::all(&lots);
    for (name, text) in &files {
        bytes += text.len();
        write_whole(&options.out.join(name), text)?;
    }
    Ok(format!(
        "wrote {} lots in {} files, {} kB, into {}\n",
        lots.len(),
        files.len(),
        bytes / 1000,
        options.out.display()
    ))
}

/// Writes beside the file and moves into place, so that no half-written file is ever seen.
fn write_whole(file: &Path, text: &str) -> Result<(), Box<dyn Error>> {
    let part = file.with_extension("part");
    fs::write(&part, text).and_then(|()| fs::rename(&part, file)).map_err(|error| {
        let _ = fs::remove_file(&part);
        format!("cannot write `{}`: {error}", file.display()).into()
    })
}

/// `demo/expected.csv`.
fn expected(lots: &[schedule::Lot]) -> Result<String, Box<dyn Error>> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(["lot", "ccp", "limit", "verdict", "planted", "why"])?;
    for line in planting::expected(lots) {
        let (ccp, limit, verdict, why) = line.consequence;
        out.write_record([line.lot, ccp, limit, verdict, line.planted, why])?;
    }
    Ok(String::from_utf8(out.into_inner()?)?)
}

/// The table of demo/README.md: one line for each planting, CCP, limit and verdict.
fn table(lots: &[schedule::Lot]) -> String {
    let mut text = "| lots | planted | limit | verdict | why |\n| --- | --- | --- | --- | --- |\n".to_owned();
    let mut done = BTreeSet::new();
    for (planted, consequences) in lots.iter().flat_map(planting::touching) {
        if !done.insert(planted) {
            continue;
        }
        let touched: Vec<&str> = lots
            .iter()
            .filter(|lot| planting::touching(lot).iter().any(|(other, _)| *other == planted))
            .map(|lot| lot.id.as_str())
            .collect();
        let touched = touched.join(", ");
        if consequences.is_empty() {
            let _ = writeln!(text, "| {touched} | {planted} | all | met | the planting must change no verdict |");
        }
        for (ccp, limit, verdict, why) in consequences {
            let _ = writeln!(text, "| {touched} | {planted} | {ccp}.{limit} | {verdict} | {why} |");
        }
    }
    text.push_str("\n| code | planted |\n| --- | --- |\n");
    for (code, _, what) in registers::FAULTS {
        let _ = writeln!(text, "| `{code}` | {what} |");
    }
    text
}
