//! What no editor should send: a clear answer, and the server lives.

use crate::client::Client;
use serde_json::{Value, json};

const URI: &str = "file:///plans/a.haccp";

/// The server still answers.
fn lives(mut client: Client) {
    client.open(URI, "plan a \"A\" {\n}\n");
    assert!(!client.found(URI).is_empty());
    assert_eq!(client.end(), 0);
}

#[test]
fn what_is_no_message_costs_itself_alone() {
    for (bytes, code, words) in [
        ("Content-Length: 5\r\n\r\n{\"a\":", -32700, "no JSON"),
        ("Content-Length: 2\r\n\r\n[]", -32600, "neither"),
        ("Content-Length: 15\r\n\r\n{\"jsonrpc\":\"2\"}", -32600, "neither"),
        ("Content-Type: x\r\n\r\n", -32700, "Content-Length"),
        ("Content-Length: many\r\n\r\n", -32700, "Content-Length"),
        ("Content-Length: 4\r\n\r\n\u{1F600}", -32700, "no JSON"),
    ] {
        let mut client = Client::start();
        client.bytes(bytes.as_bytes());
        let answer = client.answer(&Value::Null);
        assert_eq!(answer["error"]["code"], code, "{bytes}");
        assert!(answer["error"]["message"].as_str().unwrap().contains(words), "{answer}");
        lives(client);
    }
    // The number of a request that does not fit is given back.
    let mut client = Client::start();
    client.frame("{\"jsonrpc\":\"2.0\",\"id\":\"seven\",\"method\":7}");
    assert_eq!(client.answer(&json!("seven"))["error"]["code"], -32600);
    lives(client);
}

#[test]
fn unknown_methods_and_unfit_parameters_are_refused() {
    let mut client = Client::start();
    let answer = client.ask("textDocument/bake", json!({}));
    assert_eq!(answer["error"]["code"], -32601);
    assert!(answer["error"]["message"].as_str().unwrap().contains("textDocument/bake"));
    let answer = client.ask("textDocument/hover", json!({ "position": "here" }));
    assert_eq!(answer["error"]["code"], -32602, "{answer}");
    // A notification has no answer: an unknown one is passed over, an unfit one is told to the person.
    client.tell("workspace/bake", json!({}));
    client.tell("textDocument/didChange", json!(7));
    let document = json!({ "uri": "file:///never-opened.haccp", "version": 2 });
    client.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": [] }));
    let answer = client.ask(
        "textDocument/hover",
        json!({ "textDocument": { "uri": URI }, "position": { "line": 0, "character": 0 } }),
    );
    assert_eq!(answer["result"], Value::Null);
    let shown: Vec<&str> = client.notes.iter().filter_map(|note| note["params"]["message"].as_str()).collect();
    assert_eq!(shown.len(), 2, "{shown:?}");
    assert!(shown[1].contains("was changed before it was opened"), "{shown:?}");
    lives(client);
}

#[test]
fn requests_wait_for_the_greeting_and_end_with_the_farewell() {
    let mut client = Client::silent();
    assert_eq!(client.ask("textDocument/hover", json!({}))["error"]["code"], -32002);
    client.open(URI, "plan");
    client.ask("initialize", json!({ "capabilities": {} }));
    assert_eq!(client.ask("initialize", json!({ "capabilities": {} }))["error"]["code"], -32600);
    client.ask("shutdown", Value::Null);
    assert_eq!(client.ask("textDocument/hover", json!({}))["error"]["code"], -32600);
    client.tell("exit", Value::Null);
    assert_eq!(client.leave(), 0);
    // Without a farewell the end is no good one.
    let mut rude = Client::start();
    rude.tell("exit", Value::Null);
    assert_eq!(rude.leave(), 1);
    assert_eq!(Client::start().leave(), 1);
}

#[test]
fn a_cancelled_request_is_answered() {
    let mut client = Client::start();
    let text = include_str!("../../plans/smoked-goose-breast.haccp");
    client.open(URI, text);
    let document = json!({ "textDocument": { "uri": URI } });
    // What waits behind the first reading of the plan is cancelled before its turn, or answered before the cancelling.
    let ids: Vec<i64> = (0..20).map(|_| client.request("textDocument/documentSymbol", document.clone())).collect();
    for id in &ids {
        client.tell("$/cancelRequest", json!({ "id": id }));
    }
    let mut answered = 0;
    while answered < ids.len() {
        let message = client.read().unwrap();
        if message.get("method").is_none() {
            assert!(message["result"].is_array() || message["error"]["code"] == -32800, "{message}");
            answered += 1;
        }
    }
    lives(client);
}

#[test]
fn places_outside_the_text_are_places_at_its_end() {
    let mut client = Client::start();
    client.open(URI, "plan a \"\u{1F600}\" {\n}\n");
    client.found(URI);
    let change = |start: [u32; 2], end: [u32; 2], text: &str| {
        let at = |[line, character]: [u32; 2]| json!({ "line": line, "character": character });
        json!({ "range": { "start": at(start), "end": at(end) }, "text": text })
    };
    // Inside the pair of the sign, past the line, past the text, from the end to the start.
    let changes = [
        change([0, 9], [0, 9], "x"),
        change([0, 999], [0, 999], " "),
        change([99, 0], [4_000_000_000, 4_000_000_000], "# end\n"),
        change([1, 1], [1, 0], "}"),
    ];
    let document = json!({ "uri": URI, "version": 2 });
    client.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }));
    let options = json!({ "tabSize": 2, "insertSpaces": true });
    let answer = client.ask("textDocument/formatting", json!({ "textDocument": { "uri": URI }, "options": options }));
    assert_eq!(answer["result"][0]["newText"], "plan a \"x\u{1F600}\" { }\n# end\n");
    lives(client);
}
