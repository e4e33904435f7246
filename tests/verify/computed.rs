//! Computed parameters: formulas with several terms, formulas of computed parameters, results of samples.

use super::scene::{Scene, minutely};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};

const COMPUTED: &str = "parameter air \"Air\" { unit °C }
parameter gap \"Gap\" { unit °C; from air - core; pairing within 10 s }
parameter half \"Share of the air\" { unit %; from gap / (gap + air); pairing within 10 s }";

fn traced(limit: &str, air: &[&str]) -> Verdict {
    let mut scene = Scene::new(limit, &[]);
    scene.more = COMPUTED;
    scene.files[0].1 = minutely(&["60"; 11]);
    let body: String = minutely(air).iter().map(|(at, value)| format!("2026-10-05 {at},L1,{value}\n")).collect();
    let mapping = "  - files: [air.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }\n    lot: Lot\n    columns:\n      Air: { parameter: air, unit: °C }\n";
    scene.also_monitored = "monitor air continuously step 1 min by worker on cook-record";
    scene.verification(&[("air.csv", &format!("Time,Lot,Air\n{body}"))], mapping).lots[0].limits[0].verdict
}

#[test]
fn a_formula_of_a_computed_parameter_is_computed_through_the_whole() {
    // Air 80, core 60: gap 20, and 20 / (20 + 80) is 20 %.
    assert_eq!(traced("x gap between 19.9 °C and 20.1 °C", &["80"; 11]), Met);
    assert_eq!(traced("x half between 19.9 % and 20.1 %", &["80"; 11]), Met);
    assert_eq!(traced("x half <= 19.9 %", &["80"; 11]), NotMet);
    assert_eq!(traced("x half >= 20.1 %", &["80"; 11]), NotMet);
    // Air 60: gap nought.
    assert_eq!(traced("x half <= 0.1 %", &["60"; 11]), Met);
}

fn sampled(limit: &str, rows: &[(&str, &str, &str)]) -> Verdict {
    let scene = Scene {
        files: vec![],
        more: "parameter salt \"Salt\" { unit % }
parameter moisture \"Moisture\" { unit % }
parameter water-phase-salt \"Salt in the water phase\" { unit %; from salt / (salt + moisture); pairing within 1 h }",
        also_monitored: "monitor salt, moisture each lot by worker on cook-record",
        ..Scene::new(limit, &[])
    };
    let rows: String = rows
        .iter()
        .map(|(sample, salt, moisture)| format!("L1,{sample},2026-10-06 09:00,{salt},{moisture}\n"))
        .collect();
    let text = format!("Lot,Sample,Time,Salt,Moisture\n{rows}");
    let mapping = "samples:\n  - files: [lab.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    sample: Sample\n    missing: [\"\"]\n    columns:\n      Salt: { parameter: salt, unit: \"%\" }\n      Moisture: { parameter: moisture, unit: \"%\" }\n";
    scene.verification(&[("lab.csv", &text)], mapping).lots[0].limits[0].verdict
}

#[test]
fn salt_in_the_water_phase_is_computed_sample_by_sample() {
    let limit = "x water-phase-salt >= 3.5 % in every sample, at least 2 per lot";
    // 3 / (3 + 77) is 3.75 %; 3 / (3 + 97) is 3 %.
    assert_eq!(sampled(limit, &[("1", "3", "77"), ("2", "3", "77")]), Met);
    assert_eq!(sampled(limit, &[("1", "3", "77"), ("2", "3", "97")]), NotMet);
    assert_eq!(sampled(limit, &[("1", "3", "77")]), NotShown);
    // Moisture of the second sample is not on record: its computed value is not known.
    assert_eq!(sampled(limit, &[("1", "3", "77"), ("2", "3", "")]), NotShown);
    assert_eq!(sampled("x water-phase-salt >= 3.5 % in every sample", &[("1", "3", "77"), ("2", "3", "")]), NotShown);
    // A result that is only known to lie below a figure has no lower end, and a formula of it none at all.
    assert_eq!(sampled("x water-phase-salt >= 3.5 % in every sample", &[("1", "<3", "77")]), NotShown);
}

