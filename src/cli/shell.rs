//! `bourn completions` and `bourn manual`: what a shell and `man` are given, made from the command line itself.

use super::{UNUSABLE, eprint, print};
use clap::Command;
use clap_complete::Shell;

/// For which shell.
#[derive(Debug, clap::Args)]
pub(super) struct Completions {
    /// The shell in which commands are typed.
    #[arg(value_name = "SHELL", value_enum)]
    shell: Shell,
}

/// Of which command.
#[derive(Debug, clap::Args)]
pub(super) struct Manual {
    /// One command; without it, the page of the whole program.
    #[arg(value_name = "COMMAND")]
    command: Option<String>,
}

/// Prints what makes the shell complete commands, options and files.
pub(super) fn completions(args: &Completions, mut whole: Command) -> u8 {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut whole, "bourn", &mut script);
    print(&String::from_utf8_lossy(&script));
    0
}

/// Prints a page for `man`.
pub(super) fn manual(args: &Manual, mut whole: Command) -> u8 {
    // So that each page knows under which name it is called.
    whole.build();
    let page = match &args.command {
        None => whole,
        Some(name) => match whole.find_subcommand(name) {
            Some(found) => found.clone(),
            None => {
                let names: Vec<&str> = whole.get_subcommands().map(Command::get_name).collect();
                let near = crate::finding::nearest(name, names.iter().copied());
                let help = near.map_or_else(|| names.join(", "), |near| format!("did you mean `{near}`?"));
                eprint(&format!("there is no command `{name}`: {help}\n"));
                return UNUSABLE;
            }
        },
    };
    let mut text = Vec::new();
    match clap_mangen::Man::new(page).render(&mut text) {
        Ok(()) => {
            print(&String::from_utf8_lossy(&text));
            0
        }
        Err(error) => {
            eprint(&format!("the page cannot be made: {error}\n"));
            UNUSABLE
        }
    }
}
