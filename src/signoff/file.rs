//! The sign-off file: one line a signature, each with the SHA-256 of the line before it, and a closing line.

use super::digest::sha256;
use super::key::{self, Fit};
use super::rules::{BROKEN_CHAIN, BROKEN_KEY_SIGNATURE, CUT_SIGN_OFF, FOREIGN_LINE_ENDS, UNREADABLE_SIGNATURE};
use crate::check::signing::{ByKey, Meaning, Over, Signature};
use crate::finding::{Finding, Rule};
use crate::source::{Cell, Place};
use chrono::NaiveDate;

/// The first line of a file of the form that this version reads and writes.
pub const FIRST: &str = "sign-off, form 1: one line a signature, each with the SHA-256 of the line before it";

/// What stands before the number of the form.
const FORM: &str = "sign-off, form ";

/// Parts two fields.
const BAR: &str = " | ";

/// What stands before a signature by a key.
const KEY: &str = "key ";

/// Longest name that is taken, in characters.
pub const LONGEST_NAME: usize = 120;

/// What was read.
#[derive(Debug, Clone)]
pub struct Kept {
    /// The signatures as far as they could be read. What each stands over is not told yet.
    pub signatures: Vec<Signature>,
    /// Faults of the file.
    pub findings: Vec<Finding>,
    /// Whether nothing in it is broken.
    pub whole: bool,
}

/// Why a name cannot stand in the file, if it cannot.
#[must_use]
pub fn bad_name(name: &str) -> Option<&'static str> {
    let turns = |c: char| matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}' | '\u{61C}' | '\u{2028}' | '\u{2029}');
    if name.trim().is_empty() {
        Some("is empty")
    } else if name.trim() != name {
        Some("begins or ends with a blank")
    } else if name.contains('|') {
        Some("holds a bar, which parts the fields of the file")
    } else if name.chars().any(|c| c.is_control() || turns(c)) {
        Some("holds a control character")
    } else if name.chars().count() > LONGEST_NAME {
        Some("is too long")
    } else {
        None
    }
}

/// Reads the file of this name.
#[must_use]
pub fn read(file: &str, text: &str) -> Kept {
    let mut reader = Reader { file, signatures: Vec::new(), findings: Vec::new(), whole: true };
    if text.contains("\r\n") {
        reader.findings.push(
            Finding::new(
                &FOREIGN_LINE_ENDS,
                Place::file(file),
                "its lines end as on Windows: it was written anew by another program",
            )
            .help("keep the program that does so away from it; the next `bourn sign` writes plain line ends"),
        );
    }
    let text = text.replace("\r\n", "\n");
    let lines: Vec<&str> = text.split_terminator('\n').collect();
    reader.lines(&lines);
    if reader.whole && !text.ends_with('\n') {
        reader.broken(&CUT_SIGN_OFF, lines.len(), "the last line has no end: something is cut off");
    }
    Kept { signatures: reader.signatures, findings: reader.findings, whole: reader.whole }
}

struct Reader<'a> {
    file: &'a str,
    signatures: Vec<Signature>,
    findings: Vec<Finding>,
    whole: bool,
}

impl Reader<'_> {
    /// Something is broken in this line, counted from 1.
    fn broken(&mut self, rule: &'static Rule, line: usize, message: impl Into<String>) {
        let row = u64::try_from(line).unwrap_or(0);
        let place = Place::Cell(Cell { file: self.file.to_owned(), row, column: None });
        self.findings.push(Finding::new(rule, place, message).help(
            "no signature in a broken file counts: fetch the file as `bourn sign` wrote it, or set it aside and sign again",
        ));
        self.whole = false;
    }

    fn lines(&mut self, lines: &[&str]) {
        let Some((first, rest)) = lines.split_first() else {
            self.broken(&CUT_SIGN_OFF, 0, "the file is empty");
            return;
        };
        if *first != FIRST {
            let message = match first.strip_prefix(FORM).and_then(|rest| rest.split(':').next()) {
                Some(form) if form != "1" => {
                    format!("the file is of form `{form}`, which this version of the program does not know")
                }
                _ => "the first line is not the one that `bourn sign` writes".to_owned(),
            };
            self.broken(&UNREADABLE_SIGNATURE, 1, message);
            return;
        }
        let mut before = *first;
        let mut closed = false;
        for (number, line) in (2..).zip(rest) {
            if closed {
                self.broken(&UNREADABLE_SIGNATURE, number, "something stands behind the closing line");
                return;
            }
            let after = if let Some(count) = line.strip_prefix("end | ") {
                closed = true;
                self.closing(number, count)
            } else {
                match signature(number, line) {
                    Ok((signature, after)) => {
                        if let Some(by_key) = &signature.by_key {
                            self.key(number, line, by_key);
                        }
                        self.keep(number, signature);
                        Some(after)
                    }
                    Err(why) => {
                        self.broken(&UNREADABLE_SIGNATURE, number, format!("the line is no signature: {why}"));
                        None
                    }
                }
            };
            if after.is_some_and(|after| after != sha256(before)) {
                let message = format!(
                    "the line does not follow from line {}: one of the two was changed, or a line was removed, put in or moved",
                    number - 1
                );
                self.broken(&BROKEN_CHAIN, number, message);
            }
            before = line;
        }
        if !closed {
            self.broken(&CUT_SIGN_OFF, lines.len(), "the file ends before its closing line: something is cut off");
        }
    }

    /// Whether the signature by a key fits the line under which it stands.
    fn key(&mut self, number: usize, line: &str, by_key: &ByKey) {
        let own = line.rsplit_once(BAR).map_or(line, |(own, _)| own);
        if let Fit::Broken(why) = key::fit(by_key, &signed_by_key(own)) {
            self.broken(&BROKEN_KEY_SIGNATURE, number, format!("the signature by key `{}` {why}", by_key.key));
        }
    }

    fn keep(&mut self, number: usize, signature: Signature) {
        if let Some(last) = self.signatures.last().filter(|last| last.date > signature.date) {
            let message = format!("the line is dated {}, before the line above it, {}", signature.date, last.date);
            self.broken(&BROKEN_CHAIN, number, message);
        }
        self.signatures.push(signature);
    }

    /// The closing line without its first word; gives the digest that it holds.
    fn closing<'l>(&mut self, number: usize, rest: &'l str) -> Option<&'l str> {
        let read = rest.split_once(BAR).and_then(|(count, after)| {
            let number = count.split(' ').next()?.parse::<usize>().ok()?;
            // One spelling alone: no digest guards this line.
            (count == signatures(number)).then_some(())?;
            Some((number, after.strip_prefix("after ")?))
        });
        let Some((count, after)) = read else {
            self.broken(&UNREADABLE_SIGNATURE, number, "the closing line cannot be read");
            return None;
        };
        let here = number - 2;
        if count != here {
            let message = format!("the closing line counts {}, and the file holds {here}", signatures(count));
            self.broken(&CUT_SIGN_OFF, number, message);
        }
        Some(after)
    }
}

