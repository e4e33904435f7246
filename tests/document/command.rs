//! `bourn render` as a person runs it: what it writes, what it says, its exit status.

use crate::GOOSE;
use std::path::Path;
use std::process::{Command, Output};

pub fn bourn(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bourn"));
    command.current_dir(folder).args(args).args(["--on", "2026-09-30"]);
    command
}

fn render(folder: &Path, args: &[&str]) -> Output {
    bourn(folder, &[&["render"], args].concat()).output().unwrap()
}

pub fn said(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn writes_next_to_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("goose.haccp"), GOOSE).unwrap();
    let output = render(folder.path(), &["goose.haccp"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(said(&output).ends_with("goose.haccp: 1 note; written to goose.html\n"));
    let html = std::fs::read_to_string(folder.path().join("goose.html")).unwrap();
    assert!(html.starts_with("<!DOCTYPE html>") && html.trim_end().ends_with("</html>"));
    assert_eq!(html, crate::read(GOOSE).html(), "the command adds nothing to the library's page");
}

#[test]
fn a_plan_with_errors_is_written_as_a_draft() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("p.haccp"), GOOSE.replace("uses   oven-1, oven-2", "uses   oven-1, oven-3"))
        .unwrap();
    let output = render(folder.path(), &["p.haccp", "-o", "out.html", "--paper", "letter"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(said(&output).contains("1 error, 1 warning, 1 note; written as a draft to out.html"), "{}", said(&output));
    let html = std::fs::read_to_string(folder.path().join("out.html")).unwrap();
    assert!(html.contains("The check of 2026-09-30 found 1 error") && html.contains("size: Letter;"));
}

#[test]
fn what_cannot_be_used_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("empty.haccp"), " \n").unwrap();
    std::fs::write(folder.path().join("latin.haccp"), b"plan p \"caf\xe9\" {\n}\n").unwrap();
    std::fs::write(folder.path().join("plan.html"), GOOSE).unwrap();
    for (args, word) in [
        (&["missing.haccp"][..], "cannot be read"),
        (&["empty.haccp"][..], "holds nothing"),
        (&["latin.haccp"][..], "not text in UTF-8"),
        (&["plan.html"][..], "is the plan itself"),
        (&["plan.html", "-o", "no/such/folder.html"][..], "cannot be written"),
    ] {
        let output = render(folder.path(), args);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {}", said(&output));
        assert!(said(&output).contains(word), "{args:?}: {}", said(&output));
    }
    assert_eq!(std::fs::read_to_string(folder.path().join("plan.html")).unwrap(), GOOSE, "the plan is left as it was");
    let mut left: Vec<String> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    left.sort();
    assert_eq!(left, ["empty.haccp", "latin.haccp", "plan.html"]);
}

#[test]
fn forms_are_written_next_to_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("goose.haccp"), GOOSE).unwrap();
    let output = bourn(folder.path(), &["forms", "goose.haccp"]).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(said(&output).ends_with("goose.haccp: 1 note; written to goose.forms.html\n"), "{}", said(&output));
    let html = std::fs::read_to_string(folder.path().join("goose.forms.html")).unwrap();
    assert!(html.contains("<body class=\"sheets\">") && html.contains("Review before shipping"));
}

/// A browser that prints is tried in tests/paper.sh.
#[cfg(unix)]
#[test]
fn without_a_browser_that_prints_nothing_is_written() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    std::fs::write(at("goose.haccp"), GOOSE).unwrap();
    std::fs::write(at("goose.html"), "the older one").unwrap();
    std::fs::write(at("idle"), "#!/bin/sh\nexit 0\n").unwrap();
    std::fs::set_permissions(at("idle"), std::fs::Permissions::from_mode(0o755)).unwrap();
    for (browser, words) in
        [(at("missing"), "no browser that prints was found"), (at("idle"), "printed nothing: it left no PDF")]
    {
        let mut command = bourn(folder.path(), &["render", "goose.haccp", "--pdf"]);
        let output = command.env("BOURN_BROWSER", browser).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
        assert!(said(&output).contains("X109") && said(&output).contains(words), "{}", said(&output));
        assert_eq!(std::fs::read_to_string(at("goose.html")).unwrap(), "the older one");
        assert!(!at("goose.pdf").exists());
    }
}

#[test]
fn what_changed_since_an_earlier_text_comes_first() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    std::fs::write(at("goose.haccp"), GOOSE).unwrap();
    std::fs::write(at("old.haccp"), GOOSE.replace("26.7 °C within 1 h 30 min", "26.7 °C within 2 h")).unwrap();
    std::fs::write(at("torn.haccp"), GOOSE.replace("26.7 °C within 1 h 30 min", "26.7 °C whithin")).unwrap();
    let page = |old: &str| {
        let output = render(folder.path(), &["goose.haccp", "--since", old]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        std::fs::read_to_string(at("goose.html")).unwrap()
    };
    let html = page("old.haccp");
    assert!(html.contains("<span class=\"number\">1</span> Changes since revision 3 of 2026-08-17"));
    assert!(
        html.contains("limit tightened: limit first-passage of ccp cooling, by 30\u{a0}min")
            && html.contains("validate again")
    );
    assert!(html.contains("<span class=\"number\">2</span> Scope and team"));
    assert!(page("goose.haccp").contains("No change in meaning."));
    assert!(page("torn.haccp").contains("A part of a text could not be read"));
    let output = render(folder.path(), &["goose.haccp", "--since", "missing.haccp"]);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
}
