//! Counts that a reader of the test run sees, although the harness captures what tests print.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;

/// How often a form took each verdict.
#[derive(Debug, Default, Clone, Copy)]
pub struct Tally {
    pub met: usize,
    pub not_met: usize,
    pub not_shown: usize,
}

impl Tally {
    pub fn add(&mut self, verdict: bourn::verdict::Verdict) {
        match verdict {
            bourn::verdict::Verdict::Met => self.met += 1,
            bourn::verdict::Verdict::NotMet => self.not_met += 1,
            bourn::verdict::Verdict::NotShown => self.not_shown += 1,
        }
    }

    pub fn all(&self) -> usize {
        self.met + self.not_met + self.not_shown
    }

    /// Each verdict at least once in so many judgements: a form that is never definite proves nothing.
    pub fn assert_fair(&self, name: &str, one_in: usize) {
        let least = (self.all() / one_in).max(1);
        assert!(
            self.met >= least && self.not_met >= least && self.not_shown >= least,
            "{name} takes one of its verdicts too seldom: {self:?}"
        );
    }
}

/// A heading and a line for each form.
pub fn table<'n>(heading: &str, rows: impl IntoIterator<Item = (&'n str, Tally)>) -> String {
    let mut text = format!("{heading}\n");
    for (name, Tally { met, not_met, not_shown }) in rows {
        writeln!(text, "{name:>34}: met {met:>6}, not met {not_met:>6}, not shown {not_shown:>6}").unwrap();
    }
    text
}

/// Keeps a text for the end of `tests/run.sh`, and puts its first line where no capture reaches.
pub fn report(name: &str, text: &str) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("counts");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.txt")), text).unwrap();
    let first = text.lines().next().unwrap_or_default();
    // `eprintln!` would be captured.
    let mut out = std::io::stderr();
    writeln!(out, "\ncounted: {first}").unwrap();
}
