//! Names of files after `include`: those that may stand there, and no others.

use crate::client::Client;
use serde_json::json;

/// The labels that are proposed at a place of the last line.
fn offered(client: &mut Client, uri: &str, text: &str) -> Vec<String> {
    let line = text.lines().count() - 1;
    let end = text.lines().last().unwrap().encode_utf16().count();
    let at = json!({ "textDocument": { "uri": uri }, "position": { "line": line, "character": end } });
    let answer = client.ask("textDocument/completion", at);
    let items = answer["result"].as_array().unwrap_or_else(|| panic!("{answer}")).clone();
    for item in &items {
        assert_eq!(item["textEdit"]["newText"], item["label"]);
    }
    items.iter().map(|item| item["label"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn files_that_may_be_included_are_proposed() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, "role cook \"Cook\" { duties \"Cooks\" }\n").unwrap();
    };
    for name in
        ["work/parts/people.haccp", "work/parts/über uns.haccp", "work/steps.haccp", "work/notes.txt", "above.haccp"]
    {
        put(name);
    }
    let mut text = "plan soup \"Soup\" {\n}\n\ninclude \"steps.haccp\"\ninclude \"".to_owned();
    let path = folder.path().join("work/plan.haccp");
    std::fs::write(&path, &text).unwrap();
    let uri = format!("file://{}", path.display());
    let mut client = Client::start();
    client.open(&uri, &text);
    assert_eq!(
        offered(&mut client, &uri, &text),
        ["parts/people.haccp", "parts/über uns.haccp"],
        "not the plan, nor what is there"
    );
    // What is proposed is what the program reads.
    text.push_str("parts/people.haccp\"\n");
    client.tell(
        "textDocument/didChange",
        json!({ "textDocument": { "uri": uri, "version": 2 }, "contentChanges": [{ "text": text }] }),
    );
    let found = client.found(&uri);
    let last = client.ask(
        "textDocument/hover",
        json!({ "textDocument": { "uri": uri }, "position": { "line": 0, "character": 6 } }),
    );
    assert!(last["error"].is_null(), "{last}");
    assert!(!found.iter().any(|one| one["code"] == "X101"), "{found:?}");
    text.push_str("\nstep boil \"Boil\" {\n  does \"");
    client.tell(
        "textDocument/didChange",
        json!({ "textDocument": { "uri": uri, "version": 3 }, "contentChanges": [{ "text": text }] }),
    );
    assert_eq!(offered(&mut client, &uri, &text), Vec::<String>::new(), "no file in another text");
    assert_eq!(client.end(), 0);
}
