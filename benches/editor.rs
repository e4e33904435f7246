//! How long the language server takes from a keystroke to the findings, over its pipe, and whether its memory stays
//! flat: `cargo bench --bench editor`. A generated plan of 5,000 lines and the demo's plan, 1,000 edits each, with the
//! ratio to the bare parse of the same text.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::cast_precision_loss)]

mod generated;

use bourn::syntax::grammar::{PlanParser, Rule};
use lsp_server::{Message, Notification, Request};
use pest::Parser;
use serde_json::json;
use std::io::{BufReader, Write};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

const EDITS: usize = 1_000;

struct Editor {
    child: Child,
    out: std::process::ChildStdin,
    from: BufReader<std::process::ChildStdout>,
}

impl Editor {
    fn start() -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bourn"));
        command.args(["lsp", "--on", "2026-09-14"]).stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let out = child.stdin.take().unwrap();
        let from = BufReader::new(child.stdout.take().unwrap());
        let mut editor = Self { child, out, from };
        let hello = Request::new(1.into(), "initialize".to_owned(), json!({ "capabilities": {} }));
        editor.send(Message::Request(hello));
        editor.next();
        editor.note("initialized", json!({}));
        editor
    }

    fn send(&mut self, message: Message) {
        message.write(&mut self.out).unwrap();
        self.out.flush().unwrap();
    }

    fn note(&mut self, method: &str, params: serde_json::Value) {
        self.send(Message::Notification(Notification::new(method.to_owned(), params)));
    }

    fn next(&mut self) -> Message {
        Message::read(&mut self.from).unwrap().unwrap()
    }

    fn found(&mut self, version: i64) -> usize {
        loop {
            if let Message::Notification(note) = self.next()
                && note.method == "textDocument/publishDiagnostics"
                && note.params["version"] == version
            {
                return note.params["diagnostics"].as_array().unwrap().len();
            }
        }
    }

    /// Resident memory in MiB, where the system tells.
    fn memory(&self) -> Option<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
        line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kib| kib / 1024.0)
    }
}

/// Edits at places spread over the text: a word half typed, taken back, a number changed, a line put in and taken out.
fn measure(name: &str, text: &str) {
    let mut editor = Editor::start();
    let uri = "file:///plans/measured.haccp";
    editor.note(
        "textDocument/didOpen",
        json!({ "textDocument": { "uri": uri, "languageId": "haccp", "version": 0, "text": text } }),
    );
    let clean = editor.found(0);
    let lines: Vec<&str> = text.lines().collect();
    let mut times = Vec::new();
    let mut early = None;
    let (mut most, mut version) = (clean, 0);
    for edit in 0..EDITS {
        // An edit, and every second time its opposite, so that the text stays as it was.
        let line = (edit / 2) * 7919 % lines.len();
        let width = lines[line].encode_utf16().count();
        let put = edit % 2 == 0;
        let new = ["\n", "x", " limit half core >= 7", "\n  # a note"][(edit / 2) % 4];
        let end = match (put, new.rsplit_once('\n')) {
            (true, _) => json!({ "line": line, "character": width }),
            (false, Some((_, last))) => json!({ "line": line + 1, "character": last.len() }),
            (false, None) => json!({ "line": line, "character": width + new.len() }),
        };
        version += 1;
        let range = json!({ "start": { "line": line, "character": width }, "end": end });
        let change = json!({ "range": range, "text": if put { new } else { "" } });
        let start = Instant::now();
        editor.note(
            "textDocument/didChange",
            json!({ "textDocument": { "uri": uri, "version": version }, "contentChanges": [change] }),
        );
        let found = editor.found(version);
        times.push(start.elapsed());
        most = most.max(found);
        if !put {
            assert_eq!(found, clean, "the text is as it was after edit {edit}");
        }
        if edit == EDITS / 10 {
            early = editor.memory();
        }
    }
    assert!(most > clean, "half-typed words are found");
    let late = editor.memory();
    editor.note("exit", json!(null));
    let _ = editor.child.wait();
    times.sort();
    let parse = (0..5)
        .map(|_| {
            let start = Instant::now();
            assert!(PlanParser::parse(Rule::file, text).is_ok());
            start.elapsed()
        })
        .min()
        .unwrap();
    let (median, slow) = (times[EDITS / 2], times[EDITS * 99 / 100]);
    let ms = |time: Duration| time.as_secs_f64() * 1e3;
    println!(
        "{name}, {} lines: edit to findings median {:.1} ms, 99th percentile {:.1} ms, {:.1} times the bare parse ({:.1} ms)",
        lines.len(),
        ms(median),
        ms(slow),
        median.as_secs_f64() / parse.as_secs_f64(),
        ms(parse)
    );
    if let (Some(early), Some(late)) = (early, late) {
        println!("  memory {early:.0} MiB after {} edits, {late:.0} MiB after {EDITS}", EDITS / 10);
    }
}

fn main() {
    measure("demo plan", include_str!("../plans/smoked-goose-breast.haccp"));
    measure("generated plan", &generated::generated(150, 450, 25));
}
