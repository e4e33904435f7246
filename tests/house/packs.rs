//! The editor packs: made from the vocabulary, and compared with it. `BOURN_BLESS=1` writes them anew.

use crate::{text, top};
use bourn::quantity::UNITS;
use bourn::syntax::words::{Use, words};
use serde_json::{Value, json};

/// Words of one use, longest first, so that none is taken for the beginning of another.
fn of(used: Use) -> Vec<&'static str> {
    let mut list: Vec<&str> = words().iter().filter(|word| word.used == used).map(|word| word.word.as_str()).collect();
    list.sort_by(|a, b| b.len().cmp(&a.len()).then(a.cmp(b)));
    list.dedup();
    list
}

fn units() -> Vec<&'static str> {
    let mut list: Vec<&str> =
        UNITS.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.also.iter().copied())).collect();
    list.sort_by(|a, b| b.len().cmp(&a.len()).then(a.cmp(b)));
    list
}

/// A list as one choice of a pattern, with what means something in a pattern escaped.
fn choice(list: &[&str]) -> String {
    let escaped = |word: &&str| {
        word.chars()
            .map(|c| if "/.·%".contains(c) && c != '·' && c != '%' { format!("\\{c}") } else { c.to_string() })
            .collect::<String>()
    };
    list.iter().map(escaped).collect::<Vec<_>>().join("|")
}

const MADE: &str = "Made from grammar/words.csv and the table of units; a test keeps it so.";
/// Where a word ends: no letter, digit, hyphen or underscore follows.
const END: &str = "(?![\\p{L}\\p{N}_-])";
const START: &str = "(?<![\\p{L}\\p{N}_-])";

/// The colours of a plan, for every editor that reads TextMate grammars.
fn textmate() -> String {
    let (blocks, statements, inside) = (choice(&of(Use::Block)), choice(&of(Use::Statement)), choice(&of(Use::Inside)));
    let grammar = json!({
        "information_for_contributors": [MADE],
        "name": "HACCP plan",
        "scopeName": "source.haccp",
        "fileTypes": ["haccp"],
        "patterns": [
            { "include": "#comment" }, { "include": "#text" }, { "include": "#block" }, { "include": "#statement" },
            { "include": "#blank" }, { "include": "#date" }, { "include": "#quantity" }, { "include": "#sign" },
            { "include": "#inside" }, { "include": "#brace" }
        ],
        "repository": {
            "comment": { "name": "comment.line.number-sign.haccp", "match": "(?<=^|\\s)#(?=\\s|$).*$" },
            "text": {
                "name": "string.quoted.double.haccp",
                "begin": "[\"\u{201C}\u{201D}\u{201E}]",
                "end": "[\"\u{201C}\u{201D}\u{201E}]|$",
                "patterns": [{ "name": "constant.character.escape.haccp", "match": "\"\"" }]
            },
            "block": {
                "match": format!("^({blocks}){END}(?:[ \\t]+(model){END})?(?:[ \\t]+([\\p{{L}}][\\p{{L}}\\p{{N}}._-]*))?"),
                "captures": {
                    "1": { "name": "keyword.control.block.haccp" },
                    "2": { "name": "keyword.control.block.haccp" },
                    "3": { "name": "entity.name.type.haccp" }
                }
            },
            "statement": {
                "match": format!("(?:^[ \\t]+|(?<=[{{;])[ \\t]*)({statements}){END}"),
                "captures": { "1": { "name": "keyword.other.statement.haccp" } }
            },
            "blank": { "name": "invalid.deprecated.blank.haccp", "match": format!("{START}_{{3,}}{END}") },
            "date": { "name": "constant.other.date.haccp", "match": format!("{START}[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}{END}") },
            "quantity": {
                "match": format!("{START}([-\u{2212}]?[0-9]+(?:\\.[0-9]+)?(?:e-?[0-9]+)?)(?:[ \\t]*({})(?![\\p{{L}}\\p{{N}}/·]))?", choice(&units())),
                "captures": {
                    "1": { "name": "constant.numeric.haccp" },
                    "2": { "name": "keyword.other.unit.haccp" }
                }
            },
            "sign": { "name": "keyword.operator.comparison.haccp", "match": "<=|>=|[<>=≤≥±]" },
            "inside": { "name": "keyword.other.haccp", "match": format!("{START}(?:{inside}){END}") },
            "brace": { "name": "punctuation.section.block.haccp", "match": "[{}]" }
        }
    });
    serde_json::to_string_pretty(&grammar).unwrap() + "\n"
}

