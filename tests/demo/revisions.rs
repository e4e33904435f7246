//! Several texts of one plan in one run: each lot has the verdicts of the text that was in force when it was begun.

use super::MONTH;
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

const PLAN: &str = "plans/smoked-goose-breast.haccp";
const OLD_DAY: &str = "in-force        from 2026-09-01";

/// The plan with stretches replaced.
fn plan(folder: &Path, name: &str, changes: &[(&str, &str)]) -> String {
    let mut text = std::fs::read_to_string(PLAN).unwrap();
    for (old, new) in changes {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

fn verify(plan: &str, more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bourn"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["verify", plan, "--mapping", "demo/mapping.yaml", "--records"])
        .arg(MONTH._folder.path())
        .args(more)
        .output()
        .unwrap()
}

fn json(plan: &str, more: &[&str]) -> Value {
    let output = verify(plan, &[&["--format", "json"], more].concat());
    serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)))
}

/// A revision 4 in force from 15 October: a stricter limit, a limit that is gone, an instrument with a wider tolerance.
fn fourth(folder: &Path) -> String {
    plan(
        folder,
        "fourth.haccp",
        &[
            (OLD_DAY, "in-force        from 2026-10-15"),
            ("revision        3 on 2026-08-17", "revision        4 on 2026-10-12"),
            ("  limit core-hold  core >= 70 °C held for 2 min", "  limit core-hold  core >= 71 °C held for 3 min"),
            ("  limit warm-spell  air above 5 °C at a stretch at most 30 min\n", ""),
        ],
    )
}

#[test]
fn each_lot_has_the_verdicts_of_the_text_in_force_when_it_was_begun() {
    let folder = tempfile::tempdir().unwrap();
    let fourth = fourth(folder.path());
    let both = json(&fourth, &["--month", "2026-10", "--earlier", PLAN]);
    let old = json(PLAN, &["--from", "2026-10-01", "--to", "2026-10-14"]);
    let new = json(&fourth, &["--from", "2026-10-15", "--to", "2026-10-31"]);
    let lots = |value: &Value| value["lots"].as_array().unwrap().clone();
    let (all, before, after) = (lots(&both), lots(&old), lots(&new));
    assert!(before.len() > 20 && after.len() > 20);
    assert_eq!(all.len(), before.len() + after.len());
    for (lot, alone) in all.iter().zip(before.iter().chain(&after)) {
        assert_eq!(lot["lot"], alone["lot"]);
        assert_eq!(lot["limits"], alone["limits"], "{}", lot["lot"]);
        assert_eq!(lot["revision"], alone["revision"], "{}", lot["lot"]);
    }
    let digests: Vec<&Value> = [&all[0], &all[all.len() - 1]].map(|lot| &lot["revision"]["digest"]).to_vec();
    assert!(digests[0] != digests[1] && digests[0].as_str().unwrap().starts_with("plan-1:"), "{digests:?}");
    assert_eq!(both["revisions"][0]["in-force-until"], "2026-10-14");
    assert_eq!(both["revisions"][1]["in-force-from"], "2026-10-15");
    // Nobody is named as judged too late, and what the lots had done wrong is all still there.
    let codes = |value: &Value, code: &str| {
        value["findings"].as_array().unwrap().iter().filter(|one| one["code"] == code).count()
    };
    assert_eq!(codes(&both, "E406"), 0);
    for code in ["E201", "E103", "E303", "R401", "E402"] {
        assert_eq!(codes(&both, code), codes(&MONTH.json, code), "{code}");
    }
    // A limit that only the earlier text has is still told, and its deviations are followed.
    let deviations = both["followed"]["deviations"].as_array().unwrap();
    assert!(deviations.iter().any(|one| one["about"] == "cold-storage.warm-spell"), "{deviations:#?}");
}

#[test]
fn a_trend_is_cut_where_the_limit_changed_and_goes_on_where_it_did_not() {
    let folder = tempfile::tempdir().unwrap();
    let both = json(&fourth(folder.path()), &["--month", "2026-10", "--earlier", PLAN]);
    let trend = |value: &Value, control: &str, limit: &str| {
        let all = value["trends"].as_array().unwrap();
        all.iter().find(|one| one["control"] == control && one["limit"] == limit).unwrap().clone()
    };
    let whole = trend(&both, "cooling", "first-passage");
    assert_eq!(whole["judged-by-another-form"], 0);
    assert_eq!(whole["points"], trend(&MONTH.json, "cooling", "first-passage")["points"]);
    let cut = trend(&both, "lethality", "core-hold");
    let before = both["lots"].as_array().unwrap().iter().filter(|lot| lot["revision"]["number"] == "3").count();
    assert_eq!(cut["judged-by-another-form"], before);
    let first = &cut["points"][0]["lot"];
    assert_eq!(first, "GB1015A", "the first lot of the day on which it changed");
}

