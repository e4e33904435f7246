//! One file a case: a plan, the questions of an editor, and the answers. `BOURN_BLESS=1` writes the answers anew.
//!
//! A question is a word and a piece of the plan with `|` where the cursor stands; `…` in the answer stands for lines that
//! were left out.

use crate::client::Client;
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

const URI: &str = "file:///plans/case.haccp";

fn place(text: &str, piece: &str) -> Value {
    let cursor = piece.find('|').unwrap_or(0);
    let piece = piece.replace('|', "");
    assert_eq!(text.matches(&piece).count(), 1, "`{piece}` stands once");
    let at = text.find(&piece).unwrap() + cursor;
    let line = text[..at].matches('\n').count();
    let start = text[..at].rfind('\n').map_or(0, |nl| nl + 1);
    json!({ "line": line, "character": text[start..at].encode_utf16().count() })
}

fn spot(at: &Value) -> String {
    format!("{}:{}", at["line"].as_u64().unwrap() + 1, at["character"].as_u64().unwrap() + 1)
}

fn edits(text: &str, list: &[Value]) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let mut out = String::new();
    for edit in list {
        let line = usize::try_from(edit["range"]["start"]["line"].as_u64().unwrap()).unwrap();
        let there = lines.get(line).unwrap_or(&"").trim();
        writeln!(
            out,
            "{} to {}: {} in `{there}`",
            spot(&edit["range"]["start"]),
            spot(&edit["range"]["end"]),
            edit["newText"]
        )
        .unwrap();
    }
    out
}

fn symbols(list: &Value, depth: usize, out: &mut String) {
    for one in list.as_array().into_iter().flatten() {
        let detail = one["detail"].as_str().map(|detail| format!(" ({detail})")).unwrap_or_default();
        writeln!(
            out,
            "{}{} {}{detail}",
            "  ".repeat(depth),
            spot(&one["selectionRange"]["start"]),
            one["name"].as_str().unwrap()
        )
        .unwrap();
        symbols(&one["children"], depth + 1, out);
    }
}

