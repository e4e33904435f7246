//! Writes the small months: a few lots of invented records for each worked plan, with planted deviations.
//!
//! ```text
//! cargo run --example demo-months               records and expected.csv into demo/PLAN
//! cargo run --example demo-months -- --table    the tables of each demo/PLAN/README.md
//! ```
//!
//! The same bytes come out on every machine; a test holds what is kept in the repository against them.

mod chance;
mod frame;
mod small;

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    match run(std::env::args().any(|argument| argument == "--table")) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("demo-months: {error}");
            ExitCode::from(2)
        }
    }
}

fn run(table: bool) -> Result<(), Box<dyn Error>> {
    if !chance::Chance::is_sound() {
        return Err("the chance numbers are not the published ones".into());
    }
    for month in small::months() {
        if table {
            println!("{}\n{}\n", month.plan, month.lines().join("\n"));
            continue;
        }
        let folder = Path::new("demo").join(month.plan);
        let records = folder.join("records");
        fs::create_dir_all(&records)?;
        for (name, text) in &month.files {
            write_whole(&records.join(name), text)?;
        }
        write_whole(&folder.join("expected.csv"), &month.expected())?;
        println!("wrote {} of {} into {}", month.plan, month.month, folder.display());
    }
    Ok(())
}

/// Writes beside the file and moves into place, so that no half-written file is ever seen.
fn write_whole(file: &Path, text: &str) -> Result<(), Box<dyn Error>> {
    let part = file.with_extension("part");
    fs::write(&part, text).and_then(|()| fs::rename(&part, file)).map_err(|error| {
        let _ = fs::remove_file(&part);
        format!("cannot write `{}`: {error}", file.display()).into()
    })
}
