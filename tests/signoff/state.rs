//! Signed, changed since, unsigned, overdue: in `check`, in `clauses` and in the document.

use crate::{Desk, PLAN};

/// The words beside a clause, and the line below it.
fn clause(desk: &Desk, citation: &str, on: &str) -> String {
    let ran = desk.run(&["clauses", "plan.haccp", "--on", on]);
    let mut lines = ran.out.lines().skip_while(|line| !line.starts_with(citation));
    let head = lines.next().unwrap_or_else(|| panic!("no {citation}: {}", ran.out)).to_owned();
    let rest: Vec<&str> = lines.skip(1).take_while(|line| !line.is_empty()).collect();
    format!("{head}\n{}", rest.join("\n"))
}

fn cover(desk: &Desk, on: &str) -> String {
    let ran = desk.run(&["render", "plan.haccp", "--on", on, "-o", "plan.html"]);
    assert!(ran.status < 2, "{ran:#?}");
    desk.text("plan.html")
}

/// A desk whose plan answers to a regime that asks for a signature.
fn american(desk: &Desk) -> String {
    let plan = PLAN.replacen("regimes         codex\n", "regimes         codex, us-preventive-controls\n", 1);
    assert_ne!(plan, PLAN);
    desk.put("plan.haccp", &plan);
    plan
}

const OWNER: &str = "21 CFR 117.310";

#[test]
fn from_unsigned_to_signed_to_changed_to_overdue() {
    let desk = Desk::new();
    let plan = american(&desk);
    assert_eq!(desk.check("2026-01-31").0, Vec::<String>::new(), "not in force yet");
    let (codes, said) = desk.check("2026-02-01");
    assert_eq!(codes, ["U101"]);
    assert!(
        said.contains(": note: the plan is in force from 2026-02-01, and nobody has signed it as approved"),
        "{said}"
    );
    assert!(clause(&desk, OWNER, "2026-02-01").contains("[not signed]"));
    assert!(cover(&desk, "2026-02-01").contains("unsigned"));

    for (meaning, on) in [("prepared", "2026-02-02"), ("reviewed", "2026-02-03")] {
        assert_eq!(desk.sign("cook", "Bo Invented", meaning, on).status, 0);
        assert_eq!(desk.check("2026-02-03").0, ["U101"], "nobody has accepted it");
    }
    let said = clause(&desk, OWNER, "2026-02-03");
    assert!(said.contains("[not signed]") && said.contains("reviewed by Bo Invented (cook) on 2026-02-03"), "{said}");

    assert_eq!(desk.sign("chef", "Ada Invented", "approved", "2026-02-04").status, 0);
    assert_eq!(desk.check("2026-02-04").0, Vec::<String>::new());
    assert_eq!(desk.check("2026-02-03").0, ["U101", "U106"], "on the day before it was not signed");
    let said = clause(&desk, OWNER, "2026-02-04");
    assert!(
        said.contains("[signed]") && said.contains("approved by Ada Invented (chef) on 2026-02-04, revision 1"),
        "{said}"
    );
    assert!(said.contains("a person must judge whether the clause asks for this signer"), "{said}");
    let page = cover(&desk, "2026-02-04");
    assert!(page.contains("approved by Ada Invented (chef) on 2026-02-04, revision 1"));
    assert!(page.contains("Approval, to be signed by hand"));
    assert!(page.contains("\\2c  signed") && page.contains("Signatures kept beside the plan"));
    assert_eq!(
        (page.matches(">this text<").count(), page.matches(">another text<").count()),
        (3, 0),
        "under each signature"
    );

    // Layout does not count; a figure does.
    desk.put("plan.haccp", plan.replace("  ", " "));
    assert_eq!(desk.check("2026-02-05").0, Vec::<String>::new());
    let changed = plan.replacen("within 2 h\n", "within 1 h\n", 1);
    assert_ne!(changed, plan);
    desk.put("plan.haccp", &changed);
    let (codes, said) = desk.check("2026-02-05");
    assert_eq!(codes, ["U103"]);
    assert!(said.contains("signed on 2026-02-04 as revision 1"), "{said}");
    assert!(
        desk.run(&["check", "plan.haccp", "--on", "2026-02-05", "--format", "plain"])
            .out
            .contains("give the changed text a revision of its own")
    );
    let said = clause(&desk, OWNER, "2026-02-05");
    assert!(said.contains("[changed since signing]") && said.contains("on 2026-02-04, revision 1"), "{said}");
    let page = cover(&desk, "2026-02-05");
    assert!(page.contains("changed since signing; last approved by Ada Invented (chef) on 2026-02-04, revision 1"));
    assert_eq!(page.matches(">another text<").count(), 3);
    assert!(page.contains("Needs sign-off"), "what was signed is another text");

    desk.put("plan.haccp", &plan);
    assert_eq!(desk.check("2027-02-04").0, Vec::<String>::new(), "a year to the day");
    let (codes, said) = desk.check("2027-02-05");
    assert_eq!(codes, ["U104"]);
    assert!(
        said.contains("last signed as approved on 2026-02-04; it fell due for reassessment on 2027-02-04"),
        "{said}"
    );
    assert!(clause(&desk, OWNER, "2027-02-05").contains("[due for signing again]"));
    assert!(cover(&desk, "2027-02-05").contains("due for signing again"));
}

