//! Plans that cannot be used.

use crate::{Desk, PLAN, same};

#[test]
fn missing_folder_empty() {
    let desk = Desk::new();
    desk.drop("plan.haccp").unusable("plan-missing");
    std::fs::create_dir(desk.path().join("plan.haccp")).unwrap();
    desk.unusable("plan-folder");
    std::fs::remove_dir(desk.path().join("plan.haccp")).unwrap();
    desk.put("plan.haccp", "").unusable("plan-empty");
    desk.put("plan.haccp", "\n \n").unusable("plan-blank");
}

#[test]
fn binary_utf_16_truncated() {
    let desk = Desk::new();
    desk.put("plan.haccp", b"PK\x03\x04\x00\x00").unusable("plan-binary");
    desk.put("plan.haccp", b"plan p {\n}\n# 72 \xb0C\n").unusable("plan-latin");
    let wide: Vec<u8> = [0xff, 0xfe].into_iter().chain(PLAN.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    desk.put("plan.haccp", wide).unusable("plan-utf-16");
    let cut = PLAN.find("held").unwrap();
    desk.put("plan.haccp", &PLAN[..cut + 2]).unusable("plan-truncated");
}

/// `check` has other words for the end, and the same status.
#[test]
fn check_says_the_same() {
    let desk = Desk::new();
    desk.drop("plan.haccp");
    let ran = desk.run(&["check", "plan.haccp"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    same("check-missing", &ran.err);
    desk.put("plan.haccp", "plan p \"P\" {\n  zzqq\n}\n");
    let ran = desk.run(&["check", "plan.haccp", "--format", "short"]);
    assert_eq!(ran.status, 1);
    assert!(
        ran.out.contains("\nplan.haccp:2:3: error: `zzqq` is no statement of a plan [S002 unknown-word]\n"),
        "{ran:#?}"
    );
}

/// A plan that would repaint the terminal of its reader: colours, a title, a backspace, text turned round.
#[test]
fn control_characters_do_not_reach_the_terminal() {
    let desk = Desk::new();
    let bad = "\u{1b}[31m\u{1b}]0;t\u{7}\u{8}\u{9b}2J\u{202E}\u{2066}\u{200F}\u{85}\u{7f}";
    desk.put("plan.haccp", format!("plan p \"P{bad}\" {{\n  zz{bad} \"x{bad}\"\n  scope \"{bad}\" {bad}\n}}\nrole {bad} {{\n}}\n{bad}\nrole r \"{bad}\" {{ }}\nrole r \"{bad}\" {{ }}\nccp c at none{bad} {{\n}}\ninclude \"{bad}.haccp\"\n"));
    let clean = |text: &str| {
        let found: Vec<char> = text
            .chars()
            .filter(|c| {
                (c.is_control() && *c != '\n')
                    || "\u{202A}\u{202B}\u{202C}\u{202D}\u{202E}\u{2066}\u{2067}\u{2068}\u{2069}\u{200E}\u{200F}\u{61C}"
                        .contains(*c)
            })
            .collect();
        assert!(found.is_empty(), "{found:?} in {text:?}");
    };
    for format in ["terminal", "short", "json"] {
        let ran = desk.run(&["check", "plan.haccp", "--format", format]);
        assert_eq!(ran.status, 1, "{ran:#?}");
        clean(&ran.out);
        clean(&ran.err);
    }
    clean(&desk.verify().err);
    let name = "a\u{1b}[31m.haccp";
    desk.put(name, "zzqq\n");
    for format in ["terminal", "short", "json"] {
        let ran = desk.run(&["check", name, "--format", format]);
        clean(&ran.out);
        clean(&ran.err);
    }
    clean(&desk.run(&["check", "b\u{1b}[31m.haccp"]).err);
    clean(&desk.run(&["explain", "b\u{1b}[31m"]).err);
    desk.put("plan.haccp", PLAN).put("lots.csv", format!("Lot,Start,End\nL1{bad},2026-09-14 10:00,2026-09-14 10:10\n"));
    let ran = desk.verify();
    clean(&ran.out);
    clean(&ran.err);
}
