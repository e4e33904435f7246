//! What must hold whatever was changed.

use super::{BASE, COMPARED, cases, compared, plan, run, run_on};
use bourn::compare::{Comparison, Demand, Kind};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

fn plans() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("plans");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "haccp"));
    paths.sort();
    assert!(paths.len() >= 3, "{paths:?}");
    paths
}

/// The blocks of a text, each with the comment above it.
fn blocks(text: &str) -> Vec<String> {
    let mut blocks: Vec<String> = Vec::new();
    let mut open = String::new();
    let mut begun = false;
    for line in text.lines() {
        let starts = line.chars().next().is_some_and(|c| c.is_alphabetic() || c == '#');
        if starts && begun {
            blocks.push(std::mem::take(&mut open));
            begun = false;
        }
        begun |= line.chars().next().is_some_and(char::is_alphabetic);
        open.push_str(line);
        open.push('\n');
    }
    blocks.push(open);
    blocks
}

/// The blocks in another order. Steps follow each other as written, so their order among themselves is kept.
fn shuffled(text: &str, seed: u64) -> String {
    let blocks = blocks(text);
    let is_step = |block: &String| block.lines().any(|line| line.starts_with("step "));
    let (steps, mut others): (Vec<String>, Vec<String>) = blocks.into_iter().partition(is_step);
    assert!(!steps.is_empty() && others.len() > 10);
    let mut state = seed;
    let mut draw = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % below
    };
    for at in (1..others.len()).rev() {
        others.swap(at, draw(at + 1));
    }
    for step in steps.into_iter().rev() {
        // Before the steps already placed.
        let first = others.iter().position(is_step).unwrap_or(others.len());
        let at = draw(first + 1);
        others.insert(at, step);
    }
    others.concat()
}

/// Quotes, numbers and words stay; every run of blanks between them is another one, and comments come and go.
fn respaced(text: &str) -> String {
    let mut out = String::from("# Another comment at the top\n\n");
    for line in text.lines().filter(|line| !line.trim_start().starts_with('#')) {
        out.push_str(line);
        out.push_str(if line.is_empty() || line.trim_end().ends_with(',') { "" } else { "   " });
        out.push('\n');
        if line.starts_with('}') {
            out.push_str("\n\n# and between the blocks\n");
        }
    }
    out
}

fn assert_silent(old: &str, new: &str, what: &str) {
    let comparison = compared(old, new);
    let told: Vec<String> = comparison.changes.iter().map(|change| format!("{change:?}")).collect();
    assert!(told.is_empty(), "{what}:\n{}", told.join("\n"));
    assert!(comparison.demanded.is_empty());
}

#[test]
fn a_plan_beside_itself_says_nothing() {
    let mut texts: Vec<String> = plans().iter().map(|path| std::fs::read_to_string(path).unwrap()).collect();
    texts.push(BASE.to_owned());
    texts.extend(cases().into_iter().step_by(10).map(|case| case.new));
    for text in &texts {
        assert_silent(text, text, "the same text");
    }
    let output = run_on(BASE, BASE, &[]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8(output.stdout).unwrap(), "old.haccp to new.haccp: no change in meaning\n");
}

#[test]
fn order_of_blocks_says_nothing() {
    for path in plans() {
        let text = std::fs::read_to_string(&path).unwrap();
        for seed in 0..2 {
            let other = shuffled(&text, seed);
            assert_ne!(text, other);
            assert_silent(&text, &other, &format!("{} shuffled by {seed}", path.display()));
        }
    }
    assert_silent(BASE, &shuffled(BASE, 3), "the base plan");
}

#[test]
fn layout_and_comments_say_nothing() {
    for path in plans() {
        let text = std::fs::read_to_string(&path).unwrap();
        assert_silent(&text, &respaced(&text), &path.display().to_string());
    }
}

