//! Data flows one way: a module names only modules above it in `src/lib.rs`.

use crate::{files, text};

/// The top-level modules in their order.
fn order() -> Vec<String> {
    let lib = text("src/lib.rs");
    lib.lines().filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';')).map(str::to_owned).collect()
}

/// Rust without comments, and without what is compiled for tests alone.
fn code(file: &str) -> String {
    if file.ends_with("tests.rs") || file.contains("/examples/") {
        return String::new();
    }
    let text = text(file);
    let mut out = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if line.trim() == "#[cfg(test)]" {
            // The item that follows: to its semicolon, or to the brace in the column of its beginning.
            let item = lines.find(|line| !line.trim_start().starts_with("#[")).unwrap_or("");
            if item.trim_end().ends_with('{') {
                let close = format!("{}}}", &item[..item.len() - item.trim_start().len()]);
                lines.by_ref().find(|line| *line == close);
            }
            continue;
        }
        if !line.trim_start().starts_with("//") {
            out.push_str(line.split(" // ").next().unwrap_or(line));
            out.push('\n');
        }
    }
    out
}

/// The top-level modules that a text names after `crate::` or `$crate::`, alone or in braces.
fn named(code: &str) -> Vec<String> {
    let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut found = Vec::new();
    for (at, mark) in code.match_indices("crate::") {
        let rest = code[at + mark.len()..].trim_start();
        let Some(list) = rest.strip_prefix('{') else {
            found.push(word(rest));
            continue;
        };
        let (mut depth, mut fresh) = (1, true);
        for (at, c) in list.char_indices() {
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 1 => fresh = true,
                c if fresh && !c.is_whitespace() => {
                    found.push(word(&list[at..]));
                    fresh = false;
                }
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
    }
    found
}

#[test]
fn the_reader_of_paths_reads_paths() {
    assert_eq!(named("use crate::{a::{b, c}, d, e as f};\ncrate::g::h(); $crate::i::J"), ["a", "d", "e", "g", "i"]);
}

#[test]
fn a_module_names_only_modules_above_it() {
    let order = order();
    assert!(order.len() >= 15, "{order:?}");
    let rank = |module: &str| order.iter().position(|known| known == module);
    let mut wrong = Vec::new();
    let mut seen = 0;
    for file in files("src", "rs") {
        let module = file["src/".len()..].split(['/', '.']).next().unwrap().to_owned();
        let Some(here) = rank(&module) else {
            assert!(["lib", "main"].contains(&module.as_str()), "{file} is in no module of src/lib.rs");
            continue;
        };
        for other in named(&code(&file)) {
            seen += 1;
            // A name that is no module is a macro of the crate's root; it lives in a module that is looked at by itself.
            if rank(&other).is_some_and(|there| there > here) {
                wrong.push(format!("{file} names `{other}`, which stands below `{module}`"));
            }
        }
    }
    assert!(seen > 100, "only {seen} paths were read");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn only_the_command_line_opens_files_and_reads_the_clock() {
    let closed = [
        "std::fs",
        "File::open",
        "File::create",
        "Local::now",
        "Utc::now",
        "SystemTime",
        "Instant::now",
        "std::env",
        "std::process",
        "std::net",
        "stdin()",
        "stdout()",
        "stderr()",
        "tempfile",
    ];
    let mut wrong = Vec::new();
    for file in files("src", "rs") {
        if file.starts_with("src/cli/") || file == "src/main.rs" {
            continue;
        }
        let code = code(&file);
        wrong.extend(closed.iter().filter(|word| code.contains(**word)).map(|word| format!("{file} uses `{word}`")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
