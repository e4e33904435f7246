//! The hazard analysis: every class answered, every row judged, every significant hazard controlled.

use super::Desk;
use crate::finding::{Care, Finding, nearest};
use crate::plan::{Analysis, BLANK, Class, ControlKind, HazardRow, Name, Severity};
use crate::source::Loc;
use std::collections::{HashMap, HashSet};

/// How likely a hazard is, in the words that a row may use.
pub const LIKELIHOODS: &[&str] = &["likely", "possible", "unlikely", "remote"];

crate::rules! {
    /// A significant hazard that no control is named for.
    UNCONTROLLED_HAZARD = "H101" "uncontrolled-hazard" Error ["codex.measures", "codex.ccp.redesign", "fsis.417.2.c2", "fish.123.6.c2", "juice.120.8.b", "pc.117.126.b", "pc.117.135.a", "fsis.417.2.c1"];
    /// A row that does not say whether the hazard is significant.
    UNJUDGED_HAZARD = "H102" "unjudged-hazard" Error ["codex.hazards.eval", "fsis.417.2.a1.likely", "fsis.417.5.a1", "juice.120.7.a", "pc.117.130.c1"];
    /// A control that works only before the hazard arises, or on another line of the flow.
    ///
    /// Where the hazard comes with a material, it arises at the steps that take the material in.
    CONTROL_BEFORE_HAZARD = "H103" "control-before-hazard" Error ["codex.measures", "codex.ccp", "fsis.417.2.c2", "fish.123.6.c2", "juice.120.8.b", "pc.117.126.b", "pc.117.135.a", "eu.852.5.2b"];
    /// A control that a row relies on, and that works at no step.
    CONTROL_AT_NO_STEP = "H104" "control-at-no-step" Error ["codex.ccp", "eu.852.5.2b"];
    /// A CCP that no row names for a significant hazard.
    CCP_WITHOUT_HAZARD = "H105" "ccp-without-hazard" Error ["codex.ccp", "eu.852.5.2b", "fsis.417.2.c1"];
    /// A step or material that does not answer every class of hazard.
    UNANSWERED_CLASS = "H106" "unanswered-class" Error ["codex.hazards.list", "fsis.417.2.a1", "fish.123.6.a", "juice.120.7.a", "pc.117.130.a", "pc.117.130.b", "eu.852.5.2a"];
    /// A hazard that no step or material analyses.
    UNANALYSED_HAZARD = "H107" "unanalysed-hazard" Error ["codex.hazards.eval", "fsis.417.2.a1.likely", "fsis.417.5.a1", "juice.120.7.a", "pc.117.130.c1"];
    /// A hazard without its class.
    HAZARD_WITHOUT_KIND = "H108" "hazard-without-kind" Error ["codex.hazards.list", "fsis.417.2.a1", "fish.123.6.a", "juice.120.7.a", "pc.117.130.a", "pc.117.130.b", "eu.852.5.2a"];
    /// A hazard without its severity.
    HAZARD_WITHOUT_SEVERITY = "H109" "hazard-without-severity" Error ["codex.hazards.eval", "fsis.417.2.a1.likely", "fsis.417.5.a1", "juice.120.7.a", "pc.117.130.c1"];
    /// The same hazard with the same verb twice in one step or material.
    REPEATED_ROW = "H110" "repeated-row" Error;
    /// A word for likelihood that is not in the set.
    UNKNOWN_LIKELIHOOD = "H111" "unknown-likelihood" Error;
    /// A row that does not say how likely the hazard is without control.
    ROW_WITHOUT_LIKELIHOOD = "H112" "row-without-likelihood" Error ["codex.hazards.eval", "fsis.417.2.a1.likely", "fsis.417.5.a1", "juice.120.7.a", "pc.117.130.c1"];
    /// A hazard is significant, and no acceptable level is set for it.
    NO_ACCEPTABLE_LEVEL = "H113" "no-acceptable-level" Error ["codex.acceptable"];
    /// A hazard that cites nothing.
    HAZARD_WITHOUT_SOURCE = "H114" "hazard-without-source" Warning;
    /// A hazard is judged not significant because of a programme that does nothing.
    IDLE_PROGRAMME = "H115" "idle-programme" Error ["codex.ghp.attention", "fsis.417.prp.support", "eu.notice.prp"];
    /// A control other than a CCP that no row names.
    UNUSED_CONTROL = "H116" "unused-control" Warning;
    /// A severe or likely hazard is judged not significant, and no programme is named as the reason.
    BARE_DISMISSAL = "H117" "bare-dismissal" Warning;
    /// A hazard is judged or dismissed, and the reason says nothing.
    ///
    /// A dash in place of a reason reads as if somebody had thought about it.
    EMPTY_REASON = "H126" "empty-reason" Error ["codex.hazards.list", "fsis.417.2.a1", "fish.123.6.a", "juice.120.7.a", "pc.117.130.a", "pc.117.130.b", "eu.852.5.2a"];
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let carriers =
        plan.materials.iter().any(|material| material.allergens.as_ref().is_some_and(|said| !said.value.is_empty()));
    for (at, step) in plan.steps.iter().enumerate() {
        analysis(desk, &step.analysis, &step.name, step.loc, &[at], carriers);
    }
    for material in &plan.materials {
        let users = desk.order.users(&material.name);
        analysis(desk, &material.analysis, &material.name, material.loc, &users, carriers);
    }
    hazards(desk);
    controls(desk);
}

