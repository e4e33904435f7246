//! Console transcripts of the small sums: what the pages show is what the tool prints.
//!
//! A page holds fenced parts marked `console`; a line `$ bourn …` is a command, what follows is its output, and a last
//! line `[exit N]` its exit status where that is not 0. `BOURN_BLESS=1` writes the outputs into the pages; read
//! each before accepting it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// Words of a command line, parted at blanks outside double quotes.
fn words(line: &str) -> Vec<String> {
    let (mut all, mut word, mut quoted, mut begun) = (Vec::new(), String::new(), false, false);
    for c in line.chars() {
        match c {
            '"' => (quoted, begun) = (!quoted, true),
            ' ' if !quoted => {
                if begun {
                    all.push(std::mem::take(&mut word));
                }
                begun = false;
            }
            c => {
                word.push(c);
                begun = true;
            }
        }
    }
    assert!(!quoted, "{line}: a quote is not closed");
    if begun {
        all.push(word);
    }
    all
}

/// Exit status and what is printed, output before complaints.
fn bourn(line: &str) -> (i32, String, String) {
    let words = words(line);
    assert_eq!(words[0], "bourn", "{line}");
    let done = Command::new(env!("CARGO_BIN_EXE_bourn"))
        .args(&words[1..])
        .current_dir(root())
        .env("NO_COLOR", "1")
        .env_remove("RUST_BACKTRACE")
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| {
        let text = String::from_utf8(bytes).unwrap();
        text.lines().map(|line| format!("{}\n", line.trim_end())).collect::<String>()
    };
    (done.status.code().unwrap(), text(done.stdout), text(done.stderr))
}

/// The part of the page as it should be: commands kept, outputs fresh.
fn fresh(part: &str) -> String {
    let mut out = String::new();
    for command in part.lines().filter_map(|line| line.strip_prefix("$ ")) {
        let (status, output, complaint) = bourn(command);
        let body = format!("{output}{complaint}");
        out += &format!("$ {command}\n{}\n", body.trim_end());
        if status != 0 {
            out += &format!("[exit {status}]\n");
        }
    }
    out
}

/// Compares every transcript of a page, and hands back its commands.
fn page(name: &str) -> Vec<String> {
    let path = root().join(name);
    let text = std::fs::read_to_string(&path).unwrap();
    let (mut commands, mut written, mut rest) = (Vec::new(), String::new(), text.as_str());
    let mut wrong = Vec::new();
    while let Some(at) = rest.find("```console\n") {
        let (before, after) = rest.split_at(at + "```console\n".len());
        let end = if after.starts_with("```") { 0 } else { after.find("\n```").unwrap() + 1 };
        let now = fresh(&after[..end]);
        assert!(now.starts_with("$ bourn"), "{name}: a transcript without a command");
        if now != after[..end] {
            wrong.push(format!("shown:\n{}\nprinted:\n{now}", &after[..end]));
        }
        commands.extend(now.lines().filter_map(|line| line.strip_prefix("$ ").map(str::to_owned)));
        written += before;
        written += &now;
        rest = &after[end..];
    }
    written += rest;
    if std::env::var_os("BOURN_BLESS").is_some() {
        std::fs::write(&path, written).unwrap();
    } else {
        assert!(wrong.is_empty(), "{name}:\n{}", wrong.join("\n"));
    }
    commands
}

/// Names of the sums, from the tool's own help.
fn sums() -> BTreeSet<String> {
    let (_, help, _) = bourn("bourn calc --help");
    let list = help.split("Commands:").nth(1).unwrap().split("Options:").next().unwrap();
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: BTreeSet<String> = names.filter_map(|line| line.split_whitespace().next()).map(str::to_owned).collect();
    names.into_iter().filter(|name| name != "help").collect()
}

