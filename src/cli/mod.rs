//! The command line: the only place that opens files, writes them and reads the clock.
//!
//! Exit status: 0 all well; 1 a finding of severity error, or something not met; 2 unusable input or a
//! wrong command line; 3 nothing worse than *not shown*.

pub(crate) mod calc;
mod check;
mod checked;
mod clauses;
mod compare;
mod explain;
mod files;
mod fmt;
mod folder;
mod forms;
mod git;
mod hint;
mod lsp;
mod meant;
mod new;
mod pdf;
mod preview;
mod propose;
mod read;
mod registers;
mod render;
mod shell;
mod sign;
mod signing;
mod style;
mod tutorial;
mod verify;

use crate::finding::Finding;
use crate::report::terminal::{self, Look};
use crate::source::Sources;
use clap::{CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use std::io::{IsTerminal, Write};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// Exit status for unusable input.
pub const UNUSABLE: u8 = 2;
/// Exit status for findings or limits not met.
pub const NOT_MET: u8 = 1;
/// Exit status for nothing worse than not shown.
pub const NOT_SHOWN: u8 = 3;

/// Write a HACCP plan as plain text, check it, render it, and verify a plant's records against it.
#[derive(Debug, Parser)]
#[command(
    name = "bourn",
    version,
    about,
    after_help = "The tool supports trained people and replaces none of them. Validation is the plant's duty; \
local law and the competent authority prevail; when in doubt, hold the product."
)]
struct Cli {
    #[command(subcommand)]
    command: Command,
    /// Colours on the terminal.
    #[arg(long, value_enum, default_value_t = Colour::Auto, global = true)]
    colour: Colour,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Colour {
    /// When the output is a terminal.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Check plans: is each complete, and does it agree with itself?
    Check(check::Args),
    /// Clause by clause: what in the plan answers it, what is missing, where a person must look.
    Clauses(clauses::Args),
    /// What changed between two texts of a plan, in trade terms, and what each change demands.
    Compare(compare::Args),
    /// Format plans: one layout and one spelling, comments kept, meaning unchanged.
    Fmt(fmt::Args),
    /// Hold a plant's records against its plan, lot by lot and limit by limit.
    Verify(verify::Args),
    /// Look at a record file: its table, what each row is, its gaps, codes and damage; without a plan.
    Read(read::Args),
    /// Propose a mapping for a record file, with its reasons and its open questions.
    Propose(propose::Args),
    /// Write empty registers for a plan (corrective actions, reviews, observations), and how they are read.
    Registers(registers::Args),
    /// Render a plan as the formal document: one HTML file for screen and paper.
    Render(render::Args),
    /// Blank record forms of a plan, a sheet each, with its limits printed on them.
    Forms(forms::Args),
    /// Sign a plan: a line more in the sign-off file beside it.
    Sign(sign::Args),
    /// Small sums: times, humidity, nitrite, salt, boiling point, sampling plans.
    Calc(calc::Args),
    /// Write the files of the tutorial into a new folder: a small plan and a month of records, all invented.
    Tutorial(tutorial::Args),
    /// Begin a plan: from a worked example, or from a skeleton that asks what a regime asks.
    New(new::Args),
    /// Show the document beside the findings in a browser on this machine, anew on every save.
    Preview(preview::Args),
    /// Serve an editor: findings while typing, completion, meanings, renaming, an outline.
    Lsp(lsp::Args),
    /// Explain a finding by its code or name.
    Explain(explain::Args),
    /// Print what makes a shell complete the commands.
    Completions(shell::Completions),
    /// Print a page for `man`: of the program, or of one command.
    Manual(shell::Manual),
}

/// Runs the command line of this process.
#[must_use]
pub fn run() -> ExitCode {
    let cli = match parsed() {
        Ok(cli) => cli,
        Err(status) => return status,
    };
    let status = match &cli.command {
        Command::Check(args) => check::run(args, cli.colour),
        Command::Clauses(args) => clauses::run(args, cli.colour),
        Command::Compare(args) => compare::run(args, cli.colour),
        Command::Fmt(args) => fmt::run(args, cli.colour),
        Command::Verify(args) => verify::run(args, cli.colour),
        Command::Read(args) => read::run(args, cli.colour),
        Command::Propose(args) => propose::run(args),
        Command::Registers(args) => registers::run(args, cli.colour),
        Command::Render(args) => render::run(args, cli.colour),
        Command::Forms(args) => forms::run(args, cli.colour),
        Command::Sign(args) => sign::run(args, cli.colour),
        Command::Calc(args) => calc::run(args, cli.colour),
        Command::Tutorial(args) => tutorial::run(args, cli.colour),
        Command::New(args) => new::run(args, cli.colour),
        Command::Preview(args) => preview::run(args, cli.colour),
        Command::Lsp(args) => lsp::run(args),
        Command::Explain(args) => explain::run(args, cli.colour),
        Command::Completions(args) => shell::completions(args, with_examples()),
        Command::Manual(args) => shell::manual(args, with_examples()),
    };
    ExitCode::from(if LOST.load(Ordering::Relaxed) { UNUSABLE } else { status })
}

/// Every command, with an example in its help.
fn with_examples() -> clap::Command {
    let mut command = Cli::command();
    for (name, line) in hint::EXAMPLES {
        command = command.mut_subcommand(name, |one| {
            let said = one.get_after_help().map(|text| format!("\n\n{text}")).unwrap_or_default();
            one.after_help(format!("Example: {line}{said}"))
        });
    }
    command
}

/// The command line as it was typed.
fn parsed() -> Result<Cli, ExitCode> {
    let read = with_examples().try_get_matches().and_then(|matches| Cli::from_arg_matches(&matches));
    read.map_err(|error| {
        let asked = !error.use_stderr();
        if asked {
            let _ = error.print();
        } else {
            eprint(&error.render().to_string().replace("subcommand", "command"));
        }
        let words: Vec<String> = std::env::args_os().map(|word| word.to_string_lossy().into_owned()).collect();
        match hint::hint(&error, &words) {
            Some(hint) if !asked => eprint(&format!("{}\n", terminal::clean(&hint))),
            _ => {}
        }
        ExitCode::from(if asked { 0 } else { UNUSABLE })
    })
}

impl Colour {
    fn look(self, terminal: bool) -> Look {
        let colour = match self {
            Colour::Auto => terminal && std::env::var_os("NO_COLOR").is_none(),
            Colour::Always => true,
            Colour::Never => false,
        };
        Look { colour, width: 100 }
    }
}

/// Prints findings to standard error.
fn complain(sources: &Sources, findings: &[Finding], colour: Colour) {
    let look = colour.look(std::io::stderr().is_terminal());
    eprint(&terminal::findings(sources, findings, look));
}

/// Whether something that was printed did not arrive.
static LOST: AtomicBool = AtomicBool::new(false);

/// Writes to standard output. A reader that went away is no fault of ours; a disk without room is one, said once.
fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let done = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    if let Err(error) = done
        && error.kind() != std::io::ErrorKind::BrokenPipe
        && !LOST.swap(true, Ordering::Relaxed)
    {
        let why = folder::words(&error);
        eprint(&format!("standard output cannot be written: {why}; what was printed there is not whole\n"));
    }
}

fn eprint(text: &str) {
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}