fn vim_syntax() -> String {
    let list = |words: &[&str]| words.iter().map(|word| word.replace('/', "\\/")).collect::<Vec<_>>().join("\\|");
    let unit = |words: &[&str]| {
        words.iter().map(|word| word.replace('/', "\\/").replace('.', "\\.")).collect::<Vec<_>>().join("\\|")
    };
    format!(
        "\" Vim syntax of a HACCP plan. {MADE}\n\
         if exists('b:current_syntax')\n  finish\nendif\n\
         syntax case match\nsyntax iskeyword @,48-57,_,-,192-255\n\
         syntax match haccpInside /\\<\\%({inside}\\)\\>/\n\
         syntax match haccpStatement /\\%(^\\s\\+\\|[{{;]\\s*\\)\\@<=\\%({statements}\\)\\>/\n\
         syntax match haccpBlock /^\\%({blocks}\\)\\>/ nextgroup=haccpName skipwhite\n\
         syntax match haccpName /\\a[^ \\t\"{{]*/ contained\n\
         syntax match haccpNumber /\\<[0-9]\\+\\%(\\.[0-9]\\+\\)\\?/ nextgroup=haccpUnit skipwhite\n\
         syntax match haccpDate /\\<[0-9]\\{{4}}-[0-9]\\{{2}}-[0-9]\\{{2}}\\>/\n\
         syntax match haccpUnit /\\%({units}\\)\\ze\\%([^A-Za-z0-9\\/]\\|$\\)/ contained\n\
         syntax match haccpSign /<=\\|>=\\|[<>=≤≥±]/\n\
         syntax match haccpBlank /\\<___\\+\\>/\n\
         syntax region haccpText start=/[\"“”„]/ end=/[\"“”„]\\|$/\n\
         syntax match haccpComment /\\%(^\\|\\s\\)\\@<=#\\%(\\s.*\\)\\?$/\n\
         highlight default link haccpBlock Keyword\nhighlight default link haccpName Type\n\
         highlight default link haccpStatement Statement\nhighlight default link haccpInside Keyword\n\
         highlight default link haccpNumber Number\nhighlight default link haccpUnit Special\n\
         highlight default link haccpDate Constant\nhighlight default link haccpSign Operator\n\
         highlight default link haccpBlank Todo\nhighlight default link haccpText String\n\
         highlight default link haccpComment Comment\n\
         let b:current_syntax = 'haccp'\n",
        blocks = list(&of(Use::Block)),
        statements = list(&of(Use::Statement)),
        inside = list(&of(Use::Inside)),
        units = unit(&units()),
    )
}

fn pretty(value: &Value) -> String {
    serde_json::to_string_pretty(value).unwrap() + "\n"
}

fn vscode_manifest() -> String {
    pretty(&json!({
        "name": "haccp-plan",
        "displayName": "HACCP plan",
        "description": "Findings, meanings and colours of a HACCP plan as plain text, served by bourn lsp",
        "version": env!("CARGO_PKG_VERSION"),
        "publisher": "bourn",
        "license": "MIT OR Apache-2.0",
        "private": true,
        "engines": { "vscode": "^1.91.0" },
        "categories": ["Programming Languages", "Linters", "Formatters"],
        "activationEvents": [],
        "main": "./extension.js",
        "contributes": {
            "languages": [{
                "id": "haccp",
                "aliases": ["HACCP plan"],
                "extensions": [".haccp"],
                "configuration": "./language-configuration.json"
            }],
            "grammars": [{ "language": "haccp", "scopeName": "source.haccp", "path": "./haccp.tmLanguage.json" }],
            "configuration": {
                "title": "HACCP plan",
                "properties": {
                    "bourn.path": {
                        "type": "string",
                        "default": "bourn",
                        "scope": "machine",
                        "description": "The program bourn, where it is not found by its name."
                    }
                }
            }
        },
        "dependencies": { "vscode-languageclient": "^9.0.1" }
    }))
}

