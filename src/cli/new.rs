//! `bourn new`: the first text of a plan.

use super::{Colour, UNUSABLE, complain, eprint, files};
use crate::begin::{self, EXAMPLES, From, QUESTIONS};
use crate::clause::REGIMES;
use crate::finding::Finding;
use crate::registry::disk::{UNREADABLE_FILE, UNWRITABLE_FILE};
use crate::report::terminal;
use crate::source::{Place, Sources};
use chrono::NaiveDate;
use clap::builder::PossibleValuesParser;
use std::collections::BTreeMap;
use std::io::{BufRead, IsTerminal};
use std::path::{Path, PathBuf};

/// What to begin, and from what.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// File to write, such as `my-plan.haccp`; never one that is there already.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Begin from a worked example.
    #[arg(long, value_name = "EXAMPLE", value_parser = PossibleValuesParser::new(EXAMPLES.iter().map(|(name, _)| *name)))]
    like: Option<String>,
    /// Begin from a skeleton that asks what this regime asks.
    #[arg(long, value_name = "REGIME", conflicts_with = "like", value_parser = PossibleValuesParser::new(REGIMES))]
    regime: Option<String>,
    /// An answer, such as `use="Eaten cold"`. What is not answered is asked on a terminal, and left blank elsewhere.
    #[arg(long = "say", value_name = "WORD=TEXT")]
    said: Vec<String>,
    /// Ask nothing, even on a terminal.
    #[arg(long)]
    quiet: bool,
    /// The day on which the new plan is checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    match write(args) {
        Ok(words) => {
            eprint(&words);
            0
        }
        Err(finding) => {
            complain(&Sources::new(), &[finding], colour);
            UNUSABLE
        }
    }
}

fn refused(words: impl Into<String>, help: impl Into<String>) -> Finding {
    Finding::new(&UNREADABLE_FILE, Place::Named("the command line".to_owned()), words).help(help)
}

fn write(args: &Args) -> Result<String, Finding> {
    let there = || {
        let place = Place::file(args.file.display().to_string());
        Finding::new(&UNWRITABLE_FILE, place, "is there already")
            .help("nothing was written; give the new plan another name")
    };
    if std::fs::symlink_metadata(&args.file).is_ok() {
        return Err(there());
    }
    let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
    let terminal = !args.quiet && std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
    let from = match (&args.like, &args.regime) {
        (Some(example), _) => From::Example(example.clone()),
        (None, Some(regime)) => From::Regime(regime.clone()),
        (None, None) if terminal => {
            let asked = format!("Which rules does the plan answer to ({})?", REGIMES.join(", "));
            From::Regime(ask(&asked).unwrap_or_else(|| "codex".to_owned()))
        }
        (None, None) => {
            let words = "it is not said what the plan is begun from";
            return Err(refused(words, "add `--regime REGIME` or `--like EXAMPLE`; `bourn new --help` lists them"));
        }
    };
    let mut answers = BTreeMap::new();
    for one in &args.said {
        let known = QUESTIONS.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ");
        let (word, text) = one
            .split_once('=')
            .filter(|(word, _)| QUESTIONS.iter().any(|(known, _)| known == word))
            .ok_or_else(|| refused(format!("`{one}` answers no question"), format!("the words are: {known}")))?;
        answers.insert(word.to_owned(), text.to_owned());
    }
    if terminal {
        eprint("What you do not know yet, leave empty: it stays blank in the plan.\n");
        for (word, question) in QUESTIONS {
            if !answers.contains_key(*word)
                && let Some(answer) = ask(question)
            {
                answers.insert((*word).to_owned(), answer);
            }
        }
    }
    let name = name(&args.file);
    let begun = begin::begin(&from, &name, &answers, on)
        .map_err(|why| refused(why, "nothing was written; `bourn new --help` says what is taken"))?;
    files::write_new(&args.file, begun.text.as_bytes()).map_err(|error| error.unwrap_or_else(there))?;
    let shown = terminal::clean(&args.file.display().to_string());
    let mut out = format!("{shown}: written as a draft; {} values are blank (___)\n", begun.blanks);
    let name = files::typed(&shown);
    out.push_str(&format!(
        "Open it in a text editor, replace each ___ that you can, save it, then: bourn check {name}\n"
    ));
    out.push_str("What is to be said before it is a plan, and how:\n");
    for finding in &begun.findings {
        let place = match finding.span() {
            Some(_) => terminal::place(&begun.sources, &finding.place).replace("the new plan", &shown),
            None => shown.clone(),
        };
        out.push_str(&format!("  {place}: {} [{}]\n", terminal::clean(&finding.message), finding.rule.code));
        if let Some(help) = &finding.help {
            out.push_str(&format!("    {}\n", terminal::clean(help)));
        }
    }
    Ok(out)
}

/// A name for the plan, from the name of its file.
fn name(file: &Path) -> String {
    let stem = file.file_stem().map(|stem| stem.to_string_lossy().to_lowercase()).unwrap_or_default();
    let mut name = String::new();
    for c in stem.chars() {
        if c.is_alphanumeric() {
            name.push(c);
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    let name = name.trim_end_matches('-');
    if name.starts_with(char::is_alphabetic) { name.to_owned() } else { "my-plan".to_owned() }
}

fn ask(question: &str) -> Option<String> {
    eprint(&format!("{question} "));
    let mut line = String::new();
    std::io::stdin().lock().read_line(&mut line).ok()?;
    let line = line.trim();
    (!line.is_empty()).then(|| line.to_owned())
}
