//! `bourn fmt`: what is printed, what is written, and what is left alone.

use crate::{Desk, same};
use std::io::Write;
use std::process::{Command, Stdio};

const UGLY: &str = "role  a \"A\"{\n duties   \"x\" # why\n}\n";
const NEAT: &str = "role a \"A\" {\n  duties  \"x\"  # why\n}\n";

fn read(desk: &Desk, name: &str) -> String {
    std::fs::read_to_string(desk.path().join(name)).unwrap()
}

#[test]
fn writes_once_and_then_nothing() {
    let desk = Desk::new();
    desk.put("ugly.haccp", UGLY);
    let ran = desk.run(&["fmt", "ugly.haccp"]);
    assert_eq!((ran.status, ran.out.as_str(), ran.err.as_str()), (0, "", "ugly.haccp: formatted\n"));
    assert_eq!(read(&desk, "ugly.haccp"), NEAT);
    let ran = desk.run(&["fmt", "ugly.haccp"]);
    assert_eq!((ran.status, ran.out.as_str(), ran.err.as_str()), (0, "", ""));
}

#[test]
fn check_shows_the_difference_and_writes_nothing() {
    let desk = Desk::new();
    desk.put("ugly.haccp", UGLY).put("neat.haccp", NEAT);
    let ran = desk.run(&["fmt", "--check", "ugly.haccp", "neat.haccp"]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""));
    same("fmt-check", &ran.out);
    assert_eq!(read(&desk, "ugly.haccp"), UGLY);
    let ran = desk.run(&["fmt", "--check", "neat.haccp"]);
    assert_eq!((ran.status, ran.out.as_str(), ran.err.as_str()), (0, "", ""));
}

#[test]
fn standard_input_to_standard_output() {
    let desk = Desk::new();
    let mut child = Command::new(env!("CARGO_BIN_EXE_bourn"))
        .args(["fmt", "-"])
        .current_dir(desk.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(UGLY.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    assert_eq!(String::from_utf8(output.stdout).unwrap(), NEAT);
}

#[test]
fn what_cannot_be_read_is_named_and_kept() {
    let desk = Desk::new();
    desk.put("half.haccp", "role  a \"A\"{\n dutys   \"x\"\n}\n");
    let ran = desk.run(&["fmt", "half.haccp"]);
    assert_eq!(ran.status, 0);
    assert_eq!(
        ran.err,
        "half.haccp: 1 place cannot be read and is left as written; see `bourn check`\nhalf.haccp: formatted\n"
    );
    assert_eq!(read(&desk, "half.haccp"), "role a \"A\" {\n  dutys   \"x\"\n}\n");
}

#[test]
fn unusable_files_are_status_2_and_the_others_are_formatted() {
    let desk = Desk::new();
    let deep = "{".repeat(65);
    desk.put("deep.haccp", &deep).put("latin.haccp", b"role a \xb0").put("empty.haccp", "").put("ugly.haccp", UGLY);
    let ran =
        desk.run(&["fmt", "none.haccp", "deep.haccp", "latin.haccp", "empty.haccp", "mapping.yaml", "ugly.haccp"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    for code in ["X101", "S011", "X102", "X103"] {
        assert!(ran.err.contains(code), "{code}: {ran:#?}");
    }
    assert_eq!(read(&desk, "deep.haccp"), deep);
    assert_eq!(read(&desk, "mapping.yaml"), crate::MAPPING);
    assert_eq!(read(&desk, "ugly.haccp"), NEAT);
}

#[cfg(unix)]
#[test]
fn permissions_and_links_stay_and_what_may_only_be_read_is_refused() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let desk = Desk::new();
    desk.put("real.haccp", UGLY).put("locked.haccp", UGLY);
    let mode = |name: &str, mode| {
        std::fs::set_permissions(desk.path().join(name), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    mode("real.haccp", 0o640);
    mode("locked.haccp", 0o444);
    symlink("real.haccp", desk.path().join("link.haccp")).unwrap();
    assert_eq!(desk.run(&["fmt", "link.haccp"]).status, 0);
    assert_eq!(read(&desk, "real.haccp"), NEAT);
    assert!(std::fs::symlink_metadata(desk.path().join("link.haccp")).unwrap().is_symlink());
    assert_eq!(std::fs::metadata(desk.path().join("real.haccp")).unwrap().permissions().mode() & 0o777, 0o640);
    let ran = desk.run(&["fmt", "locked.haccp"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("X104") && ran.err.contains("it may only be read"), "{ran:#?}");
    assert_eq!(read(&desk, "locked.haccp"), UGLY);
}