/// Every analysis of the plan with its name.
pub(super) fn rows<'a>(desk: &Desk<'a>) -> Vec<&'a HazardRow> {
    let plan = desk.plan;
    let analyses =
        plan.steps.iter().map(|step| &step.analysis).chain(plan.materials.iter().map(|material| &material.analysis));
    analyses.flat_map(|analysis| &analysis.rows).collect()
}

/// Whether a row judges its hazards significant.
pub(super) fn is_significant(row: &HazardRow) -> bool {
    row.significance.as_ref().is_some_and(|significance| significance.significant)
}

/// The verb that goes with [`names`].
pub(super) fn be(row: &HazardRow) -> &'static str {
    if row.hazards.len() == 1 { "is" } else { "are" }
}

/// The pronoun that goes with [`names`].
pub(super) fn them(row: &HazardRow) -> &'static str {
    if row.hazards.len() == 1 { "it" } else { "them" }
}

/// The hazards of a row as a reader names them.
pub(super) fn names(row: &HazardRow) -> String {
    let names: Vec<String> = row.hazards.iter().map(|name| format!("`{name}`")).collect();
    names.join(" and ")
}

fn analysis(desk: &mut Desk<'_>, analysis: &Analysis, name: &Name, loc: Loc, places: &[usize], carriers: bool) {
    let mut seen: HashMap<(&str, &str), Loc> = HashMap::new();
    for row in &analysis.rows {
        for hazard in &row.hazards {
            if let Some(first) = seen.insert((&hazard.text, row.verb.word()), hazard.loc) {
                desk.say(
                    Finding::at(&REPEATED_ROW, hazard.loc, format!("`{hazard}` {} twice at `{name}`", row.verb.word()))
                        .also(first, "the first stands here")
                        .help("make one row of the two"),
                );
            }
        }
        judged(desk, row);
        controlled(desk, row, name, places);
    }
    reasons(desk, analysis, name);
    classes(desk, analysis, name, loc, carriers);
}

/// A reason holds at least a letter or a digit.
fn reasons(desk: &mut Desk<'_>, analysis: &Analysis, name: &Name) {
    let judged = analysis.rows.iter().filter_map(|row| row.significance.as_ref());
    let said = judged
        .map(|said| (&said.why, said.loc))
        .chain(analysis.none.iter().map(|(_, why, loc)| (why, *loc)))
        .chain(analysis.no_other.iter().map(|(why, loc)| (why, *loc)));
    // What is left blank is open, and counted as such.
    let empty = |why: &str| why != BLANK && !why.chars().any(char::is_alphanumeric);
    for (why, loc) in said.filter(|(why, _)| empty(why)) {
        desk.findings.push(
            Finding::at(&EMPTY_REASON, loc, format!("`{why}` gives no reason for a judgement on hazards at `{name}`"))
                .help("write in a few words why it is so"),
        );
    }
}

