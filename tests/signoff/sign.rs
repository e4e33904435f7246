//! Signing: what is written, and what is refused.

use crate::{Desk, PLAN};
use sha2::{Digest, Sha256};

fn sha256(line: &str) -> String {
    Sha256::digest(line.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn three_signatures_stand_in_a_chain() {
    let desk = Desk::signed();
    let text = desk.text("plan.sign-off");
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 5, "{text}");
    assert!(lines[1].starts_with("2026-01-20 | prepared | chef | Ada Invented | revision 1 | plan-1:"), "{text}");
    assert!(lines[2].starts_with("2026-01-21 | reviewed | cook | Bo Invented | revision 1 | plan-1:"), "{text}");
    assert!(lines[3].starts_with("2026-01-22 | approved | chef | Ada Invented | revision 1 | plan-1:"), "{text}");
    assert!(lines[4].starts_with("end | 3 signatures | after "), "{text}");
    for pair in lines.windows(2) {
        assert!(pair[1].ends_with(&format!(" | after {}", sha256(pair[0]))), "{}", pair[1]);
    }
    assert_eq!(desk.names(), ["plan.haccp", "plan.sign-off"], "nothing else is left in the folder");
    assert_eq!(desk.text("plan.haccp"), PLAN, "the plan itself is not touched");
}

#[test]
fn what_is_printed_says_who_signed_and_what_is_open() {
    let desk = Desk::new();
    let ran = desk.sign("chef", "Ada Invented", "approved", "2026-01-22");
    assert_eq!(
        ran.err,
        "plan.haccp: approved by Ada Invented (chef) on 2026-01-22, revision 1\n\
         plan.haccp: no findings of the check open on 2026-01-22; the signature is written to plan.sign-off\n"
    );
    assert_eq!(ran.out, "");
}

/// Refuses, says why in these words, and leaves the folder as it was.
fn refuses(desk: &Desk, args: [&str; 4], codes: &[&str], words: &[&str]) {
    let before: Vec<(String, Vec<u8>)> =
        desk.names().into_iter().map(|name| (name.clone(), std::fs::read(desk.path().join(name)).unwrap())).collect();
    let ran = desk.sign(args[0], args[1], args[2], args[3]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{ran:#?}");
    for word in codes.iter().chain(words).chain(&["nothing was signed: "]) {
        assert!(ran.err.contains(word), "`{word}` is not said:\n{}", ran.err);
    }
    let after: Vec<(String, Vec<u8>)> =
        desk.names().into_iter().map(|name| (name.clone(), std::fs::read(desk.path().join(name)).unwrap())).collect();
    assert_eq!(before, after);
}

#[test]
fn a_role_that_the_plan_does_not_have() {
    let desk = Desk::new();
    refuses(&desk, ["chief", "Ada", "approved", "2026-01-22"], &["U121"], &["no role `chief`", "did you mean `chef`?"]);
    refuses(&desk, ["director", "Ada", "approved", "2026-01-22"], &["U121"], &["the plan has these roles: chef, cook"]);
}

#[test]
fn names_that_one_line_cannot_hold() {
    let desk = Desk::new();
    for (name, why) in [
        ("", "is empty"),
        ("  ", "is empty"),
        (" Ada", "begins or ends with a blank"),
        ("Ada | approved", "holds a bar"),
        ("Ada\nBo", "holds a control character"),
        ("Ada\u{202E}", "holds a control character"),
        ("\u{1b}[31mAda", "holds a control character"),
        (&"a".repeat(121), "is too long"),
    ] {
        refuses(&desk, ["chef", name, "approved", "2026-01-22"], &["U124"], &[why]);
    }
    for name in ["Ünal Özdemir-Şahin, invented", "李 invented", "A.", &"é".repeat(120)] {
        assert_eq!(desk.sign("chef", name, "prepared", "2026-01-22").status, 0, "{name}");
    }
    let text = desk.text("plan.sign-off");
    assert!(text.contains(" | chef | 李 invented | ") && text.contains(" | Ünal Özdemir-Şahin, invented | "), "{text}");
    assert_eq!(desk.check("2026-02-01").0, ["U102"], "the file is whole");
}

#[test]
fn days_to_come_and_days_before_the_last_signature() {
    let desk = Desk::signed();
    refuses(&desk, ["chef", "Ada", "approved", "2999-01-01"], &["U123"], &["2999-01-01 is yet to come: today is "]);
    refuses(
        &desk,
        ["chef", "Ada", "approved", "2026-01-21"],
        &["U123"],
        &["lies before the last signature, which is of 2026-01-22"],
    );
    assert_eq!(desk.sign("cook", "Bo Invented", "approved", "2026-01-22").status, 0, "the same day may follow");
}

#[test]
fn the_same_signature_twice() {
    let desk = Desk::signed();
    refuses(&desk, ["chef", "Ada Invented", "approved", "2026-01-22"], &["U125"], &["in line 4 of the sign-off file"]);
    // A year later the same person signs the same text: a reassessment that changed nothing.
    let a_year_on = ["approved", "2026-03-22"];
    assert_eq!(desk.sign("chef", "Ada Invented", a_year_on[0], a_year_on[1]).status, 0);
}

#[test]
fn a_plan_that_cannot_be_read() {
    let desk = Desk::new();
    for (name, plan) in [
        ("a broken statement", PLAN.replacen("  tree ", "  teree ", 1)),
        ("a name that is nowhere", PLAN.replacen("leader  chef", "leader  chief", 1)),
        ("a missing file", format!("{PLAN}\ninclude \"none.haccp\"\n")),
    ] {
        desk.put("plan.haccp", plan);
        for meaning in ["prepared", "approved"] {
            let words = ["a plan of which a part cannot be read is not signed"];
            refuses(&desk, ["chef", "Ada", meaning, "2026-01-22"], &["U122"], &words);
        }
        assert_eq!(desk.names(), ["plan.haccp"], "{name}");
    }
    std::fs::remove_file(desk.path().join("plan.haccp")).unwrap();
    refuses(&desk, ["chef", "Ada", "approved", "2026-01-22"], &["X101"], &["no such file"]);
}

#[test]
fn a_blank_may_be_prepared_and_reviewed_but_not_approved() {
    let desk = Desk::new();
    desk.put("plan.haccp", PLAN.replacen("within 2 h\n", "within ___ h\n", 1));
    let words = [
        "a value is still to be set, so the plan is not signed as approved",
        "still blank",
        "`prepared` or `reviewed`",
    ];
    refuses(&desk, ["chef", "Ada", "approved", "2026-01-22"], &["U122"], &words);
    assert_eq!(desk.sign("chef", "Ada", "prepared", "2026-01-22").status, 0);
    assert_eq!(desk.sign("cook", "Bo", "reviewed", "2026-01-22").status, 0);
}

#[test]
fn nothing_is_put_behind_a_broken_chain() {
    let desk = Desk::signed();
    desk.put("plan.sign-off", desk.text("plan.sign-off").replacen("Bo Invented", "Bob Invented", 1));
    refuses(&desk, ["chef", "Ada", "approved", "2026-02-01"], &["U112"], &["line does not follow from line 3"]);
}

#[test]
fn a_file_that_cannot_be_written() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path().join("plan.sign-off")).unwrap();
    let ran = desk.sign("chef", "Ada", "approved", "2026-01-22");
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("X101") && ran.err.contains("it is a folder"), "{}", ran.err);
}

#[test]
fn wrong_words_on_the_command_line() {
    let desk = Desk::new();
    for (meaning, on) in [("accepted", "2026-01-22"), ("approved", "22.1.2026"), ("approved", "2026-02-30")] {
        let ran = desk.sign("chef", "Ada", meaning, on);
        assert_eq!(ran.status, 2, "{ran:#?}");
        assert_eq!(desk.names(), ["plan.haccp"]);
    }
}

/// The command never speaks as if the program took part in the judgement.
#[test]
fn the_help_leaves_the_judgement_to_people() {
    let desk = Desk::new();
    let ran = desk.run(&["sign", "--help"]);
    assert!(ran.out.contains("nothing here approves a plan"), "{}", ran.out);
}
