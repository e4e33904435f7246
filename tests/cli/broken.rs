//! Fifty broken plans: each is read to its end, every fault that does not follow from another is told, and the program
//! ends by itself within a bounded time.

use crate::{Desk, PLAN};
use std::collections::BTreeMap;
use std::time::{Duration, Instant};

/// Ten megabytes of one line; a tenth of it where the program is built for looking into.
const LONG: usize = if cfg!(debug_assertions) { 1_000_000 } else { 10_000_000 };

/// A broken text, and the findings that must be among those told, each with how often at least.
struct Broken {
    name: &'static str,
    text: String,
    told: &'static [(&'static str, usize)],
}

fn broken(name: &'static str, text: impl Into<String>, told: &'static [(&'static str, usize)]) -> Broken {
    Broken { name, text: text.into(), told }
}

/// The small plan with one stretch changed.
fn with(name: &'static str, from: &str, to: &str, told: &'static [(&'static str, usize)]) -> Broken {
    assert!(PLAN.contains(from), "{name}: `{from}` is not in the plan");
    broken(name, PLAN.replacen(from, to, 1), told)
}

fn all() -> Vec<Broken> {
    let many = |line: &str, times: usize| line.repeat(times);
    vec![
        with(
            "brace of a block left open",
            "step cook \"Cook\" {\n  start\n  dispatch\n  stage cooking from cook-start to cook-end\n}",
            "step cook \"Cook\" {\n  start\n  dispatch\n  stage cooking from cook-start to cook-end\n",
            &[("S001", 1)],
        ),
        with(
            "two braces left open",
            "time-zone Europe/London\n}\nproduct slices \"Slices\" {\n}",
            "time-zone Europe/London\nproduct slices \"Slices\" {\n",
            &[("S001", 2)],
        ),
        with("brace too many", "product slices \"Slices\" {\n}", "product slices \"Slices\" {\n}}", &[("S010", 1)]),
        with("brace alone", "product slices \"Slices\" {\n}", "}\nproduct slices \"Slices\" {\n}", &[("S010", 1)]),
        with("unknown statement", "  start\n", "  strat\n", &[("S002", 1)]),
        with("three unknown statements", "  start\n  dispatch\n", "  strat\n  dispach\n  stagg x\n", &[("S002", 3)]),
        with("unknown block", "product slices", "produkt slices", &[("S002", 1)]),
        with(
            "wrong words in three blocks",
            "  time-zone Europe/London\n}\nproduct slices \"Slices\" {\n}\nparameter core \"Core\" { unit °C }",
            "  time-zoe Europe/London\n}\nproduct slices \"Slices\" {\n  colour \"pink\"\n}\nparameter core \"Core\" { untt °C }",
            &[("S002", 3)],
        ),
        with("unknown unit", "unit °C", "unit °X", &[("S003", 1)]),
        with("unit of another kind", "core >= 70 °C held", "core >= 70 min held", &[("Q201", 1)]),
        with("comma in a number", "core >= 70 °C", "core >= 70,5 °C", &[("S006", 1)]),
        with("dash for a range", "core >= 70 °C held for 2 min", "core 70-75 °C", &[("S007", 1)]),
        with("bare for", "held for 2 min", "for 2 min", &[("L102", 1)]),
        with("prose as a limit", "core >= 70 °C held for 2 min", "\"hot enough\"", &[("L101", 1)]),
        with("no limit at all", "  limit hold core >= 70 °C held for 2 min\n", "  limit hold\n", &[("S003", 1)]),
        with("quote left open", "step cook \"Cook\" {", "step cook \"Cook {", &[("S004", 1)]),
        with("comment glued to a word", "  start\n", "  start#here\n", &[("S005", 1)]),
        with(
            "comma at the end of a list",
            "by operator on cook-record",
            "by operator using probe, on cook-record",
            &[("S003", 1)],
        ),
        with("name of nothing", "by operator on", "by oprator on", &[("N201", 1)]),
        with(
            "four names of nothing",
            "at cook {\n  limit hold core >= 70 °C held for 2 min\n  monitor core continuously step 1 min by operator on cook-record",
            "at coook {\n  limit hold core >= 70 °C held for 2 min\n  monitor corr continuously step 1 min by oprator on cook-recrd",
            &[("N201", 4)],
        ),
        with(
            "name twice",
            "role operator \"Operator\" {\n}",
            "role operator \"Operator\" {\n}\nrole operator \"Again\" {\n}",
            &[("N202", 1)],
        ),
        with(
            "statement twice",
            "{ kept for 2 years }\nrecord cook",
            "{ kept for 2 years; kept for 3 years }\nrecord cook",
            &[("N101", 1)],
        ),
        with("second plan", "product slices", "plan again \"Again\" {\n}\nproduct slices", &[("N107", 1)]),
        with(
            "a day that is none",
            "  time-zone Europe/London\n",
            "  time-zone Europe/London\n  in-force from 2026-02-30\n",
            &[("N104", 1)],
        ),
        with("zone that is none", "Europe/London", "Europe/Londno", &[("N105", 1)]),
        with("number that is none", "2 years }\nrecord cook", "0 years }\nrecord cook", &[("N103", 1)]),
        with("n below c", "core >= 70 °C held for 2 min", "core n 2, c 5, m 70 °C", &[("L103", 1)]),
        with("share of no stage", "held for 2 min", "in total at least 50 % of baking", &[("N201", 1)]),
        with("range turned round", "core >= 70 °C held for 2 min", "core between 80 °C and 70 °C", &[("L103", 1)]),
        with("unit missing", "core >= 70 °C", "core >= 70", &[("Q202", 1)]),
        with(
            "D of nought",
            "role operator",
            "inactivation dead \"Dead\" {\n  D 0 s at 70 °C\n  z 10 °C\n}\nrole operator",
            &[("Q203", 1)],
        ),
        with(
            "z below nought",
            "role operator",
            "inactivation dead \"Dead\" {\n  D 2 s at 70 °C\n  z -10 °C\n}\nrole operator",
            &[("Q203", 1)],
        ),
        with(
            "formula of itself",
            "parameter core \"Core\" { unit °C }",
            "parameter core \"Core\" { unit °C; from core - core }",
            &[("Q206", 1)],
        ),
        with("words where a number stands", "held for 2 min", "held for two min", &[("S003", 1)]),
        with("half a statement", "held for 2 min", "held", &[("S003", 1)]),
        with(
            "a block inside a block",
            "  start\n",
            "  start\n  ccp inner at cook {\n    limit hot core >= 70 °C\n  }\n",
            &[("S002", 1)],
        ),
        with("junk between blocks", "role operator", "][)(*&^%\n\n@@@@\nrole operator", &[("S002", 1)]),
        with("a nought byte", "role operator", "role\0operator", &[("X101", 1)]),
        with("nought bytes in a text", "\"Cook\" {\n  start", "\"Co\0\0ok\" {\n  strat", &[("X101", 1)]),
        with("replacement characters", "role operator", "\u{fffd}\u{fffd}\u{fffd}\nrole operator", &[("S002", 1)]),
        with("letters of several scripts", "by operator on", "by оperator on", &[("N201", 1)]),
        broken("nothing but open braces", many("{", 5_000), &[("S011", 1)]),
        broken("nothing but close braces", many("}\n", 2_000), &[("S010", 1)]),
        broken(
            "brackets in brackets",
            format!(
                "{PLAN}parameter deep \"Deep\" {{ unit °C; from {}core - core{} }}\n",
                many("(", 3_000),
                many(")", 3_000)
            ),
            &[("S003", 1)],
        ),
        broken(
            "groups in groups",
            PLAN.replacen(
                "core >= 70 °C held for 2 min",
                &format!("{}core >= 70 °C{}", many("all of { ", 2_000), many(" }", 2_000)),
                1,
            ),
            &[("S011", 1)],
        ),
        broken("one letter without end", many("x", LONG), &[("S002", 1)]),
        broken("one line of words without end", many("limit ", LONG / 6), &[("S002", 1)]),
        broken("a text in quotes without end", format!("{PLAN}role r2 \"{}\n", many("a", LONG)), &[("S004", 1)]),
        broken(
            "ten thousand broken blocks",
            (0..10_000).map(|n| format!("step s{n} \"S\" {{\n  dose \"x\"\n}}\n")).collect::<String>(),
            &[("S002", 10_000)],
        ),
        broken("the plan cut in the middle of a word", &PLAN[..PLAN.len() / 2], &[("S002", 1)]),
        broken("the plan backwards", PLAN.chars().rev().collect::<String>(), &[("S002", 1)]),
        broken(
            "every line twice",
            PLAN.lines().flat_map(|line| [line, "\n", line, "\n"]).collect::<String>(),
            &[("S001", 1)],
        ),
    ]
}

#[test]
fn fifty_broken_plans() {
    let cases = all();
    assert!(cases.len() >= 50, "{}", cases.len());
    let mut wrong = Vec::new();
    for Broken { name, text, told } in cases {
        let desk = Desk::new();
        desk.put("plan.haccp", &text);
        let start = Instant::now();
        let ran = desk.run(&["check", "plan.haccp", "--format", "json", "--on", "2026-06-01"]);
        let took = start.elapsed();
        // A bound against never ending, wide enough for any machine.
        assert!(took < Duration::from_secs(120), "{name}: {took:?}");
        // 2: nothing in it can be read as a plan at all.
        assert!([1, 2].contains(&ran.status), "{name}: {}", ran.err);
        let found: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        let mut codes: BTreeMap<&str, usize> = BTreeMap::new();
        for finding in found["checked"][0]["findings"].as_array().unwrap() {
            *codes.entry(finding["code"].as_str().unwrap()).or_default() += 1;
        }
        for (code, least) in told {
            let count = codes.get(code).copied().unwrap_or(0);
            if count < *least {
                wrong.push(format!("{name}: {code} told {count} times, not {least}; told: {codes:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
