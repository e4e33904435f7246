//! `bourn preview`: what it does not begin. What it shows is asked in a browser, by tests/pages/preview.mjs.

use std::net::{Ipv4Addr, TcpListener};
use std::process::{Command, Stdio};

fn refused(args: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bourn"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("preview").args(args).stdin(Stdio::null());
    let done = command.output().unwrap();
    assert_eq!(done.status.code(), Some(2), "{args:?}");
    String::from_utf8(done.stderr).unwrap()
}

#[test]
fn a_plan_that_cannot_be_read_and_a_port_that_is_taken() {
    assert!(refused(&["plans/none.haccp"]).contains("no such file"));
    assert!(refused(&["demo/mapping.yaml"]).contains("is a mapping"));
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("style.doc"), "x").unwrap();
    let said = refused(&["plans/smoked-goose-breast.haccp", "--style", folder.path().to_str().unwrap()]);
    assert!(said.contains("style.doc"), "{said}");
    let taken = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let said = refused(&["plans/smoked-goose-breast.haccp", "--port", &port]);
    assert!(said.contains(&format!("port {port} of this machine cannot be used")), "{said}");
}
