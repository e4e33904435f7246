//! Qualification: who writes, reassesses and reviews is what the regimes in force ask for.

use super::Desk;
use crate::finding::{Care, Finding, narrow, nearest};
use crate::plan::{Plan, Role};
use chrono::NaiveDate;

crate::rules! {
    /// Nobody on the team is qualified as a regime asks of those who write the plan.
    ///
    /// 9 CFR 417.7, 21 CFR 123.10 and 120.13 ask for a course in HACCP principles for that food, or experience that is
    /// worth as much; 21 CFR 117.180 for a preventive controls qualified individual; Regulation 852/2004 for training
    /// in the application of HACCP principles. A role says so with `qualified`.
    UNQUALIFIED_TEAM = "T110" "unqualified-team" Error ["fsis.417.7.a", "fish.123.10", "juice.120.7.b", "juice.120.13", "pc.117.126.a", "pc.117.180", "eu.852.annex2.xii.2"];
    /// The role that reassessed the plan was not qualified for it on that day.
    UNQUALIFIED_REASSESSMENT = "T111" "unqualified-reassessment" Error ["fsis.417.4.a3i.trained", "fsis.417.7.a", "fish.123.10", "juice.120.13", "pc.117.170.c", "pc.117.180"];
    /// The role that reviews the records of a CCP is not qualified for it.
    UNQUALIFIED_REVIEWER = "T112" "unqualified-reviewer" Error ["fish.123.8.a3.7d", "fish.123.10", "juice.120.11.a1iv", "juice.120.13", "pc.117.165.a4i", "pc.117.180"];
    /// A CCP is excused from validation by a role that may not do so.
    ///
    /// 21 CFR 117.160(c) lets a control go without validation where a preventive controls qualified individual gives the
    /// reason in writing: an `exception` for `ccp-without-validation`, `by` a role that is so qualified.
    UNQUALIFIED_EXEMPTION = "T117" "unqualified-exemption" Error ["pc.117.160.c"];
    /// A qualification that no regime asks for.
    UNKNOWN_QUALIFICATION = "T113" "unknown-qualification" Error;
}

/// What a regime asks of those who write, reassess and review.
struct Asked {
    regime: &'static str,
    word: &'static str,
    what: &'static str,
    reassesses: bool,
    reviews: bool,
}

const ASKED: &[Asked] = &[
    Asked {
        regime: "us-meat-poultry",
        word: "haccp",
        what: "trained in HACCP as 9 CFR 417.7 asks",
        reassesses: true,
        reviews: false,
    },
    Asked {
        regime: "us-seafood",
        word: "seafood-haccp",
        what: "trained as 21 CFR 123.10 asks",
        reassesses: true,
        reviews: true,
    },
    Asked {
        regime: "us-juice",
        word: "juice-haccp",
        what: "trained as 21 CFR 120.13 asks",
        reassesses: true,
        reviews: true,
    },
    Asked {
        regime: "us-preventive-controls",
        word: "pcqi",
        what: "a preventive controls qualified individual",
        reassesses: true,
        reviews: true,
    },
    Asked {
        regime: "eu",
        word: "haccp",
        what: "trained in the application of HACCP principles",
        reassesses: false,
        reviews: false,
    },
];

pub(super) fn check(desk: &mut Desk<'_>) {
    words(desk);
    let plan = desk.plan;
    let Some(head) = &plan.head else { return };
    for asked in ASKED.iter().filter(|asked| head.answers_to(asked.regime)) {
        team(desk, asked);
        if asked.reassesses {
            reassessment(desk, asked);
        }
        if asked.reviews {
            reviews(desk, asked);
        }
        if asked.regime == "us-preventive-controls" {
            exemption(desk, asked);
        }
    }
}

fn role<'a>(plan: &'a Plan, name: &str) -> Option<&'a Role> {
    plan.roles.iter().find(|role| role.name == *name)
}

/// Whether the role is so qualified on that day.
fn has(role: &Role, word: &str, on: NaiveDate) -> bool {
    role.qualified.iter().any(|said| said.name == *word && said.date.is_some_and(|date| date <= on))
}

