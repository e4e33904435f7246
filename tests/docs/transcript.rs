//! Pages whose commands are run: what stands below each command is what is printed.
//!
//! A part fenced as `console` holds commands behind `$ ` and what they print. A line `…` stands for any lines, and `…`
//! in a line for any words; a last line `[exit N]` is the exit status where it is not 0. A remark before a fenced part
//! says what a reader does with it: `file NAME` writes it, `below NAME: LINE` puts it below that line of the file,
//! `instead NAME: LINE` in its place, `shows NAME` means that it stands in the file. `begin FINISHED` begins from the
//! folder that the page FINISHED leaves behind. `BOURN_BLESS=1` writes what is printed where no `…` stands.

use crate::page::{page, root};
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// A folder in which the commands of a page are run, one after another.
pub struct Scratch {
    folder: TempDir,
    /// The folder in which the terminal stands.
    pub stands: PathBuf,
}

/// One fenced part with the remark before it.
struct Part {
    line: usize,
    remark: String,
    kind: String,
    text: String,
}

fn parts(text: &str) -> Vec<Part> {
    let mut found = Vec::new();
    let mut remark = String::new();
    let mut open: Option<Part> = None;
    for (index, line) in text.lines().enumerate() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(kind)) => {
                let remark = std::mem::take(&mut remark);
                open = Some(Part { line: index + 1, remark, kind: kind.to_owned(), text: String::new() });
            }
            (Some(_), Some(_)) => found.extend(open.take()),
            (Some(part), None) => part.text.push_str(&format!("{line}\n")),
            (None, None) => {
                if let Some(said) = line.strip_prefix("<!-- ").and_then(|rest| rest.strip_suffix(" -->")) {
                    said.clone_into(&mut remark);
                    if said.starts_with("begin ") {
                        let remark = std::mem::take(&mut remark);
                        found.push(Part { line: index + 1, remark, kind: String::new(), text: String::new() });
                    }
                } else if !line.trim().is_empty() {
                    assert!(remark.is_empty(), "line {}: `{remark}` stands before no fenced part", index + 1);
                }
            }
        }
    }
    assert!(open.is_none(), "a fence is never closed");
    found
}

impl Scratch {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let stands = folder.path().to_path_buf();
        Self { folder, stands }
    }

    /// What a command prints, output and complaints as they come, and its exit status.
    fn run(&mut self, line: &str) -> (String, i32) {
        if let Some(folder) = line.strip_prefix("cd ") {
            self.stands = self.stands.join(folder.trim_matches('"'));
            assert!(self.stands.is_dir(), "{line}");
            return (String::new(), 0);
        }
        let program = Path::new(env!("CARGO_BIN_EXE_bourn"));
        let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
        let done = Command::new("sh")
            .args(["-c", &format!("exec 2>&1\n{line}")])
            .current_dir(&self.stands)
            .env("PATH", path)
            .env("LC_ALL", "C.UTF-8")
            .env("HOME", self.folder.path())
            .env_remove("RUST_BACKTRACE")
            .output()
            .unwrap();
        let text = String::from_utf8(done.stdout).unwrap();
        let lines = text.lines().map(|line| format!("{}\n", line.trim_end())).collect::<String>();
        (lines, done.status.code().unwrap())
    }

    fn file(&self, name: &str) -> PathBuf {
        self.stands.join(name)
    }

    fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.file(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// Does what a remark says; whether it said anything.
    fn obey(&self, part: &Part, place: &str) {
        let (verb, rest) = part.remark.split_once(' ').unwrap_or((&part.remark, ""));
        match verb {
            "file" => std::fs::write(self.file(rest), &part.text).unwrap(),
            "below" | "instead" => {
                let (name, wanted) = rest.split_once(": ").unwrap();
                let text = self.read(name);
                let at: Vec<&str> = text.lines().filter(|line| line.trim() == wanted.trim()).collect();
                let [old] = at.as_slice() else { panic!("{place}: `{wanted}` stands {} times in {name}", at.len()) };
                let kept = if verb == "below" { format!("{old}\n") } else { String::new() };
                let new = text.replacen(&format!("{old}\n"), &format!("{kept}{}", part.text), 1);
                std::fs::write(self.file(name), new).unwrap();
            }
            "shows" => {
                let text = self.read(rest);
                assert!(fits(&part.text, &text, false), "{place}: {rest} does not hold:\n{}", part.text);
            }
            other => panic!("{place}: `{other}` is no remark"),
        }
    }
}

/// Whether a text is what is shown, where `…` stands for anything; the whole of it, or a stretch of lines.
fn fits(shown: &str, text: &str, whole: bool) -> bool {
    let mut pattern = String::new();
    if !whole {
        pattern.push_str("…\n");
    }
    pattern.push_str(shown);
    if !whole {
        pattern.push_str("…\n");
    }
    let pattern: Vec<&str> = pattern.lines().collect();
    let lines: Vec<&str> = text.lines().collect();
    block(&pattern, &lines)
}

