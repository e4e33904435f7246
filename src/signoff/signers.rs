//! Which key may sign as which person: the file of allowed signers, in the form of `ssh-keygen` (ALLOWED SIGNERS in its
//! manual page).

use super::key::{self, NAMESPACE};
use super::rules::UNREADABLE_SIGNER;
use crate::finding::Finding;
use crate::source::{Cell, Place};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

/// The file as it was read.
#[derive(Debug, Clone)]
pub struct Signers {
    file: String,
    lines: Vec<Line>,
    findings: Vec<Finding>,
}

#[derive(Debug, Clone, Default)]
struct Line {
    names: String,
    purposes: Option<String>,
    after: Option<Moment>,
    before: Option<Moment>,
    key: String,
}

/// A time on the clock of the place, or in universal time.
#[derive(Debug, Clone, Copy)]
struct Moment {
    at: NaiveDateTime,
    universal: bool,
}

impl Signers {
    /// Reads the file of this name.
    #[must_use]
    pub fn read(file: &str, text: &str) -> Self {
        let mut signers = Signers { file: file.to_owned(), lines: Vec::new(), findings: Vec::new() };
        for (number, line) in (1..).zip(text.lines()) {
            let line = line.trim_matches([' ', '\t', '\r']);
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            match read_line(line) {
                Ok(line) => signers.lines.push(line),
                Err(why) => {
                    let place = Place::Cell(Cell { file: file.to_owned(), row: number, column: None });
                    let message = format!("the line lists no key: {why}");
                    let help = "write it as `\"Name as typed\" ssh-ed25519 AAAA…`; the second part is the content of the \
                                file of the public key, which ends in `.pub`";
                    signers.findings.push(Finding::new(&UNREADABLE_SIGNER, place, message).help(help));
                }
            }
        }
        signers
    }

    /// A file that cannot be read at all, for this reason: it lists no key.
    #[must_use]
    pub fn unreadable(file: &str, why: Finding) -> Self {
        Signers { file: file.to_owned(), lines: Vec::new(), findings: vec![why] }
    }

    /// Its name.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Faults of the file.
    #[must_use]
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Whether any key is listed for a name.
    #[must_use]
    pub fn names(&self, name: &str) -> bool {
        self.lines.iter().any(|line| matches(&line.names, name))
    }

    /// Whether the key of this fingerprint may sign as a person on a day. A line holds a day and no time, so a key must be
    /// valid during the whole of it.
    ///
    /// # Errors
    /// Why not, in a sentence.
    pub fn allows(&self, key: &str, name: &str, day: NaiveDate) -> Result<(), String> {
        let file = &self.file;
        let mut why = format!("`{file}` does not list it");
        for line in self.lines.iter().filter(|line| line.key == key) {
            if !matches(&line.names, name) {
                why = format!("`{file}` lists it for another name, `{}`", line.names);
            } else if line.purposes.as_ref().is_some_and(|purposes| !matches(purposes, NAMESPACE)) {
                why = format!("`{file}` lists it for other purposes than `{NAMESPACE}`");
            } else if !line.valid(day) {
                why = format!("`{file}` does not list it for {day}");
            } else {
                return Ok(());
            }
        }
        Err(why)
    }
}

impl Line {
    fn valid(&self, day: NaiveDate) -> bool {
        // Somewhere on Earth a day begins 14 h before that of universal time, and ends 12 h after it.
        let start = |moment: &Moment| {
            let start = day.and_time(NaiveTime::MIN);
            let start = if moment.universal { start.checked_sub_signed(TimeDelta::hours(14)) } else { Some(start) };
            start.is_some_and(|start| moment.at <= start)
        };
        let end = |moment: &Moment| {
            let end = day.checked_add_days(Days::new(1)).map(|next| next.and_time(NaiveTime::MIN));
            let end =
                if moment.universal { end.and_then(|end| end.checked_add_signed(TimeDelta::hours(12))) } else { end };
            end.is_some_and(|end| moment.at >= end)
        };
        self.after.as_ref().is_none_or(start) && self.before.as_ref().is_none_or(end)
    }
}

/// One line that is neither empty nor a remark.
fn read_line(text: &str) -> Result<Line, String> {
    let (names, rest) = match text.strip_prefix('"') {
        Some(rest) => rest.split_once('"').ok_or("a quotation mark is not closed")?,
        None => text.split_once([' ', '\t']).ok_or("nothing follows the name")?,
    };
    if names.is_empty() {
        return Err("it has no name".to_owned());
    }
    let mut line = Line { names: names.to_owned(), ..Line::default() };
    let rest = rest.trim_start_matches([' ', '\t']);
    let mut words = rest.split_ascii_whitespace();
    let found = match (words.next().unwrap_or_default(), words.next().unwrap_or_default()) {
        (kind, encoded) if is_kind(kind) => key_of(kind, encoded)?,
        _ => {
            let rest = line.options(rest)?;
            let mut words = rest.split_ascii_whitespace();
            let (kind, encoded) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
            if !is_kind(kind) {
                return Err(if kind.is_empty() {
                    "it has no key".to_owned()
                } else {
                    format!("`{kind}` is no kind of key")
                });
            }
            key_of(kind, encoded)?
        }
    };
    line.key = found;
    Ok(line)
}

