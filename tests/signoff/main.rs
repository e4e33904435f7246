#![allow(
    clippy::new_without_default,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs
)]
//! Sign-off: what the digest takes in, what is written and refused, and what is found when a file was tampered with.
//! Every name in these files is invented.

mod digest;
mod keys;
mod sign;
mod state;
mod tamper;

use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

/// A plan without a finding of error weight; plant and people are invented.
pub const PLAN: &str = include_str!("../findings/base.haccp");

/// What a run left behind.
#[derive(Debug)]
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// A folder with the plan.
pub struct Desk(TempDir);

impl Desk {
    pub fn new() -> Self {
        let desk = Desk(tempfile::tempdir().unwrap());
        desk.put("plan.haccp", PLAN);
        desk
    }

    pub fn path(&self) -> &Path {
        self.0.path()
    }

    pub fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        std::fs::write(self.path().join(name), bytes).unwrap();
    }

    pub fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path().join(name)).unwrap()
    }

    /// The names in the folder.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(self.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    pub fn run(&self, args: &[&str]) -> Ran {
        let output = Command::new(env!("CARGO_BIN_EXE_bourn")).args(args).current_dir(self.path()).output().unwrap();
        Ran {
            status: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    pub fn sign(&self, role: &str, name: &str, meaning: &str, on: &str) -> Ran {
        self.run(&["sign", "plan.haccp", "--role", role, "--name", name, "--as", meaning, "--on", on])
    }

    /// Three signatures, the last one as approved.
    pub fn signed() -> Self {
        let desk = Desk::new();
        for (role, name, meaning, on) in [
            ("chef", "Ada Invented", "prepared", "2026-01-20"),
            ("cook", "Bo Invented", "reviewed", "2026-01-21"),
            ("chef", "Ada Invented", "approved", "2026-01-22"),
        ] {
            let ran = desk.sign(role, name, meaning, on);
            assert_eq!(ran.status, 0, "{ran:#?}");
        }
        desk
    }

    /// The codes that `check` finds on a day about signatures and files, and what it prints of them.
    pub fn check(&self, on: &str) -> (Vec<String>, String) {
        let ran = self.run(&["check", "plan.haccp", "--on", on, "--format", "short"]);
        let about: Vec<&str> = ran.out.lines().filter(|line| line.contains("[U") || line.contains("[X")).collect();
        let code = |line: &&str| line.rsplit_once('[').unwrap().1.split(' ').next().unwrap().to_owned();
        (about.iter().map(code).collect(), about.join("\n"))
    }
}
