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
}

impl Example {
    /// The kind of example: the first word behind the fence.
    pub fn kind(&self) -> &str {
        self.marks.first().map_or("", String::as_str)
    }

    /// The codes in ticks in the line before, such as `S006`.
    pub fn promised(&self) -> Vec<String> {
        let code = |word: &&str| {
            word.len() == 4
                && word.starts_with(|c: char| c.is_ascii_uppercase())
                && word[1..].bytes().all(|b| b.is_ascii_digit())
        };
        self.before.split('`').skip(1).step_by(2).filter(code).map(str::to_owned).collect()
    }

    /// Whether these are lines of a control, to be put into one with everything they name.
    pub fn is_fragment(&self) -> bool {
        self.marks.get(1).map(String::as_str) == Some("ccp")
    }

    /// The text as whole blocks.
    pub fn whole(&self) -> String {
        if !self.is_fragment() {
            assert!(self.marks.len() == 1, "{}: unknown mark", self.place);
            return self.text.clone();
        }
        let lines: String = self.text.lines().map(|line| format!("  {line}\n")).collect();
        format!("{AROUND}ccp example {{\n{lines}}}\n")
    }
}

/// What fragments may name.
const AROUND: &str = "\
role coordinator { }
record batch-record { }
event smoke-start on batch-record
event smoke-end on batch-record
event pack-start on batch-record
event pack-end on batch-record
step smoke { stage smoking from smoke-start to smoke-end }
step pack { stage packing from pack-start to pack-end }
parameter core { unit °C }
parameter air { unit °C }
parameter humidity { unit % }
parameter oxygen { unit % }
parameter salt { unit % }
parameter acidity { unit pH }
parameter nitrite { unit mg/kg }
parameter water-activity { unit aw }
parameter ferrous { answers rejected, passed }
parameter steel-2.5 { answers rejected, passed }
parameter species { answers eel, trout; recorded each lot on batch-record }
inactivation salmonella-in-eel { D 20 s at 65 °C; z 6 °C; range 55 °C to 75 °C }
";

/// What the tool finds in a plan text, without the names that a fragment need not declare.
pub fn findings(text: &str) -> Vec<Finding> {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("example", text));
    plan::read(&sources, &[id]).findings
}

/// Codes of the findings; names that a fragment does not declare are left out unless asked for.
pub fn codes(findings: &[Finding], names_too: bool) -> Vec<&'static str> {
    let mut codes: Vec<&str> =
        findings.iter().map(|finding| finding.rule.code).filter(|code| names_too || *code != "N201").collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}