fn signatures(count: usize) -> String {
    format!("{count} signature{}", if count == 1 { "" } else { "s" })
}

/// What a key signs of a line: its first seven fields and a line end.
fn signed_by_key(own: &str) -> String {
    format!("{own}\n")
}

/// One line, and the digest of the line before that it holds.
fn signature(number: usize, line: &str) -> Result<(Signature, &str), String> {
    let fields: Vec<&str> = line.split(BAR).collect();
    let (own, by_key) = match fields.split_last() {
        Some((last, own)) if own.len() == 7 => {
            let text = last.strip_prefix(KEY).ok_or("its last field is no signature by a key")?;
            let by_key = key::read(text).map_err(|why| format!("its signature by a key {why}"))?;
            (own, Some(by_key))
        }
        _ => (fields.as_slice(), None),
    };
    let [date, meaning, role, name, revision, digest, after] = own else {
        return Err(format!("it has {} fields instead of 7, or 8 with a signature by a key", fields.len()));
    };
    let day = NaiveDate::parse_from_str(date, "%Y-%m-%d").ok().filter(|day| day.to_string() == *date);
    let date = day.ok_or_else(|| format!("`{date}` is no date"))?;
    let known = Meaning::ALL.into_iter().find(|known| known.word() == *meaning);
    let meaning = known.ok_or_else(|| format!("`{meaning}` is not what a signature can say"))?;
    if let Some(why) = bad_name(name) {
        return Err(format!("the name {why}"));
    }
    let revision = match revision.strip_prefix("revision ") {
        Some(number) => Some(number.to_owned()),
        None if *revision == "no revision" => None,
        None => return Err(format!("`{revision}` is no revision")),
    };
    let hex = |text: &str| text.len() == 64 && text.chars().all(|c| c.is_ascii_digit() || ('a'..='f').contains(&c));
    if !digest.split_once(':').is_some_and(|(tag, digits)| !tag.is_empty() && hex(digits)) {
        return Err(format!("`{digest}` is no digest of a plan"));
    }
    let after = after.strip_prefix("after ").filter(|after| hex(after));
    let after = after.ok_or("it does not hold the digest of the line before")?;
    let signature = Signature {
        line: u64::try_from(number).unwrap_or(0),
        date,
        meaning,
        role: (*role).to_owned(),
        name: (*name).to_owned(),
        revision,
        digest: (*digest).to_owned(),
        over: Over::NotTold,
        by_key,
    };
    Ok((signature, after))
}

/// The whole file with these signatures, in order.
#[must_use]
pub fn written(signatures: &[Signature]) -> String {
    let mut out = format!("{FIRST}\n");
    let mut before = FIRST.to_owned();
    for one in signatures {
        before = line(one, &before);
        if let Some(by_key) = &one.by_key {
            before.push_str(&format!("{BAR}{KEY}{}", by_key.text));
        }
        out.push_str(&format!("{before}\n"));
    }
    out.push_str(&format!("end | {} | after {}\n", self::signatures(signatures.len()), sha256(&before)));
    out
}

/// What a key signs of a signature that is put behind these: its line without the field for the key, with its line end.
#[must_use]
pub fn to_sign(before: &[Signature], one: &Signature) -> String {
    let file = written(before);
    let last = file.lines().rev().nth(1).unwrap_or(FIRST);
    signed_by_key(&line(one, last))
}

/// The seven fields of a line behind another line.
fn line(one: &Signature, before: &str) -> String {
    let revision = one.revision.as_ref().map_or("no revision".to_owned(), |number| format!("revision {number}"));
    let fields = [
        one.date.to_string(),
        one.meaning.word().to_owned(),
        one.role.clone(),
        one.name.clone(),
        revision,
        one.digest.clone(),
        format!("after {}", sha256(before)),
    ];
    fields.join(BAR)
}