fn codes(text: &str) -> Vec<&'static str> {
    let mut sources = Sources::new();
    let id = sources.add(Source::new("plan", text.to_owned()));
    plan::read(&sources, &[id]).findings.iter().map(|finding| finding.rule.code).collect()
}

/// So many times an amount, as strips on a rod times rods on a rack. Tests in `trade.rs` judge records by it.
#[test]
fn a_product_is_so_many_times_an_amount() {
    let plan = |left: &str, right: &str, own: &str, formula: &str| {
        format!(
            "parameter a {{ unit {left} }}\nparameter b {{ unit {right} }}\nparameter c {{ unit {own}; from {formula} }}\nccp d \"D\" {{\n  limit x c <= 3000 {own}\n}}\n"
        )
    };
    let fits = |left: &str, right: &str, own: &str| !codes(&plan(left, right, own, "a * b")).contains(&"Q201");
    assert!(fits("pieces", "number", "pieces") && fits("number", "pieces", "pieces") && fits("kg", "number", "g"));
    assert!(!fits("pieces", "pieces", "pieces"), "no square pieces");
    assert!(!fits("pieces", "number", "kg"), "pieces are no mass");
    assert!(!fits("°C", "number", "°C"), "twice 30 °C is not 60 °C");
    // Products before sums, from left to right, and brackets kept where they change the value.
    let typed = |formula: &str| {
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", plan("number", "number", "number", formula)));
        let read = plan::read(&sources, &[id]).plan;
        match &read.parameters.iter().find(|one| one.name.text == "c").unwrap().formula {
            Some(plan::Formula::Arithmetic(expression)) => expression.symbols(),
            other => panic!("{other:?}"),
        }
    };
    for formula in ["a + b * a", "(a + b) * a", "a * (b - a)", "a * b / a", "a / (b * a)"] {
        assert_eq!(typed(formula), formula);
    }
}

#[test]
fn a_difference_of_temperatures_keeps_its_own_unit() {
    let plan = |limit: &str| {
        format!("parameter air {{ unit °C }}\nparameter core {{ unit °C }}\nccp c \"C\" {{\n  limit x {limit}\n}}\n")
    };
    // Five degrees Fahrenheit are no point here, and would be read as -15 °C.
    assert!(codes(&plan("air - core <= 5 °F")).contains(&"Q201"));
    assert!(!codes(&plan("air - core <= 5 °C")).contains(&"Q201"));
    assert!(!codes(&plan("air <= core + 5 °F")).contains(&"Q201"));
}

#[test]
fn a_pairing_is_stated_where_two_parameters_stand_side_by_side() {
    let plan = |one: &str, two: &str| {
        format!(
            "parameter air {{ unit °C }}\nparameter core {{ unit °C }}\nccp c \"C\" {{\n  limit a core <= air {{ pairing within {one} }}\n  limit b core >= air - 9 °C {{ pairing within {two} }}\n}}\n"
        )
    };
    assert!(codes(&plan("5 s", "9 s")).contains(&"L110"));
    assert!(!codes(&plan("5 s", "5 s")).contains(&"L110"));

    // The air is read half a minute after the core each time.
    let judged = |limit: &str| {
        let mut scene = Scene::new(limit, &[]);
        scene.more = "parameter air \"Air\" { unit °C }";
        scene.files[0].1 = minutely(&["60"; 11]);
        let body: String =
            minutely(&["70"; 11]).iter().map(|(at, value)| format!("2026-10-05 {},L1,{value}\n", late(at))).collect();
        let mapping = "  - files: [air.csv]\n    record: cook-record\n    time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }\n    lot: Lot\n    columns:\n      Air: { parameter: air, unit: °C }\n";
        scene.also_monitored = "monitor air continuously step 1 min by worker on cook-record";
        scene.verification(&[("air.csv", &format!("Time,Lot,Air\n{body}"))], mapping).lots[0].limits[0].verdict
    };
    assert_eq!(judged("x core <= air { pairing within 30 s }"), Met);
    assert_eq!(judged("x core <= air { pairing within 20 s }"), NotShown);
    assert_eq!(judged("x core - air <= 0 °C { pairing within 20 s }"), NotShown);
}

/// Half a minute later.
fn late(at: &str) -> String {
    at.strip_suffix("00").map_or_else(|| at.to_owned(), |minute| format!("{minute}30"))
}
