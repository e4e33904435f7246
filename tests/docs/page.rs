//! Pages and the fenced examples in them.

use bourn::finding::Finding;
use bourn::plan;
use bourn::source::{Source, Sources};
use std::path::{Path, PathBuf};

/// A page of the repository.
pub struct Page {
    /// Path from the root of the repository.
    pub name: String,
    /// The whole text.
    pub text: String,
}

/// A fenced example.
pub struct Example {
    /// Page and line of its fence.
    pub place: String,
    /// What stands behind the opening fence, in words.
    pub marks: Vec<String>,
    /// The text between the fences.
    pub text: String,
    /// The line of prose before it.
    pub before: String,
}

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

pub fn page(name: &str) -> Page {
    let text = std::fs::read_to_string(root().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    Page { name: name.to_owned(), text }
}

/// Every page of the documentation, by name.
pub fn pages() -> Vec<Page> {
    let mut names: Vec<String> = std::fs::read_dir(root().join("docs"))
        .unwrap()
        .map(|entry| format!("docs/{}", entry.unwrap().file_name().to_str().unwrap()))
        .filter(|name| name.ends_with(".md"))
        .collect();
    names.push("grammar/README.md".to_owned());
    names.sort();
    names.iter().map(|name| page(name)).collect()
}

/// The pages that are the language reference.
pub fn language() -> Vec<Page> {
    ["docs/language.md", "docs/language-plan.md", "docs/language-controls.md"].map(page).into()
}

impl Page {
    /// Every fenced example.
    pub fn examples(&self) -> Vec<Example> {
        let mut found = Vec::new();
        let mut before = String::new();
        let mut open: Option<Example> = None;
        for (index, line) in self.text.lines().enumerate() {
            match (&mut open, line.strip_prefix("```")) {
                (None, Some(marks)) => {
                    open = Some(Example {
                        place: format!("{}:{}", self.name, index + 1),
                        marks: marks.split_whitespace().map(str::to_owned).collect(),
                        text: String::new(),
                        before: before.clone(),
                    });
                }
                (Some(_), Some(_)) => found.extend(open.take()),
                (Some(example), None) => {
                    example.text.push_str(line);
                    example.text.push('\n');
                }
                (None, None) if line.trim().is_empty() => {}
                (None, None) => line.clone_into(&mut before),
            }
        }
        assert!(open.is_none(), "{}: a fence is never closed", self.name);
        found
    }

    /// Whether a word or code stands in ticks or in an example, with no letter, digit or hyphen beside it.
    pub fn says(&self, word: &str) -> bool {
        let beside = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
        self.text.match_indices(word).any(|(at, _)| {
            let before = self.text[..at].chars().next_back();
            let after = self.text[at + word.len()..].chars().next();
            !before.is_some_and(beside) && !after.is_some_and(beside)
        })
    }
}

impl Example {
    /// The kind of example: the first word behind the fence.
    pub fn kind(&self) -> &str {
        self.marks.first().map_or("", String::as_str)
    }

    /// The codes in ticks in the line before, such as `S006`.
    pub fn promised(&self) -> Vec<String> {
        let code = |word: &&str| word.len() == 4 && word.starts_with(|c: char| c.is_ascii_uppercase()) && word[1..].bytes().all(|b| b.is_ascii_digit());
        self.before.split('`').skip(1).step_by(2).filter(code).map(str::to_owned).collect()
    }

    /// The text as whole blocks: a second word behind the fence names the block that its lines belong in.
    pub fn whole(&self) -> String {
        match self.marks.get(1).map(String::as_str) {
            None => self.text.clone(),
            Some(block) => format!("{block} example {{\n{}}}\n", self.text.lines().map(|line| format!("  {line}\n")).collect::<String>()),
        }
    }
}

/// What the tool finds in a plan text, without the names that a fragment need not declare.
pub fn findings(text: &str) -> Vec<Finding> {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("example", text));
    plan::read(&sources, &[id]).findings
}

/// Codes of the findings; names that a fragment does not declare are left out unless asked for.
pub fn codes(findings: &[Finding], names_too: bool) -> Vec<&'static str> {
    let mut codes: Vec<&str> = findings.iter().map(|finding| finding.rule.code).filter(|code| names_too || *code != "N201").collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}