/// The page in docs/ shows the real output, and shows each sum.
#[test]
fn documentation() {
    let commands = page("docs/calc.md");
    let shown: BTreeSet<String> = commands.iter().map(|line| words(line)[2].clone()).collect();
    assert_eq!(shown, sums());
    for command in &commands {
        assert_eq!(bourn(command).0, 0, "{command}");
    }
}

/// Bad input is refused, with exit status 2, a code, and nothing on standard output.
#[test]
fn refused() {
    let commands = page("tests/calc/refused.md");
    let mut seen = BTreeSet::new();
    let mut sums_seen = BTreeSet::new();
    for command in &commands {
        let (status, output, complaint) = bourn(command);
        assert_eq!((status, output.as_str()), (2, ""), "{command}");
        // The last finding is the tool's own word on the sum; faults of a plan may stand before it.
        let is_code = |word: &&str| word.len() == 4 && word.get(1..).is_some_and(|rest| rest.parse::<u16>().is_ok());
        let code = complaint.lines().filter_map(|line| line.split(' ').next()).rfind(is_code).unwrap();
        assert!(code.starts_with('X'), "{command}: {complaint}");
        seen.insert(code.to_owned());
        sums_seen.insert(words(command)[2].clone());
    }
    let all: BTreeSet<String> = bourn::registry::rules()
        .into_iter()
        .map(|rule| rule.code.to_owned())
        .filter(|code| code.starts_with("X12"))
        .collect();
    assert!(all.is_subset(&seen), "no transcript for {:?}", all.difference(&seen));
    assert_eq!(sums_seen, sums());
}

/// Each sum for a machine: the same numbers, unrounded, with their units.
#[test]
fn json() {
    let commands = page("docs/calc.md");
    let mut checked = 0;
    for command in commands.iter().filter(|command| !command.contains("--json")) {
        let (status, output, _) = bourn(&format!("{command} --json"));
        assert_eq!(status, 0, "{command}");
        let value: serde_json::Value = serde_json::from_str(&output).unwrap();
        assert_eq!(value["sum"].as_str().unwrap(), words(command)[2]);
        for key in ["inputs", "results"] {
            for (name, entry) in value[key].as_object().unwrap() {
                assert!(
                    entry.is_string() || (entry["value"].is_number() && entry["unit"].is_string()),
                    "{name}: {entry}"
                );
            }
        }
        let rows = value["rows"].as_array().map_or(0, Vec::len);
        assert!(rows + value["results"].as_object().unwrap().len() > 0);
        assert!(!value["sources"].as_array().unwrap().is_empty() && !value["cautions"].as_array().unwrap().is_empty());
        checked += 1;
    }
    assert!(checked >= 9);
}

/// Text that is no quantity, in every option of a sum, is refused and never a panic.
#[test]
fn garbage() {
    let bad = [
        "",
        " ",
        "°C",
        "--",
        "1e999 °C",
        "99999999999999999999999999999999999999999 °C",
        "NaN °C",
        "inf °C",
        "5°",
        "5 °C 5",
        "−5",
        "\u{202e}5 °C",
        "5 \u{1F600}",
        "0x10 °C",
        "1/2 °C",
        "1.2.3 °C",
        "5 m",
        "½ °C",
    ];
    for text in bad {
        for arguments in [
            ["calc", "humidity", "--dry", text, "--wet", "20 °C"],
            ["calc", "lethality-time", "--reduction", text, "--temperature", "60 °C"],
            ["calc", "salt", "--salt", text, "--moisture", "50 %"],
            ["calc", "aw-standard", "--salt", text, "--temperature", "25 °C"],
        ] {
            let done = Command::new(env!("CARGO_BIN_EXE_bourn")).args(arguments).output().unwrap();
            assert_eq!(done.status.code(), Some(2), "{arguments:?}");
            let complaint = String::from_utf8(done.stderr).unwrap();
            assert!(!complaint.contains("panicked") && !complaint.contains('\u{202e}'), "{complaint}");
            assert!(done.stdout.is_empty());
        }
    }
}
