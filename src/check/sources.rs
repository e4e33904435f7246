//! Sources of hazards that a regime names: each was looked at, and led to hazards or to a reason why not.

use super::Desk;
use super::hazards::rows;
use crate::finding::{Care, Finding, narrow, nearest};
use crate::plan::{Class, Verb};
use std::collections::BTreeMap;

crate::rules! {
    /// The analysis does not say of every source of hazards which a regime names that it was looked at.
    ///
    /// 9 CFR 417.2(a)(3) names ten, 21 CFR 123.6(c)(1) and 120.7(c) nine each. A source that nobody thought of looks
    /// like one that brings nothing.
    UNCONSIDERED_SOURCE = "H118" "unconsidered-source" Error ["fsis.417.2.a3", "fish.123.6.c1", "juice.120.7.c"];
    /// A source of hazards that no regime names.
    UNKNOWN_SOURCE = "H119" "unknown-source-of-hazards" Error;
    /// Ready-to-eat food lies open before it is packed, and no row looks at what may settle on it.
    NO_ENVIRONMENTAL_PATHOGEN = "H120" "no-environmental-pathogen" Error ["pc.117.130.c1ii"];
    /// A source is said to lead to a hazard that no step or material analyses.
    CONSIDERED_AND_LEFT = "H121" "considered-and-left" Error ["fsis.417.2.a3", "fish.123.6.c1", "juice.120.7.c"];
}

/// The sources that regimes name, in our words.
const SOURCES: &[(&str, &[&str])] = &[
    (
        "us-meat-poultry",
        &[
            "natural-toxins",
            "microbes",
            "chemicals",
            "pesticides",
            "drug-residues",
            "zoonoses",
            "decomposition",
            "parasites",
            "unapproved-additives",
            "physical",
        ],
    ),
    (
        "us-seafood",
        &[
            "natural-toxins",
            "microbes",
            "chemicals",
            "pesticides",
            "drug-residues",
            "decomposition",
            "parasites",
            "unapproved-additives",
            "physical",
        ],
    ),
    (
        "us-juice",
        &[
            "microbes",
            "parasites",
            "chemicals",
            "pesticides",
            "decomposition",
            "natural-toxins",
            "unapproved-additives",
            "undeclared-allergens",
            "physical",
        ],
    ),
];

pub(super) fn check(desk: &mut Desk<'_>) {
    let Some(head) = &desk.plan.head else { return };
    let said: Vec<_> = head.considered.iter().flat_map(|considered| &considered.sources).collect();
    let known: Vec<&str> = {
        let mut all: Vec<&str> = SOURCES.iter().flat_map(|(_, names)| names.iter().copied()).collect();
        all.sort_unstable();
        all.dedup();
        all
    };
    for name in said.iter().filter(|name| !known.contains(&&*name.text)) {
        let finding =
            Finding::at(&UNKNOWN_SOURCE, name.loc, format!("no regime names `{name}` as a source of hazards"));
        desk.findings.push(match nearest(&name.text, known.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
            None => finding.help(format!("the sources are: {}", known.join(", "))),
        });
    }
    // Regimes that lack the same sources are one finding.
    let mut lacking: BTreeMap<Vec<&str>, Vec<&str>> = BTreeMap::new();
    for (regime, names) in SOURCES.iter().filter(|(regime, _)| head.answers_to(regime)) {
        let missing: Vec<&str> = names.iter().copied().filter(|name| !said.iter().any(|one| **one == **name)).collect();
        if !missing.is_empty() {
            lacking.entry(missing).or_default().push(regime);
        }
    }
    for (missing, regimes) in lacking {
        desk.lacks(
            &UNCONSIDERED_SOURCE,
            head.loc,
            "considered",
            format!("the analysis does not say what it found on these sources of hazards: {}", missing.join(", ")),
            "add `considered SOURCE as HAZARD \"why\"`, or without `as` where a source leads to none",
        );
        if let Some(finding) = desk.findings.last_mut() {
            narrow(std::slice::from_mut(finding), &regimes);
        }
    }
    left(desk);
    environment(desk);
}

/// A hazard that a source led to must be in the analysis.
fn left(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let rows = rows(desk);
    let named = plan.head.iter().flat_map(|head| &head.considered).flat_map(|considered| &considered.hazards);
    for hazard in named {
        let analysed = rows.iter().any(|row| row.hazards.contains(hazard));
        if let Some(declared) = plan.hazards.iter().find(|one| one.name == *hazard).filter(|_| !analysed) {
            desk.findings.push(
                Finding::at(
                    &CONSIDERED_AND_LEFT,
                    hazard.loc,
                    format!("a source led to `{hazard}`, and no step or material analyses it"),
                )
                .also(declared.loc, "declared here")
                .help("add a row for it to the step or material where it arises"),
            );
        }
    }
}

fn environment(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let Some(head) = &plan.head else { return };
    let open = head.concerned("exposed-before-packing");
    let asked = head.answers_to("us-preventive-controls");
    let (Some(open), true) = (open, asked) else { return };
    let biological = |name: &crate::plan::Name| {
        plan.hazards.iter().any(|hazard| hazard.name == *name && hazard.class == Some(Class::Biological))
    };
    let settles = plan
        .steps
        .iter()
        .flat_map(|step| &step.analysis.rows)
        .any(|row| row.verb == Verb::Introduced && row.hazards.iter().any(biological));
    if !settles && plan.broken.is_empty() {
        desk.say(
            Finding::at(
                &NO_ENVIRONMENTAL_PATHOGEN,
                open.loc,
                "food lies open before it is packed, and no step has a row for a pathogen that is introduced there",
            )
            .help("add `hazard PATHOGEN introduced { … }` to the step where the food lies open, and judge it"),
        );
    }
}
