//! Two revisions of one plan in a repository.

use super::{BASE, run};
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

fn git(folder: &Path, args: &[&str]) {
    let fixed = [
        ("GIT_AUTHOR_NAME", "A test"),
        ("GIT_AUTHOR_EMAIL", "test@invalid"),
        ("GIT_COMMITTER_NAME", "A test"),
        ("GIT_COMMITTER_EMAIL", "test@invalid"),
        ("GIT_CONFIG_GLOBAL", "/dev/null"),
        ("GIT_CONFIG_NOSYSTEM", "1"),
    ];
    let output = Command::new("git").current_dir(folder).args(args).envs(fixed).output().unwrap();
    assert!(output.status.success(), "git {args:?}: {}", String::from_utf8_lossy(&output.stderr));
}

const HEAD: &str = "include \"parts/words.haccp\"\n";

/// A repository with a plan of two files in a folder; the included one loosens a limit in the second revision.
fn repository() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let plans = folder.path().join("plans/parts");
    std::fs::create_dir_all(&plans).unwrap();
    let top = folder.path().join("plans/bowls.haccp");
    git(folder.path(), &["init", "--quiet"]);
    std::fs::write(&top, HEAD).unwrap();
    std::fs::write(plans.join("words.haccp"), BASE).unwrap();
    git(folder.path(), &["add", "."]);
    git(folder.path(), &["commit", "--quiet", "-m", "first"]);
    git(folder.path(), &["tag", "first"]);
    std::fs::write(plans.join("words.haccp"), BASE.replace("core >= 72 °C", "core >= 70 °C")).unwrap();
    git(folder.path(), &["commit", "--quiet", "-am", "second"]);
    std::fs::write(plans.join("words.haccp"), BASE.replace("core >= 72 °C", "core >= 68 °C")).unwrap();
    folder
}

fn shown(folder: &Path, args: &[&str]) -> (Option<i32>, String, String) {
    let output = run(folder, args);
    (output.status.code(), String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn a_revision_beside_the_file_as_it_is() {
    let folder = repository();
    let (status, out, errors) = shown(folder.path(), &["--git", "first", "plans/bowls.haccp"]);
    assert_eq!((status, errors.as_str()), (Some(1), ""), "{out}");
    assert!(out.starts_with("first:plans/bowls.haccp to plans/bowls.haccp: 1 change\n"), "{out}");
    // The included file is read at the revision too.
    assert!(out.contains("limit loosened: limit `core-hold` of ccp `cooking`, by 4\u{a0}°C"), "{out}");
    assert!(out.contains("(first:plans/parts/words.haccp:"), "{out}");
}

#[test]
fn two_revisions_from_within_the_folder() {
    let folder = repository();
    let (status, out, _) = shown(&folder.path().join("plans"), &["--git", "first", "HEAD", "bowls.haccp"]);
    assert_eq!(status, Some(1));
    assert!(out.contains("by 2\u{a0}°C"), "{out}");
    let (status, out, _) = shown(&folder.path().join("plans"), &["--git", "HEAD", "HEAD", "../plans/bowls.haccp"]);
    assert_eq!(status, Some(0), "{out}");
}

#[test]
fn a_plan_that_is_no_longer_on_the_disk() {
    let folder = repository();
    std::fs::remove_dir_all(folder.path().join("plans")).unwrap();
    let (status, out, errors) = shown(folder.path(), &["--git", "first", "HEAD", "plans/bowls.haccp"]);
    assert_eq!(status, Some(1), "{out}{errors}");
}

#[test]
fn what_cannot_be_is_refused() {
    let folder = repository();
    let refused = |args: &[&str], why: &str| {
        let (status, out, errors) = shown(folder.path(), args);
        assert_eq!(status, Some(2), "{args:?}: {out}{errors}");
        assert!(out.is_empty());
        assert!(errors.contains(why), "{args:?}: {errors}");
    };
    refused(&["--git", "nowhere", "plans/bowls.haccp"], "`nowhere` is no revision");
    refused(&["--git", "first", "--", "-x", "plans/bowls.haccp"], "`-x` is no revision");
    refused(&["--git", "first", "plans/none.haccp"], "there is no such file in this revision");
    refused(&["--git", "first", "HEAD", "plans/parts"], "it is a folder");
    refused(&["--git", "first", "HEAD", "../elsewhere.haccp"], "in no repository");
    let bare = tempfile::tempdir().unwrap();
    std::fs::write(bare.path().join("bowls.haccp"), BASE).unwrap();
    let (status, _, errors) = shown(bare.path(), &["--git", "first", "bowls.haccp"]);
    assert_eq!(status, Some(2));
    assert!(errors.contains("is in no repository"), "{errors}");
}

#[test]
fn an_include_does_not_lead_out_of_the_folder_at_a_revision() {
    let folder = repository();
    std::fs::write(folder.path().join("outside.haccp"), "role boss \"Boss\" { }\n").unwrap();
    std::fs::write(folder.path().join("plans/bowls.haccp"), format!("{HEAD}include \"../outside.haccp\"\n")).unwrap();
    git(folder.path(), &["add", "."]);
    git(folder.path(), &["commit", "--quiet", "-m", "third"]);
    let (status, _, errors) = shown(folder.path(), &["--git", "HEAD", "HEAD", "plans/bowls.haccp"]);
    assert_eq!(status, Some(3), "{errors}");
    assert!(errors.contains("lies outside the folder of the plan"), "{errors}");
}
