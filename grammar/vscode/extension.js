// Starts the language server of the plan. Made by a test of the project, which keeps it so.
'use strict';
const { workspace } = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');

let client;

exports.activate = async function () {
const command = workspace.getConfiguration('bourn').get('path') || 'bourn';
const server = { command, args: ['lsp'] };
const options = {
documentSelector: [{ language: 'haccp' }],
synchronize: { fileEvents: workspace.createFileSystemWatcher('**/*.{haccp,sign-off,allowed-signers}') },
};
client = new LanguageClient('bourn', 'HACCP plan', server, options);
await client.start();
};

exports.deactivate = () => client && client.stop();