fn vscode_language() -> String {
    pretty(&json!({
        "comments": { "lineComment": "#" },
        "brackets": [["{", "}"]],
        "autoClosingPairs": [
            { "open": "{", "close": "}" },
            { "open": "\"", "close": "\"", "notIn": ["string", "comment"] }
        ],
        "surroundingPairs": [["{", "}"], ["\"", "\""]],
        "wordPattern": "[\\p{L}\\p{N}](?:[\\p{L}\\p{N}._-]*[\\p{L}\\p{N}])?",
        "indentationRules": { "increaseIndentPattern": "\\{\\s*(#\\s.*)?$", "decreaseIndentPattern": "^\\s*\\}" }
    }))
}

const VSCODE_EXTENSION: &str = "// Starts the language server of the plan. Made by a test of the project, which keeps it so.\n\
'use strict';\n\
const { workspace } = require('vscode');\n\
const { LanguageClient } = require('vscode-languageclient/node');\n\
\n\
let client;\n\
\n\
exports.activate = async function () {\n\
  const command = workspace.getConfiguration('bourn').get('path') || 'bourn';\n\
  const server = { command, args: ['lsp'] };\n\
  const options = {\n\
    documentSelector: [{ language: 'haccp' }],\n\
    synchronize: { fileEvents: workspace.createFileSystemWatcher('**/*.{haccp,sign-off,allowed-signers}') },\n\
  };\n\
  client = new LanguageClient('bourn', 'HACCP plan', server, options);\n\
  await client.start();\n\
};\n\
\n\
exports.deactivate = () => client && client.stop();\n";

const HELIX: &str = "# Helix: what goes into languages.toml. Helix takes its colours from another kind of grammar, so there are none.\n\
[language-server.bourn]\n\
command = \"bourn\"\n\
args = [\"lsp\"]\n\
\n\
[[language]]\n\
name = \"haccp\"\n\
scope = \"source.haccp\"\n\
file-types = [\"haccp\"]\n\
comment-tokens = [\"#\"]\n\
indent = { tab-width = 2, unit = \"  \" }\n\
language-servers = [\"bourn\"]\n\
auto-format = false\n";

const NVIM: &str = "-- Neovim 0.11 or newer: the language server of a HACCP plan.\n\
return {\n\
  cmd = { 'bourn', 'lsp' },\n\
  filetypes = { 'haccp' },\n\
  root_markers = { '.git' },\n\
}\n";

const FTPLUGIN: &str = "\" Settings for a HACCP plan.\n\
setlocal commentstring=#\\ %s comments=:#\n\
setlocal expandtab shiftwidth=2 softtabstop=2\n\
setlocal iskeyword+=-\n";

fn packs() -> Vec<(&'static str, String)> {
    vec![
        ("grammar/haccp.tmLanguage.json", textmate()),
        ("grammar/vscode/haccp.tmLanguage.json", textmate()),
        ("grammar/vscode/package.json", vscode_manifest()),
        ("grammar/vscode/language-configuration.json", vscode_language()),
        ("grammar/vscode/extension.js", VSCODE_EXTENSION.to_owned()),
        ("grammar/vim/syntax/haccp.vim", vim_syntax()),
        ("grammar/vim/ftdetect/haccp.vim", "autocmd BufNewFile,BufRead *.haccp set filetype=haccp\n".to_owned()),
        ("grammar/vim/ftplugin/haccp.vim", FTPLUGIN.to_owned()),
        ("grammar/vim/lsp/bourn.lua", NVIM.to_owned()),
        ("grammar/helix/languages.toml", HELIX.to_owned()),
    ]
}

#[test]
fn the_packs_are_those_of_the_vocabulary() {
    for (path, wanted) in packs() {
        let file = top().join(path);
        if std::env::var_os("BOURN_BLESS").is_some() {
            std::fs::create_dir_all(file.parent().unwrap()).unwrap();
            std::fs::write(&file, &wanted).unwrap();
        }
        assert!(text(path) == wanted, "{path} is not what the vocabulary makes; BOURN_BLESS=1 writes it anew");
    }
}
