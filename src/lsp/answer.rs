//! One answer for each request that an editor may make.

use super::server::{Phase, Server};
use super::snapshot::{File, Known, Snapshot};
use super::texts::path_of;
use super::{actions, complete, fold, hover, inlay, outline, refer};
use crate::finding::Finding;
use lsp_server::{ErrorCode, Request};
use lsp_types::*;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// An answer, or the code and words of a refusal.
pub(super) type Answer = Result<Value, (ErrorCode, String)>;

fn value(answer: impl Serialize) -> Answer {
    serde_json::to_value(answer).map_err(|error| (ErrorCode::InternalError, error.to_string()))
}

pub(super) fn params<T: DeserializeOwned>(given: Value) -> Result<T, (ErrorCode, String)> {
    serde_json::from_value(given)
        .map_err(|error| (ErrorCode::InvalidParams, format!("the parameters do not fit: {error}")))
}

/// A byte of a text of a plan.
pub(super) struct Here<'a> {
    pub(super) snapshot: &'a Snapshot,
    pub(super) file: &'a File,
    pub(super) at: usize,
    pub(super) known: &'a Known,
}

fn said(finding: &Finding) -> String {
    match &finding.help {
        Some(help) => format!("{}: {help}", finding.message),
        None => finding.message.clone(),
    }
}

impl Server<'_> {
    /// Answers one request.
    pub(super) fn answer(&mut self, request: Request) -> Answer {
        let Request { method, params: given, .. } = request;
        match (self.phase, method.as_str()) {
            (Phase::Fresh, "initialize") => return self.initialize(params(given)?),
            (Phase::Fresh, _) => return Err((ErrorCode::ServerNotInitialized, "`initialize` comes first".to_owned())),
            (Phase::ShutDown, _) => return Err((ErrorCode::InvalidRequest, "the server was shut down".to_owned())),
            (Phase::Running, "initialize") => {
                return Err((ErrorCode::InvalidRequest, "`initialize` came already".to_owned()));
            }
            (Phase::Running, "shutdown") => {
                self.phase = Phase::ShutDown;
                return Ok(Value::Null);
            }
            (Phase::Running, _) => {}
        }
        match method.as_str() {
            "textDocument/completion" => {
                let asked: CompletionParams = params(given)?;
                let (snippets, host) = (self.snippets, self.host);
                self.at(&asked.text_document_position_params, |here| {
                    let plans = |folder: &std::path::Path| host.plans(folder);
                    value(complete::complete(here.snapshot, here.file, here.at, here.known, snippets, &plans))
                })
            }
            "textDocument/hover" => {
                let asked: HoverParams = params(given)?;
                self.at(&asked.text_document_position_params, |here| {
                    value(hover::hover(here.snapshot, here.file, here.at, here.known))
                })
            }
            "textDocument/definition" => {
                let asked: DefinitionParams = params(given)?;
                self.at(&asked.text_document_position_params, |here| {
                    value(refer::definition(here.snapshot, here.file, here.at))
                })
            }
            "textDocument/references" => {
                let asked: ReferenceParams = params(given)?;
                let declared = asked.context.include_declaration;
                self.at(&asked.text_document_position_params, |here| {
                    value(refer::references(here.snapshot, here.file, here.at, declared))
                })
            }
            "textDocument/documentHighlight" => {
                let asked: DocumentHighlightParams = params(given)?;
                self.at(&asked.text_document_position_params, |here| {
                    value(refer::highlights(here.snapshot, here.file, here.at))
                })
            }
            "textDocument/prepareRename" => {
                let asked: PrepareRenameParams = params(given)?;
                self.at(&asked.text_document_position_params, |here| {
                    value(refer::renamable(here.snapshot, here.file, here.at))
                })
            }
            "textDocument/rename" => {
                let asked: RenameParams = params(given)?;
                let new = asked.new_name;
                self.at(&asked.text_document_position_params, |here| {
                    match refer::rename(here.snapshot, here.file, here.at, &new) {
                        Ok(edit) => value(edit),
                        Err(why) => Err((ErrorCode::RequestFailed, why)),
                    }
                })
            }
            "textDocument/documentSymbol" => {
                let asked: DocumentSymbolParams = params(given)?;
                self.file(&asked.text_document.uri, |snapshot, file| value(outline::outline(snapshot, file)))
            }
            "textDocument/foldingRange" => {
                let asked: FoldingRangeParams = params(given)?;
                self.file(&asked.text_document.uri, |snapshot, file| value(fold::folds(snapshot, file)))
            }
            "textDocument/inlayHint" => {
                let asked: InlayHintParams = params(given)?;
                self.file(&asked.text_document.uri, |snapshot, file| value(inlay::hints(snapshot, file, asked.range)))
            }
            "textDocument/codeAction" => {
                let asked: CodeActionParams = params(given)?;
                self.file(&asked.text_document.uri, |snapshot, file| {
                    value(actions::actions(snapshot, file, asked.range, asked.context.only.as_deref()))
                })
            }
            "textDocument/formatting" => {
                let asked: DocumentFormattingParams = params(given)?;
                let path = path_of(&asked.text_document.uri);
                let Some(open) = self.texts.get(&path) else { return Ok(Value::Null) };
                match fold::formatted(&open.text, self.units) {
                    Ok(edits) => value(edits),
                    Err(finding) => Err((ErrorCode::RequestFailed, said(&finding))),
                }
            }
            _ => Err((ErrorCode::MethodNotFound, format!("`{method}` is not known here"))),
        }
    }
}
