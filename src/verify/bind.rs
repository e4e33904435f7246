//! Do the names in the mapping and the records stand for things of the plan?

use crate::finding::{Finding, nearest};
use crate::log::Records;
use crate::plan::Plan;
use crate::source::{Cell, Place};
use std::collections::BTreeSet;

crate::rules! {
    /// The mapping names something that the plan does not have.
    ///
    /// Readings under an unknown name are held against nothing.
    UNKNOWN_TO_PLAN = "V101" "unknown-to-the-plan" Error;
    /// A column is in a unit that cannot measure its parameter.
    UNIT_OF_OTHER_KIND = "V102" "unit-of-another-kind" Error;
    /// A parameter with a limit has no reading, check or sample at all in the records.
    ///
    /// Every verdict on it is *not shown*.
    NEVER_RECORDED = "V103" "never-recorded" Warning;
    /// The records hold no calibrations.
    ///
    /// Every result of an instrument with a calibration duty is then in question: nothing that it measured is shown.
    NO_CALIBRATIONS = "V104" "no-calibrations" Warning ["codex.verify", "fsis.417.2.c7", "fish.123.6.c6", "juice.120.8.b6", "pc.117.155", "eu.852.5.2f"];
    /// An answer in the mapping that the parameter of the plan does not have.
    UNKNOWN_ANSWER = "V105" "answer-unknown-to-the-plan" Error;
    /// The register of lots is missing or empty, so there is no lot to verify.
    NO_LOTS = "V106" "no-lots" Error;
    /// An event that ends a stage is recorded before the event that begins it.
    ///
    /// A record that contradicts itself shows nothing.
    REVERSED_STAGE = "V107" "stage-reversed" Warning;
    /// Lots are made of several loads, and a limit does not say whether each load must meet it.
    ///
    /// Over the whole lot, a hold in one load would count for the others.
    LOADS_TOGETHER = "V108" "loads-judged-together" Warning;
}

