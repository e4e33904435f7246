//! What writing the statements brought to light: rows of tables and parts of groups are checked like whole limits.

use crate::findings;
use bourn::finding::Finding;
use bourn::plan::Condition;
use bourn::source::{Source, Sources};

const PARAMETERS: &str = "parameter core { unit °C }\nparameter air { unit °C }\nparameter dish { answers beef, pork }\n\
    parameter share { unit % }\n";

fn codes(text: &str) -> Vec<&'static str> {
    let text = format!("{PARAMETERS}{text}");
    let found: Vec<Finding> = findings(&[("plan.haccp", &text)]);
    let own = ["Q", "N2", "L104"];
    found.iter().map(|one| one.rule.code).filter(|code| own.iter().any(|start| code.starts_with(start))).collect()
}

fn row(row: &str) -> Vec<&'static str> {
    codes(&format!("table rows {{ row {row} }}\nccp cook {{ limit hot core meets any row of rows }}\n"))
}

#[test]
fn the_rows_of_a_table_are_held_against_the_parameter() {
    assert!(row(">= 74 °C held for 15 s when dish is beef").is_empty());
    assert!(row(">= 165 °F held for 15 s").is_empty(), "another unit of the same kind");
    assert_eq!(row(">= 74 min held for 15 s"), ["Q201"]);
    assert_eq!(row(">= 74 °C held for 15 °C"), ["Q201"]);
    assert_eq!(row(">= 74 held for 15 s"), ["Q202"]);
    assert_eq!(row(">= 74 °C held for 15 s when dish is chicken"), ["N203"]);
    assert_eq!(row(">= 74 °C held for 15 s when dishes is beef"), ["N201"]);
}

#[test]
fn a_part_of_a_group_may_stand_beside_something() {
    let group = |part: &str| {
        codes(&format!(
            "ccp cook {{ limit hot core >= 70 °C; limit two core between 3 °C and 5 °C\n limit way one of {{ option a {part}; \
             option b core >= 80 °C }} }}\n"
        ))
    };
    assert!(group("air >= hot + 3 °C").is_empty());
    assert!(group("{ core <= air; core >= 3 °C }").is_empty());
    assert_eq!(group("air >= two + 3 °C"), ["L104"]);
    assert_eq!(group("air >= nothing + 3 °C"), ["N201"]);
    assert_eq!(group("share >= hot + 3 °C"), ["Q201"]);
}

#[test]
fn the_value_beside_which_a_part_stands_is_settled() {
    let text = format!(
        "{PARAMETERS}ccp cook {{ limit hot core >= 70 °C; limit both all of {{ air >= hot + 3 °C; core <= air }} }}\n"
    );
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan.haccp", text));
    let reading = bourn::plan::read(&sources, &[id]);
    let limit = reading.plan.controls[0].limits.iter().find(|limit| limit.name.text == "both").unwrap();
    let leaves = limit.leaves();
    let lowest = |leaf: &Condition| match leaf {
        Condition::Level { range, .. } => {
            range.lower.as_ref().or(range.upper.as_ref()).and_then(|edge| edge.at.quantity)
        }
        _ => None,
    };
    assert_eq!(lowest(leaves[0]).unwrap().to_string(), "73\u{a0}°C");
    assert_eq!(lowest(leaves[1]).unwrap().value, bourn::quantity::Rational::ZERO, "the difference of the two");
    assert_eq!(leaves[1].own_parameters()[0].text, "core - air");
    // It is judged by the difference, and printed as it was written.
    assert!(limit.symbols().contains("core ≤ air"), "{}", limit.symbols());
    let words = limit.sentence(&reading.plan);
    assert!(words.contains("core: at most air") && !words.contains("core - air"), "{words}");
}