fn block(pattern: &[&str], lines: &[&str]) -> bool {
    match pattern.split_first() {
        None => lines.is_empty(),
        Some((first, rest)) if first.trim() == "…" => (0..=lines.len()).any(|skip| block(rest, &lines[skip..])),
        Some((first, rest)) => lines.split_first().is_some_and(|(line, after)| like(first, line) && block(rest, after)),
    }
}

fn like(shown: &str, line: &str) -> bool {
    if shown == line {
        return true;
    }
    let Some((before, after)) = shown.split_once('…') else { return false };
    line.strip_prefix(before)
        .is_some_and(|rest| (0..=rest.len()).any(|at| rest.get(at..).is_some_and(|tail| like(after, tail))))
}

/// Runs a page; the folder that it leaves behind, and the commands.
pub fn run(name: &str) -> (Scratch, Vec<String>) {
    let text = page(name).text;
    let bless = std::env::var_os("BOURN_BLESS").is_some();
    let mut scratch = Scratch::new();
    let (mut commands, mut wrong, mut fresh) = (Vec::new(), Vec::new(), text.clone());
    for part in parts(&text) {
        let place = format!("{name}:{}", part.line);
        if let Some(other) = part.remark.strip_prefix("begin ") {
            assert!(commands.is_empty(), "{place}: it begins once");
            scratch = run(other).0;
            continue;
        }
        if !part.remark.is_empty() {
            scratch.obey(&part, &place);
        }
        if part.kind != "console" {
            continue;
        }
        let mut now = String::new();
        let mut shown: Vec<(String, String)> = Vec::new();
        for line in part.text.lines() {
            match line.strip_prefix("$ ") {
                Some(command) => shown.push((command.to_owned(), String::new())),
                None => shown.last_mut().unwrap_or_else(|| panic!("{place}: no command")).1 += &format!("{line}\n"),
            }
        }
        for (command, expected) in shown {
            let (mut printed, status) = scratch.run(&command);
            while printed.ends_with("\n\n") {
                printed.pop();
            }
            if status != 0 {
                printed.push_str(&format!("[exit {status}]\n"));
            }
            if fits(&expected, &printed, true) {
                now.push_str(&format!("$ {command}\n{expected}"));
            } else {
                now.push_str(&format!("$ {command}\n{printed}"));
                wrong.push(format!("{place}: $ {command}\nshown:\n{expected}\nprinted:\n{printed}"));
            }
            commands.push(command);
        }
        if bless {
            fresh = fresh.replacen(&format!("```console\n{}```", part.text), &format!("```console\n{now}```"), 1);
        }
    }
    if bless {
        std::fs::write(root().join(name), fresh).unwrap();
    } else {
        assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
    }
    (scratch, commands)
}

/// The tutorial: what a newcomer types and reads, from nothing to a verified month.
#[test]
fn tutorial() {
    let (scratch, commands) = run("docs/tutorial.md");
    assert!(commands.len() >= 12, "{commands:#?}");
    // It does not age: on any later day the plan has the same findings.
    for day in ["2026-10-01", "2036-10-01"] {
        let done = Command::new(env!("CARGO_BIN_EXE_bourn"))
            .args(["check", "roast-chicken.haccp", "--format", "short", "--on", day])
            .current_dir(&scratch.stands)
            .output()
            .unwrap();
        let said = String::from_utf8(done.stdout).unwrap();
        assert_eq!(said.lines().count(), 1, "{day}: {said}");
        assert!(said.contains("[B104 draft]"), "{day}: {said}");
    }
}

/// The pages by role, each in the folder that the tutorial leaves behind.
#[test]
fn pages_by_role() {
    let mut seen = 0;
    for name in ["for-coordinators", "for-reviewers", "for-inspectors", "for-whoever-runs-it-monthly", "successor"] {
        seen += run(&format!("docs/{name}.md")).1.len();
    }
    assert!(seen >= 30, "only {seen} commands");
}

/// A page that stands still where something else is printed would be no test.
#[test]
fn another_output_does_not_fit() {
    for (shown, text, wanted) in [
        ("a\n", "a\n", true),
        ("a\n", "b\n", false),
        ("a\n…\n", "a\nb\nc\n", true),
        ("…\nc\n", "a\nb\n", false),
        ("on … by x\n", "on Monday by x\n", true),
        ("on … by x\n", "on Monday by y\n", false),
        ("", "", true),
        ("", "a\n", false),
        ("a\n[exit 1]\n", "a\n", false),
    ] {
        assert_eq!(fits(shown, text, true), wanted, "{shown:?} {text:?}");
    }
    assert!(fits("b\n", "a\nb\nc\n", false) && !fits("d\n", "a\nb\nc\n", false));
}