fn ask(client: &mut Client, text: &str, question: &str) -> String {
    let (word, piece) = question.split_once(' ').unwrap_or((question, ""));
    let document = json!({ "uri": URI });
    let at = |mut more: Value| {
        more["textDocument"] = json!({ "uri": URI });
        more["position"] = place(text, piece);
        more
    };
    let everything = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99_999, "character": 0 } });
    let mut out = String::new();
    match word {
        "hover" => match client.ask("textDocument/hover", at(json!({})))["result"]["contents"]["value"].as_str() {
            Some(words) => out.push_str(words),
            None => out.push_str("nothing"),
        },
        "complete" => {
            let answer = client.ask("textDocument/completion", at(json!({})));
            let labels: Vec<&str> =
                answer["result"].as_array().unwrap().iter().map(|item| item["label"].as_str().unwrap()).collect();
            out.push_str(&labels.join(" | "));
        }
        "snippet" => {
            let (label, piece) = piece.split_once(' ').unwrap();
            let asked = json!({ "textDocument": document, "position": place(text, piece) });
            let answer = client.ask("textDocument/completion", asked);
            let items = answer["result"].as_array().unwrap();
            let wanted = format!("{label} …");
            let item = items.iter().find(|item| item["label"] == wanted.as_str()).expect("a block of this word");
            out.push_str(item["textEdit"]["newText"].as_str().unwrap());
        }
        "definition" | "references" => {
            let context = json!({ "context": { "includeDeclaration": true } });
            let answer = client.ask(&format!("textDocument/{word}"), at(context));
            for one in answer["result"].as_array().into_iter().flatten() {
                let line = usize::try_from(one["range"]["start"]["line"].as_u64().unwrap()).unwrap();
                writeln!(out, "{}: {}", spot(&one["range"]["start"]), text.lines().nth(line).unwrap().trim()).unwrap();
            }
        }
        "rename" => {
            let (new, piece) = piece.split_once(' ').unwrap();
            let asked = json!({ "textDocument": document, "position": place(text, piece), "newName": new });
            let answer = client.ask("textDocument/rename", asked);
            match answer["error"]["message"].as_str() {
                Some(why) => out.push_str(why),
                None => out.push_str(&edits(text, answer["result"]["changes"][URI].as_array().unwrap())),
            }
        }
        "outline" => {
            let answer = client.ask("textDocument/documentSymbol", json!({ "textDocument": document }));
            symbols(&answer["result"], 0, &mut out);
        }
        "fold" => {
            let answer = client.ask("textDocument/foldingRange", json!({ "textDocument": document }));
            let lines = |fold: &Value, key: &str| fold[key].as_u64().unwrap() + 1;
            for fold in answer["result"].as_array().unwrap() {
                let kind = fold["kind"].as_str().unwrap();
                writeln!(out, "{} to {} {kind}", lines(fold, "startLine"), lines(fold, "endLine")).unwrap();
            }
        }
        "inlay" => {
            let answer = client.ask("textDocument/inlayHint", json!({ "textDocument": document, "range": everything }));
            for hint in answer["result"].as_array().unwrap() {
                writeln!(out, "{} {}", spot(&hint["position"]), hint["label"].as_str().unwrap()).unwrap();
            }
        }
        "actions" => {
            let asked = json!({ "textDocument": document, "range": everything, "context": { "diagnostics": [] } });
            let answer = client.ask("textDocument/codeAction", asked);
            for action in answer["result"].as_array().unwrap() {
                writeln!(out, "{}: {}", action["kind"].as_str().unwrap(), action["title"].as_str().unwrap()).unwrap();
                for line in edits(text, action["edit"]["changes"][URI].as_array().unwrap()).lines() {
                    writeln!(out, "  {line}").unwrap();
                }
            }
        }
        "format" => {
            let options = json!({ "tabSize": 2, "insertSpaces": true });
            let answer = client.ask("textDocument/formatting", json!({ "textDocument": document, "options": options }));
            let list = answer["result"].as_array().unwrap();
            out.push_str(list.first().map_or("nothing to change", |edit| edit["newText"].as_str().unwrap()));
        }
        other => panic!("`{other}` is no question"),
    }
    out
}

fn run(path: &Path) -> String {
    let case = std::fs::read_to_string(path).unwrap();
    let (text, questions) = case.split_once("\n====\n").expect("a line of ==== after the plan");
    let text = format!("{text}\n");
    let mut client = Client::start();
    client.open(URI, &text);
    let found = client.found(URI);
    let mut out = format!("{text}====\n");
    for question in questions.lines().filter_map(|line| line.strip_prefix("? ")) {
        writeln!(out, "? {question}").unwrap();
        let answer = if question == "findings" {
            let words = |one: &Value| {
                let message = one["message"].as_str().unwrap().lines().next().unwrap().to_owned();
                format!(
                    "{} to {} {}: {message}\n",
                    spot(&one["range"]["start"]),
                    spot(&one["range"]["end"]),
                    one["code"].as_str().unwrap()
                )
            };
            found.iter().map(words).collect()
        } else {
            ask(&mut client, &text, question)
        };
        for line in answer.trim_end().lines() {
            out.push_str(format!("    {line}").trim_end());
            out.push('\n');
        }
    }
    assert_eq!(client.end(), 0);
    out
}

#[test]
fn the_server_answers_as_the_cases_say() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/lsp/cases");
    let mut cases: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 4, "{cases:?}");
    let mut wrong = Vec::new();
    for path in cases {
        let (wanted, got) = (std::fs::read_to_string(&path).unwrap(), run(&path));
        if wanted != got {
            if std::env::var_os("BOURN_BLESS").is_some() {
                std::fs::write(&path, &got).unwrap();
            } else {
                wrong.push(format!("{}:\n{got}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
