//! Questions that a proposed mapping leaves to a person: values written as a question mark.

use super::locate::{Entry, Locator};
use crate::finding::Finding;
use crate::log::rules;
use serde_yaml::Value;

/// A finding for each question that is left open. A mapping with one is never used.
pub(super) fn questions(text: &str, locator: &Locator<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    // What is no YAML is reported by whoever reads it next.
    if let Ok(Value::Mapping(top)) = serde_yaml::from_str::<Value>(text) {
        for (key, value) in &top {
            let Some(key) = key.as_str() else { continue };
            let section = ["lots", "readings", "samples", "calibrations"].into_iter().find(|name| *name == key);
            match (section, value) {
                (Some(section), Value::Sequence(list)) => {
                    for (number, value) in list.iter().enumerate() {
                        walk(value, Some((section, number)), &mut Vec::new(), locator, &mut findings);
                    }
                }
                _ => walk(value, None, &mut vec![key.to_owned()], locator, &mut findings),
            }
        }
    }
    findings
}

fn walk(value: &Value, entry: Option<Entry>, path: &mut Vec<String>, locator: &Locator<'_>, out: &mut Vec<Finding>) {
    match value {
        Value::String(text) if text.trim() == "?" => {
            let words: Vec<&str> = path.iter().map(String::as_str).collect();
            let key = path.last().map_or("", String::as_str);
            let message = format!("`{key}` is still a question");
            let finding = Finding::at(&rules::UNANSWERED, locator.find(entry, &words), message);
            out.push(finding.help(
                "answer it, or remove the key if the file needs none; the comment beside it says what the file shows",
            ));
        }
        Value::Sequence(list) => list.iter().for_each(|value| walk(value, entry, path, locator, out)),
        Value::Mapping(map) => {
            for (key, value) in map {
                let Some(key) = key.as_str() else { continue };
                path.push(key.to_owned());
                if key.trim() == "?" {
                    walk(&Value::String("?".into()), entry, path, locator, out);
                }
                walk(value, entry, path, locator, out);
                path.pop();
            }
        }
        _ => {}
    }
}
