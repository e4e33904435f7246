//! `bourn lsp`: the language server on standard input and output.

use super::{files, signing};
use crate::finding::Finding;
use crate::lsp::wire::{self, Came};
use crate::lsp::{Host, Server};
use crate::plan::Plan;
use crate::shelf::Shelf;
use crate::source::Sources;
use chrono::NaiveDate;
use lsp_server::Message;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc;

/// How the server speaks; it takes no other way.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Speak on standard input and output, which it does anyway; editors give it.
    #[arg(long)]
    stdio: bool,
    /// The day on which the plans are checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
}

/// The disk and the clock.
struct World {
    on: Option<NaiveDate>,
}

impl Shelf for World {
    fn text(&self, path: &Path) -> Result<String, Finding> {
        files::text(path)
    }

    fn real(&self, path: &Path) -> Result<PathBuf, String> {
        files::Disk.real(path)
    }
}

/// How deep below a folder plans are looked for, and how many at most.
const DEEP: usize = 6;
const MANY: usize = 500;

impl Host for World {
    fn today(&self) -> NaiveDate {
        self.on.unwrap_or_else(|| chrono::Local::now().date_naive())
    }

    fn beside(&self, sources: &Sources, plan: &Plan, path: &Path, on: NaiveDate) -> Vec<Finding> {
        signing::look(sources, plan, path, None, on).1
    }

    fn plans(&self, folder: &Path) -> Vec<PathBuf> {
        let mut found = Vec::new();
        let mut open = vec![(folder.to_path_buf(), 0)];
        while let Some((folder, depth)) = open.pop() {
            for entry in std::fs::read_dir(&folder).into_iter().flatten().flatten() {
                let path = entry.path();
                let hidden = entry.file_name().to_string_lossy().starts_with('.');
                if entry.file_type().is_ok_and(|kind| kind.is_dir()) && !hidden && depth < DEEP {
                    open.push((path, depth + 1));
                } else if path.extension().is_some_and(|end| end == "haccp") && found.len() < MANY {
                    found.push(path);
                }
            }
        }
        found.sort();
        found
    }
}

pub(super) fn run(args: &Args) -> u8 {
    let world = World { on: args.on };
    let (sender, receiver) = mpsc::channel::<Came>();
    let reader = move || {
        let mut stream = std::io::stdin().lock();
        while let Ok(came) = wire::read(&mut stream) {
            let last = matches!(came, Came::End)
                || matches!(&came, Came::Message(Message::Notification(note)) if note.method == "exit");
            if sender.send(came).is_err() || last {
                break;
            }
        }
    };
    let _ = std::thread::spawn(reader);
    let mut server = Server::new(&world);
    let mut out = std::io::stdout().lock();
    while let Ok(first) = receiver.recv() {
        // Whatever has come in the meantime is taken first, so that a plan is checked once for many keystrokes.
        let came: Vec<Came> = std::iter::once(first).chain(receiver.try_iter()).collect();
        let (written, ended) = serve(&mut server, came, &mut out);
        if written.is_err() || ended || server.exit().is_some() {
            break;
        }
    }
    // An editor that goes without a word is treated as one that did not say goodbye.
    u8::from(server.exit() != Some(true))
}

fn serve(server: &mut Server<'_>, came: Vec<Came>, out: &mut impl Write) -> (std::io::Result<()>, bool) {
    let mut messages = Vec::new();
    let mut ended = false;
    for one in came {
        match one {
            Came::Message(message) => messages.push(message),
            Came::Fault(fault) => {
                if let Err(error) = wire::write_fault(out, &fault) {
                    return (Err(error), true);
                }
            }
            Came::End => ended = true,
        }
    }
    let mut answers = server.take_all(messages);
    if !ended {
        answers.extend(server.settle());
    }
    for answer in &answers {
        if let Err(error) = wire::write(out, answer) {
            return (Err(error), true);
        }
    }
    (Ok(()), ended)
}
