//! Decisions: the tree is known, each row walks one of its paths, and the plan does what the path ends in.

use super::Desk;
use super::hazards::{be, is_significant, names, them};
use super::trees::{self, End, Fault};
use crate::finding::{Care, Finding, nearest};
use crate::plan::{Control, ControlKind, HazardRow, Name, Plan};
use crate::source::Loc;

crate::rules! {
    /// A decision tree that is not known.
    UNKNOWN_TREE = "D101" "unknown-tree" Error;
    /// A significant hazard without a decision, in a plan that names a tree.
    NO_DECISION = "D102" "no-decision" Error ["codex.ccp", "eu.852.5.2b"];
    /// The answers follow no path of the tree.
    WRONG_PATH = "D103" "wrong-path" Error ["codex.ccp", "eu.852.5.2b"];
    /// The answers lead to another outcome than the plan acts on.
    OUTCOME_DISAGREES = "D104" "outcome-disagrees" Error ["codex.ccp", "eu.852.5.2b"];
    /// The answers say that the step, the process or the product must change.
    MUST_CHANGE = "D105" "must-change" Error ["codex.ccp.redesign"];
    /// Control is left to a later step, and no later step is decided to be the CCP for this hazard.
    LATER_NOT_DECIDED = "D106" "later-step-not-decided" Error ["codex.ccp.later"];
    /// A row answers a tree, and the plan names none.
    ANSWERS_WITHOUT_TREE = "D107" "answers-without-tree" Warning;
    /// An operational prerequisite in a plan whose regimes do not know that kind of control.
    ///
    /// Codex and the rules of the United States know CCPs, preventive controls and prerequisite programmes; what lies
    /// between is of European guidance and of ISO 22000, and an inspector elsewhere would take it for a CCP or for none.
    FOREIGN_PREREQUISITE = "D108" "foreign-prerequisite" Error;
}

/// A row with the places where its hazards arise, as indices of steps.
struct Decided<'a> {
    row: &'a HazardRow,
    places: Vec<usize>,
    name: &'a Name,
    /// For a material, control at the step that takes it in counts as later.
    arrives: bool,
}

pub(super) fn check(desk: &mut Desk<'_>) {
    operational_prerequisites(desk);
    let plan = desk.plan;
    let tree = plan.head.as_ref().and_then(|head| head.tree.as_ref());
    let rows = decided(desk, plan);
    let Some(tree) = tree else {
        if let Some(decided) =
            rows.iter().find(|decided| !decided.row.decision.is_empty() || !decided.row.scores.is_empty())
            && let (Some(question), Some(head)) = (answered(decided.row).next(), &plan.head)
        {
            desk.say(
                Finding::at(
                    &ANSWERS_WITHOUT_TREE,
                    question.loc,
                    "this row answers a decision tree, and the plan names none",
                )
                .also(head.loc, "`tree` belongs here")
                .help(format!("add `tree` with one of: {}", trees::names().join(", "))),
            );
        }
        return;
    };
    if !trees::names().contains(&tree.text.as_str()) {
        let finding = Finding::at(&UNKNOWN_TREE, tree.loc, format!("no decision tree is called `{tree}`"));
        desk.say(match nearest(&tree.text, trees::names()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(tree.loc, near, Care::NeedsALook),
            None => finding.help(format!("the trees are: {}", trees::names().join(", "))),
        });
        return;
    }
    for decided in &rows {
        row(desk, tree, decided, &rows);
    }
}

fn decided<'a>(desk: &Desk<'a>, plan: &'a Plan) -> Vec<Decided<'a>> {
    let steps = plan.steps.iter().enumerate().flat_map(|(at, step)| {
        step.analysis.rows.iter().map(move |row| Decided { row, places: vec![at], name: &step.name, arrives: false })
    });
    let materials = plan.materials.iter().flat_map(|material| {
        let places = desk.order.users(&material.name);
        let rows = material.analysis.rows.iter();
        rows.map(move |row| Decided { row, places: places.clone(), name: &material.name, arrives: true })
    });
    steps.chain(materials).collect()
}

/// What a question asks, and how it is answered.
fn asked(tree: &str, question: &str) -> String {
    let answer = format!("answer `{question} yes` or `{question} no`");
    match trees::questions(tree).find(|one| one.key.eq_ignore_ascii_case(question)) {
        Some(one) => format!("{answer}: {}", one.asks),
        None => answer,
    }
}

/// The questions and scores that a row answers.
fn answered(row: &HazardRow) -> impl Iterator<Item = &Name> {
    row.decision.iter().map(|(name, _)| name).chain(row.scores.iter().map(|(name, _)| name))
}

