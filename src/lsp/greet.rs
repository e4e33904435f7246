//! What the server and the editor agree on when they meet.

use super::answer::Answer;
use super::lines::Units;
use super::server::{Phase, Server};
use super::texts::path_of;
use lsp_types::*;

impl Server<'_> {
    /// Notes what the editor can do, and says what the server can.
    pub(super) fn initialize(&mut self, given: InitializeParams) -> Answer {
        self.phase = Phase::Running;
        let offered = given.capabilities.general.and_then(|general| general.position_encodings);
        self.units = Units::of(&offered.unwrap_or_default());
        let item = given.capabilities.text_document.and_then(|text| text.completion).and_then(|c| c.completion_item);
        self.snippets = item.and_then(|item| item.snippet_support).unwrap_or(false);
        #[allow(deprecated)]
        let root = given.root_uri;
        let folders = match given.workspace_folders_initialize_params.workspace_folders {
            Some(WorkspaceFolders::WorkspaceFolderList(list)) => list.into_iter().map(|folder| folder.uri).collect(),
            _ => root.into_iter().collect::<Vec<_>>(),
        };
        self.folders = folders.iter().map(path_of).collect();
        let triggers = [" ", "\"", ","].map(str::to_owned).to_vec();
        let capabilities = ServerCapabilities {
            position_encoding: Some(self.units.kind()),
            text_document_sync: Some(TextDocumentSync::Options(TextDocumentSyncOptions {
                open_close: Some(true),
                change: Some(TextDocumentSyncKind::Incremental),
                save: Some(Save::Bool(true)),
                ..TextDocumentSyncOptions::default()
            })),
            completion_provider: Some(CompletionOptions {
                trigger_characters: Some(triggers),
                ..CompletionOptions::default()
            }),
            hover_provider: Some(true.into()),
            definition_provider: Some(true.into()),
            references_provider: Some(true.into()),
            document_highlight_provider: Some(true.into()),
            document_symbol_provider: Some(true.into()),
            folding_range_provider: Some(true.into()),
            inlay_hint_provider: Some(true.into()),
            document_formatting_provider: Some(true.into()),
            rename_provider: Some(RenameProvider::RenameOptions(RenameOptions {
                prepare_provider: Some(true),
                ..RenameOptions::default()
            })),
            code_action_provider: Some(CodeActionProvider::CodeActionOptions(CodeActionOptions {
                code_action_kinds: Some(vec![CodeActionKind::QuickFix, CodeActionKind::SourceFixAll]),
                ..CodeActionOptions::default()
            })),
            workspace: Some(WorkspaceOptions {
                workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                    supported: Some(true),
                    change_notifications: Some(true.into()),
                }),
                ..WorkspaceOptions::default()
            }),
            ..ServerCapabilities::default()
        };
        Ok(serde_json::json!({
            "capabilities": serde_json::to_value(capabilities).unwrap_or_default(),
            "serverInfo": { "name": "bourn", "version": env!("CARGO_PKG_VERSION") },
        }))
    }
}
