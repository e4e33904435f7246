//! The failures that published inspection figures name most often, each planted in a copy of a plan that checks clean.
//!
//! Sources, as far as they could be read: counts of observations by paragraph, FDA foods FY2011, FY2015 and part 117
//! FY2019; observations at one seafood firm; GAO RCED-00-16 (1999), visits to 32 plants; EU Food and Veterinary Office,
//! 2015. Failures of premises (pests, screens, floors) leave no trace in a plan and are not here.

use crate::{findings, shown};
use std::collections::BTreeSet;

struct Planted {
    what: &'static str,
    source: &'static str,
    plan: &'static str,
    changes: &'static [(&'static str, &'static str)],
    code: &'static str,
}

const FAILURES: &[Planted] = &[
    Planted {
        what: "hazard analysis left out likely hazards because a quality or hygiene programme covered them",
        source: "GAO RCED-00-16, 1999",
        plan: "cured-cooked-ham",
        changes: &[(" relies on listeria-control", "")],
        code: "H117",
    },
    Planted {
        what: "chemical hazards absent from the analysis",
        source: "EU Food and Veterinary Office, 2015",
        plan: "smoked-goose-breast",
        changes: &[("  no hazard chemical \"Residue and mycotoxin results with each delivery\"\n", "")],
        code: "H106",
    },
    Planted {
        what: "a CCP set for a hazard that a prerequisite programme should hold",
        source: "EU Food and Veterinary Office, 2015",
        plan: "smoked-goose-breast",
        changes: &[("decision     q1 no, q2 yes, q3 no, q4 yes", "decision     q1 yes")],
        code: "D104",
    },
    Planted {
        what: "critical limit missing",
        source: "observations at a seafood firm (21 CFR 123.6(c)(3))",
        plan: "peanut-butter",
        changes: &[],
        code: "L201",
    },
    Planted {
        what: "monitoring does not ensure that the limit is met",
        source: "observations at a seafood firm (21 CFR 123.6(c)(4)); 117.145, FY2019: 69",
        plan: "cured-cooked-ham",
        changes: &[(
            "monitor chill-core       continuously step 5 min late after 5 min",
            "monitor chill-core       every 2 h",
        )],
        code: "L221",
    },
    Planted {
        what: "no corrective action plan",
        source: "observations at a seafood firm (21 CFR 123.7)",
        plan: "smoked-turkey-strips",
        changes: &[],
        code: "C101",
    },
    Planted {
        what: "verification inadequate: instruments are not calibrated",
        source: "observations at a seafood firm (21 CFR 123.8)",
        plan: "cured-cooked-ham",
        changes: &[],
        code: "M103",
    },
    Planted {
        what: "records not reviewed in time",
        source: "observations at a seafood firm (21 CFR 123.8(a)(3)); 117.165",
        plan: "peanut-butter",
        changes: &[(
            "verify record-review \"With trends\" within 7 working days",
            "verify record-review \"With trends\" within 1 month",
        )],
        code: "P114",
    },
    Planted {
        what: "sanitation not monitored: no routine, its frequency and its role",
        source: "21 CFR 123.11(b), FY2015: 279, the second of all; 9 CFR 416.12(d) asks the same",
        plan: "cured-cooked-ham",
        changes: &[],
        code: "K103",
    },
    Planted {
        what: "people not qualified for their task",
        source: "21 CFR 117.4, FY2019: 54; 117.180",
        plan: "peanut-butter",
        changes: &[("  qualified  pcqi \"Standard curriculum\" on 2024-02-20\n", "")],
        code: "T112",
    },
];

/// The plan without the statements of this word in the block whose first line begins so.
fn without(plan: &str, block: &str, word: &str) -> String {
    let mut out = String::new();
    let (mut inside, mut dropping) = (false, false);
    for line in plan.lines() {
        let indent = line.len() - line.trim_start().len();
        if indent == 0 && !line.is_empty() && line != "}" {
            inside = line.starts_with(block);
        }
        if indent == 2 {
            dropping = inside && line.trim_start().split(' ').next() == Some(word);
        } else if indent == 0 {
            dropping = false;
        }
        if !dropping {
            out.push_str(line);
            out.push('\n');
        }
    }
    assert_ne!(out, plan, "{block} has no {word}");
    out
}

/// Failures that are the lack of whole statements.
fn lacking(code: &str, plan: &str) -> Option<String> {
    Some(match code {
        "L201" => without(plan, "ccp roast", "limit"),
        "C101" => without(plan, "ccp lethality", "deviation"),
        "M103" => without(plan, "instrument chill-loggers", "calibrate"),
        "K103" => without(plan, "programme sanitation", "routine"),
        _ => return None,
    })
}

#[test]
fn failures_that_inspections_find_most_are_caught() {
    let mut caught = BTreeSet::new();
    for failure in FAILURES {
        let path = format!("{}/plans/{}.haccp", env!("CARGO_MANIFEST_DIR"), failure.plan);
        let clean = std::fs::read_to_string(path).unwrap();
        let errors = |text: &str| {
            let (sources, mut found) = findings(text);
            found.retain(|finding| finding.rule.code == failure.code);
            (shown(&sources, &found), found.len())
        };
        assert_eq!(errors(&clean).1, 0, "{}: already found in the clean plan", failure.what);
        let mut planted = lacking(failure.code, &clean).unwrap_or_else(|| clean.clone());
        for (from, to) in failure.changes {
            assert!(planted.contains(from), "{}: `{from}` is not in the plan", failure.what);
            planted = planted.replacen(from, to, 1);
        }
        assert_ne!(planted, clean, "{}: nothing is planted", failure.what);
        let (text, count) = errors(&planted);
        assert!(count > 0, "{} ({}): {} is not found", failure.what, failure.source, failure.code);
        println!("{} ({})\n{text}", failure.what, failure.source);
        caught.insert(failure.what);
    }
    assert_eq!(caught.len(), 10);
}
