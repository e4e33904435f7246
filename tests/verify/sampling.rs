//! Limits over the samples of a lot, with the worked examples of docs/limits.md.

use crate::scene::Scene;
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::LimitVerdict;

const PARAMETERS: &str =
    "parameter count \"Count\" { unit cfu/g }\nparameter salmonella \"Salmonella\" { answers detected, not-detected }";

/// Rows of `sample,count,answer,mass`.
fn judged(limit: &str, rows: &[&str]) -> LimitVerdict {
    let scene = Scene {
        files: vec![],
        more: PARAMETERS,
        also_monitored: "monitor count, salmonella each lot by worker on cook-record",
        ..Scene::new(&format!("x {limit}"), &[])
    };
    let body: String = rows.iter().map(|row| format!("L1,2026-10-06 09:00,{row}\n")).collect();
    let mapping = "samples:\n  - files: [lab.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    sample: Sample\n    columns:\n      Count: { parameter: count, unit: cfu/g, missing: [\"\"], mass: 25 g }\n      Salmonella: { parameter: salmonella, missing: [\"\"], answers: { detected: [pos], not-detected: [neg] }, mass: { column: Mass, unit: g } }\n";
    let text = format!("Lot,Time,Sample,Count,Salmonella,Mass\n{body}");
    scene.verification(&[("lab.csv", &text)], mapping).lots[0].limits[0].clone()
}

fn verdict(limit: &str, rows: &[&str]) -> Verdict {
    judged(limit, rows).verdict
}

#[test]
fn absence_hangs_on_the_mass_that_was_tested() {
    let three = |rows: &[&str]| verdict("salmonella absent in 25 g, n 3, c 0", rows);
    assert_eq!(three(&["1,,neg,25", "2,,neg,25", "3,,neg,50"]), Met);
    assert_eq!(three(&["1,,neg,25", "2,,neg,25", "3,,neg,10"]), NotShown, "too little was tested");
    assert_eq!(three(&["1,,neg,25", "2,,neg,25", "3,,neg,"]), NotShown, "the mass is not recorded");
    assert_eq!(three(&["1,,pos,10"]), NotMet, "whatever is missing");
    assert_eq!(three(&["1,,neg,25", "2,,neg,25", "3,,pos,50"]), NotShown, "it need not be in the 25 g");
    assert_eq!(three(&["1,,neg,25", "2,,neg,25"]), NotShown, "one of three is missing");
    assert_eq!(three(&["1,,pos,25", "1,,neg,25", "2,,neg,25", "3,,neg,25"]), NotMet, "a retest undoes nothing");
    assert_eq!(three(&["1,,neg,25", "1,,neg,26", "2,,neg,25"]), NotShown, "a retest is no third sample");
    assert_eq!(three(&[]), NotShown);
    let each = |rows: &[&str]| verdict("salmonella absent in 25 g", rows);
    assert_eq!(each(&["1,,neg,25"]), Met);
    assert_eq!(each(&["1,,neg,25", "2,,perhaps,25"]), NotShown);
    assert_eq!(each(&[]), NotShown, "nothing was tested");
    // A figure above nothing is a detection; a figure below a limit of the method says nothing about a mass.
    assert_eq!(verdict("count absent in 25 g", &["1,30,,"]), NotMet);
    assert_eq!(verdict("count absent in 25 g", &["1,<10,,"]), NotShown);
    assert_eq!(verdict("count absent in 0.025 kg, n 2, c 1", &["1,30,,"]), NotShown);
}

#[test]
fn so_many_samples_with_an_answer() {
    let nine = ["1,,neg,", "2,,neg,", "3,,neg,", "4,,neg,", "5,,neg,", "6,,neg,", "7,,neg,", "8,,neg,", "9,,neg,"];
    let with = |last: &'static str| [nine.as_slice(), &[last]].concat();
    let limit = "salmonella is not-detected, n 10, c 0";
    assert_eq!(verdict(limit, &nine), NotShown);
    assert_eq!(verdict(limit, &with("10,,neg,")), Met);
    assert_eq!(verdict(limit, &with("10,,pos,")), NotMet);
    assert_eq!(verdict(limit, &with("10,,lost,")), NotShown);
    assert_eq!(verdict("salmonella is not-detected, n 10, c 1", &with("10,,pos,")), Met);
}

#[test]
fn the_worst_sample_says_the_band() {
    let limit =
        "count bands { good < 20 cfu/g met; fair <= 100 cfu/g alert; bad > 100 cfu/g not-met }, at least 3 per lot";
    let of = |rows: &[&str]| {
        let found = judged(limit, rows);
        (found.verdict, found.why)
    };
    assert_eq!(of(&["1,8,,", "2,12,,", "3,19,,"]), (Met, "the lot falls in the band good (met)".to_owned()));
    assert_eq!(
        of(&["1,8,,", "2,20,,", "3,100,,"]),
        (Met, "the lot falls in the band fair (met, look into it)".to_owned())
    );
    assert_eq!(of(&["1,101,,"]).0, NotMet, "whatever is missing");
    let open = of(&["1,8,,", "2,<50,,", "3,12,,"]);
    assert_eq!(open, (Met, "the lot may fall in any band from good to fair".to_owned()));
    assert_eq!(of(&["1,8,,", "2,12,,", "3,smeared,,"]).0, NotShown);
    assert_eq!(of(&["1,8,,", "2,12,,"]).0, NotShown);
    assert_eq!(of(&[]).0, NotShown);
    // The interval, as the JSON gives it too.
    let bands = |rows: &[&str]| judged(limit, rows).parts[0].bands.clone();
    let named = |least: &str, most: &str| Some((least.to_owned(), most.to_owned()));
    assert_eq!(bands(&["1,8,,", "2,<50,,", "3,12,,"]), named("good", "fair"));
    assert_eq!(bands(&["1,8,,", "2,12,,"]), named("good", "bad"));
    assert_eq!(bands(&["1,101,,"]), named("bad", "bad"));
    // The other way round: a high value is good.
    let high = "count bands { good >= 50 cfu/g met; bad < 50 cfu/g not-met }";
    assert_eq!(verdict(high, &["1,50,,"]), Met);
    assert_eq!(verdict(high, &["1,49,,"]), NotMet);
}

