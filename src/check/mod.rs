//! Plan → findings: is it complete, and does it agree with itself?
//!
//! One file per topic. Each rule is declared beside the small function that looks for it; a finding about something
//! that is missing names the block that should hold it and shows where in the block it belongs.

mod accuracy;
mod allergen_lists;
mod allergens;
mod changeover;
mod clauses;
pub(crate) mod compare;
mod complete;
pub mod coverage;
mod cover;
mod decision;
mod ends;
mod evidence;
mod exceptions;
mod facts;
mod flow;
pub(crate) mod hazards;
mod limits;
mod monitoring;
mod order;
pub(crate) mod people;
mod place;
mod products;
mod proof;
mod qualified;
mod response;
mod review;
mod scale;
mod series;
mod shape;
mod shown;
mod sources;
mod superseded;
mod terms;
pub mod signing;
pub mod trees;
mod unused;

use crate::finding::{Finding, Rule};
use crate::plan::Plan;
use crate::source::Loc;
use order::Order;

/// The rules of every topic.
#[must_use]
pub fn rules() -> Vec<&'static [&'static Rule]> {
    vec![
        flow::RULES,
        hazards::RULES,
        decision::RULES,
        limits::RULES,
        facts::RULES,
        shape::RULES,
        ends::RULES,
        series::RULES,
        accuracy::RULES,
        scale::RULES,
        shown::RULES,
        monitoring::RULES,
        response::RULES,
        proof::RULES,
        evidence::RULES,
        review::RULES,
        allergens::RULES,
        changeover::RULES,
        people::RULES,
        qualified::RULES,
        superseded::RULES,
        terms::RULES,
        sources::RULES,
        products::RULES,
        complete::RULES,
        clauses::RULES,
        unused::RULES,
        exceptions::RULES,
    ]
}

/// The names of allergens that a plan may list.
#[must_use]
pub fn allergens() -> Vec<&'static str> {
    allergen_lists::names().collect()
}

/// What every check works with.
struct Desk<'a> {
    plan: &'a Plan,
    on: chrono::NaiveDate,
    order: Order<'a>,
    findings: Vec<Finding>,
}

impl Desk<'_> {
    fn say(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Whether the flow could be followed from start to dispatch, so that its order may be relied on.
    fn flow_is_sound(&self) -> bool {
        !self.findings.iter().any(|finding| flow::breaks_order(finding.rule))
    }

    /// A finding about a statement that a block lacks: at its first line, and with the place where it belongs.
    fn lacks(
        &mut self,
        rule: &'static Rule,
        head: Loc,
        word: &str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        // A statement that could not be read has a finding of its own, and may be the one.
        let unread = |layout: &&crate::plan::Layout| layout.head == head && layout.unread.iter().any(|one| one == word);
        if self.plan.layout.iter().any(|layout| unread(&layout)) {
            return;
        }
        let mut finding = Finding::at(rule, head, message).help(help);
        if let Some(before) = place::before(self.plan, head, word) {
            let what = if word == "no" { "the rest of the analysis".to_owned() } else { format!("`{word}`") };
            finding = finding.also(before, format!("{what} would follow here"));
        }
        self.findings.push(finding);
    }
}