fn judged(desk: &mut Desk<'_>, row: &HazardRow) {
    match &row.likelihood {
        None => desk.lacks(
            &ROW_WITHOUT_LIKELIHOOD,
            row.loc,
            "likelihood",
            format!("how likely {} {} without control is not said", names(row), be(row)),
            format!("add `likelihood` with one of: {}", LIKELIHOODS.join(", ")),
        ),
        Some((word, _)) if !LIKELIHOODS.contains(&word.text.as_str()) => {
            let finding = Finding::at(&UNKNOWN_LIKELIHOOD, word.loc, format!("`{word}` is no likelihood"));
            desk.say(match nearest(&word.text, LIKELIHOODS.iter().copied()) {
                Some(near) => finding.help(format!("did you mean `{near}`?")).fix(word.loc, near, Care::NeedsALook),
                None => finding.help(format!("the words are: {}", LIKELIHOODS.join(", "))),
            });
        }
        Some(_) => {}
    }
    let Some(significance) = &row.significance else {
        desk.lacks(
            &UNJUDGED_HAZARD,
            row.loc,
            "significant",
            format!("whether {} {} significant here is not said", names(row), be(row)),
            "add `significant \"why\"`, or `not-significant \"why\" relies on PROGRAMME`",
        );
        return;
    };
    if significance.significant {
        return;
    }
    for name in &significance.relies_on {
        if let Some(programme) = desk.plan.programme(&name.text).filter(|programme| programme.routines.is_empty()) {
            let mut finding = Finding::at(
                &IDLE_PROGRAMME,
                name.loc,
                format!("{} {} held by `{name}`, and that programme does nothing", names(row), be(row)),
            )
            .also(programme.loc, "it has no routine")
            .help("add `routine \"what is done\" HOW-OFTEN by ROLE on RECORD` to the programme");
            if let Some(before) = super::place::before(desk.plan, programme.loc, "routine") {
                finding = finding.also(before, "`routine` would follow here");
            }
            desk.say(finding);
        }
    }
    let likely = row.likelihood.as_ref().is_some_and(|(word, _)| word.text == "likely");
    let severe = row
        .hazards
        .iter()
        .filter_map(|name| desk.plan.hazard(&name.text))
        .any(|hazard| hazard.severity.as_ref().is_some_and(|(severity, _)| *severity == Severity::Severe));
    if significance.relies_on.is_empty() && (likely || severe) {
        let why = if severe { "severe" } else { "likely" };
        desk.say(
            Finding::at(
                &BARE_DISMISSAL,
                significance.loc,
                format!("{} {} {why}, and yet not significant here; no programme is named", names(row), be(row)),
            )
            .help("add `relies on PROGRAMME`, or judge it significant and name its control"),
        );
    }
}

fn controlled(desk: &mut Desk<'_>, row: &HazardRow, name: &Name, places: &[usize]) {
    if !is_significant(row) {
        return;
    }
    if row.controls.is_empty() {
        desk.lacks(
            &UNCONTROLLED_HAZARD,
            row.loc,
            "control",
            format!("{} {} significant at `{name}`, and nothing controls {}", names(row), be(row), them(row)),
            "add `control NAME` to the row; if there is no control at any step, the product or the process must change",
        );
    }
    for (control, _) in &row.controls {
        let Some(found) = desk.plan.control(&control.text) else { continue };
        if found.at.is_empty() {
            desk.say(
                Finding::at(
                    &CONTROL_AT_NO_STEP,
                    control.loc,
                    format!("the control of {} is `{control}`, which works at no step", names(row)),
                )
                .also(found.loc, "say here at which step: `at STEP`")
                .help(format!("write `{} {control} at STEP`", if found.is_ccp() { "ccp" } else { "control" })),
            );
            continue;
        }
        let at: Vec<usize> = found.at.iter().filter_map(|step| desk.order.index(&step.text)).collect();
        let early = places.iter().find(|place| !at.iter().any(|at| desk.order.at_or_after(**place, *at)));
        if let (false, Some(place)) = (at.is_empty(), early)
            && let Some(step) = desk.plan.steps.get(*place)
            && desk.flow_is_sound()
        {
            let before = at.iter().any(|at| desk.order.at_or_after(*at, *place));
            let message = if before {
                format!("`{control}` works before {} can arise at `{}`", names(row), step.name)
            } else {
                format!(
                    "product from `{}`, where the row of {} stands, never passes `{control}`",
                    step.name,
                    names(row)
                )
            };
            let mut finding = Finding::at(&CONTROL_BEFORE_HAZARD, control.loc, message);
            if let Some(at) = found.at.first() {
                finding = finding.also(at.loc, "it works here");
            }
            desk.say(
                finding
                    .also(step.loc, "the hazard arises here")
                    .help("name a control that works at this step or at a later one"),
            );
        }
    }
}

