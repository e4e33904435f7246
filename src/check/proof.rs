//! Proof: verification, validation, and the studies and publications they rest on.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Citable, Control, SupportKind, Validated};

crate::rules! {
    /// A CCP without verification.
    CCP_WITHOUT_VERIFICATION = "P101" "ccp-without-verification" Error ["codex.verify", "fsis.417.2.c7", "fish.123.6.c6", "juice.120.8.b6", "pc.117.155", "eu.852.5.2f"];
    /// A CCP without validation.
    CCP_WITHOUT_VALIDATION = "P102" "ccp-without-validation" Error ["codex.validate", "codex.limit.validated", "fsis.417.4.a1", "juice.120.8.b6", "juice.120.11.b", "pc.117.160.b1", "fsis.417.5.a2", "pc.117.160.a", "fsis.430.4.plt.valid", "fsis.430.4.c4"];
    /// A validation without scientific or technical support.
    NO_SCIENCE = "P103" "validation-without-science" Error ["codex.limit.validated", "fsis.417.5.a2", "pc.117.160.a"];
    /// A validation without data from the plant itself.
    NO_TRIAL = "P104" "validation-without-trial" Warning;
    /// A validation after the day from which the plan is in force.
    LATE_VALIDATION = "P105" "late-validation" Error ["codex.validate", "fsis.417.4.a1", "juice.120.8.b6", "juice.120.11.b", "pc.117.160.b1"];
    /// The role that monitors also reviews what it has monitored.
    SELF_REVIEW = "P106" "self-review" Warning ["codex.verify.indep", "fsis.417.5.c.who"];
    /// Evidence that is younger than the validation that rests on it.
    YOUNGER_EVIDENCE = "P107" "younger-evidence" Warning;
    /// A CCP whose records nobody reviews.
    NO_RECORD_REVIEW = "P108" "no-record-review" Error ["codex.monitor.review", "fsis.417.4.a2iii"];
    /// A CCP whose monitoring nobody observes.
    NO_OBSERVATION = "P109" "no-observation" Warning;
    /// A CCP whose monitoring nobody observes, under a rule that asks for it.
    UNOBSERVED_MONITORING = "P119" "unobserved-monitoring" Error ["fsis.417.4.a2ii"];
    /// A verification that is written down nowhere.
    UNRECORDED_VERIFICATION = "P110" "unrecorded-verification" Warning;
    /// A study without its date, file or finding.
    INCOMPLETE_STUDY = "P111" "incomplete-study" Warning;
    /// A publication without its publisher or edition.
    INCOMPLETE_SOURCE = "P112" "incomplete-source" Warning;
    /// A validation rests on a publication where a study of the plant must stand.
    TRIAL_IS_NO_STUDY = "P113" "trial-is-no-study" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in plan.ccps() {
        verification(desk, control);
        if control.validated.is_empty() {
            desk.lacks(
                &CCP_WITHOUT_VALIDATION,
                control.loc,
                "validated",
                format!("`{}` is not validated", control.name),
                "add `validated DATE science STUDY, in-plant STUDY`",
            );
        }
    }
    for control in &plan.controls {
        self_review(desk, control);
        for validated in &control.validated {
            validation(desk, control, validated);
        }
        for verify in &control.verify {
            if verify.record.is_none() {
                desk.say(
                    Finding::at(
                        &UNRECORDED_VERIFICATION,
                        verify.loc,
                        format!("`{}` of `{}` is written down nowhere", verify.activity, control.name),
                    )
                    .help("add `on RECORD`"),
                );
            }
        }
    }
    for study in &plan.studies {
        let parts =
            [(study.date.is_none(), "date"), (study.place.is_none(), "file"), (study.finding.is_none(), "finding")];
        incomplete(desk, study, &parts, &INCOMPLETE_STUDY);
    }
    for source in &plan.sources {
        incomplete(
            desk,
            source,
            &[(source.publisher.is_none(), "publisher"), (source.edition.is_none(), "edition")],
            &INCOMPLETE_SOURCE,
        );
    }
}

fn incomplete(desk: &mut Desk<'_>, thing: &Citable, parts: &[(bool, &str)], rule: &'static crate::finding::Rule) {
    for (missing, word) in parts {
        if *missing {
            desk.lacks(
                rule,
                thing.loc,
                word,
                format!("the {word} of `{}` is not said", thing.name),
                format!("add `{word}`"),
            );
        }
    }
}

