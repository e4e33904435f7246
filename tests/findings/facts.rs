//! What no single case shows: several facts at once, figures the wrong way round, and figures that nothing uses.

use crate::{BASE, findings};

const CCP: &str = "ccp chilling \"Chilling\" at chill {\n";
const LIMIT: &str = "  limit fall  core from 60 °C to 10 °C within 2 h\n";

/// The base plan with blocks before the control and limits in place of its own: codes and messages.
fn found(blocks: &str, limits: &str) -> Vec<(&'static str, String)> {
    let text = BASE.replacen(CCP, &format!("{blocks}\n{CCP}"), 1).replacen(LIMIT, limits, 1);
    findings(&text).1.into_iter().map(|one| (one.rule.code, one.message)).collect()
}

/// The messages of one kind.
fn of(code: &str, blocks: &str, limits: &str) -> Vec<String> {
    found(blocks, limits).into_iter().filter(|one| one.0 == code).map(|one| one.1).collect()
}

const FACTS: &str = "parameter fat \"Fat\" { unit %; recorded each lot on log }
parameter size \"Size\" { answers small, large; recorded each lot on log }
parameter count \"Count\" { unit cfu/g }
";

#[test]
fn several_facts_at_once_cover_every_lot_or_the_combination_is_named() {
    let limits = |last: &str| {
        format!(
            "  limit a  core from 60 °C to 10 °C within 2 h when size is small
  limit b  core from 60 °C to 10 °C within 100 min when size is large and fat < 10 %
  limit c  core from 60 °C to 10 °C within 90 min when size is large and fat {last}
"
        )
    };
    assert_eq!(found(FACTS, &limits(">= 10 %")).iter().filter(|one| one.0 == "L301").count(), 0);
    let left = of("L301", FACTS, &limits("> 10 %"));
    assert_eq!(left.len(), 1, "{left:?}");
    assert!(left[0].contains("`size` is large") && left[0].contains("`fat` is exactly 10\u{a0}%"), "{left:?}");
    assert!(!left[0].contains("small"), "every small lot has a limit: {left:?}");
    // Each fact is covered alone, and two combinations are not.
    let crossed = "  limit a  core from 60 °C to 10 °C within 2 h when size is small and fat < 10 %
  limit b  core from 60 °C to 10 °C within 100 min when size is large and fat >= 10 %
";
    let left = of("L301", FACTS, crossed);
    assert_eq!(left.len(), 1, "{left:?}");
    assert!(left[0].contains("small") && left[0].contains("large"), "{left:?}");
}

#[test]
fn the_upper_figure_of_an_attributes_plan_does_not_lie_below_the_lower() {
    let limit = |m: &str, big: &str| {
        let limits = format!("{LIMIT}  limit plates  count n 5, c 2, m {m} cfu/g, M {big} cfu/g\n");
        of("L103", FACTS, &limits)
    };
    let said = limit("100", "10");
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("M is 10") && said[0].contains("below m"), "{said:?}");
    assert_eq!(limit("10", "100"), Vec::<String>::new());
    assert_eq!(limit("10", "10"), Vec::<String>::new());
}

#[test]
fn a_table_or_a_model_that_nothing_uses_is_found() {
    let blocks = "table rows \"Rows\" { row >= 75 °C held for 1 min; row >= 70 °C held for 4 min; cites paper }
inactivation bug \"Bug\" { D 1 min at 70 °C; z 10 °C; range 50 °C to 90 °C; cites paper }
growth model grower \"Grower\" { minimum 5 °C; optimum 40 °C; maximum 50 °C; rate 1 log10/h; cites paper }
";
    let unused = of("B201", blocks, LIMIT);
    for name in ["table `rows`", "inactivation `bug`", "growth model `grower`"] {
        assert!(unused.iter().any(|message| message.contains(name)), "{name}: {unused:?}");
    }
    let limits = format!(
        "{LIMIT}  limit a  core meets any row of rows
  limit b  reduction by bug from core >= 6 log10
  limit c  growth by grower from core <= 1 log10
"
    );
    let unused = of("B201", blocks, &limits);
    assert!(
        !unused.iter().any(|message| message.contains("rows") || message.contains("bug") || message.contains("grower")),
        "{unused:?}"
    );
}

#[test]
fn a_fact_that_no_record_holds_is_found_in_guards_rows_and_choices() {
    let blocks = "parameter size \"Size\" { answers small, large }
table rows \"Rows\" { row >= 75 °C held for 1 min when size is small; row >= 75 °C held for 2 min otherwise; cites paper }
";
    let guarded = format!("{LIMIT}  limit small  core >= 75 °C held for 3 min only when size is small\n");
    assert_eq!(of("L307", blocks, LIMIT).len(), 1, "the row");
    assert_eq!(of("L307", blocks, &guarded).len(), 2, "the row and the guard");
    let chosen = format!(
        "{LIMIT}  limit way  one of chosen by size {{ option small core >= 75 °C held for 3 min; option large core >= 75 °C held for 4 min }}\n"
    );
    assert_eq!(of("L307", blocks, &chosen).len(), 2, "the row and the choice");
    // A check on a line says nothing of a lot.
    let monitored = guarded.clone() + "  monitor size every 1 h by cook on log\n";
    assert_eq!(of("L307", blocks, &monitored).len(), 2);
    assert_eq!(of("L307", &blocks.replacen("large }", "large; recorded each lot on log }", 1), &guarded).len(), 0);
}
