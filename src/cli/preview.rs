//! `bourn preview`: the document beside the findings, on a page of this machine, anew on every save.

mod http;
mod page;

use super::checked::{Checked, checked};
use super::{Colour, UNUSABLE, complain, eprint, signing, style};
use crate::document::{self, Order, Paper};
use crate::finding::Finding;
use crate::registry::disk::UNREADABLE_FILE;
use crate::report::terminal;
use crate::source::{Place, Sources};
use chrono::NaiveDate;
use http::{Asked, Host, Refusal};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::SystemTime;

/// Which plan, and where the page is.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Plan file.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// Port on this machine; a free one if not given.
    #[arg(long, default_value_t = 0)]
    port: u16,
    /// The day on which the plan is checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// Folder with the look of the plant, as `bourn render` takes it.
    #[arg(long, value_name = "FOLDER")]
    style: Option<PathBuf>,
}

/// What the files of a plan looked like when they were read: path, time, length.
type Look = Vec<(PathBuf, Option<(SystemTime, u64)>)>;

/// The plan as it was last read.
struct Drawn {
    /// Counts up with every change of a file.
    version: u64,
    look: Look,
    sources: Sources,
    findings: Vec<Finding>,
    /// The document, unless the plan cannot be read at all.
    html: Option<String>,
}

fn look(paths: impl IntoIterator<Item = PathBuf>) -> Look {
    let seen = |path: &Path| {
        let meta = std::fs::metadata(path).ok()?;
        Some((meta.modified().ok()?, meta.len()))
    };
    paths.into_iter().map(|path| (path.clone(), seen(&path))).collect()
}

impl Drawn {
    fn new(args: &Args, version: u64) -> Self {
        let plan = args.plan.as_path();
        let on = args.on.unwrap_or_else(|| chrono::Local::now().date_naive());
        let beside = [plan.to_path_buf(), signing::path(plan), signing::signers_path(plan)];
        // Looked at before reading, so that a save in between is seen the next time.
        let mut seen = look(beside);
        let entries = args.style.iter().flat_map(|folder| std::fs::read_dir(folder).into_iter().flatten().flatten());
        seen.extend(look(args.style.iter().cloned().chain(entries.map(|entry| entry.path()))));
        let mut sources = Sources::new();
        let (findings, html) = match checked(&mut sources, plan, None, on) {
            Err(finding) => (vec![finding], None),
            Ok(Checked { plan: read, mut findings, signing }) => {
                // What is included and not there is looked for too: it may come.
                let folder = plan.parent().unwrap_or(Path::new(""));
                seen.extend(look(read.includes.iter().map(|include| folder.join(&include.value))));
                let order = Order {
                    plan: &read,
                    sources: &sources,
                    findings: &findings,
                    on,
                    signing: Some(&signing),
                    paper: Paper::A4,
                };
                let look = args.style.as_deref();
                let made = style::of(look).and_then(|style| style::written(&document::page_of(&order), &style, look));
                match made {
                    Ok(html) => (findings, Some(html)),
                    // Beside the findings of the plan, why there is no document.
                    Err(finding) => {
                        findings.push(finding);
                        (findings, None)
                    }
                }
            }
        };
        Self { version, look: seen, sources, findings, html }
    }

    /// Reads the plan anew if a file of it has changed.
    fn refresh(&mut self, args: &Args) {
        let now = look(self.look.iter().map(|(path, _)| path.clone()));
        if now != self.look {
            *self = Drawn::new(args, self.version + 1);
        }
    }
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let drawn = Drawn::new(args, 1);
    if drawn.html.is_none() {
        complain(&drawn.sources, &drawn.findings, colour);
        return UNUSABLE;
    }
    let bound = TcpListener::bind((Ipv4Addr::LOCALHOST, args.port)).and_then(|listener| {
        let port = listener.local_addr()?.port();
        Ok((listener, port))
    });
    let (listener, port) = match bound {
        Ok(bound) => bound,
        Err(error) => {
            let place = Place::Named("--port".to_owned());
            let words = format!("port {} of this machine cannot be used: {}", args.port, super::folder::words(&error));
            let finding = Finding::new(&UNREADABLE_FILE, place, words).help("name another, or none to take a free one");
            complain(&drawn.sources, &[finding], colour);
            return UNUSABLE;
        }
    };
    eprint(&format!(
        "{}: http://127.0.0.1:{port}/ shows it, and follows what is saved; the page and Ctrl-C end it\n",
        terminal::clean(&args.plan.display().to_string())
    ));
    serve(&listener, Host { port }, drawn, args);
    0
}

/// How many requests are answered at a time; a browser opens a handful.
const MANY: usize = 32;

/// Answers until a request asks for the end. Each has a thread of its own, for a browser also opens connections that it
/// does not use yet.
fn serve(listener: &TcpListener, host: Host, drawn: Drawn, args: &Args) {
    let drawn = Mutex::new(drawn);
    let (drawn, ended, busy) = (&drawn, &AtomicBool::new(false), &AtomicUsize::new(0));
    std::thread::scope(|scope| {
        for stream in listener.incoming().flatten() {
            if ended.load(Ordering::SeqCst) {
                break;
            }
            let slow = !http::ready(&stream);
            if slow || busy.fetch_add(1, Ordering::SeqCst) >= MANY {
                busy.fetch_sub(usize::from(!slow), Ordering::SeqCst);
                continue;
            }
            scope.spawn(move || {
                if answer(stream, host, drawn, args, ended) {
                    ended.store(true, Ordering::SeqCst);
                    // The listener waits for somebody to come.
                    let _ = TcpStream::connect((Ipv4Addr::LOCALHOST, host.port));
                }
                busy.fetch_sub(1, Ordering::SeqCst);
            });
        }
    });
}

/// Answers one request; whether it asked the preview to end.
fn answer(mut stream: TcpStream, host: Host, drawn: &Mutex<Drawn>, args: &Args, ended: &AtomicBool) -> bool {
    let asked = match http::read(&mut stream, host, ended) {
        Ok(asked) => asked,
        Err(refusal) => {
            http::refuse(&mut stream, &refusal);
            return false;
        }
    };
    let mut drawn = drawn.lock().unwrap_or_else(PoisonError::into_inner);
    drawn.refresh(args);
    match asked {
        Asked::Page => {
            match page::page(&args.plan, drawn.version, &drawn.sources, &drawn.findings, drawn.html.is_some()) {
                Ok(html) => http::send(&mut stream, "text/html; charset=utf-8", http::PAGE_MAY, &html),
                Err(fault) => {
                    http::refuse(&mut stream, &Refusal { status: "500 Internal Server Error", why: fault.to_string() })
                }
            }
        }
        Asked::Document => {
            let none = page::no_document();
            http::send(
                &mut stream,
                "text/html; charset=utf-8",
                http::DOCUMENT_MAY,
                drawn.html.as_deref().unwrap_or(&none),
            );
        }
        Asked::Script => http::send(&mut stream, "text/javascript; charset=utf-8", http::PAGE_MAY, page::SCRIPT),
        Asked::Style => http::send(&mut stream, "text/css; charset=utf-8", http::PAGE_MAY, page::STYLE),
        Asked::Version => {
            http::send(&mut stream, "text/plain; charset=utf-8", http::PAGE_MAY, &drawn.version.to_string());
        }
        Asked::Stop => {
            http::send(&mut stream, "text/plain; charset=utf-8", http::PAGE_MAY, "the preview has ended");
            return true;
        }
    }
    false
}
