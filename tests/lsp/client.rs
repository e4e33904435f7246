//! A plain client: bytes to the server and values back.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

pub struct Client {
    child: Child,
    to: Option<ChildStdin>,
    from: BufReader<ChildStdout>,
    next: i64,
    /// Notifications that came while an answer was waited for.
    pub notes: Vec<Value>,
}

impl Client {
    /// A server that nobody has greeted.
    pub fn silent() -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bourn"));
        command.args(["lsp", "--on", "2026-09-14"]).stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let (to, from) = (child.stdin.take(), BufReader::new(child.stdout.take().unwrap()));
        Self { child, to, from, next: 0, notes: Vec::new() }
    }

    /// A server that was greeted by an editor that takes snippets.
    pub fn start() -> Self {
        let mut client = Self::silent();
        let item = json!({ "completionItem": { "snippetSupport": true } });
        let answer = client.ask("initialize", json!({ "capabilities": { "textDocument": { "completion": item } } }));
        assert_eq!(answer["result"]["capabilities"]["positionEncoding"], "utf-16");
        client.tell("initialized", json!({}));
        client
    }

    pub fn bytes(&mut self, bytes: &[u8]) {
        let to = self.to.as_mut().unwrap();
        to.write_all(bytes).unwrap();
        to.flush().unwrap();
    }

    pub fn frame(&mut self, body: &str) {
        self.bytes(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    }

    pub fn tell(&mut self, method: &str, params: Value) {
        self.frame(&json!({ "jsonrpc": "2.0", "method": method, "params": params }).to_string());
    }

    /// Sends a request, without waiting; its number.
    pub fn request(&mut self, method: &str, params: Value) -> i64 {
        self.next += 1;
        let id = self.next;
        self.frame(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }).to_string());
        id
    }

    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        let id = self.request(method, params);
        self.answer(&json!(id))
    }

    /// The answer of this number.
    pub fn answer(&mut self, id: &Value) -> Value {
        loop {
            let message = self.read().expect("the server went away");
            if message.get("method").is_some() {
                self.notes.push(message);
            } else {
                assert_eq!(message["id"], *id, "{message}");
                return message;
            }
        }
    }

    pub fn read(&mut self) -> Option<Value> {
        let mut length = 0;
        loop {
            let mut line = String::new();
            if self.from.read_line(&mut line).unwrap() == 0 {
                return None;
            }
            match line.trim_end() {
                "" => break,
                head => length = head.strip_prefix("Content-Length: ").map_or(length, |n| n.parse().unwrap()),
            }
        }
        let mut body = vec![0; length];
        self.from.read_exact(&mut body).unwrap();
        Some(serde_json::from_slice(&body).unwrap())
    }

    pub fn open(&mut self, uri: &str, text: &str) {
        let document = json!({ "uri": uri, "languageId": "haccp", "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": document }));
    }

    /// The findings that are told next of this text.
    pub fn found(&mut self, uri: &str) -> Vec<Value> {
        let of = |note: &Value| note["method"] == "textDocument/publishDiagnostics" && note["params"]["uri"] == uri;
        loop {
            if let Some(at) = self.notes.iter().position(of) {
                return self.notes.remove(at)["params"]["diagnostics"].as_array().unwrap().clone();
            }
            let message = self.read().expect("the server went away");
            self.notes.push(message);
        }
    }

    /// Says goodbye, and waits for the end: the exit status.
    pub fn end(mut self) -> i32 {
        self.ask("shutdown", Value::Null);
        self.tell("exit", Value::Null);
        self.child.wait().unwrap().code().unwrap()
    }

    /// Goes without a word: the exit status.
    pub fn leave(mut self) -> i32 {
        self.to = None;
        self.child.wait().unwrap().code().unwrap()
    }
}