fn classes(desk: &mut Desk<'_>, analysis: &Analysis, name: &Name, loc: Loc, carriers: bool) {
    if analysis.no_other.is_some() {
        return;
    }
    let mut answered: HashSet<Class> = analysis.none.iter().map(|(class, ..)| *class).collect();
    let hazards = analysis.rows.iter().flat_map(|row| &row.hazards);
    answered.extend(hazards.filter_map(|name| desk.plan.hazard(&name.text)?.class));
    let mut wanted = vec![Class::Biological, Class::Chemical, Class::Physical];
    if carriers {
        wanted.push(Class::Allergen);
    }
    let open: Vec<&str> = wanted.into_iter().filter(|class| !answered.contains(class)).map(Class::word).collect();
    if open.is_empty() {
        return;
    }
    desk.lacks(
        &UNANSWERED_CLASS,
        loc,
        "no",
        format!("`{name}` leaves classes of hazards open: {}", open.join(", ")),
        "add a hazard row, `no hazard CLASS \"why\"`, or `no other hazard \"why\"` for all the rest",
    );
}

fn hazards(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let rows = rows(desk);
    for hazard in &plan.hazards {
        let name = &hazard.name;
        if !rows.iter().any(|row| row.hazards.contains(name)) {
            desk.say(
                Finding::at(
                    &UNANALYSED_HAZARD,
                    hazard.loc,
                    format!("no step and no material says where `{name}` arises"),
                )
                .help(format!("add `hazard {name} arrives {{ … }}` where it comes in, or take the block out")),
            );
        }
        if hazard.class.is_none() {
            desk.lacks(
                &HAZARD_WITHOUT_KIND,
                hazard.loc,
                "kind",
                format!("`{name}` has no class"),
                format!("add `kind` with one of: {}", Class::WORDS.join(", ")),
            );
        }
        if hazard.severity.is_none() {
            desk.lacks(
                &HAZARD_WITHOUT_SEVERITY,
                hazard.loc,
                "severity",
                format!("the severity of `{name}` is not said"),
                format!("add `severity` with one of: {}", Severity::WORDS.join(", ")),
            );
        }
        let significant = rows.iter().find(|row| row.hazards.contains(name) && is_significant(row));
        if let (None, Some(row)) = (&hazard.acceptable_level, significant) {
            let mut finding = Finding::at(
                &NO_ACCEPTABLE_LEVEL,
                hazard.loc,
                format!("`{name}` is significant, and no acceptable level is set for it"),
            )
            .also(row.loc, "significant here")
            .help("add `acceptable-level \"…\"`: what the food may hold at the end of the scope");
            if let Some(before) = super::place::before(plan, hazard.loc, "acceptable-level") {
                finding = finding.also(before, "`acceptable-level` would follow here");
            }
            desk.say(finding);
        }
        if hazard.cites.is_empty() {
            desk.lacks(
                &HAZARD_WITHOUT_SOURCE,
                hazard.loc,
                "cites",
                format!("nothing is cited for `{name}`"),
                "add `cites SOURCE at \"where\"`",
            );
        }
    }
}

fn controls(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let rows = rows(desk);
    for control in &plan.controls {
        let naming: Vec<&&HazardRow> =
            rows.iter().filter(|row| row.controls.iter().any(|(name, _)| *name == control.name)).collect();
        let name = &control.name;
        if control.is_ccp() && !naming.iter().any(|row| is_significant(row)) {
            desk.say(
                Finding::at(
                    &CCP_WITHOUT_HAZARD,
                    control.loc,
                    format!("no significant hazard is controlled by `{name}`"),
                )
                .help(format!("name it in a row: `control {name}`; a point without a significant hazard is no CCP")),
            );
        }
        if !control.is_ccp() && control.kind != Some(ControlKind::Sanitation) && naming.is_empty() {
            desk.say(
                Finding::at(&UNUSED_CONTROL, control.loc, format!("no hazard row names `{name}`"))
                    .help(format!("name it in a row: `control {name}`, or take it out")),
            );
        }
    }
}