fn say(desk: &mut Desk<'_>, asked: &Asked, finding: Finding) {
    let mut one = [finding];
    narrow(&mut one, &[asked.regime]);
    desk.findings.extend(one);
}

fn mend(word: &str, name: &str) -> String {
    format!("add `qualified {word} \"course or experience\" on DATE` to the role `{name}`, if it is so")
}

fn team(desk: &mut Desk<'_>, asked: &Asked) {
    let plan = desk.plan;
    let Some(loc) = plan.team.loc.filter(|_| !plan.team.members.is_empty()) else { return };
    let roles = || plan.team.members.iter().filter_map(|member| role(plan, &member.role.text));
    if roles().count() < plan.team.members.len() || roles().any(|role| has(role, asked.word, desk.on)) {
        return;
    }
    let leader = plan.team.members.iter().find(|member| member.leads).or(plan.team.members.first());
    let name = leader.map_or("ROLE", |member| member.role.text.as_str());
    let finding = Finding::at(&UNQUALIFIED_TEAM, loc, format!("nobody on the team is {}", asked.what))
        .help(mend(asked.word, name));
    say(desk, asked, finding);
}

fn reassessment(desk: &mut Desk<'_>, asked: &Asked) {
    let plan = desk.plan;
    let Some(done) = plan.head.as_ref().and_then(|head| head.reassessed.as_ref()) else { return };
    let (Some(date), Some(role)) = (done.date, role(plan, &done.by.text)) else { return };
    if !has(role, asked.word, date) {
        let message = format!("`{}` reassessed the plan on {date}, and was not then {}", done.by, asked.what);
        let finding = Finding::at(&UNQUALIFIED_REASSESSMENT, done.loc, message)
            .also(role.loc, "the role")
            .help(mend(asked.word, &role.name.text));
        say(desk, asked, finding);
    }
}

fn reviews(desk: &mut Desk<'_>, asked: &Asked) {
    let plan = desk.plan;
    for control in plan.ccps() {
        for verify in control.verify.iter().filter(|verify| verify.activity == *"record-review") {
            let Some(role) = role(plan, &verify.by.text) else { continue };
            if !has(role, asked.word, desk.on) {
                let message =
                    format!("`{}` reviews the records of `{}`, and is not {}", verify.by, control.name, asked.what);
                let finding = Finding::at(&UNQUALIFIED_REVIEWER, verify.by.loc, message)
                    .also(role.loc, "the role")
                    .help(mend(asked.word, &role.name.text));
                say(desk, asked, finding);
            }
        }
    }
}

fn exemption(desk: &mut Desk<'_>, asked: &Asked) {
    let plan = desk.plan;
    for exception in plan.exceptions.iter().filter(|exception| exception.rule == *"ccp-without-validation") {
        let Some(role) = role(plan, &exception.by.text) else { continue };
        if !has(role, asked.word, desk.on) {
            let message = format!("`{}` excuses a CCP from validation, and is not {}", exception.by, asked.what);
            let finding = Finding::at(&UNQUALIFIED_EXEMPTION, exception.by.loc, message)
                .also(role.loc, "the role")
                .help(mend(asked.word, &role.name.text));
            say(desk, asked, finding);
        }
    }
}

fn words(desk: &mut Desk<'_>) {
    let known = || ASKED.iter().map(|asked| asked.word);
    for said in desk.plan.roles.iter().flat_map(|role| &role.qualified) {
        if known().any(|word| said.name == *word) {
            continue;
        }
        let loc = said.name.loc;
        let finding =
            Finding::at(&UNKNOWN_QUALIFICATION, loc, format!("no regime asks for the qualification `{}`", said.name));
        desk.findings.push(match nearest(&said.name.text, known()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(loc, near, Care::NeedsALook),
            None => finding.help(
                "the qualifications are: haccp, seafood-haccp, juice-haccp, pcqi; other courses go into `trained`",
            ),
        });
    }
}
