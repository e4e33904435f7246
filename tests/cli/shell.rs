//! What a shell and `man` are given: taken by bash itself, and of every command.

use std::process::{Command, Output};

fn bourn(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bourn")).args(args).output().unwrap()
}

fn printed(args: &[&str]) -> String {
    let done = bourn(args);
    assert_eq!(done.status.code(), Some(0), "{args:?}: {}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap()
}

fn commands() -> Vec<String> {
    let help = printed(&["--help"]);
    let list = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    names.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help").map(str::to_owned).collect()
}

/// Bash reads the script, and completes with it what was begun.
#[test]
fn bash_completes_commands_and_options() {
    let folder = tempfile::tempdir().unwrap();
    let script = folder.path().join("bourn.bash");
    std::fs::write(&script, printed(&["completions", "bash"])).unwrap();
    let complete = |words: &str| {
        let count = words.split(' ').count() - 1;
        let line = format!(
            "source {}; COMP_WORDS=({words}); COMP_CWORD={count}; _bourn bourn '{}' ''; echo \"${{COMPREPLY[@]}}\"",
            script.display(),
            words.rsplit(' ').next().unwrap()
        );
        let done = Command::new("bash").args(["-c", &line]).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    };
    assert_eq!(complete("bourn ver").trim(), "verify");
    assert!(complete("bourn verify --ma").contains("--mapping"));
}

#[test]
fn every_shell_has_a_script_and_every_command_a_page() {
    let commands = commands();
    assert!(commands.len() > 15, "{commands:?}");
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = printed(&["completions", shell]);
        assert!(commands.iter().all(|name| script.contains(name.as_str())), "{shell}");
    }
    let whole = printed(&["manual"]);
    assert!(whole.contains(".TH bourn 1") && commands.iter().all(|name| whole.contains(name.as_str())), "{whole}");
    for name in &commands {
        let page = printed(&["manual", name]);
        assert!(page.contains(&format!(".TH bourn-{name} 1")), "{page}");
        assert!(page.contains("Example: bourn "), "{page}");
    }
}

#[test]
fn a_page_of_no_command_is_refused_with_the_nearest() {
    let done = bourn(&["manual", "verfy"]);
    assert_eq!(done.status.code(), Some(2));
    assert!(done.stdout.is_empty());
    assert_eq!(String::from_utf8(done.stderr).unwrap(), "there is no command `verfy`: did you mean `verify`?\n");
}