/// The place of the decision in a row.
fn place(row: &HazardRow) -> Loc {
    match (answered(row).min_by_key(|name| name.loc), answered(row).max_by_key(|name| name.loc)) {
        (Some(first), Some(last)) => Loc { source: first.loc.source, span: first.loc.span.to(last.loc.span) },
        _ => row.loc,
    }
}

fn row(desk: &mut Desk<'_>, tree: &Name, decided: &Decided<'_>, all: &[Decided<'_>]) {
    let row = decided.row;
    if answered(row).next().is_none() {
        if is_significant(row) {
            desk.lacks(
                &NO_DECISION,
                row.loc,
                "decision",
                format!(
                    "{} {} significant at `{}`, and `{tree}` is not answered for {}",
                    names(row),
                    be(row),
                    decided.name,
                    them(row)
                ),
                "add `decision q1 …` with the answers on the way through the tree",
            );
        }
        return;
    }
    let end = match trees::walk(&tree.text, row) {
        Ok(end) => end,
        Err(Fault::Missing(question)) => {
            desk.say(
                Finding::at(
                    &WRONG_PATH,
                    place(row),
                    format!("`{tree}` asks `{question}` next, and it is not answered"),
                )
                .also(tree.loc, "the tree")
                .help(asked(&tree.text, question)),
            );
            return;
        }
        Err(Fault::MissingScore(score)) => {
            desk.say(
                Finding::at(&WRONG_PATH, place(row), format!("`{tree}` begins with the {score}, and it is not scored"))
                    .also(tree.loc, "the tree")
                    .help(format!("write `{score} 1` to `{score} 4` before the answers")),
            );
            return;
        }
        Err(Fault::BadScore(name)) => {
            desk.say(
                Finding::at(&WRONG_PATH, name.loc, format!("the {name} is scored from 1 to 4"))
                    .also(tree.loc, "the tree")
                    .help("1 is the lowest, 4 the highest"),
            );
            return;
        }
        Err(Fault::OffPath(name, end)) => {
            desk.say(
                Finding::at(&WRONG_PATH, name.loc, format!("after these answers `{tree}` does not ask `{name}`"))
                    .also(tree.loc, "the tree")
                    .help(format!(
                        "without `{name}` the answers are whole and say: {}; take it out, or check the answers before it",
                        end.words()
                    )),
            );
            return;
        }
        Err(Fault::Twice(name)) => {
            desk.say(
                Finding::at(&WRONG_PATH, name.loc, format!("`{name}` is answered twice"))
                    .also(tree.loc, "the tree")
                    .help("keep one of the two answers"),
            );
            return;
        }
    };
    if is_significant(row) {
        outcome(desk, decided, end, tree, all);
    }
}

fn outcome(desk: &mut Desk<'_>, decided: &Decided<'_>, end: End, tree: &Name, all: &[Decided<'_>]) {
    let row = decided.row;
    let controls: Vec<&Control> = row.controls.iter().filter_map(|(name, _)| desk.plan.control(&name.text)).collect();
    let unknown = controls.len() < row.controls.len()
        || controls.iter().any(|control| control.at.iter().all(|at| desk.order.index(&at.text).is_none()));
    if unknown || decided.places.is_empty() || !desk.flow_is_sound() {
        return;
    }
    let indices = |control: &Control| -> Vec<usize> {
        control.at.iter().filter_map(|name| desk.order.index(&name.text)).collect()
    };
    let here = controls
        .iter()
        .find(|control| control.is_ccp() && indices(control).iter().any(|at| decided.places.contains(at)));
    let later = controls.iter().find(|control| {
        control.is_ccp()
            && indices(control).iter().any(|at| {
                decided
                    .places
                    .iter()
                    .any(|place| (decided.arrives || at != place) && desk.order.at_or_after(*place, *at))
            })
    });
    let disagrees = |message: String, other: Option<&&Control>| {
        let mut finding = Finding::at(&OUTCOME_DISAGREES, place(row), message).also(tree.loc, "the tree");
        if let Some(control) = other {
            finding = finding.also(control.loc, "this is what the plan does");
        }
        finding
    };
    let finding = match end {
        End::Change if changed_and_revised(desk, row) => None,
        End::Change => Some(
            Finding::at(&MUST_CHANGE, place(row), format!("by these answers the step, the process or the product must change for {}", names(row)))
                .also(tree.loc, "the tree")
                .help("change it, redo the hazard analysis and answer the tree again; until then, `changed DATE \"what\"` in the row with a revision of that day or later says that it is done"),
        ),
        End::Ccp if here.is_none() => Some(
            disagrees(format!("by these answers `{}` is a CCP for {}, and no CCP of the row works there", decided.name, names(row)), controls.first())
                .help("name a `ccp … at` this step in the row, or check the answers"),
        ),
        End::Later if here.is_some() && !decided.arrives && later.is_none() => Some(
            disagrees(format!("by these answers a later step is the CCP for {}, and the row names one at `{}` itself", names(row), decided.name), here)
                .help("check the last answers, or name the later CCP"),
        ),
        End::Later if later.is_none() => Some(
            disagrees(format!("by these answers a later step is the CCP for {}, and the row names none", names(row)), controls.first())
                .help("name the later CCP in the row, or check the answers"),
        ),
        End::Operational if !operational(&controls) => Some(
            disagrees(format!("by these answers an operational prerequisite holds {}, and the row names none", names(row)), controls.first())
                .help("name a `control` with `kind operational-prerequisite` in the row, or check the answers"),
        ),
        End::Either if here.is_none() && !operational(&controls) => Some(
            disagrees(format!("this tree ends in a CCP or an operational prerequisite for {}, and the row names neither here", names(row)), controls.first())
                .help("name a `ccp`, or a `control` with `kind operational-prerequisite`, in the row"),
        ),
        End::Programme if here.is_some() => Some(
            disagrees(format!("by these answers prerequisite programmes hold {}, and the row names a CCP", names(row)), here)
                .help("say `not-significant \"why\" relies on PROGRAMME`, name a `control` that is no CCP, or check the answers"),
        ),
        End::Nothing if here.is_some() => Some(
            disagrees(format!("by these answers `{}` is no CCP for {}, and the row names one there", decided.name, names(row)), here)
                .help("check the answers, or take the CCP out of the row"),
        ),
        _ => None,
    };
    let settled = finding.is_none();
    desk.findings.extend(finding);
    if end == End::Later && settled {
        later_decided(desk, decided, tree, all);
    }
}

fn operational(controls: &[&Control]) -> bool {
    controls.iter().any(|control| control.kind == Some(ControlKind::OperationalPrerequisite))
}

/// Whether the row says that the change which its answers ask for was made, in a text that was revised since.
fn changed_and_revised(desk: &Desk<'_>, row: &HazardRow) -> bool {
    let revised = desk.plan.head.as_ref().and_then(|head| head.revision.as_ref()).and_then(|revision| revision.date);
    let made = row.changed.as_ref().and_then(|(date, ..)| *date);
    made.zip(revised).is_some_and(|(made, revised)| made <= revised && made <= desk.on)
}

/// Operational prerequisites are known to the European guidance and to ISO 22000 alone.
fn operational_prerequisites(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let Some(head) = &plan.head else { return };
    let knows =
        head.answers_to("eu") || head.tree.as_ref().is_some_and(|tree| ["eu-score", "iso-8524"].contains(&&*tree.text));
    if knows || head.regimes.is_empty() {
        return;
    }
    for control in plan.controls.iter().filter(|control| control.kind == Some(ControlKind::OperationalPrerequisite)) {
        desk.findings.push(
            Finding::at(
                &FOREIGN_PREREQUISITE,
                control.loc,
                format!("`{}` is an operational prerequisite, and no regime that the plan names knows that kind", control.name),
            )
            .also(head.loc, "the regimes are named in this block")
            .help("make it a `ccp`, a `control` of another kind, or a `programme`; or add `eu` to `regimes` if the plan answers to it"),
        );
    }
}

/// The later step must itself be decided to be the CCP, for each hazard of the row.
fn later_decided(desk: &mut Desk<'_>, decided: &Decided<'_>, tree: &Name, all: &[Decided<'_>]) {
    for hazard in &decided.row.hazards {
        let found = all.iter().any(|other| {
            other.row.hazards.contains(hazard)
                && trees::walk(&tree.text, other.row) == Ok(End::Ccp)
                && other.places.iter().any(|at| decided.places.iter().any(|place| desk.order.at_or_after(*place, *at)))
        });
        if !found {
            desk.say(
                Finding::at(
                    &LATER_NOT_DECIDED,
                    place(decided.row),
                    format!("`{hazard}` is left to a later step, and no later step is decided to be the CCP for it"),
                )
                .also(tree.loc, "the tree")
                .help(format!("add a row for `{hazard}` to the later step, with its own decision")),
            );
        }
    }
}
