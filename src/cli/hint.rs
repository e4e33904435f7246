//! What is said below a command line that is not understood: the command as it is typed, and the likeliest slip.

use super::{files, meant};
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::path::Path;

/// Each command with one line as it is typed.
pub(super) const EXAMPLES: &[(&str, &str)] = &[
    ("check", "bourn check my-plan.haccp"),
    ("clauses", "bourn clauses my-plan.haccp"),
    ("compare", "bourn compare old.haccp new.haccp"),
    ("fmt", "bourn fmt my-plan.haccp"),
    ("verify", "bourn verify my-plan.haccp --mapping my-mapping.yaml --month 2026-10"),
    ("read", "bourn read records/oven.csv"),
    ("propose", "bourn propose records/oven.csv"),
    ("registers", "bourn registers my-plan.haccp registers"),
    ("render", "bourn render my-plan.haccp"),
    ("forms", "bourn forms my-plan.haccp"),
    ("sign", "bourn sign my-plan.haccp --role coordinator --name \"your name\" --as approved"),
    ("calc", "bourn calc humidity --dry \"82 °C\" --wet \"77 °C\""),
    ("tutorial", "bourn tutorial kitchen"),
    ("new", "bourn new my-plan.haccp --regime codex"),
    ("preview", "bourn preview my-plan.haccp"),
    ("lsp", "bourn lsp"),
    ("explain", "bourn explain H102"),
    ("completions", "bourn completions bash"),
    ("manual", "bourn manual verify"),
];

/// What may help, below the message about a command line.
pub(super) fn hint(error: &clap::Error, words: &[String]) -> Option<String> {
    let named = words.iter().skip(1).find_map(|word| EXAMPLES.iter().find(|(name, _)| name == word));
    let example = named.map(|(_, line)| format!("An example: {line}"));
    let said = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.as_str()),
        Some(ContextValue::Strings(texts)) => texts.first().map(String::as_str),
        _ => None,
    };
    match error.kind() {
        ErrorKind::InvalidSubcommand => {
            let word = said(ContextKind::InvalidSubcommand)?;
            let is_file = Path::new(word).exists() || word.contains('.');
            is_file.then(|| {
                format!("A command stands before the name of a file, such as: bourn check {}", files::typed(word))
            })
        }
        ErrorKind::UnknownArgument => {
            let word = said(ContextKind::InvalidArg)?;
            unknown(word, words).or(example)
        }
        ErrorKind::ValueValidation if said(ContextKind::InvalidArg).is_some_and(|arg| arg.contains("YYYY-MM-DD")) => {
            Some("A day is written with the year first: 2026-10-31".to_owned())
        }
        _ => example,
    }
}

/// What is likely meant by a word that no command takes at its place.
fn unknown(word: &str, words: &[String]) -> Option<String> {
    // A hyphen that a word processor or a web page has made longer.
    let long = ['–', '—', '−'];
    if word.trim_start_matches('-').starts_with(long) {
        // Of a word that begins with one hyphen the rest is not told.
        let whole = words.iter().find(|typed| typed.starts_with(word)).map_or(word, String::as_str);
        return Some(format!(
            "An option begins with two plain hyphens: --{}",
            whole.trim_start_matches([long.as_slice(), &['-']].concat().as_slice())
        ));
    }
    if word.starts_with('-') {
        return None;
    }
    if let Some(whole) = meant::parted(words, Path::new(word)) {
        return Some(format!("A name with a blank in it is typed in quotation marks: {}", files::typed(&whole)));
    }
    let digits = |text: &str, many| text.len() == many && text.bytes().all(|byte| byte.is_ascii_digit());
    if word.split_once('-').is_some_and(|(year, month)| digits(year, 4) && digits(month, 2)) {
        return Some(format!("A month stands behind its option: --month {word}"));
    }
    if [".yaml", ".yml"].iter().any(|ending| word.ends_with(ending)) {
        return Some(format!("A mapping stands behind its option: --mapping {}", files::typed(word)));
    }
    Some("What holds a blank is typed in quotation marks, such as \"my plan.haccp\" or \"77 °C\"".to_owned())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing)]
    use super::*;
    use clap::{CommandFactory, Parser};

    /// Words as a shell parts them.
    fn parted(line: &str) -> Vec<String> {
        let quoted = line.split('"').enumerate().flat_map(|(at, part)| match at % 2 {
            0 => part.split_whitespace().map(str::to_owned).collect::<Vec<_>>(),
            _ => vec![part.to_owned()],
        });
        quoted.collect()
    }

    #[test]
    fn every_command_has_an_example_that_it_takes() {
        let command = super::super::Cli::command();
        for one in command.get_subcommands() {
            let example = EXAMPLES.iter().find(|(name, _)| *name == one.get_name());
            let (_, line) = example.unwrap_or_else(|| panic!("no example of {}", one.get_name()));
            let words = parted(line);
            assert_eq!(words[1], one.get_name());
            assert!(super::super::Cli::try_parse_from(&words).is_ok(), "{line}");
        }
        assert_eq!(EXAMPLES.len(), command.get_subcommands().count());
    }
}
