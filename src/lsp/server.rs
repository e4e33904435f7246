//! What comes from the editor, and what goes back.

use super::answer::{Answer, Here, params};
use super::lines::Units;
use super::snapshot::{File, Known, Snapshot};
use super::texts::{Text, Texts, path_of};
use super::{Host, diagnose};
use lsp_server::{ErrorCode, Message, Notification, RequestId, Response};
use lsp_types::*;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::path::{Path, PathBuf};

/// Texts larger than this many bytes are checked when they are opened and saved, not while they are typed.
const LARGE: usize = 4 << 20;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Phase {
    Fresh,
    Running,
    ShutDown,
}

/// A language server over one stream.
pub struct Server<'h> {
    pub(super) host: &'h dyn Host,
    pub(super) phase: Phase,
    exit: Option<bool>,
    pub(super) units: Units,
    pub(super) snippets: bool,
    pub(super) texts: Texts,
    pub(super) folders: Vec<PathBuf>,
    /// The plans whose texts are open, by the text they begin with.
    plans: BTreeMap<PathBuf, Snapshot>,
    known: BTreeMap<PathBuf, Known>,
    /// Plans that changed since they were read, and those that were read and not yet told of.
    stale: BTreeSet<PathBuf>,
    untold: BTreeSet<PathBuf>,
    /// The texts that have diagnostics in the editor, with the plan they come from.
    told: BTreeMap<PathBuf, BTreeSet<String>>,
    large: BTreeSet<PathBuf>,
}

impl<'h> Server<'h> {
    /// A server that has not been greeted yet.
    #[must_use]
    pub fn new(host: &'h dyn Host) -> Self {
        Self {
            host,
            phase: Phase::Fresh,
            exit: None,
            units: Units::default(),
            snippets: false,
            texts: Texts::default(),
            folders: Vec::new(),
            plans: BTreeMap::new(),
            known: BTreeMap::new(),
            stale: BTreeSet::new(),
            untold: BTreeSet::new(),
            told: BTreeMap::new(),
            large: BTreeSet::new(),
        }
    }

    /// Whether the editor asked the server to end, and if so whether it said goodbye first.
    #[must_use]
    pub fn exit(&self) -> Option<bool> {
        self.exit
    }

    /// Takes what has come so far. A request that was cancelled before its turn is answered so.
    pub fn take_all(&mut self, messages: Vec<Message>) -> Vec<Message> {
        let cancelled: HashSet<RequestId> = messages
            .iter()
            .filter_map(|message| match message {
                Message::Notification(note) if note.method == "$/cancelRequest" => {
                    serde_json::from_value(note.params.get("id")?.clone()).ok()
                }
                _ => None,
            })
            .collect();
        let mut out = Vec::new();
        for message in messages {
            match message {
                Message::Request(request) if cancelled.contains(&request.id) => out.push(Message::Response(
                    Response::new_err(request.id, ErrorCode::RequestCanceled as i32, "cancelled".to_owned()),
                )),
                other => out.extend(self.take(other)),
            }
        }
        out
    }

    /// Takes one message; the answers to it.
    pub fn take(&mut self, message: Message) -> Vec<Message> {
        match message {
            Message::Request(request) => {
                let id = request.id.clone();
                let response = match self.answer(request) {
                    Ok(result) => Response::new_ok(id, result),
                    Err((code, why)) => Response::new_err(id, code as i32, why),
                };
                vec![Message::Response(response)]
            }
            Message::Notification(note) => self.note(note),
            Message::Response(_) => Vec::new(),
        }
    }

    fn note(&mut self, note: Notification) -> Vec<Message> {
        let Notification { method, params: given } = note;
        if method == "exit" {
            self.exit = Some(self.phase == Phase::ShutDown);
            return Vec::new();
        }
        if self.phase != Phase::Running {
            return Vec::new();
        }
        let taken = match method.as_str() {
            "textDocument/didOpen" => params(given).map(|given| self.open(given)),
            "textDocument/didChange" => params(given).map(|given| self.change(given)),
            "textDocument/didSave" => params(given).map(|given: DidSaveTextDocumentParams| {
                let path = path_of(&given.text_document.uri);
                self.large.remove(&path);
                self.touch(&path);
                Vec::new()
            }),
            "textDocument/didClose" => params(given).map(|given| self.close(given)),
            // Another file changed: any plan may include it.
            "workspace/didChangeWatchedFiles" => {
                self.stale.extend(self.plans.keys().cloned());
                Ok(Vec::new())
            }
            "workspace/didChangeWorkspaceFolders" => params(given).map(|given: DidChangeWorkspaceFoldersParams| {
                let gone: Vec<PathBuf> = given.event.removed.iter().map(|folder| path_of(&folder.uri)).collect();
                self.folders.retain(|folder| !gone.contains(folder));
                self.folders.extend(given.event.added.iter().map(|folder| path_of(&folder.uri)));
                Vec::new()
            }),
            _ => Ok(Vec::new()),
        };
        taken.unwrap_or_else(|(_, why)| vec![show(&format!("`{method}`: {why}"))])
    }