#[test]
fn the_formatter_says_nothing() {
    for path in plans() {
        // Ragged, so that the formatter has something to do.
        let text = respaced(&std::fs::read_to_string(&path).unwrap());
        let folder = tempfile::tempdir().unwrap();
        let (old, new) = (folder.path().join("old.haccp"), folder.path().join("new.haccp"));
        std::fs::write(&old, &text).unwrap();
        std::fs::write(&new, &text).unwrap();
        let formatted =
            Command::new(env!("CARGO_BIN_EXE_bourn")).current_dir(folder.path()).args(["fmt", "new.haccp"]).output();
        assert!(formatted.unwrap().status.success());
        assert_ne!(std::fs::read_to_string(&new).unwrap(), text);
        let output = run(folder.path(), &["old.haccp", "new.haccp"]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
    }
}

#[test]
fn the_same_figure_in_other_words_says_nothing_and_another_figure_does() {
    let limit = |text: &str| BASE.replace("core >= 72 °C held for 2 min\n  limit", &format!("{text}\n  limit"));
    assert_silent(&limit("core >= 72 °C held for 2 min"), &limit("core >= 72.00 °C held for 120 s"), "seconds");
    assert_silent(&limit("core >= 40 °F held for 2 min"), &limit("core >= 40.0 °F held for 2 min"), "trailing nought");
    assert_silent(&limit("core between 70 °C and 80 °C"), &limit("core = 75 °C ± 5 °C"), "target and tolerance");
    let changed = compared(&limit("core <= 40 °F"), &limit("core <= 4.4 °C"));
    // 40 °F is 4.444… °C: the new figure is lower.
    assert_eq!(changed.changes[0].kind, Kind::LimitTightened, "{:?}", changed.changes);
}

/// How many changes of each kind there are. What hangs on the days of validation and revision has no mirror.
fn counts(comparison: &Comparison, seen: &dyn Fn(Kind) -> Kind) -> BTreeMap<Kind, usize> {
    let mut counts = BTreeMap::new();
    for change in comparison.changes.iter().filter(|change| change.kind != Kind::ValidationOlder) {
        *counts.entry(seen(change.kind)).or_default() += 1;
    }
    counts
}

#[test]
fn the_way_back_is_the_mirror() {
    let mut seen = 0;
    for (case, there, home) in COMPARED.iter() {
        let forth = counts(there, &|kind| kind);
        let back = counts(home, &Kind::mirrored);
        assert_eq!(forth, back, "{}", case.name);
        seen += forth.values().sum::<usize>();
    }
    assert!(seen > 100, "only {seen} changes were seen");
    for kind in Kind::ALL {
        assert_eq!(kind.mirrored().mirrored(), *kind);
        assert_eq!(kind.mirrored() == *kind, kind.mirrored().word() == kind.word());
        let (one, two) = (kind.bearing(), kind.mirrored().bearing());
        // An allergen that is gone is no more control; what hangs on days has no mirror.
        let known = [Kind::AllergenAdded, Kind::AllergenGone, Kind::ValidationOlder, Kind::RevisionUnchanged];
        assert!(known.contains(kind) || one == two.mirrored(), "{}", kind.word());
    }
}

#[test]
fn two_changes_at_once_are_both_told() {
    let cases = cases();
    let find = |name: &str| cases.iter().find(|case| case.name == name).unwrap();
    // Texts that touch different lines of the base plan can be laid over each other.
    let pairs = [
        ("supplier-changed", "limit-loosened"),
        ("monitoring-rarer", "storage-changed"),
        ("renamed", "supplier-changed"),
    ];
    for (one, two) in pairs {
        let both: String = {
            let change = find(two);
            let (from, to) = differing(&change.old, &change.new);
            assert_eq!(find(one).new.matches(&from).count(), 1, "{one} and {two}");
            find(one).new.replacen(&from, &to, 1)
        };
        let kinds: Vec<&str> = compared(BASE, &both).changes.iter().map(|change| change.kind.word()).collect();
        assert!(kinds.contains(&one) && kinds.contains(&two), "{kinds:?}");
        assert_eq!(kinds.len(), 2, "{kinds:?}");
    }
}

/// The one stretch of lines in which two texts differ.
fn differing(old: &str, new: &str) -> (String, String) {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let tail = old[head..].iter().rev().zip(new[head..].iter().rev()).take_while(|(a, b)| a == b).count();
    (old[head..old.len() - tail].join("\n"), new[head..new.len() - tail].join("\n"))
}

#[test]
fn a_name_alone_is_no_thing_to_know_again() {
    // Without a title, a hazard is what its name says.
    let old = format!("{BASE}\nhazard mould {{ kind biological }}\n");
    let new = format!("{BASE}\nhazard yeast {{ kind biological }}\n");
    let mut kinds: Vec<Kind> = compared(&old, &new).changes.iter().map(|change| change.kind).collect();
    kinds.sort();
    assert_eq!(kinds, [Kind::HazardAdded, Kind::HazardGone]);
}

#[test]
fn things_that_name_each_other_are_renamed_together() {
    let new = BASE
        .replace("cooking \"Cooking\" at boil", "heat \"Cooking\" at boiler")
        .replace("control      cooking", "control      heat")
        .replace("step boil ", "step boiler ");
    let changes = compared(BASE, &new).changes;
    assert!(changes.iter().all(|change| change.kind == Kind::Renamed), "{changes:?}");
    assert_eq!(changes.len(), 2, "{changes:?}");
}

#[test]
fn a_limit_that_a_series_looks_at_is_renamed_once() {
    let old =
        BASE.replace("  guide colour", "  series pair core-hold not met in at most 1 of any 7 lots\n  guide colour");
    let changes = compared(&old, &old.replace("core-hold", "hot-core")).changes;
    assert_eq!(changes.len(), 1, "{changes:?}");
    assert_eq!(changes[0].kind, Kind::Renamed);
}

/// The base plan with one line replaced, and whether anything is told of it.
fn told_without(at: usize, instead: Option<&str>) -> bool {
    let mut lines: Vec<&str> = BASE.lines().collect();
    match instead {
        Some(line) => lines[at] = line,
        None => {
            lines.remove(at);
        }
    }
    let mut sources = bourn::source::Sources::new();
    let id = sources.add(bourn::source::Source::new("plan.haccp", lines.join("\n") + "\n"));
    let new = bourn::plan::read(&sources, &[id]).plan;
    !bourn::compare::compare(&PLAIN, &new).changes.is_empty()
}

static PLAIN: LazyLock<bourn::plan::Plan> = LazyLock::new(|| plan(BASE));

#[test]
fn no_line_can_go_in_silence() {
    let mut seen = 0;
    for (at, line) in BASE.lines().enumerate() {
        if line.trim().is_empty() || line.starts_with('#') || line.trim() == "}" {
            continue;
        }
        assert!(told_without(at, None), "line {}: {line}", at + 1);
        seen += 1;
    }
    assert!(seen > 130, "only {seen} lines");
}

#[test]
fn no_figure_can_change_in_silence() {
    let mut seen = 0;
    for (at, line) in BASE.lines().enumerate().filter(|(_, line)| !line.starts_with('#')) {
        // The last figure of the line, one greater in its last digit.
        let Some(end) = line.rfind(|c: char| c.is_ascii_digit()) else { continue };
        let digit = line.as_bytes()[end];
        let other =
            format!("{}{}{}", &line[..end], if digit == b'9' { '8' } else { char::from(digit + 1) }, &line[end + 1..]);
        assert!(told_without(at, Some(&other)), "line {}: {other}", at + 1);
        seen += 1;
    }
    assert!(seen > 40, "only {seen} figures");
}

#[test]
fn every_demand_is_made_by_some_kind() {
    for demand in Demand::ALL {
        assert!(Kind::ALL.iter().any(|kind| kind.demands().contains(demand)), "{}", demand.word());
    }
}

#[test]
fn a_control_that_goes_takes_its_parts_with_it() {
    let start = BASE.find("ccp cooking").unwrap();
    let end = BASE.find("control nut-control").unwrap();
    let new = format!("{}{}", &BASE[..start], &BASE[end..]);
    let comparison = bourn::compare::compare(&plan(BASE), &plan(&new));
    let gone: Vec<_> = comparison.changes.iter().filter(|change| change.kind == Kind::CcpGone).collect();
    assert_eq!(gone.len(), 1);
    let note = gone[0].note.as_deref().unwrap();
    assert!(note.contains("core-hold") && note.contains("monitoring of `core`"), "{note}");
    assert!(
        comparison.changes.iter().all(|change| change.kind != Kind::LimitGone && change.kind != Kind::MonitoringGone)
    );
}
