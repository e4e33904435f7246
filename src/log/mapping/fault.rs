//! What the YAML reader says, in the words of the person who wrote the mapping.

use super::locate::Locator;
use crate::finding::{Finding, nearest};
use crate::log::rules;

/// A finding for an error of the YAML reader.
pub(super) fn of(error: &serde_yaml::Error, text: &str, locator: &Locator<'_>) -> Finding {
    let full = error.to_string();
    // The reader ends its words with the position, which the finding carries by itself.
    let said = full.rsplit_once(" at line ").map_or(full.as_str(), |(said, _)| said);
    let at = error.location().map_or(0, |place| place.index().min(text.len()));
    if let Some(rest) = after(said, "unknown field ") {
        let mut ticked = rest.split('`').skip(1).step_by(2);
        let key = ticked.next().unwrap_or_default();
        let known: Vec<&str> = ticked.collect();
        let message = format!("`{key}` is no key of {}", whose(said));
        let help = match nearest(key, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("the keys here are {}", known.join(", ")),
        };
        let loc =
            key_near(text, at, key).map_or_else(|| locator.word_at(at), |start| locator.loc(start, start + key.len()));
        return Finding::at(&rules::KEY_UNKNOWN, loc, message).help(help);
    }
    if let Some(rest) = after(said, "invalid type: ").or_else(|| after(said, "invalid value: ")) {
        let (found, wanted) = rest.split_once(", expected ").unwrap_or((rest, "something else"));
        let message = format!("{} must be {}; it is {}", whose(said), kind(wanted), shown(found));
        return Finding::at(&rules::KEY_KIND, locator.word_at(at), message);
    }
    if let Some(rest) = after(said, "invalid length ") {
        let message = format!(
            "{} has {} values; it must have exactly two, the lowest and the highest",
            whose(said),
            rest.split(',').next().unwrap_or_default()
        );
        return Finding::at(&rules::KEY_KIND, locator.word_at(at), message);
    }
    if let Some(rest) = after(said, "missing field ") {
        let message = format!("{} lacks the key {rest}", whose(said));
        let words: Vec<&str> = said.split([':', '.', '[']).take(1).collect();
        let loc = if at == 0 { locator.find(None, &words) } else { locator.word_at(at) };
        return Finding::at(&rules::KEY_MISSING, loc, message);
    }
    if said.contains("duplicate field") || said.contains("stands twice") || said.contains("duplicate entry") {
        let key = said.split('`').nth(1).unwrap_or_default();
        let message = format!("`{key}` stands twice in {}", whose(said));
        let from = text.get(at..).unwrap_or_default();
        let as_key = |start: &usize| {
            let rest = from.get(start + key.len()..).unwrap_or_default();
            rest.trim_start_matches(['"', '\'']).trim_start().starts_with(':')
        };
        let mut places = from.match_indices(key).filter(|_| !key.is_empty()).map(|(start, _)| start).filter(as_key);
        let first = places.next().unwrap_or(0);
        let start = at + places.next().unwrap_or(first);
        return Finding::at(&rules::MAPPING_TWICE, locator.loc(start, start + key.len()), message);
    }
    if said.contains("could not find expected ':'") {
        // The reader notices at the next entry; the colon is missing on the last written line before it.
        let before = text.get(..at).unwrap_or_default().trim_end();
        let start = before.rfind('\n').map_or(0, |line| line + 1);
        let indent = before.len() - start - before.get(start..).unwrap_or_default().trim_start().len();
        let loc = locator.loc(start + indent, before.len());
        return Finding::at(&rules::MAPPING_SYNTAX, loc, "a line of the mapping lacks its `:`")
            .help("write `KEY: VALUE`, with a space after the colon");
    }
    let message = if said.contains("EndOfStream") || said.contains("EOF") || text.trim().is_empty() {
        "the mapping is empty".to_owned()
    } else {
        format!("the mapping is not sound YAML: {said}")
    };
    Finding::at(&rules::MAPPING_SYNTAX, locator.word_at(at), message)
        .help("check the indentation, and put texts that hold `: ` or begin with a sign in quotes")
}

fn after<'a>(said: &'a str, mark: &str) -> Option<&'a str> {
    said.find(mark).and_then(|at| said.get(at + mark.len()..))
}

/// The path that the reader puts before its words, such as `readings[0].time`.
fn whose(said: &str) -> String {
    let marks = ["unknown field ", "invalid ", "missing field ", "duplicate ", "`"];
    let end = marks.iter().filter_map(|mark| said.find(mark)).min().unwrap_or(0);
    match said.get(..end).unwrap_or_default().trim_end().trim_end_matches(':') {
        "" => "the mapping".to_owned(),
        path => format!("`{path}`"),
    }
}

fn kind(wanted: &str) -> &str {
    match wanted {
        "u32" | "usize" | "u64" => "a whole number",
        "f64" => "a number",
        "a string" => "a text",
        "a boolean" => "true or false",
        "a sequence" => "a list, each entry after a hyphen",
        "a tuple of size 2" => "two numbers, the lowest and the highest",
        other if other.starts_with("struct ") => "a group of keys",
        "a map" => "a group of keys",
        other => other,
    }
}

fn shown(found: &str) -> String {
    if found == "unit value" || found == "null" {
        return "empty".to_owned();
    }
    match found.split_once(' ') {
        Some(("string", text)) => format!("the text `{}`", text.trim_matches('"')),
        Some(("integer" | "boolean", text)) => text.to_owned(),
        Some(("floating", text)) => text.trim_start_matches("point ").to_owned(),
        _ => match found {
            "map" => "a group of keys".to_owned(),
            "sequence" => "a list".to_owned(),
            other => other.to_owned(),
        },
    }
}

/// Where the key stands on or before the reported position.
fn key_near(text: &str, at: usize, key: &str) -> Option<usize> {
    if key.is_empty() {
        return None;
    }
    if text.get(at..)?.starts_with(key) {
        return Some(at);
    }
    text.get(..at)?.rfind(key).or_else(|| text.find(key))
}
