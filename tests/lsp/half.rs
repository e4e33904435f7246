//! A plan that was whole and is being typed in: what was known of it is still there.

use crate::client::Client;
use serde_json::json;

const URI: &str = "file:///plans/half.haccp";

#[test]
fn the_last_good_reading_keeps_working() {
    let text = include_str!("../../plans/smoked-goose-breast.haccp");
    let mut client = Client::start();
    client.open(URI, text);
    client.found(URI);
    // The head of a CCP and of a role lose their end.
    let half = text
        .replace("ccp lethality \"Lethality\" at cook {", "ccp lethal")
        .replace("role engineer \"", "rol engineer \"");
    assert_ne!(half, text);
    let document = json!({ "uri": URI, "version": 2 });
    client.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": [{ "text": half }] }));
    let found = client.found(URI);
    assert!(found.iter().any(|one| one["code"].as_str().unwrap().starts_with('S')), "{found:?}");
    let line = |piece: &str| half.lines().position(|line| line.contains(piece)).unwrap();
    let at = |piece: &str, character: usize| json!({ "textDocument": { "uri": URI }, "position": { "line": line(piece), "character": character } });
    // Completion still knows the CCP and the role, hover still tells of them.
    let row = "control      lethality \"The cook is made for them\"";
    let labels = |answer: serde_json::Value| -> Vec<String> {
        let items = answer["result"].as_array().unwrap().clone();
        items.iter().map(|item| item["label"].as_str().unwrap().to_owned()).collect()
    };
    let column = half.lines().nth(line(row)).unwrap().find("lethality").unwrap();
    let controls = labels(client.ask("textDocument/completion", at(row, column)));
    for name in ["lethality", "lethal", "cooling"] {
        assert!(controls.contains(&name.to_owned()), "{name} in {controls:?}");
    }
    let answer = client.ask("textDocument/hover", at(row, column + 2));
    let words = answer["result"]["contents"]["value"].as_str().unwrap();
    assert!(words.contains("core-hold: Core of the thickest breast: at least"), "{words}");
    // What could be read is what it is now.
    let answer = client.ask("textDocument/definition", at("hold-back    to last check", 4));
    assert_eq!(answer["result"], json!([]));
    assert_eq!(client.end(), 0);
}