/// Where no rule that the plan names asks for a signature, its absence is a note.
#[test]
fn codex_asks_for_no_signature() {
    let desk = Desk::new();
    let (codes, said) = desk.check("2026-02-01");
    assert_eq!(codes, ["U102"]);
    assert!(said.contains(": note: "), "{said}");
    assert_eq!(desk.run(&["check", "plan.haccp", "--on", "2026-02-01"]).status, 0);
    assert_eq!(desk.run(&["check", "plan.haccp", "--on", "2026-02-01", "--fail-on", "note"]).status, 1);
}

/// An exception cannot excuse a plan from being signed.
#[test]
fn nobody_is_excused() {
    let desk = Desk::new();
    let exception = "\nexception nobody-signed because \"Later\" by chef until 2026-12-31\n";
    desk.put("plan.haccp", format!("{PLAN}{exception}"));
    let ran = desk.run(&["check", "plan.haccp", "--on", "2026-02-01", "--format", "short"]);
    assert!(ran.out.contains("[U102 ") && ran.out.contains("[B301 "), "{}", ran.out);
}

/// The plan is split into files after it was signed, blocks change their places, comments come: it is the same plan.
#[test]
fn a_plan_in_several_files_stays_signed() {
    let desk = Desk::signed();
    let cut = PLAN.find("\nteam {").unwrap();
    let end = cut + PLAN[cut..].find("\nproduct ").unwrap();
    std::fs::create_dir(desk.path().join("parts")).unwrap();
    desk.put("parts/people.haccp", format!("# Who does what.\n{}", &PLAN[cut..end]));
    desk.put("plan.haccp", format!("include \"parts/people.haccp\"\n{}{}", &PLAN[..cut], &PLAN[end..]));
    assert_eq!(desk.check("2026-06-01"), (Vec::new(), String::new()));
    desk.put("parts/people.haccp", PLAN[cut..end].replacen("Cooks and chills", "Cooks, chills", 1));
    assert_eq!(desk.check("2026-06-01").0, ["U103"]);
}

/// JSON for programs.
#[test]
fn clauses_as_json() {
    let desk = Desk::new();
    american(&desk);
    assert_eq!(desk.sign("chef", "Ada Invented", "approved", "2026-02-04").status, 0);
    let ran = desk.run(&["clauses", "plan.haccp", "--on", "2026-02-04", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let one = value["clauses"].as_array().unwrap().iter().find(|one| one["citation"] == OWNER).unwrap();
    assert_eq!(one["standing"], "signed");
    assert!(one["reason"].as_str().unwrap().starts_with("approved by Ada Invented (chef) on 2026-02-04, revision 1"));
}

/// The report of a verification says who had signed the plan by the end of the period.
#[test]
fn the_report_of_a_verification() {
    let desk = Desk::new();
    let text = "Lot,Start,End\nL1,2026-03-02 10:00,2026-03-02 10:10\n";
    desk.put("lots.csv", text);
    desk.put(
        "mapping.yaml",
        "zone: UTC\nlots:\n  - files: [lots.csv]\n    record: log\n    time: { format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n",
    );
    let report = |month: &str| {
        let args = ["verify", "plan.haccp", "--mapping", "mapping.yaml", "--month", month, "--html", "out.html"];
        let ran = desk.run(&args);
        assert_ne!(ran.status, 2, "{ran:#?}");
        desk.text("out.html")
    };
    assert!(report("2026-03").contains("unsigned"));
    assert_eq!(desk.sign("chef", "Ada Invented", "approved", "2026-03-10").status, 0);
    assert!(report("2026-03").contains("approved by Ada Invented (chef) on 2026-03-10, revision 1"));
    assert!(report("2026-02").contains("unsigned"), "signed after the period");
    desk.put("plan.haccp", PLAN.replacen("within 2 h\n", "within 1 h\n", 1));
    assert!(report("2026-03").contains("changed since signing; last approved by Ada Invented"));
}
