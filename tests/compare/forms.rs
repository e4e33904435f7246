//! The three forms, and the exit status.

use super::{BASE, cases, run, run_on};
use bourn::compare::{Demand, Kind};
use serde_json::Value;

fn json(old: &str, new: &str) -> Value {
    let output = run_on(old, new, &["--format", "json"]);
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn json_tells_place_amount_demands_and_clauses() {
    let case = cases().into_iter().find(|case| case.name == "limit-loosened").unwrap();
    let said = json(&case.old, &case.new);
    assert_eq!(said["complete"], true);
    let change = &said["changes"][0];
    assert_eq!(change["kind"], "limit-loosened");
    assert_eq!(change["bearing"], "weaker");
    assert_eq!(change["what"], "limit `core-hold` of ccp `cooking`");
    assert_eq!(change["from"], "core ≥ 72\u{a0}°C held for 2\u{a0}min");
    assert_eq!(change["to"], "core ≥ 70\u{a0}°C held for 2\u{a0}min");
    assert_eq!(change["amount"], "2\u{a0}°C");
    let line = 1 + BASE.lines().position(|line| line.contains("limit core-hold")).unwrap();
    assert_eq!(change["old"]["line"], line);
    assert_eq!(change["new"]["file"], "new.haccp");
    let first = &change["demands"][0];
    assert_eq!(first["demand"], "revalidate");
    assert_eq!(first["clauses"][0], "codex.validate");
    // Only clauses of the regimes that the plan names.
    for demand in said["demands"].as_array().unwrap() {
        for clause in demand["clauses"].as_array().unwrap() {
            let id = clause["id"].as_str().unwrap();
            assert!(bourn::clause::clause(id).unwrap().regimes.contains(&"codex"), "{id}");
        }
    }
}

#[test]
fn clauses_follow_the_regimes() {
    let with = |regimes: &str| BASE.replace("regimes         codex", &format!("regimes         {regimes}"));
    let old = with("us-meat-poultry, us-seafood, us-juice, us-preventive-controls, eu");
    let new = old.replace("core >= 72 °C held for 2 min\n  limit", "core >= 70 °C held for 2 min\n  limit");
    let said = json(&old, &new);
    let find = |word: &str| {
        let demand = said["demands"].as_array().unwrap().iter().find(|one| one["demand"] == word).unwrap();
        let ids = demand["clauses"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap().to_owned());
        ids.collect::<Vec<_>>()
    };
    // 9 CFR 417.2(d)(2), 21 CFR 123.6(d), 120.12(c), 117.310: signed and dated on every modification.
    assert_eq!(find("sign"), ["fsis.417.2.d2", "fish.123.6.d", "juice.120.12.c", "pc.117.310"]);
    // 9 CFR 417.4(a)(3), 21 CFR 123.8(a)(1), 120.11(b), 117.170(b), Reg (EC) 852/2004 Art 5(2): reassessed on change.
    let reassess = find("reassess");
    for id in ["fsis.417.4.a3i", "fish.123.8.a1", "juice.120.11.b", "pc.117.170.b", "eu.852.5.2.change"] {
        assert!(reassess.iter().any(|one| one == id), "{id} in {reassess:?}");
    }
    // Those that are for a plan without a significant hazard do not apply.
    assert!(!reassess.iter().any(|one| one == "fish.123.8.c"), "{reassess:?}");
    // No clause asks that record forms be issued anew.
    let forms = said["demands"].as_array().unwrap().iter().find(|one| one["demand"] == "forms").unwrap();
    assert_eq!(forms["source"], "common practice, no source");
}

#[test]
fn markdown_is_a_table_that_text_cannot_break() {
    let new = BASE.replace("\"Invented mill\"", "\"Mill | <b>bold</b> *star* @someone\"");
    let output = run_on(BASE, &new, &["--format", "markdown"]);
    assert_eq!(output.status.code(), Some(1));
    let shown = String::from_utf8(output.stdout).unwrap();
    let row = shown.lines().find(|line| line.starts_with("| supplier changed")).unwrap();
    assert!(row.contains(r"Mill \| &lt;b&gt;bold&lt;/b&gt; \*star\* \@someone"), "{row}");
    assert_eq!(row.replace("\\|", "").matches('|').count(), 5, "{row}");
    assert!(shown.contains("- [ ] approve the supplier (1 change)"), "{shown}");
}

#[test]
fn what_could_not_be_read_is_said() {
    let broken = format!("{BASE}\nccp frying \"Frying\" at pack {{\n  limit oil oil >= 4,2 °C\n}}\n");
    let output = run_on(&broken, &broken, &[]);
    assert_eq!(output.status.code(), Some(3));
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(errors.contains("a part of the plan could not be read"), "{errors}");
    let output = run_on(BASE, &broken, &["--format", "json"]);
    assert_eq!(output.status.code(), Some(1));
    let said: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(said["complete"], false);
}

#[test]
fn what_is_not_there_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("old.haccp"), BASE).unwrap();
    for args in
        [&["old.haccp", "none.haccp"][..], &["none.haccp", "old.haccp"], &["old.haccp", "old.haccp", "old.haccp"]]
    {
        let output = run(folder.path(), args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(output.stdout.is_empty());
        assert!(!output.stderr.is_empty());
    }
}

#[test]
fn the_page_tells_every_kind_and_every_demand() {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/compare.md")).unwrap();
    for kind in Kind::ALL {
        assert!(page.contains(&format!("| `{}` |", kind.word())), "docs/compare.md has no `{}`", kind.word());
    }
    for demand in Demand::ALL {
        assert!(page.contains(&format!("| `{}` |", demand.word())), "docs/compare.md has no `{}`", demand.word());
    }
}
