//! What every kind of file shares: opening, columns, row classes, times and lots.

use super::delimited::{Cells as _, Kind, Sheet, text};
use super::encoding::cell;
use super::mapping::{Clock, Table};
use super::parallel::Manner;
use super::place::Placer;
use super::taking::Taking;
use super::{FileRead, Files, rules};
use crate::finding::{Finding, nearest};
use crate::source::Place;
use std::collections::{BTreeMap, BTreeSet};

/// Reads files and gathers what is known about them.
pub(crate) struct Intake<'f> {
    pub(super) files: &'f dyn Files,
    pub reads: Vec<FileRead>,
    pub findings: Vec<Finding>,
    /// Codes of the lots in the register, if there is one.
    pub known: Option<BTreeSet<String>>,
    digests: BTreeMap<(String, String), String>,
}

impl<'f> Intake<'f> {
    pub fn new(files: &'f dyn Files) -> Self {
        Self { files, reads: Vec::new(), findings: Vec::new(), known: None, digests: BTreeMap::new() }
    }

    /// Opens every file of a table in turn and hands it on.
    pub fn each(&mut self, table: &Table, mut take: impl FnMut(&Sheet<'_>, &mut Taking, &mut Vec<Finding>)) {
        let whole = Manner { threads: 1, block: usize::MAX };
        self.each_opened(table, whole, &mut |opened, taking, findings| {
            let head = opened.head()?;
            let name = taking.read.name.clone();
            let sheet = Sheet::open(&name, &head.text, table)?;
            take(&sheet, taking, findings);
            opened.ended(&sheet, &head.text, taking, findings);
            Ok(true)
        });
    }

    /// The names of the files of a table, each once.
    pub(super) fn names(&mut self, table: &Table) -> Vec<String> {
        let mut names = Vec::new();
        for pattern in &table.files {
            match self.files.matching(pattern) {
                Ok(mut found) if !found.is_empty() => {
                    found.sort();
                    names.append(&mut found);
                }
                Ok(_) => {
                    let message =
                        format!("no file fits `{pattern}`, so the record `{}` has nothing from it", table.record);
                    let help = "such a name is looked for in the folder given with `--records`, or else in the folder of the mapping; \
                                `records/oven.csv` is found in the folder above `records`";
                    self.findings.push(Finding::at(&rules::NO_FILE, table.at, message).help(help));
                }
                Err(why) => {
                    let message = format!("files for `{pattern}` cannot be looked up: {why}");
                    let help = "check the names in `files` and the permissions of the folder";
                    self.findings.push(Finding::at(&rules::FILE_UNREADABLE, table.at, message).help(help));
                }
            }
        }
        let mut seen = BTreeSet::new();
        names.retain(|name| seen.insert(name.clone()));
        names
    }

    /// The index of the next file.
    pub(super) fn number(&mut self, name: &str) -> Option<u16> {
        let file = u16::try_from(self.reads.len()).ok();
        if file.is_none() {
            self.findings.push(Finding::new(
                &rules::TOO_MANY_FILES,
                Place::file(name),
                format!("`{name}` is one file too many; {} are read at most", usize::from(u16::MAX) + 1),
            ));
        }
        file
    }

    /// Says so if a file is equal to one that was read before.
    pub(super) fn twice(&mut self, table: &Table, name: &str, taking: &Taking) {
        let digest = (table.record.clone(), taking.read.sha256.clone());
        if taking.read.bytes > 0
            && let Some(other) = self.digests.insert(digest, name.to_owned())
            && other != name
        {
            let message = format!("`{name}` is equal to `{other}` byte for byte");
            self.findings.push(
                Finding::new(&rules::FILE_TWICE, Place::file(name), message).with(Place::file(other), "the other file"),
            );
        }
    }

    /// Takes in what a file gave.
    pub(super) fn taken(&mut self, taking: Taking) {
        let Taking { read, tally, lots, lot_heading, .. } = taking;
        tally.into_findings(&read.name, &mut self.findings);
        self.unknown_lots(&read.name, &lot_heading, &lots);
        self.reads.push(read);
    }

    fn unknown_lots(&mut self, name: &str, column: &str, lots: &BTreeMap<String, (u64, u64)>) {
        let Some(known) = &self.known else { return };
        for (lot, (row, runs)) in lots {
            if known.contains(lot) {
                continue;
            }
            let more = if *runs > 1 { format!("; it stands in {runs} runs of rows") } else { String::new() };
            let place = cell(name, *row, Some(column));
            let mut finding =
                Finding::new(&rules::LOT_UNKNOWN, place, format!("lot `{lot}` is not in the lots register{more}"));
            if let Some(near) = nearest(lot, known.iter().map(String::as_str)) {
                finding = finding.help(format!("the nearest code in the register is `{near}`"));
            }
            self.findings.push(finding);
        }
    }
}

/// A finding if the last line does not begin with the mark that ends a whole file.
pub(super) fn not_ended(name: &str, text: &str, mark: &str) -> Option<Finding> {
    let blank = |line: &&str| line.trim_matches(|c: char| c.is_whitespace() || matches!(c, ',' | ';')).is_empty();
    let last = text.lines().rev().find(|line| !blank(line)).unwrap_or_default();
    if last.trim_start_matches(|c: char| !c.is_alphanumeric()).to_lowercase().starts_with(&mark.to_lowercase()) {
        return None;
    }
    let row = text.lines().count() as u64;
    let message = format!("`{name}` does not end with `{mark}`: rows may be missing at its end");
    Some(Finding::new(&rules::NOT_ENDED, cell(name, row, None), message).help("export or copy the file again"))
}

/// The columns with these headings; a finding for each that is not there.
pub(crate) fn columns<'h>(
    sheet: &Sheet<'_>,
    headings: impl IntoIterator<Item = &'h String>,
    at: crate::source::Loc,
    findings: &mut Vec<Finding>,
) -> Option<Vec<usize>> {
    let mut found = Vec::new();
    let mut all = true;
    for heading in headings {
        match sheet.column(heading) {
            Ok(column) => found.push(column),
            Err(finding) => {
                findings.push(finding.also(at, "the mapping names it here"));
                all = false;
            }
        }
    }
    all.then_some(found)
}

