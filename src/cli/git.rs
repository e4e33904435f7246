//! A plan as it stood in a revision of a repository. Git itself reads it; nothing is checked out and nothing is written.

use super::files::{MAX_TEXT, Shelf, decode, too_large, unreadable};
use crate::finding::Finding;
use crate::registry::disk::UNREADABLE_FILE;
use crate::source::Place;
use std::path::{Component, Path, PathBuf};
use std::process::{Command, Output};

/// One revision of the repository that holds a plan.
pub(super) struct Revision {
    /// The revision as it was given.
    named: String,
    /// The commit it stands for.
    commit: String,
    /// A folder of the repository that exists on the disk.
    folder: PathBuf,
    /// Where that folder lies in the repository; empty at its top, else ending in a slash.
    prefix: PathBuf,
}

fn git(folder: &Path, args: &[&str]) -> Result<Output, Finding> {
    let mut command = Command::new("git");
    // What git says is for us alone, and in one language.
    command.arg("-C").arg(folder).args(args).env("LC_ALL", "C").env("GIT_OPTIONAL_LOCKS", "0");
    command.stdin(std::process::Stdio::null());
    command.output().map_err(|error| {
        let why = if error.kind() == std::io::ErrorKind::NotFound {
            "the program `git` is not there".to_owned()
        } else {
            super::folder::words(&error).to_string()
        };
        Finding::new(&UNREADABLE_FILE, Place::Named("--git".to_owned()), format!("no revision can be read: {why}"))
            .help("install git, or compare two files")
    })
}

fn first_line(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).lines().next().unwrap_or("").to_owned()
}

/// The nearest folder above a file that exists, and the file's path from there.
fn nearest(file: &Path) -> (PathBuf, PathBuf) {
    let mut folder = file.parent().map(Path::to_path_buf).unwrap_or_default();
    while !folder.as_os_str().is_empty() && !folder.is_dir() {
        folder = folder.parent().map(Path::to_path_buf).unwrap_or_default();
    }
    let rest = file.strip_prefix(&folder).unwrap_or(file).to_path_buf();
    let folder = if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder };
    (folder, rest)
}

/// A path without `.` and `..`; `None` if it leads above where it begins.
fn plain(path: &Path) -> Option<PathBuf> {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::Normal(name) => out.push(name),
            Component::CurDir => {}
            Component::ParentDir => {
                if !out.pop() {
                    return None;
                }
            }
            Component::RootDir | Component::Prefix(_) => return None,
        }
    }
    Some(out)
}

/// The revision of this name in the repository that holds the file, and the file's path as [`Shelf`] wants it.
///
/// # Errors
/// A finding if git is missing, the file is in no repository, or the revision is unknown.
pub(super) fn revision(named: &str, file: &Path) -> Result<(Revision, PathBuf), Finding> {
    let (folder, rest) = nearest(file);
    let at = git(&folder, &["rev-parse", "--show-prefix"])?;
    if !at.status.success() {
        let said = String::from_utf8_lossy(&at.stderr).lines().next().unwrap_or("").to_owned();
        let message = format!("is in no repository that git can read, so it has no revisions (git says: {said})");
        return Err(Finding::new(&UNREADABLE_FILE, Place::file(file.display().to_string()), message)
            .help("compare two files: `bourn compare OLD NEW`"));
    }
    let prefix = PathBuf::from(first_line(&at));
    let unknown = || {
        let message = format!("`{named}` is no revision of the repository that holds `{}`", file.display());
        Finding::new(&UNREADABLE_FILE, Place::Named("--git".to_owned()), message)
            .help("name a commit, a branch or a tag; `git log` lists the commits")
    };
    if named.is_empty() || named.starts_with('-') {
        return Err(unknown());
    }
    let found =
        git(&folder, &["rev-parse", "--verify", "--quiet", "--end-of-options", &format!("{named}^{{commit}}")])?;
    if !found.status.success() {
        return Err(unknown());
    }
    Ok((Revision { named: named.to_owned(), commit: first_line(&found), folder, prefix }, rest))
}

impl Revision {
    /// Where a path lies in the repository, with slashes.
    fn inside(&self, path: &Path) -> Option<String> {
        let whole = plain(&self.prefix.join(path))?;
        let parts: Option<Vec<&str>> = whole.iter().map(std::ffi::OsStr::to_str).collect();
        Some(parts?.join("/"))
    }

    fn object(&self, path: &Path) -> Option<String> {
        Some(format!("{}:{}", self.commit, self.inside(path)?))
    }
}

impl Shelf for Revision {
    fn text(&self, path: &Path) -> Result<String, Finding> {
        let name = self.name(path);
        let help = "check the path and the revision";
        let missing = || unreadable(&name, "there is no such file in this revision", help);
        let object = self.object(path).ok_or_else(missing)?;
        let sort = git(&self.folder, &["cat-file", "-t", &object])?;
        if !sort.status.success() {
            return Err(missing());
        }
        if first_line(&sort) != "blob" {
            return Err(unreadable(&name, "it is a folder", "name the file in it that is meant"));
        }
        let size = first_line(&git(&self.folder, &["cat-file", "-s", &object])?);
        if size.parse::<u64>().is_ok_and(|size| size > MAX_TEXT) {
            return Err(too_large(&name));
        }
        let blob = git(&self.folder, &["cat-file", "blob", &object])?;
        if !blob.status.success() {
            return Err(unreadable(&name, "git cannot read it", "run `git fsck` on the repository"));
        }
        decode(&name, blob.stdout)
    }

    fn real(&self, path: &Path) -> Result<PathBuf, String> {
        plain(&self.prefix.join(path)).ok_or_else(|| "it lies outside the repository".to_owned())
    }

    fn name(&self, path: &Path) -> String {
        let inside = self.inside(path).unwrap_or_else(|| path.display().to_string());
        format!("{}:{inside}", self.named)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_without_detours() {
        assert_eq!(plain(Path::new("a/./b/../c")), Some(PathBuf::from("a/c")));
        assert_eq!(plain(Path::new("../c")), None);
        assert_eq!(plain(Path::new("/c")), None);
    }
}