fn verification(desk: &mut Desk<'_>, control: &Control) {
    if control.verify.is_empty() {
        desk.lacks(
            &CCP_WITHOUT_VERIFICATION,
            control.loc,
            "verify",
            format!("`{}` is not verified", control.name),
            "add `verify record-review within 7 days by ROLE on RECORD` and `verify direct-observation every 1 month by ROLE on RECORD`",
        );
        return;
    }
    let asked = desk.plan.regimes().contains(&"us-meat-poultry");
    let observation = if asked { &UNOBSERVED_MONITORING } else { &NO_OBSERVATION };
    for (rule, activity, what, help) in [
        (
            &NO_RECORD_REVIEW,
            "record-review",
            "nobody reviews the records of",
            "add `verify record-review within 7 days by ROLE on RECORD`",
        ),
        (
            observation,
            "direct-observation",
            "nobody observes the monitoring of",
            "add `verify direct-observation every 1 month by ROLE on RECORD`",
        ),
    ] {
        if control.verify.iter().any(|verify| verify.activity.text == activity) {
            continue;
        }
        let mut finding = Finding::at(rule, control.loc, format!("{what} `{}`", control.name)).help(help);
        if let Some(other) = control.verify.first() {
            finding = finding.also(other.loc, "its other verification");
        }
        desk.say(finding);
    }
}

fn self_review(desk: &mut Desk<'_>, control: &Control) {
    for verify in &control.verify {
        if let Some(monitor) = control.monitors.iter().find(|monitor| monitor.by == verify.by) {
            desk.say(
                Finding::at(
                    &SELF_REVIEW,
                    verify.by.loc,
                    format!("`{}` monitors `{}` and verifies it too", verify.by, control.name),
                )
                .also(monitor.by.loc, "monitors here")
                .help("let another role verify what this one has recorded"),
            );
        }
    }
}

fn validation(desk: &mut Desk<'_>, control: &Control, validated: &Validated) {
    let plan = desk.plan;
    let has = |kind| validated.support.iter().any(|(support, _)| *support == kind);
    if !has(SupportKind::Science) {
        desk.say(
            Finding::at(&NO_SCIENCE, validated.loc, format!("the validation of `{}` names no scientific support", control.name))
                .help("add `science STUDY`: a study, a guideline or a regulation that shows that the limits control the hazard"),
        );
    }
    if !has(SupportKind::InPlant) {
        desk.say(
            Finding::at(
                &NO_TRIAL,
                validated.loc,
                format!("the validation of `{}` names no data from the plant itself", control.name),
            )
            .help("add `in-plant STUDY`: a trial that shows that this plant meets the limits"),
        );
    }
    for (kind, name) in &validated.support {
        if *kind == SupportKind::InPlant
            && let Some(source) = plan.sources.iter().find(|source| source.name == *name)
        {
            desk.say(
                Finding::at(
                    &TRIAL_IS_NO_STUDY,
                    name.loc,
                    format!("`{name}` is a publication, and stands where a trial of this plant must"),
                )
                .also(source.loc, "declared here")
                .help("name a `study` of this plant"),
            );
        }
    }
    let Some(date) = validated.date else { return };
    if date > desk.on {
        desk.say(
            Finding::at(
                &LATE_VALIDATION,
                validated.loc,
                format!("`{}` was validated on {date}, which lies after {}", control.name, desk.on),
            )
            .help("check the date; a plan is validated before it is used"),
        );
    }
    if let Some(head) = &plan.head
        && let Some(from) = &head.in_force
        && control.validated.iter().filter_map(|other| other.date).all(|other| other > from.value)
        && date <= desk.on
    {
        desk.say(
            Finding::at(
                &LATE_VALIDATION,
                validated.loc,
                format!("`{}` was validated on {date}, and the plan is in force from {}", control.name, from.value),
            )
            .also(from.loc, "in force from this day")
            .help("a plan is validated before it is used; check both dates"),
        );
    }
    for (_, name) in &validated.support {
        let study = plan.studies.iter().find(|study| study.name == *name);
        if let Some(study) = study
            && let Some(said) = &study.date
            && let Some(made) = said.value
            && made > date
        {
            desk.say(
                Finding::at(
                    &YOUNGER_EVIDENCE,
                    validated.loc,
                    format!(
                        "the validation of `{}` on {date} rests on `{name}`, which dates from {made}",
                        control.name
                    ),
                )
                .also(said.loc, "the date of the study")
                .help("check both dates, or validate anew with the later evidence"),
            );
        }
    }
}
