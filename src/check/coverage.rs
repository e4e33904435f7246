//! Clause by clause: does it apply, what in the plan meets it, what is missing, where must a person look.

pub use super::clauses::UNANSWERED_TOPIC;
use super::signing::{Signing, State};
use super::{limits, monitoring, proof, response, review, shown};
use crate::clause::{By, Clause, clauses, topics};
use crate::finding::{Finding, Rule, Severity};
use crate::plan::{ControlKind, Name, Plan, Said};
use crate::source::Loc;
use std::collections::HashSet;

/// Whether a clause applies to a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Applies {
    /// It does.
    Yes,
    /// The plan shows that it does not.
    No,
    /// The plan says that it does not.
    SaidNot,
    /// The plan was to say, and does not.
    Unsaid,
}

/// Something in a plan, with the word that says what it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// Such as `programme cleaning` or `revision 4`.
    pub words: String,
    /// Where it stands.
    pub loc: Loc,
}

/// How a plan stands to one clause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// Met, as far as the text of the plan can show, by these.
    Met(Vec<Thing>),
    /// Not met: codes of the findings.
    Missing(Vec<&'static str>),
    /// A person must look; the plan may point at these.
    Person(Vec<Thing>),
    /// By the signatures kept with the plan: whether it is signed, in two or three words, and by whom.
    SignOff(&'static str, String),
    /// Whether it applies hangs on a topic of which the plan says nothing: its name and question.
    Unsaid(&'static str, &'static str),
    /// It does not apply, for this reason.
    DoesNotApply(String),
}

/// One clause of a regime in force, and how the plan stands to it.
#[derive(Debug, Clone)]
pub struct Line {
    /// The clause.
    pub clause: &'static Clause,
    /// How the plan stands.
    pub standing: Standing,
}

/// Whether a regime that the plan names holds the clause.
#[must_use]
pub fn in_force(plan: &Plan, clause: &Clause) -> bool {
    clause.of_any(&plan.regimes())
}

/// Whether the clause applies to the plan.
#[must_use]
pub fn applies(plan: &Plan, clause: &Clause) -> Applies {
    if topics().iter().any(|topic| topic.name == clause.when) {
        let Some(head) = &plan.head else { return Applies::Unsaid };
        return if head.concerns.iter().any(|name| name == clause.when) {
            Applies::Yes
        } else if head.not_concerned.iter().any(|(name, _)| name == clause.when) {
            Applies::SaidNot
        } else {
            Applies::Unsaid
        };
    }
    if shows(plan, clause.when) { Applies::Yes } else { Applies::No }
}

/// Conditions that a plan shows of itself.
pub const SHOWN: &[(&str, &str)] = &[
    ("always", ""),
    ("ccp", "the plan has no CCP"),
    ("significant", "no hazard is significant"),
    ("no-significant", "a hazard is significant"),
    ("programme-control", "no significant hazard is left to a programme"),
    ("programme-relied", "no decision relies on a programme"),
    ("several-products", "the plan covers one product"),
    ("look", "no limit is judged by answers"),
    ("instrument", "no instrument is used"),
    ("allergen", "no allergen is named"),
    ("shared-equipment", "no equipment carries an allergen"),
    ("operational", "there is no operational prerequisite"),
];

fn shows(plan: &Plan, when: &str) -> bool {
    let rows = || {
        let analyses = plan.materials.iter().map(|material| &material.analysis);
        analyses.chain(plan.steps.iter().map(|step| &step.analysis)).flat_map(|analysis| &analysis.rows)
    };
    let significant = || rows().any(|row| row.significance.as_ref().is_some_and(|said| said.significant));
    match when {
        "ccp" => plan.ccps().next().is_some(),
        "significant" => significant(),
        "no-significant" => !significant(),
        "programme-control" => {
            rows().any(|row| row.controls.iter().any(|(name, _)| plan.programme(&name.text).is_some()))
        }
        "programme-relied" => {
            rows().any(|row| row.significance.as_ref().is_some_and(|said| !said.relies_on.is_empty()))
        }
        "several-products" => plan.products.len() > 1,
        "look" => plan.parameters.iter().any(|parameter| !parameter.answers.is_empty()),
        "instrument" => !plan.instruments.is_empty(),
        "allergen" => plan.materials.iter().any(|material| carries(&material.allergens)),
        "shared-equipment" => plan.equipment.iter().any(|equipment| carries(&equipment.allergens)),
        "operational" => plan.controls.iter().any(|control| control.kind == Some(ControlKind::OperationalPrerequisite)),
        _ => true,
    }
}

fn carries(allergens: &Option<Said<Vec<Name>>>) -> bool {
    allergens.as_ref().is_some_and(|said| !said.value.is_empty())
}

/// Every clause of the regimes in force, in the order of the data. The findings are those of [`super::check`] and of
/// reading the plan; the signatures are those kept beside the plan, where somebody looked.
#[must_use]
pub fn coverage(plan: &Plan, findings: &[Finding], signing: Option<&Signing>) -> Vec<Line> {
    clauses()
        .iter()
        .filter(|clause| in_force(plan, clause))
        .map(|clause| Line { clause, standing: standing(plan, clause, findings, signing) })
        .collect()
}

fn standing(plan: &Plan, clause: &'static Clause, findings: &[Finding], signing: Option<&Signing>) -> Standing {
    match applies(plan, clause) {
        Applies::No => {
            let why = SHOWN.iter().find(|(name, _)| *name == clause.when).map_or("", |(_, why)| why);
            return Standing::DoesNotApply(why.to_owned());
        }
        Applies::SaidNot => {
            let said = plan.head.iter().flat_map(|head| &head.not_concerned).find(|(name, _)| name == clause.when);
            let why = said.map_or("", |(_, why)| why);
            return Standing::DoesNotApply(format!("the plan says, of {}: {why}", clause.when));
        }
        Applies::Unsaid => {
            let question = topics().iter().find(|topic| topic.name == clause.when).map_or("", |topic| topic.question);
            return Standing::Unsaid(clause.when, question);
        }
        Applies::Yes => {}
    }
    if clause.by == By::SignOff {
        return signed(signing);
    }
    let mut codes: Vec<&'static str> = findings
        .iter()
        .filter(|finding| finding.rule.severity > Severity::Note)
        .filter(|finding| finding.clauses.contains(&clause.id) || hangs_on(finding.rule, clause.id))
        .map(|finding| finding.rule.code)
        .collect();
    codes.sort_unstable();
    codes.dedup();
    if !codes.is_empty() {
        return Standing::Missing(codes);
    }
    let pointed: Vec<Thing> = plan
        .meets
        .iter()
        .filter(|meets| meets.citation.value == clause.citation)
        .map(|meets| Thing { words: format!("{} {}", meets.block, meets.name), loc: meets.head })
        .collect();
    match &clause.by {
        By::SignOff => signed(signing),
        By::Judgement => Standing::Person(pointed),
        By::Answer { .. } => Standing::Met(pointed),
        By::Plan => {
            let mut found = pointed;
            found.extend(parts(plan, clause.at));
            // Several monitorings of one CCP, or rows of one step, are one answer.
            let mut seen = HashSet::new();
            found.retain(|thing| seen.insert(thing.words.clone()));
            Standing::Met(found)
        }
    }
}

/// How the signatures answer a clause. That the person who signed is the one whom the clause asks for is for people to see.
fn signed(signing: Option<&Signing>) -> Standing {
    let Some(signing) = signing else { return Standing::SignOff("by signature", String::new()) };
    let who = if signing.state == State::Signed {
        "; a person must judge whether the clause asks for this signer"
    } else {
        ""
    };
    Standing::SignOff(signing.word(), format!("{}{who}", signing.words()))
}

/// Rules that look into a part of a control, and are silent where the part is lacking as a whole.
const PARTS_OF: &[(&Rule, &[&Rule])] = &[
    (
        &response::CCP_WITHOUT_DEVIATION,
        &[
            &response::NO_HOLD,
            &response::NO_CAUSE,
            &response::NO_RESTORE,
            &response::NO_PREVENT,
            &response::NO_DISPOSITION,
            &response::NO_DEVIATION_RECORD,
        ],
    ),
    (
        &proof::CCP_WITHOUT_VERIFICATION,
        &[
            &proof::SELF_REVIEW,
            &proof::NO_RECORD_REVIEW,
            &proof::NO_OBSERVATION,
            &proof::UNOBSERVED_MONITORING,
            &review::LATE_REVIEW,
        ],
    ),
    (&proof::CCP_WITHOUT_VALIDATION, &[&proof::NO_SCIENCE, &proof::NO_TRIAL, &proof::LATE_VALIDATION]),
    (
        &monitoring::CCP_WITHOUT_MONITORING,
        &[
            &limits::UNMONITORED_LIMIT,
            &monitoring::NO_RECORDER_STEP,
            &monitoring::UNCALIBRATED_INSTRUMENT,
            &monitoring::LOOK_WITHOUT_MEASURE,
        ],
    ),
    (&limits::CCP_WITHOUT_LIMIT, &[&limits::NO_CRITICAL_LIMIT, &limits::UNMONITORED_LIMIT, &shown::NEVER_SHOWN]),
];

/// Whether a clause is looked for by a rule that has nothing to look at, because of this finding.
fn hangs_on(rule: &Rule, clause: &str) -> bool {
    let silent = PARTS_OF.iter().find(|(whole, _)| whole.code == rule.code).map_or(&[][..], |(_, parts)| parts);
    silent.iter().any(|part| part.clauses.contains(&clause))
}

/// Parts of a plan that clauses ask for, and the section of the document that shows each.
pub const PARTS: &[(&str, &str)] = &[
    ("team", "scope"),
    ("scope", "scope"),
    ("product", "products"),
    ("use", "products"),
    ("labels", "products"),
    ("flow", "flow"),
    ("flow-confirmed", "revision"),
    ("hazards", "hazards"),
    ("measures", "hazards"),
    ("decisions", "hazards"),
    ("limits", "ccp-summary"),
    ("monitoring", "ccp-summary"),
    ("corrective", "ccp-summary"),
    ("verification", "schedule"),
    ("review", "schedule"),
    ("validation", "schedule"),
    ("records", "records"),
    ("retention", "records"),
    ("training", "scope"),
    ("allergens", "products"),
    ("programmes", "programmes"),
    ("suppliers", "programmes"),
    ("calibration", "measurement"),
    ("reassessment", "revision"),
    ("sign-off", "revision"),
];

/// What the plan holds of one of [`PARTS`].
fn parts(plan: &Plan, part: &str) -> Vec<Thing> {
    let thing = |word: &str, name: &dyn std::fmt::Display, loc: Loc| Thing { words: format!("{word} {name}"), loc };
    let head = plan.head.as_ref();
    let limits = || plan.ccps().flat_map(|ccp| ccp.limits.iter().map(move |limit| (ccp, limit)));
    match part {
        "team" => plan.team.members.iter().map(|member| thing("member", &member.role, member.role.loc)).collect(),
        "scope" => head.iter().map(|head| thing("plan", &head.name, head.loc)).collect(),
        "product" | "use" | "labels" => {
            plan.products.iter().map(|product| thing("product", &product.name, product.loc)).collect()
        }
        "flow" => plan.steps.iter().map(|step| thing("step", &step.name, step.loc)).collect(),
        "flow-confirmed" => head
            .and_then(|head| head.flow_confirmed.as_ref())
            .iter()
            .map(|said| thing("confirmation by", &said.by, said.loc))
            .collect(),
        "hazards" | "measures" | "decisions" => {
            let rows = plan.steps.iter().flat_map(|step| step.analysis.rows.iter().map(move |row| (&step.name, row)));
            rows.map(|(step, row)| thing("analysis of", step, row.loc)).collect()
        }
        "limits" => {
            limits().map(|(ccp, limit)| thing("limit", &format!("{}.{}", ccp.name, limit.name), limit.loc)).collect()
        }
        "monitoring" | "records" => plan
            .ccps()
            .flat_map(|ccp| ccp.monitors.iter().map(|monitor| thing("monitoring of", &ccp.name, monitor.loc)))
            .collect(),
        "corrective" => plan
            .ccps()
            .filter(|ccp| ccp.deviation.is_some())
            .map(|ccp| thing("deviation of", &ccp.name, ccp.loc))
            .collect(),
        "verification" | "review" => plan
            .controls
            .iter()
            .flat_map(|control| control.verify.iter().map(|verify| thing("verification of", &control.name, verify.loc)))
            .collect(),
        "validation" => plan
            .ccps()
            .flat_map(|ccp| ccp.validated.iter().map(|validated| thing("validation of", &ccp.name, validated.loc)))
            .collect(),
        "retention" => plan.records.iter().map(|record| thing("record", &record.name, record.loc)).collect(),
        "training" => plan
            .roles
            .iter()
            .filter(|role| !role.trained.is_empty())
            .map(|role| thing("role", &role.name, role.loc))
            .collect(),
        "allergens" => plan
            .materials
            .iter()
            .filter(|material| carries(&material.allergens))
            .map(|material| thing("material", &material.name, material.loc))
            .collect(),
        "programmes" | "suppliers" => {
            plan.programmes.iter().map(|programme| thing("programme", &programme.name, programme.loc)).collect()
        }
        "calibration" => plan
            .instruments
            .iter()
            .filter(|instrument| instrument.calibration.is_some())
            .map(|instrument| thing("instrument", &instrument.name, instrument.loc))
            .collect(),
        "reassessment" => head
            .and_then(|head| head.reassessed.as_ref())
            .iter()
            .map(|said| thing("reassessment by", &said.by, said.loc))
            .collect(),
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]

    use super::*;
    use crate::source::{Source, Sources};

    fn lines(text: &str) -> Vec<Line> {
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", text));
        let reading = crate::plan::read(&sources, &[id]);
        let mut findings = reading.findings;
        findings.extend(crate::check::check(&reading.plan, chrono::NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()));
        coverage(&reading.plan, &findings, None)
    }

    /// A rule that has nothing to look at is silent, and its clause must not be read as answered.
    #[test]
    fn what_hangs_on_a_lacking_part_is_missing() {
        let base = include_str!("../../tests/findings/base.haccp");
        let (start, rest) = base.split_once("  deviation {").expect("a deviation");
        let (_, end) = rest.split_once("\n  }\n").expect("its end");
        let without = format!("{start}{end}");
        let whole = lines(base);
        assert!(whole.iter().all(|line| !matches!(line.standing, Standing::Missing(_))));
        let lacking: Vec<(&str, Vec<&str>)> = lines(&without)
            .iter()
            .filter_map(|line| match &line.standing {
                Standing::Missing(codes) => Some((line.clause.id, codes.clone())),
                _ => None,
            })
            .collect();
        let about: Vec<&str> = super::super::rules()
            .into_iter()
            .flatten()
            .filter(|rule| ["C102", "C103", "C104", "C105", "C106", "C107"].contains(&rule.code))
            .flat_map(|rule| rule.clauses)
            .copied()
            .filter(|id| id.starts_with("codex."))
            .collect();
        assert!(!about.is_empty());
        for id in about {
            assert!(lacking.iter().any(|(found, codes)| *found == id && codes.contains(&"C101")), "{id}: {lacking:?}");
        }
    }
}