    fn open(&mut self, given: DidOpenTextDocumentParams) -> Vec<Message> {
        let item = given.text_document;
        let path = path_of(&item.uri);
        let root = self.root_of(&path, &item.text);
        self.texts.put(path.clone(), Text { uri: item.uri, version: item.version, text: item.text });
        self.stale.insert(root);
        self.touch(&path);
        Vec::new()
    }

    fn change(&mut self, given: DidChangeTextDocumentParams) -> Vec<Message> {
        let id = given.text_document;
        let path = path_of(&id.text_document_identifier.uri);
        if !self.texts.change(&path, id.version, given.content_changes, self.units) {
            return vec![show(&format!("`{}` was changed before it was opened", path.display()))];
        }
        self.touch(&path);
        let large = self.texts.get(&path).is_some_and(|open| open.text.len() > LARGE);
        if large && self.large.insert(path.clone()) {
            let size = LARGE >> 20;
            return vec![show(&format!(
                "`{}` is larger than {size} MiB; it is checked when it is saved",
                path.display()
            ))];
        }
        Vec::new()
    }

    fn close(&mut self, given: DidCloseTextDocumentParams) -> Vec<Message> {
        let path = path_of(&given.text_document.uri);
        if !self.texts.close(&path) {
            return Vec::new();
        }
        self.large.remove(&path);
        self.touch(&path);
        let open = |root: &PathBuf, snapshot: &Snapshot| {
            self.texts.get(root).is_some() || snapshot.files.iter().any(|file| self.texts.get(&file.path).is_some())
        };
        let gone: Vec<PathBuf> =
            self.plans.iter().filter(|(root, snapshot)| !open(root, snapshot)).map(|(root, _)| root.clone()).collect();
        let mut out = Vec::new();
        for root in gone {
            out.extend(self.drop_plan(&root));
        }
        // A plan that was opened and closed before it was ever read.
        let texts = &self.texts;
        let plans = &self.plans;
        self.stale.retain(|root| plans.contains_key(root) || texts.get(root).is_some());
        out
    }

    /// Marks every plan that a text belongs to.
    fn touch(&mut self, path: &Path) {
        let holds = |snapshot: &Snapshot| snapshot.root == path || snapshot.file(path).is_some();
        let roots = self.plans.iter().filter(|(_, snapshot)| holds(snapshot)).map(|(root, _)| root.clone());
        self.stale.extend(roots);
    }

    /// The text that the plan of this one begins with: itself, unless another plan includes it.
    fn root_of(&self, path: &Path, text: &str) -> PathBuf {
        let begins = |text: &str| text.lines().any(|line| line.starts_with("plan "));
        let own = path.to_path_buf();
        if begins(text) || !path.is_absolute() {
            return own;
        }
        if let Some(root) = self.plans.values().find(|snapshot| snapshot.file(path).is_some()) {
            return root.root.clone();
        }
        let folders: Vec<&Path> =
            self.folders.iter().map(PathBuf::as_path).filter(|folder| path.starts_with(folder)).collect();
        let folders = if folders.is_empty() { path.parent().into_iter().collect() } else { folders };
        let candidates = folders.into_iter().flat_map(|folder| self.host.plans(folder));
        for candidate in candidates.filter(|candidate| candidate != path) {
            let text = match self.texts.get(&candidate) {
                Some(open) => open.text.clone(),
                None => self.host.text(&candidate).unwrap_or_default(),
            };
            let includes = text.lines().any(|line| line.starts_with("include "));
            if includes && begins(&text) {
                let snapshot = Snapshot::take(&candidate, &self.texts, self.host, self.units);
                if snapshot.file(path).is_some() {
                    return candidate;
                }
            }
        }
        own
    }

    /// Reads a plan anew.
    fn refresh(&mut self, root: &Path) {
        let snapshot = Snapshot::take(root, &self.texts, self.host, self.units);
        if snapshot.whole() {
            self.known.insert(root.to_path_buf(), Known::of(&snapshot));
        }
        self.stale.remove(root);
        self.untold.insert(root.to_path_buf());
        self.plans.insert(root.to_path_buf(), snapshot);
    }

    fn is_large(&self, root: &Path) -> bool {
        let of_plan =
            |path: &PathBuf| path == root || self.plans.get(root).is_some_and(|snapshot| snapshot.file(path).is_some());
        self.large.iter().any(of_plan)
    }

