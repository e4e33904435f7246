//! A sign-off file that was changed by hand or by accident.

use crate::{Desk, PLAN};

/// The lines of the file after three signatures.
fn lines() -> (Desk, Vec<String>) {
    let desk = Desk::signed();
    let lines = desk.text("plan.sign-off").lines().map(str::to_owned).collect();
    (desk, lines)
}

/// These bytes in place of the file: the codes on a day, all words of them, and what the document says.
fn found(desk: &Desk, bytes: impl AsRef<[u8]>, codes: &[&str], words: &[&str]) {
    desk.put("plan.sign-off", bytes);
    let (have, said) = desk.check("2026-06-01");
    for code in codes {
        assert!(have.iter().any(|one| one == code), "{code} is not found: {said}");
    }
    for word in words {
        assert!(said.contains(word), "`{word}` is not said: {said}");
    }
    // What is broken counts for nothing, and the command fails.
    assert_eq!(desk.run(&["check", "plan.haccp", "--on", "2026-06-01"]).status, 1, "{said}");
    let clauses = desk.run(&["clauses", "plan.haccp", "--on", "2026-06-01"]);
    assert!(!clauses.out.contains("[signed]"), "{}", clauses.out);
}

fn joined(lines: &[String]) -> String {
    lines.iter().map(|line| format!("{line}\n")).collect()
}

#[test]
fn untouched_it_has_no_fault() {
    let (desk, lines) = lines();
    assert_eq!(desk.check("2026-06-01"), (Vec::new(), String::new()));
    desk.put("plan.sign-off", joined(&lines));
    assert_eq!(desk.check("2026-06-01").0, Vec::<String>::new());
}

#[test]
fn a_line_removed() {
    let (desk, lines) = lines();
    for gone in 1..=3 {
        let mut left = lines.clone();
        left.remove(gone);
        found(
            &desk,
            joined(&left),
            &["U112", "U113"],
            &["a line was removed", "counts 3 signatures, and the file holds 2"],
        );
    }
    found(&desk, joined(&lines[1..]), &["U111"], &["the first line is not the one that `bourn sign` writes"]);
}

#[test]
fn a_line_altered() {
    let (desk, lines) = lines();
    let text = joined(&lines);
    for (from, to) in [
        ("2026-01-20", "2026-01-19"),
        ("2026-01-22", "2026-05-22"),
        ("prepared", "approved"),
        ("| cook |", "| chef |"),
        ("Bo Invented", "Bob Invented"),
        ("revision 1", "revision 2"),
        ("revision 1", "no revision"),
        ("a line a signature", "a line each signature"),
    ] {
        let from = if from == "a line a signature" { "one line a signature" } else { from };
        let changed = text.replacen(from, to, 1);
        assert_ne!(changed, text);
        let code = if from == "one line a signature" { "U111" } else { "U112" };
        found(&desk, &changed, &[code], &[]);
    }
    // The last signature is guarded by the closing line.
    let last = joined(&lines).replacen("2026-01-22 | approved | chef | Ada", "2026-01-22 | approved | chef | Eve", 1);
    found(&desk, last, &["U112"], &["plan.sign-off, row 5: error: the line does not follow from line 4"]);
}

/// One digit of a digest, of the plan or of a line.
#[test]
fn a_digest_altered() {
    let (desk, lines) = lines();
    for at in 1..lines.len() {
        let mut changed = lines.clone();
        let last = changed[at].pop().unwrap();
        changed[at].push(if last == '0' { '1' } else { '0' });
        found(&desk, joined(&changed), &["U112"], &[]);
    }
    let mut changed = lines.clone();
    changed[3] = changed[3].replacen("plan-1:", "plan-1:g", 1);
    found(&desk, joined(&changed), &["U111"], &["is no digest of a plan"]);
}

#[test]
fn two_lines_swapped() {
    let (desk, mut lines) = lines();
    lines.swap(1, 2);
    found(&desk, joined(&lines), &["U112"], &["put in or moved", "before the line above it"]);
}

#[test]
fn a_line_put_in_or_written_twice() {
    let (desk, lines) = lines();
    let mut twice = lines.clone();
    twice.insert(3, lines[2].clone());
    found(&desk, joined(&twice), &["U112", "U113"], &["the file holds 4"]);
    let mut behind = lines.clone();
    behind.push(lines[3].clone());
    found(&desk, joined(&behind), &["U111"], &["something stands behind the closing line"]);
    let mut remark = lines.clone();
    remark.insert(2, "# seen by the auditor".to_owned());
    found(&desk, joined(&remark), &["U111"], &["the line is no signature: it has 1 fields instead of 7"]);
}