/// Checks a plan. The given day is the one on which it is checked.
#[must_use]
pub fn check(plan: &Plan, on: chrono::NaiveDate) -> Vec<Finding> {
    let mut desk = Desk { plan, on, order: Order::of(plan), findings: Vec::new() };
    flow::check(&mut desk);
    hazards::check(&mut desk);
    decision::check(&mut desk);
    limits::check(&mut desk);
    facts::check(&mut desk);
    shape::check(&mut desk);
    ends::check(&mut desk);
    series::check(&mut desk);
    accuracy::check(&mut desk);
    scale::check(&mut desk);
    shown::check(&mut desk);
    monitoring::check(&mut desk);
    response::check(&mut desk);
    proof::check(&mut desk);
    evidence::check(&mut desk);
    review::check(&mut desk);
    allergens::check(&mut desk);
    changeover::check(&mut desk);
    people::check(&mut desk);
    qualified::check(&mut desk);
    superseded::check(&mut desk);
    terms::check(&mut desk);
    sources::check(&mut desk);
    products::check(&mut desk);
    complete::check(&mut desk);
    clauses::check(&mut desk);
    unused::check(&mut desk);
    exceptions::apply(&mut desk);
    let mut findings = desk.findings;
    crate::finding::narrow(&mut findings, &plan.regimes());
    crate::finding::tidy(&mut findings);
    findings
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::check;
    use crate::source::{Source, Sources};

    /// The base plan of tests/findings with some stretches replaced: the codes found in reading, and in checking.
    fn found(changes: &[(&str, &str)]) -> [Vec<&'static str>; 2] {
        let mut text = include_str!("../../tests/findings/base.haccp").to_owned();
        for (from, to) in changes {
            assert_eq!(text.matches(from).count(), 1, "{from}");
            text = text.replace(from, to);
        }
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", text));
        let reading = crate::plan::read(&sources, &[id]);
        let checked = check(&reading.plan, chrono::NaiveDate::from_ymd_opt(2026, 6, 1).unwrap());
        [reading.findings, checked].map(|list| list.iter().map(|finding| finding.rule.code).collect())
    }

    fn codes(changes: &[(&str, &str)]) -> Vec<&'static str> {
        found(changes).concat()
    }

    /// What checking finds of these codes in a plan that can be read without a fault.
    pub(super) fn of_these(changes: &[(&str, &str)], wanted: &[&str]) -> Vec<&'static str> {
        let [reading, mut checked] = found(changes);
        assert!(reading.is_empty(), "{reading:?}");
        checked.retain(|code| wanted.contains(code));
        checked
    }

    const LIMIT: &str = "core from 60 °C to 10 °C within 2 h\n";
    const STEP: &str = "continuously step 1 min by cook";

    #[test]
    fn the_plan_of_the_cases_is_clean() {
        assert_eq!(codes(&[]), Vec::<&str>::new());
    }

    #[test]
    fn a_flow_may_branch_and_join() {
        let side = "step side \"Sauce\" {\n  start\n  does  \"Boil sauce\"\n  no other hazard \"Closed\"\n}\n\nstep chill \"Chilling\" {\n  after boil, side\n";
        assert_eq!(codes(&[("step chill \"Chilling\" {\n", side)]), Vec::<&str>::new());
        // Rework that is declared is no loop.
        let rework = ("  does   \"Chill to 5 °C\"\n", "  does   \"Chill to 5 °C\"\n  gives broken as rework to boil\n");
        assert_eq!(codes(&[rework]), Vec::<&str>::new());
    }

    #[test]
    fn a_control_on_another_line_is_no_control() {
        let fork = (
            "step send \"Dispatch\" {\n",
            "step plain \"Plain bowls\" {\n  after receive\n  does \"Pack cold\"\n  uses celery\n  hazard cereus grows {\n    likelihood   likely\n    significant  \"Warm room\"\n    decision     q1 no, q2 yes, q3 yes\n    control      chilling\n  }\n  no other hazard \"Closed\"\n}\n\nstep send \"Dispatch\" {\n  after chill, plain\n",
        );
        assert!(codes(&[fork]).contains(&"H103"));
    }

    #[test]
    fn what_monitoring_can_show_follows_form_and_rhythm() {
        let shows = |limit: &str, often: &str| {
            let found = codes(&[(LIMIT, limit), (STEP, &format!("{often} by cook"))]);
            ["L221", "L222", "L223"].into_iter().find(|code| found.contains(code))
        };
        for (limit, often, code) in [
            ("core >= 72 °C held for 15 s\n", "every 1 h", Some("L221")),
            ("core >= 72 °C held for 15 s\n", "continuously step 5 s", Some("L222")),
            ("core >= 72 °C held for 20 s\n", "continuously step 5 s", None),
            ("core >= 72 °C held for 15 s\n", "each lot", Some("L221")),
            ("core <= 5 °C\n", "each lot", Some("L221")),
            ("core <= 5 °C in every sample\n", "each lot", None),
            ("core <= 5 °C\n", "every 1 h", None),
            ("core <= 5 °C throughout chilling\n", "each load", Some("L221")),
            ("core >= 72 °C in total at least 10 min\n", "2 times per day", Some("L221")),
            ("core above 10 °C at a stretch at most 30 min\n", "every 1 h", Some("L221")),
            ("core above 10 °C in total at most 4 h\n", "every 1 h", None),
            ("core from 60 °C to 10 °C within 90 min\n", "every 1 h", Some("L222")),
            ("core from 60 °C to 10 °C within 1 h\n", "every 1 h", Some("L221")),
        ] {
            assert_eq!(shows(limit, often), code, "{limit} {often}");
        }
    }

    #[test]
    fn an_instrument_follows_no_more_slowly_than_the_time_it_must_show() {
        let accuracy = "  accuracy    0.3 °C\n";
        let slow = |limit: &str, responds: &str| {
            codes(&[(LIMIT, limit), (STEP, "continuously step 2 s by cook"), (accuracy, responds)]).contains(&"L224")
        };
        let (slower, as_slow) =
            ("  accuracy 0.3 °C\n  responds within 16 s\n", "  accuracy 0.3 °C\n  responds within 15 s\n");
        assert!(slow("core >= 72 °C held for 15 s\n", slower));
        assert!(!slow("core >= 72 °C held for 15 s\n", as_slow));
        assert!(!slow("core >= 72 °C held for 15 s\n", accuracy));
        assert!(slow("core above 10 °C at a stretch at most 15 s\n", slower));
        // A single reading has no time, and of several ways each stands for itself.
        assert!(!slow("core <= 5 °C\n", slower));
        assert!(slow(
            "one of { option a core >= 75 °C held for 10 s; option b core >= 70 °C held for 2 min }\n",
            slower
        ));
    }

    #[test]
    fn operating_limits_are_compared_exactly_across_units() {
        let weak = |critical: &str, operating: &str| {
            codes(&[(LIMIT, &format!("{critical}\n  operating-limit aim  {operating}\n"))]).contains(&"L203")
        };
        assert!(weak("core >= 160 °F held for 2 min", "core >= 71.1 °C held for 2 min"));
        assert!(!weak("core >= 160 °F held for 2 min", "core >= 71.2 °C held for 2 min"));
        assert!(weak("core <= 5 °C", "core <= 41 °F"));
        assert!(!weak("core <= 5 °C", "core < 41 °F"));
        assert!(weak("core above 10 °C at a stretch at most 2 h", "core above 12 °C at a stretch at most 2 h"));
        assert!(!weak("core above 10 °C at a stretch at most 2 h", "core above 10 °C at a stretch at most 110 min"));
    }

    #[test]
    fn a_limit_is_never_weaker_than_the_legal_value() {
        let found = |limit: &str, required: &str| {
            let text = format!("{limit} {{ required {required} cites paper }}\n");
            let found = codes(&[(LIMIT, &text)]);
            ["L241", "L242"].into_iter().find(|code| found.contains(code))
        };
        let (weak, apart) = (Some("L241"), Some("L242"));
        for (limit, required, code) in [
            ("core >= 72 °C held for 2 min", "core >= 72 °C held for 2 min", None),
            ("core >= 72 °C held for 3 min", "core >= 161 °F held for 2 min", None),
            ("core >= 71.6 °C held for 3 min", "core >= 161 °F held for 2 min", weak),
            // Both count: hotter for a shorter time is not as strict.
            ("core >= 75 °C held for 1 min", "core >= 70 °C held for 2 min", weak),
            ("core <= 5 °C", "core < 5 °C", weak),
            ("core >= 72 °C in total more than 2 min", "core >= 72 °C in total at least 2 min", None),
            ("core >= 72 °C in total at least 2 min", "core >= 72 °C in total more than 2 min", weak),
            ("core < 41 °F", "core <= 5 °C", None),
            ("core between 2 °C and 4 °C", "core <= 4 °C", None),
            ("core <= 4 °C", "core between 2 °C and 4 °C", apart),
            ("all of { core >= 2 °C; core <= 4 °C }", "core between 2 °C and 4 °C", None),
            (
                "core <= 4 °C in every sample, at least 3 per lot",
                "core <= 5 °C in every sample, at least 5 per lot",
                weak,
            ),
            (
                "core <= 4 °C in every sample, at least 5 per lot",
                "core <= 5 °C in every sample, at least 5 per lot",
                None,
            ),
            ("core n 5, c 1, m 4 °C", "core n 5, c 2, m 4 °C", None),
            ("core n 5, c 2, m 4 °C", "core n 5, c 1, m 4 °C", weak),
            ("core n 3, c 0, m 4 °C", "core n 5, c 0, m 4 °C", weak),
            ("core from 60 °C to 10 °C within 2 h", "core from 60 °C to 10 °C within 90 min", weak),
            ("core from 60 °C to 10 °C within 2 h", "core from 55 °C to 10 °C within 2 h", apart),
            ("core falls at least 5 °C in every 1 h", "core falls at least 9 °F in every 1 h", None),
            ("core falls at least 4 °C in every 1 h", "core falls at least 9 °F in every 1 h", weak),
            ("core above 10 °C at a stretch at most 2 h", "core above 12 °C at a stretch at most 2 h", None),
            ("core above 12 °C in total at most 2 h", "core above 10 °C in total at most 2 h", weak),
            ("no core between 9 °C and 41 °C", "no core between 10 °C and 40 °C", None),
            ("core >= 72 °C held for 2 min", "core >= 72 °C in total at least 2 min", apart),
            (
                "core >= 72 °C held for 2 min",
                "one of { option a core >= 75 °C held for 1 min; option b core >= 70 °C held for 2 min }",
                None,
            ),
            (
                "one of { option a core >= 75 °C held for 1 min; option b core >= 70 °C held for 2 min }",
                "core >= 70 °C held for 2 min",
                weak,
            ),
        ] {
            assert_eq!(found(limit, required), code, "{limit} beside {required}");
        }
    }

    #[test]
    fn an_excursion_counts_when_a_limit_is_compared() {
        let found = |limit: &str| {
            let found = codes(&[(LIMIT, &format!("{limit}\n"))]);
            ["L241", "L242", "L245"].into_iter().filter(|code| found.contains(code)).collect::<Vec<_>>()
        };
        let allow = "allow up to 7 °C at a stretch at most 20 min";
        assert_eq!(
            found(&format!("core <= 4 °C {{ {allow}; required core <= 7 °C cites paper }}")),
            Vec::<&str>::new()
        );
        assert_eq!(found(&format!("core <= 4 °C {{ {allow}; required core <= 5 °C cites paper }}")), ["L241"]);
        assert_eq!(found(&format!("core <= 7 °C {{ {allow} }}")), ["L245"]);
        assert_eq!(found("core >= 60 °C { allow down to 58 °C at a stretch at most 20 min }"), Vec::<&str>::new());
        assert_eq!(found("core >= 60 °C { allow down to 61 °C at a stretch at most 20 min }"), ["L245"]);
    }

    #[test]
    fn tables_are_looked_through() {
        let with = |rows: &str, statements: &str, often: &str| {
            let table = format!("table rows {{ {rows}; cites paper }}\n\nrecord log \"Log\"");
            codes(&[
                ("record log \"Log\"", &table),
                (LIMIT, &format!("core meets any row of rows{statements}\n")),
                (STEP, &format!("{often} by cook")),
            ])
        };
        let rows = "row >= 75 °C held for 1 min; row >= 70 °C held for 4 min";
        // Row by row, the legal value and the operating limit.
        let step = "continuously step 5 s";
        let required = |text: &str| with(rows, &format!(" {{ required {text} cites paper }}"), step);
        assert!(!required("core >= 70 °C held for 1 min").contains(&"L241"));
        assert!(required("core >= 70 °C held for 2 min").contains(&"L241"));
        assert!(with(rows, "\n  operating-limit aim core >= 70 °C held for 4 min", step).contains(&"L203"));
        assert!(!with(rows, "\n  operating-limit aim core >= 71 °C held for 4 min", step).contains(&"L203"));
        // A table is shown by its easiest row.
        assert!(with(rows, "", "every 1 h").contains(&"L221"));
        assert!(with(rows, "", "continuously step 2 min").contains(&"L222"));
        assert!(!with(rows, "", "continuously step 1 min").iter().any(|code| ["L221", "L222"].contains(code)));
    }

    #[test]
    fn allergens_travel_with_rework_to_another_product() {
        let second = "product plain \"Plain bowl\" {\n  kind ready-to-eat\n  description \"Barley\"\n  use \"Cold\"\n  consumers \"All\"\n  packaging \"Bowl\"\n  shelf-life 5 d\n  storage \"Cold\"\n  distribution \"Cold\"\n  label \"Barley\"\n  allergens barley\n}\n\nmaterial barley \"";
        let only = ("  uses  barley, celery\n", "  uses  barley\n");
        let mix = "step mix \"Mixing\" {\n  only for bowl\n  does \"Add celery\"\n  uses celery\n REWORK\n  no other hazard \"Closed\"\n}\n\nstep chill \"Chilling\" {\n";
        let apart = mix.replace("REWORK", "");
        let change = |step: &str| codes(&[("material barley \"", second), only, ("step chill \"Chilling\" {\n", step)]);
        assert!(!change(&apart).contains(&"A101"));
        assert!(change(&mix.replace("REWORK", " gives broken as rework to boil")).contains(&"A101"));
        // What only the plain one passes carries nothing of the other, though its rework goes back to where both began.
        let plain = "step top \"Topping\" {\n  only for plain\n  does \"Top\"\n  gives broken as rework to boil\n  no other hazard \"Closed\"\n}\n\nstep chill \"Chilling\" {\n";
        let mixed = mix.replace("REWORK\n", "").replace("step chill \"Chilling\" {\n", plain);
        assert!(!change(&mixed).contains(&"A101"));
    }

    #[test]
    fn a_derivative_that_the_law_takes_out_reaches_no_label() {
        let found = |regimes: &str, names: &str| {
            let allergens = format!("  supplier   \"Approved grower\"\n  allergens  celery, {names}\n");
            codes(&[
                ("  regimes         codex\n", &format!("  regimes         {regimes}\n")),
                ("  supplier   \"Approved grower\"\n  allergens  celery\n", &allergens),
            ])
            .contains(&"A101")
        };
        assert!(found("codex", "refined-soybean-oil") && found("codex, eu", "soy"));
        assert!(!found("codex, eu", "refined-soybean-oil"));
        assert!(found("codex, eu", "refined-peanut-oil") && !found("codex, us-juice", "refined-peanut-oil"));
    }

    #[test]
    fn studies_are_kept_for_two_years_after_their_last_use() {
        let record = "record log \"Log\" { kept for 2 years;";
        let found = |years: &str, meets: &str| {
            let text = format!("record old \"Old\" {{ kept for {years}{meets} }}\n\n{record}");
            let changes =
                [("  regimes         codex\n", "  regimes         codex, us-seafood\n"), (record, text.as_str())];
            codes(&[
                changes[0],
                changes[1],
                ("  storage       \"At or below 5 °C\"\n", "  storage \"Cold\"\n  storage-class refrigerated\n"),
            ])
            .contains(&"B119")
        };
        let meets = "; meets \"21 CFR 123.9(b)(2)\"";
        // Of refrigerated fish a year is enough, and of its studies it is not.
        assert!(!found("1 year", "") && found("1 year", meets) && !found("2 years", meets));
    }

    #[test]
    fn an_exception_takes_out_only_what_it_names() {
        let bare = ("  covers   \"All rooms\"\n", "");
        let exception = |at: &str| {
            format!("exception silent-programme {at} because \"Known\" by chef until 2026-12-31\n\nrecord log \"Log\"")
        };
        assert_eq!(codes(&[bare]), ["B117"]);
        assert_eq!(codes(&[bare, ("record log \"Log\"", &exception("at cleaning"))]), ["B304"]);
        let mut other = codes(&[bare, ("record log \"Log\"", &exception("at drains"))]);
        other.sort_unstable();
        assert_eq!(other, ["B117", "B303"]);
    }

    use crate::clause::{Force, clause};
    use crate::finding::Severity;
    use std::collections::HashSet;

    #[test]
    fn severity_follows_the_strongest_clause() {
        for rule in super::rules().into_iter().flatten() {
            let forces: Vec<Force> = rule
                .clauses
                .iter()
                .map(|id| clause(id).unwrap_or_else(|| panic!("{} cites `{id}`, which is no clause", rule.code)).force)
                .collect();
            if forces.is_empty() {
                continue;
            }
            let wanted = if forces.contains(&Force::Shall) {
                Severity::Error
            } else if forces.contains(&Force::Should) {
                Severity::Warning
            } else {
                Severity::Note
            };
            assert_eq!(rule.severity, wanted, "{} {}", rule.code, rule.name);
        }
    }

    #[test]
    fn codes_and_names_are_each_used_once() {
        let (mut codes, mut names) = (HashSet::new(), HashSet::new());
        for rule in super::rules().into_iter().flatten() {
            assert!(codes.insert(rule.code), "{} twice", rule.code);
            assert!(names.insert(rule.name), "{} twice", rule.name);
        }
    }
}