fn is_kind(word: &str) -> bool {
    ["ssh-", "ecdsa-", "sk-"].iter().any(|begin| word.starts_with(begin)) && !word.contains(['=', ',', '"'])
}

/// The fingerprint of a key as it stands in the file.
fn key_of(kind: &str, encoded: &str) -> Result<String, String> {
    let bytes = STANDARD.decode(encoded).map_err(|_| "the key is not in base64")?;
    if key::kind(&bytes) != Some(kind) {
        return Err(format!("the key is not of the kind `{kind}`"));
    }
    if kind.contains("-cert-") {
        return Err("a certificate is not read here".to_owned());
    }
    Ok(key::fingerprint(&bytes))
}

impl Line {
    /// Reads the options at the beginning of a text; gives what follows them.
    fn options<'t>(&mut self, mut text: &'t str) -> Result<&'t str, String> {
        loop {
            let ends = text.find(['=', ',', ' ', '\t']).unwrap_or(text.len());
            let (name, rest) = text.split_at_checked(ends).unwrap_or((text, ""));
            let (value, rest) = match rest.strip_prefix('=') {
                None => (None, rest),
                Some(rest) => {
                    let quoted = rest.strip_prefix('"').and_then(|rest| rest.split_once('"'));
                    let (value, rest) =
                        quoted.ok_or_else(|| format!("the value of `{name}` stands in no quotation marks"))?;
                    (Some(value), rest)
                }
            };
            self.option(name, value)?;
            match rest.strip_prefix(',') {
                Some(rest) => text = rest,
                None if rest.is_empty() || rest.starts_with([' ', '\t']) => return Ok(rest),
                None => return Err(format!("something stands behind the value of `{name}`")),
            }
        }
    }

    fn option(&mut self, name: &str, value: Option<&str>) -> Result<(), String> {
        let twice = || Err(format!("`{name}` stands twice"));
        match (name.to_ascii_lowercase().as_str(), value) {
            ("namespaces", Some(purposes)) => {
                if self.purposes.replace(purposes.to_owned()).is_some() {
                    return twice();
                }
            }
            ("valid-after", Some(time)) => {
                if self.after.replace(moment(time)?).is_some() {
                    return twice();
                }
            }
            ("valid-before", Some(time)) => {
                if self.before.replace(moment(time)?).is_some() {
                    return twice();
                }
            }
            ("cert-authority", None) => return Err("keys of an authority are not read here".to_owned()),
            _ => return Err(format!("`{name}` is no option that is read here")),
        }
        Ok(())
    }
}

/// A time as `ssh-keygen` has it: YYYYMMDD, YYYYMMDDHHMM or YYYYMMDDHHMMSS, with a `Z` behind it if in universal time.
fn moment(text: &str) -> Result<Moment, String> {
    let (digits, universal) = match text.strip_suffix('Z').or_else(|| text.strip_suffix("UTC")) {
        Some(digits) => (digits, true),
        None => (text, false),
    };
    let full = match digits.len() {
        8 => format!("{digits}000000"),
        12 => format!("{digits}00"),
        _ => digits.to_owned(),
    };
    let plain = full.len() == 14 && full.bytes().all(|byte| byte.is_ascii_digit());
    let at = plain.then(|| NaiveDateTime::parse_from_str(&full, "%Y%m%d%H%M%S").ok()).flatten();
    Ok(Moment { at: at.ok_or_else(|| format!("`{text}` is no time as YYYYMMDD or YYYYMMDDHHMM"))?, universal })
}

/// Whether a list of patterns, parted by commas, names a word: `*` is anything, `?` one letter, and a pattern after `!`
/// takes a word out (PATTERNS of ssh_config(5)).
fn matches(list: &str, word: &str) -> bool {
    let mut named = false;
    for pattern in list.split(',') {
        match pattern.strip_prefix('!') {
            Some(pattern) if like(pattern.as_bytes(), word.as_bytes()) => return false,
            Some(_) => {}
            None => named |= like(pattern.as_bytes(), word.as_bytes()),
        }
    }
    named
}

/// Whether a word is as one pattern has it; in a time that grows with the product of both lengths at most.
fn like(pattern: &[u8], word: &[u8]) -> bool {
    let (mut at, mut seen) = (0, 0);
    let mut star: Option<(usize, usize)> = None;
    while let Some(letter) = word.get(seen) {
        match pattern.get(at) {
            Some(b'*') => {
                star = Some((at + 1, seen));
                at += 1;
            }
            Some(one) if *one == b'?' || one == letter => {
                at += 1;
                seen += 1;
            }
            _ => match star {
                Some((back, from)) => {
                    star = Some((back, from + 1));
                    at = back;
                    seen = from + 1;
                }
                None => return false,
            },
        }
    }
    pattern.get(at..).is_none_or(|rest| rest.iter().all(|one| *one == b'*'))
}
