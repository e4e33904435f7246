//! What the documents name exists; files are of a size to read; the top level holds what it should.

use crate::{files, text, top};

/// What may stand at the top.
const TOP: &str = "Cargo.toml Cargo.lock README.md DEVELOPERS.md grammar src plans tests demo docs LICENSE LICENSE-APACHE LICENSE-MIT CHANGELOG.md \
    .ci .gitignore .gitattributes .cargo benches clippy.toml rustfmt.toml deny.toml";

/// What a checkout holds beside it: the repository itself and what builds leave.
const BESIDE: &str = ".git target";

/// Whether text in backticks names a path of this project.
fn is_path(said: &str) -> bool {
    let Some((first, rest)) = said.split_once('/') else {
        return ["md", "toml", "lock"]
            .iter()
            .any(|end| said.rsplit_once('.').is_some_and(|(name, ending)| ending == *end && !name.is_empty()))
            && said.chars().all(|c| c.is_ascii_alphanumeric() || ".-_".contains(c));
    };
    TOP.split_whitespace().any(|name| name == first)
        && rest.chars().all(|c| c.is_ascii_alphanumeric() || "./-_*".contains(c))
        && !said.starts_with("demo/out")
}

fn exists(path: &str, from: &str) -> bool {
    let beside = std::path::Path::new(from).parent().unwrap().join(path);
    match path.split_once('*') {
        Some((before, _)) => top().join(before.rsplit_once('/').map_or("", |(folder, _)| folder)).is_dir(),
        None => top().join(path).exists() || top().join(beside).exists(),
    }
}

#[test]
fn paths_named_in_the_documents_exist() {
    let mut documents = files("docs", "md");
    documents
        .extend(["DEVELOPERS.md", "README.md"].into_iter().filter(|name| top().join(name).exists()).map(str::to_owned));
    let mut wrong = Vec::new();
    for document in &documents {
        for (at, line) in text(document).lines().enumerate() {
            for said in line.split('`').skip(1).step_by(2).filter(|said| is_path(said)) {
                if !exists(said, document) {
                    wrong.push(format!("{document}:{}: `{said}`", at + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "these paths are named and do not exist:\n{}", wrong.join("\n"));
}

#[test]
fn what_is_a_path() {
    for path in ["src/lib.rs", "src/check/", "tests/findings/*.haccp", "DEVELOPERS.md", "Cargo.toml"] {
        assert!(is_path(path), "{path}");
    }
    for other in ["and/or", "cfu/g", "a.b", "bourn check", "src", "demo/out/x.html", "steel-2.5"] {
        assert!(!is_path(other), "{other}");
    }
    assert!(
        exists("src/lib.rs", "docs/limits.md")
            && exists("limits.md", "docs/limits.md")
            && !exists("src/none.rs", "docs/limits.md")
    );
}

#[test]
fn files_are_of_a_size_to_read() {
    for file in files("src", "rs").into_iter().chain(files("tests", "rs")).chain(files("demo", "rs")) {
        let lines = text(&file).lines().count();
        assert!(lines <= 500, "{file} has {lines} lines");
        assert!(!file.contains("utils"), "{file}: name it after what it does");
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    for entry in std::fs::read_dir(top()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(
            TOP.split_whitespace().chain(BESIDE.split_whitespace()).any(|known| known == name),
            "`{name}` at the top level: does it need to be there?"
        );
    }
}