/// Cut off anywhere: at the end of a line, within one, within a letter.
#[test]
fn the_file_cut_off() {
    let (desk, lines) = lines();
    let text = joined(&lines);
    for keep in 1..=4 {
        found(&desk, joined(&lines[..keep]), &["U113"], &["the file ends before its closing line"]);
    }
    for at in (1..text.len()).step_by(37).chain([text.len() - 1]) {
        desk.put("plan.sign-off", &text[..at]);
        let (codes, said) = desk.check("2026-06-01");
        assert!(codes.iter().any(|code| ["U111", "U112", "U113"].contains(&code.as_str())), "cut at {at}: {said}");
    }
    found(&desk, "", &["X103"], &["holds nothing"]);
    found(&desk, &lines[0], &["U113"], &[]);
}

#[test]
fn bytes_that_are_no_text() {
    let (desk, lines) = lines();
    found(&desk, joined(&lines).replacen("Bo", "B\0", 1), &["X101"], &["it holds NUL bytes"]);
    let mut bytes = joined(&lines).into_bytes();
    bytes[200] = 0xff;
    found(&desk, bytes, &["X102"], &["is not text in UTF-8"]);
    found(&desk, format!("\u{FEFF}{}", joined(&lines)), &["U111"], &["the first line is not"]);
}

/// Line ends of another system do not count as tampering, and are said; the next signature mends them.
#[test]
fn line_ends_of_another_system() {
    let (desk, lines) = lines();
    desk.put("plan.sign-off", joined(&lines).replace('\n', "\r\n"));
    let (codes, said) = desk.check("2026-06-01");
    assert_eq!(codes, ["U114"]);
    assert!(said.contains("its lines end as on Windows"), "{said}");
    let ran = desk.sign("cook", "Bo Invented", "approved", "2026-06-02");
    assert!(ran.status == 0 && ran.err.contains("U114"), "{ran:#?}");
    assert!(!desk.text("plan.sign-off").contains('\r'));
    assert_eq!(desk.check("2026-06-03").0, Vec::<String>::new());
}

#[test]
fn a_form_that_is_not_known() {
    let (desk, lines) = lines();
    found(
        &desk,
        joined(&lines).replacen("form 1", "form 2", 1),
        &["U111"],
        &["of form `2`, which this version of the program does not know"],
    );
}

#[test]
fn the_plan_changed() {
    let (desk, _) = lines();
    desk.put("plan.haccp", PLAN.replacen("within 2 h\n", "within 3 h\n", 1));
    let (codes, said) = desk.check("2026-06-01");
    assert_eq!(codes, ["U103"]);
    assert!(said.contains("something else than the text that was signed on 2026-01-22 as revision 1"), "{said}");
}

/// Somebody else's file beside this plan: no line of it is broken, and the text is another one.
#[test]
fn the_file_of_another_plan() {
    let (desk, lines) = lines();
    desk.put("plan.haccp", PLAN.replacen("Barley bowls", "Oat bowls", 1));
    desk.put("plan.sign-off", joined(&lines));
    assert_eq!(desk.check("2026-06-01").0, ["U103"]);
}

/// Every byte of the file matters: taken out, put in or replaced anywhere, something is found.
#[test]
fn any_edit_is_found() {
    let (_, lines) = lines();
    let text = joined(&lines);
    assert!(text.is_ascii() && text.len() > 700, "{text}");
    let mut tried = 0;
    for at in 0..=text.len() {
        for put in ["", "x", "0", " ", "\n", "|", "\t", "\r"] {
            for end in [at, at + 1] {
                let Some(rest) = text.get(end..) else { continue };
                let edited = format!("{}{put}{rest}", &text[..at]);
                if edited.replace("\r\n", "\n") == text {
                    continue;
                }
                let kept = bourn::signoff::file::read("plan.sign-off", &edited);
                assert!(!kept.whole && !kept.findings.is_empty(), "at {at}: {put:?} for {:?}", &text[at..end]);
                tried += 1;
            }
        }
    }
    assert!(tried > 10_000, "{tried}");
}

/// 20 000 lines and one line of megabytes: an answer, and in time.
#[test]
fn files_out_of_all_proportion() {
    let (desk, lines) = lines();
    found(&desk, format!("{}{}", joined(&lines[..4]), "x".repeat(4_000_000)), &["U111"], &[]);
    let many: String = std::iter::repeat_n(format!("{}\n", lines[1]), 20_000).collect();
    found(&desk, format!("{}\n{many}", lines[0]), &["U112", "U113"], &[]);
}