    /// Checks what has changed; the diagnostics that follow.
    pub fn settle(&mut self) -> Vec<Message> {
        self.read_stale();
        let mut out = self.regroup();
        self.read_stale();
        for root in std::mem::take(&mut self.untold) {
            let Some(snapshot) = self.plans.get(&root) else { continue };
            let found = diagnose::diagnose(snapshot);
            let texts: BTreeSet<String> = found.keys().cloned().collect();
            let before = self.told.insert(root, texts.clone()).unwrap_or_default();
            for uri in before.difference(&texts) {
                out.push(self.publish(uri, Vec::new()));
            }
            for (uri, diagnostics) in found {
                out.push(self.publish(&uri, diagnostics));
            }
        }
        out
    }

    fn read_stale(&mut self) {
        let ready: Vec<PathBuf> = self.stale.iter().filter(|root| !self.is_large(root)).cloned().collect();
        for root in ready {
            self.refresh(&root);
        }
    }

    /// A text that another plan has come to include is no plan by itself any more; one that no plan includes any more
    /// is. What was told of texts that no plan holds now is taken back.
    fn regroup(&mut self) -> Vec<Message> {
        let held = |root: &Path, snapshot: &Snapshot| {
            let other = self.plans.values().any(|other| other.root != root && other.file(root).is_some());
            other && snapshot.plan.head.is_none()
        };
        let gone: Vec<PathBuf> =
            self.plans.iter().filter(|(root, snapshot)| held(root, snapshot)).map(|(root, _)| root.clone()).collect();
        let mut out = Vec::new();
        for root in gone {
            out.extend(self.drop_plan(&root));
        }
        let alone = |path: &&PathBuf| {
            !self.plans.values().any(|snapshot| snapshot.root == **path || snapshot.file(path).is_some())
        };
        let alone: Vec<PathBuf> = self.texts.paths().filter(alone).cloned().collect();
        for path in alone {
            if let Some(open) = self.texts.get(&path) {
                let root = self.root_of(&path, &open.text);
                self.stale.insert(root);
            }
        }
        out
    }

    /// Forgets a plan, and takes back what was told of texts that no other plan holds.
    fn drop_plan(&mut self, root: &Path) -> Vec<Message> {
        self.plans.remove(root);
        self.known.remove(root);
        self.stale.remove(root);
        self.untold.remove(root);
        let told = self.told.remove(root).unwrap_or_default();
        let elsewhere: BTreeSet<String> = self.told.values().flatten().cloned().collect();
        // A plan that holds one of them tells of it anew.
        self.untold
            .extend(self.told.iter().filter(|(_, texts)| !texts.is_disjoint(&told)).map(|(root, _)| root.clone()));
        told.difference(&elsewhere).map(|uri| self.publish(uri, Vec::new())).collect()
    }

    fn publish(&self, uri: &str, diagnostics: Vec<Diagnostic>) -> Message {
        let open = self.texts.get(&path_of(&Uri::from(uri)));
        let version = open.map(|open| open.version);
        // The editor's own spelling of the address.
        let uri = open.map_or_else(|| Uri::from(uri), |open| open.uri.clone());
        let params = PublishDiagnosticsParams { uri, version, diagnostics };
        Message::Notification(Notification::new("textDocument/publishDiagnostics".to_owned(), params))
    }

    /// Answers from the plan that a text belongs to, as it stands now; null where the text is in no plan.
    pub(super) fn file(&mut self, uri: &Uri, answer: impl FnOnce(&Snapshot, &File) -> Answer) -> Answer {
        self.with(uri, |snapshot, file, _| answer(snapshot, file))
    }

    fn with(&mut self, uri: &Uri, answer: impl FnOnce(&Snapshot, &File, &Known) -> Answer) -> Answer {
        let path = path_of(uri);
        let holds = |snapshot: &&Snapshot| snapshot.root == path || snapshot.file(&path).is_some();
        let root = match self.plans.values().find(holds) {
            Some(snapshot) => snapshot.root.clone(),
            None => match self.texts.get(&path) {
                Some(open) => self.root_of(&path, &open.text.clone()),
                None => return Ok(Value::Null),
            },
        };
        if self.stale.contains(&root) || !self.plans.contains_key(&root) {
            if self.is_large(&root) {
                return Ok(Value::Null);
            }
            self.refresh(&root);
        }
        let nothing = Known::default();
        let known = self.known.get(&root).unwrap_or(&nothing);
        let Some(snapshot) = self.plans.get(&root) else { return Ok(Value::Null) };
        match snapshot.file(&path) {
            Some(file) => answer(snapshot, file, known),
            None => Ok(Value::Null),
        }
    }

    pub(super) fn at(&mut self, asked: &TextDocumentPositionParams, answer: impl FnOnce(Here<'_>) -> Answer) -> Answer {
        self.with(&asked.text_document.uri, |snapshot, file, known| {
            let at = file.lines.offset(snapshot.text(file), asked.position);
            answer(Here { snapshot, file, at, known })
        })
    }
}

/// A word to the person at the editor.
fn show(words: &str) -> Message {
    let params = ShowMessageParams { kind: MessageType::Warning, message: words.to_owned() };
    Message::Notification(Notification::new("window/showMessage".to_owned(), params))
}
