//! Blank record forms: every sheet that the plan asks for, with its limits, and the fields that the rules want.

use crate::{GOOSE, UNSIGNED, day, read};
use bourn::document::forms::forms;
use bourn::document::{Order, Paper};
use bourn::plan::LimitKind;

/// The sheets: heading and the rest of each, as HTML.
fn sheets(text: &str) -> Vec<(String, String)> {
    let plan = read(text);
    let order = Order {
        plan: &plan.plan,
        sources: &plan.sources,
        findings: &plan.findings,
        on: day(),
        signing: Some(&UNSIGNED),
        paper: Paper::A4,
    };
    let html = forms(&order).unwrap().replace("&#x2f;", "/");
    html.split("<section id=")
        .skip(1)
        .map(|sheet| {
            let head = sheet.split("</h2>").next().unwrap();
            (head.split("</span> ").last().unwrap().to_owned(), sheet.to_owned())
        })
        .collect()
}

fn escaped(text: &str) -> String {
    text.replace('<', "&lt;").replace('>', "&gt;")
}

#[test]
fn a_sheet_for_every_control_and_record_with_its_limits() {
    let all = sheets(GOOSE);
    let titles: Vec<&str> = all.iter().map(|(title, _)| title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "CCP 1 Lethality: Cook record",
            "CCP 2 Cooling: Chill record",
            "CCP 3 Water activity: Laboratory record",
            "CCP 4 Gas in the tray: Packing record",
            "CCP 5 Metal detection: Packing record",
            "CCP 6 Cold storage: Store record",
            "CCP 1 Lethality: corrective action",
            "CCP 2 Cooling: corrective action",
            "CCP 3 Water activity: corrective action",
            "CCP 4 Gas in the tray: corrective action",
            "CCP 5 Metal detection: corrective action",
            "CCP 6 Cold storage: corrective action",
            "Unforeseen deviation",
            "Calibration record",
            "CCP 1 Lethality: verification",
            "CCP 2 Cooling: verification",
            "CCP 3 Water activity: verification",
            "CCP 4 Gas in the tray: verification",
            "CCP 5 Metal detection: verification",
            "CCP 6 Cold storage: verification",
            "Review before shipping",
        ]
    );
    let plan = read(GOOSE).plan;
    for control in &plan.controls {
        let title = control.title.as_deref().unwrap();
        for limit in control.limits.iter().filter(|limit| limit.kind == LimitKind::Critical) {
            let symbols = escaped(&limit.symbols());
            let on = all.iter().filter(|(head, sheet)| head.contains(title) && sheet.contains(&symbols));
            assert!(on.count() >= 2, "{symbols} on a monitoring and a corrective-action sheet");
        }
    }
    let calibration = &all[13].1;
    for instrument in plan.instruments.iter().filter(|one| one.calibration.is_some()) {
        assert!(calibration.contains(instrument.title.as_deref().unwrap()), "{}", instrument.name);
    }
}

/// What 9 CFR 417.5(a)(3) and (b), and 21 CFR 117.305(f), ask of a record of monitoring.
#[test]
fn every_sheet_has_the_fields_that_the_rules_want() {
    for (title, sheet) in sheets(GOOSE) {
        for field in ["Establishment", "Harrowmere Smokehouse", "Product", "Smoked goose breast slices", "Date"] {
            assert!(sheet.contains(field), "{title}: {field}");
        }
        assert!(sheet.contains("Initials") || sheet.contains("Signature") || sheet.contains("ecided by"), "{title}");
        if !title.starts_with("Review") {
            assert!(sheet.contains("Reviewed by"), "{title}");
        }
    }
    let (_, cook) = &sheets(GOOSE)[0];
    for column in ["Time", "Lot", "Core of the thickest breast, °C", "Instrument", "Met? yes / no", "Initials"] {
        assert!(cook.contains(&format!("<th scope=\"col\">{column}</th>")), "{column}");
    }
    assert!(cook.matches("<tr>").count() > 8, "rows to write in");
}

#[test]
fn answers_stand_over_their_column_and_a_parameter_has_one_column() {
    let all = sheets(include_str!("../../plans/cured-cooked-ham.haccp"));
    let (_, detector) = all.iter().find(|(title, _)| title.contains("Metal detection: Packing")).unwrap();
    assert_eq!(detector.matches("<th scope=\"col\">Ferrous").count(), 1);
    assert!(detector.contains("rejected / passed"), "{detector}");
}

#[test]
fn a_plan_without_controls_still_has_the_general_sheets() {
    let titles: Vec<String> = sheets("plan p \"P\" { time-zone UTC }\n").into_iter().map(|(title, _)| title).collect();
    assert_eq!(titles, ["Unforeseen deviation", "Review before shipping"]);
}