#[test]
fn texts_of_which_nobody_can_say_what_they_judge_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let fourth = fourth(folder.path());
    let refused = |newest: &str, earlier: &str, code: &str| {
        let output = verify(newest, &["--month", "2026-10", "--earlier", earlier]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(code) && said.contains("nothing was verified"), "{code}: {said}");
        assert!(output.stdout.is_empty());
    };
    let same = plan(folder.path(), "same.haccp", &[(OLD_DAY, "in-force        from 2026-10-15")]);
    refused(&fourth, &same, "E408");
    refused(PLAN, &fourth, "E408");
    let draft = plan(folder.path(), "draft.haccp", &[("  in-force        from 2026-09-01\n", "")]);
    refused(&fourth, &draft, "E409");
    let other = plan(folder.path(), "other.haccp", &[("plan smoked-goose-breast ", "plan smoked-duck-breast ")]);
    refused(&fourth, &other, "E410");
    refused(&fourth, "no-such.haccp", "cannot be read");
    // Lots from before the earliest text are judged by it, and named.
    let later = plan(folder.path(), "later.haccp", &[(OLD_DAY, "in-force        from 2026-10-05")]);
    let both = json(&fourth, &["--month", "2026-10", "--earlier", &later]);
    let found = both["findings"].as_array().unwrap().iter().find(|one| one["code"] == "E406").unwrap().clone();
    let message = found["message"].as_str().unwrap();
    assert!(message.contains("GB1001A") && message.contains("2026-10-05, from which the earliest"), "{message}");
}

#[test]
fn one_lot_and_its_workings_are_told_by_its_own_text() {
    let folder = tempfile::tempdir().unwrap();
    let fourth = fourth(folder.path());
    let told = |more: &[&str]| {
        let output = verify(&fourth, &[more, &["--earlier", PLAN]].concat());
        String::from_utf8(output.stdout).unwrap().replace('\u{a0}', " ")
    };
    let (before, after) = (told(&["--lot", "GB1014B"]), told(&["--lot", "GB1015B"]));
    assert!(before.contains("revision 3 of 2026-08-17") && before.contains("≥ 70 °C"), "{before}");
    assert!(after.contains("revision 4 of 2026-10-12") && after.contains("≥ 71 °C"), "{after}");
    assert!(before.contains("digest plan-1:") && after.contains("digest plan-1:"));
    let (before, after) = (told(&["--workings", "GB1014B/core-hold"]), told(&["--workings", "GB1015B/core-hold"]));
    assert!(before.contains("70 °C") && !before.contains("71 °C"), "{before}");
    assert!(after.contains("71 °C"), "{after}");
}

#[test]
fn an_earlier_text_comes_from_a_revision_of_the_repository() {
    let folder = tempfile::tempdir().unwrap();
    let git = |args: &[&str]| {
        let mut command = Command::new("git");
        command.current_dir(folder.path()).args(["-c", "user.name=plant", "-c", "user.email=plant@example.org"]);
        assert!(command.args(args).output().unwrap().status.success(), "{args:?}");
    };
    let third = plan(folder.path(), "fourth.haccp", &[]);
    git(&["init", "-q"]);
    git(&["add", "."]);
    git(&["commit", "-q", "-m", "third"]);
    git(&["tag", "third"]);
    let fourth = fourth(folder.path());
    assert_eq!(third, fourth, "the same file, changed since");
    let by_git = json(&fourth, &["--month", "2026-10", "--earlier-git", "third"]);
    let by_file = json(&fourth, &["--month", "2026-10", "--earlier", PLAN]);
    assert_eq!(by_git["lots"], by_file["lots"], "the same verdicts by the same digests");
    assert_eq!(by_git["revisions"][0]["text"], "third:fourth.haccp");
}

#[test]
fn the_report_says_which_text_judged_which_lot() {
    let folder = tempfile::tempdir().unwrap();
    let html = folder.path().join("report.html");
    let output =
        verify(&fourth(folder.path()), &["--month", "2026-10", "--earlier", PLAN, "--html", html.to_str().unwrap()]);
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(out.contains("Each lot is judged by the text of the plan that was in force when it was begun:"), "{out}");
    assert!(out.contains("revision 3 of 2026-08-17 (plan-1:"), "{out}");
    assert!(out.contains("in force until 2026-10-14") || out.contains("to 2026-10-14"), "{out}");
    let page = std::fs::read_to_string(html).unwrap();
    assert!(page.contains("Judged by") && page.contains("in an earlier text: "), "the page");
}