/// Faults of a limit over samples: code and message.
fn faults(limit: &str) -> Vec<String> {
    let plan = format!(
        "{PARAMETERS}\nparameter core \"Core\" {{ unit °C }}\nparameter seal \"Seal\" {{ answers good, bad }}\nccp c \"C\" at cook {{ limit x {limit} }}\nstep cook \"Cook\" {{ start }}\n"
    );
    let mut sources = bourn::source::Sources::new();
    let id = sources.add(bourn::source::Source::new("plan", plan));
    let found = bourn::plan::read(&sources, &[id]).findings;
    found.iter().map(|finding| format!("{} {}", finding.rule.code, finding.message)).collect()
}

#[test]
fn a_plan_or_band_that_means_nothing_is_refused() {
    let bands = |bands: &str| faults(&format!("count bands {{ {bands} }}"));
    assert!(bands("a < 20 cfu/g met; b <= 20 cfu/g alert; c > 20 cfu/g not-met").is_empty(), "b is 20 itself");
    assert_eq!(bands("a < 20 cfu/g met; b > 20 cfu/g not-met"), ["L103 between the bands `a` and `b` lies a gap"]);
    assert_eq!(bands("a < 20 cfu/g met; b > 30 cfu/g not-met"), ["L103 between the bands `a` and `b` lies a gap"]);
    assert_eq!(bands("a <= 20 cfu/g met; b >= 20 cfu/g not-met"), ["L103 between the bands `a` and `b` is an overlap"]);
    assert_eq!(bands("a <= 20 cfu/g met; b > 10 cfu/g not-met"), ["L103 between the bands `a` and `b` is an overlap"]);
    let order = "a <= 20 cfu/g met; b <= 10 cfu/g alert; c > 10 cfu/g not-met";
    assert_eq!(bands(order), ["L103 between the bands `a` and `b` is an overlap"]);
    for one in ["a < 20 cfu/g met", "a < 20 cfu/g not-met; b >= 20 cfu/g met", "a < 20 cfu/g met; b >= 20 cfu/g alert"]
    {
        assert!(bands(one)[0].starts_with("L103 bands go from the best to the worst"), "{one}");
    }
    assert_eq!(
        bands("a < 20 cfu/g met; b < 30 cfu/g not-met"),
        ["L103 the band `b` lies on the wrong side of its value"]
    );
    assert_eq!(bands("a < 20 °C met; b >= 20 cfu/g not-met")[0].split(' ').next(), Some("Q201"));
    assert!(faults("count n 5, c 0")[0].starts_with("L103 n and c alone do not say"));
    assert!(faults("salmonella is not-detected, n 2, c 2")[0].starts_with("L103"));
    assert!(faults("salmonella is lost, n 2, c 0")[0].starts_with("N203"));
    assert!(faults("salmonella absent in 25 °C")[0].starts_with("Q201"));
    assert!(faults("core absent in 25 g")[0].starts_with("Q201"));
    assert!(faults("seal absent in 25 g")[0].starts_with("N203 `seal` has no answers"));
}

#[test]
fn a_plan_is_no_weaker_than_the_legal_one() {
    let weaker = |own: &str, legal: &str| {
        let plan = format!(
            "{PARAMETERS}\nccp c \"C\" at cook {{ limit x {own} {{ required {legal} }} }}\nstep cook \"Cook\" {{ start }}\n"
        );
        let mut sources = bourn::source::Sources::new();
        let id = sources.add(bourn::source::Source::new("plan", plan));
        let reading = bourn::plan::read(&sources, &[id]);
        assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
        let day = "2026-11-25".parse().unwrap();
        let found = bourn::check::check(&reading.plan, day);
        assert!(!found.iter().any(|finding| finding.rule.code == "L242"), "{own} beside {legal} is not compared");
        found.iter().any(|finding| finding.rule.code == "L241")
    };
    let absent = "salmonella absent in 25 g, n 5, c 0";
    assert!(!weaker(absent, absent));
    assert!(!weaker("salmonella absent in 50 g, n 10, c 0", absent));
    assert!(weaker("salmonella absent in 10 g, n 5, c 0", absent));
    assert!(weaker("salmonella absent in 25 g, n 4, c 0", absent));
    assert!(weaker("salmonella absent in 25 g", absent), "one sample alone");
    assert!(weaker("salmonella is not-detected, n 10, c 1", "salmonella is not-detected, n 10, c 0"));
    let bands =
        |edge: &str| format!("count bands {{ good < 20 cfu/g met; fair <= {edge} alert; bad > {edge} not-met }}");
    assert!(!weaker(&bands("50 cfu/g"), &bands("100 cfu/g")));
    assert!(!weaker(&bands("100 cfu/g"), &bands("100 cfu/g")));
    assert!(weaker(&bands("101 cfu/g"), &bands("100 cfu/g")));
}