/// Checks the records' names against the plan.
pub(super) fn check(plan: &Plan, records: &Records, findings: &mut Vec<Finding>) {
    let mut seen = BTreeSet::new();
    let mut unknown = |kind: &str, name: &str, known: Vec<&str>, findings: &mut Vec<Finding>| {
        if known.contains(&name) || !seen.insert((kind.to_owned(), name.to_owned())) {
            return;
        }
        let finding = Finding::new(
            &UNKNOWN_TO_PLAN,
            Place::Named("mapping".to_owned()),
            format!("the plan has no {kind} called `{name}`"),
        );
        findings.push(match nearest(name, known.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => finding.help(format!("the plan has: {}", known.join(", "))),
        });
    };
    let parameters: Vec<&str> = plan.parameters.iter().map(|thing| thing.name.text.as_str()).collect();
    let instruments: Vec<&str> = plan.instruments.iter().map(|thing| thing.name.text.as_str()).collect();
    let kinds: Vec<&str> = plan.records.iter().map(|thing| thing.name.text.as_str()).collect();
    let events: Vec<&str> = plan.events.iter().map(|thing| thing.name.text.as_str()).collect();
    // An export may name a product by its title.
    let titles = plan.products.iter().filter_map(|thing| thing.title.as_deref());
    let products: Vec<&str> = plan.products.iter().map(|thing| thing.name.text.as_str()).chain(titles).collect();
    for file in &records.files {
        unknown("record", &file.record, kinds.clone(), findings);
    }
    for channel in &records.channels {
        unknown("parameter", &channel.parameter, parameters.clone(), findings);
        if let Some(instrument) = &channel.instrument {
            unknown("instrument", instrument, instruments.clone(), findings);
        }
        let Some(parameter) = plan.parameter(&channel.parameter) else { continue };
        if let Some(probe) = &channel.probe {
            let probes: Vec<&str> = parameter.probes.iter().map(|name| name.text.as_str()).collect();
            if !probes.is_empty() {
                unknown(&format!("probe of `{}`", channel.parameter), probe, probes, findings);
            }
        }
    }
    for sample in &records.samples {
        unknown("parameter", &sample.parameter, parameters.clone(), findings);
        if let Some(instrument) = &sample.instrument {
            unknown("instrument", instrument, instruments.clone(), findings);
        }
    }
    for check in &records.checks {
        unknown("parameter", &check.parameter, parameters.clone(), findings);
    }
    let answers = records.checks.iter().map(|check| (&check.parameter, &check.answer, &check.cell));
    let tested = records.samples.iter().map(|sample| (&sample.parameter, &sample.answer, &sample.cell));
    for (name, answer, cell) in answers.chain(tested) {
        if let (Some(parameter), Some(answer)) = (plan.parameter(name), answer)
            && !parameter.answers.iter().any(|name| name.text == *answer)
            && seen_answer(findings, name, answer)
        {
            let list: Vec<&str> = parameter.answers.iter().map(|name| name.text.as_str()).collect();
            let message = format!("`{answer}` is no answer of `{name}` in the plan");
            findings.push(
                Finding::new(&UNKNOWN_ANSWER, Place::Cell(cell.clone()), message)
                    .help(format!("its answers are: {}", list.join(", "))),
            );
        }
    }
    for lot in &records.lots {
        for event in &lot.events {
            unknown("event", &event.event, events.clone(), findings);
        }
        if let Some(product) = &lot.product {
            unknown("product", product, products.clone(), findings);
        }
        if lot.loads.is_empty() {
            facts(plan, lot, findings);
            reversed(plan, lot, findings);
        }
        for load in &lot.loads {
            facts(plan, load, findings);
            reversed(plan, load, findings);
        }
    }
    for calibration in &records.calibrations {
        unknown("instrument", &calibration.instrument, instruments.clone(), findings);
    }
    units(plan, records, findings);
    together(plan, records, findings);
    if records.lots.is_empty() {
        let finding = Finding::new(
            &NO_LOTS,
            Place::Named("records".to_owned()),
            "no lot is registered, so there is nothing to verify",
        );
        findings.push(finding.help("give the register of lots under `lots` in the mapping"));
    }
    if records.calibrations.is_empty() && plan.instruments.iter().any(|instrument| instrument.calibration.is_some()) {
        let finding = Finding::new(
            &NO_CALIBRATIONS,
            Place::Named("records".to_owned()),
            "the records hold no calibration of any instrument",
        );
        let mut finding = finding.help("give the calibration record under `calibrations` in the mapping");
        crate::finding::narrow(std::slice::from_mut(&mut finding), &plan.regimes());
        findings.push(finding);
    }
}

/// Facts that say nothing, since the plan does not know the answer or the cell holds no number.
fn facts(plan: &Plan, lot: &crate::log::Lot, findings: &mut Vec<Finding>) {
    for (fact, said) in &lot.facts {
        let Some(parameter) = plan.parameter(fact) else { continue };
        let list: Vec<&str> = parameter.answers.iter().map(|name| name.text.as_str()).collect();
        if list.contains(&said.as_str()) || (list.is_empty() && lot.numbers.contains_key(fact)) {
            continue;
        }
        let (message, help) = if list.is_empty() {
            let unit = parameter.unit.as_ref().map_or("its unit", |unit| unit.value.symbol);
            (
                format!("`{said}` is no number, and `{fact}` is one in the plan"),
                format!("write the number in {unit}, without the unit"),
            )
        } else {
            (format!("`{said}` is no answer of `{fact}` in the plan"), format!("its answers are: {}", list.join(", ")))
        };
        if !findings.iter().any(|finding| finding.message == message) {
            findings.push(Finding::new(&UNKNOWN_ANSWER, Place::Cell(lot.cell.clone()), message).help(help));
        }
    }
}

fn seen_answer(findings: &[Finding], parameter: &str, answer: &str) -> bool {
    let message = format!("`{answer}` is no answer of `{parameter}` in the plan");
    !findings.iter().any(|finding| finding.message == message)
}