/// A finding for a file whose dates nobody declared, with what the file shows.
pub(crate) fn format_missing(sheet: &Sheet<'_>, column: usize) -> Finding {
    let (mut first_over, mut second_over, mut year_first, mut example) = (false, false, false, None);
    let mut rows = sheet.rows();
    while let Some((row, kind)) = rows.next() {
        let shown = text(rows.cell(column));
        if kind != Kind::Full || shown.is_empty() {
            continue;
        }
        let parts: Vec<&str> =
            shown.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty()).take(3).collect();
        let over = |at: usize| parts.get(at).and_then(|part| part.parse::<u32>().ok()).is_some_and(|part| part > 12);
        year_first |= parts.first().is_some_and(|part| part.len() == 4);
        first_over |= over(0);
        second_over |= over(1);
        if example.is_none() {
            example = Some((row, shown.into_owned()));
        }
    }
    let (row, example) = example.unwrap_or((sheet.heading_row, String::new()));
    let (what, help) = if year_first {
        ("the year stands first", "declare it with `format`, for example \"%Y-%m-%d %H:%M:%S\"")
    } else {
        match (first_over, second_over) {
            (true, false) => (
                "a first number above 12 proves that the day stands first",
                "declare it with `format`, for example \"%d/%m/%Y %H:%M:%S\"",
            ),
            (false, true) => (
                "a second number above 12 proves that the month stands first",
                "declare it with `format`, for example \"%m/%d/%Y %H:%M:%S\"",
            ),
            (true, true) => (
                "both the first and the second number pass 12, so the order changes inside the file",
                "export the file again from the logger",
            ),
            (false, false) => (
                "every day is 12 or less, so the date order cannot be told from the file",
                "declare it with `format`, after asking how the logger is set",
            ),
        }
    };
    let message = format!("nothing says how the times of `{}` are written, such as `{example}`: {what}", sheet.name);
    Finding::new(&rules::FORMAT_MISSING, cell(sheet.name, row, sheet.headings.get(column).map(String::as_str)), message)
        .help(help)
}

/// Gets a placer and the time columns of a file ready; without them the file cannot be used.
pub(crate) fn placer<'m>(
    clock: &'m Clock,
    at: crate::source::Loc,
    sheet: &Sheet<'_>,
    findings: &mut Vec<Finding>,
) -> Option<(Placer<'m>, Vec<usize>)> {
    let found = columns(sheet, &clock.columns, at, findings)?;
    let Some(format) = &clock.format else {
        findings.push(format_missing(sheet, found.first().copied().unwrap_or(0)));
        return None;
    };
    Some((Placer::new(clock, format), found))
}