fn reversed(plan: &Plan, lot: &crate::log::Lot, findings: &mut Vec<Finding>) {
    for stage in plan.steps.iter().flat_map(|step| &step.stages) {
        if let (Some(from), Some((name, to))) =
            (lot.event(&stage.from.text), stage.ends_at().and_then(|name| Some((name, lot.event(&name.text)?))))
            && to.at < from.at
        {
            let message = format!("lot `{}`: `{}` is recorded before `{}`", lot.code, name, stage.from);
            findings.push(
                Finding::new(&REVERSED_STAGE, Place::Cell(to.cell.clone()), message)
                    .with(Place::Cell(from.cell.clone()), "the stage begins here")
                    .help("correct the record by the plant's own rule for corrections; until then the stage shows nothing"),
            );
        }
    }
}

/// Lots of several loads, and limits on which the plan does not say whether each load must meet them.
fn together(plan: &Plan, records: &Records, findings: &mut Vec<Finding>) {
    let Some(lot) = records.lots.iter().find(|lot| lot.loads.len() > 1) else { return };
    for limit in plan.controls.iter().flat_map(|control| &control.limits) {
        if limit.shape.judged.is_none() && !limit.on_samples() {
            let message = format!(
                "lot `{}` is made of several loads, and `{}` is judged over the whole lot: time in one load counts for all",
                lot.code, limit.name
            );
            let finding = Finding::new(&LOADS_TOGETHER, Place::Cell(lot.cell.clone()), message);
            findings.push(
                finding
                    .also(limit.loc, "the limit")
                    .help("say `judged per load` in its block, or `judged per lot` if that is meant"),
            );
        }
    }
}

fn units(plan: &Plan, records: &Records, findings: &mut Vec<Finding>) {
    let pairs = records
        .channels
        .iter()
        .map(|channel| (channel.parameter.as_str(), channel.unit, channel.record.as_str()))
        .chain(
            records
                .samples
                .iter()
                .filter_map(|sample| Some((sample.parameter.as_str(), sample.unit?, sample.record.as_str()))),
        );
    let mut seen = BTreeSet::new();
    let mut recorded: BTreeSet<&str> = records.checks.iter().map(|check| check.parameter.as_str()).collect();
    recorded.extend(records.samples.iter().map(|sample| sample.parameter.as_str()));
    for (parameter, unit, record) in pairs {
        recorded.insert(parameter);
        if let Some(declared) = plan.parameter(parameter).and_then(|parameter| parameter.unit.as_ref())
            && declared.value.dimension != unit.dimension
            && seen.insert((parameter, unit.symbol, record))
        {
            let message = format!(
                "`{parameter}` is {} in the plan and is recorded in {}",
                declared.value.dimension.word(),
                unit.symbol
            );
            findings.push(
                Finding::new(&UNIT_OF_OTHER_KIND, Place::Named(format!("mapping of {record}")), message)
                    .also(declared.loc, "declared here")
                    .help("correct the unit of the column in the mapping, or the parameter it is mapped to"),
            );
        }
    }
    for control in &plan.controls {
        for limit in &control.limits {
            for name in limit.parameters() {
                let Some(parameter) = plan.parameter(&name.text) else { continue };
                let inputs = plan.rests_on(parameter, &|name| recorded.contains(name.text.as_str()));
                let inputs: Vec<&str> = inputs.into_iter().map(|input| input.text.as_str()).collect();
                for input in inputs {
                    if recorded.insert(input) {
                        let message = format!(
                            "`{input}` is recorded nowhere, and `{}` of `{}` needs it",
                            limit.name, control.name
                        );
                        let place = Place::Cell(Cell::default());
                        let finding = Finding::new(&NEVER_RECORDED, place, message).also(limit.loc, "the limit");
                        findings.push(finding.help("map the column that holds it"));
                    }
                }
            }
        }
    }
}
